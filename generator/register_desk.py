"""What the writing commands of `onionskin register` do, between the workshop's files, its register and the terminal."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from generator.course import Course, load_course
from generator.course_parts import course_parts
from generator.errors import Fault, InputFaults, OnionskinError
from generator.finding import Finding
from generator.load_workshop import WorkshopFolder, load_workshop
from generator.model.faults import wanted
from generator.practical import practical
from generator.quiz import quiz_digests
from generator.register import additions
from generator.register.additions import CourseThen, Stamp
from generator.register.book import Addition, Book
from generator.register.changes import contents_text
from generator.register.entries import SlipTaken
from generator.register.file import read_book, register_path, write
from generator.register.slip import read_slip, stale_parts, unknown_parts
from generator.register.standing import Standing, State, levels_of, standings
from generator.register.verify import KEEP_COPY, findings

MOST_SAID = 4  # faults of the register that stand above an answer, so that they do not push it off the screen


class Reply(Struct, frozen=True):
    """What a command answers: data for `--json`, lines for people, warnings for stderr, and the exit code."""

    data: dict[str, Any]
    lines: Sequence[str]
    code: int = 0
    warnings: Sequence[str] = ()


def add(folder: Path, person: str, machine: str, level: str | None, signed_by: str, acts: str, on: str | None) -> Reply:
    """Records the practical, whole or in part."""
    course = load_course(folder)
    chosen, passed = _practical_given(course, machine, level, acts)
    levels = {item.id: item for item in course.home.workshop.levels}
    required = practical(course.library, course.views[machine].facts, levels.get(chosen))
    critical = {act.id for act in required if act.critical}
    asked, then = [act.id for act in required], _course_then(course)
    stamp = _stamp(on)
    reply = _written(folder, course.home, stamp, lambda book: additions.sign_off(
        book, person, signed_by, machine, chosen, asked, passed, then, stamp))  # fmt: skip
    missing = [act for act in asked if act not in passed]
    stops = [act for act in missing if act in critical]
    number = reply.data["record"]
    left = [item for item in _holds(folder, course.home, number) if item.later == number]
    note = "Record {} ({}) still counts as well; withdraw it if this one is to take its place."
    lines = [*_still_to_pass(missing, critical), *(note.format(item.number, item.level.id) for item in left)]
    data = reply.data | {"complete": not missing, "missing": missing, "critical_missing": stops,
                         "still_counts": [item.number for item in left]}  # fmt: skip
    return Reply(data, [*reply.lines, *lines], reply.code, reply.warnings)


def _holds(folder: Path, home: WorkshopFolder, number: int) -> list[Standing]:
    """What the person of a record now holds on its machine."""
    book = read_book(register_path(folder))
    entry = book.entries[number]
    own = (getattr(entry, "person", ""), getattr(entry, "machine", ""))
    held = standings(book, home.workshop, date.today(), home.machines)
    return [item for item in held if (item.person, item.machine) == own]


def _still_to_pass(missing: Sequence[str], critical: set[str]) -> Iterator[str]:
    if missing:
        said = ", ".join(f"{act.upper()}{' (must)' if act in critical else ''}" for act in missing)
        yield f"This is not a sign-off yet. Still to pass: {said}."
    if critical & set(missing):
        yield "A must is open. If it was missed, stop here and go on another day."


def refresh(folder: Path, person: str, machine: str, signed_by: str, on: str | None) -> Reply:
    """Records a short refresher."""
    course = load_course(folder)
    _raise(_machine_faults(course.home, machine))
    then, stamp = _course_then(course), _stamp(on)
    return _written(folder, course.home, stamp,
                    lambda book: additions.refresher(book, person, signed_by, machine, then, stamp))  # fmt: skip


def use(folder: Path, person: str, machine: str, on: str | None) -> Reply:
    """Logs a run."""
    home = load_workshop(folder)
    _raise(_machine_faults(home, machine))
    stamp = _stamp(on)
    read_book(register_path(folder))
    return _written(folder, home, stamp, lambda book: additions.use(book, person, machine, stamp))


def withdraw(folder: Path, number: int, signed_by: str, reason: str) -> Reply:
    """Takes a record out of the count."""
    stamp = _stamp(None)
    read_book(register_path(folder))
    home = load_workshop(folder)
    reply = _written(folder, home, stamp, lambda book: additions.withdraw(book, number, signed_by, reason, stamp))
    left = [item.number for item in _holds(folder, home, number) if item.state is not State.NOT_VALID]
    note = "Record {} still counts for this person and machine; withdraw it too if it should not."
    lines = [note.format(at) for at in left]
    return Reply(reply.data | {"still_counts": left}, [*reply.lines, *lines], reply.code, reply.warnings)


def forget(folder: Path, person: str, reason: str) -> Reply:
    """Removes a name."""
    stamp = _stamp(None)
    read_book(register_path(folder))
    reply = _written(folder, load_workshop(folder), stamp, lambda book: additions.forget(book, person, reason, stamp))
    note = "The name is gone from the register. See to copies, printed packs and saved slips, which may still hold it."
    return Reply(reply.data | {"note": note}, [*reply.lines, note], reply.code, reply.warnings)


def take_slip(folder: Path, given: str, person: str | None) -> Reply:
    """Records a learner's results from a slip."""
    course, today = load_course(folder), date.today()
    slip = read_slip(given, today)
    strange = unknown_parts(slip, set(course.library.lessons), set(course.library.drills))
    if strange and slip.course == course.revision:
        raise InputFaults(
            [Fault("slip", 0, 0, f"'{id_}' is not in the course the slip says it is from") for id_ in strange]
        )
    name = person or slip.name
    if not name:
        raise OnionskinError("the slip holds no name; say whose it is with --person")
    stamp = _stamp(None)
    reply = _written(folder, course.home, stamp, lambda book: additions.slip(book, name, slip, stamp))
    passed = {result.lesson for result in slip.results if result.passed}
    missing = [id_ for id_ in course.library.lessons if id_ not in passed and course.library.questions_of(id_)]
    stale = stale_parts(slip, quiz_digests(course.library))
    others = _others(folder, reply.data["record"])
    data = reply.data | {"passed": sorted(passed), "not_passed": missing, "same_course": slip.course == course.revision,
                         "older_questions": stale, "already_held_for": others}  # fmt: skip
    lines = [f"Quizzes passed: {len(passed)}. Not yet: {len(missing)}."]
    if stale:
        lines.append(f"Questions that have changed since were answered in: {', '.join(stale)}.")
    if slip.course != course.revision:
        lines.append(f"The slip is from content {slip.course}; the course is now {course.revision}.")
    note = "Warning: this slip is already held for {person} (record {record}). Ask whose it is; withdraw the wrong one."
    held = [note.format(**other) for other in others]
    return Reply(data, [*reply.lines, *lines], 1 if held else reply.code, [*reply.warnings, *held])


