"""Stored moves as columns: lengths, speeds, times and boxes of many moves at once.

The formulas are those of generator.program.motion, in the same order of steps, so that the results are the same to
the last bit. Loading numpy takes as long as a few thousand moves; generator.program.motion comes here from there on.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterator
from itertools import chain

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from generator.program.arrays import Flags, Lines, Numbers, Places, Triple
from generator.program.moves import LOST, PLANES, RAPID, Moves
from generator.program.setup import Setup

# Moves handled together: enough to forget what each step costs, few enough to stay in the processor's cache.
BLOCK = 1 << 14


class Arcs(Struct, frozen=True):
    """Arcs of a stretch: `at` are their places among its moves, the rest is their geometry as in moves.Arc."""

    at: Places
    plane: Places
    centre: tuple[Numbers, Numbers]
    radius: Numbers
    angle: Numbers
    sweep: Numbers

    def __len__(self) -> int:
        return len(self.at)

    def chosen(self, wanted: Flags | Places | slice, shift: int = 0) -> Arcs:
        """Some of the arcs, counted from `shift`."""
        a, b = self.centre
        return Arcs(
            self.at[wanted] - shift, self.plane[wanted], (a[wanted], b[wanted]), self.radius[wanted],
            self.angle[wanted], self.sweep[wanted],
        )  # fmt: skip


class MoveColumns(Struct, frozen=True):
    """A stretch of moves: move `first` and those behind it, one entry each."""

    first: int
    start: Triple
    end: Triple
    feed: Numbers
    line: Lines
    kind: NDArray[np.uint8]
    arcs: Arcs


def blocks(moves: Moves) -> Iterator[MoveColumns]:
    """All moves, BLOCK at a time."""
    stores = [np.asarray(store) for store in (moves.x, moves.y, moves.z)]
    feed, line, kind = np.asarray(moves.feed), np.asarray(moves.line), np.asarray(moves.kind)
    arcs = all_arcs(moves)
    for first in range(0, len(moves), BLOCK):
        last = min(first + BLOCK, len(moves))
        low, high = np.searchsorted(arcs.at, (first, last))
        start = [_before(values, first, last, begin) for values, begin in zip(stores, moves.start, strict=True)]
        end = [values[first:last] for values in stores]
        yield MoveColumns(
            first, (start[0], start[1], start[2]), (end[0], end[1], end[2]), feed[first:last], line[first:last],
            kind[first:last], arcs.chosen(slice(low, high), first),
        )  # fmt: skip


def _before(values: Numbers, first: int, last: int, begin: float) -> Numbers:
    return values[first - 1 : last - 1] if first else np.concatenate(([begin], values[: last - 1]))


def all_arcs(moves: Moves) -> Arcs:
    """Every arc of the program."""
    rows = np.asarray(moves.geometry).reshape(-1, 6)
    return Arcs(
        np.asarray(moves.arc_move), rows[:, 0], (rows[:, 1], rows[:, 2]), rows[:, 3], rows[:, 4], rows[:, 5]
    )  # fmt: skip


def by_plane(arcs: Arcs) -> Iterator[tuple[Arcs, tuple[int, int, int]]]:
    """Arcs of one plane at a time, with the plane's axes."""
    for plane, axes in PLANES.items():
        found = np.flatnonzero(arcs.plane == plane)
        if len(found):
            yield arcs.chosen(found), axes


def length_columns(moves: Moves) -> array[float]:
    """What motion.move_lengths gives."""
    lengths = array("d", bytes(8 * len(moves)))
    out = np.asarray(lengths)
    for block in blocks(moves):
        x, y, z = (end - start for end, start in zip(block.end, block.start, strict=True))
        found = np.sqrt(x * x + y * y + z * z)
        for arcs, (_, _, c) in by_plane(block.arcs):
            round_it, rise = arcs.radius * arcs.sweep, (block.end[c] - block.start[c])[arcs.at]
            found[arcs.at] = np.sqrt(round_it * round_it + rise * rise)
        found[block.kind == LOST] = 0.0
        out[block.first : block.first + len(found)] = found
    return lengths


