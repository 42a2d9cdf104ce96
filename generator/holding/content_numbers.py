"""Numbers that the content's calculators own, read from there so that each is written once."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from generator.calc import Answer, input_named, solve
from generator.expr import Scope, Value
from generator.hold.given import Band, exactly
from generator.model.calculator import Calculator
from generator.model.material import Graded
from generator.plan import kept_in_range

Calculators = Mapping[str, Calculator]
COUNT = "clamp-count"
# Every calculator that the holding asks, besides those of the plan it is given.
ASKED = frozenset({
    "bolt-preload", "clamp-count", "cutting-force", "lift-between-clamps", "onion-skin", "screws", "tabs", "tape",
    "vacuum",
})  # fmt: skip


class Wanted(Struct, frozen=True, kw_only=True):
    """What the clamp-count calculator asks for: margin, fewest clamps, and friction of board on bed."""

    margin: float
    fewest: int
    friction: Band


def wanted_of(calculators: Calculators) -> Wanted:
    """The margin to reach and the friction to count on; its low end is the lowest value in print."""
    usual = fallback(calculators, COUNT, "friction_bed")
    least = min(constant(calculators, COUNT, "friction_worst"), usual)
    return Wanted(
        margin=constant(calculators, COUNT, "safety"), fewest=int(constant(calculators, COUNT, "fewest")),
        friction=Band(least, usual, usual),
    )  # fmt: skip


def constant(calculators: Calculators, id_: str, name: str) -> float:
    """A constant of a calculator."""
    return next(float(item.value) for item in calculators[id_].constants if item.name == name)


def fallback(calculators: Calculators, id_: str, name: str) -> float:
    """What a calculator takes for a number nobody knows."""
    return as_number(input_named(calculators[id_], name).fallback) or 0.0


def as_number(value: Value) -> float | None:
    """The value where it is a number."""
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def band_at(scope: Scope, low: str, expected: str, high: str) -> Band | None:
    """Three values of a plan as a band, nothing below zero; None where one is not known."""
    values = [as_number(scope.get(name)) for name in (low, expected, high)]
    known = [max(0.0, value) for value in values if value is not None]
    return Band(*sorted(known)) if len(known) == 3 else None


def graded_band(graded: Graded | None, otherwise: float) -> Band:
    """A material's figure with its spread, or what a calculator takes where it is not known."""
    if graded is None:
        return exactly(otherwise)
    low = graded.value if graded.low is None else graded.low
    return Band(low, graded.value, graded.value if graded.high is None else graded.high)


def answer_of(calculators: Calculators, id_: str, scope: Scope, entered: Mapping[str, Value]) -> Answer:
    """A calculator's answer; an entered number outside its field's range is taken to the nearest end."""
    calculator = calculators[id_]
    return solve(calculator, scope, {name: kept_in_range(calculator, name, value) for name, value in entered.items()})
