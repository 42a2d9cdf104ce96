"""The bed seen from above, to scale: board, cut, what must stay clear, clamps, worst place, pivot and margin map.

Layers stand in groups marked data-layer, so that the clamp bench can draw some of them anew.
"""

from __future__ import annotations

import html
import math
from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from generator.hold.given import Point, Setup
from generator.hold.grip import GripAnswer
from generator.hold.margin_map import MarginMap, margin_map
from generator.hold.spots import Rect
from generator.holding.answer import Holding
from generator.holding.contours import contour, label_place, levels_for, region
from generator.holding.cut_path import Cut
from generator.holding.hold_downs import Box
from generator.holding.words import motion, placing_order, spot, times
from generator.units import fixed, show_number

WIDTH, HEIGHT = 480.0, 420.0
AROUND = 62.0
COLUMNS, ROWS = 46, 32
SCALE_BAR = 100.0
ARROW, TURN_RADIUS, HEAD = 34.0, 17.0, 7.0
BOLT_OUT, NUMBER = 16.0, 8.5
DOT = 4.0


class View(Struct, frozen=True):
    """The rectangle of the bed that is shown, mm in the board's frame, and drawing units for each mm."""

    area: Rect
    scale: float

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the drawing."""
        return (self.area.x1 - self.area.x0) * self.scale, (self.area.y1 - self.area.y0) * self.scale

    def at(self, x: float, y: float) -> Point:
        """A place of the bed in the drawing, where Y runs down."""
        return (x - self.area.x0) * self.scale, (self.area.y1 - y) * self.scale

    def place(self, x: float, y: float) -> str:
        """The same as text."""
        across, down = self.at(x, y)
        return f"{fixed(across, 1)} {fixed(down, 1)}"


class Clamped(Struct, frozen=True, kw_only=True):
    """A clamp to draw: where it presses, its name, and the box round it or, without one, where its bolt stands."""

    at: Point
    name: str = ""
    box: Box | None = None
    bolt: Point | None = None


class Shown(Struct, frozen=True, kw_only=True):
    """What one picture shows: clamps in placing order, and what they come to."""

    clamps: tuple[Clamped, ...]
    setup: Setup
    grip: GripAnswer
    words: str


def own_layout(h: Holding) -> Shown:
    """The layout that was judged."""
    s = h.situation
    clamps = [Clamped(at=one.pad.at, name=one.name, box=one.box) for one in s.own]
    return _shown(clamps, replace(s.bare, pads=s.bare.pads + s.pads), h.grip, "as planned")


def best_layout(h: Holding) -> Shown:
    """The fewest clamps or screws that hold."""
    clamps = [Clamped(at=one.pad.at, bolt=one.bolt) for one in h.layout.spots]
    pads = h.situation.bare.pads + tuple(one.pad for one in h.layout.spots)
    kinds = " and ".join(sorted({f"{one.pad.kind}s" for one in h.layout.spots}))
    return _shown(clamps, replace(h.situation.bare, pads=pads), h.layout.grip, f"with the fewest {kinds} that hold")


def _shown(clamps: Sequence[Clamped], setup: Setup, grip: GripAnswer, words: str) -> Shown:
    order = placing_order([clamp.at for clamp in clamps])
    return Shown(clamps=tuple(clamps[number] for number in order), setup=setup, grip=grip, words=words)


def view_of(h: Holding) -> View:
    """The board with room for clamps all round."""
    board = h.situation.place.board
    area = Rect(board.x0 - AROUND, board.y0 - AROUND, board.x1 + AROUND, board.y1 + AROUND)
    return View(area, min(WIDTH / (area.x1 - area.x0), HEIGHT / (area.y1 - area.y0)))


def picture(h: Holding, shown: Shown) -> str:
    """One SVG element; its words for those who do not see it are in its label."""
    view = view_of(h)
    width, height = view.size
    levels = levels_for(h.needed)
    found = margin_map(shown.setup, COLUMNS, ROWS)
    layers = [
        _layer("bed", _bed(h, view)), _layer("map", bands(found, levels, view)), _layer("board", _board(h, view)),
        _layer("cut", _cuts(h, view)), _layer("lines", lines(found, levels, h.needed, view)),
        _layer("spots", _spots(h, view)), _layer("fixed", _fixed(h, view)), _layer("clamps", _clamps(h, shown, view)),
        _layer("worst", _worst(shown.grip, view)), _layer("scale", _scale(view)),
    ]  # fmt: skip
    words = html.escape(picture_words(h, shown), quote=True)
    return (
        f'<svg class="os-bed" role="img" aria-label="{words}" '
        f'viewBox="0 0 {fixed(width, 0)} {fixed(height, 0)}"><title>Bed from above, {html.escape(shown.words)}</title>'
        f"{''.join(layers)}</svg>"
    )


def picture_words(h: Holding, shown: Shown) -> str:
    """What the picture shows, in words."""
    board, grip = h.situation.place.board, shown.grip
    where = ", then ".join(spot(clamp.at) for clamp in shown.clamps) or "none"
    other = sorted({pad.kind for pad in h.situation.bare.pads})
    besides = f" Besides: {' and '.join(other)}." if other else ""
    return (
        f"The bed from above, {shown.words}. "
        f"The board is {show_number(board.x1, 'mm')} by {show_number(board.y1, 'mm')} mm. "
        f"Clamps in placing order, from the board's front-left corner: {where}.{besides} "
        f"They hold {times(grip.margin.low)} the force of the cut at the weak end; {times(h.needed)} are wanted. "
        f"The weakest place is {spot(grip.worst_point)}; there the board would {motion(grip)}."
    )


def _layer(name: str, marks: Iterator[str]) -> str:
    return f'<g data-layer="{name}">{"".join(marks)}</g>'


def _rect(rect: Rect, look: str, view: View) -> str:
    x0, y0, x1, y1 = _within(rect, view.area)
    if x1 <= x0 or y1 <= y0:
        return ""
    (left, top), (right, bottom) = view.at(x0, y1), view.at(x1, y0)
    return (f'<rect class="{look}" x="{fixed(left, 1)}" y="{fixed(top, 1)}" width="{fixed(right - left, 1)}" '
            f'height="{fixed(bottom - top, 1)}"/>')  # fmt: skip


def _within(rect: Rect, area: Rect) -> tuple[float, float, float, float]:
    return max(rect.x0, area.x0), max(rect.y0, area.y0), min(rect.x1, area.x1), min(rect.y1, area.y1)


def _bed(h: Holding, view: View) -> Iterator[str]:
    place, area = h.situation.place, view.area
    yield _rect(place.bed, "b-bed", view)
    for (x0, y0), (x1, y1) in place.system.lines:
        # slots run along X or Y, so their ends may be moved into the picture one by one
        ends = [(min(max(x, area.x0), area.x1), min(max(y, area.y0), area.y1)) for x, y in ((x0, y0), (x1, y1))]
        if area.x0 <= max(x0, x1) and min(x0, x1) <= area.x1 and area.y0 <= max(y0, y1) and min(y0, y1) <= area.y1:
            yield f'<path class="b-slot" d="M{view.place(*ends[0])}L{view.place(*ends[1])}"/>'
    yield from (_dot(at, 3.2, "b-insert", view) for at in place.system.points if area.holds(at))


def _dot(at: Point, radius: float, look: str, view: View) -> str:
    x, y = view.at(*at)
    return f'<circle class="{look}" cx="{fixed(x, 1)}" cy="{fixed(y, 1)}" r="{fixed(radius, 1)}"/>'


def _text(x: float, y: float, words: str, look: str = "", anchor: str = "middle") -> str:
    named = f' class="{look}"' if look else ""
    return f'<text{named} x="{fixed(x, 1)}" y="{fixed(y, 1)}" text-anchor="{anchor}">{html.escape(words)}</text>'


def bands(found: MarginMap, levels: Sequence[float], view: View) -> Iterator[str]:
    """The map as areas laid over each other: the whole board, then what reaches each level."""
    for number, level in enumerate((-math.inf, *levels)):
        way = region(found, level, view.place)
        yield f'<path class="b-band b-band-{min(number, 5)}" d="{way}"/>' if way else ""


def lines(found: MarginMap, levels: Sequence[float], needed: float, view: View) -> Iterator[str]:
    """The lines of equal margin with their labels."""
    for number, level in enumerate(levels):
        pieces = contour(found, level)
        if not pieces:
            continue
        way = "".join(f"M{view.place(*a)}L{view.place(*b)}" for a, b in pieces)
        yield f'<path class="b-line{" b-line-wanted" if level == needed else ""}" d="{way}"/>'
        at = label_place(found, pieces, number)
        if at is not None:
            x, y = view.at(*at)
            yield _text(x, y + 4, show_number(level, "1"), "b-level")


def _board(h: Holding, view: View) -> Iterator[str]:
    yield _rect(h.situation.place.board, "b-board", view)
    for zone in (*h.situation.held.vacuums, *h.situation.held.tapes):
        way = "L".join(view.place(*corner) for corner in zone.outline)
        yield f'<path class="b-area" d="M{way}Z"/>'


def _cuts(h: Holding, view: View) -> Iterator[str]:
    place = h.situation.place
    if place.system.lines or place.system.points:
        wide = fixed(2 * h.situation.room.keep_out(place.clamp.top) * view.scale, 1)
        yield from (f'<path class="b-keep" stroke-width="{wide}" d="{_way(cut, view)}"/>' for cut in h.situation.cuts)
    for look in ("b-beside", "b-way"):
        yield from (f'<path class="{look}" d="{_way(cut, view)}"/>' for cut in h.situation.cuts)


def _way(cut: Cut, view: View) -> str:
    """The path of one cut; a loop smaller than a dot is a dot."""
    found = ""
    for loop in cut.loops:
        middle = (loop.min(axis=0) + loop.max(axis=0)) / 2
        small = float(np.ptp(loop, axis=0).max()) * view.scale < DOT
        found += "M" + "L".join(view.place(float(x), float(y)) for x, y in ([middle, middle] if small else loop))
    return found


def _spots(h: Holding, view: View) -> Iterator[str]:
    for one in h.spots.spots:
        yield _dot(one.pad.at, 3.0, "b-spot", view)


def _clamps(h: Holding, shown: Shown, view: View) -> Iterator[str]:
    wide, board = 2 * h.situation.place.clamp.half_width * view.scale, h.situation.place.board
    for number, clamp in enumerate(shown.clamps, 1):
        end = clamp.bolt or outward(clamp.at, board)
        if clamp.box is None and end != clamp.at:
            way = f"M{view.place(*end)}L{view.place(*h.situation.place.clamp.end(end, clamp.at))}"
            yield f'<path class="b-strap-edge" stroke-width="{fixed(wide + 2.4, 1)}" d="{way}"/>'
            yield f'<path class="b-strap" stroke-width="{fixed(wide, 1)}" d="{way}"/>'
        elif clamp.box is not None:
            yield _rect(Rect(*clamp.box), "b-clamp", view)
        x, y = view.at(*end)
        yield _dot(end, NUMBER, "b-disc", view)
        yield _text(x, y + 4.5, str(number), "b-number")


def _fixed(h: Holding, view: View) -> Iterator[str]:
    """Screws and side clamps, also those not counted: the cutter can meet them all the same."""
    for placed in h.situation.job.hold_downs or ():
        if placed.kind in ("screws", "side-clamps"):
            yield _dot((placed.x, placed.y), 4.0, "b-clamp", view)


def outward(foot: Point, board: Rect) -> Point:
    """Where a clamp's bolt is drawn when nothing says: straight out over the nearest edge."""
    x, y = foot
    sides = ((x - board.x0, (board.x0 - BOLT_OUT, y)), (board.x1 - x, (board.x1 + BOLT_OUT, y)),
             (y - board.y0, (x, board.y0 - BOLT_OUT)), (board.y1 - y, (x, board.y1 + BOLT_OUT)))  # fmt: skip
    return min(sides, key=lambda side: side[0])[1]


