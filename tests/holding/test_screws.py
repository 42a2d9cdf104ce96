"""Screws: proposed in the waste, counted where the calculator's estimate covers them, drawn wherever they are."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from generator.finding import Severity
from generator.holding.picture import own_layout, picture
from tests.holding.make import changed, document, ids, job_path, run, worked

JOB, MACHINE = "jobs/dibber-board-bittern.yml", "machines/bittern.yml"
NO_HOLD_DOWNS = r"^hold_downs:\n(  - .*\n)+"
CUT_AWAY = 30 - 6  # mm from the board's edge to where the cutter's side passes


@pytest.fixture
def bare(folder: Path) -> Path:
    """A bed that takes screws only, into solid wood, and a job that names no hold-down."""
    changed(folder, MACHINE, r"kinds: \[vacuum, screws\]", "kinds: [screws]")
    changed(folder, MACHINE, "material: mdf", "material: none")
    changed(folder, JOB, NO_HOLD_DOWNS, "hold_downs: []\n")
    return folder


def test_screws_are_proposed_in_the_waste_and_clear_of_the_cutter(folder: Path) -> None:
    """Bittern's spots are screws in the strip round the part, head and spare room clear of the cutter, not crowded."""
    spots = [one.pad for one in worked(folder, "bittern").spots.spots]
    assert spots
    assert {pad.kind for pad in spots} == {"screw"}
    for x, y in (pad.at for pad in spots):
        inset = min(x, y, 360 - x, 260 - y)
        assert 10 <= inset <= CUT_AWAY - 5 - 3
    nearest = min(math.dist(a.at, b.at) for a in spots for b in spots if a is not b)
    assert nearest >= 30


def test_where_no_part_is_cut_out_there_is_no_waste_to_screw_into(folder: Path) -> None:
    """Without the outline the whole board is the piece, and no screw is proposed."""
    changed(folder, JOB, r"^  - name: outline\n(    .*\n)+", "")
    assert not worked(folder, "bittern").spots.spots


def test_counted_screws_make_a_layout_that_holds_when_it_is_given_back(bare: Path) -> None:
    """The fewest screws are proved and reach the margin; given to --layout they are judged as screws."""
    found = worked(bare, "bittern")
    assert found.layout.exact
    assert found.reached
    assert {one.pad.kind for one in found.layout.spots} == {"screw"}
    again = worked(bare, "bittern", list(found.layout.positions))
    assert again.holds
    assert again.grip.margin.low == pytest.approx(found.layout.grip.margin.low, rel=2e-3)
    assert document(job_path(bare, "bittern"))["clamps"]["kinds"] == ["screw"] * found.layout.count


def test_what_a_screw_counts_is_said_with_its_caution(bare: Path) -> None:
    """17.37 x 4^2 = 278 N sideways (group 4, C = 2520 in inch units) and 252 N upwards, with the calculator's caution."""
    found = next(one for one in worked(bare, "bittern").findings if one.id == "hold-screws-counted")
    assert found.severity is Severity.NOTE
    assert "278 N sideways and 252 N upwards" in found.says
    assert "Check the path with the screws drawn in" in found.mend
    assert found.lesson == "other-ways-to-hold"


def test_screws_are_called_screws(bare: Path) -> None:
    """Neither the lines nor the mend speak of clamps where screws are what is offered."""
    lines = run("plan", str(job_path(bare, "bittern"))).stdout
    assert "Fewest that hold: 2 screws (proved)" in lines
    assert "2 screws hold, as few as will do" in lines


def test_screws_that_no_estimate_covers_hold_nothing(folder: Path) -> None:
    """Into an MDF bed screws are not counted, so they are no layout; their places are still shown."""
    changed(folder, JOB, NO_HOLD_DOWNS, "hold_downs: []\n")
    changed(folder, MACHINE, r"kinds: \[vacuum, screws\]", "kinds: [screws]")
    found = worked(folder, "bittern")
    assert not found.reached
    assert found.layout.count == 0
    assert found.spots.spots
    assert "hold-screws-counted" not in ids(found)


def test_planned_screws_are_drawn_counted_or_not(folder: Path) -> None:
    """Bittern's four screws are not counted, but the cutter could meet them, so the picture has them."""
    found = worked(folder, "bittern")
    assert "hold-screws-not-counted" in ids(found)
    layer = picture(found, own_layout(found)).split('data-layer="fixed"')[1].split("</g>")[0]
    assert layer.count('class="b-clamp"') == 4


def test_the_gravest_line_comes_first(bare: Path) -> None:
    """In the plan's lines every stop stands before every warning, and those before the notes."""
    words = [line.split(" ")[0] for line in run("plan", str(job_path(bare, "bittern"))).stdout.splitlines()]
    order = [word for word in words if word in ("STOP", "WARN", "NOTE")]
    assert order == sorted(order, key=["STOP", "WARN", "NOTE"].index)
    assert {"STOP", "WARN", "NOTE"} <= set(order)
