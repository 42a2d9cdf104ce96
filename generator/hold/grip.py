"""Does the job hold? The margin over the whole path, with the point, direction and pivot where it is least.

A margin of 2 means: twice the cutting force, sideways and upwards together, would just be held. 1/margin is convex
in the place of the cut, so no point inside the hull of the path can be worse than the hull's corners.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from generator.errors import OnionskinError
from generator.finding import Finding
from generator.hold.demand import Demand, demand
from generator.hold.given import Band, Case, Point, Setup
from generator.hold.kernel import NO_FACTOR, TINY, Floats, Twists, load_factor
from generator.hold.outline import Ring, as_points, edges_inward, ring
from generator.hold.planar import TOLERANCE, planar
from generator.hold.suspect import setup_findings

MOST_DOUBT = 0.02
# a pivot so far away that the board would in effect slide: the pure slide is within this share of the answer
AS_GOOD_AS_SLIDING = 1.01


class GripUnsureError(OnionskinError):
    """The bounds from below and above lie too far apart for the answer to be trusted."""


class Rule(StrEnum):
    """What would happen first if the cutting force grew."""

    SLIDING = "sliding"
    TURNING = "turning"
    LIFT = "lift"
    TIPPING = "tipping"


class GripAnswer(Struct, frozen=True, kw_only=True):
    """How many times the cutting force is held.

    margin: low end is weak hold-downs, little friction and a hard cut together; decide on that one.
    The rest belongs to the low end. worst_direction: unit vector in which the cutter would push the board away;
    pivot: the point it would turn about, None where it slides or lifts; lower, upper: bounds of the margin.
    tipping, lifting: margins against tipping over an edge and against lifting off, None where nothing lifts.
    """

    margin: Band
    rules: Rule
    worst_point: Point
    worst_direction: Point
    pivot: Point | None
    lower: float
    upper: float
    sideways: float
    tipping: float | None
    lifting: float | None
    findings: tuple[Finding, ...]


class Worst(Struct, frozen=True, eq=False):
    """The least margin of one case and where it is found; `twists` are the motions met on the way, worst or not."""

    rule: Rule
    lower: float
    upper: float
    sideways: float
    tipping: float | None
    lifting: float | None
    point: Floats
    direction: Floats
    pivot: Floats | None
    twists: Twists


def grip(setup: Setup, path: Sequence[Point] | Floats, cutter_radius: float = 0.0) -> GripAnswer:
    """The grip of a set-up over the cutter-centre path (n,2), mm.

    Raises HoldInputError for a bad path and GripUnsureError where the bounds differ by more than 2 %.
    """
    points = as_points("the path", path)
    return grip_over(setup, points, ring(points), cutter_radius)


def grip_over(setup: Setup, points: Floats, shape: Ring, cutter_radius: float = 0.0) -> GripAnswer:
    """`grip` for a path whose ring is already known."""
    low, expected, high = (worst(demand(setup, case), shape) for case in Case)
    return GripAnswer(
        margin=_rising(low.lower, expected.lower, high.lower),
        rules=low.rule, worst_point=_point(low.point), worst_direction=_point(low.direction),
        pivot=None if low.pivot is None else _point(low.pivot),
        lower=low.lower, upper=low.upper, sideways=low.sideways, tipping=low.tipping, lifting=low.lifting,
        findings=setup_findings(setup, points, cutter_radius),
    )  # fmt: skip


def _rising(low: float, expected: float, high: float) -> Band:
    """Each case is solved to its own small tolerance, which must not turn the band upside down."""
    return Band(low, max(low, expected), max(low, expected, high))


def _point(array: Floats) -> Point:
    return (float(array[0]), float(array[1]))


def worst(asked: Demand, shape: Ring, tol: float = TOLERANCE) -> Worst:
    """The least margin over the path standing behind `shape`, of sliding, turning, tipping and lifting."""
    side = _sideways(asked, shape, tol)
    tipping, tip_point, tip_way = _tipping(asked, shape)
    lifting = _lifting(asked)
    upward = _least(tipping, lifting)
    if upward >= side.lower:
        return replace(side, tipping=tipping, lifting=lifting)
    rule = Rule.LIFT if lifting is not None and lifting <= upward * (1 + 1e-9) else Rule.TIPPING
    return Worst(rule, upward, upward, side.lower, tipping, lifting, tip_point, tip_way, None, side.twists)


def reaches(asked: Demand, shape: Ring, needed: float, tol: float) -> tuple[bool, Twists]:
    """Whether the least margin surely is `needed`, and the motions met that may forbid it: less work than `worst`."""
    enough = needed * (1 + 2 * tol)
    found = planar(asked.contacts, asked.load(shape.outer), tol, weakest_only=True, enough=enough)
    upward = _least(_tipping(asked, shape)[0], _lifting(asked))
    return min(float(found.lower.min()), upward) >= needed, found.twist


def _lifting(asked: Demand) -> float | None:
    """The margin against lifting off as a whole; None where nothing lifts."""
    return float(asked.hold.sum() + asked.weight) / asked.lift if asked.lift else None


def _least(*margins: float | None) -> float:
    return min((margin for margin in margins if margin is not None), default=np.inf)


def _sideways(asked: Demand, shape: Ring, tol: float) -> Worst:
    found = planar(asked.contacts, asked.load(shape.outer), tol, weakest_only=True)
    twist, point, upper = _at_a_real_point(asked, found.twist.pick([int(found.upper.argmin())]), shape)
    lower = max(0.0, float(found.lower.min()))
    if upper - lower > MOST_DOUBT * upper and upper > NO_FACTOR:
        raise GripUnsureError(f"the margin lies between {lower:.4g} and {upper:.4g}, too far apart to rely on")
    rule, pivot = _motion(asked, twist, upper)
    return Worst(rule, lower, upper, lower, None, None, point, twist.n[0], pivot, found.twist)


def _at_a_real_point(asked: Demand, twist: Twists, shape: Ring) -> tuple[Twists, Floats, float]:
    """The same motion of the board, written for the path point that it moves most, and the margin that point gives."""
    q, n, spin = twist.q[0], twist.n[0], float(twist.spin[0])
    away = shape.real - q
    speed = n + spin * np.stack([-away[:, 1], away[:, 0]], axis=1)
    length = np.hypot(speed[:, 0], speed[:, 1])
    moved = np.flatnonzero(length > 1e-12 * (1 + abs(spin)))
    if not len(moved):
        return twist, q, float(load_factor(asked.contacts, twist, asked.load(twist.q))[0])
    unit = Twists(shape.real[moved], speed[moved] / length[moved, None], spin / length[moved])
    factor = load_factor(asked.contacts, unit, asked.load(unit.q))
    least = int(factor.argmin())
    return unit.pick([least]), unit.q[least], float(factor[least])


def _motion(asked: Demand, twist: Twists, upper: float) -> tuple[Rule, Floats | None]:
    spin = float(twist.spin[0])
    sliding = Twists(twist.q, twist.n, np.zeros(1))
    slide = float(load_factor(asked.contacts, sliding, asked.load(twist.q))[0])
    if not spin or slide <= AS_GOOD_AS_SLIDING * upper:
        return Rule.SLIDING, None
    n = twist.n[0]
    return Rule.TURNING, twist.q[0] + np.array([-n[1], n[0]]) / spin


def _tipping(asked: Demand, shape: Ring) -> tuple[float | None, Floats, Floats]:
    """Least margin against tipping over an edge of the board, the path point and the outward direction.

    The hold-downs' and the weight's moments about the edge stand against the lift's and the sideways force's.
    """
    stands, upsets = asked.standing(), asked.upsetting(shape.outer).max(axis=0)
    factor = np.where(upsets > 0, np.maximum(stands, 0.0) / np.maximum(upsets, TINY), np.inf)
    edge = int(factor.argmin())
    point = shape.real[int(asked.upsetting(shape.real)[:, edge].argmax())]
    return (float(factor[edge]) if np.isfinite(factor[edge]) else None), point, -edges_inward(asked.corners)[0][edge]
