"""How long a sign-off lasts: who may go on, who needs a refresher, who the whole practical, and why.

A sign-off that cannot be read with certainty lasts no day: its level or machine is no longer in the workshop, or
its record proves nothing (see `verify.doubts`).

The default days are our proposal. 1,095 days (three years) is the stricter end of the three to five years
the UK Health and Safety Executive's woodworking training page gives for refreshers. 183 days is about the six
and a half months after which half the gain in accuracy is gone (Tatel and Ackerman, Psychological Bulletin,
2025, abstract); beyond 365 days the loss was largest (Arthur and others, Human Performance, 1998, abstract).
A workshop's own days come first.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from datetime import date, timedelta
from enum import StrEnum

from msgspec import Struct
from msgspec.structs import replace

from generator.model.workshop import Level, Workshop
from generator.register.book import Book
from generator.register.entries import Refresher, SignOff, Use
from generator.register.verify import doubts

IDLE, FULL, CAP = 183, 365, 1095


class State(StrEnum):
    """What a person must do before the next cut."""

    FINE = "fine"
    REFRESHER = "refresher"
    PRACTICAL = "practical"
    NOT_VALID = "not-valid"


class Lasting(Struct, frozen=True):
    """Days without use before a refresher (`idle`) and before the whole practical (`full`), and days in all (`cap`)."""

    id: str
    name: str
    idle: int
    full: int
    cap: int


class Standing(Struct, frozen=True):
    """Where a person stands on one machine by one sign-off, whose record is `number`.

    `since` is the day it fell due or will, None where nobody can tell; `later` the record of the sign-off at another
    level that came after this one.
    """

    person: str
    machine: str
    level: Lasting
    number: int
    signed: date
    last_use: date
    state: State
    since: date | None
    why: str
    later: int | None = None


def lasting_of(workshop: Workshop, level: str) -> Lasting:
    """The days of a level: the workshop's, else ours, never longer than a longer step it does give.

    A level the workshop does not have lasts no day.
    """
    found = next((item for item in workshop.levels if item.id == level), None)
    if found:
        return _lasting(found)
    known = levels_of(workshop).get(level)
    return Lasting(level, known, IDLE, FULL, CAP) if known else Lasting(level, f"{level} (not a level here)", 0, 0, 0)


def _lasting(level: Level) -> Lasting:
    cap = int(level.cap if level.cap is not None else max(CAP, level.full or 0, level.idle or 0))
    full = int(level.full if level.full is not None else min(max(FULL, level.idle or 0), cap))
    idle = int(level.idle if level.idle is not None else min(IDLE, full))
    return Lasting(level.id, level.name, idle, full, cap)


def levels_of(workshop: Workshop) -> Mapping[str, str]:
    """Levels by id with their names; one of our own where the workshop has none."""
    return {level.id: level.name for level in workshop.levels} or {"signed-off": "Signed off"}


def no_longer(workshop: Workshop, machines: Collection[str] | None, machine: str, level: str) -> str:
    """What of a sign-off the workshop does not have any more, in words; empty where it has both."""
    says = []
    if machines is not None and machine not in machines:
        says.append(f"the workshop has no machine '{machine}' any more: withdraw the record, or give the id back to it")
    if level not in levels_of(workshop):
        has = ", ".join(levels_of(workshop))
        says.append(f"the workshop has no level '{level}' any more (it has {has}): sign off anew, or put the id back")
    return "; ".join(says)


def standings(
    book: Book, workshop: Workshop, today: date, machines: Collection[str] | None = None
) -> Iterator[Standing]:
    """Every person's standing on every machine they hold a complete sign-off for, by the latest one.

    An earlier one at another level that still holds follows it: only a withdrawal ends that. `machines` are the ids of
    those the workshop has; None where that is not asked.
    """
    doubted = doubts(book)
    used = _used(book, doubted)

    def held(number: int, entry: SignOff) -> Standing:
        events = [event for event in used[entry.person, entry.machine] if entry.day <= event.day <= today]
        why_not = doubted.get(number) or no_longer(workshop, machines, entry.machine, entry.level)
        return _standing(number, entry, events, lasting_of(workshop, entry.level), today, why_not)

    for by_level in _signed(book, today).values():
        last, *earlier = (held(number, entry) for number, entry in reversed(by_level.values()))
        yield last
        yield from (_beside(item, last) for item in earlier if item.state is State.FINE)


def _signed(book: Book, today: date) -> Mapping[tuple[str, str], dict[str, tuple[int, SignOff]]]:
    """Complete sign-offs by person and machine: the latest at each level, the latest of all last."""
    found: defaultdict[tuple[str, str], dict[str, tuple[int, SignOff]]] = defaultdict(dict)
    complete = [(number, entry) for number, entry in book.sign_offs() if not entry.missing and entry.day <= today]
    for number, entry in sorted(complete, key=lambda signed: (signed[1].day, signed[0])):
        by_level = found[entry.person, entry.machine]
        by_level.pop(entry.level, None)
        by_level[entry.level] = number, entry
    return found


def _beside(earlier: Standing, last: Standing) -> Standing:
    note = f"the later sign-off at '{last.level.id}' (record {last.number}) has not ended it"
    return replace(earlier, why=f"{earlier.why}; {note}", later=last.number)


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


def _used(book: Book, doubted: Collection[int]) -> defaultdict[tuple[str, str], list[Use | Refresher]]:
    """Runs and refreshers by person and machine, but for those in doubt."""
    found: defaultdict[tuple[str, str], list[Use | Refresher]] = defaultdict(list)
    for number, entry in book.counting():
        if isinstance(entry, Use | Refresher) and number not in doubted:
            found[entry.person, entry.machine].append(entry)
    return found


def _standing(
    number: int, entry: SignOff, events: list[Use | Refresher], level: Lasting, today: date, why_not: str
) -> Standing:
    if why_not:
        last = max([entry.day, *(event.day for event in events)])
        return Standing(entry.person, entry.machine, level, number, entry.day, last, State.NOT_VALID, None, why_not)
    last, state, since, why = _walk(entry, events, level, today)
    return Standing(entry.person, entry.machine, level, number, entry.day, last, state, since, why)


def _walk(entry: SignOff, events: list[Use | Refresher], level: Lasting, today: date) -> tuple[date, State, date, str]:
    """Goes through the days in order: a run brings nothing back that had lapsed before it, a refresher only itself."""
    last, idle_since = entry.day, None
    end = entry.day + timedelta(level.cap)
    for event in sorted(events, key=lambda event: event.day):
        if (event.day - last).days >= level.full or event.day >= end:
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
    return last, State.REFRESHER, since, f"no run or refresher for {_days(level.idle)} up to {since}"


def _practical_why(entry: SignOff, last: date, level: Lasting, unused: date, end: date) -> tuple[date, str]:
    if unused <= end:
        return unused, f"no run for {_days(level.full)} after {last}"
    return end, f"signed off on {entry.date}, and a sign-off ends after {_days(level.cap)}, used or not"


def _fine_why(last: date, level: Lasting, end: date) -> tuple[date, str]:
    idle = last + timedelta(level.idle)
    if idle <= end:
        return idle, f"a refresher is due if there is no run by {idle}"
    return end, f"ends on {end}, used or not"


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"
