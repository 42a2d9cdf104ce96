"""What the reading commands of `onionskin register` answer."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import Any

from msgspec.structs import asdict

from generator.course import load_course
from generator.course_parts import course_parts
from generator.load_workshop import WorkshopFolder, load_workshop
from generator.pages.evidence import Pack, changed_since, evidence
from generator.register.additions import known
from generator.register.book import Book
from generator.register.chain import read_head
from generator.register.entries import SignOff
from generator.register.file import read_book, register_path
from generator.register.standing import Standing, State, no_longer, standings, unfinished
from generator.register.told import STATES, acts, in_a_line, standing_json, told
from generator.register.verify import compared, findings
from generator.register_desk import Reply, day_of, head_data, refusing, with_head
from generator.site import replace_folder


def listing(folder: Path, machine: str | None) -> Reply:
    """Everybody who holds or has begun a sign-off."""
    home, book = load_workshop(folder), read_book(register_path(folder))
    held = _held(home, book, date.today(), machine)
    open_ = [(number, entry) for number, entry in unfinished(book) if machine in (None, entry.machine)]
    lines = [_line(item, book) for item in held]
    lines += [
        f"{book.said(entry.person)}, {entry.machine}, {entry.level}: {_to_pass(home, entry)} (record {number})"
        for number, entry in open_
    ]
    data = {
        "standings": [standing_json(item, book) for item in held],
        "unfinished": [_open(number, entry, book) for number, entry in open_],
    }
    return with_head(book, data, lines or [_none("Nobody holds a sign-off yet", book)])


def due(folder: Path, on: str | None, within: int, machine: str | None) -> Reply:
    """Who must refresh, and why; and with `within` who will have to in so many days."""
    home, book = load_workshop(folder), read_book(register_path(folder))
    day = day_of(on, None)
    held = _held(home, book, day, machine)
    now = [item for item in held if item.state is not State.FINE]
    soon = [item for item in held if item not in now and item.since and item.since <= day + timedelta(within)]
    lines = [_line(item, book) for item in now] or [_none("Nobody is due", book)]
    lines += [f"Coming: {_line(item, book)}" for item in soon]
    data = {
        "on": day.isoformat(),
        "due": [standing_json(item, book) for item in now],
        "coming": [standing_json(item, book) for item in soon],
    }
    return with_head(book, data, lines, 1 if now else 0)


def show(folder: Path, person: str) -> Reply:
    """One person's records, where they stand, and what has changed since."""
    course, book = load_course(folder), read_book(register_path(folder))
    with refusing(book):
        found = known(book.named, person)
    now = course_parts(course)
    held = [item for item in _held(course.home, book, date.today(), None) if item.person == found.token]
    numbers = {number for number, entry in book.entries.items() if getattr(entry, "person", "") == found.token}
    records = [record for record in told(book) if record.number in numbers]
    changed = {item.number: changed_since(item, now, book) for item in held}
    lines = [str(found.name), *(f"  {_line(item, book)}" for item in held)]
    for item in held:
        lines += [f"  {change.how} since record {item.number}: {change.title}" for change in changed[item.number]]
    lines += [f"  {in_a_line(record)}" for record in records]
    stand = [standing_json(item, book) | {"changed": [asdict(c) for c in changed[item.number]]} for item in held]
    data = {"person": found.name, "records_of_person": [asdict(record) for record in records], "standings": stand}
    return with_head(book, data, lines)


def export(folder: Path, output: Path) -> Reply:
    """Writes the evidence pack."""
    course, book = load_course(folder), read_book(register_path(folder))
    files = evidence(Pack(course, course_parts(course), book, date.today(), findings(book)))

    def fill(fresh: Path) -> None:
        for asset in files:
            target = fresh / asset.path
            target.parent.mkdir(exist_ok=True)
            target.write_text(asset.text, encoding="utf-8-sig" if target.suffix == ".csv" else "utf-8", newline="")

    replace_folder(output, fill)
    data = {"folder": str(output), "files": [asset.path for asset in files]}
    return with_head(book, data, [f"{len(files)} files in {output}; open {output / 'index.html'}"])


def verify(folder: Path, head: str | None, against: Path | None) -> Reply:
    """Whether the register is whole, fits a head kept elsewhere, and is the same as a copy."""
    book = read_book(register_path(folder))
    found = findings(book, read_head(head) if head else None)
    said = [f"{finding.severity.upper()} {finding.says} {finding.mend}" for finding in found]
    lines = said or ["Every record is whole."]
    data: dict[str, Any] = {"whole": not found, "findings": [finding.as_json() for finding in found]}
    code = 1 if found else 0
    if against is not None:
        same, here, there = compared(book.rows, read_book(against).rows)
        data["against"] = {"file": str(against), "same": same, "only_here": here, "only_there": there}
        lines.append(f"Records the same from the start: {same}. Only here: {here}. Only in {against}: {there}.")
        code = 1 if there or not same else code
    return Reply(data | head_data(book), [*lines, f"Head: {book.head}"], code)


def _held(home: WorkshopFolder, book: Book, day: date, machine: str | None) -> list[Standing]:
    found = standings(book, home.workshop, day, home.machines)
    return [item for item in found if machine in (None, item.machine)]


def _none(says: str, book: Book) -> str:
    return f"{says}, as far as the records can be read." if findings(book) else f"{says}."


def _to_pass(home: WorkshopFolder, entry: SignOff) -> str:
    gone = no_longer(home.workshop, home.machines, entry.machine, entry.level)
    return f"to pass {acts(entry.missing)}{'; ' if gone else ''}{gone}"


def _line(item: Standing, book: Book) -> str:
    who = f"{book.said(item.person)}, {item.machine}, {item.level.id}"
    return f"{who}: {STATES[item.state.value]}; {item.why} (record {item.number})"


def _open(number: int, entry: SignOff, book: Book) -> dict[str, Any]:
    return {"record": number, "person": book.said(entry.person), "machine": entry.machine, "level": entry.level,
            "date": entry.date, "missing": list(entry.missing)}  # fmt: skip
