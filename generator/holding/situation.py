"""Everything the holding engine is told about one job, gathered from job, machine and first plan."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from generator.finding import Finding, Severity
from generator.hold.given import NONE, Band, Load, Pad, Point, Setup
from generator.hold.kernel import Floats
from generator.hold.pads import clamp, screw
from generator.hold.spots import CutterRoom, ScrewShape
from generator.holding.bed_place import Place, kinds_of, place_of, room_of
from generator.holding.content_numbers import Wanted, as_number, wanted_of
from generator.holding.cut_path import Cut, cuts_of
from generator.holding.hold_downs import CLAMPS, Box, Held, Standing, held_by, press_of, screw_force, screw_notes
from generator.holding.loads import CutLoad, heaviest, loads_of, plan_load
from generator.holding.parts import opened_by
from generator.holding.sizes import sizes_findings
from generator.library import Library
from generator.model.job import Job
from generator.model.machine import Machine
from generator.plan import FirstPlan

# N from kg: standard gravity, General Conference on Weights and Measures, 1901
GRAVITY = 9.80665
CUBIC_METRES = 1e-9


class Situation(Struct, frozen=True, kw_only=True):
    """A job that can be worked out: `own` are the clamps to judge, `bare` is everything else that holds, with the load.

    loads: one for each cut; press: N of one hand-tightened clamp; screw: what one holds sideways and upwards, N, None
    where no estimate covers it; thickness: mm at the thinnest place; weight: N/mm2.
    """

    job: Job
    plan: FirstPlan
    library: Library
    wanted: Wanted
    place: Place
    cuts: tuple[Cut, ...]
    loads: tuple[CutLoad, ...]
    room: CutterRoom
    path: Floats
    held: Held
    press: Band
    screw: tuple[Band, Band] | None
    own: tuple[Standing, ...]
    bare: Setup
    thickness: float
    weight: float
    findings: tuple[Finding, ...]

    @property
    def pads(self) -> tuple[Pad, ...]:
        """The clamps to judge, as pads."""
        return tuple(one.pad for one in self.own)

    def body(self, one: Standing) -> Box:
        """The box that a clamp or screw is judged by: its own, else that of one like it in its place."""
        if one.box is not None:
            return one.box
        if one.pad.kind == "screw":
            (x, y), head = one.pad.at, self.screw_shape.head_radius
            return x - head, y - head, x + head, y + head
        return self.place.clamp.body(one.pad.at, self.place.board)

    def keep_out(self, one: Standing) -> float:
        """How far from the cutter's path it must stay, mm; one of unknown height meets the nut."""
        return self.room.keep_out(math.inf if one.top is None else one.top)

    @property
    def screw_shape(self) -> ScrewShape:
        """A screw through waste; one that is not counted holds nothing."""
        side, pull = self.screw or (NONE, NONE)
        return ScrewShape(lateral=side, withdrawal=pull)


class Loads(Struct, frozen=True):
    """The loads of a job's operations and of its plan; None where no estimate covers one."""

    main: CutLoad | None
    each: tuple[CutLoad | None, ...]

    @property
    def known(self) -> tuple[CutLoad, ...]:
        """Those that are known."""
        return tuple(load for load in self.each if load is not None)


def situation_of(
    job: Job, machine: Machine, plan: FirstPlan, library: Library, layout: Sequence[Point] | None = None
) -> Situation | tuple[Finding, ...]:
    """The situation of a job, with clamps at `layout` in place of its own; or what is missing to work it out."""
    press, cautions = press_of(plan.scope, plan.assumed, library.calculators)
    place = place_of(job, machine, press)
    loads = Loads(plan_load(plan.scope), loads_of(job, machine, plan, library))
    if place is None or plan.refused or loads.main is None or len(loads.known) < len(loads.each):
        return (*_missing(job, place, plan, loads), *sizes_findings(job, machine))
    cuts, wanted = cuts_of(job), wanted_of(library.calculators)
    spots, scope = job.hold_downs or (), plan.scope
    held = held_by(spots, place.board, press, wanted.friction, opened_by(cuts), scope, library.calculators)
    force = screw_force(scope, library.calculators)
    screws_only = place.system.screws and not set(CLAMPS) & set(kinds_of(job, machine))
    own = held.clamps
    if layout is not None:
        own = [_by_hand(at, place, press, force if screws_only else None) for at in layout]
    thick, thin = (as_number(scope[f"stock.thickness_{end}"]) or 0.0 for end in ("max", "min"))
    weight = thin * _density(job, library) * CUBIC_METRES * GRAVITY
    by_hand = layout is not None or any(spot.force is None for spot in spots if spot.kind in CLAMPS)
    by_hand = by_hand or bool(place.system.lines or place.system.points)
    return Situation(
        job=job, plan=plan, library=library, wanted=wanted, place=place, cuts=cuts, loads=loads.known, press=press,
        room=room_of(job, machine, cuts, thick), path=_path(cuts, place), held=held, screw=force,
        own=tuple(_pressing(one, place) for one in own),
        bare=_bare(held, place, heaviest(loads.known or (loads.main,)), wanted, thick, weight),
        thickness=thin, weight=weight,
        findings=(*place.findings, *sizes_findings(job, machine), *held.findings, *(cautions if by_hand else ()),
                  *_screws(job, place, force, library), *_left_open(job, layout)),
    )  # fmt: skip


