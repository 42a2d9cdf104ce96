"""Cutting moves as columns, and which of many moves have to be seen one by one."""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterator

import numpy as np
from msgspec import Struct

from generator.program.arrays import Flags, Lines, Numbers, Triple
from generator.program.depth_watch import UPRIGHT
from generator.program.geometry import grown
from generator.program.move_columns import Arcs, MoveColumns, boxes, with_lengths
from generator.program.moves import ARC_CCW, ARC_CW, FEED, Moves
from generator.program.rapid_watch import nut_reach
from generator.program.setup import Setup
from generator.program.watch import ARC_HUGE_MM, ARC_TINY_DEG


class Cuts(Struct, frozen=True):
    """Cutting moves in a row, one entry each; `low` and `high` are the boxes round them. All of it is known."""

    line: Lines
    start: Triple
    end: Triple
    low: Triple
    high: Triple
    length: Numbers
    feed: Numbers
    curved: Flags
    arcs: Arcs

    def __len__(self) -> int:
        return len(self.length)

    def flat_lengths(self) -> Numbers:
        """Length seen from above."""
        rise = self.end[2] - self.start[2]
        return np.sqrt(np.maximum(0.0, self.length * self.length - rise * rise))

    def between(self, first: int, last: int) -> Cuts:
        """Some of them, counted from the first of these."""
        low, high = np.searchsorted(self.arcs.at, (first, last))
        return Cuts(
            self.line[first:last], _part(self.start, first, last), _part(self.end, first, last),
            _part(self.low, first, last), _part(self.high, first, last), self.length[first:last],
            self.feed[first:last], self.curved[first:last], self.arcs.chosen(slice(low, high), first),
        )  # fmt: skip


def _part(columns: Triple, first: int, last: int) -> Triple:
    return columns[0][first:last], columns[1][first:last], columns[2][first:last]


def cut_columns(moves: Moves, lengths: array[float], setup: Setup) -> Iterator[tuple[int, Cuts, list[int]]]:
    """Blocks of moves: number of the first, all as if they were cuts, and where runs of one sort begin and end.

    Runs of quiet cuts and of moves to be seen one by one come in turn, a quiet one first, which may be empty.
    """
    for block, length in with_lengths(moves, lengths):
        low, high = boxes(block)
        loud = _loud(block, length, low, high, setup)
        turns = (np.flatnonzero(loud[1:] != loud[:-1]) + 1).tolist()
        edges = [0, *([0] if loud[0] else []), *turns, len(loud)]
        curved = (block.kind == ARC_CW) | (block.kind == ARC_CCW)
        cuts = Cuts(block.line, block.start, block.end, low, high, length, block.feed, curved, block.arcs)
        yield block.first, cuts, edges


def _loud(block: MoveColumns, length: Numbers, low: Triple, high: Triple, setup: Setup) -> Flags:
    """Moves that are no cuts, go upright, nowhere or somewhere unknown, come near a clamp, or are odd arcs."""
    straight = block.kind == FEED
    quiet = (straight | (block.kind == ARC_CW) | (block.kind == ARC_CCW)) & (length > 0) & (block.feed > 0)
    across, along, rise = (end - start for end, start in zip(block.end, block.start, strict=True))
    loud: Flags = ~quiet | straight & (rise != 0) & (np.abs(across) < 2 * UPRIGHT) & (np.abs(along) < 2 * UPRIGHT)
    loud |= _near_a_clamp(low, high, setup)
    arcs = block.arcs
    tiny = np.abs(arcs.sweep) < 2 * math.radians(ARC_TINY_DEG)
    loud[arcs.at[(arcs.plane != 17) | (arcs.radius > ARC_HUGE_MM) | tiny]] = True
    return loud


def _near_a_clamp(low: Triple, high: Triple, setup: Setup) -> Flags:
    """Moves whose box meets what cutter or nut must not enter."""
    near: Flags = np.zeros(len(low[0]), dtype=bool)
    reach = nut_reach(setup)
    for clamp in setup.clamps:
        x_low, y_low, x_high, y_high = grown(clamp.outline, reach)
        near |= (low[0] <= x_high) & (high[0] >= x_low) & (low[1] <= y_high) & (high[1] >= y_low)
    near &= low[2] < max((clamp.top for clamp in setup.clamps), default=-math.inf)
    return near
