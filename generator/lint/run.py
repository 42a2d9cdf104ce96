"""All rules over one course."""

from __future__ import annotations

from pathlib import Path

from generator.course import Course, load_course
from generator.errors import InputFaults
from generator.lint import bank, checklists, numbers, questions, texts
from generator.lint.flaw import Flaw

FAMILIES = (checklists, questions, numbers, bank, texts)


def lint(course: Course) -> list[Flaw]:
    """Every flaw of the course's content, in file order, each told once."""
    return sorted({flaw for family in FAMILIES for rule in family.RULES for flaw in rule(course)})


def lint_folder(workshop: Path | None) -> list[Flaw]:
    """The flaws of a workshop and its content, of the demo if None; what cannot be read at all comes alone."""
    try:
        course = load_course(workshop)
    except InputFaults as refused:
        return [Flaw(fault, "", "error") for fault in refused.faults]
    return lint(course)
