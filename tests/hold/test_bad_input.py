"""Input that no workshop can mean is refused by name; input that is merely dangerous comes back as a finding."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from msgspec.structs import replace

from generator.hold import planar
from generator.hold.along import held_force
from generator.hold.given import NONE, Band, HoldInputError, Load, Pad, Point, Setup, Stop, exactly
from generator.hold.grip import GripUnsureError, grip
from generator.hold.layout import fewest_clamps, review
from generator.hold.margin_map import margin_map
from generator.hold.pads import screw, tape, vacuum
from tests.hold.make import BOARD, clamped

CORNERS: list[Point] = [(10.0, 10.0), (290.0, 190.0)]
HERE = [(150.0, 100.0)]

REFUSED: dict[str, Callable[[], object]] = {
    "a path with a number missing": lambda: grip(clamped(CORNERS), [(1.0, math.nan)]),
    "a path that never ends": lambda: grip(clamped(CORNERS), [(1.0, math.inf)]),
    "an empty path": lambda: grip(clamped(CORNERS), []),
    "a path in three dimensions": lambda: grip(clamped(CORNERS), np.zeros((4, 3))),
    "a clamp nowhere": lambda: Pad(at=(math.nan, 0.0)),
    "a force that is no number": lambda: exactly(math.nan),
    "a negative press": lambda: exactly(-1.0),
    "a band that falls": lambda: Band(3.0, 2.0, 1.0),
    "no cutting force": lambda: Load(sideways=NONE, lift=NONE, height=1.0),
    "a cut below the bed": lambda: Load(sideways=exactly(1), lift=NONE, height=-1.0),
    "a board of two corners": lambda: replace(clamped([]), outline=((0.0, 0.0), (1.0, 0.0))),
    "a board at infinity": lambda: replace(clamped([]), outline=((0.0, 0.0), (math.inf, 0.0), (1.0, 1.0))),
    "a weightless board turned round": lambda: replace(clamped([]), weight=-5.0),
    "a stop that pushes nowhere": lambda: Stop(at=(0, 0), push=(0, 0), capacity=exactly(1)),
    "a force without direction": lambda: held_force(clamped(CORNERS), (1, 1), (0, 0)),
    "a map of one column": lambda: margin_map(clamped(CORNERS), 1, 40),
    "a wanted margin of nothing": lambda: fewest_clamps(clamped([]), [], HERE, 0.0, 2),
    "no clamp to review": lambda: review(clamped([]), [], [], HERE),
    "tape with no area": lambda: tape(((0, 0), (1, 0), (2, 0)), exactly(15)),
    "a leak that is no number": lambda: vacuum(BOARD, exactly(50), leak_area=math.nan),
}


@pytest.mark.parametrize("what", REFUSED, ids=str)
def test_it_is_refused_in_words(what: str) -> None:
    """The error is ours, with a sentence for the user."""
    with pytest.raises(HoldInputError) as refused:
        REFUSED[what]()
    assert len(str(refused.value)) > 15


def ids(setup: Setup, path: list[Point], cutter_radius: float = 0.0) -> list[str]:
    return [finding.id for finding in grip(setup, path, cutter_radius).findings]


def test_a_clamp_off_the_board_is_found() -> None:
    """A clamp that presses beside the board is named with its place."""
    finding = grip(clamped([(10, 10), (310, 100)]), HERE).findings[0]
    assert finding.id == "hold-clamp-off-board"
    assert "(310, 100)" in finding.says
    assert finding.mend


def test_zero_friction_holds_nothing_and_says_so() -> None:
    """Without friction pressing does not hold: margin nothing, finding, no crash."""
    answer = grip(clamped(CORNERS, friction=0.0), HERE)
    assert answer.margin.low == 0
    assert [finding.id for finding in answer.findings] == ["hold-no-friction"]


def test_a_bare_board_holds_nothing_and_says_so() -> None:
    """No hold-down at all: margin nothing, finding, no crash."""
    answer = grip(clamped([]), HERE)
    assert answer.margin.low == 0
    assert [finding.id for finding in answer.findings] == ["hold-nothing"]


def test_a_path_outside_the_stock_is_found() -> None:
    """A path that leaves the board is found, one cutter radius round it is not."""
    along_the_edge = [(-3.0, -3.0), (303.0, -3.0), (303.0, 203.0)]
    assert ids(clamped(CORNERS), [(150.0, 100.0), (150.0, 260.0)]) == ["hold-path-outside-stock"]
    assert ids(clamped(CORNERS), [(-3.0, 100.0), (303.0, 100.0)], cutter_radius=3.0) == []
    assert ids(clamped(CORNERS), along_the_edge, cutter_radius=5.0) == []


def test_all_pads_in_one_place_do_not_crash() -> None:
    """Clamps on one point, and a cut on that very point, give an answer: no couple is held there."""
    answer = grip(clamped([(150, 100), (150, 100)]), HERE)
    assert answer.margin.low == pytest.approx(0, abs=1e-6)
    assert grip(clamped([(150, 100)], lift=0, height=0), HERE).lower == pytest.approx(125 / 60, rel=2e-3)


def test_bounds_that_do_not_meet_are_never_reported(monkeypatch: pytest.MonkeyPatch) -> None:
    """If the search stops before its bounds agree within 2 %, there is an error by name and no margin."""
    monkeypatch.setattr(planar, "MOST_ROUNDS", 0)
    with pytest.raises(GripUnsureError, match="too far apart"):
        grip(clamped([(10, 10), (290, 20), (150, 190)]), [(250.0, 150.0)])


def test_stops_alone_hold_nothing_away_from_them() -> None:
    """A board that only leans against stops has no margin, because it can be pulled away from them."""
    setup = clamped([], stops=(Stop(at=(0, 100), push=(1, 0), capacity=exactly(500)),))
    assert grip(setup, HERE).margin.low == 0


def test_a_screw_s_head_uses_up_part_of_its_thread() -> None:
    """What the head already clamps is no longer there against lift."""
    pad = screw((0, 0), exactly(100), exactly(300), press=exactly(120))
    assert pad.pull.low == 180
