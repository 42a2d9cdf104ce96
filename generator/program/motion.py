"""Lengths, envelopes and times of stored moves; mm, mm/min, times in minutes unless the name says seconds."""

from __future__ import annotations

import math
from array import array
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from itertools import compress

from msgspec import Struct

from generator.program.arcs import Curve, extremes
from generator.program.moves import ARC_CCW, ARC_CW, CUTS, LOST, PLANES, PROBE, RAPID, Arc, Moves, Point
from generator.program.setup import Setup

# Moves that turn less than this at their joint are taken to be run through without slowing down. Our own
# choice: no controller's planning is modelled, so the estimate lies between the two bounds beside it.
SMOOTH_TURN_DEG = 10.0
_SMOOTH_COS = math.cos(math.radians(SMOOTH_TURN_DEG))
# From so many moves on they are worked out as columns: below, loading numpy takes longer than it saves.
MANY_MOVES = 8_000
Chain = tuple[int, float, float]


def many(moves: Moves) -> bool:
    """Whether the moves are so many that they are worked out as columns, by generator.program.move_columns."""
    return len(moves) >= MANY_MOVES


def move_lengths(moves: Moves) -> array[float]:
    """Length of every move along its path, mm; nan where an end is not known, 0 for LOST."""
    if many(moves):
        from generator.program.move_columns import length_columns

        return length_columns(moves)
    lengths = array("d")
    x0, y0, z0 = moves.start
    for x, y, z in zip(moves.x, moves.y, moves.z, strict=True):
        lengths.append(math.sqrt((x - x0) * (x - x0) + (y - y0) * (y - y0) + (z - z0) * (z - z0)))
        x0, y0, z0 = x, y, z
    for number, index in enumerate(moves.arc_move):
        lengths[index] = _arc_length(moves, index, moves.arc_number(number))
    if LOST in moves.kind:
        for index, kind in enumerate(moves.kind):
            if kind == LOST:
                lengths[index] = 0.0
    return lengths


def _arc_length(moves: Moves, index: int, arc: Arc) -> float:
    normal = PLANES[arc.plane][2]
    round_it, rise = arc.radius * arc.sweep, moves.end(index)[normal] - moves.end(index - 1)[normal]
    return math.sqrt(round_it * round_it + rise * rise)


def chosen(moves: Moves, kinds: Iterable[int]) -> bytes:
    """One byte per move, 1 where its kind is among `kinds`: a selector for itertools.compress."""
    return moves.kind.tobytes().translate(_selector(frozenset(kinds)))


@cache
def _selector(kinds: frozenset[int]) -> bytes:
    return bytes(kind in kinds for kind in range(256))


def total(values: array[float], selector: bytes) -> float:
    """Sum of the chosen values, leaving out unknown ones."""
    return math.fsum(filter(math.isfinite, compress(values, selector)))


def envelope(moves: Moves, kinds: Iterable[int]) -> tuple[list[float | None], list[float | None]]:
    """Lowest and highest coordinates reached by moves of these kinds, starts and arcs included.

    An axis of which nothing is known, or no such move, gives None.
    """
    kinds = set(kinds)
    if many(moves):
        from generator.program.fact_columns import envelope_columns

        return envelope_columns(moves, kinds)
    boxes = [box for box, kind in zip(move_boxes(moves), moves.kind, strict=True) if kind in kinds]
    low = [_extreme(min, (box[0][axis] for box in boxes)) for axis in range(3)]
    return low, [_extreme(max, (box[1][axis] for box in boxes)) for axis in range(3)]


def _extreme(pick: Callable[..., float | None], values: Iterable[float]) -> float | None:
    """The least or most of the values that are known."""
    return pick((value for value in values if value == value), default=None)


def move_boxes(moves: Moves) -> Iterator[tuple[Point, Point]]:
    """Lowest and highest coordinates of every move; a coordinate known at one end only counts alone."""
    start, number = moves.start, 0
    for x, y, z, kind in zip(moves.x, moves.y, moves.z, moves.kind, strict=True):
        end = (x, y, z)
        if kind in (ARC_CW, ARC_CCW):
            yield arc_box(moves, number)
            number += 1
        else:
            yield straight_box(start, end)
        start = end


