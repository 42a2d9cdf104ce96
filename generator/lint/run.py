"""All rules over one course."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from msgspec.structs import replace

from generator.course import Course, load_course
from generator.errors import InputFaults
from generator.lint import bank, checklists, numbers, questions, texts
from generator.lint.flaw import Flaw
from generator.lint.local_rules import overdue
from generator.load_content import content_folder

FAMILIES = (checklists, questions, numbers, bank, texts)


def lint(course: Course) -> list[Flaw]:
    """Every flaw of the course's content, in file order, each told once."""
    return sorted({flaw for family in FAMILIES for rule in family.RULES for flaw in rule(course)})


def lint_folder(workshop: Path | None, today: date | None = None) -> list[Flaw]:
    """The flaws of a workshop and its content, of the demo if None; what cannot be read at all comes alone.

    Review dates of a workshop's rules count up to `today`, the computer's date unless given. Nobody reviews the demo's.
    """
    try:
        course = load_course(workshop)
    except InputFaults as refused:
        return [Flaw(fault, "", "error") for fault in refused.faults]
    if workshop is None:
        return lint(course)
    return sorted([*_of_the_workshop(course), *overdue(workshop, today or date.today())])


def _of_the_workshop(course: Course) -> list[Flaw]:
    """What its people can mend. Our content is told to them only where it is at fault on any machine, as when a file
    of theirs has taken a lesson's place: what only their unusual machine brings out, the pages leave out by themselves.
    """
    anywhere = set(lint(replace(course, views={})))
    ours = content_folder()
    return [flaw for flaw in lint(course) if flaw in anywhere or not Path(flaw.fault.file).is_relative_to(ours)]
