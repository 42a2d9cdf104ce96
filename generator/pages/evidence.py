"""The evidence pack: a table of all records, and a page for each person and each machine, to print and hand over."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date

from generator.course import Course
from generator.course_parts import Part
from generator.finding import Finding
from generator.pages.page import Asset, link, render
from generator.pages.words import DEFERS
from generator.register.book import Book
from generator.register.changes import Change, changes, parts_of
from generator.register.entries import SignOff
from generator.register.standing import Standing, standings
from generator.register.told import COLUMNS, STATES, Told, told

# A spreadsheet takes a cell that starts with one of these for a formula (OWASP, CSV Injection); an apostrophe in
# front makes it text again.
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


@dataclass(frozen=True, slots=True)
class Pack:
    """What every page of the pack says: whose register, on which day, and whether it is whole."""

    course: Course
    parts: Mapping[str, Part]
    book: Book
    today: date
    findings: Sequence[Finding]


def evidence(pack: Pack) -> list[Asset]:
    """All files of the pack, names of people only inside them and never in a file's name."""
    people = {getattr(entry, "person", "") for entry in pack.book.entries.values()} - {""}
    machines = {getattr(entry, "machine", "") for entry in pack.book.entries.values()} - {""}
    named = sorted(people, key=lambda token: (pack.book.said(token).casefold(), token))
    return [
        Asset("records.csv", records_csv(pack.book)),
        _index(pack, named, sorted(machines)),
        *(_person(token, pack) for token in named),
        *(_machine(machine, pack) for machine in sorted(machines)),
    ]


def records_csv(book: Book) -> str:
    """All records as CSV (RFC 4180), cells that a spreadsheet would work out made harmless."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    for record in told(book):
        writer.writerow([harmless(str(value)) for value in asdict(record).values()])
    return out.getvalue()


def harmless(cell: str) -> str:
    """The cell as text that no spreadsheet takes for a formula."""
    return f"'{cell}" if cell.lstrip(" ").startswith(FORMULA) else cell


def person_path(token: str) -> str:
    """Where a person's page lies in the pack."""
    return f"people/{token[:16]}.html"


def machine_path(machine: str) -> str:
    """Where a machine's page lies in the pack."""
    return f"machines/{machine}.html"


def changed_since(standing: Standing, now: Mapping[str, Part], book: Book) -> tuple[Change, ...]:
    """What is not as it was in the course when the sign-off behind this standing was given."""
    entry = book.entries[standing.number]
    then = book.contents.get(entry.contents) if isinstance(entry, SignOff) else None
    return changes(parts_of(then), now, standing.machine) if then else ()


def _index(pack: Pack, people: Sequence[str], machines: Sequence[str]) -> Asset:
    path = "index.html"
    links = [(pack.book.said(token), link(path, person_path(token))) for token in people]
    places = [(_name(machine, pack), link(path, machine_path(machine))) for machine in machines]
    return _page(
        path, "Register of sign-offs", pack, list(told(pack.book)), lambda _: True, people=links, machines=places
    )


def _person(token: str, pack: Pack) -> Asset:
    numbers = {number for number, entry in pack.book.entries.items() if getattr(entry, "person", "") == token}
    records = [record for record in told(pack.book) if record.number in numbers]
    return _page(person_path(token), pack.book.said(token), pack, records, lambda standing: standing.person == token)


def _machine(machine: str, pack: Pack) -> Asset:
    records = [record for record in told(pack.book) if record.machine == machine]
    return _page(
        machine_path(machine), _name(machine, pack), pack, records, lambda standing: standing.machine == machine
    )


def _name(machine: str, pack: Pack) -> str:
    found = pack.course.home.machines.get(machine)
    return found.name if found else f"{machine} (no longer in the workshop)"


def _page(path: str, title: str, pack: Pack, records: Sequence[Told], belongs: Callable[[Standing], bool],
          people: Sequence[tuple[str, str]] = (), machines: Sequence[tuple[str, str]] = ()) -> Asset:  # fmt: skip
    held = [standing for standing in standings(pack.book, pack.course.home.workshop, pack.today) if belongs(standing)]
    changed = {item.number: changed_since(item, pack.parts, pack.book) for item in held}
    html = render("evidence.html.j2", title=title, pack=pack, records=records, standings=held, changed=changed,
                  people=people, machines=machines, name=_name, states=STATES, begin=pack.book.begin, defers=DEFERS,
                  home=link(path, "index.html") if path != "index.html" else "",
                  workshop=pack.course.home.workshop)  # fmt: skip
    return Asset(path, html)
