"""What sizes alone show to be wrong: cuts off the stock, stock off the bed, cuts where the machine cannot go. mm.

Said whether or not it can be worked out what holds the board.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from generator.finding import Finding, Severity
from generator.hold.given import Point
from generator.hold.kernel import Floats
from generator.hold.on_bed import beyond_travel, board_on_bed
from generator.hold.spots import Rect
from generator.holding.bed_place import bed_size, origin_of, travel_of
from generator.holding.cut_path import Cut, cuts_of, outlines_of
from generator.model.job import Job
from generator.model.machine import Machine
from generator.units import show_number

OFF_STOCK = "hold-path-outside-stock"
# Cuts whose shape is a piece or a hole: they are whole only where all of it lies in the stock. The others may run out
# over an edge, as a rebate or a surface does.
WHOLE = ("profile-outside", "profile-inside", "bore", "drill")
# The travel of a machine of which nobody wrote down where it starts is taken to begin this near the bed's edge, and to
# end as near to it (our proposal; more than a gantry's overhang on the machines we know).
AROUND_BED = 50.0


def sizes_findings(job: Job, machine: Machine) -> Iterator[Finding]:
    """One finding for each thing that cannot be, or hardly; what is not known gives none."""
    cuts = cuts_of(job)
    for cut in cuts:
        yield from _off_the_stock(cut, job)
    yield from _off_the_bed(job, machine)
    if cuts:
        yield from _out_of_reach(np.concatenate([cut.path for cut in cuts]), job, machine)


def _off_the_stock(cut: Cut, job: Job) -> Iterator[Finding]:
    """A shape that leaves the stock by more than the cutter's radius, or lies beside it as a whole."""
    points = np.concatenate(outlines_of(cut.operation.shape))
    known = job.cutter_diameter(cut.operation) is not None
    for axis, size in enumerate((job.stock.size_x, job.stock.size_y)):
        low, high = float(points[:, axis].min()), float(points[:, axis].max())
        if size is None:
            continue
        out = max(-low, high - size)
        piece_cut_off = cut.operation.kind in WHOLE and known and out > cut.radius
        if piece_cut_off or low >= size or high <= 0:
            yield _leaves("XY"[axis], cut, (low, high), size)


def _leaves(axis: str, cut: Cut, ends: tuple[float, float], size: float) -> Finding:
    out = max(-ends[0], ends[1] - size)
    return Finding(
        id=OFF_STOCK, severity=Severity.STOP,
        says=f"'{cut.operation.name}' leaves the stock by {_mm(out)} mm: in {axis} it goes from {_mm(ends[0])} to "
        f"{_mm(ends[1])} mm, and the stock from 0 to {_mm(size)} mm",
        mend="check the shape's place and size, the stock's size and the units of all three",
    )  # fmt: skip


def _off_the_bed(job: Job, machine: Machine) -> Iterator[Finding]:
    x, y, size = job.stock.size_x, job.stock.size_y, bed_size(machine)
    if x is None or y is None or size is None:
        return
    # with its place unknown a board is thought of in the middle of the bed, where it hangs over least
    across, deep = origin_of(job) or ((size[0] - x) / 2, (size[1] - y) / 2)
    yield from board_on_bed(Rect(0.0, 0.0, x, y), Rect(-across, -deep, size[0] - across, size[1] - deep))


def _out_of_reach(path: Floats, job: Job, machine: Machine) -> Iterator[Finding]:
    """Cuts wider than the travel, or at a place of the bed where the travel does not come."""
    wider = list(_wider_than_travel(path, machine))
    yield from wider
    origin = origin_of(job)
    if wider or origin is None:
        return
    travel = travel_of(machine, origin)
    yield from beyond_travel(path, travel) if travel is not None else _beside_the_bed(path, origin, machine)


def _wider_than_travel(path: Floats, machine: Machine) -> Iterator[Finding]:
    for axis, travel in enumerate((machine.travel.x, machine.travel.y)):
        wide = float(np.ptp(path[:, axis]))
        if travel is not None and wide > travel:
            yield Finding(
                id="hold-path-wider-than-travel", severity=Severity.STOP,
                says=f"the middle of the cutter goes over {_mm(wide)} mm in {'XY'[axis]}, and the machine travels "
                f"{_mm(travel)} mm",
                mend="check sizes, travel and their units; a part that is larger must be cut in more than one set-up",
            )  # fmt: skip


def _beside_the_bed(path: Floats, origin: Point, machine: Machine) -> Iterator[Finding]:
    beds, travels = (machine.bed.size_x, machine.bed.size_y), (machine.travel.x, machine.travel.y)
    starts = (machine.travel.start_x, machine.travel.start_y)
    for axis, (bed, travel, start) in enumerate(zip(beds, travels, starts, strict=True)):
        if travel is None:
            continue
        first = -AROUND_BED if start is None else start
        last = max(bed or 0.0, travel) + AROUND_BED if start is None else start + travel
        low, high = (float(end) + origin[axis] for end in (path[:, axis].min(), path[:, axis].max()))
        if low < first or high > last:
            yield _beside("XY"[axis], (low, high), (bed, travel))


def _beside(axis: str, ends: tuple[float, float], sizes: tuple[float | None, float]) -> Finding:
    bed = "" if sizes[0] is None else f", the bed is {_mm(sizes[0])} mm long there"
    return Finding(
        id="hold-path-beyond-travel", severity=Severity.STOP,
        says=f"in {axis} the middle of the cutter goes from {_mm(ends[0])} to {_mm(ends[1])} mm from the bed's edge"
        f"{bed}, and the machine travels {_mm(sizes[1])} mm",
        mend=f"check the board's place on the bed and its unit; if it is right, measure where the travel begins and "
        f"write start_{axis.lower()} into the machine's travel",
    )  # fmt: skip


def _mm(value: float) -> str:
    return show_number(value, "mm", 4)
