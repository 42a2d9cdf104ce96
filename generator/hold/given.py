"""What the holding engines are told: hold-downs, cutting load, board. Millimetres and newtons."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from generator.errors import OnionskinError

Point = tuple[float, float]


class HoldInputError(OnionskinError):
    """A number or shape that no board, clamp or cut can have; the message says which and what is wanted."""


class Case(StrEnum):
    """Which end of every band is believed: LOW is weak hold-downs, little friction and a hard cut at once."""

    LOW = "low"
    EXPECTED = "expected"
    HIGH = "high"


AGAINST = {Case.LOW: Case.HIGH, Case.EXPECTED: Case.EXPECTED, Case.HIGH: Case.LOW}


def demand_number(name: str, value: float, least: float = -math.inf, above: float = -math.inf) -> None:
    """Raise HoldInputError unless `value` is finite, at least `least` and greater than `above`."""
    if not math.isfinite(value):
        raise HoldInputError(f"{name} is {value}; give a finite number")
    if value < least:
        raise HoldInputError(f"{name} is {value:g}; it cannot be less than {least:g}")
    if value <= above:
        raise HoldInputError(f"{name} is {value:g}; it must be greater than {above:g}")


@dataclass(frozen=True, slots=True)
class Band:
    """A figure with its doubt: what to rely on, what to expect, and the most it could be."""

    low: float
    expected: float
    high: float

    def __post_init__(self) -> None:
        for name in ("low", "expected", "high"):
            demand_number(f"the {name} end of a band", getattr(self, name), least=0.0)
        if not self.low <= self.expected <= self.high:
            raise HoldInputError(f"a band must rise: {self.low:g}, {self.expected:g}, {self.high:g} does not")

    def at(self, case: Case) -> float:
        """The end of the band named by `case`."""
        return {Case.LOW: self.low, Case.EXPECTED: self.expected, Case.HIGH: self.high}[case]

    def times(self, factor: float) -> Band:
        """The band multiplied by a factor that is not negative."""
        return Band(self.low * factor, self.expected * factor, self.high * factor)


NONE = Band(0.0, 0.0, 0.0)


def exactly(value: float) -> Band:
    """A band without doubt."""
    return Band(value, value, value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pad:
    """One place where the work is held, standing for a small patch round `at`.

    press: force pressing the work on the bed there, N; bed friction times this resists sliding.
    grip: sideways resistance that needs no bed friction (tape, screw shank, tab), N.
    pull: force held downwards only when something lifts (screw thread, tab), N.
    """

    at: Point
    press: Band = NONE
    grip: Band = NONE
    pull: Band = NONE
    kind: str = "clamp"

    def __post_init__(self) -> None:
        for value in self.at:
            demand_number("a hold-down's position", value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A fence, pin or cleat: pushes the work along `push` (made a unit vector), never pulls it.

    capacity: the most it can push, N; friction: wood on stop, sideways along its face.
    """

    at: Point
    push: Point
    capacity: Band
    friction: Band = NONE

    def __post_init__(self) -> None:
        for value in (*self.at, *self.push):
            demand_number("a stop's position or direction", value)
        length = math.hypot(*self.push)
        demand_number("the length of a stop's direction", length, above=0.0)
        object.__setattr__(self, "push", (self.push[0] / length, self.push[1] / length))


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """The cutting force: `sideways` N in any direction in the plane, `lift` N upwards, `height` mm above the bed."""

    sideways: Band
    lift: Band
    height: float

    def __post_init__(self) -> None:
        demand_number("the sideways cutting force", self.sideways.low, above=0.0)
        demand_number("the height of the cut above the bed", self.height, least=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """A board on its bed. `outline` are its corners (their hull rests on the bed), `weight` its weight in N."""

    pads: tuple[Pad, ...]
    load: Load
    bed_friction: Band
    outline: tuple[Point, ...]
    stops: tuple[Stop, ...] = ()
    weight: float = 0.0

    def __post_init__(self) -> None:
        demand_number("the board's weight", self.weight, least=0.0)
        if len(set(self.outline)) < 3:
            raise HoldInputError("the board's outline needs at least three different corners")
        for corner in self.outline:
            for value in corner:
                demand_number("a corner of the board", value)
