"""Pieces that a program cuts free: what is left of the sheet once everything cut to a given height is gone.

The sheet is laid on a grid. Cells the cutter sweeps at or below the height are gone; what still hangs together with
the edge of the sheet is held with it, everything else has come free.
"""

from __future__ import annotations

import math
import re
from array import array
from collections.abc import Iterator

from msgspec import Struct

from generator.program.motion import many
from generator.program.moves import CUTS, FEED, KIND_NAMES, Move, Moves, Point, arc_points
from generator.program.setup import Outline

MOST_CELLS = 160_000
CELLS_PER_RADIUS = 3
# A piece of fewer cells is the doubt of the grid, not a piece.
FEWEST_CELLS = 6
# Cuts this little above the height count as reaching it (mm).
SLACK = 0.01

_RUNS = re.compile(rb"\0+")


class Piece(Struct, frozen=True, kw_only=True):
    """A free piece: the move and line that freed it, its box in job coordinates and its area (mm2).

    `strips` are the boxes it is made of, one for each stretch of cells in a row.
    """

    move: int
    line: int
    box: Outline
    area: float
    strips: tuple[Outline, ...]

    def meets(self, outline: Outline) -> bool:
        """Whether the outline lies on some part of the piece, and not only within its box."""
        return _overlap(self.box, outline) and any(_overlap(strip, outline) for strip in self.strips)


def _overlap(one: Outline, two: Outline) -> bool:
    return one[0] < two[2] and two[0] < one[2] and one[1] < two[3] and two[1] < one[3]


def free_pieces(moves: Moves, stock: Outline, height: float, cutter: float) -> tuple[Piece, ...]:
    """Pieces inside the `stock` that cuts at or below `height` with a `cutter` of this diameter leave free."""
    grid = _Grid(stock, cutter / 2)
    if many(moves):
        grid.sweep_many(moves, height + SLACK)
    else:
        for index, start, end in reversed(list(_low_cuts(moves, height + SLACK))):
            grid.sweep(index, start, end)
    if not any(map(any, grid.gone)):
        return ()
    return tuple(sorted(_pieces(grid, moves), key=lambda piece: piece.move))


def _low_cuts(moves: Moves, height: float) -> Iterator[tuple[int, Point, Point]]:
    """The stretches of cutting moves that lie at or below `height`."""
    start, number = moves.start, 0
    for index, (kind, x, y, z) in enumerate(zip(moves.kind, moves.x, moves.y, moves.z, strict=True)):
        end = (x, y, z)
        curved = kind in CUTS and kind != FEED
        if kind in CUTS and (z <= height or start[2] <= height) and math.isfinite(sum(start) + sum(end)):
            arc = moves.arc_number(number) if curved else None
            points = arc_points(Move(index, 0, KIND_NAMES[kind], start, end, 0.0, arc)) if arc else [end]
            for point in points:
                if clipped := _below(start, point, height):
                    yield index, *clipped
                start = point
        number += curved
        start = end


def _below(start: Point, end: Point, height: float) -> tuple[Point, Point] | None:
    """The part of a straight stretch at or below `height`."""
    if start[2] > height and end[2] > height:
        return None
    if start[2] <= height and end[2] <= height:
        return start, end
    share = (height - start[2]) / (end[2] - start[2])
    x, y = (start[axis] + (end[axis] - start[axis]) * share for axis in (0, 1))
    return ((x, y, height), end) if start[2] > height else (start, (x, y, height))


class _Grid:
    """Cells of the stock; `first` holds one more than the move that swept a cell first, 0 where none did."""

    def __init__(self, stock: Outline, radius: float) -> None:
        self.low_x, self.low_y, high_x, high_y = stock
        wide, deep = high_x - self.low_x, high_y - self.low_y
        self.cell = max(radius / CELLS_PER_RADIUS, math.sqrt(wide * deep / MOST_CELLS))
        self.columns, self.rows = max(1, math.ceil(wide / self.cell)), max(1, math.ceil(deep / self.cell))
        self.gone = [bytearray(self.columns) for _ in range(self.rows)]
        self.first = [array("I", bytes(4 * self.columns)) for _ in range(self.rows)]
        self._widths = _disc(radius / self.cell)

    def strip(self, run: _Run) -> Outline:
        """The box of a run in job coordinates."""
        x, y, size = self.low_x, self.low_y, self.cell
        return x + run.low * size, y + run.row * size, x + run.high * size, y + (run.row + 1) * size

    def sweep(self, index: int, start: Point, end: Point) -> None:
        """Take away what the cutter sweeps from `start` to `end`. Called from the last move to the first."""
        x0, y0 = (start[0] - self.low_x) / self.cell, (start[1] - self.low_y) / self.cell
        x1, y1 = (end[0] - self.low_x) / self.cell, (end[1] - self.low_y) / self.cell
        count = max(
            1, min(4 * (self.columns + self.rows), math.ceil(math.sqrt((x1 - x0) * (x1 - x0) + (y1 - y0) * (y1 - y0))))
        )
        for number in range(count + 1):
            share = number / count
            self._stamp(index, x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)

    def sweep_many(self, moves: Moves, height: float) -> None:
        """Take away what all moves sweep at or below `height`."""
        from generator.program.loose_columns import swept_first

        corner, shape = (self.low_x, self.low_y), (self.rows, self.columns)
        for row, found in enumerate(swept_first(moves, height, corner, self.cell, shape, self._widths)):
            self.gone[row][:] = (found > 0).tobytes()
            self.first[row] = array("I", found.tobytes())

    def _stamp(self, index: int, x: float, y: float) -> None:
        middle = math.floor(y)
        for step, half in self._widths:
            row = middle + step
            if 0 <= row < self.rows:
                low, high = max(0, round(x - half)), min(self.columns, round(x + half))
                if high > low:
                    self.gone[row][low:high] = b"\1" * (high - low)
                    self.first[row][low:high] = array("I", [index + 1]) * (high - low)


