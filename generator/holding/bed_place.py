"""Where the board lies on the bed, and what the bed offers for clamps there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from generator.finding import Finding, Severity
from generator.hold.given import Band, Point
from generator.hold.spots import ClampShape, CutterRoom, HoldDown, Rect
from generator.holding.cut_path import Cut
from generator.holding.hold_downs import CLAMPS
from generator.model.job import HoldDownSpot, Job
from generator.model.machine import Machine
from generator.model.spindle import WIDEST_NUT

# where slots or inserts are not known: bolts this far from the board's edge, all round it
FRAME = 20.0
# from the board's edge to the middle of a clamp's foot; half a strap's width further on the nose ends
BITE = 8.0
# how far a clamp nobody measured reaches over the board, and half its width (our proposal)
USUAL = (20.0, 12.0)


class Place(Struct, frozen=True, kw_only=True):
    """Board and bed in the board's frame, and what had to be assumed.

    bolts_known: the machine says where its slots or inserts are, and the job where the board lies among them.
    """

    board: Rect
    bed: Rect
    system: HoldDown
    clamp: ClampShape
    bolts_known: bool
    findings: tuple[Finding, ...]


def place_of(job: Job, machine: Machine, press: Band) -> Place | None:
    """The place of a job's board on its machine; None where the board's size is not known."""
    x, y = job.stock.size_x, job.stock.size_y
    if x is None or y is None:
        return None
    board, size, origin = Rect(0.0, 0.0, x, y), bed_size(machine), origin_of(job)
    unsure: list[str] = []
    if size is None:
        size = (x + 8 * FRAME, y + 8 * FRAME)
        unsure.append("the size of the bed")
    if origin is None:
        origin = ((size[0] - x) / 2, (size[1] - y) / 2)
        unsure.append("where the board lies on the bed")
    bed = Rect(-origin[0], -origin[1], size[0] - origin[0], size[1] - origin[1])
    kinds = kinds_of(job, machine)
    system = _system(kinds, machine, bed, sure=not unsure)
    if system is None:
        system = _all_round(board)
        unsure.append("where bolts can stand")
    bolts = bool(system.lines or system.points)
    system = replace(system, screws="screws" in kinds)
    return Place(
        board=board, bed=bed, system=system, clamp=_clamp_shape(job, machine, press, board),
        bolts_known=bolts and not unsure, findings=(_assumed(unsure),) if unsure and bolts else (),
    )  # fmt: skip


def bed_size(machine: Machine) -> tuple[float, float] | None:
    """Size of the bed in X and Y, that of the travel where nobody measured it; None where neither is known."""
    x, y = machine.bed.size_x or machine.travel.x, machine.bed.size_y or machine.travel.y
    return None if x is None or y is None else (x, y)


def origin_of(job: Job) -> Point | None:
    """The board's front-left corner on the bed."""
    zero, x, y = job.zero_in_stock(), job.zero.bed_x, job.zero.bed_y
    return None if zero is None or x is None or y is None else (x - zero[0], y - zero[1])


def travel_of(machine: Machine, origin: Point | None) -> Rect | None:
    """Where the cutter's middle can go, in the board's frame; None where that is not written down."""
    travel = machine.travel
    ends = (travel.start_x, travel.start_y, travel.x, travel.y)
    if origin is None or any(end is None for end in ends):
        return None
    x, y, wide, deep = (end or 0.0 for end in ends)
    return Rect(x - origin[0], y - origin[1], x - origin[0] + wide, y - origin[1] + deep)


def _assumed(unsure: Sequence[str]) -> Finding:
    return Finding(
        id="hold-bed-unknown", severity=Severity.WARN,
        says=f"not known: {', '.join(unsure)}; clamps are thought of wherever they would be wanted round the board",
        mend="measure the bed, its slots or inserts and the board's place, and write them into machine and job",
    )  # fmt: skip


def kinds_of(job: Job, machine: Machine) -> tuple[str, ...]:
    """The kinds of hold-down there are; where the machine does not say, those the job uses. Empty: nothing is known."""
    kinds = machine.hold_down.kinds
    return kinds if kinds is not None else tuple(spot.kind for spot in job.hold_downs or ())


