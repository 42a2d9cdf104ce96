"""Arc geometry in its plane (NISTIR 6556, 2000, section 3.5.3); angles in radians, lengths in mm."""

from __future__ import annotations

import math
from typing import NamedTuple

from generator.program.report import LineError

Pair = tuple[float, float]

# Ends nearer than this are the same point: inch programs do not come back to the last bit.
SAME_POINT = 1e-6
# A limit written in decimals must not fail on the last bit of a float.
SLACK = 1e-9


class Curve(NamedTuple):
    """Centre, radius, start angle and signed sweep (counter-clockwise positive)."""

    centre: Pair
    radius: float
    start_angle: float
    sweep: float


def distance(one: Pair, two: Pair) -> float:
    """Length between two points of the plane, by steps that are rounded alike for one arc and for many."""
    across, along = one[0] - two[0], one[1] - two[1]
    return math.sqrt(across * across + along * along)


def curve(start: Pair, end: Pair, centre: Pair, clockwise: bool) -> Curve:
    """The arc from start to end round `centre`; ends in one place or one direction mean a full circle."""
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    last = math.atan2(end[1] - centre[1], end[0] - centre[0])
    turn = (first - last if clockwise else last - first) % math.tau
    if turn == 0 or distance(start, end) < SAME_POINT:
        turn = math.tau
    return Curve(centre, distance(start, centre), first, -turn if clockwise else turn)


def centre_of_radius(start: Pair, end: Pair, radius: float, clockwise: bool) -> Pair:
    """Centre of the arc in radius form; a negative radius asks for the longer way round.

    LineError where the ends are one point or further apart than the circle is wide.
    """
    chord = distance(start, end)
    if chord < SAME_POINT:
        raise LineError("arc-end-is-start")
    half = chord / 2
    if half > abs(radius) * (1 + 1e-9):
        raise LineError("arc-radius-too-small", half=f"{half:.4f}", radius=f"{abs(radius):.4f}")
    height = math.sqrt(max(0.0, radius * radius - half * half))
    side = 1.0 if clockwise == (radius < 0) else -1.0
    along = ((end[0] - start[0]) / chord, (end[1] - start[1]) / chord)
    return (
        (start[0] + end[0]) / 2 - side * height * along[1],
        (start[1] + end[1]) / 2 + side * height * along[0],
    )


def radius_gap(start: Pair, end: Pair, centre: Pair) -> float:
    """By how much the end lies off the circle through the start."""
    return abs(distance(start, centre) - distance(end, centre))


def extremes(found: Curve, start: Pair, end: Pair) -> tuple[Pair, Pair]:
    """Lowest and highest coordinates the arc reaches: its ends and the quarter points it passes."""
    points = [start, end]
    for quarter in range(4):
        angle = quarter * math.pi / 2
        ahead = (angle - found.start_angle if found.sweep > 0 else found.start_angle - angle) % math.tau
        if ahead < abs(found.sweep):
            points.append(
                (
                    found.centre[0] + found.radius * (1, 0, -1, 0)[quarter],
                    found.centre[1] + found.radius * (0, 1, 0, -1)[quarter],
                )
            )
    firsts, seconds = [point[0] for point in points], [point[1] for point in points]
    return (min(firsts), min(seconds)), (max(firsts), max(seconds))
