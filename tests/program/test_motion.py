"""Lengths, times and the travel box, against mechanics and geometry."""

from __future__ import annotations

import math

import pytest

from generator.program.motion import move_lengths, times, trapezoid_s
from generator.program.moves import arc_points
from generator.program.setup import Setup, travel_box
from tests.program.make import facts, read

HEAD = "G21 G90 G17 G94\nG0 X0 Y0 Z0\n"


@pytest.mark.parametrize(
    ("length", "speed", "acceleration", "seconds"),
    [
        # 300 mm at 50 mm/s and 500 mm/s2: D/v + v/a. Source: "Trajectory planner: trapezoidal velocity profile"
        # (equation set read; the numbers are ours).
        (300, 50, 500, 6.1),
        # Too short to reach the speed: 2 sqrt(D/a), the triangular profile of the same source; peak sqrt(a D).
        (4, 200, 500, 2 * math.sqrt(4 / 500)),
        # The boundary: exactly reached, both forms agree.
        (5, 50, 500, 0.2),
    ],
)
def test_time_from_rest_to_rest(length: float, speed: float, acceleration: float, seconds: float) -> None:
    """The trapezoidal profile gives D/v + v/a, the triangular one 2 sqrt(D/a)."""
    assert trapezoid_s(length, speed, acceleration) == pytest.approx(seconds, rel=1e-9)


def test_the_triangle_peaks_where_the_handbook_says() -> None:
    """4 mm at 500 mm/s2 peaks at 44.721 mm/s (trade-press worked value, 'How to calculate velocity from triangular
    and trapezoidal move profiles'): at that speed limit both forms give one time."""
    assert trapezoid_s(4, 44.721, 500) == pytest.approx(trapezoid_s(4, 1000, 500), rel=1e-6)


def test_the_likely_time_lies_between_its_bounds() -> None:
    """Stopping after every move takes longest, never slowing down is shortest, and a straight line in many pieces
    takes as long as in one."""
    setup = Setup(rapid=6000, acceleration=500)
    pieces = read(HEAD + "".join(f"G1 X{x} F1200\n" for x in range(1, 101)) + "M2\n")
    whole = read(HEAD + "G1 X100 F1200\nM2\n")
    many = times(pieces.moves, move_lengths(pieces.moves), setup)
    one = times(whole.moves, move_lengths(whole.moves), setup)
    assert many.likely == pytest.approx(one.likely)
    assert many.cut_low == pytest.approx(100 / 1200)
    assert many.high is not None
    assert many.likely is not None
    assert many.cut_low < many.likely < many.high


def test_corners_cost_time() -> None:
    """A zigzag of right angles takes the time of its sides from rest to rest."""
    text = HEAD + "G1 X10 F3000\nY10\nX20\nY20\nM2\n"
    program = read(text)
    taken = times(program.moves, move_lengths(program.moves), Setup(rapid=6000, acceleration=500))
    assert taken.likely == pytest.approx(4 * trapezoid_s(10, 50, 500) / 60)
    assert taken.likely == pytest.approx(taken.high)


def test_an_arc_is_no_faster_than_its_radius_allows() -> None:
    """On a 2 mm radius at 500 mm/s2 the speed stays at sqrt(a r) = 31.623 mm/s, whatever the feed."""
    program = read(HEAD + "G2 X0 Y0 I2 J0 F6000\nM2\n")
    taken = times(program.moves, move_lengths(program.moves), Setup(rapid=6000, acceleration=500))
    assert taken.cut_low * 60 == pytest.approx(math.tau * 2 / 31.6228, rel=1e-5)


def test_machine_limits_slow_a_move_down() -> None:
    """A plunge at F1200 on a machine with 300 mm/min in Z takes four times as long, a ramp in proportion."""
    program = read(HEAD + "G1 Z-5 F1200\nM2\n")
    lengths = move_lengths(program.moves)
    assert times(program.moves, lengths, Setup(feed_max_z=300, rapid=5000)).cut_low == pytest.approx(5 / 300)
    assert facts(HEAD + "G1 Z-5 F1200\nM2\n", Setup(feed_max_z=300))["count.z_feed_too_high"] == 1
    assert facts(HEAD + "G1 X5 F1200\nM2\n", Setup(feed_max_z=300, feed_max_xy=1000))["count.feed_too_high"] == 1


def test_unknown_rates_leave_the_time_open() -> None:
    """Without rapid rate or acceleration there is a lower bound and no likely time."""
    found = facts(HEAD + "G0 X100\nG1 X0 F100\nM2\n", Setup())
    assert found["program.time_min"] is None
    assert found["program.time_low_min"] == pytest.approx(1.0)


def test_a_helix_is_as_long_as_its_unrolled_triangle() -> None:
    """Length is sqrt((r sweep)^2 + drop^2), and points along it keep radius and even drop."""
    program = read(HEAD + "G3 X0 Y0 Z-6 I-4 J0 F100\nM2\n")
    assert move_lengths(program.moves)[-1] == pytest.approx(math.hypot(math.tau * 4, 6))
    move = list(program.moves)[-1]
    points = arc_points(move)
    assert all(math.dist(point[:2], (-4, 0)) == pytest.approx(4) for point in points)
    assert points[-1] == move.end
    half = points[len(points) // 2 - 1]
    assert half[2] == pytest.approx(-6 * (len(points) // 2) / len(points))


def test_travel_counts_up_or_down_from_the_homed_corner() -> None:
    """Positive machines count up from it, negative ones down to it; without signs or a length nothing is known."""
    assert travel_box((600, 400, 80), "positive") == ((0, 0, 0), (600, 400, 80))
    assert travel_box((600, 400, 80), "negative") == ((-600, -400, -80), (0, 0, 0))
    assert travel_box((600, 400, 80), "unknown") == ((None, None, None), (None, None, None))
    assert travel_box((600, None, 80), "negative") == ((-600, None, -80), (0, None, 0))
