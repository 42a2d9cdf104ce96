"""The path as points with a time each: what is drawn and played."""

from __future__ import annotations

import math
from array import array
from bisect import bisect_right
from collections.abc import Collection, Iterator
from itertools import pairwise

from msgspec import Struct, field

from generator.program.moves import ARC_CCW, ARC_CW, KIND_NAMES, LOST, Move, Point, arc_points
from generator.program.read import Program
from generator.rehearsal.clock import Clock

# A point of this kind ends a wait; one of kind LOST is where the path is known again: no line leads to it.
WAIT = 6
# Chords of arcs are off by at most this (mm).
ARC_ERROR = 0.02
MOST_POINTS = 200_000


class Track(Struct):
    """Points as parallel arrays: places in mm, `t` in s, the kind of move that leads there, its number and line.

    `left_out` points more than these were dropped, none further than `error` mm from one that was kept.
    """

    x: array[float] = field(default_factory=lambda: array("d"))
    y: array[float] = field(default_factory=lambda: array("d"))
    z: array[float] = field(default_factory=lambda: array("d"))
    t: array[float] = field(default_factory=lambda: array("d"))
    kind: array[int] = field(default_factory=lambda: array("B"))
    move: array[int] = field(default_factory=lambda: array("I"))
    line: array[int] = field(default_factory=lambda: array("I"))
    left_out: int = 0
    error: float = 0.0

    def __len__(self) -> int:
        return len(self.t)

    def add(self, place: Point, t: float, kind: int, move: int, line: int) -> None:
        """Append one point."""
        self.x.append(place[0])
        self.y.append(place[1])
        self.z.append(place[2])
        self.t.append(t)
        self.kind.append(kind)
        self.move.append(move)
        self.line.append(line)

    def place(self, index: int) -> Point:
        """Where point `index` lies."""
        return self.x[index], self.y[index], self.z[index]

    def at(self, t: float) -> Point:
        """Where the cutter is after `t` seconds; between points in a straight line; before a gap it stays."""
        after = bisect_right(self.t, t)
        if after == 0 or after == len(self):
            return self.place(min(after, len(self) - 1))
        span = self.t[after] - self.t[after - 1]
        share = (t - self.t[after - 1]) / span if self.kind[after] != LOST else 0.0
        one, two = self.place(after - 1), self.place(after)
        return tuple(a + (b - a) * share for a, b in zip(one, two, strict=True))  # type: ignore[return-value]

    def first_of_line(self) -> dict[int, int]:
        """The first point of every line that has one."""
        first: dict[int, int] = {}
        for index, line in enumerate(self.line):
            first.setdefault(line, index)
        return first


def track_of(program: Program, clock: Clock) -> Track:
    """Every point of the program's path; what is not known on all three axes is left out as a gap."""
    moves, track = program.moves, Track()
    start, before, arc = moves.start, 0.0, 0
    if _known(start) and len(moves):
        track.add(start, 0.0, LOST, 0, moves.line[0])
    gap = not len(track)
    for index, (kind, line, x, y, z, end) in enumerate(
        zip(moves.kind, moves.line, moves.x, moves.y, moves.z, clock.ends, strict=True)
    ):
        place = (x, y, z)
        if index in clock.waits and not gap:
            before += clock.waits[index]
            track.add(start, before, WAIT, index, line)
        curved = kind in (ARC_CW, ARC_CCW)
        if kind == LOST or not _known(place):
            gap = gap or not _known(place)
        elif gap:
            track.add(place, end, LOST, index, line)
            gap = False
        elif curved:
            geometry = moves.arc_number(arc)
            points = arc_points(Move(index, line, KIND_NAMES[kind], start, place, 0.0, geometry), ARC_ERROR)
            step = (end - before) / len(points)
            for number, point in enumerate(points, 1):
                track.add(point, end if number == len(points) else before + number * step, kind, index, line)
        else:
            track.add(place, end, kind, index, line)
        arc += curved
        start, before = place, end
    return track


def _known(place: Point) -> bool:
    return math.isfinite(place[0] + place[1] + place[2])


def thinned(track: Track, wanted_lines: Collection[int], most: int = MOST_POINTS) -> Track:
    """The track in at most about `most` points, or itself where it has no more.

    A point goes where it lies within some distance of the last one kept; the distance doubles until few enough are
    left. Ends, gaps, waits, changes between kinds, extremes and the points of `wanted_lines` always stay.
    """
    if len(track) <= most:
        return track
    fixed = _fixed(track, wanted_lines)
    error = max(ARC_ERROR, _length(track) / most / 2)
    while True:
        kept = list(_spaced(track, fixed, error))
        if len(kept) <= most or len(kept) <= len(fixed):
            return _chosen(track, kept, error)
        error *= 2


def _length(track: Track) -> float:
    places = zip(track.x, track.y, track.z, strict=True)
    return math.fsum(math.dist(one, two) for one, two in pairwise(places))


def _fixed(track: Track, wanted_lines: Collection[int]) -> set[int]:
    last = len(track) - 1
    fixed = {0, last}
    for values in (track.x, track.y, track.z):
        fixed |= {values.index(min(values)), values.index(max(values))}
    wanted = set(wanted_lines)
    kinds = track.kind
    for index, (kind, line) in enumerate(zip(kinds, track.line, strict=True)):
        if line in wanted or kind in (LOST, WAIT):
            fixed |= {max(0, index - 1), index}
        elif index and kind != kinds[index - 1] and _turns(kind, kinds[index - 1]):
            fixed.add(index - 1)
    return fixed


def _turns(kind: int, before: int) -> bool:
    """Whether a change of kind is one between air and cut; lines and arcs of one cut are alike."""
    return (kind == 0) != (before == 0)


def _spaced(track: Track, fixed: set[int], error: float) -> Iterator[int]:
    far = error * error
    x0, y0, z0 = math.inf, math.inf, math.inf
    for index, (x, y, z) in enumerate(zip(track.x, track.y, track.z, strict=True)):
        if index in fixed or (x - x0) ** 2 + (y - y0) ** 2 + (z - z0) ** 2 > far:
            yield index
            x0, y0, z0 = x, y, z


def _chosen(track: Track, kept: list[int], error: float) -> Track:
    picked = Track(left_out=len(track) - len(kept), error=error)
    for name in ("x", "y", "z", "t", "kind", "move", "line"):
        values: array[float] = getattr(track, name)
        setattr(picked, name, array(values.typecode, [values[index] for index in kept]))
    return picked
