"""Arcs of many lines at once, by the formulas of generator.program.arcs and to the last bit their results.

Square roots are rounded alike everywhere; angles are not, and so they come from the same function of the same library.
"""

from __future__ import annotations

import math

import numpy as np
from msgspec import Struct

from generator.program.arcs import SAME_POINT, SLACK
from generator.program.arrays import Flags, Numbers, Places
from generator.program.columns import Column
from generator.program.state import Run
from generator.program.travel import DELICATE_DEG, STRICT_GAP_INCH, STRICT_GAP_MM

Pairs = tuple[Numbers, Numbers]


class ArcColumns(Struct, frozen=True):
    """Arcs on `lines`; `plain` ones need no word about them. `geometry` holds a row for each, as Moves keeps it."""

    lines: Places
    plain: Flags
    geometry: Numbers


def arc_columns(
    run: Run, words: dict[str, Column], at: tuple[Numbers, Numbers, Numbers], clockwise: Flags, lines: Places
) -> ArcColumns:
    """The arcs on these lines, of which all have a feed and an end; `at` is where each line ends."""
    if run.state.plane != 17 or "plane" not in run.said | run.relies.keys():
        return ArcColumns(lines, np.zeros(len(lines), dtype=bool), np.empty((len(lines), 6)))
    count = len(clockwise)
    offsets = [_dense(words[letter], count)[lines] for letter in "IJR"]
    start = (_before(at[0], run.state.at[0])[lines], _before(at[1], run.state.at[1])[lines])
    end, turns = (at[0][lines], at[1][lines]), clockwise[lines]
    by_radius, by_centre = ~np.isnan(offsets[2]), ~(np.isnan(offsets[0]) & np.isnan(offsets[1]))
    ends_said = ~(np.isnan(_dense(words["X"], count)[lines]) & np.isnan(_dense(words["Y"], count)[lines]))
    with np.errstate(invalid="ignore", divide="ignore"):
        centre = _centres(run, start, offsets)
        fits = by_centre & _fits(run, start, end, centre)
        wide = by_radius & _wide_enough(start, end, offsets[2] * run.state.scale)
        around = _centres_of_radius(start, end, offsets[2] * run.state.scale, turns)
        centre = (np.where(by_radius, around[0], centre[0]), np.where(by_radius, around[1], centre[1]))
        radius, angle, sweep = curves(start, end, centre, turns)
    plain = ends_said & (fits ^ wide) & (by_radius ^ by_centre) & ~(by_radius & _delicate(sweep))
    plane = np.full(len(lines), 17.0)
    return ArcColumns(lines, plain, np.column_stack((plane, *centre, radius, angle, sweep)))


def _dense(column: Column, count: int) -> Numbers:
    """One entry per line, nan where the letter does not stand."""
    found = np.full(count, np.nan)
    found[column.lines] = column.values
    return found


def _before(values: Numbers, first: float) -> Numbers:
    return np.concatenate(([first], values[:-1]))


def _distance(one: Pairs, two: Pairs) -> Numbers:
    across, along = one[0] - two[0], one[1] - two[1]
    return np.sqrt(across * across + along * along)


def _centres(run: Run, start: Pairs, offsets: list[Numbers]) -> Pairs:
    scale, absolute = run.state.scale, run.state.arc_absolute
    found = []
    for axis in (0, 1):
        base = run.state.offset(axis) if absolute else start[axis]
        found.append(np.where(np.isnan(offsets[axis]), start[axis], offsets[axis] * scale + base))
    return found[0], found[1]


def _fits(run: Run, start: Pairs, end: Pairs, centre: Pairs) -> Flags:
    """Both ends lie on one circle within the published limit, and there is a circle."""
    radius = _distance(start, centre)
    gap = np.abs(radius - _distance(end, centre))
    limit = (STRICT_GAP_MM if run.state.scale == 1.0 else STRICT_GAP_INCH) + SLACK
    return (radius >= SAME_POINT) & (gap <= min(limit, run.dialect.arc_tolerance_mm, run.dialect.arc_tolerance_inch))


def _wide_enough(start: Pairs, end: Pairs, radius: Numbers) -> Flags:
    chord = _distance(start, end)
    return (chord >= SAME_POINT) & (chord / 2 <= np.abs(radius) * (1 + 1e-9))


def _centres_of_radius(start: Pairs, end: Pairs, radius: Numbers, clockwise: Flags) -> Pairs:
    chord = _distance(start, end)
    half = chord / 2
    height = np.sqrt(np.fmax(0.0, radius * radius - half * half))
    side = np.where(clockwise == (radius < 0), 1.0, -1.0)
    along = ((end[0] - start[0]) / chord, (end[1] - start[1]) / chord)
    return (
        (start[0] + end[0]) / 2 - side * height * along[1],
        (start[1] + end[1]) / 2 + side * height * along[0],
    )


def curves(start: Pairs, end: Pairs, centre: Pairs, clockwise: Flags) -> tuple[Numbers, Numbers, Numbers]:
    """Radius, start angle and signed sweep of many arcs, as arcs.curve gives them."""
    first = _angles(start[1] - centre[1], start[0] - centre[0])
    last = _angles(end[1] - centre[1], end[0] - centre[0])
    turn = np.mod(np.where(clockwise, first - last, last - first), math.tau)
    turn[(turn == 0) | (_distance(start, end) < SAME_POINT)] = math.tau
    return _distance(start, centre), first, np.where(clockwise, -turn, turn)


def _angles(up: Numbers, across: Numbers) -> Numbers:
    return np.array(list(map(math.atan2, up.tolist(), across.tolist())), dtype=np.float64)


def _delicate(sweep: Numbers) -> Flags:
    degrees = np.array(list(map(math.degrees, np.abs(sweep).tolist())), dtype=np.float64)
    delicate = np.zeros(len(sweep), dtype=bool)
    for low, high in DELICATE_DEG:
        delicate |= (low < degrees) & (degrees < high)
    return delicate
