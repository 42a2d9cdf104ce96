"""The slip: a learner's results as a file, and as one line that a QR code can hold.

The line is also what the digest is made from, so file and line of one slip have the same digest:

    ONIONSKIN1/20261125/3F2A9B1C/Q.CHIP-LOAD.HERON.A.5.5.0.P.20261124.0C11D8/D.WORK-SHIFTS.20261125/0123456789ABCDEF

made on, revision of the content, then a `Q` for each quiz (lesson, machine, form, right, of, must-knows
missed, P passed or F failed, day, digest of the questions), a `D` for each drill (drill, day), and the digest. Slips
of older pages lack the digest of the questions. The line uses only the 45 signs of a QR code's alphanumeric mode
(ISO/IEC 18004), and it never holds a name. The digest shows a slip that was cut off or changed by accident; it proves
nothing about who wrote it.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints

from generator.errors import Fault, InputFaults
from generator.model.base import Date, Many, Name, Part, Slug
from generator.model.faults import read_model
from generator.yamlread import Document, Where, read_document

LARGEST_BYTES = 64_000
LONGEST_LINE = 4_296  # signs that the largest QR code holds in alphanumeric mode
START = "ONIONSKIN1"
Count = Annotated[int, Field(ge=0, le=999)]


class Result(Part):
    """The last result of one lesson's quiz."""

    lesson: Slug
    machine: Slug
    form: Literal["A", "B", "C", "D", "E", "F"]
    right: Count
    of: Count
    missed: Count
    passed: bool
    date: Date
    questions: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{6}$")] | None = None


class Drill(Part):
    """A drill played through with its best acts only, and when last."""

    drill: Slug
    date: Date


class Slip(Part):
    """What the page 'My record' exports; `name` is there only if the learner typed one."""

    onionskin: Literal["slip"]
    version: Literal[1]
    made: Date
    course: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{8}$")]
    name: Name | None = None
    results: Many[Result] = Field(max_length=200)
    drills: Many[Drill] = Field(max_length=100)
    digest: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{16}$")]


def line_of(slip: Slip) -> str:
    """The slip's line without its digest."""
    parts = [_joined("Q", r.lesson, r.machine, r.form, r.right, r.of, r.missed, "FP"[r.passed], _packed(r.date),
                     *([r.questions] if r.questions else [])) for r in slip.results]  # fmt: skip
    parts += [_joined("D", drill.drill, _packed(drill.date)) for drill in slip.drills]
    return "/".join([START, _packed(slip.made), slip.course, *parts]).upper()


def digest_of(line: str) -> str:
    """The digest of a line: the first 16 hexadecimal digits of its SHA-256."""
    return hashlib.sha256(line.encode()).hexdigest()[:16]


def read_slip(given: str, today: date) -> Slip:
    """A slip from a file's path or from a scanned line. Raises InputFaults with all faults."""
    is_line = given.strip().upper().startswith(START)
    document = read_line(given) if is_line else _read_file(Path(given))
    slip = read_model(Slip, document)
    faults = [document.fault(where, says) for where, says in _faults(slip, today)]
    if faults:
        raise InputFaults(faults)
    return slip


def unknown_parts(slip: Slip, lessons: set[str], drills: set[str]) -> list[str]:
    """Lessons and drills of the slip that the course does not have."""
    named = [result.lesson for result in slip.results if result.lesson not in lessons]
    return named + [drill.drill for drill in slip.drills if drill.drill not in drills]


def stale_parts(slip: Slip, digests: Mapping[str, str]) -> list[str]:
    """Lessons whose questions are no longer those the slip's results answer; `digests` are today's, by lesson."""
    return [r.lesson for r in slip.results if r.lesson in digests and r.questions != digests[r.lesson]]


def _read_file(path: Path) -> Document:
    try:
        size = path.stat().st_size if path.is_file() else 0
    except (OSError, ValueError):
        size = 0
    if size > LARGEST_BYTES:
        raise InputFaults([Fault(str(path)[:200], 0, 0, f"holds {size} bytes, a slip at most {LARGEST_BYTES}")])
    if path.suffix.lower() != ".json":
        says = f"is neither a slip's file (.json) nor a line that starts with {START}"
        raise InputFaults([Fault(str(path)[:200], 0, 0, says)])
    return read_document(path)


