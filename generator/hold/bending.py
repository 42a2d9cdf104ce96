"""How far a sheet lifts between its hold-downs, and whether a thin one will flutter. mm, N, N/mm2.

The calculator `lift-between-clamps` says the same in formulas for its page. These stay beside it because a calculator's
fields are each kept in a range, and a board beyond it must not get the number of another board.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from enum import StrEnum

import numpy as np
from msgspec import Struct

from generator.finding import Finding, Severity
from generator.hold.given import NONE, Band, HoldInputError, Point, demand_number
from generator.hold.kernel import Floats
from generator.hold.outline import as_points, ring

# our proposal: where small-deflection theory ends
FLUTTERS_AT_THICKNESSES = 0.5
OVERHANG_TO_SPAN = 16 ** (1 / 3)  # an overhang lifts as much as a span this many times as long
MOST_PLACES = 400


class Pull(StrEnum):
    """Which way the spiral pulls the work; `both` pulls up with its lower end, which is the one in the cut first."""

    UP = "up"
    DOWN = "down"
    BOTH = "both"
    NONE = "none"


def mid_span_lift(force: float, span: float, stiffness: float, width: float, thickness: float) -> float:
    """Lift in the middle of a freely supported strip: P l^3/(4 E b h^3) (Record, Mechanical Properties of Wood)."""
    return force * span**3 / (4 * stiffness * width * thickness**3)


def overhang_lift(force: float, length: float, stiffness: float, width: float, thickness: float) -> float:
    """Lift at the end of a strip held at one end: F l^3/(3 E I), 16 times the mid-span lift of the same length."""
    return 16 * mid_span_lift(force, length, stiffness, width, thickness)


def strip_width(width: float, span: float) -> float:
    """Width of sheet that bends with the cut: that of the piece, at most half the span."""
    return min(width, span / 2)


def axial_lift(tangential: Band, helix_deg: float, pull: Pull) -> Band:
    """Upper bound of the upward pull of a helical edge, F tan(helix), friction ignored; nothing if it presses down."""
    demand_number("the helix angle", helix_deg, least=0.0)
    if helix_deg >= 90:
        raise HoldInputError(f"the helix angle is {helix_deg:g} degrees; it must be less than 90")
    return tangential.times(math.tan(math.radians(helix_deg))) if pull in {Pull.UP, Pull.BOTH} else NONE


def widest_span(force: float, limit: float, stiffness: float, width: float, thickness: float) -> float:
    """The span whose mid-span lift is just `limit`, mm; infinite where nothing lifts."""
    if force <= 0:
        return math.inf
    bends = 4 * stiffness * thickness**3 * limit / force
    narrow = math.sqrt(bends / 2)
    return narrow if narrow / 2 <= width else math.cbrt(bends * width)


class SheetStiffness(Struct, frozen=True, kw_only=True):
    """Sheet between hold-downs: E in N/mm2, thickness and width in mm."""

    stiffness: Band
    thickness: float
    width: float

    def __post_init__(self) -> None:
        demand_number("the stiffness", self.stiffness.low, above=0.0)
        demand_number("the sheet's thickness", self.thickness, above=0.0)
        demand_number("the sheet's width", self.width, above=0.0)


class BendingAnswer(Struct, frozen=True, kw_only=True):
    """How far the sheet lifts at the worst place of the path.

    lift: mm (low: little lift); limit: the most to accept; span: mm between the hold-downs there, or the length of an
    `overhang`; widest: the span that would do.
    """

    lift: Band
    limit: float
    holds: bool
    flutters: bool
    place: Point
    span: float
    overhang: bool
    widest: float
    findings: tuple[Finding, ...]


def bending(
    hold_downs: Sequence[Point], path: Sequence[Point] | Floats, upwards: Band, sheet: SheetStiffness, limit: float
) -> BendingAnswer:
    """Lift of a sheet held at points under an upward force band (N) anywhere on the path (n,2); `limit` is the most to
    accept, mm."""
    demand_number("the most lift to accept", limit, above=0.0)
    place, span, overhang = widest_gap(hold_downs, path)
    formula, width = (overhang_lift if overhang else mid_span_lift), strip_width(sheet.width, span)
    ends = ((upwards.low, sheet.stiffness.high), (upwards.expected, sheet.stiffness.expected))
    pairs = (*ends, (upwards.high, sheet.stiffness.low))
    lift = Band(*(formula(force, span, e, width, sheet.thickness) if span else 0.0 for force, e in pairs))
    flutters = lift.high > FLUTTERS_AT_THICKNESSES * sheet.thickness
    widest = widest_span(upwards.high, limit, sheet.stiffness.low, sheet.width, sheet.thickness)
    return BendingAnswer(
        lift=lift, limit=limit, holds=lift.high <= limit, flutters=flutters, place=place, span=span,
        overhang=overhang, widest=widest,
        findings=_findings(lift.high, limit, flutters, place, None if overhang else widest),
    )  # fmt: skip


def compare_pulls(
    hold_downs: Sequence[Point], path: Sequence[Point] | Floats, tangential: Band, helix_deg: float,
    sheet: SheetStiffness, limit: float,
) -> dict[Pull, BendingAnswer]:  # fmt: skip
    """The same cut with an up-cut, a straight and a down-cut cutter."""
    return {
        pull: bending(hold_downs, path, axial_lift(tangential, helix_deg, pull), sheet, limit)
        for pull in (Pull.UP, Pull.NONE, Pull.DOWN)
    }


def widest_gap(hold_downs: Sequence[Point], path: Sequence[Point] | Floats) -> tuple[Point, float, bool]:
    """Where on the path the sheet is held worst: the place, the span there, and whether it is an overhang.

    A place is spanned by the two hold-downs on opposite sides of it (seen at 90 degrees or more) with the shortest
    way from one to the other through it; without such a pair it overhangs the nearest hold-down.
    """
    pads, q = as_points("the hold-downs", hold_downs), as_points("the path", path)
    q = np.concatenate([ring(q).real, q[:: max(1, len(q) // MOST_PLACES)]])
    x, y = pads[:, 0] - q[:, :1], pads[:, 1] - q[:, 1:]
    away = np.hypot(x, y)
    opposite = x[:, :, None] * x[:, None, :] + y[:, :, None] * y[:, None, :] <= 0
    through = np.where(opposite, away[:, :, None] + away[:, None, :], np.inf).min(axis=(1, 2))
    nearest = away.min(axis=1)
    overhangs = OVERHANG_TO_SPAN * nearest < through
    overhangs &= ~np.isfinite(through)
    severity = np.where(overhangs, OVERHANG_TO_SPAN * nearest, through)
    worst = int(severity.argmax())
    span = nearest[worst] if overhangs[worst] else through[worst]
    return (float(q[worst, 0]), float(q[worst, 1])), float(span), bool(overhangs[worst])


def _findings(lift: float, limit: float, flutters: bool, place: Point, widest: float | None) -> tuple[Finding, ...]:
    """What to say of the lift; `widest` is the span that would do, None where the sheet overhangs."""
    if lift <= limit:
        return ()
    at = f"at ({place[0]:.0f}, {place[1]:.0f}) mm"
    beyond = "on the far side of the cut there"
    where = beyond if widest is None else f"so that none is more than {widest:.0f} mm from the next"
    mend = f"add a hold-down {where}, use a down-cut or straight cutter, or hold the whole face with tape or vacuum"
    if flutters:
        says = f"the sheet will flutter {at}: it is too thin for this lift, further than the formula reaches"
    else:
        says = f"the cutter may lift the sheet by {lift:.2f} mm {at}; {limit:.2f} mm is the most to accept"
    severity = Severity.STOP if flutters else Severity.WARN
    return (Finding(id="hold-flutter" if flutters else "hold-lifts-between", severity=severity, says=says, mend=mend),)
