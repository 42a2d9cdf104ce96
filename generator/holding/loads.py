"""How hard each operation pushes and lifts: the plan's force, with the operation's own cutter and numbers."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from generator.calc import Answer
from generator.expr import Scope
from generator.facts import facts_of
from generator.hold.given import Band
from generator.holding.content_numbers import answer_of, as_number, band_at
from generator.library import Library
from generator.model.cutter import Cutter
from generator.model.job import Job, Operation
from generator.model.machine import Machine
from generator.plan import FirstPlan, make_plan

FORCE = "cutting-force"


class CutLoad(Struct, frozen=True, kw_only=True):
    """The force of one operation: sideways, lift and along the edge's path in N, the depth of a pass in mm."""

    sideways: Band
    lift: Band
    edge: Band
    stepdown: float


def loads_of(job: Job, machine: Machine, plan: FirstPlan, library: Library) -> tuple[CutLoad | None, ...]:
    """The load of each operation in order, None where no estimate covers it."""
    scopes = {cutter.id: _scope_for(cutter, job, machine, plan, library) for cutter in job.cutters}
    return tuple(_load(operation, scopes[operation.cutter], library) for operation in job.operations)


def heaviest(loads: Sequence[CutLoad]) -> CutLoad:
    """A load that no operation goes beyond."""
    return CutLoad(
        sideways=_most([load.sideways for load in loads]), lift=_most([load.lift for load in loads]),
        edge=_most([load.edge for load in loads]), stepdown=max(load.stepdown for load in loads),
    )  # fmt: skip


def plan_load(scope: Scope) -> CutLoad | None:
    """The load of the plan itself, None where it gives none."""
    sideways = band_at(scope, "force.force_xy_low", "force.force_xy", "force.force_high")
    lift = band_at(scope, "force.lift_low", "force.lift", "force.lift_high")
    edge, stepdown = (as_number(scope.get(name)) for name in ("force.tooth_force", "stepdown.stepdown"))
    if sideways is None or lift is None or edge is None or stepdown is None or not sideways.low:
        return None
    # the estimate's doubt is the same factor for every direction
    edges = sideways.times(edge / sideways.expected)
    return CutLoad(sideways=sideways, lift=lift, edge=edges, stepdown=stepdown)


def _scope_for(cutter: Cutter, job: Job, machine: Machine, plan: FirstPlan, library: Library) -> Scope | None:
    """The plan's scope as if this cutter were the main one; None where such a plan is refused."""
    if cutter.id == job.main_cutter.id:
        return None if plan.refused else plan.scope
    others = tuple(other for other in job.cutters if other.id != cutter.id)
    facts = facts_of(machine, job.model_copy(update={"cutters": (cutter, *others)}), None, library.materials)
    found = make_plan(plan.plan, library.calculators, facts)
    return None if found.refused else found.scope


def _load(operation: Operation, scope: Scope | None, library: Library) -> CutLoad | None:
    load = None if scope is None else plan_load(scope)
    own = (operation.feed, operation.speed, operation.stepdown)
    if load is None or scope is None or own == (None, None, None):
        return load
    stepdown = operation.stepdown or load.stepdown
    entered = {
        "feed": operation.feed or scope["chips.feed"], "speed": operation.speed or scope["chips.speed"],
        "depth": stepdown, "stepover": scope["cutter.diameter"],
    }  # fmt: skip
    return _from_answer(answer_of(library.calculators, FORCE, scope, entered), stepdown)


def _from_answer(answer: Answer, stepdown: float) -> CutLoad | None:
    names = {name: answer[name] for name in ("force_high", "lift_high", "tooth_force")}
    for output in ("force_xy", "lift"):
        low, high = answer.bands[output]
        names |= {f"{output}_low": low, output: answer[output], f"{output}_high": high}
    scope: Scope = {f"force.{name}": value for name, value in names.items()} | {"stepdown.stepdown": stepdown}
    return plan_load(scope) if answer.covered else None


def _most(bands: Sequence[Band]) -> Band:
    return Band(*(max(ends) for ends in zip(*((b.low, b.expected, b.high) for b in bands), strict=True)))
