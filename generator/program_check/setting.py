"""What surrounds the program, worked out from job and machine: stock, clamps, zero, travel and dialect.

The job counts from the stock's front-left corner and its top; the program counts from the job's zero. Everything
here is in the program's own coordinates, travel in the machine's. Lengths in mm, None is unknown.
"""

from __future__ import annotations

from msgspec import Struct

from generator.expr import Scope, Value
from generator.model import Job, Machine
from generator.model.job import HoldDownSpot
from generator.program.setup import Clamp, Outline, Setup, travel_box
from generator.program.state import Place, Start

# These lie under the stock: no cutter can meet them from above before it is through.
UNDER_STOCK = ("vacuum", "tape", "tape-and-glue")


class Level(Struct, frozen=True, kw_only=True):
    """Heights in the program's own count. `thin_bottom` is the underside where the sheet is thinnest."""

    top: float | None
    bottom: float | None
    thin_bottom: float | None


class Setting(Struct, frozen=True, kw_only=True):
    """Everything the reader and the facts need besides the program.

    `travel` is the length of each axis less the margins kept. `sure_low` and `sure_high` bound the part of the travel
    that is reached wherever on the bed it begins; `z_top` is the highest place of the tip in the program's own heights.
    """

    setup: Setup
    start: Start
    level: Level
    unplaced: tuple[str, ...]
    travel: Place
    sure_low: Place
    sure_high: Place
    z_top: float | None


def setting_of(job: Job, machine: Machine, facts: Scope, hand_speed: float | None) -> Setting:
    """The setting of a job on its machine. `facts` are those of both; `hand_speed` is the speed a person sets."""
    level = level_of(job, facts)
    zero = job.zero_in_stock()
    top = None if level.top is None else _z_top(job, machine, level)
    travel = _Travel(job, machine, top)
    cutter, spindle, feed = job.main_cutter, machine.spindle, machine.feed
    commanded = spindle.switching == "by-program-with-speed"
    setup = Setup(
        stock=_stock(job, zero), stock_top=level.top, stock_bottom=level.bottom,
        safe_height=None if level.top is None or job.safe_height is None else level.top + job.safe_height,
        clamps=_clamps(job, zero, level.top),
        cutter_diameter=cutter.diameter, flutes=cutter.flutes, flute_length=cutter.flute_length,
        stick_out=cutter.stick_out, nut_diameter=spindle.nut_diameter, hand_speed=hand_speed,
        # Speed limits and run-up count only where the program commands them; by hand, a person waits and looks.
        run_up=spindle.run_up if (spindle.switching or "").startswith("by-program") else None,
        speed_min=spindle.min_speed if commanded else None, speed_max=spindle.max_speed if commanded else None,
        feed_max_xy=feed.max_xy, feed_max_z=feed.max_z, rapid=feed.rapid or feed.max_xy,
        acceleration=feed.acceleration,
        travel_low=travel.low, travel_high=travel.high,
    )  # fmt: skip
    start = Start(inches=machine.controller.units_default == "inch", zero=travel.zero)
    return Setting(setup=setup, start=start, level=level, unplaced=_unplaced(job), travel=travel.lengths,
                   sure_low=travel.sure_low, sure_high=travel.sure_high, z_top=top)  # fmt: skip


def level_of(job: Job, facts: Scope) -> Level:
    """Top and underside by the face that is zero; thicknesses as measured, else what the material allows."""
    thin, thick = _number(facts["stock.thickness_min"]), _number(facts["stock.thickness_max"])
    if job.zero.z == "stock-top":
        return Level(top=0.0, bottom=None if thick is None else -thick, thin_bottom=None if thin is None else -thin)
    if job.zero.z == "bed":
        return Level(top=thick, bottom=0.0, thin_bottom=0.0)
    return Level(top=None, bottom=None, thin_bottom=None)


def _number(value: Value) -> float | None:
    return float(value) if isinstance(value, (int, float)) else None


