"""Where the holding engine and a calculator of the content work out the same thing, they say the same."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.calc import Answer, solve
from generator.course import load_course
from generator.expr import Value
from generator.facts import FACTS
from generator.hold.bending import (
    Pull,
    axial_lift,
    mid_span_lift,
    overhang_lift,
    strip_width,
    widest_span,
)
from generator.hold.given import exactly
from generator.hold.tabs import bending_stress, shear_capacity
from generator.holding.content_numbers import as_number, constant, fallback, wanted_of

CALCULATORS = load_course().library.calculators
NOTHING: dict[str, Value] = dict.fromkeys(FACTS)


def solved(id_: str, **entered: Value) -> Answer:
    return solve(CALCULATORS[id_], NOTHING, entered)


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


@settings(max_examples=100, deadline=None)
@given(width=numbers(1, 20), height=numbers(1, 10), kerf=numbers(1, 12), shear=numbers(1, 15), count=st.integers(2, 12))
def test_tabs(width: float, height: float, kerf: float, shear: float, count: int) -> None:
    """hold/tabs.py: shear of the tabs and bending stress are those of the calculator `tabs`."""
    found = solved("tabs", z_zero="bed", tab_height=height, overcut=0.0, count=float(count), width=width, diameter=kerf,
                   shear=shear, force=40.0)  # fmt: skip
    assert found["strength"] == pytest.approx(count * shear_capacity(width, height, shear))
    assert found["bend_stress"] == pytest.approx(bending_stress(40.0 / count, height, width, kerf))


@settings(max_examples=100, deadline=None)
@given(
    lift=numbers(1, 100), span=numbers(50, 900), width=numbers(20, 900), thickness=numbers(2, 25), stiffness=numbers(500, 12_000),
)  # fmt: skip
def test_lift_between_hold_downs(lift: float, span: float, width: float, thickness: float, stiffness: float) -> None:
    """hold/bending.py: lift midway and at a free end and the widest span are those of the calculator
    `lift-between-clamps`."""
    found = solved("lift-between-clamps", lift=lift, span=span, width=width, thickness=thickness, stiffness=stiffness)
    carrying = strip_width(width, span)
    assert found["width_carrying"] == pytest.approx(carrying)
    assert found["bend"] == pytest.approx(mid_span_lift(lift, span, stiffness, carrying, thickness))
    assert found["bend_end"] == pytest.approx(overhang_lift(lift, span, stiffness, carrying, thickness))
    limit, most = as_number(found["limit"]), as_number(found["span_most"])
    assert limit is not None
    assert most is not None
    # the calculator keeps its own span's width, ours the width of the span found, so it never promises more
    assert most <= widest_span(lift, limit, stiffness, width, thickness) * (1 + 1e-9)


@settings(max_examples=50, deadline=None)
@given(helix=numbers(0, 45), pull=st.sampled_from(["up", "none", "down"]))
def test_lift_of_a_spiral(helix: float, pull: str) -> None:
    """hold/bending.py: the upward pull of a spiral is the lift of the calculator `cutting-force`, nothing where it presses."""
    found = solved("cutting-force", helix=helix, pull=pull)
    edge = found["tooth_force"]
    assert isinstance(edge, float)
    assert axial_lift(exactly(edge), helix, Pull(pull)).low == pytest.approx(
        max(0.0, float(found["lift"] or 0)), abs=1e-9
    )


def test_margin_and_friction_come_from_the_clamp_count() -> None:
    """The vacuum, tape and tabs pages ask for the margin of the calculator `clamp-count`, and vacuum slips at its
    friction."""
    wanted = wanted_of(CALCULATORS)
    assert {constant(CALCULATORS, id_, "safety") for id_ in ("vacuum", "tape", "tabs")} == {wanted.margin}
    assert fallback(CALCULATORS, "vacuum", "friction") == wanted.friction.expected
    assert wanted.friction.low == constant(CALCULATORS, "clamp-count", "friction_worst")
