"""The first plan of a job: calculators run one after the other, each number with its reason."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from generator.calc import Answer, input_named, solve_known
from generator.expr import Scope, Value, evaluate, names, render_template
from generator.expr.template import show_value
from generator.facts import facts_of
from generator.finding import Finding, Severity
from generator.library import Library
from generator.model import Job, Machine, Workshop
from generator.model.calculator import Calculator, Input
from generator.model.cutter import Cutter
from generator.model.plan import JobFinding, Plan, PlanFigure, Step
from generator.units import show

FIRST_PLAN = "first-plan"


class Planned(Struct, frozen=True):
    """One number of the plan; `low` and `high` are None where the model has no band."""

    figure: PlanFigure
    value: Value
    low: Value
    high: Value
    why: str


class FirstPlan(Struct, frozen=True):
    """A plan for one job: its numbers, its findings, and whether it may be used at all.

    `scope` holds every step's outputs as `step.output`; `assumed` lists `step.input` where no fact was known.
    """

    plan: Plan
    figures: tuple[Planned, ...]
    findings: tuple[Finding, ...]
    scope: Mapping[str, Value]
    assumed: tuple[str, ...]
    refused: bool


class CutterPlan(Struct, frozen=True):
    """The plan of one cutter besides the main one: only what differs by cutter is told of it."""

    cutter: Cutter
    plan: FirstPlan

    @property
    def figures(self) -> dict[str, Planned]:
        """The numbers that are worked out for each cutter, by name."""
        found = (item for item in self.plan.figures if item.figure.each_cutter and item.value is not None)
        return {item.figure.name: item for item in found}


def plans_of_others(
    first: FirstPlan, library: Library, machine: Machine, job: Job, workshop: Workshop | None
) -> tuple[CutterPlan, ...]:
    """A plan for each cutter of the job's operations besides the main one, with the depths of its own operations."""
    found = []
    for cutter in job.other_cutters:
        facts = facts_of(machine, job.for_cutters([cutter]), workshop, library.materials)
        found.append(CutterPlan(cutter, make_plan(first.plan, library.calculators, facts)))
    return tuple(found)


def findings_of_others(first: FirstPlan, others: Sequence[CutterPlan]) -> list[Finding]:
    """What is found about the other cutters and not about the job or the main one, with the cutter's name."""
    known = {(finding.id, finding.says) for finding in first.findings}
    return [
        replace(finding, says=f"{other.cutter.called}: {finding.says}")
        for other in others
        for finding in other.plan.findings
        if (finding.id, finding.says) not in known
    ]


def make_plan(plan: Plan, calculators: Mapping[str, Calculator], facts: Scope) -> FirstPlan:
    """The plan's numbers for these facts. Where a finding that refuses holds, every figure is unknown."""
    scope: dict[str, Value] = dict(facts)
    assumed: list[str] = []
    said: list[Finding] = []
    without: set[str] = set()
    for step in plan.steps:
        calculator = calculators[step.calculator]
        asked = step.when is None or evaluate(step.when, scope) is True
        answer = _run(step, calculator, scope, without) if asked else None
        scope |= _outputs(step, calculator, answer)
        if answer is not None:
            assumed += [f"{step.name}.{name}" for name in answer.assumed]
            said += [*_advised(step, answer), *(one for one in _not_covered(calculator, answer) if one not in said)]
        if asked and not (answer and answer.covered):
            without.add(step.name)
    refused = any(item.refuses and evaluate(item.when, scope) is True for item in plan.findings)
    findings = (*_job_findings(plan.findings, scope), *(() if refused else said))
    wanted = [figure for figure in plan.figures if figure.when is None or evaluate(figure.when, scope) is True]
    figures = tuple(_planned(figure, scope, refused) for figure in wanted)
    return FirstPlan(plan, figures, findings, scope, tuple(assumed), refused)


def _run(step: Step, calculator: Calculator, scope: Scope, without: Collection[str]) -> Answer | None:
    """The step's answer; None where it hangs on one of the steps `without` an answer."""
    given = {name: evaluate(node, scope) for name, node in step.given.items()}
    missing = [node for name, node in step.given.items() if given[name] is None]
    if any(name.id.partition(".")[0] in without for node in missing for name in names(node)):
        return None
    return solve_known(calculator, scope, {name: value for name, value in given.items() if value is not None})


def _not_covered(calculator: Calculator, answer: Answer) -> list[Finding]:
    """Why a calculator has no figure though nothing it needs is unknown."""
    severity, why = Severity.WARN, f"it covers {calculator.covers_words}"
    if answer.outside:
        fields = [input_named(calculator, name) for name in answer.outside]
        severity, why = Severity.STOP, "; ".join(_beyond(field, answer[field.name]) for field in fields)
    elif calculator.covers is None or evaluate(calculator.covers, answer.scope) is not False:
        return []
    return [
        Finding(
            id=f"{calculator.id}-not-covered", severity=severity,
            says=f"'{calculator.title}' gives no figure: {why}.",
            mend="Check the numbers and their units. If they are right, take no figure from here; "
            "ask somebody who knows such cuts.",
        )
    ]  # fmt: skip


def _beyond(field: Input, value: Value) -> str:
    found = f"{field.label.lower()} is {show_value(value, field.unit, 4)}"
    if field.min is None or field.max is None:
        return found
    return f"{found}, and it takes {show(field.min, field.unit)} to {show(field.max, field.unit)}"


def _outputs(step: Step, calculator: Calculator, answer: Answer | None) -> dict[str, Value]:
    found: dict[str, Value] = {}
    for output in calculator.outputs:
        covered = answer is not None and answer.covered
        found[f"{step.name}.{output.name}"] = answer[output.name] if answer and covered else None
        if output.low is not None:
            low, high = answer.bands[output.name] if answer and covered else (None, None)
            found |= {f"{step.name}.{output.name}_low": low, f"{step.name}.{output.name}_high": high}
    return found


def _advised(step: Step, answer: Answer) -> list[Finding]:
    return [
        Finding(id=f"{step.calculator}-{advice.index + 1}", severity=Severity(advice.severity), says=advice.says,
                mend=f"See the calculator {step.calculator}.")
        for advice in answer.advice
    ]  # fmt: skip


def _job_findings(findings: tuple[JobFinding, ...], scope: Scope) -> list[Finding]:
    return [
        Finding(id=item.id, severity=Severity(item.severity), says=render_template(item.says, scope),
                mend=render_template(item.mend, scope), lesson=item.lesson or "")
        for item in findings
        if evaluate(item.when, scope) is True
    ]  # fmt: skip


def _planned(figure: PlanFigure, scope: Scope, refused: bool) -> Planned:
    if refused:
        return Planned(figure, None, None, None, "Not given: first mend what is said above.")
    low, high = (evaluate(node, scope) if node is not None else None for node in (figure.low, figure.high))
    return Planned(figure, evaluate(figure.value, scope), low, high, render_template(figure.why, scope))