def straight_box(start: Point, end: Point) -> tuple[Point, Point]:
    """Lowest and highest coordinates of a straight move; an unknown one does not count."""
    x0, y0, z0 = start
    x1, y1, z1 = end
    if x1 < x0 or x0 != x0:
        x0, x1 = x1, x0
    if y1 < y0 or y0 != y0:
        y0, y1 = y1, y0
    if z1 < z0 or z0 != z0:
        z0, z1 = z1, z0
    # What is unknown stands behind by now, if anything is.
    return (x0, y0, z0), (x0 if x1 != x1 else x1, y0 if y1 != y1 else y1, z0 if z1 != z1 else z1)


def arc_box(moves: Moves, number: int) -> tuple[Point, Point]:
    """Lowest and highest point of arc number `number`."""
    index, arc = moves.arc_move[number], moves.arc_number(number)
    a, b, c = PLANES[arc.plane]
    start, end = moves.end(index - 1), moves.end(index)
    curve = Curve(arc.centre, arc.radius, arc.start_angle, arc.sweep)
    flat_low, flat_high = extremes(curve, (start[a], start[b]), (end[a], end[b]))
    straight_low, straight_high = straight_box(start, end)
    low, high = [0.0] * 3, [0.0] * 3
    low[a], low[b], low[c] = *flat_low, straight_low[c]
    high[a], high[b], high[c] = *flat_high, straight_high[c]
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def trapezoid_s(length: float, speed: float, acceleration: float) -> float:
    """Seconds from rest to rest over `length` mm at most `speed` mm/s, up and down at `acceleration` mm/s2.

    D/v + v/a where the speed is reached, else 2 sqrt(D/a): the trapezoidal speed profile of mechanics.
    """
    if length * acceleration >= speed * speed:
        return length / speed + speed / acceleration
    return 2 * math.sqrt(length / acceleration)


class Times(Struct, frozen=True):
    """Minutes of motion: never slowing down, slowing at corners only, and stopping after every move."""

    cut_low: float
    rapid_low: float | None
    likely: float | None
    high: float | None


def times(moves: Moves, lengths: array[float], setup: Setup) -> Times:
    """How long the moves take, without dwells and tool changes; unknown moves are left out.

    None where the rapid rate or the acceleration it hangs on is not known.
    """
    speeds = move_speeds(moves, lengths, setup)
    cut_low = _least_s(moves, lengths, speeds, CUTS | {PROBE}) / 60
    rapid_known = setup.rapid or RAPID not in moves.kind
    rapid_low = _least_s(moves, lengths, speeds, frozenset({RAPID})) / 60 if rapid_known else None
    if not setup.acceleration or rapid_low is None:
        return Times(cut_low, rapid_low, None, None)
    likely, high = _slowed_s(moves, lengths, speeds, setup.acceleration)
    return Times(cut_low, rapid_low, likely / 60, high / 60)


def _least_s(moves: Moves, lengths: array[float], speeds: array[float], kinds: frozenset[int]) -> float:
    """Seconds of all moves of these kinds, never slowing down; unknown ones are left out."""
    if many(moves):
        from generator.program.move_columns import least_seconds

        return least_seconds(moves, lengths, speeds, kinds)
    chosen_moves = compress(zip(lengths, speeds, strict=True), chosen(moves, kinds))
    return math.fsum(length / speed for length, speed in chosen_moves if speed and length == length)


def _slowed_s(moves: Moves, lengths: array[float], speeds: array[float], acceleration: float) -> tuple[float, float]:
    """Seconds when smooth chains of moves at one speed are run through as one, and when every move ends at rest."""
    if many(moves):
        from generator.program.move_columns import likely_seconds, most_seconds

        likely = likely_seconds(moves, lengths, speeds, acceleration, _SMOOTH_COS)
        return likely, most_seconds(lengths, speeds, acceleration)
    chains = smooth_chains(moves, lengths, speeds)
    likely = math.fsum(trapezoid_s(length, speed, acceleration) for _, length, speed in chains)
    known = ((d, v) for d, v in zip(lengths, speeds, strict=True) if v and d == d)
    return likely, math.fsum(trapezoid_s(d, v, acceleration) for d, v in known)


