"""The stamp of a sheet: which machine, workshop and content it was made for, and a digest that tells a stale one."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping

from markupsafe import Markup
from msgspec import Struct

from generator.course import Course
from generator.model.job import Job
from generator.pages.page import render
from generator.pages.stop_map import OWN

DIGITS = 8


class Codes(Struct, frozen=True):
    """What tells a stale sheet that follows the picked machine: its digest for each, and for the learner's own
    machine, known to the browser alone, the digest of everything else."""

    by_machine: Mapping[str, str]
    base: str


def sheet_digest(course: Course, machine: str, made_from: object, job: Job | None = None) -> str:
    """A short hash of what the sheet of one machine says and rests on: its content, machine, job and workshop.

    A `made_from` of other content, or one changed number in the workshop's files, gives another digest.
    """
    return _digest(made_from, course.views[machine].document, course.home.workshop.model_dump(mode="json"),
                   job.model_dump(mode="json") if job else None)  # fmt: skip


def sheet_codes(course: Course, made_from: object) -> Codes:
    """The codes of a sheet that follows the picked machine, for each machine with the job it is shown with."""
    digests = {id_: sheet_digest(course, id_, made_from, view.job) for id_, view in course.views.items()}
    return Codes(digests, _digest(made_from, course.home.workshop.model_dump(mode="json")))


def _digest(made_from: object, *files: object) -> str:
    said = f"{made_from!r}\n{json.dumps(files, sort_keys=True, default=str)}"
    return hashlib.sha256(said.encode()).hexdigest()[:DIGITS]


def stamp(course: Course, codes: Codes) -> Markup:
    """The line of a sheet that follows the picked machine."""
    return _line(course, course.default, codes=codes)


def stamp_of(course: Course, machine: str, digest: str, hand: str = "") -> Markup:
    """The line of a sheet made for one machine, whichever is picked; `hand` asks for one thing more in writing."""
    return _line(course, machine, digest=digest, hand=hand)


def _line(course: Course, machine: str, codes: Codes | None = None, digest: str = "", hand: str = "") -> Markup:
    return render("stamp.html.j2", name=course.views[machine].machine.name, machine=machine, own=OWN, codes=codes,
                  digest=digest, hand=hand, workshop=course.home.workshop.name, revision=course.revision)  # fmt: skip