def _system(kinds: Sequence[str], machine: Machine, bed: Rect, sure: bool) -> HoldDown | None:
    """Slots and inserts in the board's frame; None where they are there but nobody has written down where."""
    if not kinds and machine.hold_down.kinds is None:
        return None
    if not any(kind in CLAMPS for kind in kinds):
        return HoldDown()
    lines = tuple(_slots(machine, bed)) if "t-slots" in kinds or "v-grooves" in kinds else ()
    points = tuple(_inserts(machine, bed)) if "threaded-inserts" in kinds else ()
    return HoldDown(lines=lines, points=points) if sure and (lines or points) else None


def _slots(machine: Machine, bed: Rect) -> Iterator[tuple[Point, Point]]:
    hold = machine.hold_down
    if hold.slot_direction is None or not hold.slot_pitch or hold.slot_first is None:
        return
    if hold.slot_direction == "along-x":
        for y in _steps(bed.y0 + hold.slot_first, bed.y1, hold.slot_pitch):
            yield ((bed.x0, y), (bed.x1, y))
    else:
        for x in _steps(bed.x0 + hold.slot_first, bed.x1, hold.slot_pitch):
            yield ((x, bed.y0), (x, bed.y1))


def _inserts(machine: Machine, bed: Rect) -> Iterator[Point]:
    hold = machine.hold_down
    if not hold.insert_pitch or hold.insert_first_x is None or hold.insert_first_y is None:
        return
    for y in _steps(bed.y0 + hold.insert_first_y, bed.y1, hold.insert_pitch):
        for x in _steps(bed.x0 + hold.insert_first_x, bed.x1, hold.insert_pitch):
            yield (x, y)


def _steps(first: float, last: float, step: float) -> list[float]:
    return [float(value) for value in np.arange(first, last + 1e-9, step)]


def _all_round(board: Rect) -> HoldDown:
    ring = Rect(board.x0 - FRAME, board.y0 - FRAME, board.x1 + FRAME, board.y1 + FRAME).corners
    return HoldDown(lines=tuple(zip(ring, (*ring[1:], ring[0]), strict=True)))


def _clamp_shape(job: Job, machine: Machine, press: Band, board: Rect) -> ClampShape:
    """What a clamp of this job is like wherever it stands: as large as the largest the job has, else as usual."""
    spots = [spot for spot in job.hold_downs or () if spot.kind in CLAMPS]
    heights = [spot.height for spot in spots if spot.height is not None]
    # what stands on the board is what the cutter meets; the machine's usual height stands in where nobody measured it
    usual = machine.hold_down.clamp_height or max(heights, default=math.inf)
    top = max(heights) if heights and len(heights) == len(spots) else usual
    over = [reach for spot in spots if (reach := _over(spot, board)) is not None] or [USUAL]
    cover = max(far for far, _ in over)
    bite = min(BITE, cover / 2)
    half = max(half for _, half in over)
    return ClampShape(press=press, bite=bite, nose=cover - bite, top=top, half_width=half)


def _over(spot: HoldDownSpot, board: Rect) -> tuple[float, float] | None:
    """How far a clamp reaches in from the board's nearest edge, and half its width along it; None for one beside it."""
    box = spot.outline()
    if box is None:
        return USUAL
    if box[0] >= board.x1 or box[2] <= board.x0 or box[1] >= board.y1 or box[3] <= board.y0:
        return None
    across, along = (box[3] - box[1]) / 2, (box[2] - box[0]) / 2
    reaches = ((box[2] - board.x0, across), (board.x1 - box[0], across),
               (box[3] - board.y0, along), (board.y1 - box[1], along))  # fmt: skip
    return min(reaches)


def room_of(job: Job, machine: Machine, cuts: Sequence[Cut], thickest: float) -> CutterRoom:
    """What passes over the board: the widest cutter, and the nut as low as any cut takes it."""
    nut = machine.spindle.nut_diameter
    return CutterRoom(
        cutter_radius=max((cut.radius for cut in cuts), default=0.0),
        nut_radius=(WIDEST_NUT if nut is None else nut) / 2,
        nut_height=min((_nut_height(job, cut, thickest) for cut in cuts), default=math.inf),
    )  # fmt: skip


def _nut_height(job: Job, cut: Cut, thickest: float) -> float:
    """How high over the board's top the nut is at the bottom of a cut; unknown counts as low."""
    out = job.cutter_of(cut.operation).stick_out
    return -math.inf if out is None else out - (thickest if cut.operation.depth is None else cut.operation.depth)