def _worst(grip: GripAnswer, view: View) -> Iterator[str]:
    x, y = view.at(*grip.worst_point)
    yield f'<path class="b-worst" d="M{fixed(x - 6, 1)} {fixed(y - 6, 1)}l12 12m0 -12l-12 12"/>'
    dx, dy = grip.worst_direction[0], -grip.worst_direction[1]
    if math.hypot(dx, dy) > 0.5:
        yield _arrow((x, y), (x + ARROW * dx, y + ARROW * dy))
    yield _text(x, y + (21 if dy < 0 else -11), "weakest", "b-danger")
    if grip.pivot is not None:
        yield from _pivot(grip.pivot, (x, y), (dx, dy), view)


def _arrow(start: Point, tip: Point) -> str:
    length = math.dist(start, tip)
    ux, uy = (tip[0] - start[0]) / length, (tip[1] - start[1]) / length
    return _shaft(f"M{fixed(start[0], 1)} {fixed(start[1], 1)}L{fixed(tip[0], 1)} {fixed(tip[1], 1)}", tip, ux, uy)


def _shaft(way: str, tip: Point, ux: float, uy: float) -> str:
    back, side = (tip[0] - HEAD * ux, tip[1] - HEAD * uy), 0.55 * HEAD
    ends = [(back[0] - side * uy, back[1] + side * ux), tip, (back[0] + side * uy, back[1] - side * ux)]
    return f'<path class="b-push" d="{way}M' + "L".join(f"{fixed(a, 1)} {fixed(b, 1)}" for a, b in ends) + '"/>'