def move_speeds(moves: Moves, lengths: array[float], setup: Setup) -> array[float]:
    """Highest speed of each move in mm/s: its feed within the machine's limits, 0 where there is none."""
    if many(moves):
        from generator.program.move_columns import speed_columns

        return speed_columns(moves, lengths, setup)
    speeds = array("d", (feed / 60 for feed in moves.feed))
    rapid = (setup.rapid or 0.0) / 60
    for index in compress(range(len(moves)), chosen(moves, (RAPID,))):
        speeds[index] = rapid
    if setup.feed_max_xy or setup.feed_max_z:
        _limit_by_axes(moves, lengths, speeds, setup)
    if setup.acceleration:
        for number, index in enumerate(moves.arc_move):
            # Going round costs v2/r of acceleration, whatever the feed asks for.
            speeds[index] = min(speeds[index], math.sqrt(setup.acceleration * moves.arc_number(number).radius))
    return speeds


def _limit_by_axes(moves: Moves, lengths: array[float], speeds: array[float], setup: Setup) -> None:
    most_xy, most_z = (setup.feed_max_xy or math.inf) / 60, (setup.feed_max_z or math.inf) / 60
    if max(moves.feed, default=0.0) / 60 <= min(most_xy, most_z):
        return
    z0 = moves.start[2]
    for index, (z, length, kind) in enumerate(zip(moves.z, lengths, moves.kind, strict=True)):
        rise = abs(z - z0)
        if length > 0 and kind != RAPID:
            if rise * speeds[index] > most_z * length:
                speeds[index] = most_z * length / rise
            flat = math.sqrt(max(0.0, length * length - rise * rise))
            if flat * speeds[index] > most_xy * length:
                speeds[index] = most_xy * length / flat
        z0 = z


def smooth_chains(moves: Moves, lengths: array[float], speeds: array[float]) -> Iterator[Chain]:
    """Chains run through without slowing down: the last move of each, its length (mm) and speed (mm/s).

    Moves without length or speed belong to no chain and break none.
    """
    last, chain_length, chain_speed = -1, 0.0, 0.0
    last_out: Point = (0.0, 0.0, 0.0)
    directions = _directions(moves, lengths)
    for index, (length, speed, (into, out)) in enumerate(zip(lengths, speeds, directions, strict=True)):
        if not length > 0 or not speed:
            continue
        turn = into[0] * last_out[0] + into[1] * last_out[1] + into[2] * last_out[2]
        if turn < _SMOOTH_COS or speed != chain_speed:
            if chain_length:
                yield last, chain_length, chain_speed
            chain_length, chain_speed = 0.0, speed
        chain_length += length
        last, last_out = index, out
    if chain_length:
        yield last, chain_length, chain_speed


def _directions(moves: Moves, lengths: array[float]) -> Iterator[tuple[Point, Point]]:
    """Unit vectors at the start and end of every move; straight moves have the same twice."""
    nowhere: Point = (0.0, 0.0, 0.0)
    x0, y0, z0 = start = moves.start
    number = 0
    for x, y, z, length, kind in zip(moves.x, moves.y, moves.z, lengths, moves.kind, strict=True):
        end = (x, y, z)
        if kind in (ARC_CW, ARC_CCW):
            yield _tangents(moves.arc_number(number), length, start, end)
            number += 1
        elif length > 0:
            straight = ((x - x0) / length, (y - y0) / length, (z - z0) / length)
            yield straight, straight
        else:
            yield nowhere, nowhere
        x0, y0, z0 = start = end


def _tangents(arc: Arc, length: float, start: Point, end: Point) -> tuple[Point, Point]:
    """Unit vectors along an arc at its ends: square to the radius there, and rising with it."""
    a, b, c = PLANES[arc.plane]
    rise = (end[c] - start[c]) / length
    flat = math.copysign(math.sqrt(max(0.0, 1 - rise * rise)), arc.sweep)
    pair: list[Point] = []
    for point in (start, end):
        across, up = point[a] - arc.centre[0], point[b] - arc.centre[1]
        far = math.sqrt(across * across + up * up) or 1.0
        vector = [0.0, 0.0, 0.0]
        vector[a], vector[b], vector[c] = -(up / far) * flat, across / far * flat, rise
        pair.append((vector[0], vector[1], vector[2]))
    return pair[0], pair[1]
