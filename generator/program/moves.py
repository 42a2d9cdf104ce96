"""Compact stores of what a program does: its moves and the codes carried out between them."""

from __future__ import annotations

import math
from array import array
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from typing import NamedTuple

RAPID, FEED, ARC_CW, ARC_CCW, PROBE, LOST = range(6)
KIND_NAMES = ("rapid", "feed", "arc-cw", "arc-ccw", "probe", "lost")
CUTS = frozenset({FEED, ARC_CW, ARC_CCW})

Point = tuple[float, float, float]

# In-plane axes in the order in which the plane is seen, then the axis normal to it. G18 is Z then X.
PLANES: dict[int, tuple[int, int, int]] = {17: (0, 1, 2), 18: (2, 0, 1), 19: (1, 2, 0)}


class Arc(NamedTuple):
    """Geometry of one arc: centre in plane order (mm), radius, start angle and signed sweep (radians)."""

    plane: int
    centre: tuple[float, float]
    radius: float
    start_angle: float
    sweep: float


class Move(NamedTuple):
    """Move `number` in job coordinates (mm); `feed` in mm/min, 0 for rapids; unknown coordinates are nan."""

    number: int
    line: int
    kind: str
    start: Point
    end: Point
    feed: float
    arc: Arc | None


class Moves:
    """Moves as parallel arrays; move i starts where move i - 1 ends, move 0 at `start`.

    Coordinates are job coordinates in mm: the place of the cutter tip seen from the job's zero.
    A move of kind LOST is not motion: it only says which coordinates are not known from there on (nan), or
    are known again.
    """

    __slots__ = ("_arc", "arc_move", "feed", "has_unknown", "kind", "line", "start", "x", "y", "z")

    def __init__(self, start: Sequence[float]) -> None:
        self.start: Point = (start[0], start[1], start[2])
        self.x, self.y, self.z, self.feed = (array("d") for _ in range(4))
        self.line, self.kind = array("I"), array("B")
        self.arc_move, self._arc = array("I"), array("d")

    def __len__(self) -> int:
        return len(self.x)

    def add(self, kind: int, end: Sequence[float], feed: float, line: int) -> None:
        """Append one move."""
        self.x.append(end[0])
        self.y.append(end[1])
        self.z.append(end[2])
        self.feed.append(feed)
        self.line.append(line)
        self.kind.append(kind)

    def add_arc(self, kind: int, end: Sequence[float], feed: float, line: int, arc: Arc) -> None:
        """Append one arc with its geometry."""
        self.arc_move.append(len(self))
        self._arc.extend((arc.plane, *arc.centre, arc.radius, arc.start_angle, arc.sweep))
        self.add(kind, end, feed, line)

    def end(self, index: int) -> Point:
        """Where move `index` ends; -1 is the start of the program."""
        return (self.x[index], self.y[index], self.z[index]) if index >= 0 else self.start

    def arc(self, index: int) -> Arc:
        """Geometry of the arc that is move `index`."""
        return self.arc_number(bisect_left(self.arc_move, index))

    def arc_number(self, number: int) -> Arc:
        """Geometry of the arc number `number` of the program, counting from 0."""
        plane, a, b, radius, angle, sweep = self._arc[6 * number : 6 * number + 6]
        return Arc(int(plane), (a, b), radius, angle, sweep)

    def __iter__(self) -> Iterator[Move]:
        start = self.start
        for index, kind in enumerate(self.kind):
            end = self.end(index)
            if kind != LOST:
                arc = self.arc(index) if kind in (ARC_CW, ARC_CCW) else None
                yield Move(index, self.line[index], KIND_NAMES[kind], start, end, self.feed[index], arc)
            start = end


def arc_points(move: Move, tolerance: float = 0.05) -> list[Point]:
    """Points along an arc after its start, chords off by at most `tolerance` mm, the end exactly."""
    arc = move.arc
    if arc is None:
        return [move.end]
    a, b, c = PLANES[arc.plane]
    step = 2 * math.acos(max(0.5, 1 - tolerance / arc.radius)) if arc.radius > 0 else math.pi
    count = min(720, max(1, math.ceil(abs(arc.sweep) / step)))
    points: list[Point] = []
    for number in range(1, count):
        share = number / count
        angle = arc.start_angle + arc.sweep * share
        place = [0.0, 0.0, 0.0]
        place[a] = arc.centre[0] + arc.radius * math.cos(angle)
        place[b] = arc.centre[1] + arc.radius * math.sin(angle)
        place[c] = move.start[c] + (move.end[c] - move.start[c]) * share
        points.append((place[0], place[1], place[2]))
    return [*points, move.end]


class Event(NamedTuple):
    """A code carried out before move number `move`: 'M3', 'G92', or 'S', 'T', 'F' with their value."""

    move: int
    line: int
    code: str
    value: float


class Events:
    """Codes other than plain motion, in the order carried out."""

    __slots__ = ("_code", "_names", "_numbers", "line", "move", "value")

    def __init__(self) -> None:
        self.move, self.line = array("I"), array("I")
        self._code, self.value = array("H"), array("d")
        self._names: list[str] = []
        self._numbers: dict[str, int] = {}

    def __len__(self) -> int:
        return len(self.move)

    def add(self, move: int, line: int, code: str, value: float = 0.0) -> None:
        """Append one code; codes are few, so each name is kept once."""
        number = self._numbers.get(code)
        if number is None:
            number = self._numbers[code] = len(self._names)
            self._names.append(code)
        self.move.append(move)
        self.line.append(line)
        self._code.append(number)
        self.value.append(value)

    def __iter__(self) -> Iterator[Event]:
        names = self._names
        for move, line, code, value in zip(self.move, self.line, self._code, self.value, strict=True):
            yield Event(move, line, names[code], value)
