"""Small registers for tests: a book grown in memory, and the same in a file."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

from generator.register import additions
from generator.register.additions import CourseThen, Stamp
from generator.register.book import Addition, Book
from generator.register.file import write

ASKED = ("p01", "p02", "p03")
THEN = CourseThen(revision="0badcafe", contents='{"lesson:chip-load":["Chip load","aaaaaaaaaaaa"]}')
START = date(2026, 1, 1)
_SALTS = (f"{number:064x}" for number in itertools.count(1))

Decide = Callable[[Book], Addition]


def stamp(day: date = START) -> Stamp:
    """A stamp of `day`, with salts no other stamp of the run has."""
    return Stamp(day=day, entered=f"{day.isoformat()}T12:00:00Z", salts=(next(_SALTS), next(_SALTS)))


def begin() -> Addition:
    """The first record."""
    return additions.begin("Shed", "0" * 32, stamp())


def signs(person: str, *, machine: str = "wren", level: str = "solo", day: date = START,
          passed: tuple[str, ...] = ASKED, then: CourseThen = THEN, by: str = "keeper") -> Decide:  # fmt: skip
    """A practical of three acts, whole unless `passed` says otherwise."""
    return lambda book: additions.sign_off(book, person, by, machine, level, ASKED, passed, then, stamp(day))


def runs(person: str, day: date, machine: str = "wren") -> Decide:
    """A run."""
    return lambda book: additions.use(book, person, machine, stamp(day))


def refreshes(person: str, day: date, machine: str = "wren", by: str = "keeper") -> Decide:
    """A refresher."""
    return lambda book: additions.refresher(book, person, by, machine, THEN, stamp(day))


def withdraws(number: int) -> Decide:
    """A withdrawal."""
    return lambda book: additions.withdraw(book, number, "keeper", "a near miss", stamp())


def forgets(person: str) -> Decide:
    """A forgetting."""
    return lambda book: additions.forget(book, person, "left and asked for it", stamp())


def grown(*steps: Decide) -> Book:
    """A book with the first record and one for each step."""
    book = Book().after(begin())
    for step in steps:
        book = book.after(step(book))
    return book


def filed(path: Path, *steps: Decide) -> None:
    """The same in a file."""
    for step in steps:
        write(path, begin(), step)


def days(count: int) -> date:
    """So many days after the start."""
    return START + timedelta(count)
