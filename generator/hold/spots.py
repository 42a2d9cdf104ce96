"""Where a clamp or screw may stand: on the hold-down system, on the board, and clear of the cutter and its nut."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct

from generator.finding import Finding, Severity
from generator.hold import pads
from generator.hold.given import NONE, Band, HoldInputError, Pad, Point, demand_number
from generator.hold.kernel import Floats
from generator.hold.outline import as_points, box_to_path, distance_to_segments, inside

ABOUT_SPOTS = 60
PATH_BLOCK = 256
NO_SPOT = "hold-no-spot"


class Rect(Struct, frozen=True):
    """An upright rectangle, mm."""

    x0: float
    y0: float
    x1: float
    y1: float

    def __post_init__(self) -> None:
        for value in (self.x0, self.y0, self.x1, self.y1):
            demand_number("a side of a rectangle", value)
        if self.x1 <= self.x0 or self.y1 <= self.y0:
            raise HoldInputError(f"a rectangle from ({self.x0:g}, {self.y0:g}) to ({self.x1:g}, {self.y1:g}) is empty")

    @property
    def corners(self) -> tuple[Point, ...]:
        """The corners, anticlockwise from the lower left."""
        return ((self.x0, self.y0), (self.x1, self.y0), (self.x1, self.y1), (self.x0, self.y1))

    def holds(self, point: Point, inset: float = 0.0) -> bool:
        """Whether a point lies in the rectangle, at least `inset` from its sides."""
        x, y = point
        return self.x0 + inset <= x <= self.x1 - inset and self.y0 + inset <= y <= self.y1 - inset

    def nearest(self, point: Point, inset: float) -> Point:
        """The nearest point of the rectangle shrunk by `inset`, which must leave something."""
        x, y = point
        return (min(max(x, self.x0 + inset), self.x1 - inset), min(max(y, self.y0 + inset), self.y1 - inset))


class HoldDown(Struct, frozen=True, kw_only=True):
    """What the bed offers, in the board's coordinates, mm.

    lines: T-slots, V-grooves or bed edges a clamp can stand along, as (start, end); points: threaded inserts;
    screws: whether screws may go through waste into the bed.
    """

    lines: tuple[tuple[Point, Point], ...] = ()
    points: tuple[Point, ...] = ()
    screws: bool = False


class ClampShape(Struct, frozen=True, kw_only=True):
    """A strap clamp: `reach` from bolt to foot, `bite` of the foot inside the board's edge, `nose` of its body beyond
    the foot's middle, `half_width`, `top` above the board, `bolt_room` between bolt and board, mm; `press`, N."""

    press: Band
    reach: float = 60.0
    bite: float = 10.0
    nose: float = 12.0
    half_width: float = 12.0
    top: float = 15.0
    bolt_room: float = 5.0

    def body(self, foot: Point, board: Rect) -> tuple[float, float, float, float]:
        """The upright box over which a clamp lies whose foot stands there: in from the nearest edge, nose first."""
        (x, y), half, nose = foot, self.half_width, self.nose
        sides = (x - board.x0, board.x1 - x, y - board.y0, board.y1 - y)
        match sides.index(min(sides)):
            case 0:
                return min(board.x0, x - nose), y - half, x + nose, y + half
            case 1:
                return x - nose, y - half, max(board.x1, x + nose), y + half
            case 2:
                return x - half, min(board.y0, y - nose), x + half, y + nose
            case _:
                return x - half, y - nose, x + half, max(board.y1, y + nose)

    def end(self, bolt: Point, foot: Point) -> Point:
        """Where the middle of its round end lies: at the foot, or as far from it as its nose is not half its width."""
        arm = math.dist(bolt, foot)
        if not arm or self.nose == self.half_width:
            return foot
        share = max(0.0, 1 + (self.nose - self.half_width) / arm)
        return bolt[0] + share * (foot[0] - bolt[0]), bolt[1] + share * (foot[1] - bolt[1])


class ScrewShape(Struct, frozen=True, kw_only=True):
    """A screw through waste: its forces as in `pads.screw`, N; head radius, room to the board's edge and the least
    distance from one place to the next, mm."""

    lateral: Band
    withdrawal: Band
    press: Band = NONE
    head_radius: float = 5.0
    edge_room: float = 12.0
    pitch: float = 40.0


