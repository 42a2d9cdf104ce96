"""Rapids and cutting moves against stock, safe height and clamps."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from generator.expr import Value
from generator.model.spindle import WIDEST_NUT
from generator.program.depth_watch import UPRIGHT, DepthWatch
from generator.program.geometry import along, grown, inside
from generator.program.moves import Point
from generator.program.occurrences import Occurrences
from generator.program.setup import Clamp, Outline, Setup

if TYPE_CHECKING:
    from generator.program.cut_columns import Cuts

_DEEP = 1e-6
# A rapid that ends nearer to the stock than this (mm) is noted: a sheet is that uneven, and a zero that far off.
CLOSE = 1.0


class RapidWatch:
    """Follows rapids in program order."""

    def __init__(self, setup: Setup, seen: Occurrences, depth: DepthWatch) -> None:
        self._seen, self._depth, self._setup = seen, depth, setup
        radius = (setup.cutter_diameter or 0.0) / 2
        # Where the cutter was last fed to: a drill goes back there by rapids.
        self._left: Point = (math.nan, math.nan, math.nan)
        self._outline: Outline | None = grown(setup.stock, radius) if setup.stock else None
        self.facts: dict[str, Value] = {
            "program.rapid_entry_point": [], "program.rapid_plunge_overshoot": None, "program.rapid_sideways_min": None,
            "program.rapid_gap_min": None,
        }  # fmt: skip

    def rapid(self, line: int, start: Point, end: Point) -> None:
        """One rapid, straight from start to end."""
        left = self._depth.leave()
        self._left = self._left if left[2] != left[2] else left
        flat = math.hypot(end[0] - start[0], end[1] - start[1])
        if flat < UPRIGHT or (end[0] != end[0] and end[1] != end[1]):
            self._upright(line, start, end)
        else:
            self._sideways(line, start, end)

    def _upright(self, line: int, start: Point, end: Point) -> None:
        top, safe = self._setup.stock_top, self._setup.safe_height
        if top is None or end[2] >= start[2]:
            return
        if end[2] < top - _DEEP:
            self._down_into_stock(line, end, top)
        elif safe is not None and end[2] < safe - _DEEP:
            self._seen.add("rapid_stops_low", line)
        if end[2] >= top - _DEEP and inside(end, end, self._outline, math.inf) is not None:
            self._gap(line, end[2] - top, (end[0], end[1]))

    def _gap(self, line: int, gap: float, at: tuple[float, float]) -> None:
        """How far above the stock a rapid straight down over it ends, where the cutter has not been fed down before."""
        if self._depth.depth_at(*at) is not None or self._left[:2] == at:
            return
        least = self.facts["program.rapid_gap_min"]
        self.facts["program.rapid_gap_min"] = min(gap, least if isinstance(least, float) else math.inf)
        if gap < CLOSE:
            self._seen.add("rapid_to_surface", line)

    def _down_into_stock(self, line: int, end: Point, top: float) -> None:
        if inside(end, end, self._outline, top) is None:
            return
        reached = self._depth.depth_at(end[0], end[1])
        over = (top if reached is None else min(top, reached)) - end[2]
        if over > _DEEP:
            self._seen.add("rapid_plunge", line)
            worst = self.facts["program.rapid_plunge_overshoot"]
            self.facts["program.rapid_plunge_overshoot"] = max(over, worst if isinstance(worst, float) else 0.0)

    def _sideways(self, line: int, start: Point, end: Point) -> None:
        low = min(start[2], end[2])
        if low != low:
            self._seen.add("rapid_height_unknown", line)
            return
        worst = self.facts["program.rapid_sideways_min"]
        self.facts["program.rapid_sideways_min"] = min(low, worst if isinstance(worst, float) else math.inf)
        if end[2] < start[2] - _DEEP:
            self._seen.add("rapid_slanting_down", line)
        top, safe = self._setup.stock_top, self._setup.safe_height
        crossed = None if top is None else inside(start, end, self._outline, top)
        if crossed is not None:
            self._through_stock(line, start, end, crossed[0])
        elif safe is not None and low < safe - _DEEP:
            self._seen.add("rapid_low", line)

    def _through_stock(self, line: int, start: Point, end: Point, share: float) -> None:
        self._seen.add("rapid_through_stock", line)
        entry = [round(value, 6) for value in along(start, end, share)]
        if not self.facts["program.rapid_entry_point"] and math.isfinite(sum(entry)):
            self.facts["program.rapid_entry_point"] = entry


def nut_reach(setup: Setup) -> float:
    """How far cutter or collet nut reaches to the side of the path, mm."""
    nut = WIDEST_NUT if setup.nut_diameter is None else setup.nut_diameter
    return max(setup.cutter_diameter or 0.0, nut) / 2


class ClampWatch:
    """Follows every move against the clamps: the cutter, and above its stick-out the nut."""

    def __init__(self, setup: Setup, seen: Occurrences) -> None:
        self._seen, self._clamps = seen, setup.clamps
        self._radius = (setup.cutter_diameter or 0.0) / 2
        self._nut, self._nut_known = nut_reach(setup), setup.nut_diameter is not None
        self._stick_out = setup.stick_out
        self._outlines = [grown(clamp.outline, self._nut) for clamp in setup.clamps]
        # A rectangle without clamps round the last place looked at: nearly every move of a long program stays in it.
        self._free: Outline | None = None
        self._highest = max((clamp.top for clamp in setup.clamps), default=-math.inf)
        self.facts: dict[str, Value] = {
            "program.clamp_hit": None, "program.clamp_hit_from": [], "program.clamp_hit_to": [],
            "program.clamp_top_max": self._highest if setup.clamps else None,
        }  # fmt: skip

    def move(self, line: int, points: Sequence[Point], low: float, rapid: bool) -> None:
        """One move as a chain of points, its start first; `low` is its lowest height."""
        if low >= self._highest or not self._clamps or self._is_free(points):
            return
        if not math.isfinite(sum(map(sum, points))):
            if self._may_meet(points):
                self._seen.add("clamp_path_unknown", line)
            return
        for clamp in self._clamps:
            for start, end in pairwise(points):
                crossed = self._crosses(start, end, clamp, rapid)
                if crossed is not None:
                    self._hit(line, start, end, crossed, clamp, rapid)
                    break
                if rapid and self._box_meets(start, end, clamp):
                    self._seen.add("rapid_box_meets_clamp", line)
        self._free = _room(points[-1], self._outlines)

    def _is_free(self, points: Sequence[Point]) -> bool:
        if self._free is None:
            return False
        x_low, y_low, x_high, y_high = self._free
        for x, y, _ in points:  # noqa: SIM110 - called for every move, and all() takes twice as long
            if not (x_low < x < x_high and y_low < y < y_high):
                return False
        return True

    def _may_meet(self, points: Sequence[Point]) -> bool:
        """Whether a path of unknown height, or one that is not known at all, may lead over a clamp."""
        across, along = [point[0] for point in points], [point[1] for point in points]
        if not math.isfinite(sum(across) + sum(along)):
            return True
        return any(
            min(across) <= x_high and max(across) >= x_low and min(along) <= y_high and max(along) >= y_low
            for x_low, y_low, x_high, y_high in self._outlines
        )

    def _crosses(self, start: Point, end: Point, clamp: Clamp, rapid: bool) -> tuple[float, float] | None:
        crossed = inside(start, end, grown(clamp.outline, self._radius), clamp.top)
        if crossed is not None or self._stick_out is None:
            return crossed
        crossed = inside(start, end, grown(clamp.outline, self._nut), clamp.top - self._stick_out)
        if crossed is not None and not self._nut_known:
            self._seen.doubt("rapid_into_clamp" if rapid else "cut_into_clamp")
            return None
        return crossed

    def _box_meets(self, start: Point, end: Point, clamp: Clamp) -> bool:
        x_low, y_low, x_high, y_high = grown(clamp.outline, self._radius)
        return (
            min(start[2], end[2]) < clamp.top
            and min(start[0], end[0]) < x_high and max(start[0], end[0]) > x_low
            and min(start[1], end[1]) < y_high and max(start[1], end[1]) > y_low
        )  # fmt: skip

    def _hit(
        self, line: int, start: Point, end: Point, crossed: tuple[float, float], clamp: Clamp, rapid: bool
    ) -> None:
        self._seen.add("rapid_into_clamp" if rapid else "cut_into_clamp", line)
        if self.facts["program.clamp_hit"] is None:
            self.facts["program.clamp_hit"] = clamp.name
            self.facts["program.clamp_hit_from"] = [round(value, 6) for value in along(start, end, crossed[0])]
            self.facts["program.clamp_hit_to"] = [round(value, 6) for value in along(start, end, crossed[1])]


def _room(point: Point, outlines: Sequence[Outline]) -> Outline | None:
    """A rectangle round a point that meets none of the outlines, None where the point lies in one of them."""
    x, y, _ = point
    room = [-math.inf, -math.inf, math.inf, math.inf]
    for x_low, y_low, x_high, y_high in outlines:
        gaps = (x - x_high, y - y_high, x_low - x, y_low - y)
        side = gaps.index(max(gaps))
        if not gaps[side] > 0:
            return None
        edge = (x_high, y_high, x_low, y_low)[side]
        room[side] = max(room[side], edge) if side < 2 else min(room[side], edge)
    return room[0], room[1], room[2], room[3]


class StockWatch:
    """Follows cutting moves against the edges, the bottom and the cutter's own length."""

    def __init__(self, setup: Setup, seen: Occurrences) -> None:
        self._seen, self._stock = seen, setup.stock
        self._radius = (setup.cutter_diameter or 0.0) / 2
        self._beside: float | None = 0.0 if setup.stock else None
        top, bottom, edges = setup.stock_top, setup.stock_bottom, setup.flute_length
        # Heights below which a cut is in the stock, below the stock, and deeper than the edges are long.
        self._contact = -math.inf if top is None else top - _DEEP
        self._through = -math.inf if bottom is None else bottom - _DEEP
        self._shank = -math.inf if top is None or edges is None else top - edges

    def cut(self, line: int, low: Point, high: Point) -> None:
        """One cutting move by its lowest and highest coordinates."""
        if not low[2] < self._contact:
            return
        if low[2] < self._through:
            self._seen.add("cut_below_stock", line)
        if low[2] < self._shank:
            self._seen.add("cut_deeper_than_flutes", line)
        stock = self._stock
        if stock is None or (low[0] >= stock[0] and low[1] >= stock[1] and high[0] <= stock[2] and high[1] <= stock[3]):
            return
        beside = max(stock[0] - low[0], stock[1] - low[1], high[0] - stock[2], high[1] - stock[3])
        self._beside = max(self._beside or 0.0, beside)
        if beside > self._radius + _DEEP:
            self._seen.add("cut_off_stock", line)

    def cuts(self, cuts: Cuts) -> None:
        """Many cutting moves, as `cut` sees each."""
        (x_low, y_low, z_low), (x_high, y_high, _) = cuts.low, cuts.high
        contact = z_low < self._contact
        self._seen.add_many("cut_below_stock", cuts.line[contact & (z_low < self._through)].tolist())
        self._seen.add_many("cut_deeper_than_flutes", cuts.line[contact & (z_low < self._shank)].tolist())
        if self._stock is None:
            return
        left, front, right, rear = self._stock
        beside = (left - x_low).clip(front - y_low).clip(x_high - right).clip(y_high - rear)[contact]
        self._beside = max(self._beside or 0.0, float(beside.max(initial=0.0)))
        off = beside > self._radius + _DEEP
        self._seen.add_many("cut_off_stock", cuts.line[contact][off].tolist())

    def result(self) -> dict[str, Value]:
        """Facts at the end of the program."""
        return {"program.beside_stock": self._beside}
