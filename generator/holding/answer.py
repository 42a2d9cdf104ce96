"""One job's holding, whole: does its layout hold, what would, what holds each part as it comes free, what lifts."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from generator.finding import Finding
from generator.hold.bending import BendingAnswer, Pull, SheetStiffness, compare_pulls
from generator.hold.freeing import Freed, Sheet, freed
from generator.hold.given import Band, Load, Pad, Point, exactly
from generator.hold.grip import GripAnswer, grip
from generator.hold.layout import LayoutAnswer, LayoutReview, fewest_clamps, review
from generator.hold.spots import Spot, Spots, allowed_spots
from generator.hold.tabs import Strength
from generator.holding.content_numbers import answer_of, as_number, constant, fallback, graded_band
from generator.holding.hold_downs import places_down
from generator.holding.loads import FORCE, heaviest
from generator.holding.parts import pieces_of
from generator.holding.situation import Situation, situation_of
from generator.holding.words import as_findings, findings_of
from generator.library import Library
from generator.model.job import Job
from generator.model.machine import Machine
from generator.model.material import Graded
from generator.plan import FirstPlan

BETWEEN = "lift-between-clamps"


class Holding(Struct, frozen=True, kw_only=True):
    """What was worked out about holding one job.

    spots: where a clamp may stand; grip: of the layout judged; layout: the fewest clamps, also where none are needed;
    review: None without a clamp to judge; bending: by the pull of the cutter, `pull` being this job's.
    """

    situation: Situation
    spots: Spots
    grip: GripAnswer
    layout: LayoutAnswer
    review: LayoutReview | None
    freed: tuple[Freed, ...]
    bending: dict[Pull, BendingAnswer]
    pull: Pull
    findings: tuple[Finding, ...]

    @property
    def needed(self) -> float:
        """The margin wanted."""
        return self.situation.wanted.margin

    @property
    def holds(self) -> bool:
        """Whether the layout judged reaches the wanted margin at its weak end."""
        return self.grip.margin.low >= self.needed

    @property
    def reached(self) -> bool:
        """Whether some layout on the allowed spots does."""
        return self.layout.grip.margin.low >= self.needed


class Unanswered(Struct, frozen=True):
    """A job of which too little is known to say anything about holding."""

    findings: tuple[Finding, ...]


def holding_of(
    job: Job, machine: Machine, plan: FirstPlan, library: Library, layout: Sequence[Point] | None = None
) -> Holding | Unanswered:
    """Work out a job's holding; with `layout`, clamps at those places are judged in place of the job's own."""
    s = situation_of(job, machine, plan, library, layout)
    if not isinstance(s, Situation):
        return Unanswered(as_findings(s))
    pieces, pull = _freed(s), _pull(s)
    spots = _spots(s, pieces)
    counted = [spot for spot in spots.spots if spot.pad.press.low + spot.pad.grip.low > 0]
    reviewed = review(s.bare, s.pads, counted, s.path, cutter_radius=s.room.cutter_radius) if s.own else None
    judged = reviewed.grip if reviewed else grip(s.bare, s.path, s.room.cutter_radius)
    fewest = _fewest(s, counted, None if reviewed else judged)
    bends = _bending(s, (*s.bare.pads, *s.pads))
    found = findings_of(s, spots, judged, reviewed, fewest, pieces, bends.get(pull))
    return Holding(
        situation=s, spots=spots, grip=judged, layout=fewest, review=reviewed, freed=pieces, bending=bends, pull=pull,
        findings=found,
    )  # fmt: skip


def _spots(s: Situation, pieces: Sequence[Freed]) -> Spots:
    """Where a clamp or a screw may stand; screws go through waste, which there is only round a piece cut out."""
    if not s.cuts:
        return Spots(spots=(), findings=())
    waste = any(not piece.slug for piece in pieces)
    return allowed_spots(
        s.place.board, s.place.bed, s.place.system, s.path, s.room, s.place.clamp,
        s.screw_shape if waste else None, [piece.part.outline for piece in pieces], travel=s.place.travel,
    )  # fmt: skip


def _fewest(s: Situation, spots: Sequence[Spot], alone: GripAnswer | None) -> LayoutAnswer:
    """The fewest clamps; none where the other hold-downs do alone, or where there is nowhere to put one.

    `alone` is the grip without any clamp, where it is known already.
    """
    if s.bare.pads or not spots:
        alone = alone or grip(s.bare, s.path, s.room.cutter_radius)
        if alone.margin.low >= s.wanted.margin or not spots:
            return LayoutAnswer(
                count=0, positions=(), spots=(), exact=True, bound=0, needed=s.wanted.margin, grip=alone, findings=()
            )
    return fewest_clamps(s.bare, spots, s.path, s.wanted.margin, s.wanted.fewest, cutter_radius=s.room.cutter_radius)


def _freed(s: Situation) -> tuple[Freed, ...]:
    scope, calculators = s.plan.scope, s.library.calculators
    pieces = [pieces_of(cut, scope, calculators) for cut in s.cuts]
    loads = [load for load, found in zip(s.loads, pieces, strict=True) if found]
    if not loads:
        return ()
    most = heaviest(loads)
    sheet = Sheet(
        bed_friction=s.wanted.friction, strength=strength_of(s), tapes=tuple(s.held.tapes),
        vacuums=tuple(s.held.vacuums), weight_per_area=s.weight,
        pads=(*s.pads, *(pad for pad in s.bare.pads if pad.kind == "screw")),
    )  # fmt: skip
    # the last pass cuts no higher than its own depth above the bed
    load = Load(sideways=most.sideways, lift=most.lift, height=min(most.stepdown, s.thickness))
    return freed([part for found in pieces for part in found], sheet, load, s.wanted.margin)


def strength_of(s: Situation) -> Strength:
    """What tabs and skin of this job's material are made of."""
    material, calculators = s.library.materials.get(s.job.stock.material or ""), s.library.calculators
    return Strength(
        shear=_mean(material.shear_strength if material else None, fallback(calculators, "tabs", "shear")),
        bending=_mean(material.bending_strength if material else None, fallback(calculators, "tabs", "bending")),
        share=constant(calculators, "tabs", "share"),
    )


