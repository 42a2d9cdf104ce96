"""The evidence pack: a table of all records, and a page for each person and each machine, to print and hand over."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import asdict

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

T = TypeVar("T")

# A spreadsheet takes a cell that starts with one of these for a formula (OWASP, CSV Injection); an apostrophe in
# front makes it text again.
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


class Pack(Struct, frozen=True):
    """What every page of the pack says: whose register, on which day, and whether it is whole."""

    course: Course
    parts: Mapping[str, Part]
    book: Book
    today: date
    findings: Sequence[Finding]


def evidence(pack: Pack) -> list[Asset]:
    """All files of the pack, names of people only inside them and never in a file's name."""
    home = pack.course.home
    records, held = list(told(pack.book)), list(standings(pack.book, home.workshop, pack.today, home.machines))
    people = _grouped(records, lambda record: getattr(pack.book.entries[record.number], "person", ""))
    machines = _grouped(records, lambda record: record.machine)
    held_by, held_on = _grouped(held, lambda item: item.person), _grouped(held, lambda item: item.machine)
    named = sorted(people, key=lambda token: (pack.book.said(token).casefold(), token))
    return [
        Asset("records.csv", records_csv(pack.book)),
        _index(pack, records, held, named, sorted(machines)),
        *(
            _page(person_path(token), pack.book.said(token), pack, people[token], held_by.get(token, []))
            for token in named
        ),
        *(
            _page(machine_path(id_), _name(id_, pack), pack, machines[id_], held_on.get(id_, []))
            for id_ in sorted(machines)
        ),
    ]


def _grouped(items: Iterable[T], key: Callable[[T], str]) -> dict[str, list[T]]:
    """Items by key, those without one left out."""
    found: dict[str, list[T]] = {}
    for item in items:
        if key(item):
            found.setdefault(key(item), []).append(item)
    return found


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


def _index(pack: Pack, records: Sequence[Told], held: Sequence[Standing], people: Sequence[str],
           machines: Sequence[str]) -> Asset:  # fmt: skip
    path = "index.html"
    links = [(pack.book.said(token), link(path, person_path(token))) for token in people]
    places = [(_name(machine, pack), link(path, machine_path(machine))) for machine in machines]
    return _page(path, "Register of sign-offs", pack, records, held, links, places)


def _name(machine: str, pack: Pack) -> str:
    found = pack.course.home.machines.get(machine)
    return found.name if found else f"{machine} (no longer in the workshop)"


def _page(path: str, title: str, pack: Pack, records: Sequence[Told], held: Sequence[Standing],
          people: Sequence[tuple[str, str]] = (), machines: Sequence[tuple[str, str]] = ()) -> Asset:  # fmt: skip
    changed = {item.number: changed_since(item, pack.parts, pack.book) for item in held}
    html = render("evidence.html.j2", title=title, pack=pack, records=records, standings=held, changed=changed,
                  people=people, machines=machines, name=_name, states=STATES, begin=pack.book.begin, defers=DEFERS,
                  home=link(path, "index.html") if path != "index.html" else "",
                  workshop=pack.course.home.workshop)  # fmt: skip
    return Asset(path, html)
