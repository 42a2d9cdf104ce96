"""Laws the grip must keep whatever the layout, and an independent solver's answer for random ones."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from generator.hold.along import held_force
from generator.hold.given import Case, Pad, Point, Setup, Stop, exactly
from generator.hold.grip import Rule, grip
from generator.hold.margin_map import margin_map
from tests.hold.make import BOARD, clamped, gripped, numbers, places, polygon_factor, weak

LAYOUTS = st.lists(places(), min_size=2, max_size=6, unique=True)
PATHS = st.lists(places(), min_size=1, max_size=8)
CONTACTS = st.lists(st.tuples(places(), numbers(20, 100)), min_size=1, max_size=5, unique_by=lambda pair: pair[0])
# the answer is certified to one part in a thousand from below
CLOSE = 2.5e-3
WAYS = ((-1, 0), (1, 0))


def moved(setup: Setup, angle: float, by: Point) -> Setup:
    def at(point: Point) -> Point:
        c, s = math.cos(angle), math.sin(angle)
        return (c * point[0] - s * point[1] + by[0], s * point[0] + c * point[1] + by[1])

    pads = tuple(replace(pad, at=at(pad.at)) for pad in setup.pads)
    return replace(setup, pads=pads, outline=tuple(at(corner) for corner in setup.outline))


@settings(max_examples=30, deadline=None)
@given(LAYOUTS, PATHS, numbers(0, 6), places(-500, 500))
def test_the_frame_does_not_matter(layout: list[Point], path: list[Point], angle: float, by: Point) -> None:
    """Moving and turning board, clamps and path together leaves the margin as it was."""
    setup = clamped(layout)
    other = moved(setup, angle, by)
    there = moved(clamped(path), angle, by)
    here = grip(setup, path).lower
    assert grip(other, [pad.at for pad in there.pads]).lower == pytest.approx(here, rel=CLOSE, abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(LAYOUTS, PATHS, numbers(0.1, 20))
def test_only_the_ratio_of_forces_matters(layout: list[Point], path: list[Point], factor: float) -> None:
    """Clamps, weight and cutting force all grown by one factor leave the margin as it was."""
    setup = clamped(layout)
    pads = tuple(replace(pad, press=pad.press.times(factor)) for pad in setup.pads)
    load = replace(setup.load, sideways=setup.load.sideways.times(factor), lift=setup.load.lift.times(factor))
    grown = replace(setup, pads=pads, load=load, weight=setup.weight * factor)
    assert grip(grown, path).lower == pytest.approx(grip(setup, path).lower, rel=CLOSE, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(LAYOUTS, PATHS, places(), numbers(0, 800))
def test_one_more_pad_never_lowers_the_margin(layout: list[Point], path: list[Point], at: Point, press: float) -> None:
    """A hold-down that is added can only help, with lift, tipping and all."""
    setup = clamped(layout)
    more = replace(setup, pads=(*setup.pads, Pad(at=at, press=exactly(press))))
    assert grip(more, path).upper >= grip(setup, path).lower * (1 - 1e-6)


@settings(max_examples=20, deadline=None)
@given(LAYOUTS, st.lists(places(), min_size=1, max_size=12))
def test_the_hull_of_the_path_rules(layout: list[Point], path: list[Point]) -> None:
    """The margin over a path, worked out on its hull alone, is the least of the margins of all its points."""
    setup = clamped(layout)
    each = [grip(setup, [point]) for point in path]
    whole = grip(setup, path)
    assert whole.lower <= min(answer.upper for answer in each) * (1 + 1e-9) + 1e-12
    assert whole.upper >= min(answer.lower for answer in each) * (1 - 1e-9)


@settings(max_examples=30, deadline=None)
@given(LAYOUTS, places(), places(), numbers(0, 1))
def test_the_reciprocal_of_the_margin_is_convex_in_the_place(
    layout: list[Point], a: Point, b: Point, share: float
) -> None:
    """Between two places the margin is never worse than the two margins mixed harmonically."""
    setup = clamped(layout)
    between = (a[0] * (1 - share) + b[0] * share, a[1] * (1 - share) + b[1] * share)
    ends = [grip(setup, [point]).lower for point in (a, b)]
    if min(ends) <= 0:
        return
    mixed = 1 / ((1 - share) / ends[0] + share / ends[1])
    assert grip(setup, [between]).upper >= mixed * (1 - 1e-6)


@settings(max_examples=30, deadline=None)
@given(LAYOUTS, PATHS)
def test_the_bounds_enclose_and_agree(layout: list[Point], path: list[Point]) -> None:
    """Lower and upper bound of every answer lie in order and within one part in two hundred."""
    answer = grip(clamped(layout), path)
    assert answer.lower <= answer.upper
    assert answer.upper - answer.lower <= 5e-3 * answer.upper + 1e-9


@settings(max_examples=25, deadline=None)
@given(CONTACTS, places(), numbers(0, 6.2))
def test_a_force_in_one_direction_agrees_with_a_linear_programme(
    contacts: list[tuple[Point, float]], place: Point, angle: float
) -> None:
    """scipy's linear programme with inscribed 720-gons gives the held force, less at most its own polygon loss."""
    way = (math.cos(angle), math.sin(angle))
    bounds = held_force(gripped(contacts), place, way)
    programme = polygon_factor(contacts, place, way)
    assert bounds.upper >= programme * (1 - 1e-6) - 1e-6
    assert bounds.lower <= programme / math.cos(math.pi / 720) * (1 + 1e-6) + 1e-6


