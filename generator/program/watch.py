"""One pass over moves and codes in program order, shown to every watch."""

from __future__ import annotations

import math
import sys
from array import array
from itertools import pairwise
from typing import TYPE_CHECKING

from generator.expr import Value
from generator.program.change_watch import ChangeWatch
from generator.program.depth_watch import DepthWatch
from generator.program.motion import arc_box, many, move_lengths, straight_box
from generator.program.moves import FEED, KIND_NAMES, LOST, PROBE, RAPID, Move, Point, arc_points
from generator.program.occurrences import Occurrences
from generator.program.rapid_watch import ClampWatch, RapidWatch, StockWatch
from generator.program.read import Program
from generator.program.setup import Setup
from generator.program.spindle_watch import SpindleWatch

if TYPE_CHECKING:
    from generator.program.cut_columns import Cuts

ARC_HUGE_MM = 10_000.0
ARC_TINY_DEG = 0.01
# Fewer cuts than these between two codes are seen one by one.
FEWEST_CUTS = 64


class Watches:
    """All watches of one pass; each sees only what concerns it."""

    def __init__(self, program: Program, setup: Setup, seen: Occurrences) -> None:
        self._program, self._setup, self._seen = program, setup, seen
        self._spindle = SpindleWatch(setup, seen)
        self._depth = DepthWatch(setup, seen)
        self._rapid = RapidWatch(setup, seen, self._depth)
        self._clamps, self._stock = ClampWatch(setup, seen), StockWatch(setup, seen)
        self._changes = ChangeWatch(setup, seen)
        self._codes = iter(program.events)
        self._code = next(self._codes, None)
        self._arc = 0
        # A feed no higher than every limit breaks none, however the move lies.
        limits = [limit for limit in (setup.feed_max_xy, setup.feed_max_z) if limit is not None]
        self._harmless_feed = min(limits, default=math.inf)
        # What the changes were last told; moves of the same kind in a row tell them nothing new.
        self._told: bool | None = None

    def run(self, lengths: array[float]) -> dict[str, Value]:
        """Go through the program once; the facts of all watches."""
        moves = self._program.moves
        if many(moves):
            self._by_blocks(lengths)
        else:
            self._one_by_one(0, len(moves), lengths)
        self._carry_out_codes(len(moves))
        return self._facts()

    def find_cut(self, before: Program) -> None:
        """Begin on stock that another program has cut already."""
        earlier = Watches(before, self._setup, Occurrences())
        earlier.run(move_lengths(before.moves))
        self._depth.remember_as(earlier._depth)

    def _by_blocks(self, lengths: array[float]) -> None:
        from generator.program.cut_columns import cut_columns

        for first, cuts, edges in cut_columns(self._program.moves, lengths, self._setup):
            for number, (low, high) in enumerate(pairwise(edges)):
                if number % 2:
                    self._one_by_one(first + low, first + high, lengths)
                else:
                    self._quiet(first, low, high, cuts, lengths)

    def _quiet(self, first: int, low: int, high: int, cuts: Cuts, lengths: array[float]) -> None:
        """Cuts without anything to be told about by themselves, many at once between one code and the next."""
        while low < high:
            self._carry_out_codes(first + low)
            upto = min(high, self._next_code() - first)
            if upto - low < FEWEST_CUTS:
                self._one_by_one(first + low, first + upto, lengths)
            else:
                self._many_cuts(cuts.between(low, upto))
            low = upto

    def _next_code(self) -> int:
        """Number of the move before which the next code is carried out that changes anything."""
        while self._code is not None and self._spindle.repeats(self._code):
            self._spindle.event(self._code, math.nan)
            self._code = next(self._codes, None)
        return sys.maxsize if self._code is None else self._code.move

    def _carry_out_codes(self, index: int) -> None:
        """The codes that come before move number `index`."""
        z = self._program.moves.end(index - 1)[2]
        while self._code is not None and self._code.move <= index:
            self._told = None
            self._changes.event(self._code, z, self._spindle.turning)
            self._spindle.event(self._code, z)
            self._code = next(self._codes, None)

    def _one_by_one(self, first: int, last: int, lengths: array[float]) -> None:
        moves = self._program.moves
        start = moves.end(first - 1)
        stores = (moves.kind, moves.line, moves.x, moves.y, moves.z, moves.feed, lengths)
        columns = zip(*(store[first:last] for store in stores), strict=True)
        for index, (kind, line, x, y, z, feed, length) in enumerate(columns, first):
            if self._code is not None and self._code.move <= index:
                self._carry_out_codes(index)
            end = (x, y, z)
            if kind == RAPID:
                self._one_rapid(line, start, end, length)
            elif kind != LOST:
                self._one_cut(index, kind, line, start, end, feed, length)
            start = end

    def _many_cuts(self, cuts: Cuts) -> None:
        self._check_feeds(cuts)
        top = self._setup.stock_top
        cutting = [True] if top is None else (cuts.low[2] < top).tolist()
        if any(cutting) and not self._told:
            self._tell(True)
        if cutting[-1] is not self._told:
            self._tell(cutting[-1])
        self._spindle.cuts(cuts)
        self._depth.cuts(cuts)
        self._stock.cuts(cuts)
        self._arc += len(cuts.arcs)

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
            low, high = straight_box(start, end)
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

    def _check_feeds(self, cuts: Cuts) -> None:
        """What `_check_feed` looks for, in many cuts."""
        most_xy, most_z = self._setup.feed_max_xy, self._setup.feed_max_z
        if not (cuts.feed > self._harmless_feed).any():
            return
        rise = abs(cuts.end[2] - cuts.start[2])
        if most_z is not None:
            steep = cuts.feed * rise > most_z * cuts.length * (1 + 1e-9)
            self._seen.add_many("z_feed_too_high", cuts.line[steep].tolist())
        if most_xy is not None:
            fast = (cuts.feed > most_xy) & (cuts.feed * cuts.flat_lengths() > most_xy * cuts.length * (1 + 1e-9))
            self._seen.add_many("feed_too_high", cuts.line[fast].tolist())

    def _facts(self) -> dict[str, Value]:
        return (
            self._spindle.result() | self._depth.result() | self._rapid.facts | self._clamps.facts
            | self._stock.result() | self._changes.result()
        )  # fmt: skip


def _least(one: float, two: float) -> float:
    """The smaller one; an unknown one does not count."""
    return two if one != one or two < one else one
