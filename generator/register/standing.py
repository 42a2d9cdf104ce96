"""How long a sign-off lasts: who may go on, who needs a refresher, who the whole practical, and why.

The default days are our proposal. 1,095 days (three years) is the stricter end of the three to five years
the UK Health and Safety Executive's woodworking training page gives for refreshers. 183 days is about the six
and a half months after which half the gain in accuracy is gone (Tatel and Ackerman, Psychological Bulletin,
2025, abstract); beyond 365 days the loss was largest (Arthur and others, Human Performance, 1998, abstract).
A workshop's own days come first.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from enum import StrEnum

from msgspec import Struct

from generator.model.workshop import Level, Workshop
from generator.register.book import Book
from generator.register.entries import Refresher, SignOff, Use

IDLE, FULL, CAP = 183, 365, 1095


class State(StrEnum):
    """What a person must do before the next cut."""

    FINE = "fine"
    REFRESHER = "refresher"
    PRACTICAL = "practical"


class Lasting(Struct, frozen=True):
    """Days without use before a refresher (`idle`) and before the whole practical (`full`), and days in all (`cap`)."""

    id: str
    name: str
    idle: int
    full: int
    cap: int


class Standing(Struct, frozen=True):
    """Where a person stands on one machine: `since` is the day it fell due, or will; `number` the sign-off's record."""

    person: str
    machine: str
    level: Lasting
    number: int
    signed: date
    last_use: date
    state: State
    since: date
    why: str


def lasting_of(workshop: Workshop, level: str) -> Lasting:
    """The days of a level; where the workshop gives none, ours, never longer than a longer step it does give."""
    found = next((item for item in workshop.levels if item.id == level), None)
    return _lasting(found) if found else Lasting(level, level.replace("-", " ").capitalize(), IDLE, FULL, CAP)


def _lasting(level: Level) -> Lasting:
    cap = int(level.cap if level.cap is not None else max(CAP, level.full or 0, level.idle or 0))
    full = int(level.full if level.full is not None else min(max(FULL, level.idle or 0), cap))
    idle = int(level.idle if level.idle is not None else min(IDLE, full))
    return Lasting(level.id, level.name, idle, full, cap)


def levels_of(workshop: Workshop) -> Mapping[str, str]:
    """Levels by id with their names; one of our own where the workshop has none."""
    return {level.id: level.name for level in workshop.levels} or {"signed-off": "Signed off"}


def standings(book: Book, workshop: Workshop, today: date) -> Iterator[Standing]:
    """Every person's standing on every machine they hold a complete sign-off for; the latest one counts."""
    complete = [(number, entry) for number, entry in book.sign_offs() if not entry.missing and entry.day <= today]
    complete.sort(key=lambda found: (found[1].day, found[0]))
    used = _used(book)
    for key, (number, entry) in {(entry.person, entry.machine): (number, entry) for number, entry in complete}.items():
        events = [event for event in used.get(key, ()) if event.day >= entry.day]
        yield _standing(number, entry, events, lasting_of(workshop, entry.level), today)


def unfinished(book: Book) -> Iterator[tuple[int, SignOff]]:
    """Sign-offs with acts still missing that no later complete one on the same machine has settled."""
    done: dict[tuple[str, str], date] = {}
    for _, entry in book.sign_offs():
        if not entry.missing:
            key = (entry.person, entry.machine)
            done[key] = max(entry.day, done.get(key, entry.day))
    for number, entry in book.sign_offs():
        if entry.missing and done.get((entry.person, entry.machine), date.min) < entry.day:
            yield number, entry


def _used(book: Book) -> Mapping[tuple[str, str], list[Use | Refresher]]:
    """Runs and refreshers by person and machine."""
    found: defaultdict[tuple[str, str], list[Use | Refresher]] = defaultdict(list)
    for _, entry in book.counting():
        if isinstance(entry, Use | Refresher):
            found[entry.person, entry.machine].append(entry)
    return found


def _standing(number: int, entry: SignOff, events: list[Use | Refresher], level: Lasting, today: date) -> Standing:
    last, state, since, why = _walk(entry, events, level, today)
    return Standing(entry.person, entry.machine, level, number, entry.day, last, state, since, why)


def _walk(entry: SignOff, events: list[Use | Refresher], level: Lasting, today: date) -> tuple[date, State, date, str]:
    """Goes through the days in order: a run brings nothing back that had lapsed before it, a refresher only itself."""
    last, idle_since = entry.day, None
    end = entry.day + timedelta(level.cap)
    for event in sorted(events, key=lambda event: event.day):
        if (event.day - last).days >= level.full or event.day >= end or event.day > today:
            break
        if isinstance(event, Refresher):
            idle_since = None
        elif idle_since is None and (event.day - last).days >= level.idle:
            idle_since = last + timedelta(level.idle)
        last = event.day
    unused = last + timedelta(level.full)
    if today >= min(unused, end):
        return last, State.PRACTICAL, *_practical_why(entry, last, level, unused, end)
    if idle_since is None and today < last + timedelta(level.idle):
        return last, State.FINE, *_fine_why(last, level, end)
    since = idle_since or last + timedelta(level.idle)
    return last, State.REFRESHER, since, f"no run or refresher for {level.idle} days up to {since}"


def _practical_why(entry: SignOff, last: date, level: Lasting, unused: date, end: date) -> tuple[date, str]:
    if unused <= end:
        return unused, f"no run for {level.full} days after {last}"
    return end, f"signed off on {entry.date}, and a sign-off ends after {level.cap} days, used or not"


def _fine_why(last: date, level: Lasting, end: date) -> tuple[date, str]:
    idle = last + timedelta(level.idle)
    if idle <= end:
        return idle, f"a refresher is due if there is no run by {idle}"
    return end, f"ends on {end}, used or not"