class CutterRoom(Struct, frozen=True, kw_only=True):
    """What passes over the board: cutter and nut radius, height of the nut above the board at its lowest, spare, mm."""

    cutter_radius: float
    nut_radius: float = 0.0
    nut_height: float = math.inf
    spare: float = 3.0

    def keep_out(self, top: float) -> float:
        """How far from the path something reaching `top` mm above the board must stay."""
        low_nut = self.nut_height < top
        return max(self.cutter_radius, self.nut_radius if low_nut else 0.0) + self.spare


class Spot(Struct, frozen=True, kw_only=True):
    """An allowed place: the pad it would give, where its bolt stands, and `ease` (0 is easiest: a short arm)."""

    pad: Pad
    bolt: Point
    ease: float


class Spots(Struct, frozen=True, kw_only=True):
    """The allowed places and what stood in the way."""

    spots: tuple[Spot, ...]
    findings: tuple[Finding, ...]


def allowed_spots(
    board: Rect, bed: Rect, system: HoldDown, path: Sequence[Point] | Floats, room: CutterRoom,
    clamp: ClampShape | None = None, screw: ScrewShape | None = None,
    parts: Sequence[Sequence[Point]] = (), pitch: float | None = None,
) -> Spots:  # fmt: skip
    """Every allowed spot at about `pitch` mm (without it: about 60 clamps round the board), clear of the path (n,2).

    Screws keep out of `parts` (outlines that must stay whole). Raises HoldInputError for shapes that cannot be.
    """
    points = as_points("the path", path)
    step = pitch or max(10.0, 2 * (board.x1 - board.x0 + board.y1 - board.y0) / ABOUT_SPOTS)
    demand_number("the spacing of clamp spots", step, above=0.0)
    found = _clamp_spots(board, bed, system, clamp, step)
    found += _screw_spots(board, bed, system, screw, parts, pitch or 0.0)
    free = _clear(found, points, room, clamp, screw)
    clear = tuple(
        spot for spot, arm in zip(found, free, strict=True) if arm and _body_clear(spot, board, points, room, clamp)
    )
    return Spots(spots=clear, findings=() if clear else (_no_spot(len(found)),))


def _clamp_spots(board: Rect, bed: Rect, system: HoldDown, clamp: ClampShape | None, step: float) -> list[Spot]:
    if clamp is None or min(board.x1 - board.x0, board.y1 - board.y0) <= 2 * clamp.bite:
        return []
    best: dict[Point, Spot] = {}
    for bolt in _bolts(system, step):
        spot = _clamp_at(board, bed, clamp, bolt)
        if spot and spot.ease < best.get(_place(spot), _NOWHERE).ease:
            best[_place(spot)] = spot
    return list(best.values())


_NOWHERE = Spot(pad=Pad(at=(0.0, 0.0)), bolt=(0.0, 0.0), ease=math.inf)


def _place(spot: Spot) -> Point:
    return (round(spot.pad.at[0]), round(spot.pad.at[1]))


