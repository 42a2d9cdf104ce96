"""Calculators: inputs taken from the facts, outputs by expression, honest about what they do not cover."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from generator.expr import Scope, Value, evaluate, render_template, spoken
from generator.expr.spoken import render_words, render_worked
from generator.expr.template import show_value
from generator.facts import FACTS
from generator.model.calculator import Calculator, Constant, Input, Output
from generator.units import show


class Advised(Struct, frozen=True):
    """A sentence of advice that applies: its place among the calculator's advice, and its severity word."""

    index: int
    severity: str
    says: str


class Answer(Struct, frozen=True):
    """What a calculator gives for one scope.

    `scope` holds every value by name; `bands` the low and high of outputs that have them;
    `assumed` names the inputs that no fact gave, `outside` those whose known value their field does not take.
    Outside the model's range `covered` is false and the outputs must not be shown.
    """

    scope: dict[str, Value]
    bands: dict[str, tuple[Value, Value]]
    assumed: tuple[str, ...]
    covered: bool
    advice: tuple[Advised, ...]
    outside: tuple[str, ...] = ()

    def __getitem__(self, name: str) -> Value:
        return self.scope[name]


def start_values(calculator: Calculator, facts: Scope) -> tuple[dict[str, Value], tuple[str, ...]]:
    """Each input's first value from `facts`, clamped to nothing; and the names that fell back."""
    values: dict[str, Value] = {}
    assumed: list[str] = []
    for field in calculator.inputs:
        found = evaluate(field.default, facts) if field.default is not None else None
        if found is None or field.fault_in(found):
            if field.default is not None and field.fallback is not None:
                assumed.append(field.name)
            found = field.fallback
        values[field.name] = found
    return values, tuple(assumed)


def solve(calculator: Calculator, facts: Scope, entered: Mapping[str, Value] | None = None) -> Answer:
    """All outputs for this machine's `facts`, with `entered` values in place of the first ones.

    Raises ValueError naming the field where an entered value is out of its range.
    """
    values, assumed = start_values(calculator, facts)
    for name, value in (entered or {}).items():
        fault = input_named(calculator, name).fault_in(value)
        if fault:
            raise ValueError(f"{name}: {fault}")
        values[name] = value
    constants = {constant.name: constant.value for constant in calculator.constants}
    scope: dict[str, Value] = {**facts, **constants, **values}
    bands = _outputs_into(scope, calculator)
    covered = calculator.covers is None or evaluate(calculator.covers, scope) is True
    return Answer(scope, bands, tuple(name for name in assumed if name not in (entered or {})), covered,
                  _advice(calculator, scope) if covered else ())  # fmt: skip


def solve_known(calculator: Calculator, facts: Scope, entered: Mapping[str, Value]) -> Answer:
    """As `solve`, for numbers nobody looks at first: what is known and fits no field leaves every output unknown."""
    known = {field.name: _known(field, facts, entered) for field in calculator.inputs}
    outside = tuple(
        field.name for field in calculator.inputs if known[field.name] is not None and field.fault_in(known[field.name])
    )
    answer = solve(calculator, facts, {name: value for name, value in entered.items() if name not in outside})
    if not outside:
        return answer
    blank = {output.name: None for output in calculator.outputs}
    bands = dict.fromkeys(answer.bands, (None, None))
    assumed = tuple(name for name in answer.assumed if name not in outside)
    scope = {**answer.scope, **{name: known[name] for name in outside}, **blank}
    return replace(answer, scope=scope, bands=bands, assumed=assumed, outside=outside, covered=False, advice=())


def _known(field: Input, facts: Scope, entered: Mapping[str, Value]) -> Value:
    if field.name in entered:
        return entered[field.name]
    return evaluate(field.default, facts) if field.default is not None else None


def input_named(calculator: Calculator, name: str) -> Input:
    """The input called `name`. Raises ValueError where there is none."""
    for field in calculator.inputs:
        if field.name == name:
            return field
    raise ValueError(f"{calculator.id} has no field '{name}'")


def _outputs_into(scope: dict[str, Value], calculator: Calculator) -> dict[str, tuple[Value, Value]]:
    bands: dict[str, tuple[Value, Value]] = {}
    for output in calculator.outputs:
        scope[output.name] = evaluate(output.expr, scope)
        if output.low is not None and output.high is not None:
            bands[output.name] = evaluate(output.low, scope), evaluate(output.high, scope)
    return bands


def _advice(calculator: Calculator, scope: Scope) -> tuple[Advised, ...]:
    return tuple(
        Advised(index, advice.severity, render_template(advice.says, scope))
        for index, advice in enumerate(calculator.advice)
        if evaluate(advice.when, scope) is True
    )


def shown(output: Output, value: Value) -> str:
    """An output's value as shown, 'no answer' where there is none."""
    return "no answer" if value is None else show_value(value, output.unit, output.digits)


def unit_of(calculator: Calculator, name: str) -> str:
    """The unit tag of an input, constant, output or fact; '1' where there is none."""
    named: tuple[Input | Constant | Output, ...] = calculator.inputs + calculator.constants + calculator.outputs
    fact = FACTS[name].unit if name in FACTS else ""
    return next((item.unit for item in named if item.name == name), fact or "1")


def symbols(calculator: Calculator) -> dict[str, str]:
    """What stands for each name in a formula: its symbol, else its label."""
    given: tuple[Input | Constant, ...] = calculator.inputs + calculator.constants
    labels = {item.name: item.label.lower() for item in given}
    return labels | {output.name: output.symbol or output.label.lower() for output in calculator.outputs}


def formula_words(calculator: Calculator, output: Output) -> str:
    """The formula in words, with a symbol or label for each name."""
    names = symbols(calculator)
    words = render_words(spoken(output.expr), lambda name: names.get(name, name.replace(".", " ").replace("_", " ")))
    return f"{names[output.name]} = {words}"


def worked_line(calculator: Calculator, output: Output, scope: Scope) -> str:
    """The formula with this machine's numbers put in, and its result."""
    result = shown(output, scope[output.name])
    if output.kind != "number":
        return result
    sum_ = render_worked(spoken(output.expr), scope, lambda name: _worked_value(calculator, name, scope))
    return result if sum_ == result else f"{sum_} = {result}"


def _worked_value(calculator: Calculator, name: str, scope: Scope) -> str:
    value = scope[name]
    if isinstance(value, float):
        return show(value, unit_of(calculator, name), 4)
    return show_value(value, None)
