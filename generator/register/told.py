"""Records and standings as people read them, with names in place of tokens."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec import Struct
from msgspec.structs import asdict

from generator.register.book import Book
from generator.register.chain import Row
from generator.register.entries import Begin, Entry, Forgetting, SignOff, SlipTaken, Withdrawal
from generator.register.standing import Standing
from generator.register.verify import doubts

KINDS = {"begin": "Register begun", "sign-off": "Practical", "refresher": "Refresher", "use": "Run", "slip": "Results",
         "withdrawal": "Withdrawal", "forgetting": "Name removed"}  # fmt: skip

STATES = {"fine": "may go on", "refresher": "refresher due", "practical": "whole practical due",
          "not-valid": "not valid"}  # fmt: skip


class Told(Struct, frozen=True, kw_only=True):
    """One record in words; empty where it has nothing to say. `digest` is the record's own."""

    number: int
    kind: str
    date: str
    entered: str
    person: str
    machine: str
    level: str
    passed: str
    missing: str
    signed_by: str
    details: str
    withdrawn: str
    course: str
    digest: str


COLUMNS = Told.__struct_fields__


def told(book: Book) -> Iterator[Told]:
    """Every record that can be read, in order."""
    doubted = doubts(book)
    for row in book.rows:
        entry = book.entries.get(row.number)
        if entry is not None:
            yield _told(row, entry, book, doubted.get(row.number))


def _told(row: Row, entry: Entry, book: Book, doubt: str | None) -> Told:
    withdrawal = book.withdrawn.get(row.number)
    return Told(
        number=row.number,
        kind=KINDS[entry.kind],
        date=entry.date,
        entered=entry.entered,
        person=book.said(entry.person) if not isinstance(entry, Begin | Withdrawal) else "",
        machine=getattr(entry, "machine", ""),
        level=getattr(entry, "level", ""),
        passed=acts(entry.passed) if isinstance(entry, SignOff) else "",
        missing=acts(entry.missing) if isinstance(entry, SignOff) else "",
        signed_by=book.said(token) if (token := getattr(entry, "signed_by", "")) else "",
        details="; ".join(said for said in (_details(entry), f"in doubt, {doubt}" if doubt else "") if said),
        withdrawn=f"record {_number_of(book, withdrawal)}: {withdrawal.reason}" if withdrawal else "",
        course=getattr(entry, "course", ""),
        digest=row.digest,
    )


def _number_of(book: Book, wanted: Entry) -> int:
    return next(number for number, entry in book.entries.items() if entry is wanted)


def _details(entry: Entry) -> str:
    if isinstance(entry, Begin):
        return f"{entry.workshop}, register {entry.register_id}"
    if isinstance(entry, Withdrawal):
        return f"takes out record {entry.number}: {entry.reason}"
    if isinstance(entry, Forgetting):
        return entry.reason
    if isinstance(entry, SlipTaken):
        passed = sum(result.passed for result in entry.results)
        return f"quizzes passed: {passed} of {len(entry.results)}, drills: {len(entry.drills)}, slip {entry.slip}"
    return ""


def acts(ids: tuple[str, ...]) -> str:
    """Acts as they stand on the sheet."""
    return " ".join(id_.upper() for id_ in ids)


def in_a_line(record: Told) -> str:
    """One record as a line of text."""
    parts = [record.machine, record.level, record.details]
    parts += [f"still to pass {record.missing}"] if record.missing else []
    parts += [f"withdrawn by {record.withdrawn}"] if record.withdrawn else []
    return f"{record.number}: {record.date} {record.kind}" + "".join(f", {part}" for part in parts if part)


def standing_json(standing: Standing, book: Book) -> dict[str, Any]:
    """A standing as plain data, the person by name."""
    return asdict(standing) | {
        "person": book.said(standing.person),
        "level": standing.level.id,
        "state": standing.state.value,
        "signed": standing.signed.isoformat(),
        "last_use": standing.last_use.isoformat(),
        "since": standing.since.isoformat() if standing.since else None,
    }
