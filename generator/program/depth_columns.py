"""The depth grid of generator.program.depth_watch for many cuts at once, with the same results to the last bit."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from generator.program.arrays import Flags, Lines, Numbers, Places, Triple
from generator.program.cut_columns import Cuts
from generator.program.depth_watch import FARTHEST
from generator.program.move_columns import Arcs
from generator.program.moves import CHORD_TOLERANCE, MOST_CHORDS, PLANES

# Places looked at together; so many fit into memory however long the moves are.
TOGETHER = 1 << 16
# Chords counted on for an arc, when arcs are put together.
MANY_CHORDS = 100


class Steps:
    """The deepest step so far and its line, on a grid of `cell` mm; `grid` holds the depth reached by cell number."""

    def __init__(self, cell: float, top: float, grid: dict[int, float], deepest: float, most_samples: int) -> None:
        self._cell, self._top, self._grid, self._most = cell, top, grid, most_samples
        self.deepest = deepest
        self.line: int | None = None

    def cut(self, cuts: Cuts, deep: Flags) -> None:
        """Note every place along those cuts that are `deep`."""
        at = np.flatnonzero(deep)
        for part in parts(np.where(cuts.curved, MANY_CHORDS, 1)[at]):
            starts, ends, owner = chords(cuts.start, cuts.end, cuts.arcs, at[part])
            self._along(starts, ends, cuts.line[owner])

    def _along(self, starts: Triple, ends: Triple, lines: Lines) -> None:
        far = np.maximum(np.abs(ends[0] - starts[0]), np.abs(ends[1] - starts[1]))
        # A little closer than the cells are wide: at just their width, rounding would skip one now and then.
        counts = np.minimum(self._most, np.ceil(1.1 * far / self._cell)).astype(np.intp)
        counts[far <= self._cell] = 1
        for part in parts(counts):
            self._note(*_samples(_of(starts, part), _of(ends, part), counts[part]), lines[part])

    def _note(self, x: Numbers, y: Numbers, z: Numbers, leg: Places, lines: Lines) -> None:
        near = (np.abs(x) < FARTHEST) & (np.abs(y) < FARTHEST) & (z < self._top)
        x, y, z, leg = x[near], y[near], z[near], leg[near]
        cells = _cells(x, y, self._cell)
        kept = np.ones(len(cells), dtype=bool)
        kept[1:] = (cells[1:] != cells[:-1]) | (z[1:] < z[:-1])
        cells, z, leg = cells[kept], z[kept], leg[kept]
        if not len(cells):
            return
        order = np.argsort(cells, kind="stable")
        sorted_cells, depths = cells[order], z[order]
        opens = np.concatenate(([True], sorted_cells[1:] != sorted_cells[:-1]))
        first = np.flatnonzero(opens)
        keys = sorted_cells[first].tolist()
        known = np.array([self._grid.get(key, self._top) for key in keys])
        before = _least_before(depths, opens, known)
        steps = before - depths
        most = float(steps.max())
        if most > self.deepest:
            self.deepest, self.line = most, int(lines[leg[order[steps == most].min()]])
        closing = np.concatenate((first[1:], [len(opens)])) - 1
        lowest = np.minimum(before[closing], depths[closing])
        lower = np.flatnonzero(lowest < known)
        self._grid.update(zip([keys[at] for at in lower.tolist()], lowest[lower].tolist(), strict=True))


def parts(sizes: Places) -> Iterator[slice]:
    """Stretches whose sizes add up to about TOGETHER."""
    ends = np.cumsum(sizes)
    first = 0
    while first < len(sizes):
        done = int(ends[first - 1]) if first else 0
        last = max(first + 1, int(np.searchsorted(ends, done + TOGETHER, side="right")))
        yield slice(first, last)
        first = last


def _of(columns: Triple, part: slice) -> Triple:
    return columns[0][part], columns[1][part], columns[2][part]


def _cells(x: Numbers, y: Numbers, cell: float) -> Places:
    """The cell of every place, as depth_watch numbers them."""
    return (np.floor(x / cell).astype(np.int64) << 32) + np.floor(y / cell).astype(np.int64)


def _least_before(depths: Numbers, opens: Flags, known: Numbers) -> Numbers:
    """For every place the lowest depth of those before it in its own cell, or what is known of the cell."""
    cell = np.cumsum(opens) - 1
    least = np.where(opens, known[cell], np.concatenate(([0.0], depths[:-1])))
    shift = 1
    longest = int(np.diff(np.flatnonzero(opens), append=len(opens)).max())
    while shift < longest:
        lower = np.minimum(least[shift:], least[:-shift])
        least = np.concatenate((least[:shift], np.where(cell[shift:] == cell[:-shift], lower, least[shift:])))
        shift *= 2
    return least


def _samples(starts: Triple, ends: Triple, counts: Places) -> tuple[Numbers, Numbers, Numbers, Places]:
    """Places along each leg, and which leg they belong to."""
    leg = np.repeat(np.arange(len(counts)), counts)
    number = np.arange(len(leg)) - np.repeat(np.cumsum(counts) - counts, counts) + 1
    share, whole = number / counts[leg], counts[leg] == 1
    x, y, z = (
        np.where(whole, end[leg], start[leg] + (end[leg] - start[leg]) * share)
        for start, end in zip(starts, ends, strict=True)
    )
    return x, y, z, leg


def _chord_counts(arcs: Arcs) -> Places:
    """What moves.chord_count gives for each."""
    shares = np.maximum(0.5, 1 - CHORD_TOLERANCE / arcs.radius)
    steps = 2 * np.array(list(map(math.acos, shares.tolist())))
    counts: Places = np.clip(np.ceil(np.abs(arcs.sweep) / steps), 1, MOST_CHORDS).astype(np.intp)
    return counts


def chords(start: Triple, end: Triple, arcs: Arcs, at: Places) -> tuple[Triple, Triple, Places]:
    """Start and end of every straight leg of the moves `at` these places, and the move each belongs to."""
    arcs = arcs.chosen(np.isin(arcs.at, at))
    legs = np.ones(len(at), dtype=np.intp)
    of_arcs = np.searchsorted(at, arcs.at)
    counts = legs[of_arcs] = _chord_counts(arcs)
    last = np.cumsum(legs) - 1
    ends = tuple(np.repeat(values[at], legs) for values in end)
    for plane, axes in PLANES.items():
        of_plane = np.flatnonzero(arcs.plane == plane)
        first = (last[of_arcs] - counts + 1)[of_plane]
        _bend(ends, start, end, arcs.chosen(of_plane), counts[of_plane], first, axes)
    starts = []
    for values, found in zip(start, ends, strict=True):
        from_here = np.concatenate(([0.0], found[:-1])) if len(found) else found
        from_here[last - legs + 1] = values[at]
        starts.append(from_here)
    return (starts[0], starts[1], starts[2]), (ends[0], ends[1], ends[2]), np.repeat(at, legs)


def _bend(
    ends: tuple[Numbers, ...], start: Triple, end: Triple, arcs: Arcs, counts: Places, first: Places,
    axes: tuple[int, int, int],
) -> None:  # fmt: skip
    """Put the points along each arc into its legs, all but the last: the same turn again and again, as in moves."""
    a, b, c = axes
    turns = (arcs.sweep / counts).tolist()
    cos, sin = np.array(list(map(math.cos, turns))), np.array(list(map(math.sin, turns)))
    across, up = start[a][arcs.at] - arcs.centre[0], start[b][arcs.at] - arcs.centre[1]
    z, rise = start[c][arcs.at], end[c][arcs.at] - start[c][arcs.at]
    going = np.arange(len(counts))
    for number in range(1, int(counts.max(initial=1))):
        going = going[counts[going] > number]
        cos_now, sin_now, x, y = cos[going], sin[going], across[going], up[going]
        across[going], up[going] = x, y = x * cos_now - y * sin_now, x * sin_now + y * cos_now
        place = first[going] + number - 1
        ends[a][place], ends[b][place] = arcs.centre[0][going] + x, arcs.centre[1][going] + y
        ends[c][place] = z[going] + rise[going] * (number / counts[going])
