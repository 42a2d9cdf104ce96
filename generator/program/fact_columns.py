"""Facts that ask about every move, for many moves at once; what they mean is said in motion, facts and signature."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

import numpy as np

from generator.program.arrays import Flags, Triple
from generator.program.move_columns import MoveColumns, blocks, boxes
from generator.program.moves import ARCS, LOST, Moves

Corner = list[float | None]


def envelope_columns(moves: Moves, kinds: Collection[int]) -> tuple[Corner, Corner]:
    """What motion.envelope gives."""
    low, high = np.full(3, np.nan), np.full(3, np.nan)
    for _, wanted, sides in _boxes_of(moves, kinds):
        for axis in range(3):
            low[axis] = np.fmin(low[axis], np.fmin.reduce(sides[0][axis][wanted], initial=np.nan))
            high[axis] = np.fmax(high[axis], np.fmax.reduce(sides[1][axis][wanted], initial=np.nan))
    return _known(low.tolist()), _known(high.tolist())


def _known(corner: Sequence[float]) -> Corner:
    return [value if value == value else None for value in corner]


def _boxes_of(moves: Moves, kinds: Collection[int]) -> Iterator[tuple[MoveColumns, Flags, tuple[Triple, Triple]]]:
    table = np.isin(np.arange(256), list(kinds))
    for block in blocks(moves):
        yield block, table[block.kind], boxes(block)


def first_line_at(moves: Moves, kinds: Collection[int], height: float) -> int | None:
    """Line of the first move of these kinds that reaches down to `height`."""
    for block, wanted, (low, _) in _boxes_of(moves, kinds):
        reached = np.flatnonzero(wanted & (low[2] <= height))
        if len(reached):
            return int(block.line[reached[0]])
    return None


def lines_beyond(moves: Moves, low: Sequence[float], high: Sequence[float]) -> Iterator[list[int]]:
    """Lines of the moves that end, or bend, lower or higher on some axis than these limits."""
    for block, curved, sides in _boxes_of(moves, ARCS):
        beyond = np.zeros(len(block.line), dtype=bool)
        for axis in range(3):
            least, most = (np.where(curved, side[axis], block.end[axis]) for side in sides)
            beyond |= (least < low[axis]) | (most > high[axis])
        yield block.line[beyond].tolist()


def change_count(moves: Moves, axis: int) -> int:
    """Moves that end elsewhere on one axis than they start, or at a place that is known at last."""
    count = 0
    for block in blocks(moves):
        start, end = block.start[axis], block.end[axis]
        count += int(np.count_nonzero((block.kind != LOST) & (end == end) & (end != start)))
    return count
