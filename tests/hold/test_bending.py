"""Lift and bending between hold-downs."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.hold.bending import (
    Pull,
    SheetStiffness,
    axial_lift,
    bending,
    compare_pulls,
    mid_span_lift,
    overhang_lift,
    strip_width,
    widest_gap,
    widest_span,
)
from generator.hold.given import HoldInputError, exactly
from tests.hold.make import numbers

# E of MDF and plywood: USDA Wood Handbook FPL-GTR-190 (2010), Table 12-1
MDF = SheetStiffness(stiffness=exactly(3590), thickness=3, width=100)
PLY = SheetStiffness(stiffness=exactly(6960), thickness=6, width=100)
APART = [(0.0, 0.0), (300.0, 0.0)]


def test_thin_mdf_will_flutter() -> None:
    """3 mm MDF, 300 mm between clamps, 100 mm strip, 20 N: 13.9 mm by the formula, so it is called flutter."""
    answer = bending(APART, [(150.0, 0.0)], exactly(20), MDF, limit=0.2)
    assert answer.lift.high == pytest.approx(13.928, rel=1e-3)
    assert answer.flutters
    assert [finding.id for finding in answer.findings] == ["hold-flutter"]


def test_plywood_lifts_but_does_not_flutter() -> None:
    """6 mm plywood under the same lift rises 0.90 mm: too much, but within the formula."""
    answer = bending(APART, [(150.0, 0.0)], exactly(20), PLY, limit=0.2)
    assert answer.lift.high == pytest.approx(0.898, rel=1e-3)
    assert not answer.flutters
    assert [finding.id for finding in answer.findings] == ["hold-lifts-between"]
    assert f"{answer.widest:.0f} mm" in answer.findings[0].mend


def test_an_overhang_lifts_sixteen_times_as_much() -> None:
    """F L^3/(3 E I) at an end is 16 times P l^3/(48 E I) of the same length."""
    assert overhang_lift(20, 100, 3590, 100, 3) == pytest.approx(16 * mid_span_lift(20, 100, 3590, 100, 3))
    assert overhang_lift(20, 100, 3590, 100, 3) == pytest.approx(20 * 100**3 / (3 * 3590 * 100 * 27 / 12))


@settings(max_examples=60, deadline=None)
@given(numbers(1, 60), numbers(1, 10), numbers(2, 18), numbers(20, 400))
def test_the_widest_span_lifts_just_the_limit(force: float, stiffness: float, thickness: float, width: float) -> None:
    """At the advised span the sheet lifts exactly as much as is allowed."""
    span = widest_span(force, 0.2, 1000 * stiffness, width, thickness)
    assert mid_span_lift(force, span, 1000 * stiffness, strip_width(width, span), thickness) == pytest.approx(0.2)


def test_where_nothing_lifts_any_span_will_do() -> None:
    """Without lift the sheet stays down whatever the span."""
    answer = bending(APART, [(150.0, 0.0)], exactly(0), MDF, limit=0.2)
    assert answer.holds
    assert answer.widest == math.inf


def test_beyond_the_last_hold_down_another_is_wanted_there() -> None:
    """Where the sheet overhangs, a smaller span between hold-downs would not help and is not advised."""
    answer = bending(APART, [(600.0, 0.0)], exactly(20), PLY, limit=0.2)
    assert answer.overhang
    assert "far side of the cut" in answer.findings[0].mend


def test_up_cut_and_down_cut_are_compared() -> None:
    """The same cut lifts with an up-cut spiral and not with a straight or a down-cut one."""
    answers = compare_pulls(APART, [(150.0, 0.0)], exactly(12.6), 30, MDF, limit=0.2)
    assert not answers[Pull.UP].holds
    assert answers[Pull.NONE].holds
    assert answers[Pull.DOWN].holds


def test_the_lift_of_a_helix_is_its_tangent() -> None:
    """12 N at 30 degrees pull up by 6.93 N; a cutter that pulls both ways is taken at its pulling end."""
    assert axial_lift(exactly(12), 30, Pull.UP).low == pytest.approx(6.9282, rel=1e-4)
    assert axial_lift(exactly(12), 30, Pull.BOTH) == axial_lift(exactly(12), 30, Pull.UP)
    assert axial_lift(exactly(12), 30, Pull.DOWN).high == 0


def test_the_widest_gap_is_found_where_it_is() -> None:
    """Between four clamps the middle is the worst place; beyond them it is the overhang."""
    four = [(0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (0.0, 200.0)]
    place, span, overhang = widest_gap(four, [(150.0, 100.0), (5.0, 5.0)])
    assert (place, overhang) == ((150.0, 100.0), False)
    assert span == pytest.approx(math.hypot(300, 200))
    place, span, overhang = widest_gap(four, [(150.0, 100.0), (500.0, 100.0)])
    assert (place, overhang) == ((500.0, 100.0), True)
    assert span == pytest.approx(math.hypot(200, 100))


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(numbers(0, 300), numbers(0, 200)), min_size=2, max_size=5, unique=True), numbers(1, 40))
def test_a_thicker_sheet_never_lifts_more(hold_downs: list[tuple[float, float]], force: float) -> None:
    """Three times the thickness lifts 1/27 (S. J. Record, The Mechanical Properties of Wood, 1914)."""
    path = [(150.0, 100.0), (20.0, 180.0)]
    thin = bending(hold_downs, path, exactly(force), MDF, limit=0.2)
    thick = bending(
        hold_downs, path, exactly(force), SheetStiffness(stiffness=exactly(3590), thickness=9, width=100), 0.2
    )
    assert thick.lift.high == pytest.approx(thin.lift.high / 27)


@pytest.mark.parametrize("limit", [0.0, -1.0, math.nan])
def test_a_limit_that_is_none_is_refused(limit: float) -> None:
    """The lift to accept must be greater than nothing."""
    with pytest.raises(HoldInputError, match="most lift to accept"):
        bending(APART, [(150.0, 0.0)], exactly(20), MDF, limit)
