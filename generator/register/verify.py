"""Whether a register is whole: the chain, the names that open their tokens, the contents it refers to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from generator.finding import Finding, Severity
from generator.register.book import Book
from generator.register.chain import Head, Row, breaks, head_fault
from generator.register.changes import contents_digest
from generator.register.entries import Begin, Entry, Signed, Withdrawal, entry_of
from generator.register.people import Person, opens

KEEP_COPY = "Keep this file as it is, fetch the last good copy, and find out who changed what."
Fault = tuple[str, str]  # id of a finding, and what its record does or is


def findings(book: Book, kept: Head | None = None) -> tuple[Finding, ...]:
    """Everything that is wrong with a register, broken records before all; none where it is whole."""
    return tuple(_found(book, kept))


def _found(book: Book, kept: Head | None) -> Iterator[Finding]:
    if not book.rows:
        yield _stop("register-empty", "The register holds no record.")
    unfit = _unfit(book)
    for number, fault in unfit.items():
        yield _of_record(number, fault)
    if kept and (says := head_fault(book.rows, kept)):
        yield _stop("head-lost", f"The kept head does not fit: {says}.")
    first = _first_of(book)
    for token, fault in _name_faults(book).items():
        yield _of_record(first[token], fault)
    if all(number in book.entries for number in unfit):  # else a name may belong to a record that cannot be read
        yield from _strays(book, first)
    for number in _contents_faults(book).values():
        yield _of_record(number, ("contents-changed", "refers to course contents that were changed or removed"))


def doubts(book: Book) -> Mapping[int, str]:
    """Why a record that can be read proves nothing, by its number; those that hold are left out.

    A record that is not as it was written may have withdrawn any record before it, so these are in doubt as well.
    """
    unfit, names, contents = _unfit(book), _name_faults(book), _contents_faults(book)
    found: dict[int, str] = {}
    for number, entry in book.entries.items():
        why = _unproved(number, unfit) or _unnamed(entry, names)
        if not why and isinstance(entry, Signed) and entry.contents in contents:
            why = "the course contents it refers to were changed or removed"
        if why:
            found[number] = why
    return found


def _unproved(number: int, unfit: Mapping[int, Fault]) -> str | None:
    last = max(unfit, default=0)
    if number in unfit:
        return f"record {number} {unfit[number][1]}"
    return f"record {last} {unfit[last][1]}; it may have withdrawn this one" if number < last else None


def _unnamed(entry: Entry, names: Mapping[str, Fault]) -> str | None:
    return next((f"the record {names[token][1]}" for token in _tokens(entry) if token in names), None)


def _unfit(book: Book) -> dict[int, Fault]:
    """Records that do not chain, and those that chain and that no command writes there."""
    found = {number: ("record-broken", says) for number, says in breaks(book.rows)}
    for row in book.rows:
        fault = None if row.number in found else _odd(row.number, book.entries.get(row.number))
        if fault:
            found[row.number] = fault
    return dict(sorted(found.items()))


def _odd(number: int, entry: Entry | None) -> Fault | None:
    if entry is None:
        return "record-unreadable", "holds a text that no command writes"
    if isinstance(entry, Begin) != (number == 1):
        return "record-misplaced", "is of a kind that cannot stand there"
    if isinstance(entry, Withdrawal) and not 1 < entry.number < number:
        return "record-misplaced", "withdraws a record that was not there"
    return None


def _name_faults(book: Book) -> dict[str, Fault]:
    """What is wrong with the name beside a token that a record holds."""
    found = {token: _name_fault(book.people.get(token), token in book.forgotten) for token in _first_of(book)}
    return {token: fault for token, fault in found.items() if fault}


def _name_fault(person: Person | None, forgotten: bool) -> Fault | None:
    if person is None or person.name is None:
        return None if forgotten else ("name-removed", "has lost its name, and no record says it was to be forgotten")
    if not opens(person):
        return "name-changed", f"shows the name {str(person.name)[:60]!r}, another than it was written with"
    return ("name-back", "shows a name that was to be forgotten") if forgotten else None


def _first_of(book: Book) -> dict[str, int]:
    """Every token with the first record it stands in."""
    first: dict[str, int] = {}
    for number, entry in book.entries.items():
        for token in _tokens(entry):
            first.setdefault(token, number)
    return first


def _tokens(entry: Entry) -> list[str]:
    given = (getattr(entry, key, None) for key in ("person", "signed_by"))
    return [token for token in given if token]


def _strays(book: Book, first: Mapping[str, int]) -> Iterator[Finding]:
    """Names that no record holds: put in by hand, or parted from their records by a changed id."""
    for token, person in book.people.items():
        if token not in first:
            says = f"The name {str(person.name)[:60]!r} belongs to no record: it was put in or its id was changed."
            yield _stop("name-stray", says)


def _contents_faults(book: Book) -> dict[str, int]:
    """Digests of contents that are gone or are others, each with the first record that refers to it."""
    first: dict[str, int] = {}
    for number, entry in book.entries.items():
        if isinstance(entry, Signed):
            first.setdefault(entry.contents, number)
    return {digest: number for digest, number in first.items() if not _is_text_of(book.contents.get(digest), digest)}


def _is_text_of(text: object, digest: str) -> bool:
    return isinstance(text, str) and contents_digest(text) == digest


def _of_record(number: int, fault: Fault) -> Finding:
    return _stop(fault[0], f"Record {number} {fault[1]}.", number)


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
