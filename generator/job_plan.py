"""What `onionskin plan` says: one job's first plan as plain data and as lines for a terminal."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from generator.calc import input_named
from generator.course import content_folders
from generator.errors import OnionskinError
from generator.expr import Value
from generator.expr.template import show_value
from generator.facts import facts_of
from generator.finding import Finding, gravest_first
from generator.holding import report
from generator.holding.answer import Holding, Unanswered, holding_of
from generator.holding.content_numbers import ASKED
from generator.library import Library
from generator.load_content import load_calculators, load_some
from generator.load_workshop import JobCase, Known, home_of_job, load_job
from generator.plan import FIRST_PLAN, CutterPlan, FirstPlan, Planned, findings_of_others, make_plan, plans_of_others

NEEDED = ("materials", "cutters", "plans")


class PlannedJob(Struct, frozen=True):
    """A job file with everything that was worked out for it."""

    case: JobCase
    library: Library
    facts: dict[str, Value]
    plan: FirstPlan
    others: tuple[CutterPlan, ...]
    holding: Holding | Unanswered

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Everything that was found, of the plan, of the other cutters and of the holding."""
        return (*self.plan.findings, *findings_of_others(self.plan, self.others), *self.holding.findings)


def plan_job(path: Path, layout: Sequence[tuple[float, float]] | None = None) -> PlannedJob:
    """The first plan of the job file at `path`, judged with clamps at `layout` (mm) where that is given.

    Raises InputFaults with every fault of the job and its workshop.
    """
    library = _library(content_folders(home_of_job(path)))
    case = load_job(path, Known(materials=library.materials, cutters=library.cutters))
    facts = facts_of(case.machine, case.job, case.home.workshop, library.materials)
    plan = make_plan(library.plans[FIRST_PLAN], library.calculators, facts)
    others = plans_of_others(plan, library, case.machine, case.job, case.home.workshop)
    holding = holding_of(case.job, case.machine, plan, library, layout)
    return PlannedJob(case, library, facts, plan, others, holding)


def _library(folders: Sequence[Path]) -> Library:
    """Content as far as a plan and its holding ask for it."""
    library = load_some(folders, NEEDED)
    used = ASKED | {step.calculator for step in library.plans[FIRST_PLAN].steps}
    return replace(library, calculators=load_calculators(folders, used))


def read_layout(text: str) -> list[tuple[float, float]]:
    """Places such as "10,50;350,200" as mm. Raises OnionskinError with what is wrong and how to write it."""
    found = []
    for item in text.split(";"):
        try:
            x, y = (float(number) for number in item.split(","))
        except ValueError:
            x = y = math.nan
        if not (math.isfinite(x) and math.isfinite(y)):
            raise OnionskinError(f"--layout: '{item.strip()}' is no place; write for example \"10,50;350,200\" (mm)")
        found.append((x, y))
    return found


def as_json(planned: PlannedJob) -> dict[str, Any]:
    """The plan as one document: a number or a band for each figure by its name, None where it is not given."""
    figures = {item.figure.name: _figure_json(item) for item in planned.plan.figures}
    return {
        "job": planned.case.job.name,
        "machine": planned.case.machine.name,
        **figures,
        "cutter": planned.case.job.main_cutter.id,
        "other_cutters": {
            other.cutter.id: {item.figure.name: _figure_json(item) for item in other.figures.values()}
            for other in planned.others
        },
        "tabs": _tabs_json(planned),
        **report.as_json(planned.holding),
        "refused": planned.plan.refused,
        "assumed": list(planned.plan.assumed),
        "reasons": {item.figure.name: item.why for item in planned.plan.figures},
        "warnings": [finding.as_json() for finding in planned.findings],
        "caution": planned.plan.plan.caution,
    }


def _figure_json(item: Planned) -> object:
    if item.value == item.low or item.figure.low is None:
        return _plain(item.value)
    return {"low": item.low, "expected": item.value, "high": item.high}


def _plain(value: Value) -> Value:
    """A count as a whole number, everything else as it is."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _tabs_json(planned: PlannedJob) -> dict[str, Value] | None:
    scope = planned.plan.scope
    if planned.plan.refused or scope["job.tabs"] is not True:
        return None
    names = ("needed", "height", "held", "enough")
    return {"count": scope["job.tab_count"], **{name: scope[f"tabs.{name}"] for name in names}}


def as_lines(planned: PlannedJob) -> Iterator[str]:
    """The plan for a terminal: numbers by group with band and reason, then what stands in their way."""
    plan = planned.plan
    job = planned.case.job
    whose = f", with {job.main_cutter.called}" if len(job.cutters) > 1 else ""
    yield f"{plan.plan.title}: {job.name} on {planned.case.machine.name}{whose}"
    yield from _figure_lines(plan.figures)
    for other in planned.others:
        yield f"\nWith {other.cutter.called}"
        yield from (f"  {item.figure.label}: {_shown(item)}" for item in other.figures.values())
    yield from report.as_lines(planned.holding)
    yield from ("", *(_told(finding) for finding in gravest_first(planned.findings)))
    if plan.assumed and not plan.refused:
        yield f"\nNot known, so careful values stand in: {'; '.join(_assumed(planned))}."
    yield f"\n{plan.plan.caution}"


def _figure_lines(figures: Sequence[Planned]) -> Iterator[str]:
    group = ""
    for item in figures:
        if item.value is None:
            continue
        if item.figure.group != group:
            group = item.figure.group
            yield f"\n{group}"
        yield f"  {item.figure.label}: {_shown(item)}"
        yield f"      {item.why}"


def _told(finding: Finding) -> str:
    lesson = f" See the lesson {finding.lesson}." if finding.lesson else ""
    return f"{finding.severity.upper():<5} {finding.says} {finding.mend}{lesson}"


def _assumed(planned: PlannedJob) -> list[str]:
    """The fields no fact filled, by their labels, each once."""
    steps = {step.name: planned.library.calculators[step.calculator] for step in planned.plan.plan.steps}
    named = (name.split(".") for name in planned.plan.assumed)
    return list(dict.fromkeys(input_named(steps[step], field).label.lower() for step, field in named))


def _shown(item: Planned) -> str:
    unit, digits = item.figure.unit, item.figure.digits
    value = show_value(item.value, unit, digits)
    if item.low is None or item.high is None:
        return value
    return f"{value} ({show_value(item.low, unit, digits)} to {show_value(item.high, unit, digits)})"
