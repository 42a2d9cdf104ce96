"""Where a straight piece of path lies inside an upright box."""

from __future__ import annotations

from generator.program.moves import Point
from generator.program.setup import Outline

# Touching is not cutting: less than this (mm) inside does not count.
TOUCH = 1e-6


def grown(outline: Outline, by: float) -> Outline:
    """The outline with every side moved out."""
    return outline[0] - by, outline[1] - by, outline[2] + by, outline[3] + by


def inside(start: Point, end: Point, outline: Outline | None, top: float) -> tuple[float, float] | None:
    """Shares of the way (0 to 1) between which the path is inside the outline and below `top`, or None.

    No outline means everywhere; an unknown coordinate counts as inside, so that nothing is missed.
    """
    sides = [(2, -1e300, top)]
    if outline is not None:
        sides += [(0, outline[0], outline[2]), (1, outline[1], outline[3])]
    first, last = 0.0, 1.0
    for axis, low, high in sides:
        a, b = start[axis], end[axis]
        if a != a or b != b:
            continue
        enters, leaves = _between(a, b, low + TOUCH, high - TOUCH)
        first, last = max(first, enters), min(last, leaves)
    return (first, last) if first < last or (first == last and start == end) else None


def _between(a: float, b: float, low: float, high: float) -> tuple[float, float]:
    if a == b:
        return (0.0, 1.0) if low <= a <= high else (2.0, -1.0)
    one, two = (low - a) / (b - a), (high - a) / (b - a)
    return min(one, two), max(one, two)


def along(start: Point, end: Point, share: float) -> Point:
    """The point at `share` of the way."""
    return (
        start[0] + (end[0] - start[0]) * share,
        start[1] + (end[1] - start[1]) * share,
        start[2] + (end[2] - start[2]) * share,
    )
