"""What the job's hold-downs press and grip with, and what of them cannot be counted."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct

from generator.expr import Scope
from generator.finding import Finding, Severity
from generator.hold.freeing import Zone
from generator.hold.given import NONE, Band, Pad, Point, exactly
from generator.hold.outline import area
from generator.hold.pads import clamp, screw, tape, vacuum
from generator.hold.spots import Rect
from generator.holding.content_numbers import Calculators, answer_of, as_number, band_at, fallback
from generator.model.job import HoldDownSpot

CLAMPS = ("t-slots", "threaded-inserts", "v-grooves")
TAPES = ("tape", "tape-and-glue")
BOLT, SCREWS, TAPE, VACUUM = "bolt-preload", "screws", "tape", "vacuum"


Box = tuple[float, float, float, float]


class Standing(Struct, frozen=True, kw_only=True):
    """A clamp or screw that stands: its pad, the box round it, None where unknown, and its top above the board, mm."""

    pad: Pad
    box: Box | None = None
    top: float | None = None
    name: str = ""


class Held(Struct):
    """The hold-downs of a job.

    clamps: those that press with a bolt, in the job's order; screws: all of them, counted or not; fixed: all pads but
    the clamps'; tapes, vacuums: areas as the job has them, the vacuum already less what the cuts open.
    """

    clamps: list[Standing] = []
    screws: list[Standing] = []
    fixed: list[Pad] = []
    tapes: list[Zone] = []
    vacuums: list[Zone] = []
    findings: list[Finding] = []


def press_of(scope: Scope, assumed: Sequence[str], calculators: Calculators) -> tuple[Band, tuple[Finding, ...]]:
    """What one hand-tightened clamp presses with, N; with a caution where its knob or its bolt is not known."""
    press = band_at(scope, "strap.work_force", "strap_expected.work_force", "strap_book.work_force")
    if press is None:
        return exactly(0.0), (_no_press(),)
    names = {"bolt.tightened": "knob", "bolt.bolt": "bolt diameter"}
    unknown = [words for name, words in names.items() if name in assumed]
    if not unknown:
        return press, ()
    careful = Band(press.low, press.low, press.expected)
    return careful, (_unknown_force(unknown, press.low, calculators),)


def _unknown_force(unknown: list[str], force: float, calculators: Calculators) -> Finding:
    weak = next(field.fallback for field in calculators[BOLT].inputs if field.name == "tightened")
    thick = fallback(calculators, BOLT, "bolt")
    return Finding(
        id="hold-clamp-force-unknown", severity=Severity.WARN,
        says=f"the clamps' {' and '.join(unknown)} {'are' if len(unknown) > 1 else 'is'} not known; {force:.0f} N per "
        f"clamp is taken (where unknown: a {str(weak).replace('-', ' ')}, a bolt of {thick:g} mm, a weak hand)",
        mend="write knob and bolt_diameter into the machine's hold_down",
    )  # fmt: skip


def _no_press() -> Finding:
    return Finding(
        id="hold-clamp-force-unknown",
        severity=Severity.STOP,
        says="nothing is known of the force of a clamp, so none is counted",
        mend="write knob and bolt_diameter into the machine's hold_down, or a force beside each clamp of the job",
    )


def held_by(
    spots: Sequence[HoldDownSpot], board: Rect, press: Band, friction: Band, opened: float, scope: Scope,
    calculators: Calculators,
) -> Held:  # fmt: skip
    """The pads of a job's hold-downs. `opened` is the area in mm2 through which a vacuum loses air."""
    held, area_of_vacuum = Held(), sum(_area(spot) for spot in spots if spot.kind == "vacuum")
    sealed = max(0.0, 1 - opened / area_of_vacuum) if area_of_vacuum else 0.0
    for spot in spots:
        if spot.kind in CLAMPS:
            held.clamps.append(_standing(spot, board, press))
        elif spot.kind == "side-clamps":
            held.fixed.append(_side_clamp(spot, press, friction))
        elif spot.kind == "screws":
            _add_screw(held, spot, scope, calculators)
        elif corners(spot) is None:
            held.findings.append(_no_size(spot))
        elif spot.kind in TAPES:
            _add_tape(held, spot, board, scope, calculators)
        else:
            _add_vacuum(held, spot, board, sealed, scope, calculators)
    held.findings += _side_notes(spots)
    return held


def _standing(spot: HoldDownSpot, board: Rect, press: Band) -> Standing:
    pad = clamp(foot(spot, board), _own(spot, press))
    return Standing(pad=pad, box=spot.outline(), top=spot.height, name=spot.name or "")


def foot(spot: HoldDownSpot, board: Rect) -> Point:
    """Where a clamp presses: the middle of what of it lies over the board, its own middle where none does."""
    box = spot.outline()
    if box is None:
        return (spot.x, spot.y)
    x0, y0, x1, y1 = max(box[0], board.x0), max(box[1], board.y0), min(box[2], board.x1), min(box[3], board.y1)
    return ((x0 + x1) / 2, (y0 + y1) / 2) if x0 < x1 and y0 < y1 else (spot.x, spot.y)


def corners(spot: HoldDownSpot) -> tuple[Point, ...] | None:
    """The corners of an area, turned as the job says; None for unknown size."""
    if spot.size_x is None:
        return None
    wide, deep, turn = spot.size_x / 2, (spot.size_y or spot.size_x) / 2, math.radians(spot.angle)
    c, s = math.cos(turn), math.sin(turn)
    signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return tuple((spot.x + i * wide * c - j * deep * s, spot.y + i * wide * s + j * deep * c) for i, j in signs)


