"""A margin map as drawing: bands of colour and the lines between them. bench_map.js does the same in the browser."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from generator.hold.given import Point
from generator.hold.margin_map import MarginMap

Place = Callable[[float, float], str]
Corner = tuple[float, float, float]
# margins at which the colour changes; the wanted one is added where it is none of them
LEVELS = (1.0, 2.0, 3.0, 4.0, 6.0)
LABEL_INSET = 0.06


def levels_for(needed: float) -> tuple[float, ...]:
    """The levels of a map on which `needed` is one."""
    return tuple(sorted({*LEVELS, needed}))


def region(found: MarginMap, level: float, place: Place) -> str:
    """The path round all places whose margin is at least `level`: cells joined in rows, or cut at the line."""
    way, x, y, reach = "", found.x.tolist(), found.y.tolist(), _reaching(found, level)
    for row in range(len(found.y) - 1):
        start: float | None = None
        for column in range(len(found.x) - 1):
            count = reach[row][column]
            if count < 4 and start is not None:
                way += _box(start, x[column], y[row], y[row + 1], place)
                start = None
            if count == 4:
                start = x[column] if start is None else start
            elif count:
                way += _cut_cell(_cell(found, row, column), level, place)
        if start is not None:
            way += _box(start, x[-1], y[row], y[row + 1], place)
    return way


def _reaching(found: MarginMap, level: float) -> list[list[int]]:
    """How many corners of each cell reach the level: most cells are whole or empty and need no more."""
    at = (found.margin >= level).astype(int)
    counts: list[list[int]] = (at[:-1, :-1] + at[:-1, 1:] + at[1:, :-1] + at[1:, 1:]).tolist()
    return counts


def _cell(found: MarginMap, row: int, column: int) -> list[Corner]:
    """The corners of a cell of the map, anticlockwise from its lower left, with their margins."""
    sides = ((row, column), (row, column + 1), (row + 1, column + 1), (row + 1, column))
    return [(float(found.x[j]), float(found.y[i]), float(found.margin[i, j])) for i, j in sides]


def _box(x0: float, x1: float, y0: float, y1: float, place: Place) -> str:
    return f"M{place(x0, y0)}L{place(x1, y0)}L{place(x1, y1)}L{place(x0, y1)}Z"


def _cut_cell(corners: Sequence[Corner], level: float, place: Place) -> str:
    points: list[Point] = []
    for k, corner in enumerate(corners):
        if corner[2] >= level:
            points.append(corner[:2])
        crossing = _crossing(corner, corners[(k + 1) % 4], level)
        if crossing is not None:
            points.append(crossing)
    return "M" + "L".join(place(*point) for point in points) + "Z" if points else ""


def contour(found: MarginMap, level: float) -> list[tuple[Point, Point]]:
    """The pieces of the line on which the margin is `level`: two crossings of a cell's sides joined."""
    pieces: list[tuple[Point, Point]] = []
    for row, counts in enumerate(_reaching(found, level)):
        for column in (column for column, count in enumerate(counts) if 0 < count < 4):
            corners = _cell(found, row, column)
            met = [at for k in range(4) if (at := _crossing(corners[k], corners[(k + 1) % 4], level)) is not None]
            pieces += [(met[i], met[i + 1]) for i in range(0, len(met) - 1, 2)]
    return pieces


def _crossing(a: Corner, b: Corner, level: float) -> Point | None:
    if (a[2] >= level) == (b[2] >= level):
        return None
    share = (level - a[2]) / (b[2] - a[2])
    return (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))


def label_place(found: MarginMap, pieces: Sequence[tuple[Point, Point]], number: int) -> Point | None:
    """Where on a line its label stands: near the middle of the board's height, each level a little higher."""
    x0, x1, y0, y1 = (float(end) for end in (found.x[0], found.x[-1], found.y[0], found.y[-1]))
    aim = y0 + (y1 - y0) * (0.25 + 0.12 * number)
    dx, dy = LABEL_INSET * (x1 - x0), LABEL_INSET * (y1 - y0)
    starts = [a for a, _ in pieces if x0 + dx < a[0] < x1 - dx and y0 + dy < a[1] < y1 - dy]
    return min(starts, key=lambda at: (abs(at[1] - aim), at[0]), default=None)
