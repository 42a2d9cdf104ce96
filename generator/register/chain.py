"""The chain: each record holds the digest of the one before it and of itself."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Sequence

from msgspec import Struct

from generator.errors import OnionskinError

START = "0" * 64
HEAD_DIGITS = 24  # 96 bits: short enough to copy by hand, far too many to find a second chain for


class Row(Struct, frozen=True):
    """One record as it lies in the file; `before` is the digest of the record before it."""

    number: int
    before: str
    body: str
    digest: str


class Head(Struct, frozen=True):
    """How many records there are and the digest of the last. Kept on paper it shows a cut tail or a rewritten chain."""

    count: int
    digest: str

    def __str__(self) -> str:
        short = self.digest[:HEAD_DIGITS]
        return f"{self.count}:{'-'.join(short[at : at + 4] for at in range(0, len(short), 4))}"


def digest_of(number: int, before: str, body: str) -> str:
    """The digest (SHA-256, FIPS 180-4) of one record, as 64 hexadecimal digits."""
    return hashlib.sha256(f"{number}\n{before}\n{body}".encode()).hexdigest()


def next_row(rows: Sequence[Row], body: str) -> Row:
    """The record that follows `rows`."""
    number, before = (rows[-1].number + 1, rows[-1].digest) if rows else (1, START)
    return Row(number, before, body, digest_of(number, before, body))


def head_of(rows: Sequence[Row]) -> Head:
    """The head of the chain."""
    return Head(len(rows), rows[-1].digest if rows else START)


def breaks(rows: Sequence[Row]) -> Iterator[tuple[int, str]]:
    """The number of every record that does not fit the chain, in order, and what is wrong with it."""
    before, number = START, 1
    for row in rows:
        if row.number != number:
            yield number, f"is missing: the next one there is has number {row.number}"
        says = _fault(row, before)
        if says:
            yield row.number, f"is broken: {says}"
        before, number = row.digest, row.number + 1


def _fault(row: Row, before: str) -> str | None:
    if not all(isinstance(text, str) for text in (row.before, row.body, row.digest)):
        return "it holds something that is not text"
    if row.digest != digest_of(row.number, row.before, row.body):
        return "its text was changed after it was written"
    if row.before != before:
        return "it does not follow from the record before it, so one was changed, put in or taken out"
    return None


def read_head(text: str) -> Head:
    """A head copied from paper, such as '42:3f2a-9b1c-…'. Raises OnionskinError."""
    count, colon, digest = re.sub(r"[\s-]", "", text).lower().partition(":")
    if not colon or not re.fullmatch(r"[0-9]{1,15}", count) or not re.fullmatch(r"[0-9a-f]{16,64}", digest):
        raise OnionskinError(
            f"'{text[:80]}' is not a head; copy it as printed, such as 42:0123-4567-89ab-cdef-0123-4567"
        )
    return Head(int(count), digest)


def head_fault(rows: Sequence[Row], kept: Head) -> str | None:
    """What a head kept elsewhere shows about `rows`, None where they still lead through it."""
    if kept.count > len(rows):
        was = f"it was made at record {kept.count} and the last is now {len(rows)}"
        return f"{was}: the end was cut off, or this is an older copy"
    found = rows[kept.count - 1].digest if kept.count else START
    if not str(found).startswith(kept.digest):
        return f"record {kept.count} is another than it was then: the chain was rewritten, or it is another register"
    return None