def _area(spot: HoldDownSpot) -> float:
    outline = corners(spot)
    return area(np.array(outline)) if outline else 0.0


def _own(spot: HoldDownSpot, press: Band) -> Band:
    return press if spot.force is None else exactly(spot.force)


def _side_clamp(spot: HoldDownSpot, press: Band, friction: Band) -> Pad:
    """It pushes the work against a fence: friction resists sliding along, and nothing is counted against lift."""
    force = _own(spot, press)
    grip = Band(*(f * m for f, m in zip(_ends(force), _ends(friction), strict=True)))
    return Pad(at=(spot.x, spot.y), grip=grip, kind="side clamp")


def _ends(band: Band) -> tuple[float, float, float]:
    return band.low, band.expected, band.high


def _add_screw(held: Held, spot: HoldDownSpot, scope: Scope, calculators: Calculators) -> None:
    force = screw_force(scope, calculators)
    pad = screw((spot.x, spot.y), *(force or (NONE, NONE)))
    # a screw whose height nobody wrote down is taken to be sunk, as the places offered for screws are
    held.screws.append(Standing(pad=pad, box=spot.outline(), top=spot.height or 0.0, name=spot.name or ""))
    if force is not None:
        held.fixed.append(pad)


def screw_force(scope: Scope, calculators: Calculators) -> tuple[Band, Band] | None:
    """What one screw holds sideways and upwards, N; None where no estimate covers it."""
    found = answer_of(calculators, SCREWS, scope, {})
    side, pull = as_number(found["sideways"]), as_number(found["allowed"])
    return (exactly(side), exactly(pull)) if found.covered and side is not None and pull is not None else None


def screw_notes(force: tuple[Band, Band] | None, calculators: Calculators) -> Iterator[Finding]:
    """What a screw is taken to hold and its caution, or that it is not counted."""
    if force is None:
        yield _screws_not_counted(calculators)
        return
    side, pull = force
    size, thread = (fallback(calculators, SCREWS, name) for name in ("diameter", "thread"))
    yield Finding(
        id="hold-screws-counted", severity=Severity.NOTE,
        says=f"a screw is counted at {side.low:.0f} N sideways and {pull.low:.0f} N upwards: {size:g} mm thick, with "
        f"{thread:g} mm of thread in the side grain of solid wood",
        mend=calculators[SCREWS].caution,
    )  # fmt: skip


def _screws_not_counted(calculators: Calculators) -> Finding:
    words = str(calculators[SCREWS].covers_words).split(".")[0]
    return Finding(
        id="hold-screws-not-counted",
        severity=Severity.NOTE,
        says=f"the screws are not counted; the estimate covers {words}",
        mend="they help, but what holds the board must be enough without them; pull one out yourself and see",
    )


def _no_size(spot: HoldDownSpot) -> Finding:
    return Finding(
        id="hold-area-unknown", severity=Severity.WARN,
        says=f"the {spot.kind.replace('-', ' ')} at ({spot.x:.0f}, {spot.y:.0f}) mm is of unknown size and not counted",
        mend="measure the area that holds and write size_x and size_y into the job",
    )  # fmt: skip


def _add_tape(held: Held, spot: HoldDownSpot, board: Rect, scope: Scope, calculators: Calculators) -> None:
    outline, shear = corners(spot), as_number(answer_of(calculators, TAPE, scope, {})["stress_use"])
    if outline is None or shear is None:
        return
    held.tapes.append(Zone(outline=outline, strength=exactly(shear)))
    held.fixed += tape(outline, exactly(shear), within=board.corners)


def _add_vacuum(
    held: Held, spot: HoldDownSpot, board: Rect, sealed: float, scope: Scope, calculators: Calculators
) -> None:
    outline, pressure = corners(spot), as_number(scope["hold_down.vacuum_pressure"])
    if outline is None:
        return
    if pressure is None:
        pressure = fallback(calculators, VACUUM, "pressure")
        held.findings.append(_gauge_unknown(pressure))
    strength = exactly(pressure * sealed)
    held.vacuums.append(Zone(outline=outline, strength=strength))
    held.fixed += vacuum(outline, strength, within=board.corners)


def _gauge_unknown(pressure: float) -> Finding:
    return Finding(
        id="hold-vacuum-unknown",
        severity=Severity.WARN,
        says=f"the gauge reading is not known; a poor one of {pressure:g} kPa is taken",
        mend="read the gauge with the board on and write vacuum_pressure into the machine's hold_down",
    )


def _side_notes(spots: Sequence[HoldDownSpot]) -> Iterator[Finding]:
    if any(spot.kind in TAPES for spot in spots):
        yield Finding(
            id="hold-tape-no-lift", severity=Severity.NOTE, says="tape is counted sideways only, not against lift",
            mend="use a down-cut or straight cutter, or hold the board down as well",
        )  # fmt: skip
    if any(spot.kind == "side-clamps" for spot in spots):
        yield Finding(
            id="hold-side-clamps", severity=Severity.NOTE,
            says="side clamps are counted by their friction alone, with a fence behind the board, and not against lift",
            mend="add something that presses down",
        )  # fmt: skip


def places_down(pads: Sequence[Pad]) -> list[Point]:
    """Where something presses or pulls the board down even at its weakest."""
    return [pad.at for pad in pads if pad.press.low + pad.pull.low > 0]