def _bolts(system: HoldDown, step: float) -> Iterable[Point]:
    for start, end in system.lines:
        count = max(1, math.ceil(math.dist(start, end) / step))
        for number in range(count + 1):
            share = number / count
            yield (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
    yield from system.points


def _clamp_at(board: Rect, bed: Rect, clamp: ClampShape, bolt: Point) -> Spot | None:
    """A clamp bolted at `bolt` with its foot straight in from the nearest edge, None where it does not reach."""
    if not bed.holds(bolt) or math.dist(bolt, board.nearest(bolt, 0.0)) < clamp.bolt_room:
        return None
    foot = board.nearest(bolt, clamp.bite)
    arm = math.dist(bolt, foot)
    if arm > clamp.reach:
        return None
    return Spot(pad=pads.clamp(foot, clamp.press), bolt=bolt, ease=arm / clamp.reach)


def _screw_spots(
    board: Rect, bed: Rect, system: HoldDown, screw: ScrewShape | None, parts: Sequence[Sequence[Point]], pitch: float
) -> list[Spot]:
    if screw is None or not system.screws:
        return []
    step = pitch or screw.pitch
    xs = _spread(board.x0 + screw.edge_room, board.x1 - screw.edge_room, step)
    ys = _spread(board.y0 + screw.edge_room, board.y1 - screw.edge_room, step)
    places = np.array([(x, y) for x in xs for y in ys if bed.holds((x, y))]).reshape(-1, 2)
    for part in parts:
        outline = as_points("a part's outline", part)
        away = distance_to_segments(places, outline, np.roll(outline, -1, axis=0)).min(axis=1)
        places = places[~inside(places, outline) & (away > screw.head_radius)]
    return [_screw_at(screw, (float(x), float(y))) for x, y in places]


def _spread(start: float, end: float, step: float) -> list[float]:
    if end < start:
        return []
    return [float(value) for value in np.linspace(start, end, max(2, math.ceil((end - start) / step) + 1))]


def _screw_at(screw: ScrewShape, at: Point) -> Spot:
    # no arm to judge by: neither easier nor harder than a clamp at half its reach
    return Spot(pad=pads.screw(at, screw.lateral, screw.withdrawal, screw.press), bolt=at, ease=0.5)


def _clear(
    spots: list[Spot], path: Floats, room: CutterRoom, clamp: ClampShape | None, screw: ScrewShape | None
) -> list[bool]:
    """Whether each spot's body, from bolt to foot, stays out of the widened path."""
    a, b = path, np.concatenate([path[1:], path[-1:]])
    blocks = [slice(start, start + PATH_BLOCK) for start in range(0, len(path), PATH_BLOCK)]
    low = np.array([np.minimum(a[block], b[block]).min(axis=0) for block in blocks])
    high = np.array([np.maximum(a[block], b[block]).max(axis=0) for block in blocks])
    free = []
    for spot in spots:
        half, top = (clamp.half_width, clamp.top) if spot.pad.kind == "clamp" and clamp else (_head(screw), 0.0)
        need = half + room.keep_out(top)
        end = clamp.end(spot.bolt, spot.pad.at) if spot.pad.kind == "clamp" and clamp else spot.pad.at
        body = np.array([spot.bolt, end])
        near = ((low - need <= body.max(axis=0)) & (high + need >= body.min(axis=0))).all(axis=1)
        free.append(all(_apart(body, a[blocks[i]], b[blocks[i]], need) for i in np.flatnonzero(near)))
    return free


def _body_clear(spot: Spot, board: Rect, path: Floats, room: CutterRoom, clamp: ClampShape | None) -> bool:
    """Whether the box that a clamp in this place is judged by keeps clear as well as its arm."""
    if clamp is None or spot.pad.kind != "clamp":
        return True
    return box_to_path(clamp.body(spot.pad.at, board), path) >= room.keep_out(clamp.top) - 1e-9


def _head(screw: ScrewShape | None) -> float:
    return screw.head_radius if screw else 0.0


def _apart(body: Floats, a: Floats, b: Floats, need: float) -> bool:
    """Whether a segment keeps `need` from every segment a-b: ends to the other, and no crossing."""
    start, end = body[:1], body[1:]
    near = min(distance_to_segments(body, a, b).min(), distance_to_segments(a, start, end).min())
    near = min(near, distance_to_segments(b[-1:], start, end).min())
    return bool(near >= need) and not _crosses(body, a, b)


def _crosses(body: Floats, a: Floats, b: Floats) -> bool:
    def side(p: Floats, q: Floats, r: Floats) -> Floats:
        u, v = q - p, r - p
        return np.asarray(u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0])

    p, q = body
    return bool(((side(p, q, a) * side(p, q, b) < 0) & (side(a, b, p) * side(a, b, q) < 0)).any())


def _no_spot(tried: int) -> Finding:
    return Finding(
        id=NO_SPOT, severity=Severity.STOP,
        says=f"no clamp or screw has a place: {tried} spots reach the board and none is clear of the cutter"
        if tried else "no clamp or screw reaches the board from this hold-down system",
        mend="leave more waste round the part, use a longer clamp, or hold the board with tape or vacuum",
    )  # fmt: skip