def read_line(given: str) -> Document:
    """A scanned line as the document its file would hold. Raises InputFaults with all faults."""
    line = re.sub(r"\s+", "", given).upper()
    start, *parts = line.split("/")
    faults = [f"is {len(line)} signs long, at most {LONGEST_LINE}"] if len(line) > LONGEST_LINE else []
    if start != START or len(parts) < 3:
        faults.append(f"is not a whole slip; it starts with {START} and has a day, a revision and a digest")
    if faults:
        raise InputFaults([Fault("scanned line", 0, 0, says) for says in faults])
    made, course, *middle, digest = parts
    entries = [_entry(part) for part in middle]
    wrong = [part for part, entry in zip(middle, entries, strict=True) if entry is None]
    if wrong:
        says = "'{}' is neither a quiz nor a drill"
        raise InputFaults([Fault("scanned line", 0, 0, says.format(part[:60])) for part in wrong])
    data = {
        "onionskin": "slip",
        "version": 1,
        "made": _unpacked(made),
        "course": course.lower(),
        "results": [entry for entry in entries if entry and "lesson" in entry],
        "drills": [entry for entry in entries if entry and "drill" in entry],
        "digest": digest.lower(),
    }
    return Document("scanned line", data, {}, {})


def _entry(part: str) -> dict[str, Any] | None:
    match part.split("."):
        case ["Q", lesson, machine, form, right, of, missed, ("P" | "F") as passed, day, *questions] if (
            len(questions) < 2
        ):
            marks = {"right": _whole(right), "of": _whole(of), "missed": _whole(missed), "passed": passed == "P"}
            where = {"lesson": lesson.lower(), "machine": machine.lower(), "form": form}
            return where | marks | {"date": _unpacked(day), "questions": questions[0].lower() if questions else None}
        case ["D", drill, day]:
            return {"drill": drill.lower(), "date": _unpacked(day)}
    return None


def _joined(*fields: object) -> str:
    return ".".join(str(field) for field in fields)


def _packed(day: str) -> str:
    return day.replace("-", "")


def _unpacked(day: str) -> str:
    return f"{day[:4]}-{day[4:6]}-{day[6:]}"


def _whole(text: str) -> int | str:
    return int(text) if re.fullmatch(r"[0-9]{1,3}", text) else text


def _faults(slip: Slip, today: date) -> Iterator[tuple[Where, str]]:
    """What the parts of a slip say against each other and against the day."""
    if (date.fromisoformat(slip.made) - today).days > 1:
        yield ("made",), f"made: {slip.made} is still to come"
    if digest_of(line_of(slip)) != slip.digest:
        yield (
            ("digest",),
            "digest: does not fit the rest; part of the slip is lost or changed, so export or scan it again",
        )
    for at, result in enumerate(slip.results):
        where = ("results", at)
        if result.right > result.of or result.of == 0:
            yield (*where, "right"), f"results[{at + 1}]: {result.right} right of {result.of} cannot be"
        elif result.missed > result.of - result.right or (result.passed and result.missed):
            yield (*where, "missed"), f"results[{at + 1}]: missed must-knows: {result.missed} does not fit the marks"
        if result.date > slip.made:
            yield (*where, "date"), f"results[{at + 1}]: {result.date} is after the slip was made"
    for at, drill in enumerate(slip.drills):
        if drill.date > slip.made:
            yield ("drills", at, "date"), f"drills[{at + 1}]: {drill.date} is after the slip was made"
    yield from _twice("results", [result.lesson for result in slip.results])
    yield from _twice("drills", [drill.drill for drill in slip.drills])


def _twice(group: str, ids: list[str]) -> Iterator[tuple[Where, str]]:
    for at, id_ in enumerate(ids):
        if id_ in ids[:at]:
            yield (group, at), f"{group}[{at + 1}]: '{id_}' is there twice"