def _disc(radius: float) -> list[tuple[int, float]]:
    """Rows of a disc of this radius in cells, with half its width in each."""
    reach = math.ceil(radius)
    return [(step, math.sqrt(radius**2 - step**2)) for step in range(-reach, reach + 1) if abs(step) < radius]


class _Run(Struct):
    row: int
    low: int
    high: int


class _Joined:
    """Which things hang together."""

    def __init__(self) -> None:
        self._above: dict[object, object] = {}

    def top(self, thing: object) -> object:
        above = self._above.setdefault(thing, thing)
        while above != thing:
            self._above[thing] = self._above[above]
            thing, above = above, self._above[above]
        return thing

    def join(self, one: object, two: object) -> None:
        self._above[self.top(one)] = self.top(two)


EDGE = "edge"


def _pieces(grid: _Grid, moves: Moves) -> Iterator[Piece]:
    runs = [[_Run(row, *match.span()) for match in _RUNS.finditer(line)] for row, line in enumerate(grid.gone)]
    joined = _Joined()
    for row, found in enumerate(runs):
        for run in found:
            if row in (0, grid.rows - 1) or run.low == 0 or run.high == grid.columns:
                joined.join((row, run.low), EDGE)
            for other in runs[row - 1] if row else ():
                if other.low < run.high and run.low < other.high:
                    joined.join((row, run.low), (row - 1, other.low))
    islands = _islands(runs, joined)
    if islands:
        freed = _freed_by(grid, runs, joined, islands)
        yield from (_piece(grid, moves, found, freed[top]) for top, found in islands.items())


def _islands(runs: list[list[_Run]], joined: _Joined) -> dict[object, list[_Run]]:
    edge = joined.top(EDGE)
    found: dict[object, list[_Run]] = {}
    for row in runs:
        for run in row:
            if (top := joined.top((run.row, run.low))) != edge:
                found.setdefault(top, []).append(run)
    return {top: held for top, held in found.items() if sum(run.high - run.low for run in held) >= FEWEST_CELLS}


def _freed_by(
    grid: _Grid, runs: list[list[_Run]], joined: _Joined, islands: dict[object, list[_Run]]
) -> dict[object, int]:
    """The move that freed each island: put back what was cut, last cut first, until it meets the edge again."""
    owner = {
        (run.row, column): (run.row, run.low) for row in runs for run in row for column in range(run.low, run.high)
    }
    cells = sorted(
        ((first, row, column) for row, line in enumerate(grid.first) for column, first in enumerate(line) if first),
        reverse=True,
    )
    waiting, freed = dict.fromkeys(islands, 0), dict.fromkeys(islands, 0)
    for first, row, column in cells:
        owner[row, column] = (row, column)
        if row in (0, grid.rows - 1) or column in (0, grid.columns - 1):
            joined.join((row, column), EDGE)
        for near in ((row - 1, column), (row + 1, column), (row, column - 1), (row, column + 1)):
            if near in owner:
                joined.join((row, column), owner[near])
        edge = joined.top(EDGE)
        for top in [top for top in waiting if joined.top(top) == edge]:
            freed[top] = first - 1
            del waiting[top]
        if not waiting:
            break
    return freed


def _piece(grid: _Grid, moves: Moves, runs: list[_Run], move: int) -> Piece:
    strips = tuple(grid.strip(run) for run in runs)
    x_low, y_low, x_high, y_high = zip(*strips, strict=True)
    area = sum(run.high - run.low for run in runs) * grid.cell**2
    box = min(x_low), min(y_low), max(x_high), max(y_high)
    return Piece(move=move, line=moves.line[move], box=box, area=area, strips=strips)
