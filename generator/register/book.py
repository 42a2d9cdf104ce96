"""A register as read at one moment, and what is to be added to it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

from msgspec import Struct

from generator.register.chain import Head, Row, head_of, next_row
from generator.register.entries import Begin, Entry, Forgetting, SignOff, Withdrawal, body_of, entry_of
from generator.register.people import Person, opens


class Addition(Struct, frozen=True, kw_only=True):
    """What one command adds: a record, people it names for the first time, contents, and whom it forgets."""

    entry: Entry
    people: tuple[Person, ...] = ()
    contents: Mapping[str, str] = {}
    forget: str | None = None


class Book(Struct, frozen=True, dict=True):
    """Records in order, people by token, and contents of the course by digest."""

    rows: Sequence[Row] = ()
    people: Mapping[str, Person] = {}
    contents: Mapping[str, str] = {}

    @cached_property
    def entries(self) -> Mapping[int, Entry]:
        """Every record that can be read, by number; `verify` names the others."""
        read = ((row.number, entry_of(row.body)) for row in self.rows)
        return {number: entry for number, entry in read if entry is not None}

    @cached_property
    def withdrawn(self) -> Mapping[int, Withdrawal]:
        """Withdrawals by the number of the record they take out."""
        return {entry.number: entry for entry in self.entries.values() if isinstance(entry, Withdrawal)}

    @cached_property
    def forgotten(self) -> frozenset[str]:
        """Tokens of those whose names were to be removed."""
        return frozenset(entry.person for entry in self.entries.values() if isinstance(entry, Forgetting))

    @cached_property
    def named(self) -> Mapping[str, Person]:
        """By token, people whose name is the one it was made from and was not to be forgotten."""
        return {token: who for token, who in self.people.items() if opens(who) and token not in self.forgotten}

    @property
    def head(self) -> Head:
        """Count and digest of the last record."""
        return head_of(self.rows)

    @property
    def begin(self) -> Begin | None:
        """The record that names this register."""
        first = self.entries.get(1)
        return first if isinstance(first, Begin) else None

    def counting(self) -> Iterator[tuple[int, Entry]]:
        """Records that have not been withdrawn, with their numbers."""
        return ((number, entry) for number, entry in self.entries.items() if number not in self.withdrawn)

    def sign_offs(self) -> Iterator[tuple[int, SignOff]]:
        """Sign-offs that have not been withdrawn, with their numbers."""
        return ((number, entry) for number, entry in self.counting() if isinstance(entry, SignOff))

    def said(self, token: str) -> str:
        """The name behind a token, else why there is none; never a name it was not made from."""
        person = self.people.get(token)
        if token in self.named:
            return str(self.named[token].name)
        if token in self.forgotten:
            return f"(forgotten {token[:8]})"
        return f"(name {'changed' if person and person.name is not None else 'lost'} {token[:8]})"

    def after(self, addition: Addition) -> Book:
        """The book with one record more."""
        people = {person.token: person for person in addition.people} | dict(self.people)
        if addition.forget:
            people[addition.forget] = Person(addition.forget, None, None)
        row = next_row(self.rows, body_of(addition.entry))
        return Book([*self.rows, row], people, {**self.contents, **addition.contents})