def _pivot(pivot: Point, worst: Point, push: Point, view: View) -> Iterator[str]:
    """A ring round the pivot, open where the arrow shows which way the board would turn."""
    x, y = view.at(*pivot)
    width, height = view.size
    if not (0 <= x <= width and 0 <= y <= height):
        x, y = min(max(x, 60), width - 60), min(max(y, 14), height - 6)
        yield _text(x, y, "pivot off the picture", "b-danger")
        return
    # seen from the pivot the push turns the board this way, in the drawing where Y runs down
    sense = 1 if (worst[0] - x) * push[1] - (worst[1] - y) * push[0] > 0 else -1
    start, end = math.radians(-140), math.radians(-140) + sense * math.radians(270)
    (ax, ay), (bx, by) = ((x + TURN_RADIUS * math.cos(t), y + TURN_RADIUS * math.sin(t)) for t in (start, end))
    turn = f"A{TURN_RADIUS:g} {TURN_RADIUS:g} 0 1 {1 if sense > 0 else 0}"
    way = f"M{fixed(ax, 1)} {fixed(ay, 1)}{turn} {fixed(bx, 1)} {fixed(by, 1)}"
    yield _dot(pivot, 2.6, "b-pivot", view)
    yield _shaft(way, (bx, by), -sense * math.sin(end), sense * math.cos(end))
    yield _text(x, y + TURN_RADIUS + 14 if y < height / 2 else y - TURN_RADIUS - 6, "pivot", "b-danger")


def _scale(view: View) -> Iterator[str]:
    width, height = view.size
    long = SCALE_BAR * view.scale
    x, y = 8.0, height - 10
    yield f'<path class="b-scale" d="M{fixed(x, 1)} {fixed(y - 4, 1)}v8m0 -4h{fixed(long, 1)}m0 -4v8"/>'
    yield _text(x + long / 2, y - 6, f"{show_number(SCALE_BAR, 'mm')} mm", "b-small")
    yield _text(width / 2, height - 6, "front", "b-small")
