"""Every fault of the exam is found by the check, on every demo machine it is for, and its clean twin is clean."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

import pytest

from generator.course import demo_folder, load_course
from generator.exam.draw import candidates, draw
from generator.exam.lines import Line, numbered
from generator.exam.plant import Planted, applies, plant
from generator.exam_desk import Desk, ways
from generator.finding import Finding, Severity
from generator.pages.exam import places
from generator.pages.set_up_rows import set_up_rows

JOBS = ("dibber-board", "dibber-board-wren", "dibber-board-bittern")
FAULTS = tuple(load_course().library.faults)
FEWEST_CLASSES = 12


def job_file(job: str) -> Path:
    return demo_folder() / "jobs" / f"{job}.yml"


@cache
def desk(job: str) -> Desk:
    return Desk.open(job_file(job))


@cache
def lines(job: str) -> tuple[Line, ...]:
    return tuple(numbered(desk(job).texts, ways(desk(job).clean.program.moves)))


@pytest.mark.parametrize("job", JOBS)
def test_the_clean_twin_has_nothing_that_stops_it(job: str) -> None:
    """What an exam starts from, warning comment included, is a program the check lets pass."""
    found = desk(job).clean.judged
    assert [finding.id for finding in found.findings if finding.severity is Severity.STOP] == []
    assert found.verdict == "pass"


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("fault", FAULTS)
def test_the_check_finds_every_planted_fault(fault: str, job: str) -> None:
    """Whatever line a seed picks, the finding a fault is meant for is there, and was not there before."""
    at, kind = desk(job), desk(job).course.library.faults[fault]
    if not applies(kind, at.clean.facts):
        pytest.skip("this fault is for other machines or jobs")
    tried = set()
    for seed in range(12):
        planted = plant(kind, lines(job), at.clean.facts, random.Random(f"{seed}:{fault}"))
        assert planted is not None, "no line of the program fits it"
        if planted.changes in tried:
            continue
        tried.add(planted.changes)
        assert kind.check in {finding.id for finding in at.findings(planted)}, (seed, planted.changes)
        if len(tried) == 2:
            break


@pytest.mark.parametrize("job", JOBS)
def test_what_the_clean_twin_has_itself_is_no_sign_of_the_fault(job: str) -> None:
    """The clean program has a finding of its own; the faulty one has it too, and it is not told as the fault's."""
    at = desk(job)
    own = {finding.id for finding in at.clean.judged.findings}
    assert own
    several = candidates(at.course.library.faults.values(), lines(job), at.clean.facts, 0)
    planted = next(one for one in several if own & {finding.id for finding in at.check(one).judged.findings})
    told = {finding.id for finding in at.findings(planted)}
    assert planted.fault.check in told
    assert not own & told


def test_a_fault_that_only_something_else_is_found_of_is_not_drawn() -> None:
    """The draw goes on until the check finds the very fault that was planted, and gives up where it never does."""
    at = desk(JOBS[0])
    given = (at.course.library.faults.values(), lines(JOBS[0]), at.clean.facts, 0)
    first, second, *_ = (planted.fault for planted in candidates(*given))

    def finds(*ids: str) -> Callable[[Planted], Sequence[Finding]]:
        others = [Finding(id=id_, severity=Severity.STOP, says="s", mend="m") for id_ in ("other", *ids)]
        return lambda planted: [found for found in others if found.id in ("other", planted.fault.check)]

    drawn = draw(*given, finds(second.check))
    assert first.check != second.check
    assert drawn is not None
    assert drawn.planted.fault == second
    assert drawn.answer.id == second.check
    assert draw(*given, finds()) is None


def test_there_are_a_dozen_classes_and_each_is_for_some_demo_machine() -> None:
    """No fault is dead weight, and every machine has a dozen to draw from."""
    by_job = {job: {fault for fault in FAULTS if applies(desk(job).course.library.faults[fault], desk(job).clean.facts)}
              for job in JOBS}  # fmt: skip
    assert set().union(*by_job.values()) == set(FAULTS)
    assert all(len(found) >= FEWEST_CLASSES for found in by_job.values())


@pytest.mark.parametrize("job", JOBS)
def test_many_seeds_reach_every_class(job: str) -> None:
    """The draw is fair enough that each fault of a machine comes first for some seed below 400."""
    at = desk(job)
    kinds = at.course.library.faults
    first = {next(iter(candidates(kinds.values(), lines(job), at.clean.facts, seed))).fault.id for seed in range(400)}
    assert first == {fault for fault in FAULTS if applies(kinds[fault], at.clean.facts)}


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("fault", FAULTS)
def test_a_planted_change_is_told_by_its_line(fault: str, job: str) -> None:
    """Each change cites the line of the faulty file it stands in, and nothing else of the file differs."""
    at, kind = desk(job), desk(job).course.library.faults[fault]
    planted = plant(kind, lines(job), at.clean.facts, random.Random(7)) if applies(kind, at.clean.facts) else None
    if planted is None:
        pytest.skip("this fault is for other machines or jobs")
    for change in planted.changes:
        if change.after is not None:
            assert planted.texts[change.number - 1] == change.after
    if any(edit.end for edit in kind.edits):
        assert planted.texts == tuple(at.texts[: len(planted.texts)])
        return
    gone = Counter(change.before for change in planted.changes if change.before)
    new = Counter(change.after for change in planted.changes if change.after is not None)
    assert Counter(planted.texts) == Counter(at.texts) - gone + new


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("fault", [fault for fault in FAULTS if load_course().library.faults[fault].setup])
def test_a_fault_of_the_set_up_shows_in_a_row(fault: str, job: str) -> None:
    """The row that counts as the right place reads otherwise than in the true set-up."""
    from generator.exam.draw import Drawn
    from generator.pages.exam import Exam

    at, kind = desk(job), desk(job).course.library.faults[fault]
    if not applies(kind, at.clean.facts):
        pytest.skip("this fault is for other machines or jobs")
    planted = plant(kind, lines(job), at.clean.facts, random.Random(1))
    assert planted is not None
    checked = at.check(planted)
    exam = Exam(course=at.course, job=at.job(planted), facts=checked.facts, seed=1, code="0" * 8, program="program.nc",
                drawn=Drawn(planted, checked.judged.findings), texts=planted.texts)  # fmt: skip
    rows = set_up_rows(exam.job, exam.facts)
    true = {row.path: row.words for row in set_up_rows(at.case.job, at.clean.facts)}
    told = {f"S{row.number}" for row in rows if true.get(row.path) != row.words}
    assert told
    assert told <= set(places(exam, rows))
