"""The papers of an exam with a planted fault: set-up, form for the learner, marking sheet, numbered listing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from generator.course import Course
from generator.exam.draw import Drawn
from generator.expr import Value
from generator.facts import say
from generator.finding import Severity
from generator.model.job import Job
from generator.pages.page import render
from generator.pages.set_up_rows import Row, set_up_rows
from generator.pages.stamp import stamp_of
from generator.pages.words import DEFERS, SEVERITIES

# As many changed lines as the marking sheet lists one by one.
MOST_CHANGES = 6
PAPERS = {"set-up": "Set-up", "paper": "Exam: find the fault", "marking": "Marking sheet", "listing": "The program, line by line"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Exam:
    """One exam: the job with the fault in it, the lines of its program, and the code that all its papers carry."""

    course: Course
    job: Job
    facts: Mapping[str, Value]
    drawn: Drawn
    seed: int
    code: str
    program: str
    texts: tuple[str, ...]


def exam_papers(exam: Exam) -> dict[str, str]:
    """Every paper as a page of its own by file name."""
    return {f"{name}.html": _paper(name, title, exam) for name, title in PAPERS.items()}


def _paper(name: str, title: str, exam: Exam) -> str:
    rows, fault = set_up_rows(exam.job, exam.facts), exam.drawn.planted.fault
    changes = exam.drawn.planted.changes
    return render(
        f"exam_{name.replace('-', '_')}.html.j2", title=title, exam=exam, rows=rows, fault=fault,
        stamp=stamp_of(exam.course, exam.job.machine, exam.code), workshop=exam.course.home.workshop.name,
        machine=exam.course.views[exam.job.machine].machine.name, defers=DEFERS, looks=say(fault.looks, exam.facts),
        places=places(exam, rows), changes=changes[:MOST_CHANGES], more=max(0, len(changes) - MOST_CHANGES),
        answer=exam.drawn.answer, others=_others(exam), severities=SEVERITIES,
    )  # fmt: skip


def places(exam: Exam, rows: list[Row]) -> list[str]:
    """What counts as the right place: rows of the set-up, and lines that were changed or that the check cites."""
    planted = exam.drawn.planted
    found = [f"S{row.number}" for row in rows if any(f"{path}.".startswith(f"{row.path}.") for path in planted.setup)]
    lines = sorted({change.number for change in planted.changes} | set(exam.drawn.answer.lines))
    return found + [str(line) for line in lines]


def _others(exam: Exam) -> list[tuple[str, str]]:
    """What else the check finds grave or worth asking, which a learner may rightly name too."""
    return [
        (SEVERITIES[finding.severity.value], finding.says)
        for finding in exam.drawn.findings
        if finding is not exam.drawn.answer and finding.severity is not Severity.NOTE
    ]