def _stock(job: Job, zero: tuple[float, float] | None) -> Outline | None:
    x, y = job.stock.size_x, job.stock.size_y
    if zero is None or x is None or y is None:
        return None
    return -zero[0], -zero[1], x - zero[0], y - zero[1]


def _clamps(job: Job, zero: tuple[float, float] | None, top: float | None) -> tuple[Clamp, ...]:
    if zero is None or top is None:
        return ()
    found = []
    for number, spot in enumerate(job.hold_downs or (), 1):
        outline = spot.outline()
        if spot.kind not in UNDER_STOCK and outline is not None and spot.height is not None:
            moved = outline[0] - zero[0], outline[1] - zero[1], outline[2] - zero[0], outline[3] - zero[1]
            found.append(Clamp(name=spot_name(spot, number), outline=moved, top=top + spot.height))
    return tuple(found)


def _unplaced(job: Job) -> tuple[str, ...]:
    """Hold-downs that stand above the stock but of which size or height is not known."""
    return tuple(
        spot_name(spot, number)
        for number, spot in enumerate(job.hold_downs or (), 1)
        if spot.kind not in UNDER_STOCK and (spot.outline() is None or spot.height is None)
    )


def spot_name(spot: HoldDownSpot, number: int) -> str:
    """How a hold-down is called: its own name, else its kind and place in the list."""
    return spot.name or f"{spot.kind.replace('-', ' ')} {number}"


def _z_top(job: Job, machine: Machine, level: Level) -> float | None:
    """The tip with Z at the top: clear height less stick-out above the bed, counted from the job's zero."""
    clear, out = machine.travel.z_clear, job.main_cutter.stick_out
    if clear is None or out is None or level.bottom is None:
        return None
    return clear - out + level.bottom


class _Travel:
    """The travel in machine coordinates and where the job's zero lies in it.

    Bed positions count from the bed's front-left corner. Where it is not written down where on the bed the travel
    begins, it can be anywhere between flush at one end and flush at the other: what lies beyond all of these is out
    of reach, what lies within all of them is surely reached.
    """

    def __init__(self, job: Job, machine: Machine, z_top: float | None) -> None:
        self._margin = machine.limits.margin or 0.0
        travel, bed, zero = machine.travel, machine.bed, job.zero
        low, high = travel_box((travel.x, travel.y, travel.z), machine.homing.signs or "positive")
        self.lengths: Place = (self._length(travel.x), self._length(travel.y), self._length(travel.z))
        x = self._axis(travel.x, bed.size_x, travel.start_x, low[0])
        y = self._axis(travel.y, bed.size_y, travel.start_y, low[1])
        z = self._inner(low[2], high[2])
        self.low: Place = (x[0], y[0], z[0])
        self.high: Place = (x[1], y[1], z[1])
        self.sure_low: Place = (x[2], y[2], z[0])
        self.sure_high: Place = (x[3], y[3], z[1])
        self.zero: Place = (
            _sum(_sum(low[0], zero.bed_x), -(travel.start_x or 0.0)),
            _sum(_sum(low[1], zero.bed_y), -(travel.start_y or 0.0)),
            _sum(high[2], None if z_top is None else -z_top),
        )

    def _length(self, travel: float | None) -> float | None:
        return _sum(travel, -2 * self._margin)

    def _axis(
        self, travel: float | None, bed: float | None, start: float | None, low: float | None
    ) -> tuple[float | None, ...]:
        """Lowest and highest place possibly reached, lowest and highest surely reached."""
        if travel is None or low is None:
            return None, None, None, None
        if start is not None:
            return *self._inner(low, low + travel), *self._inner(low, low + travel)
        slack = 0.0 if bed is None else bed - travel
        first, last = min(0.0, slack), max(0.0, slack)
        possible = self._inner(low + first, low + travel + last)
        return *possible, *((None, None) if bed is None else self._inner(low + last, low + travel + first))

    def _inner(self, low: float | None, high: float | None) -> tuple[float | None, float | None]:
        return _sum(low, self._margin), _sum(high, -self._margin)


def _sum(one: float | None, two: float | None) -> float | None:
    return None if one is None or two is None else one + two