@settings(max_examples=12, deadline=None)
@given(CONTACTS, places(), numbers(0, 2000), st.booleans())
def test_the_worst_direction_agrees_with_a_linear_programme(
    contacts: list[tuple[Point, float]], place: Point, lift_share: float, with_stop: bool
) -> None:
    """Tried in 48 directions, no direction of the linear programme is weaker than our margin, and none far from it."""
    stops = (Stop(at=(0, 100), push=(1, 0.2), capacity=exactly(300), friction=exactly(0.2)),) if with_stop else ()
    sides = 90
    answer = grip(gripped(contacts, stops=stops), [place])
    angles = [2 * math.pi * k / 48 for k in range(48)]
    tried = min(polygon_factor(contacts, place, (math.cos(a), math.sin(a)), sides=sides, stops=stops) for a in angles)
    assert answer.lower <= tried / math.cos(math.pi / sides) * (1 + 1e-6) + 1e-6
    # a ray at most pi/48 from the weakest direction leaves the half-plane that the weakest direction bounds
    assert answer.upper >= tried * math.cos(math.pi / 48) - 1e-6


@settings(max_examples=15, deadline=None)
@given(CONTACTS, places())
def test_lift_costs_what_its_force_and_couple_cost(contacts: list[tuple[Point, float]], place: Point) -> None:
    """With lift the margin is that of the larger force with the couple of lost friction, by linear programme too."""
    pads = tuple(Pad(at=at, press=exactly(limit / 0.2)) for at, limit in contacts)
    setup = replace(clamped([(1, 1)], lift=40, friction=0.2, height=0.0, sideways=30), pads=pads)
    answer = grip(setup, [place])
    couple = 0.2 * 40 * max(math.dist(place, corner) for corner in BOARD)
    tried = min(
        polygon_factor(contacts, place, (38 * math.cos(a), 38 * math.sin(a)), sense * couple, sides=60)
        for a in [2 * math.pi * k / 24 for k in range(24)] for sense in (1, -1)
    )  # fmt: skip
    assert answer.sideways <= tried / math.cos(math.pi / 60) * (1 + 1e-6) + 1e-9


@settings(max_examples=12, deadline=None)
@given(LAYOUTS)
def test_the_map_shows_the_margin_of_each_place(layout: list[Point]) -> None:
    """Every crossing of the map shows the margin of a cut there, to one per cent on the safe side."""
    setup = clamped(layout)
    shown = margin_map(setup, 3, 2)
    for row, y in enumerate(shown.y):
        for column, x in enumerate(shown.x):
            answer = grip(setup, [(float(x), float(y))])
            assert shown.margin[row, column] <= answer.upper * (1 + 1e-9) + 1e-12
            assert shown.margin[row, column] >= answer.lower * 0.99 - 1e-12


