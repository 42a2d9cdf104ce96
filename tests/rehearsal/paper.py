"""Straight strokes of a PDF page in millimetres of paper, as a rule laid on the print would find them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from pypdf import PageObject
from pypdf.generic import ContentStream

MM = 25.4 / 72
Matrix = tuple[float, float, float, float, float, float]
Stroke = tuple[float, float, float, float]
UNIT: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def strokes(page: PageObject) -> list[Stroke]:
    """All straight pieces of paths, as x0, y0, x1, y1 from the lower left corner of the paper."""
    return list(_strokes(page.get_contents(), page.get("/Resources"), page.pdf, UNIT))


def _strokes(stream: Any, resources: Any, pdf: Any, matrix: Matrix) -> Iterator[Stroke]:
    held: list[Matrix] = []
    at = (0.0, 0.0)
    for operands, operator in ContentStream(stream, pdf).operations:
        match operator:
            case b"q":
                held.append(matrix)
            case b"Q":
                matrix = held.pop()
            case b"cm":
                matrix = _times(tuple(float(value) for value in operands), matrix)  # type: ignore[arg-type]
            case b"m":
                at = _moved(matrix, operands)
            case b"l":
                end = _moved(matrix, operands)
                yield (*at, *end)
                at = end
            case b"c":
                at = _moved(matrix, operands[4:])
            case b"re":
                x, y, wide, high = (float(value) for value in operands)
                corners = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high), (x, y)]
                places = [_moved(matrix, corner) for corner in corners]
                yield from ((*one, *two) for one, two in pairwise(places))
            case b"Do":
                form = resources.get_object()["/XObject"][operands[0]].get_object()
                if form["/Subtype"] == "/Form":
                    inner = tuple(float(value) for value in form.get("/Matrix", UNIT))
                    yield from _strokes(form, form.get("/Resources", resources), pdf, _times(inner, matrix))  # type: ignore[arg-type]


def _times(one: Matrix, two: Matrix) -> Matrix:
    a, b, c, d, e, f = one
    g, h, i, j, k, m = two
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m)


def _moved(matrix: Matrix, place: Any) -> tuple[float, float]:
    x, y = float(place[0]), float(place[1])
    a, b, c, d, e, f = matrix
    return ((a * x + c * y + e) * MM, (b * x + d * y + f) * MM)


def level(found: list[Stroke], length: float, error: float = 0.1) -> list[Stroke]:
    """The strokes along X of this length, mm."""
    return [s for s in found if abs(s[1] - s[3]) < 0.01 and abs(abs(s[2] - s[0]) - length) <= error]


def upright(found: list[Stroke], length: float, error: float = 0.1) -> list[Stroke]:
    """The strokes along Y of this length, mm."""
    return [s for s in found if abs(s[0] - s[2]) < 0.01 and abs(abs(s[3] - s[1]) - length) <= error]
