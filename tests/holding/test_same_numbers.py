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
    allowed_lift,
    axial_lift,
    mid_span_lift,
    overhang_lift,
    strip_width,
    widest_span,
)
from generator.hold.freeing import NEEDED
from generator.hold.given import exactly
from generator.hold.layout import LEAST_CLAMPS
from generator.hold.tabs import SHARE_OF_CLEAR_WOOD, bending_stress, shear_capacity
from generator.holding.content_numbers import constant, fallback, wanted_of

CALCULATORS = load_course().library.calculators
NOTHING: dict[str, Value] = dict.fromkeys(FACTS)


def solved(id_: str, **entered: Value) -> Answer:
    return solve(CALCULATORS[id_], NOTHING, entered)


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


@settings(max_examples=100, deadline=None)
@given(width=numbers(1, 20), height=numbers(1, 10), kerf=numbers(1, 12), shear=numbers(1, 15), count=st.integers(2, 12))
def test_tabs(width: float, height: float, kerf: float, shear: float, count: int) -> None:
    """hold/tabs.py: shear of the tabs, bending stress and the share counted on are those of the calculator `tabs`."""
    found = solved("tabs", z_zero="bed", tab_height=height, overcut=0.0, count=float(count), width=width, diameter=kerf,
                   shear=shear, force=40.0)  # fmt: skip
    assert found["strength"] == pytest.approx(count * shear_capacity(width, height, shear))
    assert found["bend_stress"] == pytest.approx(bending_stress(40.0 / count, height, width, kerf))
    assert found["held"] == pytest.approx(count * shear_capacity(width, height, shear) * SHARE_OF_CLEAR_WOOD, rel=2e-3)


@settings(max_examples=100, deadline=None)
@given(
    lift=numbers(1, 100), span=numbers(50, 900), width=numbers(20, 900), thickness=numbers(2, 25), stiffness=numbers(500, 12_000),
    stepdown=numbers(0.3, 6),
)  # fmt: skip
def test_lift_between_hold_downs(
    lift: float, span: float, width: float, thickness: float, stiffness: float, stepdown: float
) -> None:
    """hold/bending.py: lift midway and at a free end, what is allowed and the widest span are those of the calculator
    `lift-between-clamps`."""
    found = solved("lift-between-clamps", lift=lift, span=span, width=width, thickness=thickness, stiffness=stiffness,
                   depth=stepdown)  # fmt: skip
    carrying = strip_width(width, span)
    assert found["width_carrying"] == pytest.approx(carrying)
    assert found["bend"] == pytest.approx(mid_span_lift(lift, span, stiffness, carrying, thickness))
    assert found["bend_end"] == pytest.approx(overhang_lift(lift, span, stiffness, carrying, thickness))
    assert found["limit"] == pytest.approx(allowed_lift(stepdown))
    # the calculator keeps its own span's width, ours the width of the span found, so it never promises more
    assert float(found["span_most"] or 0) <= widest_span(lift, allowed_lift(stepdown), stiffness, width, thickness) * (
        1 + 1e-9
    )


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


def test_margin_fewest_and_friction_come_from_the_clamp_count() -> None:
    """hold/freeing.py and hold/layout.py start from the same margin and fewest as the calculator `clamp-count`, the
    vacuum, tape and tabs pages ask for the same margin, and vacuum slips at the same friction."""
    wanted = wanted_of(CALCULATORS)
    assert (wanted.margin, wanted.fewest) == (NEEDED, LEAST_CLAMPS)
    assert {constant(CALCULATORS, id_, "safety") for id_ in ("vacuum", "tape", "tabs")} == {wanted.margin}
    assert fallback(CALCULATORS, "vacuum", "friction") == wanted.friction.expected
    assert wanted.friction.low == constant(CALCULATORS, "clamp-count", "friction_worst")
