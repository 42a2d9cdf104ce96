"""How deep the cutter goes, in which steps, and what was cut at a place before."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import reduce
from itertools import pairwise
from typing import TYPE_CHECKING

from generator.expr import Value
from generator.program.moves import Point
from generator.program.occurrences import Occurrences
from generator.program.setup import Setup

if TYPE_CHECKING:
    from generator.program.arrays import Flags, Numbers
    from generator.program.cut_columns import Cuts

MOST_HOLES = 100_000
MOST_LEVELS = 200
MOST_SAMPLES = 400
# Cell of the depth grid where the cutter's diameter is not known (mm).
DEFAULT_CELL = 2.0
# Places further off than this (mm) lie on no machine, and have no number of a cell that fits 64 bits.
FARTHEST = 1e9
# Straight down means less than this sideways (mm).
UPRIGHT = 1e-3


class DepthWatch:
    """Follows cutting moves in program order and remembers the depth reached.

    Two memories: exact places (to a hundredth of a millimetre) decide whether a rapid goes down a hole that is
    there; a grid of half a cutter's diameter gives the step taken in one go, so a step is an estimate.
    """

    def __init__(self, setup: Setup, seen: Occurrences) -> None:
        self._setup, self._seen, self._top = setup, seen, setup.stock_top
        self._cell = max(0.5, setup.cutter_diameter / 2) if setup.cutter_diameter else DEFAULT_CELL
        self._holes: dict[tuple[int, int], float] = {}
        self._grid: dict[int, float] = {}
        self._levels: dict[float, float] = {}
        self._level_z = self._level = math.nan
        self._step = self._plunge_depth = self._plunge_feed = self._ramp = self._z_feed = 0.0
        self._step_line: int | None = None
        self._ramp_line: int | None = None
        self._last_plunge: tuple[int, float] | None = None
        self._at: Point = (math.nan, math.nan, math.nan)

    def depth_at(self, x: float, y: float) -> float | None:
        """Lowest height cut at exactly this place, None where nothing was."""
        return self._holes.get(_place(x, y)) if x == x and y == y else None

    def remember_as(self, other: DepthWatch) -> None:
        """Take over what another watch has seen cut."""
        self._holes, self._grid = other._holes, other._grid

    def cut(
        self, line: int, start: Point, end: Point, length: float, feed: float, bow: Sequence[Point] | None = None
    ) -> None:
        """A cutting move; `bow` holds places along an arc, whose ends may be one place."""
        self._at = end
        if not length > 0:
            return
        fall = start[2] - end[2]
        sideways = fall == 0 or bow is not None or math.hypot(end[0] - start[0], end[1] - start[1]) >= UPRIGHT
        if fall > 0:
            self._going_down(line, start, end, length, feed, sideways)
        top = self._top
        if top is None or not (start[2] if fall < 0 else end[2]) < top - 1e-6:
            return
        if not sideways:
            self._upright(line, start, end, feed)
        else:
            self._sideways(end, length, feed, abs(fall))
        for place in bow or (end,):
            self._note_steps(line, start, place, top)
            start = place

    def _going_down(self, line: int, start: Point, end: Point, length: float, feed: float, sideways: bool) -> None:
        share = (start[2] - end[2]) / length
        self._z_feed = max(self._z_feed, feed * share)
        if sideways and share > self._ramp and self._top is not None and end[2] < self._top:
            self._ramp, self._ramp_line = share, line

    def _upright(self, line: int, start: Point, end: Point, feed: float) -> None:
        if end[2] >= start[2]:
            return
        top = self._top or 0.0
        before = min(top, start[2], self._holes.get(_place(end[0], end[1]), math.inf) if end[0] == end[0] else math.inf)
        if before - end[2] > 1e-6:
            self._seen.add("plunge", line)
            self._plunge_depth = max(self._plunge_depth, before - end[2])
            self._plunge_feed = max(self._plunge_feed, feed)
            self._last_plunge = line, feed
        self._remember(end)

    def _sideways(self, end: Point, length: float, feed: float, fall: float) -> None:
        self._after_plunge(feed)
        if fall < 1e-6:
            self._on_level(end[2], (length,))

    def _after_plunge(self, feed: float) -> None:
        if self._last_plunge is not None:
            if self._last_plunge[1] == feed:
                self._seen.add("plunge_at_cutting_feed", self._last_plunge[0])
            self._last_plunge = None

    def _on_level(self, z: float, lengths: Sequence[float]) -> None:
        """Level cuts one behind the other at one height."""
        if len(self._levels) > MOST_LEVELS:
            return
        if z != self._level_z:
            self._level_z, self._level = z, round(z, 3)
        self._levels[self._level] = reduce(float.__add__, lengths, self._levels.get(self._level, 0.0))

    def _note_steps(self, line: int, start: Point, end: Point, top: float) -> None:
        far = max(abs(end[0] - start[0]), abs(end[1] - start[1]))
        if far <= self._cell:
            if end[2] < top:
                self._note_step(line, end[0], end[1], end[2], top)
            return
        # A little closer than the cells are wide: at just their width, rounding would skip one now and then.
        count = min(MOST_SAMPLES, math.ceil(1.1 * far / self._cell)) if far == far else 1
        for number in range(1, count + 1):
            share = number / count
            z = start[2] + (end[2] - start[2]) * share
            if z < top:
                self._note_step(
                    line, start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share, z, top
                )

    def _note_step(self, line: int, x: float, y: float, z: float, top: float) -> None:
        if not (-FARTHEST < x < FARTHEST and -FARTHEST < y < FARTHEST):
            return
        cell = (math.floor(x / self._cell) << 32) + math.floor(y / self._cell)
        before = self._grid.get(cell, top)
        if before - z > self._step:
            self._step, self._step_line = before - z, line
        if z < before:
            self._grid[cell] = z

    def cuts(self, cuts: Cuts) -> None:
        """Many cutting moves, none of them upright, as `cut` sees each."""
        self._at = (float(cuts.end[0][-1]), float(cuts.end[1][-1]), float(cuts.end[2][-1]))
        fall = cuts.start[2] - cuts.end[2]
        self._many_down(cuts, fall / cuts.length)
        top = self._top
        if top is None:
            return
        ends = cuts.end[2].copy()
        ends[fall < 0] = cuts.start[2][fall < 0]
        deep = ends < top - 1e-6
        if deep.any():
            self._after_plunge(float(cuts.feed[deep.argmax()]))
            self._many_levels(cuts, deep & (abs(fall) < 1e-6))
            self._many_steps(cuts, deep, top)

    def _many_down(self, cuts: Cuts, share: Numbers) -> None:
        self._z_feed = max(self._z_feed, float((cuts.feed * share).max()))
        if self._top is None:
            return
        share = share * (cuts.end[2] < self._top)
        steepest = int(share.argmax())
        if share[steepest] > self._ramp:
            self._ramp, self._ramp_line = float(share[steepest]), int(cuts.line[steepest])

    def _many_levels(self, cuts: Cuts, level: Flags) -> None:
        heights, lengths = cuts.end[2][level], cuts.length[level]
        turns = ((heights[1:] != heights[:-1]).nonzero()[0] + 1).tolist()
        for first, last in pairwise((0, *turns, len(heights))):
            if first < last:
                self._on_level(float(heights[first]), lengths[first:last].tolist())

    def _many_steps(self, cuts: Cuts, deep: Flags, top: float) -> None:
        from generator.program.depth_columns import Steps

        steps = Steps(self._cell, top, self._grid, self._step, MOST_SAMPLES)
        steps.cut(cuts, deep)
        if steps.line is not None:
            self._step, self._step_line = steps.deepest, steps.line

    def leave(self) -> Point:
        """The cutter leaves by a rapid: the place it leaves is open down to where it stood. Gives that place."""
        left = self._at
        if self._top is not None and left[2] < self._top:
            self._remember(left)
        self._at = (math.nan, math.nan, math.nan)
        return left

    def _remember(self, at: Point) -> None:
        if at[0] != at[0] or at[1] != at[1]:
            return
        place = _place(at[0], at[1])
        if place in self._holes or len(self._holes) < MOST_HOLES:
            self._holes[place] = min(self._holes.get(place, math.inf), at[2])

    def result(self) -> dict[str, Value]:
        """Facts at the end of the program."""
        levels = sorted(self._levels, reverse=True)
        many = len(levels) > MOST_LEVELS
        steps = [before - level for before, level in zip([self._top or 0.0, *levels], levels, strict=False)]
        known, ramp = self._top is not None, math.degrees(math.asin(min(1.0, self._ramp)))
        return {
            "program.level_count": len(levels) if known else None,
            "program.levels": [] if many else list(levels),
            "program.level_steps": [] if many else [round(step, 6) for step in steps],
            "program.level_lengths": [] if many else [self._levels[level] for level in levels],
            "program.step_max": self._step if known else None, "program.step_max_line": self._step_line,
            "program.plunge_depth_max": self._plunge_depth if known else None,
            "program.plunge_feed_max": self._plunge_feed or None,
            "program.ramp_angle_max": ramp if known else None, "program.ramp_angle_max_line": self._ramp_line,
            "program.z_feed_max": self._z_feed or None,
        }  # fmt: skip


def _place(x: float, y: float) -> tuple[int, int]:
    return round(x * 100), round(y * 100)
