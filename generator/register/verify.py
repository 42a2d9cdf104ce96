"""Whether a register is whole: the chain, the names that open their tokens, the contents it refers to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.finding import Finding, Severity
from generator.register.book import Book
from generator.register.chain import Head, Row, first_break, head_fault
from generator.register.changes import contents_digest
from generator.register.entries import Begin, Forgetting, Signed, Withdrawal, entry_of
from generator.register.people import opens

KEEP_COPY = "Keep this file as it is, fetch the last good copy, and find out who changed what."


def findings(book: Book, kept: Head | None = None) -> tuple[Finding, ...]:
    """Everything that is wrong with a register, the first broken record before all; none where it is whole."""
    return tuple(_found(book, kept))


def _found(book: Book, kept: Head | None) -> Iterator[Finding]:
    if not book.rows:
        yield _stop("register-empty", "The register holds no record.")
    broken = first_break(book.rows)
    if broken:
        yield _broken("record-broken", broken[0], f"is broken: {broken[1]}")
    else:
        yield from _unreadable(book)
    if kept and (says := head_fault(book.rows, kept)):
        yield _stop("head-lost", f"The kept head does not fit: {says}.")
    yield from _people(book)
    yield from _contents(book)


def _unreadable(book: Book) -> Iterator[Finding]:
    """Records whose chain holds and whose text is none that this program writes."""
    for row in book.rows:
        entry = book.entries.get(row.number)
        if entry is None:
            yield _broken("record-unreadable", row.number, "holds a text that no command writes")
        elif isinstance(entry, Begin) != (row.number == 1):
            yield _broken("record-misplaced", row.number, "is of a kind that cannot stand there")
        elif isinstance(entry, Withdrawal) and not 1 < entry.number < row.number:
            yield _broken("record-misplaced", row.number, "withdraws a record that was not there")


def _people(book: Book) -> Iterator[Finding]:
    forgotten = {entry.person for entry in book.entries.values() if isinstance(entry, Forgetting)}
    for number, token in _tokens(book):
        person = book.people.get(token)
        if person is None or person.name is None:
            if token not in forgotten:
                yield _broken("name-removed", number, "has lost its name, and no record says it was to be forgotten")
        elif not opens(person):
            yield _broken("name-changed", number, "shows another name than it was written with")
        elif token in forgotten:
            yield _broken("name-back", number, "shows a name that was to be forgotten")


def _tokens(book: Book) -> list[tuple[int, str]]:
    """Every token with the first record it stands in."""
    first: dict[str, int] = {}
    for number, entry in book.entries.items():
        for key in ("person", "signed_by"):
            if token := getattr(entry, key, None):
                first.setdefault(token, number)
    return [(number, token) for token, number in first.items()]


def _contents(book: Book) -> Iterator[Finding]:
    seen: set[str] = set()
    for number, entry in book.entries.items():
        if not isinstance(entry, Signed) or entry.contents in seen:
            continue
        seen.add(entry.contents)
        text = book.contents.get(entry.contents)
        if not isinstance(text, str) or contents_digest(text) != entry.contents:
            yield _broken("contents-changed", number, "refers to course contents that were changed or removed")


def _broken(id_: str, number: int, says: str) -> Finding:
    return _stop(id_, f"Record {number} {says}.", number)


def _stop(id_: str, says: str, number: int | None = None) -> Finding:
    return Finding(id=id_, severity=Severity.STOP, says=says, mend=KEEP_COPY, line=number)


def compared(book: Sequence[Row], other: Sequence[Row]) -> tuple[int, int, int]:
    """How many records two copies share from the start, and how many each has after that."""
    same = 0
    for mine, theirs in zip(book, other, strict=False):
        if mine != theirs or entry_of(mine.body) is None:
            break
        same += 1
    return same, len(book) - same, len(other) - same