def _screws(job: Job, place: Place, force: tuple[Band, Band] | None, library: Library) -> Iterator[Finding]:
    """What is said of screws where the job has some, or where some could be proposed."""
    if any(spot.kind == "screws" for spot in job.hold_downs or ()) or (place.system.screws and force is not None):
        yield from screw_notes(force, library.calculators)


def _pressing(one: Standing, place: Place) -> Standing:
    """A clamp whose foot stands beside the board holds nothing of it."""
    if place.board.holds(one.pad.at, -1e-6):
        return one
    return replace(one, pad=replace(one.pad, press=NONE, grip=NONE, pull=NONE))


def _by_hand(at: Point, place: Place, press: Band, force: tuple[Band, Band] | None) -> Standing:
    """What somebody wants to put at a place: a screw where its force is given, else a clamp."""
    if force is not None:
        return Standing(pad=screw(at, *force), top=0.0)
    return Standing(pad=clamp(at, press), top=place.clamp.top)


def _bare(held: Held, place: Place, load: CutLoad, wanted: Wanted, thick: float, weight: float) -> Setup:
    size = place.board.corners[2]
    return Setup(
        pads=tuple(held.fixed), load=Load(sideways=load.sideways, lift=load.lift, height=thick),
        bed_friction=wanted.friction, outline=place.board.corners, weight=weight * size[0] * size[1],
    )  # fmt: skip


def _path(cuts: Sequence[Cut], place: Place) -> Floats:
    """All cuts; where none is known the cutter may go anywhere on the board."""
    return np.concatenate([cut.path for cut in cuts]) if cuts else np.array(place.board.corners)


def _density(job: Job, library: Library) -> float:
    """kg/m3, the least it may be; what is not known weighs nothing."""
    material = library.materials.get(job.stock.material or "")
    if material is None or material.density is None:
        return 0.0
    return material.density.value if material.density.low is None else material.density.low


def _missing(job: Job, place: Place | None, plan: FirstPlan, loads: Loads) -> Iterator[Finding]:
    if place is None:
        yield Finding(
            id="hold-no-size", severity=Severity.STOP,
            says="nothing can be said about holding: the size of the board is not known",
            mend="measure it and write size_x and size_y into the job's stock",
        )  # fmt: skip
    if plan.refused:
        return
    unknown = [operation.name for operation, load in zip(job.operations, loads.each, strict=True) if load is None]
    if unknown or loads.main is None:
        yield Finding(
            id="hold-no-force",
            severity=Severity.STOP,
            says=f"nothing can be said about holding: no estimate covers the force of {_listed(unknown)}",
            mend="complete the cutter, or choose a feed and stepdown that the cutting-force page covers",
        )


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names) or "the cut"


def _left_open(job: Job, layout: Sequence[Point] | None) -> Iterator[Finding]:
    if not job.operations:
        yield Finding(
            id="hold-no-cuts", severity=Severity.WARN,
            says="the job lists no operations, so the cutter is taken to go anywhere on the board",
            mend="write the operations into the job",
        )  # fmt: skip
    if job.hold_downs is None and layout is None:
        yield Finding(
            id="hold-not-planned", severity=Severity.STOP, says="the job does not say what holds the board",
            mend="choose the hold-downs and write them into the job",
        )  # fmt: skip
