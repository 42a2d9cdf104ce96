"""Where the cutter is, and when: the rehearsal tells what motion worked out, not a story of its own."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.program.motion import move_lengths, times
from generator.program.moves import LOST
from generator.program.setup import Setup
from generator.program.state import UNKNOWN, Start
from generator.rehearsal.clock import ASSUMED_RAPID, clock_of, time_at
from generator.rehearsal.pack import PLACE_STEP, pack, unpack
from generator.rehearsal.track import ARC_ERROR, WAIT, Track, thinned
from tests.program.make import read
from tests.rehearsal.make import dibber, played, setup

ZIGZAG = "G21 G90 G0 X0 Y0 Z5\nG1 F600\n" + "".join(f"G1 X{i * 7 % 50} Y{i} Z{-(i % 5)}\n" for i in range(1, 300))


@pytest.mark.parametrize("text", [dibber(), ZIGZAG], ids=["dibber board", "zigzag"])
def test_the_whole_run_takes_the_time_motion_estimates(text: str) -> None:
    """The last move ends after the likely time of motion, with the programmed waits on top."""
    program, clock, _ = played(text)
    waits = sum(event.value for event in program.events if event.code == "G4")
    likely = times(program.moves, move_lengths(program.moves), setup()).likely
    assert likely is not None
    assert clock.ends[-1] == pytest.approx(60 * likely + waits, rel=1e-9)


def test_without_an_acceleration_nothing_slows_down() -> None:
    """Then every move takes its length over its speed, and the clock says that this was left out."""
    around = setup(acceleration=None)
    program, clock, _ = played(ZIGZAG, around)
    taken = times(program.moves, move_lengths(program.moves), around)
    assert taken.rapid_low is not None
    assert clock.ends[-1] == pytest.approx(60 * (taken.cut_low + taken.rapid_low), rel=1e-9)
    assert not clock.slows_down


def test_an_unknown_rapid_speed_is_assumed_and_said() -> None:
    """A rapid of 100 mm then takes 100 mm over the assumed speed."""
    _, clock, _ = played("G21 G90\nG0 X100 Y0 Z20\n", Setup())
    assert clock.rapid_assumed
    assert clock.ends[-1] == pytest.approx(100 / ASSUMED_RAPID * 60)


# From rest, s = v2 / 2a and t = v / a (uniform acceleration, any school mechanics; worked out by hand): at 500 mm/s2,
# 100 mm/s is reached after 0.2 s and 10 mm. Over 100 mm: 0.2 s up, 80 mm at speed in 0.8 s, 0.2 s down.
@pytest.mark.parametrize(
    ("covered", "seconds"), [(0, 0), (10, 0.2), (50, 0.6), (90, 1.0), (100, 1.2), (2.5, 0.1), (97.5, 1.1)]
)
def test_speeding_up_and_slowing_down_follow_the_trapezoid(covered: float, seconds: float) -> None:
    """Times along one move agree with uniform acceleration."""
    assert time_at(covered, 100, 100, 500) == pytest.approx(seconds, abs=1e-9)


def test_a_move_too_short_for_its_speed_turns_round_in_the_middle() -> None:
    """10 mm at 500 mm/s2 with no limit in reach: half of it after sqrt(2 * 5 / 500) s, all of it after twice that."""
    half = math.sqrt(2 * 5 / 500)
    assert time_at(5, 10, 1e6, 500) == pytest.approx(half)
    assert time_at(10, 10, 1e6, 500) == pytest.approx(2 * half)


@pytest.mark.parametrize("text", [dibber(), ZIGZAG], ids=["dibber board", "zigzag"])
def test_every_move_ends_where_motion_ends_it(text: str) -> None:
    """At the end of each move's time the cutter stands at that move's end."""
    program, clock, track = played(text)
    for index, end in enumerate(clock.ends):
        later = clock.ends[index + 1] if index + 1 < len(clock.ends) else end
        if later > end and index + 1 not in clock.waits:
            assert track.at(end) == pytest.approx(program.moves.end(index), abs=1e-6)


def test_between_two_ends_the_cutter_is_on_the_straight_line() -> None:
    """Halfway through the time of a straight move it is halfway along."""
    _, clock, track = played("G21 G90 G94\nG1 X100 Y50 Z10 F600\n")
    assert track.at(clock.ends[0] / 2) == pytest.approx((50, 25, 15))


def test_arcs_are_followed_closely() -> None:
    """Every point of an arc lies on its circle, and chords leave it by no more than is stated."""
    _, _, track = played("G21 G90 G17 G94\nG0 X0 Y0 Z0\nG2 X0 Y0 I30 J0 F600\n")
    points = [track.place(index) for index in range(2, len(track))]
    assert all(math.hypot(x - 30, y) == pytest.approx(30, abs=1e-6) for x, y, _ in points)
    middles = [math.hypot((a[0] + b[0]) / 2 - 30, (a[1] + b[1]) / 2) for a, b in pairwise(points)]
    assert 30 - min(middles) <= ARC_ERROR + 1e-9


def test_a_wait_keeps_the_cutter_where_it_is() -> None:
    """During G4 the place does not change and the clock goes on."""
    _, clock, track = played("G21 G90 G94\nG1 X10 Y0 Z20 F600\nG4 P3\nG1 X20\n")
    assert track.kind.count(WAIT) == 1
    assert track.at(clock.ends[0] + 1) == track.at(clock.ends[0] + 2.9) == (10.0, 0.0, 20.0)


def test_an_unknown_start_is_a_gap_and_not_a_line_from_nowhere() -> None:
    """Until all three axes are known nothing is drawn; the first known point has no line leading to it."""
    program = read("G21 G90 G94\nG0 Z20\nG0 X5 Y6\nG1 X9 F600\n", Start(position=UNKNOWN))
    _, _, track = played("G21 G90 G94\nG0 Z20\nG0 X5 Y6\nG1 X9 F600\n", start=Start(position=UNKNOWN))
    assert len(program.moves) == 3
    assert [track.place(index) for index in range(len(track))] == [(5.0, 6.0, 20.0), (9.0, 6.0, 20.0)]
    assert track.kind[0] == LOST
    assert clock_of(program, setup()).ends[0] == 0.0


@given(st.lists(st.floats(-5000, 5000), max_size=60))
def test_packing_keeps_every_place(values: list[float]) -> None:
    """A packed column comes back within half a micrometre."""
    back = unpack(pack(values, PLACE_STEP), PLACE_STEP)
    assert len(back) == len(values)
    assert all(abs(one - two) <= 0.0005 + 1e-9 for one, two in zip(values, back, strict=True))


@given(st.lists(st.integers(0, 2**40), max_size=40))
def test_packing_keeps_whole_numbers(values: list[int]) -> None:
    """Line and move numbers come back as they were, however large."""
    assert list(unpack(pack(values, 1), 1)) == values


def long_track(count: int) -> Track:
    """A wavy path of `count` points with one deep and one far point."""
    track = Track()
    for i in range(count):
        deep = -11.0 if i == count // 3 else -3 + math.sin(i / 90)
        far = 340.0 if i == count // 2 else 180 + 100 * math.cos(i / 250)
        track.add((far, 130 + 80 * math.sin(i / 250), deep), i * 0.1, 1, i, i + 1)
    return track


def test_a_long_path_is_thinned_within_what_it_says() -> None:
    """Few enough points stay, and each one left out lies within the stated distance of one that was kept before it."""
    whole = long_track(30_000)
    thin = thinned(whole, (777,), 5_000)
    assert len(thin) <= 5_000
    assert thin.left_out == len(whole) - len(thin)
    kept = {move: thin.place(index) for index, move in enumerate(thin.move)}
    last = thin.place(0)
    for index in range(len(whole)):
        last = kept.get(whole.move[index], last)
        assert math.dist(last, whole.place(index)) <= thin.error + 1e-9


def test_thinning_keeps_extremes_ends_and_what_is_pointed_at() -> None:
    """The deepest and furthest points, both ends, and the line of a finding are still there."""
    whole = long_track(30_000)
    thin = thinned(whole, (777,), 5_000)
    for axis in ("x", "y", "z"):
        assert min(getattr(thin, axis)) == min(getattr(whole, axis))
        assert max(getattr(thin, axis)) == max(getattr(whole, axis))
    assert thin.t[-1] == whole.t[-1]
    assert 777 in thin.line


def test_a_short_path_is_left_alone() -> None:
    """Nothing is left out where nothing needs to be."""
    whole = long_track(500)
    assert thinned(whole, (), 5_000) is whole
