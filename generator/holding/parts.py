"""The pieces a job cuts out, and the leftovers inside its holes, with what is left to hold each. mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from msgspec.structs import replace

from generator.expr import Scope
from generator.finding import Finding
from generator.hold.freeing import Part, contains, order_findings, slug_of
from generator.hold.given import Point
from generator.hold.kernel import Floats
from generator.hold.outline import area, hull
from generator.hold.tabs import Tab
from generator.holding.content_numbers import Calculators, answer_of, as_number
from generator.holding.cut_path import Cut, outlines_of, shrunk
from generator.model.job import PROFILES, Operation
from generator.model.shape import GridOfCircles

HOLES = ("profile-inside", "bore")
DUST = 1.0  # mm2


def pieces_of(cut: Cut, scope: Scope, calculators: Calculators) -> list[Part]:
    """The pieces one operation frees: the part within an outline, or the loose middle of a hole.

    Of a grid of equal holes only those at its corners are looked at.
    """
    operation = cut.operation
    if not operation.through or not cut.radius:
        return []
    tabs, skin = tab_size(operation, scope, calculators), skin_left(operation, scope, calculators)
    found = []
    for name, outline in _named(operation):
        if operation.kind in HOLES:
            slug = slug_of(_points(outline), 2 * cut.radius, name)
            found += [] if slug is None else [slug]
        elif operation.kind in PROFILES:
            inner = shrunk(outline, cut.radius) if operation.kind == "on-line" else outline
            found += [Part(name=name, outline=_points(inner), kerf=2 * cut.radius)] if _is_piece(inner) else []
    return [replace(part, tabs=_spread(part, operation, tabs), skin=skin) for part in found]


def _is_piece(outline: Floats) -> bool:
    """Whether an outline encloses more than dust."""
    corners = hull(outline)
    return len(corners) > 2 and area(corners) > DUST


def _named(operation: Operation) -> list[tuple[str, Floats]]:
    outlines = outlines_of(operation.shape)
    if not isinstance(operation.shape, GridOfCircles):
        return [(operation.name, outlines[0])]
    columns, rows = operation.shape.columns, operation.shape.rows
    ends = sorted({0, columns - 1, columns * (rows - 1), columns * rows - 1})
    return [(f"{operation.name}, number {number + 1}", outlines[number]) for number in ends]


def tab_size(operation: Operation, scope: Scope, calculators: Calculators) -> tuple[float, float] | None:
    """Width and height in mm of a tab as it stands at the thinnest place; None where there is none."""
    if operation.tabs is None:
        return None
    entered = {
        "tab_height": operation.tabs.height, "width": operation.tabs.width, "count": float(operation.tabs.count),
        **({"depth": scope["through.depth"]} if scope.get("through.depth") is not None else {}),
    }  # fmt: skip
    height = as_number(answer_of(calculators, "tabs", scope, entered)["height"])
    return (operation.tabs.width, height) if height is not None and height > 0 else None


def skin_left(operation: Operation, scope: Scope, calculators: Calculators) -> float:
    """Thickness in mm of the skin at the thinnest place, 0 for none."""
    if operation.skin is None:
        return 0.0
    found = answer_of(calculators, "onion-skin", scope, {"skin": operation.skin})
    return max(0.0, as_number(found["skin_thin"]) or 0.0)


def _spread(part: Part, operation: Operation, size: tuple[float, float] | None) -> tuple[Tab, ...]:
    if size is None or operation.tabs is None:
        return ()
    places = spread_along(part.outline, operation.tabs.count)
    return tuple(Tab(at=at, width=size[0], height=size[1]) for at in places)


def spread_along(outline: Sequence[Point], count: int) -> list[Point]:
    """`count` places at equal distances along a closed outline, the first half a distance from its start."""
    corners = np.array([*outline, outline[0]], dtype=np.float64)
    gone = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
    wanted = (np.arange(count) + 0.5) / count * gone[-1]
    xs, ys = (np.interp(wanted, gone, corners[:, axis]) for axis in (0, 1))
    return [(float(x), float(y)) for x, y in zip(xs, ys, strict=True)]


def _points(outline: Floats) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in outline)


def opened_by(cuts: Sequence[Cut]) -> float:
    """Area in mm2 that cuts right through open to the air below: holes whole, outlines by their kerf."""
    return sum(_opened(cut, outline) for cut in cuts if cut.operation.through
               for outline in outlines_of(cut.operation.shape))  # fmt: skip


def _opened(cut: Cut, outline: Floats) -> float:
    if cut.operation.kind not in PROFILES:
        return area(outline)
    return float(np.hypot(*(outline - np.roll(outline, 1, axis=0)).T).sum()) * 2 * cut.radius


def order_of(cuts: Sequence[Cut]) -> Iterator[Finding]:
    """One finding for every cut that comes after the outline around it was cut free."""
    shapes = [_around(cut) for cut in cuts]
    for place, cut in enumerate(cuts):
        if cut.operation.through and cut.operation.kind in ("profile-outside", "on-line"):
            for later in shapes[place + 1 :]:
                if contains(shapes[place], later):
                    yield from order_findings((shapes[place], later))


def _around(cut: Cut) -> Part:
    """An operation's extent as a piece, to compare which lies inside which."""
    outlines = outlines_of(cut.operation.shape)
    points = np.concatenate(outlines)
    if len(outlines) > 1:
        low, high = points.min(axis=0), points.max(axis=0)
        points = np.array([low, (high[0], low[1]), high, (low[0], high[1])])
    return Part(name=cut.operation.name, outline=_points(points), kerf=max(2 * cut.radius, 1e-6))
