"""A plan: calculators chained for one job, what it shows, and when it refuses."""

from __future__ import annotations

from pydantic import Field, model_validator

from generator.expr import Kind
from generator.model.base import Many
from generator.model.base import Slug as Id
from generator.model.calculator import Calculator
from generator.model.content import Content, Expr, SeverityWord, UnitTag, VarName, Words


class Step(Content):
    """One calculator of the chain; `given` maps its inputs to expressions over facts and earlier steps.

    A step's outputs are known to later ones as `name.output`, the ends of a band as `name.output_low`
    and `name.output_high`. Where `when` is not true the step is left out and its outputs stay unknown.
    """

    name: VarName
    calculator: Id
    given: dict[str, Expr] = Field(default_factory=dict)
    when: Expr | None = None


class PlanFigure(Content):
    """A number the plan shows where `when` holds, with the reason for it; with `each_cutter` for every cutter used."""

    name: VarName
    label: str
    value: Expr
    low: Expr | None = None
    high: Expr | None = None
    unit: UnitTag = "1"
    digits: int | None = None
    why: Words
    group: str
    when: Expr | None = None
    each_cutter: bool = False


class JobFinding(Content):
    """A finding about the job itself; with `refuses` no figure may be given while it holds."""

    id: Id
    when: Expr
    refuses: bool = False
    severity: SeverityWord
    says: Words
    mend: Words
    lesson: Id | None = None


class Plan(Content):
    """The whole chain."""

    id: Id
    title: str
    caution: str
    steps: Many[Step]
    figures: Many[PlanFigure]
    findings: Many[JobFinding]

    @model_validator(mode="after")
    def _names_once(self) -> Plan:
        for names in ([step.name for step in self.steps], [figure.name for figure in self.figures]):
            twice = {name for name in names if names.count(name) > 1}
            if twice:
                raise ValueError(f"'{min(twice)}' is used twice; give each its own name")
        return self


def step_kinds(step: Step, calculator: Calculator) -> dict[str, Kind]:
    """The names a step adds for later ones, and their kinds."""
    kinds: dict[str, Kind] = {}
    for output in calculator.outputs:
        kinds[f"{step.name}.{output.name}"] = output.kind
        if output.low is not None:
            kinds |= {f"{step.name}.{output.name}_low": output.kind, f"{step.name}.{output.name}_high": output.kind}
    return kinds