def speed_columns(moves: Moves, lengths: array[float], setup: Setup) -> array[float]:
    """What motion.move_speeds gives."""
    speeds = array("d", bytes(8 * len(moves)))
    out = np.asarray(speeds)
    for block, length in with_lengths(moves, lengths):
        speed = block.feed / 60
        speed[block.kind == RAPID] = (setup.rapid or 0.0) / 60
        _limit_by_axes(block, length, speed, setup)
        if setup.acceleration and len(block.arcs):
            speed[block.arcs.at] = np.minimum(speed[block.arcs.at], np.sqrt(setup.acceleration * block.arcs.radius))
        out[block.first : block.first + len(speed)] = speed
    return speeds


def with_lengths(moves: Moves, lengths: array[float]) -> Iterator[tuple[MoveColumns, Numbers]]:
    """All moves, BLOCK at a time, with their lengths."""
    values = np.asarray(lengths)
    for block in blocks(moves):
        yield block, values[block.first : block.first + len(block.line)]


def _limit_by_axes(block: MoveColumns, length: Numbers, speed: Numbers, setup: Setup) -> None:
    most_xy, most_z = (setup.feed_max_xy or math.inf) / 60, (setup.feed_max_z or math.inf) / 60
    limited = (length > 0) & (block.kind != RAPID) & (speed > min(most_xy, most_z))
    at = np.flatnonzero(limited)
    if not len(at):
        return
    rise, long, found = np.abs(block.end[2] - block.start[2])[at], length[at], speed[at]
    with np.errstate(divide="ignore", invalid="ignore"):
        found = np.where(rise * found > most_z * long, most_z * long / rise, found)
        flat = np.sqrt(np.maximum(0.0, long * long - rise * rise))
        speed[at] = np.where(flat * found > most_xy * long, most_xy * long / flat, found)


def least_seconds(moves: Moves, lengths: array[float], speeds: array[float], kinds: frozenset[int]) -> float:
    """Seconds of all moves of these kinds, never slowing down; unknown ones are left out."""
    wanted = np.isin(np.arange(256), list(kinds))

    def parts() -> Iterator[list[float]]:
        values = np.asarray(speeds)
        for block, length in with_lengths(moves, lengths):
            speed = values[block.first : block.first + len(length)]
            counts = wanted[block.kind] & (speed != 0) & (length == length)
            yield (length[counts] / speed[counts]).tolist()

    return math.fsum(chain.from_iterable(parts()))


def most_seconds(lengths: array[float], speeds: array[float], acceleration: float) -> float:
    """Seconds when every move starts and ends at rest."""

    def parts() -> Iterator[list[float]]:
        length, speed = np.asarray(lengths), np.asarray(speeds)
        for first in range(0, len(length), BLOCK):
            d, v = length[first : first + BLOCK], speed[first : first + BLOCK]
            counts = (v != 0) & (d == d)
            yield _trapezoids(d[counts], v[counts], acceleration).tolist()

    return math.fsum(chain.from_iterable(parts()))


def _trapezoids(length: Numbers, speed: Numbers, acceleration: float) -> Numbers:
    reached = length * acceleration >= speed * speed
    return np.where(reached, length / speed + speed / acceleration, 2 * np.sqrt(length / acceleration))


