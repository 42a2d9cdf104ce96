"""Cuts off the stock, stock off the bed, and cuts where the machine cannot go stop the job, each with its numbers."""

from __future__ import annotations

from pathlib import Path

import pytest

from generator.finding import Severity
from generator.job_plan import plan_job
from tests.holding.make import changed, job_path

JOB, WREN = "jobs/dibber-board.yml", "machines/wren.yml"
WREN_JOB = "jobs/dibber-board-wren.yml"
OUTLINE = r"x: 30 mm, y: 30 mm, size_x: 300 mm"


def stops(folder: Path, machine: str = "heron") -> dict[str, str]:
    """What forbids the cut: id and words of every stop about holding, bed and travel."""
    found = plan_job(job_path(folder, machine)).holding.findings
    return {finding.id: finding.says for finding in found if finding.severity is Severity.STOP}


def every_id(folder: Path, machine: str = "heron") -> list[str]:
    return [finding.id for finding in plan_job(job_path(folder, machine)).holding.findings]


@pytest.mark.parametrize("machine", ["heron", "wren", "bittern"])
def test_the_demo_s_jobs_lie_where_they_should(machine: str, folder: Path) -> None:
    """No size of the demo is found wrong."""
    assert stops(folder, machine) == {}


def test_a_part_that_leaves_the_stock_is_a_stop_with_its_numbers(folder: Path) -> None:
    """An outline to X = 430 mm on a board of 360 mm is a stop, told once; out by less than the cutter's radius warns."""
    changed(folder, JOB, OUTLINE, "x: 30 mm, y: 30 mm, size_x: 400 mm")
    says = stops(folder)["hold-path-outside-stock"]
    assert "'outline' leaves the stock by 70 mm: in X it goes from 30 to 430 mm, and the stock from 0 to 360 mm" in says
    assert every_id(folder).count("hold-path-outside-stock") == 1
    changed(folder, JOB, "x: 30 mm, y: 30 mm, size_x: 400 mm", "x: 30 mm, y: 30 mm, size_x: 332 mm")
    assert "hold-path-outside-stock" not in stops(folder)
    assert "hold-path-outside-stock" in every_id(folder)


def test_it_is_a_stop_also_where_nothing_can_be_said_of_holding(folder: Path) -> None:
    """A cutter of which the plan refuses to speak does not hide that the part does not fit on its board."""
    changed(folder, JOB, OUTLINE, "x: 30 mm, y: 30 mm, size_x: 400 mm")
    changed(folder, JOB, r"max_speed: 28000 rpm", "max_speed: unknown")
    assert plan_job(job_path(folder)).plan.refused
    assert "hold-path-outside-stock" in stops(folder)


def test_a_rebate_over_the_edge_is_left_to_its_maker_and_a_pocket_beside_the_board_is_not(folder: Path) -> None:
    """A pocket may run out over the board's edge; one that does not touch the board is a stop."""
    changed(folder, JOB, r"x: 145 mm, y: 201 mm", "x: -40 mm, y: 201 mm")
    assert "hold-path-outside-stock" not in stops(folder)
    changed(folder, JOB, r"x: -40 mm, y: 201 mm", "x: -80 mm, y: 201 mm")
    assert "'finger recess' leaves the stock" in stops(folder)["hold-path-outside-stock"]


@pytest.mark.parametrize("unknown", [r"^  size_x: 360 mm\n", r"^    diameter: 6 mm\n"])
def test_an_unknown_size_fires_nothing(unknown: str, folder: Path) -> None:
    """Without the board's size or the cutter's nothing is said of the outline that leaves it."""
    changed(folder, JOB, OUTLINE, "x: 30 mm, y: 30 mm, size_x: 400 mm")
    changed(folder, JOB, unknown, "")
    assert "hold-path-outside-stock" not in stops(folder)


def test_a_board_of_ten_feet_does_not_lie_on_a_small_bed(folder: Path) -> None:
    """Stock of 120 in on Wren's bed of 480 mm is a stop that names both; the travel stands in for an unknown bed."""
    changed(folder, WREN_JOB, r"^  size_x: 360 mm", "  size_x: 120 in")
    assert (
        "3048 by 260 mm, is larger than the bed, 480 by 440 mm" in stops(folder, "wren")["hold-board-larger-than-bed"]
    )
    changed(folder, WREN, r"^  size_(x|y): .*\n", "")
    assert "the bed, 420 by 380 mm" in stops(folder, "wren")["hold-board-larger-than-bed"]
    changed(folder, WREN, r"^travel: .*\n", "")
    assert "hold-board-larger-than-bed" not in stops(folder, "wren")


@pytest.mark.parametrize(("start", "told"), [(True, "27 to 333 mm"), (False, "382.6 to 688.6 mm")])
def test_a_zero_far_over_on_the_bed_is_a_stop(start: bool, told: str, folder: Path) -> None:
    """Zero at 14 in of a travel of 420 mm leaves no room for a part of 300 mm, whether or not its start is known."""
    if not start:
        changed(folder, WREN, r"start_x: 30 mm, start_y: 25 mm, ", "")
    changed(folder, WREN_JOB, r"bed_x: 40 mm", "bed_x: 14 in")
    assert told in stops(folder, "wren")["hold-path-beyond-travel"]


def test_a_part_wider_than_the_travel_is_a_stop_wherever_it_lies(folder: Path) -> None:
    """Nothing is known of the board's place, and 306 mm of path still do not fit a travel of 12 in less an inch."""
    changed(folder, WREN, r"travel: \{x: 420 mm, y: 380 mm", "travel: {x: 11 in, y: 380 mm")
    changed(folder, WREN_JOB, r"bed_x: 40 mm, bed_y: 40 mm", "bed_x: unknown, bed_y: unknown")
    says = stops(folder, "wren")["hold-path-wider-than-travel"]
    assert "306 mm in X, and the machine travels 279.4 mm" in says


def test_a_place_just_beside_an_unmeasured_travel_is_left_open(folder: Path) -> None:
    """Where nobody wrote down where the travel begins, a cut within 50 mm of the bed's edge may well be reached."""
    changed(folder, WREN, r"start_x: 30 mm, start_y: 25 mm, ", "")
    changed(folder, WREN_JOB, r"bed_x: 40 mm", "bed_x: 160 mm")
    assert "hold-path-beyond-travel" not in stops(folder, "wren")


@pytest.mark.parametrize(("readings", "few"), [("11.8 mm", True), ("11.8 mm, 11.8 mm, 12 mm, 11.7 mm", True),
                                               ("11.8 mm, 11.8 mm, 12 mm, 11.7 mm, 11.9 mm", False)])  # fmt: skip
def test_fewer_readings_than_the_lesson_asks_for_are_a_warning(readings: str, few: bool, folder: Path) -> None:
    """One reading counts as measured, and a warning asks for the five of the lesson; unmeasured is another finding."""
    changed(folder, JOB, r"thicknesses: .*", f"thicknesses: [{readings}]")
    plan = plan_job(job_path(folder)).plan
    found = [finding for finding in plan.findings if finding.id == "few-readings"]
    assert bool(found) == few
    assert all(finding.severity is Severity.WARN and finding.lesson == "measure-the-sheet" for finding in found)
    assert not plan.refused
    changed(folder, JOB, r"thicknesses: .*", "thicknesses: unknown")
    assert "few-readings" not in {finding.id for finding in plan_job(job_path(folder)).plan.findings}
