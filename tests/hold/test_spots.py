"""Where clamps and screws may stand."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from msgspec.structs import replace

from generator.finding import Severity
from generator.hold.given import HoldInputError, Point, exactly
from generator.hold.on_bed import beyond_travel, board_on_bed
from generator.hold.spots import ClampShape, CutterRoom, HoldDown, Rect, ScrewShape, allowed_spots

BOARD, BED = Rect(0, 0, 300, 200), Rect(-100, -100, 400, 300)
SLOTS = HoldDown(lines=tuple(((-90.0, float(y)), (390.0, float(y))) for y in (-40, 20, 100, 180, 240)))
CLAMP = ClampShape(press=exactly(400), reach=70, bite=10, half_width=12, top=15)
SCREW = ScrewShape(lateral=exactly(150), withdrawal=exactly(200))
ROOM = CutterRoom(cutter_radius=3, nut_radius=10, nut_height=30)


def square(x0: float, y0: float, x1: float, y1: float) -> list[Point]:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]


def distance(spot: Point, bolt: Point, path: list[Point]) -> float:
    """Distance of a clamp's body to the path by dense sampling of both."""
    body = np.linspace(spot, bolt, 200)
    walk = np.concatenate([np.linspace(a, b, 400) for a, b in itertools.pairwise(path)])
    return float(np.hypot(*(body[:, None, :] - walk[None, :, :]).transpose(2, 0, 1)).min())


def test_every_spot_is_on_the_board_reachable_and_clear() -> None:
    """Each foot stands its bite inside the board, its bolt beside it within reach on the bed, its body clear."""
    path = square(60, 50, 240, 150)
    found = allowed_spots(BOARD, BED, SLOTS, path, ROOM, clamp=CLAMP)
    assert len(found.spots) > 10
    for spot in found.spots:
        assert BOARD.holds(spot.pad.at, inset=10 - 1e-9)
        assert BED.holds(spot.bolt)
        assert not BOARD.holds(spot.bolt)
        assert math.dist(spot.bolt, spot.pad.at) <= 70
        assert distance(spot.pad.at, spot.bolt, path) >= 3 + 3 + 12 - 0.2


def test_a_low_nut_needs_more_room() -> None:
    """Where the nut comes lower than the clamp's top, clamps stay clear of the nut and not just of the cutter."""
    path = square(30, 30, 270, 170)
    high = allowed_spots(BOARD, BED, SLOTS, path, ROOM, clamp=CLAMP)
    low = allowed_spots(BOARD, BED, SLOTS, path, replace(ROOM, nut_height=10.0), clamp=CLAMP)
    assert len(low.spots) < len(high.spots)
    assert all(distance(spot.pad.at, spot.bolt, path) >= 10 + 3 + 12 - 0.2 for spot in low.spots)


def test_a_path_that_crosses_a_clamp_between_its_points_is_seen() -> None:
    """A long move between two far points still keeps clamps away from all of it."""
    found = allowed_spots(BOARD, BED, SLOTS, [(-50.0, 20.0), (350.0, 20.0)], ROOM, clamp=CLAMP)
    assert all(distance(spot.pad.at, spot.bolt, [(-50, 20), (350, 20)]) >= 17.8 for spot in found.spots)


def test_inserts_and_bed_edges_serve_like_slots() -> None:
    """Clamps stand on threaded inserts beside the board, and along the edges of the bed."""
    inserts = HoldDown(points=((-20.0, 100.0), (150.0, 100.0), (320.0, 100.0), (500.0, 100.0)))
    found = allowed_spots(BOARD, BED, inserts, [(150.0, 100.0)], ROOM, clamp=CLAMP)
    assert {spot.bolt for spot in found.spots} == {(-20.0, 100.0), (320.0, 100.0)}
    small_bed = Rect(-30, -30, 330, 230)
    edges = HoldDown(lines=(((-30, -30), (330, -30)), ((-30, 230), (330, 230))))
    assert allowed_spots(BOARD, small_bed, edges, [(150.0, 100.0)], ROOM, clamp=CLAMP).spots


def test_screws_stay_in_the_waste() -> None:
    """Screws keep off the parts, the path and the board's edge, and hold sideways and upwards."""
    part = square(80, 60, 220, 140)[:-1]
    found = allowed_spots(
        BOARD, BED, HoldDown(screws=True), [*part, part[0]], ROOM, screw=SCREW, parts=[part], pitch=20
    )
    assert found.spots
    for spot in found.spots:
        x, y = spot.pad.at
        assert not (80 - 5 < x < 220 + 5 and 60 - 5 < y < 140 + 5)
        assert BOARD.holds(spot.pad.at, inset=12 - 1e-9)
        assert (spot.pad.grip.low, spot.pad.pull.low) == (150, 200)


def test_the_shorter_arm_wins_for_one_foot() -> None:
    """Two slots that serve the same foot give one spot, with the bolt nearer to the board."""
    two = HoldDown(points=((-15.0, 100.0), (-50.0, 100.0)))
    found = allowed_spots(BOARD, BED, two, [(150.0, 100.0)], ROOM, clamp=CLAMP)
    assert [spot.bolt for spot in found.spots] == [(-15.0, 100.0)]


def test_no_allowed_spot_is_said_with_a_mend() -> None:
    """Where the cutter goes all round the edge no clamp has a place, and where no slot reaches neither."""
    crowded = allowed_spots(BOARD, BED, SLOTS, square(0, 0, 300, 200), ROOM, clamp=CLAMP)
    far = allowed_spots(BOARD, BED, HoldDown(points=((-90.0, -90.0),)), [(150.0, 100.0)], ROOM, clamp=CLAMP)
    for found in (crowded, far):
        assert not found.spots
        assert [finding.id for finding in found.findings] == ["hold-no-spot"]
        assert found.findings[0].mend


def test_a_board_larger_than_the_bed_is_said() -> None:
    """A board that does not fit, or lies beside the bed, is told with its size; it stops where most of it hangs over."""
    wide, aside = Rect(0, 0, 600, 200), Rect(150, 0, 450, 200)
    told = [
        next(iter(board_on_bed(board, BED))) for board in (wide, aside, Rect(0, 0, 1100, 200), Rect(300, 0, 600, 200))
    ]
    assert [one.id for one in told] == ["hold-board-larger-than-bed", "hold-board-off-bed"] * 2
    assert [one.severity for one in told] == [Severity.WARN, Severity.WARN, Severity.STOP, Severity.STOP]
    assert "1100 by 200 mm" in told[2].says
    assert "500 by 400 mm" in told[2].says
    assert not list(board_on_bed(BOARD, BED))


def test_a_path_beyond_the_machine_s_travel_is_said() -> None:
    """A board clamped where the machine cannot reach all of the path is found; inside the travel it is silent."""
    path = np.array(square(60, 50, 240, 150))
    (finding,) = beyond_travel(path, Rect(-50, -50, 230, 250))
    assert finding.id == "hold-path-beyond-travel"
    assert "in X the cuts go from 60 to 240 mm" in finding.says
    assert not list(beyond_travel(path, BED))


def test_an_empty_rectangle_is_refused() -> None:
    """A board without area is refused with its corners named."""
    with pytest.raises(HoldInputError, match="is empty"):
        Rect(0, 0, 0, 200)
