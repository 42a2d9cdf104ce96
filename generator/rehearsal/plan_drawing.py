"""The plan to lay on the stock, as SVG in mm: Y up in job coordinates becomes Y down in the drawing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from markupsafe import Markup, escape
from msgspec import Struct

from generator.program.moves import LOST, RAPID
from generator.program.setup import Clamp, Outline
from generator.rehearsal.scene import ASSUMED_DIAMETER, Scene
from generator.rehearsal.tab_places import TabPlace, tab_places
from generator.rehearsal.tiles import Tiling, tiling
from generator.rehearsal.track import Track, thinned
from generator.units import show_number

# Paper shows no more than a tenth of a millimetre; more points only make the printer slow.
MOST_PLAN_POINTS = 20_000
MARGIN = 6.0


class Plan(Struct, frozen=True):
    """The drawing as SVG elements, the box it fills (mm), its sheets, and what it shows in numbers."""

    drawing: Markup
    box: Outline
    sheets: Tiling
    tabs: tuple[TabPlace, ...]
    nut_low: float | None
    left_out: int


def plan_of(track: Track, scene: Scene) -> Plan | None:
    """The plan of a track on its scene, None where there is nothing to draw.

    `nut_low` is how high over the board's top the nut's lower edge stays while cutting; negative is below the top.
    """
    cuts = _cut_chains(track, scene)
    boxes = [box for box in (scene.setup.stock, *(c.outline for c in scene.setup.clamps), _box_of(cuts, scene)) if box]
    if not boxes:
        return None
    box = _joined(boxes)
    box = (box[0] - MARGIN, box[1] - MARGIN, box[2] + MARGIN, box[3] + MARGIN)
    sheets, tabs = tiling(box), tab_places(track, scene.setup.stock_bottom)
    thin = thinned(track, (), MOST_PLAN_POINTS)
    parts = [*_swept(_cut_chains(thin, scene), scene), *_things(scene), *map(_tab, tabs), *_zero(), *_marks(sheets)]
    return Plan(Markup("\n").join(parts), box, sheets, tuple(tabs), _nut_low(track, scene), thin.left_out)


Chain = list[tuple[float, float]]


def _cut_chains(track: Track, scene: Scene) -> list[Chain]:
    """Stretches of the path that cut into the board, as seen from above."""
    top = scene.setup.stock_top
    chains: list[Chain] = []
    open_ = False
    for index in range(1, len(track)):
        low = min(track.z[index], track.z[index - 1])
        if track.kind[index] in (RAPID, LOST) or (top is not None and low >= top):
            open_ = False
            continue
        if not open_:
            chains.append([(track.x[index - 1], track.y[index - 1])])
            open_ = True
        if chains[-1][-1] != (track.x[index], track.y[index]):
            chains[-1].append((track.x[index], track.y[index]))
    return chains


def _box_of(chains: list[Chain], scene: Scene) -> Outline | None:
    places = [place for chain in chains for place in chain]
    if not places:
        return None
    reach = _diameter(scene) / 2
    x, y = [place[0] for place in places], [place[1] for place in places]
    return min(x) - reach, min(y) - reach, max(x) + reach, max(y) + reach


def _joined(boxes: Iterable[Outline]) -> Outline:
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return min(x0), min(y0), max(x1), max(y1)


def _diameter(scene: Scene) -> float:
    return scene.setup.cutter_diameter or ASSUMED_DIAMETER


def _nut_low(track: Track, scene: Scene) -> float | None:
    top, out = scene.setup.stock_top, scene.setup.stick_out
    if top is None or out is None or not len(track):
        return None
    lows = [z for z, kind in zip(track.z, track.kind, strict=True) if kind not in (RAPID, LOST)]
    return min(lows) + out - top if lows else None


def _swept(chains: list[Chain], scene: Scene) -> Iterator[Markup]:
    """What cutter and nut sweep, as strokes of their width, and the way of the cutter's middle."""
    way = " ".join(_way(chain) for chain in chains)
    if not way:
        return
    yield Markup('<defs><path id="plan-way" d="{}"/></defs>').format(way)
    if scene.setup.nut_diameter is not None:
        yield Markup('<use href="#plan-way" class="p-nut" stroke-width="{}"/>').format(_n(scene.setup.nut_diameter))
    yield Markup('<use href="#plan-way" class="p-swept" stroke-width="{}"/>').format(_n(_diameter(scene)))
    yield Markup('<use href="#plan-way" class="p-way"/>')


def _way(chain: Chain) -> str:
    places = chain if len(chain) > 1 else [*chain, chain[0]]
    return "M" + "L".join(f"{_n(x)} {_n(-y)}" for x, y in places)


def _things(scene: Scene) -> Iterator[Markup]:
    stock = scene.setup.stock
    if stock is not None:
        yield _rect("p-stock", stock)
        wide, deep = (show_number(stock[axis + 2] - stock[axis], "mm") for axis in (0, 1))
        yield _text(stock[0] + 30, stock[1] + 3, f"Edge of the board: {wide} × {deep} mm")
    for clamp in scene.setup.clamps:
        yield from _clamp(clamp, scene.setup.stock_top)


def _clamp(clamp: Clamp, top: float | None) -> Iterator[Markup]:
    x0, _, x1, y1 = clamp.outline
    yield _rect("p-clamp", clamp.outline)
    high = "" if top is None else f", {show_number(clamp.top - top, 'mm')} mm above the board"
    yield _text((x0 + x1) / 2, y1 + 1.5, clamp.name + high, middle=True)


def _rect(style: str, box: Outline) -> Markup:
    return Markup('<rect class="{}" x="{}" y="{}" width="{}" height="{}"/>').format(
        style, _n(box[0]), _n(-box[3]), _n(box[2] - box[0]), _n(box[3] - box[1])
    )


def _tab(tab: TabPlace) -> Markup:
    mark = Markup('<path class="p-tab" d="M{} {}l3 5h-6z"/>').format(_n(tab.x), _n(-tab.y))
    return mark + _text(tab.x + 4, tab.y - 5, f"tab {show_number(tab.height, 'mm')} mm")


def _zero() -> Iterator[Markup]:
    yield Markup('<path class="p-zero" d="M-12 0H12M0 -12V12M-5 0a5 5 0 1 0 10 0a5 5 0 1 0 -10 0"/>')
    yield Markup('<path class="p-zero-fill" d="M0 0V-5A5 5 0 0 1 5 0zM0 0V5A5 5 0 0 1 -5 0z"/>')
    yield _text(7, 7, "X0 Y0")


def _marks(sheets: Tiling) -> Iterator[Markup]:
    crosses = " ".join(f"M{_n(x - 3)} {_n(-y)}h6M{_n(x)} {_n(-y - 3)}v6" for x, y in sheets.marks)
    if crosses:
        yield Markup('<path class="p-mark" d="{}"/>').format(crosses)


def _text(x: float, y: float, words: str, middle: bool = False) -> Markup:
    anchor = Markup(' text-anchor="middle"') if middle else ""
    return Markup('<text x="{}" y="{}"{}>{}</text>').format(_n(x), _n(-y), anchor, escape(words))


def _n(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