def _others(folder: Path, number: int) -> list[dict[str, Any]]:
    """Who else has the slip that a record holds, by whichever record came first."""
    book = read_book(register_path(folder))
    taken = book.entries[number]
    if not isinstance(taken, SlipTaken):
        return []
    first: dict[str, int] = {}
    for at, entry in additions.holding(book, taken.slip):
        first.setdefault(entry.person, at)
    return [{"person": book.said(token), "record": at} for token, at in first.items() if token != taken.person]


def _practical_given(course: Course, machine: str, level: str | None, acts: str) -> tuple[str, list[str]]:
    """The level and the acts passed. Raises InputFaults with everything that does not fit."""
    levels = levels_of(course.home.workshop)
    chosen = level or (next(iter(levels)) if len(levels) == 1 else "")
    faults = _machine_faults(course.home, machine)
    if chosen not in levels:
        faults.append(Fault("--level", 0, 0, f"there is no level '{chosen}'; {wanted(levels, chosen)}" if level else
                            f"is missing; {wanted(levels, '')}"))  # fmt: skip
    if faults:
        raise InputFaults(faults)
    known = next((item for item in course.home.workshop.levels if item.id == chosen), None)
    asked = [act.id for act in practical(course.library, course.views[machine].facts, known)]
    passed = asked if acts.strip().lower() == "all" else [act.lower() for act in acts.replace(",", " ").split()]
    _raise([Fault("--acts", 0, 0, f"'{act}' is not asked for at this level on this machine; {wanted(asked, act)}")
            for act in passed if act not in asked])  # fmt: skip
    return chosen, passed


def _machine_faults(home: WorkshopFolder, machine: str) -> list[Fault]:
    if machine in home.machines:
        return []
    return [Fault("--machine", 0, 0, f"there is no machine '{machine}'; {wanted(home.machines, machine)}")]


def _raise(faults: list[Fault]) -> None:
    if faults:
        raise InputFaults(faults)


def _course_then(course: Course) -> CourseThen:
    return CourseThen(revision=course.revision, contents=contents_text(course_parts(course)))


def _stamp(on: str | None) -> Stamp:
    entered = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    return Stamp(day=day_of(on, date.today()), entered=entered, salts=(secrets.token_hex(32), secrets.token_hex(32)))


def day_of(text: str | None, latest: date | None) -> date:
    """A day as it was typed, today if it was not. Raises OnionskinError for one after `latest`."""
    try:
        day = date.fromisoformat(text) if text else date.today()
    except ValueError:
        raise OnionskinError(f"'{text}' is not a date; write it as year-month-day, such as 2026-03-31") from None
    if latest and day > latest:
        raise OnionskinError(f"{day} is still to come; a record says what has happened")
    return day


def _written(folder: Path, home: WorkshopFolder, stamp: Stamp, decide: Callable[[Book], Addition]) -> Reply:
    path = register_path(folder)
    first = additions.begin(home.workshop.name, secrets.token_hex(16), replace(stamp, day=date.today()))

    def decided(book: Book) -> Addition:
        with refusing(book):
            return decide(book)

    row = write(path, first, decided)
    lines = [f"A new register begins: {path}"] if row.number == 2 else []
    book = read_book(path)
    lines.append(f"Record {row.number} is written. Head: {book.head}")
    return with_head(book, {"record": row.number, "digest": row.digest}, lines)


@contextmanager
def refusing(book: Book) -> Iterator[None]:
    """A refusal also says what is wrong with the register, which may be the cause of it."""
    try:
        yield
    except OnionskinError as error:
        raise OnionskinError("\n".join([str(error), *_warnings(findings(book))])) from None


def with_head(book: Book, data: dict[str, Any], lines: Sequence[str], code: int = 0) -> Reply:
    """An answer with the head of the register. What is wrong with that is said with every answer, with exit code 1.

    A broken register goes on taking records: what people did is not to be lost.
    """
    found = findings(book)
    whole = {"whole": not found, "findings": [finding.as_json() for finding in found]}
    return Reply(data | head_data(book) | whole, lines, 1 if found else code, _warnings(found))


def head_data(book: Book) -> dict[str, Any]:
    """What every answer says of the register."""
    return {"records": len(book.rows), "head": str(book.head)}


def _warnings(found: Sequence[Finding]) -> list[str]:
    if not found:
        return []
    said = [f"Warning: {finding.says}" for finding in found[:MOST_SAID]]
    more = [f"Warning: and {len(found) - MOST_SAID} faults more."] if len(found) > MOST_SAID else []
    return [*said, *more, f"The register is not whole. {KEEP_COPY} Every fault: onionskin register verify"]
