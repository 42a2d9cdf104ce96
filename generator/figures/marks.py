"""How each kind of mark becomes SVG text. Text comes in escaped; numbers leave with two decimals."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from generator.units import fixed

HEAD, HEAD_HALF = 8.0, 3.0  # arrow head length and half width
TICK, TAIL, SHORT = 4.0, 14.0, 22.0  # a dimension shorter than SHORT is pointed at from outside by TAIL long arrows
LINE_HEIGHT = 14.0
HATCH_LIMIT = 300

Numbers = Mapping[str, float]
Point = tuple[float, float]


def element(tag: str, look: str, **attributes: str) -> str:
    """One empty element; the look becomes prefixed class names so that no page style catches it by chance."""
    words = "".join(f' {name}="{value}"' for name, value in attributes.items())
    return f'<{tag} class="{look}"{words}/>'


def polyline(points: Sequence[Point], look: str, *, closed: bool) -> str:
    """Straight lines through all points."""
    words = " ".join(f"{fixed(x, 2)},{fixed(y, 2)}" for x, y in points)
    return element("polygon" if closed else "polyline", look, points=words)


def _plain(tag: str) -> Callable[[Numbers, str, str, str], str]:
    def mark(numbers: Numbers, look: str, _word: str, _say: str) -> str:
        return element(tag, look, **{name: fixed(value, 2) for name, value in numbers.items()})

    return mark


def _text(numbers: Numbers, look: str, anchor: str, say: str) -> str:
    x, y = fixed(numbers["x"], 2), fixed(numbers["y"], 2)
    first, *rest = say.split("\n")
    more = "".join(f'<tspan x="{x}" dy="{fixed(LINE_HEIGHT, 2)}">{line}</tspan>' for line in rest)
    return f'<text class="{look}" x="{x}" y="{y}" text-anchor="{anchor}">{first}{more}</text>'


def _lines(segments: Sequence[tuple[Point, Point]], look: str) -> str:
    words = [f"M {fixed(a, 2)} {fixed(b, 2)} L {fixed(c, 2)} {fixed(d, 2)}" for (a, b), (c, d) in segments]
    return element("path", look, d=" ".join(words))


def _head(tip: Point, ux: float, uy: float, size: float, look: str) -> str:
    """A filled triangle at `tip`, pointing along the unit vector (ux, uy)."""
    x, y = tip[0] - size * ux, tip[1] - size * uy
    half = size * HEAD_HALF / HEAD
    corners = (tip, (x - half * uy, y + half * ux), (x + half * uy, y - half * ux))
    return polyline(corners, look + " f-head", closed=True)


def _shaft(start: Point, tip: Point, ux: float, uy: float, size: float, look: str) -> str:
    """A line that ends inside its arrow head, so that a thick line does not blunt the point."""
    end = (tip[0] - 0.8 * size * ux, tip[1] - 0.8 * size * uy)
    return _lines([(start, end)], look) + _head(tip, ux, uy, size, look)


def _ends(numbers: Numbers) -> tuple[Point, Point, float]:
    start, end = (numbers["x1"], numbers["y1"]), (numbers["x2"], numbers["y2"])
    dx, dy = end[0] - start[0], end[1] - start[1]
    return start, end, math.sqrt(dx * dx + dy * dy)


def _arrow(numbers: Numbers, look: str, _word: str, _say: str) -> str:
    start, end, length = _ends(numbers)
    if length < 1e-6:
        return ""
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    return _shaft(start, end, ux, uy, min(HEAD, length), look)


def _dim(numbers: Numbers, look: str, at: str, say: str) -> str:
    start, end, length = _ends(numbers)
    if length < 1e-6:
        return ""
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    ticks = [((x - TICK * uy, y + TICK * ux), (x + TICK * uy, y - TICK * ux)) for x, y in (start, end)]
    arrows = _outside(start, end, ux, uy, look) if length < SHORT else _inside(start, end, ux, uy, look)
    return _lines(ticks, look) + arrows + _dim_label(start, end, at, say)


def _inside(start: Point, end: Point, ux: float, uy: float, look: str) -> str:
    return _lines([(start, end)], look) + _head(end, ux, uy, HEAD, look) + _head(start, -ux, -uy, HEAD, look)


def _outside(start: Point, end: Point, ux: float, uy: float, look: str) -> str:
    before = (start[0] - TAIL * ux, start[1] - TAIL * uy)
    after = (end[0] + TAIL * ux, end[1] + TAIL * uy)
    return _shaft(before, start, ux, uy, HEAD, look) + _shaft(after, end, -ux, -uy, HEAD, look)


# Where a dimension's label stands from the middle of its line, and how it is anchored.
_BESIDE: Mapping[str, tuple[float, float, str]] = {
    "above": (0.0, -7.0, "middle"),
    "below": (0.0, 16.0, "middle"),
    "left": (-8.0, 4.0, "end"),
    "right": (8.0, 4.0, "start"),
}


def _dim_label(start: Point, end: Point, at: str, say: str) -> str:
    dx, dy, anchor = _BESIDE[at]
    middle = {"x": (start[0] + end[0]) / 2 + dx, "y": (start[1] + end[1]) / 2 + dy}
    return _text(middle, "f-label", anchor, say) if say else ""


def _turn(numbers: Numbers, look: str, _word: str, _say: str) -> str:
    """An arc from one angle to another, with an arrow head where it ends."""
    cx, cy, r = numbers["cx"], numbers["cy"], numbers["r"]
    a, b = numbers["from"] * math.pi / 180, numbers["to"] * math.pi / 180
    way = 1.0 if b > a else -1.0
    start, end = (cx + r * math.cos(a), cy + r * math.sin(a)), (cx + r * math.cos(b), cy + r * math.sin(b))
    ux, uy = -way * math.sin(b), way * math.cos(b)
    large = "1" if abs(b - a) > math.pi else "0"
    arc = (
        f"M {fixed(start[0], 2)} {fixed(start[1], 2)} A {fixed(r, 2)} {fixed(r, 2)} 0 {large} {'1' if way > 0 else '0'}"
    )
    tip = (end[0] + 0.8 * HEAD * ux, end[1] + 0.8 * HEAD * uy)
    return element("path", look, d=f"{arc} {fixed(end[0], 2)} {fixed(end[1], 2)}") + _head(tip, ux, uy, HEAD, look)


def _hatch(numbers: Numbers, look: str, lean: str, _say: str) -> str:
    """Parallel lines that fill a box; they move with it, so one board keeps one pattern."""
    x, y, width, height = (numbers[name] for name in ("x", "y", "width", "height"))
    gap = max(numbers["gap"], 2.0)
    reach = height if lean == "level" else width + height
    count = min(HATCH_LIMIT, math.ceil(reach / gap) - 1)
    segments = [_hatch_line(i * gap, width, height, lean) for i in range(1, count + 1)]
    return _lines([((x + a, y + b), (x + c, y + d)) for (a, b), (c, d) in segments], look) if segments else ""


def _hatch_line(c: float, width: float, height: float, lean: str) -> tuple[Point, Point]:
    if lean == "level":
        return (0.0, c), (width, c)
    start, end = (min(c, width), max(0.0, c - width)), (max(0.0, c - height), min(c, height))
    return (start, end) if lean == "right" else ((width - start[0], start[1]), (width - end[0], end[1]))


MARKS: Mapping[str, Callable[[Numbers, str, str, str], str]] = {
    "rect": _plain("rect"),
    "line": _plain("line"),
    "circle": _plain("circle"),
    "ellipse": _plain("ellipse"),
    "text": _text,
    "arrow": _arrow,
    "dim": _dim,
    "turn": _turn,
    "hatch": _hatch,
}
