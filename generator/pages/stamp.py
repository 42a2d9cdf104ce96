"""The stamp of a sheet: which machine, workshop and content it was made for, and a digest that tells a stale one."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping

from markupsafe import Markup

from generator.course import Course
from generator.model.job import Job
from generator.pages.page import render
from generator.pages.stop_map import OWN

DIGITS = 8


def sheet_digest(course: Course, machine: str, made_from: object, job: Job | None = None) -> str:
    """A short hash of what the sheet of one machine says and rests on: its content, machine, job and workshop.

    A `made_from` of other content, or one changed number in the workshop's files, gives another digest.
    """
    files = [course.views[machine].document, course.home.workshop.model_dump(mode="json"),
             job.model_dump(mode="json") if job else None]  # fmt: skip
    said = f"{made_from!r}\n{json.dumps(files, sort_keys=True, default=str)}"
    return hashlib.sha256(said.encode()).hexdigest()[:DIGITS]


def sheet_digests(course: Course, made_from: object) -> dict[str, str]:
    """The digest of a sheet that follows the picked machine, for each machine with the job it is shown with."""
    return {id_: sheet_digest(course, id_, made_from, view.job) for id_, view in course.views.items()}


def stamp(course: Course, digests: Mapping[str, str]) -> Markup:
    """The line of a sheet that follows the picked machine; `digests` by machine."""
    return _line(course, course.default, digests)


def stamp_of(course: Course, machine: str, digest: str, hand: str = "") -> Markup:
    """The line of a sheet made for one machine, whichever is picked; `hand` asks for one thing more in writing."""
    return _line(course, machine, digest, hand)


def _line(course: Course, machine: str, digests: Mapping[str, str] | str, hand: str = "") -> Markup:
    return render("stamp.html.j2", name=course.views[machine].machine.name, digests=digests, machine=machine, own=OWN,
                  fixed=isinstance(digests, str), workshop=course.home.workshop.name,
                  revision=course.revision, hand=hand)  # fmt: skip
