"""Compact stores of what a program does: its moves and the codes carried out between them."""

from __future__ import annotations

import math
from array import array
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[Any]

RAPID, FEED, ARC_CW, ARC_CCW, PROBE, LOST = range(6)
KIND_NAMES = ("rapid", "feed", "arc-cw", "arc-ccw", "probe", "lost")
ARCS = frozenset({ARC_CW, ARC_CCW})
CUTS = ARCS | {FEED}

# How far chords may lie off their arc (mm), and how many there may be of one.
CHORD_TOLERANCE = 0.05
MOST_CHORDS = 720

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
    are known again. `arc_move` are the numbers of moves that are arcs, `geometry` six numbers for each of them.
    """

    __slots__ = ("arc_move", "feed", "geometry", "kind", "line", "start", "x", "y", "z")

    def __init__(self, start: Sequence[float]) -> None:
        self.start: Point = (start[0], start[1], start[2])
        self.x, self.y, self.z, self.feed = (array("d") for _ in range(4))
        self.line, self.kind = array("I"), array("B")
        self.arc_move, self.geometry = array("I"), array("d")

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
        self.geometry.extend((arc.plane, *arc.centre, arc.radius, arc.start_angle, arc.sweep))
        self.add(kind, end, feed, line)

    def extend(self, kinds: Column, ends: Sequence[Column], feeds: Column, lines: Column) -> None:
        """Append many moves; arcs among them are told by `extend_arcs` first."""
        for store, column in zip((self.x, self.y, self.z), ends, strict=True):
            store.frombytes(column.tobytes())
        self.feed.frombytes(feeds.tobytes())
        self.line.frombytes(lines.astype("uint32").tobytes())
        self.kind.frombytes(kinds.tobytes())

    def extend_arcs(self, moves: Column, geometry: Column) -> None:
        """The geometry of arcs that will be moves of these numbers, a row of six for each."""
        self.arc_move.frombytes(moves.astype("uint32").tobytes())
        self.geometry.frombytes(geometry.tobytes())

    def append(self, other: Moves, first: int, last: int) -> None:
        """Append moves `first` up to, not with, `last` of another store."""
        shift = len(self) - first
        low, high = (bisect_left(other.arc_move, index) for index in (first, last))
        self.arc_move.extend(number + shift for number in other.arc_move[low:high])
        self.geometry.extend(other.geometry[6 * low : 6 * high])
        for name in ("x", "y", "z", "feed", "line", "kind"):
            getattr(self, name).extend(getattr(other, name)[first:last])

    def end(self, index: int) -> Point:
        """Where move `index` ends; -1 is the start of the program."""
        return (self.x[index], self.y[index], self.z[index]) if index >= 0 else self.start

    def arc(self, index: int) -> Arc:
        """Geometry of the arc that is move `index`."""
        return self.arc_number(bisect_left(self.arc_move, index))

    def arc_number(self, number: int) -> Arc:
        """Geometry of the arc number `number` of the program, counting from 0."""
        plane, a, b, radius, angle, sweep = self.geometry[6 * number : 6 * number + 6]
        return Arc(int(plane), (a, b), radius, angle, sweep)

    def __iter__(self) -> Iterator[Move]:
        start = self.start
        for index, kind in enumerate(self.kind):
            end = self.end(index)
            if kind != LOST:
                arc = self.arc(index) if kind in (ARC_CW, ARC_CCW) else None
                yield Move(index, self.line[index], KIND_NAMES[kind], start, end, self.feed[index], arc)
            start = end


def arc_points(move: Move, tolerance: float = CHORD_TOLERANCE) -> list[Point]:
    """Points along an arc after its start, chords off by at most `tolerance` mm, the end exactly."""
    arc = move.arc
    if arc is None:
        return [move.end]
    a, b, c = PLANES[arc.plane]
    step = 2 * math.acos(max(0.5, 1 - tolerance / arc.radius))
    count = min(MOST_CHORDS, max(1, math.ceil(abs(arc.sweep) / step)))
    cos, sin = math.cos(arc.sweep / count), math.sin(arc.sweep / count)
    across, up = move.start[a] - arc.centre[0], move.start[b] - arc.centre[1]
    points: list[Point] = []
    for number in range(1, count):
        # The same turn again and again: steps that many arcs at once can take too, with the same results.
        across, up = across * cos - up * sin, across * sin + up * cos
        place = [0.0, 0.0, 0.0]
        place[a], place[b] = arc.centre[0] + across, arc.centre[1] + up
        place[c] = move.start[c] + (move.end[c] - move.start[c]) * (number / count)
        points.append((place[0], place[1], place[2]))
    return [*points, move.end]


class Event(NamedTuple):
    """A code carried out before move number `move`: 'M3', 'G92', or 'S', 'T' with their value."""

    move: int
    line: int
    code: str
    value: float


class Events:
    """Codes other than plain motion, in the order carried out; `codes` are those that were, each once."""

    __slots__ = ("_code", "_numbers", "codes", "line", "move", "value")

    def __init__(self) -> None:
        self.move, self.line = array("I"), array("I")
        self._code, self.value = array("H"), array("d")
        self.codes: list[str] = []
        self._numbers: dict[str, int] = {}

    def __len__(self) -> int:
        return len(self.move)

    def add(self, move: int, line: int, code: str, value: float = 0.0) -> None:
        """Append one code."""
        self.move.append(move)
        self.line.append(line)
        self._code.append(self._number(code))
        self.value.append(value)

    def _number(self, code: str) -> int:
        """Codes are few, so each name is kept once."""
        number = self._numbers.get(code)
        if number is None:
            number = self._numbers[code] = len(self.codes)
            self.codes.append(code)
        return number

    def extend(self, moves: Column, lines: Column, code: str, values: Column) -> None:
        """Append one code many times."""
        self.move.frombytes(moves.astype("uint32").tobytes())
        self.line.frombytes(lines.astype("uint32").tobytes())
        self._code.extend([self._number(code)] * len(values))
        self.value.frombytes(values.tobytes())

    def __iter__(self) -> Iterator[Event]:
        return map(Event, self.move, self.line, map(self.codes.__getitem__, self._code), self.value)

    def values_of(self, code: str) -> Iterator[float]:
        """The values with which a code was carried out, in order."""
        number = self._numbers.get(code)
        return (value for value, found in zip(self.value, self._code, strict=True) if found == number)
