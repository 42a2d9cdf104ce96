"""Random scopes for a calculator's expressions: inputs over their range, facts over theirs, gaps among both."""

from __future__ import annotations

import random
from collections.abc import Iterator

from generator.expr import Value, evaluate, names
from generator.facts import FACTS
from generator.model.calculator import Calculator, Input

UNKNOWN_SHARE = 0.05


def scopes(calculator: Calculator, count: int, seed: int) -> Iterator[dict[str, Value]]:
    """`count` scopes with inputs and the facts used, the same for the same seed."""
    chance = random.Random(seed)
    wanted = facts_used(calculator)
    for _ in range(count):
        scope: dict[str, Value] = {field.name: draw_input(field, chance) for field in calculator.inputs}
        scope |= {name: draw_fact(name, chance) for name in wanted}
        yield scope


def facts_used(calculator: Calculator) -> list[str]:
    """Facts that a calculator's outputs, cover and advice read directly."""
    nodes = [
        node for output in calculator.outputs for node in (output.expr, output.low, output.high) if node is not None
    ]
    nodes += [advice.when for advice in calculator.advice] + (
        [calculator.covers] if calculator.covers is not None else []
    )
    return sorted({name.id for node in nodes for name in names(node) if name.id in FACTS})


def draw_input(field: Input, chance: random.Random) -> Value:
    """A legal value: a range's ends and round steps as often as anything between."""
    if field.kind == "text":
        return chance.choice(field.choices)
    if field.kind in {"numbers", "texts"}:
        return None if chance.random() < UNKNOWN_SHARE else draw_list(field.kind, chance)
    if field.fallback is None and chance.random() < UNKNOWN_SHARE:
        return None
    return number_between(field.min or 0.0, field.max or 1.0, field.step or 0.0, chance)


def number_between(low: float, high: float, step: float, chance: random.Random) -> float:
    kind = chance.randrange(6)
    if kind == 0:
        return chance.choice((low, high))
    if kind <= 2 and step:
        return min(high, low + step * chance.randrange(int((high - low) / step) + 1))
    return chance.uniform(low, high)


def draw_list(kind: str, chance: random.Random) -> Value:
    if kind == "texts":
        return [str(position) for position in range(1, 7)]
    return sorted(float(chance.randrange(5000, 32000, 100)) for _ in range(6))


def draw_fact(name: str, chance: random.Random) -> Value:
    """A value the fact may have, unknown now and then."""
    spec = FACTS[name]
    if chance.random() < UNKNOWN_SHARE:
        return None
    if spec.kind == "bool":
        return chance.random() < 0.5
    if spec.kind == "text":
        return chance.choice(spec.choices) if spec.choices else "anything"
    if spec.kind == "number":
        return number_between(spec.low or 0.0, spec.high or 100.0, 0.0, chance)
    return draw_list(spec.kind, chance)


def results(calculator: Calculator, scope: dict[str, Value]) -> list[Value]:
    """Every output, band, cover and advice of the calculator in this scope, in a fixed order."""
    full = scope | {constant.name: constant.value for constant in calculator.constants}
    found: list[Value] = []
    for output in calculator.outputs:
        full[output.name] = evaluate(output.expr, full)
        found.append(full[output.name])
        found += [evaluate(node, full) for node in (output.low, output.high) if node is not None]
    if calculator.covers is not None:
        found.append(evaluate(calculator.covers, full))
    return found + [evaluate(advice.when, full) for advice in calculator.advice]