def test_every_point_of_a_long_path_agrees_with_its_hull() -> None:
    """A wandering path of 120 points: the least margin of all its points is the margin of its hull."""
    rng = np.random.default_rng(7)
    steps = rng.normal(0, 12, (120, 2))
    path = np.clip(np.array([150, 100]) + np.cumsum(steps, axis=0), (10, 10), (290, 190))
    setup = clamped([(10, 10), (290, 20), (280, 190)])
    least = min(grip(setup, [tuple(point)]).lower for point in path.tolist())
    assert grip(setup, path).lower == pytest.approx(least, rel=CLOSE)


def test_area_patches_err_on_the_safe_side_and_come_closer_when_finer() -> None:
    """A round patch cut into point pads holds less moment than 2/3 mu N R, and finer pads miss less of it."""
    held = []
    for across in (4, 8, 16, 32):
        steps = (np.arange(across) + 0.5) / across * 200 - 100
        at = [(float(x), float(y)) for x in steps for y in steps if math.hypot(x, y) <= 100]
        setup = gripped([(point, 1000 / len(at)) for point in at])
        far = held_force(setup, (0.0, 1e6), (1.0, 0.0)).lower * 1e6
        held.append(far)
    assert held[-1] == pytest.approx(2 / 3 * 1000 * 100, rel=0.01)
    assert abs(held[-1] - 66_667) < abs(held[0] - 66_667)


def test_the_pivot_is_where_the_board_would_turn() -> None:
    """Two clamps on one side act as a hinge: a cut far from them turns the board about one of the clamps."""
    answer = grip(clamped([(10, 60), (10, 140)], press=800), [(280, 100)])
    assert answer.rules is Rule.TURNING
    assert answer.pivot is not None
    assert min(math.dist(answer.pivot, (10, 60)), math.dist(answer.pivot, (10, 140))) < 25


def test_a_centred_cut_slides() -> None:
    """With the clamps spread evenly round the cut the board slides as a whole, and no pivot is given."""
    answer = grip(clamped([(10, 10), (290, 10), (290, 190), (10, 190)], lift=0), [(150, 100)])
    assert answer.rules is Rule.SLIDING
    assert answer.pivot is None


def test_a_weak_hold_against_lift_is_named() -> None:
    """A light board under strong lift and little press comes off the bed; pressed at one end it tips."""
    round_it = ((140, 100), (160, 100), (150, 110), (150, 90))
    shank = tuple(Pad(at=at, press=exactly(5), grip=exactly(1e4)) for at in round_it)
    level = replace(clamped([], lift=60, height=0.0), pads=shank)
    assert grip(level, [(150, 100)]).rules is Rule.LIFT
    hinge = tuple(Pad(at=at, press=exactly(60), grip=exactly(1e4)) for at in ((10, 60), (10, 140)))
    tipping = grip(replace(clamped([], lift=40), pads=hinge), [(280, 100)])
    assert tipping.rules is Rule.TIPPING
    assert tipping.worst_direction == pytest.approx((-1.0, 0.0))


def test_a_stop_helps_only_against_what_it_faces() -> None:
    """A stop raises the force held towards it and leaves the force away from it as it was."""
    stop = Stop(at=(0, 100), push=(1, 0), capacity=exactly(500))
    alone, backed = clamped([(150, 100)]), clamped([(150, 100)], stops=(stop,))
    gain = {way: held_force(backed, (150, 100), way).lower - held_force(alone, (150, 100), way).lower for way in WAYS}
    assert gain == pytest.approx({(-1, 0): 500, (1, 0): 0}, abs=0.5)


def test_the_band_rises_from_the_careful_end() -> None:
    """Weak clamps with little friction under a hard cut give the low end; the answer's details belong to it."""
    setup = replace(
        clamped([(10, 10), (290, 190)]), pads=tuple(Pad(at=at, press=weak(200, 900)) for at in ((10, 10), (290, 190))),
        bed_friction=weak(0.12, 0.4),
    )  # fmt: skip
    answer = grip(setup, [(150, 100), (200, 150)])
    assert answer.margin.low == answer.lower
    assert answer.margin.low < answer.margin.expected < answer.margin.high
    assert margin_map(setup, 3, 3, Case.HIGH).margin.min() > margin_map(setup, 3, 3).margin.min()
