"""Lengths, envelopes and times of stored moves; mm, mm/min, times in minutes unless the name says seconds."""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain, compress

from generator.program.arcs import Curve, extremes
from generator.program.moves import ARC_CCW, ARC_CW, CUTS, LOST, PLANES, RAPID, Arc, Moves, Point
from generator.program.setup import Setup

# Moves that turn less than this at their joint are taken to be run through without slowing down. Our own
# choice: no controller's planning is modelled, so the estimate lies between the two bounds beside it.
SMOOTH_TURN_DEG = 10.0
_SMOOTH_COS = math.cos(math.radians(SMOOTH_TURN_DEG))
Chain = tuple[int, float, float]


def move_lengths(moves: Moves) -> array[float]:
    """Length of every move along its path, mm; nan where an end is not known, 0 for LOST."""
    lengths = array("d")
    add, hypot = lengths.append, math.hypot
    x0, y0, z0 = moves.start
    for x, y, z in zip(moves.x, moves.y, moves.z, strict=True):
        add(hypot(x - x0, y - y0, z - z0))
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
    return math.hypot(arc.radius * arc.sweep, moves.end(index)[normal] - moves.end(index - 1)[normal])


def chosen(moves: Moves, kinds: Iterable[int]) -> bytes:
    """One byte per move, 1 where its kind is among `kinds`: a selector for itertools.compress."""
    wanted = set(kinds)
    return moves.kind.tobytes().translate(bytes(kind in wanted for kind in range(256)))


def total(values: array[float], selector: bytes) -> float:
    """Sum of the chosen values, leaving out unknown ones."""
    return math.fsum(value for value in compress(values, selector) if value == value)


def envelope(moves: Moves, kinds: Iterable[int]) -> tuple[list[float | None], list[float | None]]:
    """Lowest and highest coordinates reached by moves of these kinds, starts and arcs included.

    An axis of which nothing is known, or no such move, gives None.
    """
    kinds = set(kinds)
    selector = chosen(moves, kinds)
    places = _ends_or_starts(selector)
    low: list[float | None] = []
    high: list[float | None] = []
    boxes = [arc_box(moves, number) for number in range(len(moves.arc_move))] if kinds & {ARC_CW, ARC_CCW} else []
    for axis, values in enumerate((moves.x, moves.y, moves.z)):
        more = [box[side][axis] for box in boxes for side in (0, 1)]
        if selector[:1] == b"\1":
            more.append(moves.start[axis])
        least, most = _ends_of(values, places, more)
        low.append(least)
        high.append(most)
    return low, high


def _ends_or_starts(selector: bytes) -> bytes:
    """A selector of every end that belongs to a chosen move or is where a chosen move starts.

    As one large number, since going through a million bytes takes longer than all the rest.
    """
    as_number = int.from_bytes(selector, "little")
    return (as_number | as_number >> 8).to_bytes(len(selector), "little")


def _ends_of(values: array[float], places: bytes, more: list[float]) -> tuple[float | None, float | None]:
    """Least and most of the chosen values and some more; unknown ones do not count."""
    known = [value for value in more if value == value]
    if math.isnan(sum(compress(values, places))):
        known += [value for value in compress(values, places) if value == value]
        return (min(known), max(known)) if known else (None, None)
    least = min(chain(compress(values, places), known), default=None)
    return least, max(chain(compress(values, places), known), default=None)


def arc_box(moves: Moves, number: int) -> tuple[Point, Point]:
    """Lowest and highest point of arc number `number`."""
    index, arc = moves.arc_move[number], moves.arc_number(number)
    a, b, c = PLANES[arc.plane]
    start, end = moves.end(index - 1), moves.end(index)
    curve = Curve(arc.centre, arc.radius, arc.start_angle, arc.sweep)
    flat_low, flat_high = extremes(curve, (start[a], start[b]), (end[a], end[b]))
    low, high = [0.0] * 3, [0.0] * 3
    low[a], low[b], low[c] = *flat_low, min(start[c], end[c])
    high[a], high[b], high[c] = *flat_high, max(start[c], end[c])
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def trapezoid_s(length: float, speed: float, acceleration: float) -> float:
    """Seconds from rest to rest over `length` mm at most `speed` mm/s, up and down at `acceleration` mm/s2.

    D/v + v/a where the speed is reached, else 2 sqrt(D/a): the trapezoidal speed profile of mechanics.
    """
    if length * acceleration >= speed * speed:
        return length / speed + speed / acceleration
    return 2 * math.sqrt(length / acceleration)


@dataclass(frozen=True, slots=True)
class Times:
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
    cuts, rapids = chosen(moves, (*CUTS, 4)), chosen(moves, (RAPID,))
    low = array("d", (length / speed if speed else 0.0 for length, speed in zip(lengths, speeds, strict=True)))
    rapid_low = total(low, rapids) / 60 if setup.rapid or RAPID not in moves.kind else None
    if not setup.acceleration or rapid_low is None:
        return Times(total(low, cuts) / 60, rapid_low, None, None)
    a = setup.acceleration
    high = math.fsum(trapezoid_s(d, v, a) for d, v in zip(lengths, speeds, strict=True) if v and d == d)
    return Times(total(low, cuts) / 60, rapid_low, _likely_s(smooth_chains(moves, lengths, speeds), a) / 60, high / 60)


def move_speeds(moves: Moves, lengths: array[float], setup: Setup) -> array[float]:
    """Highest speed of each move in mm/s: its feed within the machine's limits, 0 where there is none."""
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


def _likely_s(chains: Iterable[Chain], acceleration: float) -> float:
    """Seconds when smooth chains of moves at one speed are run through as one."""
    return sum(trapezoid_s(length, speed, acceleration) for _, length, speed in chains)


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
    x0, y0, z0 = moves.start
    number = 0
    for x, y, z, length, kind in zip(moves.x, moves.y, moves.z, lengths, moves.kind, strict=True):
        if kind in (ARC_CW, ARC_CCW):
            yield _tangents(moves.arc_number(number), length, (z - z0, x - x0, y - y0))
            number += 1
        elif length > 0:
            straight = ((x - x0) / length, (y - y0) / length, (z - z0) / length)
            yield straight, straight
        else:
            yield nowhere, nowhere
        x0, y0, z0 = x, y, z


def _tangents(arc: Arc, length: float, rises: Point) -> tuple[Point, Point]:
    a, b, c = PLANES[arc.plane]
    rise = {17: rises[0], 18: rises[2], 19: rises[1]}[arc.plane] / length
    flat = math.copysign(math.sqrt(max(0.0, 1 - rise * rise)), arc.sweep)
    pair: list[Point] = []
    for angle in (arc.start_angle, arc.start_angle + arc.sweep):
        vector = [0.0, 0.0, 0.0]
        vector[a], vector[b], vector[c] = -math.sin(angle) * flat, math.cos(angle) * flat, rise
        pair.append((vector[0], vector[1], vector[2]))
    return pair[0], pair[1]
