"""One pass over moves and codes in program order, shown to every watch."""

from __future__ import annotations

import math
from array import array

from generator.expr import Value
from generator.program.change_watch import ChangeWatch
from generator.program.depth_watch import DepthWatch
from generator.program.motion import arc_box
from generator.program.moves import FEED, KIND_NAMES, LOST, PROBE, RAPID, Move, Point, arc_points
from generator.program.occurrences import Occurrences
from generator.program.rapid_watch import ClampWatch, RapidWatch, StockWatch
from generator.program.read import Program
from generator.program.setup import Setup
from generator.program.spindle_watch import SpindleWatch

ARC_HUGE_MM = 10_000.0
ARC_TINY_DEG = 0.01


class Watches:
    """All watches of one pass; each sees only what concerns it."""

    def __init__(self, program: Program, setup: Setup, seen: Occurrences) -> None:
        self._program, self._setup, self._seen = program, setup, seen
        self._spindle = SpindleWatch(setup, seen)
        self._depth = DepthWatch(setup, seen)
        self._rapid = RapidWatch(setup, seen, self._depth)
        self._clamps, self._stock = ClampWatch(setup, seen), StockWatch(setup, seen)
        self._changes = ChangeWatch(setup, seen)
        self._arc = 0
        # A feed no higher than every limit breaks none, however the move lies.
        limits = [limit for limit in (setup.feed_max_xy, setup.feed_max_z) if limit is not None]
        self._harmless_feed = min(limits, default=math.inf)
        # What the changes were last told; moves of the same kind in a row tell them nothing new.
        self._told: bool | None = None

    def run(self, lengths: array[float]) -> dict[str, Value]:
        """Go through the program once; the facts of all watches."""
        moves = self._program.moves
        events = iter(self._program.events)
        event = next(events, None)
        start = moves.start
        columns = zip(moves.kind, moves.line, moves.x, moves.y, moves.z, moves.feed, lengths, strict=True)
        for index, (kind, line, x, y, z, feed, length) in enumerate(columns):
            while event is not None and event.move <= index:
                self._told = None
                self._changes.event(event, start[2], self._spindle.turning)
                self._spindle.event(event, start[2])
                event = next(events, None)
            end = (x, y, z)
            if kind == RAPID:
                self._one_rapid(line, start, end, length)
            elif kind != LOST:
                self._one_cut(index, kind, line, start, end, feed, length)
            start = end
        while event is not None:
            self._changes.event(event, start[2], self._spindle.turning)
            self._spindle.event(event, start[2])
            event = next(events, None)
        return self._facts()

    def _one_rapid(self, line: int, start: Point, end: Point, length: float) -> None:
        if length != length:
            self._seen.add("place_unknown", line)
        self._tell(False)
        self._rapid.rapid(line, start, end)
        self._spindle.rapid(length)
        self._clamps.move(line, (start, end), _least(start[2], end[2]), rapid=True)

    def _one_cut(self, index: int, kind: int, line: int, start: Point, end: Point, feed: float, length: float) -> None:
        curved = kind not in (FEED, PROBE)
        if curved:
            low, high = arc_box(self._program.moves, self._arc)
            self._look_at_arc(line)
        else:
            low, high = _box(start, end, length)
        if length != length:
            self._seen.add("place_unknown", line)
        elif length == 0:
            self._seen.add("zero_length", line)
        elif feed > self._harmless_feed and kind != PROBE:
            self._check_feed(line, abs(end[2] - start[2]), length, feed)
        if kind == PROBE:
            self._tell(False)
            return
        top = self._setup.stock_top
        cutting = top is None or low[2] < top
        if cutting is not self._told:
            self._tell(cutting)
        self._spindle.cut(line, start[2], end[2], low[2], length, feed)
        points = self._points(index, kind, start, end) if curved else (start, end)
        self._depth.cut(line, start, end, length, feed, points[1:] if curved else None)
        self._stock.cut(line, low, high)
        if self._setup.clamps:
            self._clamps.move(line, points, low[2], rapid=False)
        self._arc += curved

    def _tell(self, cutting: bool) -> None:
        self._told = cutting
        self._changes.move(cutting=cutting)

    def _points(self, index: int, kind: int, start: Point, end: Point) -> list[Point]:
        arc = self._program.moves.arc_number(self._arc)
        return [start, *arc_points(Move(index, 0, KIND_NAMES[kind], start, end, 0.0, arc))]

    def _look_at_arc(self, line: int) -> None:
        arc = self._program.moves.arc_number(self._arc)
        if arc.plane != 17:
            self._seen.add("arc_other_plane", line)
        if arc.radius > ARC_HUGE_MM:
            self._seen.add("arc_huge", line)
        if abs(math.degrees(arc.sweep)) < ARC_TINY_DEG:
            self._seen.add("arc_tiny", line)

    def _check_feed(self, line: int, rise: float, length: float, feed: float) -> None:
        most_xy, most_z = self._setup.feed_max_xy, self._setup.feed_max_z
        if most_z is not None and feed * rise > most_z * length * (1 + 1e-9):
            self._seen.add("z_feed_too_high", line)
        if most_xy is not None and feed > most_xy:
            flat = math.sqrt(max(0.0, length * length - rise * rise))
            if feed * flat > most_xy * length * (1 + 1e-9):
                self._seen.add("feed_too_high", line)

    def _facts(self) -> dict[str, Value]:
        return (
            self._spindle.result() | self._depth.result() | self._rapid.facts | self._clamps.facts
            | self._stock.result() | self._changes.result()
        )  # fmt: skip


def _least(one: float, two: float) -> float:
    """The smaller one; an unknown one does not count."""
    return two if one != one or two < one else one


def _box(start: Point, end: Point, length: float) -> tuple[Point, Point]:
    """Lowest and highest coordinates of a straight move; the long way only where one is unknown."""
    if length == length:
        x0, y0, z0 = start
        x1, y1, z1 = end
        if x1 < x0:
            x0, x1 = x1, x0
        if y1 < y0:
            y0, y1 = y1, y0
        return ((x0, y0, z0), (x1, y1, z1)) if z0 < z1 else ((x0, y0, z1), (x1, y1, z0))
    low = (_least(start[0], end[0]), _least(start[1], end[1]), _least(start[2], end[2]))
    return low, (-_least(-start[0], -end[0]), -_least(-start[1], -end[1]), -_least(-start[2], -end[2]))
