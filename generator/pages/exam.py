"""The papers of an exam with a planted fault: set-up, form for the learner, marking sheet, numbered listing."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

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
MOST_CHANGES = 4
# And as many other findings, so that it stays on one side of paper.
MOST_OTHERS = 4
# A longer program is read on a screen: its listing would take more than twenty sheets of paper.
LONGEST_LISTING = 4000
PAPERS = {
    "set-up": "Set-up",
    "paper": "Exam: find the fault",
    "marking": "Marking sheet",
    "listing": "The program, line by line",
}


class Exam(Struct, frozen=True, kw_only=True):
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
    """Every paper as a page of its own by file name; a very long program has no listing."""
    wanted = [name for name in PAPERS if name != "listing" or len(exam.texts) <= LONGEST_LISTING]
    return {f"{name}.html": _paper(name, PAPERS[name], exam) for name in wanted}


def _paper(name: str, title: str, exam: Exam) -> str:
    rows, fault = set_up_rows(exam.job, exam.facts), exam.drawn.planted.fault
    changes = exam.drawn.planted.changes
    return render(
        f"exam_{name.replace('-', '_')}.html.j2", title=title, exam=exam, rows=rows, fault=fault, defers=DEFERS,
        machine=exam.course.views[exam.job.machine].machine.name, looks=say(fault.looks, exam.facts),
        stamp=stamp_of(exam.course, exam.job.machine, exam.code), listed=len(exam.texts) <= LONGEST_LISTING,
        places=places(exam, rows), changes=changes[:MOST_CHANGES], more=max(0, len(changes) - MOST_CHANGES),
        answer=exam.drawn.answer, others=_others(exam), severities=SEVERITIES, lesson=_lesson(exam),
        grave=any(finding.severity is Severity.STOP for finding in exam.drawn.findings),
    )  # fmt: skip


def places(exam: Exam, rows: list[Row]) -> list[str]:
    """What counts as the right place: rows of the set-up, and lines that were changed or that the check cites."""
    planted = exam.drawn.planted
    setup = [f"{path}." for path in planted.setup]
    found = [f"S{row.number}" for row in rows if any(path.startswith(f"{row.path}.") for path in setup)]
    lines = sorted({change.number for change in planted.changes} | set(exam.drawn.answer.lines))
    return found + [str(line) for line in lines]


def _lesson(exam: Exam) -> str:
    lesson = exam.course.library.lessons.get(exam.drawn.answer.lesson)
    return lesson.head.title if lesson else ""


def _others(exam: Exam) -> list[tuple[str, str]]:
    """What else the check finds grave or worth asking, which a learner may rightly name too."""
    found = [
        (SEVERITIES[finding.severity.value], finding.says)
        for finding in exam.drawn.findings
        if finding is not exam.drawn.answer and finding.severity is not Severity.NOTE
    ]
    return found[:MOST_OTHERS]
