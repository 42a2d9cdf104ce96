"""How a plan at true scale is cut into sheets that fit A4 and US Letter alike."""

from __future__ import annotations

import math
from typing import NamedTuple

from generator.program.setup import Outline

# The drawing on one sheet and how far neighbours overlap (mm). With margins of 8 mm, the ruler and a line of text
# it fits 210 x 297 (ISO 216, A4) and 215.9 x 279.4 (ANSI/ASME Y14.1, size A).
WIDTH, HEIGHT, OVERLAP = 180.0, 230.0, 10.0
MARK_PITCH = 60.0


class Tile(NamedTuple):
    """One sheet: its name (column letter, row number from the front), the part of the bed it shows, its neighbours."""

    name: str
    box: Outline
    right: str
    behind: str


class Tiling(NamedTuple):
    """All sheets, row by row from the front, and the places of the marks that must meet."""

    columns: int
    rows: int
    tiles: tuple[Tile, ...]
    marks: tuple[tuple[float, float], ...]


def tiling(box: Outline) -> Tiling:
    """Sheets that cover `box` (mm), the plan in their middle."""
    columns, rows = _count(box[2] - box[0], WIDTH), _count(box[3] - box[1], HEIGHT)
    x0 = (box[0] + box[2] - _span(columns, WIDTH)) / 2
    y0 = (box[1] + box[3] - _span(rows, HEIGHT)) / 2
    tiles = tuple(
        Tile(
            _name(column, row),
            _box(x0 + column * (WIDTH - OVERLAP), y0 + row * (HEIGHT - OVERLAP)),
            _name(column + 1, row) if column + 1 < columns else "",
            _name(column, row + 1) if row + 1 < rows else "",
        )
        for row in range(rows)
        for column in range(columns)
    )
    return Tiling(columns, rows, tiles, tuple(_marks(x0, y0, columns, rows)))


def _count(length: float, size: float) -> int:
    return max(1, math.ceil((length - OVERLAP) / (size - OVERLAP) - 1e-9))


def _span(count: int, size: float) -> float:
    return count * (size - OVERLAP) + OVERLAP


def _box(x: float, y: float) -> Outline:
    return x, y, x + WIDTH, y + HEIGHT


def _name(column: int, row: int) -> str:
    return f"{_letters(column)}{row + 1}"


def _letters(column: int) -> str:
    """A to Z, then AA and so on."""
    return (_letters(column // 26 - 1) if column >= 26 else "") + chr(ord("A") + column % 26)


def _marks(x0: float, y0: float, columns: int, rows: int) -> list[tuple[float, float]]:
    """Crosses along the middle of every overlap; each is printed on both neighbours."""
    across, up = _span(columns, WIDTH), _span(rows, HEIGHT)
    seams_x = [x0 + column * (WIDTH - OVERLAP) + OVERLAP / 2 for column in range(1, columns)]
    seams_y = [y0 + row * (HEIGHT - OVERLAP) + OVERLAP / 2 for row in range(1, rows)]
    upright = [(x, y0 + OVERLAP + step * MARK_PITCH) for x in seams_x for step in range(int(up // MARK_PITCH))]
    level = [(x0 + OVERLAP + step * MARK_PITCH, y) for y in seams_y for step in range(int(across // MARK_PITCH))]
    return upright + level
