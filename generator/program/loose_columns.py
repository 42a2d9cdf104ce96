"""Sweeping the grid of generator.program.loose with many cuts at once; the cells and moves are the same."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from generator.program.arrays import Numbers, Places, Triple
from generator.program.depth_columns import chords, parts
from generator.program.move_columns import blocks
from generator.program.moves import ARC_CCW, ARC_CW, CUTS, Moves

Legs = tuple[Triple, Triple, Places]


def swept_first(
    moves: Moves, height: float, corner: tuple[float, float], cell: float, shape: tuple[int, int],
    disc: Sequence[tuple[int, float]],
) -> NDArray[np.uint32]:  # fmt: skip
    """For every cell one more than the number of the first move that sweeps it at or below `height`, 0 for none.

    `corner` is the lowest x and y of the grid, `shape` its rows and columns, `disc` the rows of the cutter.
    """
    first = np.zeros(shape[0] * shape[1], dtype=np.uint32)
    for starts, ends, owner in _low_legs(moves, height):
        places = [((legs[0] - corner[0]) / cell, (legs[1] - corner[1]) / cell) for legs in (starts, ends)]
        (x0, y0), (x1, y1) = places
        across, along = x1 - x0, y1 - y0
        wanted = np.ceil(np.sqrt(across * across + along * along))
        counts = np.clip(wanted, 1, 4 * (shape[0] + shape[1])).astype(np.intp)
        for part in parts(counts + 1):
            leg = np.repeat(np.arange(part.start, part.stop), counts[part] + 1)
            share = _numbers(counts[part] + 1) / counts[leg]
            _stamp(first, x0[leg] + across[leg] * share, y0[leg] + along[leg] * share, owner[leg] + 1, shape, disc)
    return first.reshape(shape)


def _numbers(counts: Places) -> Places:
    """0, 1, 2 and so on for every count."""
    return np.arange(int(counts.sum())) - np.repeat(np.cumsum(counts) - counts, counts)


def _low_legs(moves: Moves, height: float) -> Iterator[Legs]:
    """Start, end and move of the straight stretches of cutting moves that lie at or below `height`."""
    cutting = np.isin(np.arange(256), list(CUTS))
    for block in blocks(moves):
        low = cutting[block.kind] & ((block.start[2] <= height) | (block.end[2] <= height))
        known = np.isfinite(sum(block.start[1:], block.start[0]) + sum(block.end[1:], block.end[0]))
        at = np.flatnonzero(low & known)
        for part in parts(np.where((block.kind == ARC_CW) | (block.kind == ARC_CCW), 100, 1)[at]):
            starts, ends, owner = chords(block.start, block.end, block.arcs, at[part])
            yield _below(starts, ends, owner + block.first, height)


def _below(starts: Triple, ends: Triple, owner: Places, height: float) -> Legs:
    """The parts of straight stretches at or below `height`."""
    from_above, to_above = starts[2] > height, ends[2] > height
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (height - starts[2]) / (ends[2] - starts[2])
        cross = [start + (end - start) * share for start, end in zip(starts[:2], ends[:2], strict=True)]
    kept = ~(from_above & to_above)
    lower = [np.where(from_above, at, start)[kept] for at, start in zip(cross, starts, strict=False)]
    upper = [np.where(to_above, at, end)[kept] for at, end in zip(cross, ends, strict=False)]
    flat = np.full(len(lower[0]), height)
    return (lower[0], lower[1], flat), (upper[0], upper[1], flat), owner[kept]


def _stamp(
    first: NDArray[np.uint32], x: Numbers, y: Numbers, owner: Places, shape: tuple[int, int],
    disc: Sequence[tuple[int, float]],
) -> None:  # fmt: skip
    """Take away what the cutter covers at these places, unless an earlier move did."""
    rows, columns = shape
    middle = np.floor(y).astype(np.intp)
    for step, half in disc:
        row = middle + step
        low = np.maximum(0, np.rint(x - half)).astype(np.intp)
        high = np.minimum(columns, np.rint(x + half)).astype(np.intp)
        inside = np.flatnonzero((row >= 0) & (row < rows) & (high > low))
        cells, wide, by = row[inside] * columns + low[inside], (high - low)[inside], owner[inside]
        for number in range(int(wide.max(initial=0))):
            at = np.flatnonzero(wide > number)
            found, moves = cells[at] + number, by[at]
            new = np.flatnonzero(first[found] == 0)[::-1]
            # Backwards, since of several moves for one cell the one put in last stays.
            first[found[new]] = moves[new]
