"""The first plan of a job: calculators run one after the other, each number with its reason."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from generator.calc import Answer, solve
from generator.expr import Scope, Value, evaluate, render_template
from generator.finding import Finding, Severity
from generator.model.calculator import Calculator
from generator.model.plan import JobFinding, Plan, PlanFigure, Step

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


def make_plan(plan: Plan, calculators: Mapping[str, Calculator], facts: Scope) -> FirstPlan:
    """The plan's numbers for these facts. Where a finding that refuses holds, every figure is unknown."""
    scope: dict[str, Value] = dict(facts)
    assumed: list[str] = []
    said: list[Finding] = []
    for step in plan.steps:
        answer = _run(step, calculators[step.calculator], scope)
        scope |= _outputs(step, calculators[step.calculator], answer)
        if answer is not None:
            assumed += [f"{step.name}.{name}" for name in answer.assumed]
            said += _advised(step, answer)
    refused = any(item.refuses and evaluate(item.when, scope) is True for item in plan.findings)
    findings = (*_job_findings(plan.findings, scope), *(() if refused else said))
    wanted = [figure for figure in plan.figures if figure.when is None or evaluate(figure.when, scope) is True]
    figures = tuple(_planned(figure, scope, refused) for figure in wanted)
    return FirstPlan(plan, figures, findings, scope, tuple(assumed), refused)


def _run(step: Step, calculator: Calculator, scope: Scope) -> Answer | None:
    if step.when is not None and evaluate(step.when, scope) is not True:
        return None
    given = {name: evaluate(node, scope) for name, node in step.given.items()}
    entered = {name: kept_in_range(calculator, name, value) for name, value in given.items() if value is not None}
    return solve(calculator, scope, entered)


def kept_in_range(calculator: Calculator, name: str, value: Value) -> Value:
    """A number taken to the nearest end of a field's range, which is where the estimate holds."""
    field = next(field for field in calculator.inputs if field.name == name)
    if isinstance(value, int | float) and field.min is not None and field.max is not None:
        return min(max(float(value), field.min), field.max)
    return value


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
