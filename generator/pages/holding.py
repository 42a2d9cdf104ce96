"""A job's holding on a page: the bed from above, the verdict, and the clamps as a table."""

from __future__ import annotations

from collections.abc import Iterator

from markupsafe import Markup
from msgspec import Struct

from generator.course import Course, JobView
from generator.holding.answer import Holding, Unanswered, holding_of
from generator.holding.hold_downs import CLAMPS
from generator.holding.picture import Shown, best_layout, own_layout, picture
from generator.holding.report import bending_line, choice_lines, first_to_go, freed_line
from generator.holding.words import spot, times
from generator.model.job import Job
from generator.pages.page import render
from generator.plan import FIRST_PLAN, FirstPlan, make_plan
from generator.units import show_number

# Facts that only people read; no number depends on them.
WORDS = frozenset({"machine.id", "machine.name", "workshop.rules", "job.name", "job.purpose", "job.program"})


class Bed(Struct, frozen=True):
    """The picture of a job's bed, the layout it shows, the lines that go with it, and what could be better."""

    drawing: Markup
    shown: Shown
    words: tuple[str, ...]
    more: tuple[str, ...]
    key: str


class Worked(Struct, frozen=True):
    """What was worked out for one job of the course; `bed` is None where nothing can be drawn."""

    plan: FirstPlan
    found: Holding | Unanswered
    bed: Bed | None


def worked_jobs(course: Course) -> Iterator[tuple[JobView, Worked]]:
    """Every job with its plan, holding and bed.

    Jobs that differ in words alone are worked out once and come one after the other, whatever their order in the
    workshop, so that no answer has to be kept for later.
    """
    alike: dict[str, list[tuple[JobView, FirstPlan]]] = {}
    for view in course.jobs.values():
        plan = make_plan(course.library.plans[FIRST_PLAN], course.library.calculators, view.facts)
        alike.setdefault(_asked(view, plan), []).append((view, plan))
    for same in alike.values():
        view, plan = same[0]
        found = holding_of(view.job, view.machine, plan, course.library)
        bed = bed_of(found)
        yield from ((view, Worked(plan, found, bed)) for view, plan in same)


def _asked(view: JobView, plan: FirstPlan) -> str:
    """Everything the holding is worked out from, in one text, without the words that it never reads."""
    job = view.job.model_copy(update={"name": "", "machine": "", "purpose": None, "program": None})
    machine = view.machine.model_copy(update={"id": "", "name": ""})
    scope = {name: value for name, value in plan.scope.items() if name not in WORDS}
    return repr((job, machine, scope, plan.assumed, plan.refused))


def bed_of(found: Holding | Unanswered) -> Bed | None:
    """The bed with the job's own layout where it holds, else with the fewest clamps that would."""
    if isinstance(found, Unanswered):
        return None
    best = not found.holds and found.reached
    shown = best_layout(found) if best else own_layout(found)
    return Bed(Markup(picture(found, shown)), shown, bed_words(found), bed_more(found), picture_key(found))


def holding_block(job: Job, worked: Worked) -> Markup:
    """Picture, clamps in placing order, what else holds, and the verdict in words."""
    others: dict[str, list[str]] = {}
    for other in job.hold_downs or ():
        if other.kind not in CLAMPS:
            others.setdefault(other.kind, []).append(other.name or spot((other.x, other.y)))
    return render("holding.html.j2", bed=worked.bed, others=others, planned=bool(job.hold_downs))


def bed_words(found: Holding) -> tuple[str, ...]:
    """What a sheet says about holding, most important first."""
    held = f"Held {times(found.grip.margin.low)} against the hard cut, {times(found.needed)} wanted."
    bends = [f"{bending_line(found.bending[found.pull])}."] if found.pull in found.bending else []
    freed = [f"{freed_line(piece)}." for piece in found.freed]
    return (held, first_to_go(found), *freed, *bends)


def bed_more(found: Holding) -> tuple[str, ...]:
    """The fewest clamps that would do, and what a change would buy."""
    return tuple(f"{line}." for line in choice_lines(found))


def picture_key(found: Holding) -> str:
    """How to read the map."""
    needed = show_number(found.needed, "1")
    return (
        "Numbers on the lines: how many times the force of the cut is held there, at the weak end. Darker is weaker; "
        f"the thick line is the {needed} that is wanted. Dashed: the cutter's way, and beside it what must stay clear. "
        "Dotted rings: where else a clamp or a screw may stand. Cross and arrow: the weakest place and the push that "
        "does it."
    )