def _mean(graded: Graded | None, otherwise: float) -> Band:
    """The mean alone: the share that tabs count on already allows for its spread, as the tabs calculator does."""
    return exactly(otherwise if graded is None else graded.value)


def _pull(s: Situation) -> Pull:
    """The way this job's cutter pulls; one that does both cuts with its lower end first, which lifts."""
    kind = s.library.cutters.get(s.job.main_cutter.kind or "")
    pull = Pull.UP if kind is None else Pull(kind.pull)
    return Pull.UP if pull is Pull.BOTH else pull


def _bending(s: Situation, pads: Sequence[Pad]) -> dict[Pull, BendingAnswer]:
    """Lift between hold-downs by the pull of the cutter; empty where nothing holds the board down."""
    at = places_down(pads)
    if not at or not s.thickness or not s.loads:
        return {}
    material, load = s.library.materials.get(s.job.stock.material or ""), heaviest(s.loads)
    stiffness = graded_band(
        material.stiffness if material else None, fallback(s.library.calculators, BETWEEN, "stiffness")
    )
    limit = as_number(answer_of(s.library.calculators, BETWEEN, s.plan.scope, {"depth": load.stepdown})["limit"]) or 0.0
    sheet = SheetStiffness(stiffness=stiffness, thickness=s.thickness, width=min(s.place.board.corners[2]))
    helix = as_number(s.plan.scope["cutter.helix"]) or fallback(s.library.calculators, FORCE, "helix")
    return compare_pulls(at, s.path, load.edge, helix, sheet, limit)
