"""Jobs that differ in names alone share what was worked out, and nothing else does."""

from __future__ import annotations

import re
import shutil

import pytest

from generator.course import Course, demo_folder, load_course
from generator.holding.answer import Holding, holding_of
from generator.pages.holding import bed_of, worked_jobs

MACHINE, JOB = "bittern", "dibber-board-bittern"


@pytest.fixture(scope="module")
def course(tmp_path_factory: pytest.TempPathFactory) -> Course:
    """The demo, with Bittern's job again on a second machine of its kind, and again on a thicker board."""
    folder = tmp_path_factory.mktemp("alike") / "w"
    shutil.copytree(demo_folder(), folder)
    text = (folder / "machines" / f"{MACHINE}.yml").read_text().replace(f"id: {MACHINE}", "id: second", 1)
    (folder / "machines" / "second.yml").write_text(re.sub(r"(?m)^name: .*$", "name: Second", text, count=1))
    text = (folder / "jobs" / f"{JOB}.yml").read_text()
    twin = re.sub(r"(?m)^machine: .*$", "machine: second", text)
    (folder / "jobs" / "twin.yml").write_text(re.sub(r"(?m)^name: .*$", "name: Twin", twin, count=1))
    larger = re.sub(r"size_x: (\d+)", lambda found: f"size_x: {int(found[1]) + 40}", twin, count=1)
    assert larger != twin
    (folder / "jobs" / "larger.yml").write_text(larger)
    return load_course(folder)


def test_jobs_alike_are_worked_out_once(course: Course) -> None:
    """The same job on two machines of one kind has one answer; a job on a larger board has its own."""
    found = {view.id: worked.found for view, worked in worked_jobs(course)}
    assert set(found) == set(course.jobs)
    assert found["twin"] is found[JOB]
    assert found["larger"] is not found[JOB]


def test_a_shared_answer_is_the_one_the_job_would_get_alone(course: Course) -> None:
    """Grip, layout, advice, findings and picture are those that the job has by itself; its plan is its own."""
    for view, worked in worked_jobs(course):
        alone = holding_of(view.job, view.machine, worked.plan, course.library)
        assert isinstance(alone, Holding)
        assert isinstance(worked.found, Holding)
        assert worked.plan.scope["machine.id"] == view.job.machine
        for name in ("grip", "layout", "review", "freed", "bending", "findings"):
            assert repr(getattr(worked.found, name)) == repr(getattr(alone, name)), name
        assert worked.bed == bed_of(alone)
