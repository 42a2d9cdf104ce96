"""The parts of a course a sign-off rests on, each with a short digest: lessons, lists, practical, machines, rules."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from msgspec import Struct

from generator.course import Course, content_folders

DIGITS = 12


class Part(Struct, frozen=True):
    """`title` as people call it; `digest` changes when its text does."""

    title: str
    digest: str


def course_parts(course: Course) -> Mapping[str, Part]:
    """Parts by key ('lesson:chip-load', 'machine:wren'), in course order. A lesson's questions belong to it."""
    return dict(_parts(course, content_folders(course.home.folder)))


def _parts(course: Course, folders: Sequence[Path]) -> Iterator[tuple[str, Part]]:
    for id_, lesson in course.library.lessons.items():
        files = [Path(lesson.body.file), *_there(folders, f"questions/{id_}.yml")]
        yield f"lesson:{id_}", Part(lesson.head.title, _of_files(files))
    for id_, checklist in course.library.checklists.items():
        yield f"list:{id_}", Part(checklist.title, _of_files(_there(folders, f"checklists/{id_}.yml")))
    yield "practical:acts", Part("The practical", _of_files(_there(folders, "acts/*.yml")))
    for id_, view in course.views.items():
        yield f"machine:{id_}", Part(f"Machine: {view.machine.name}", _of_data(view.document))
    rules = course.home.workshop.model_dump(mode="json", include={"rules", "levels", "emergency"})
    yield "workshop:rules", Part("Rules of the workshop", _of_data(rules))


def _there(folders: Sequence[Path], pattern: str) -> list[Path]:
    return [path for folder in folders for path in sorted(folder.glob(pattern))]


def _of_files(files: Sequence[Path]) -> str:
    """Line ends do not count, so that a checkout on another system is the same course."""
    digest = hashlib.sha256()
    for path in files:
        digest.update(path.read_bytes().replace(b"\r\n", b"\n") + b"\0")
    return digest.hexdigest()[:DIGITS]


def _of_data(data: object) -> str:
    return hashlib.sha256(json.dumps(data, sort_keys=True, default=str).encode()).hexdigest()[:DIGITS]