def likely_seconds(
    moves: Moves, lengths: array[float], speeds: array[float], acceleration: float, smooth: float
) -> float:
    """Seconds when moves that turn by less than the angle of cosine `smooth` are run through as one."""

    def parts() -> Iterator[list[float]]:
        values = np.asarray(speeds)
        last_out, held, going = (0.0, 0.0, 0.0), 0.0, 0.0
        for block, length in with_lengths(moves, lengths):
            speed = values[block.first : block.first + len(length)]
            moving = np.flatnonzero((length > 0) & (speed != 0))
            if not len(moving):
                continue
            into, out = _directions(block, length)
            into, out = _taken(into, moving), _taken(out, moving)
            x, y, z = (_turns(into, out, last_out, axis) for axis in range(3))
            own, before = speed[moving], np.concatenate(([going], speed[moving][:-1]))
            number = np.cumsum((x + y + z < smooth) | (own != before))
            sums = _added_up(np.concatenate(([0], number)), np.concatenate(([held], length[moving])))
            rates: Numbers = np.empty(len(sums))
            rates[0], rates[number] = going, own
            whole = (sums > 0) & (np.arange(len(sums)) < len(sums) - 1)
            yield _trapezoids(sums[whole], rates[whole], acceleration).tolist()
            held, going = float(sums[-1]), float(own[-1])
            last_out = (float(out[0][-1]), float(out[1][-1]), float(out[2][-1]))
        if held:
            yield _trapezoids(np.array([held]), np.array([going]), acceleration).tolist()

    return math.fsum(chain.from_iterable(parts()))


def _added_up(numbers: Places, values: Numbers) -> Numbers:
    """The sum of the values of each number, added up in their order."""
    sums = np.zeros(int(numbers[-1]) + 1)
    np.add.at(sums, numbers, values)
    return sums


def _taken(columns: Triple, at: Places) -> Triple:
    return columns[0][at], columns[1][at], columns[2][at]


def _turns(into: Triple, out: Triple, last_out: tuple[float, float, float], axis: int) -> Numbers:
    return into[axis] * np.concatenate(([last_out[axis]], out[axis][:-1]))


def _directions(block: MoveColumns, length: Numbers) -> tuple[Triple, Triple]:
    """Unit vectors at the start and end of every move; without meaning where a move has no length."""
    with np.errstate(divide="ignore", invalid="ignore"):
        straight = [(end - start) / length for end, start in zip(block.end, block.start, strict=True)]
    into, out = straight, [values.copy() for values in straight] if len(block.arcs) else straight
    for arcs, axes in by_plane(block.arcs):
        _tangents(into, block.start, block, length, arcs, axes)
        _tangents(out, block.end, block, length, arcs, axes)
    return (into[0], into[1], into[2]), (out[0], out[1], out[2])


def _tangents(
    vectors: list[Numbers], points: Triple, block: MoveColumns, length: Numbers, arcs: Arcs, axes: tuple[int, int, int]
) -> None:
    a, b, c = axes
    rise = (block.end[c] - block.start[c])[arcs.at] / length[arcs.at]
    flat = np.copysign(np.sqrt(np.maximum(0.0, 1 - rise * rise)), arcs.sweep)
    across, up = points[a][arcs.at] - arcs.centre[0], points[b][arcs.at] - arcs.centre[1]
    far = np.sqrt(across * across + up * up)
    far[far == 0] = 1.0
    vectors[a][arcs.at], vectors[b][arcs.at], vectors[c][arcs.at] = -(up / far) * flat, across / far * flat, rise


def boxes(block: MoveColumns) -> tuple[Triple, Triple]:
    """Lowest and highest coordinates of every move; a coordinate known at one end only counts alone."""
    low = [np.fmin(start, end) for start, end in zip(block.start, block.end, strict=True)]
    high = [np.fmax(start, end) for start, end in zip(block.start, block.end, strict=True)]
    for arcs, axes in by_plane(block.arcs):
        for quarter in range(4):
            axis, sign = axes[quarter % 2], (1, 1, -1, -1)[quarter]
            found = np.flatnonzero(_passes(arcs, quarter))
            at = arcs.at[found]
            reached = arcs.centre[quarter % 2][found] + arcs.radius[found] * sign
            side, pick = (high, np.maximum) if sign > 0 else (low, np.minimum)
            side[axis][at] = pick(side[axis][at], reached)
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def _passes(arcs: Arcs, quarter: int) -> Flags:
    angle = quarter * math.pi / 2
    ahead = np.mod(np.where(arcs.sweep > 0, angle - arcs.angle, arcs.angle - angle), math.tau)
    return ahead < np.abs(arcs.sweep)
