"""Scopes in which every figure must make sense: the demo machines, nothing known, and a calculator's draws."""

from __future__ import annotations

import zlib
from collections.abc import Iterator

from generator.calc import solve
from generator.course import Course
from generator.expr import Value, evaluate
from generator.facts import FACTS
from generator.figures import Figure
from generator.model.calculator import Calculator
from tests.draws import scopes as draws

Case = tuple[str, dict[str, Value]]


def calculator_of(figure: Figure, course: Course) -> Calculator | None:
    """The calculator that shows the figure, if one does."""
    return next((item for item in course.library.calculators.values() if item.figure == figure.id), None)


def shown_cases(figure: Figure, course: Course) -> Iterator[Case]:
    """What a learner meets first: each demo machine, with a calculator's starting values where one owns the figure."""
    calculator = calculator_of(figure, course)
    for id_, view in course.views.items():
        facts = dict(view.facts)
        yield id_, solve(calculator, facts).scope if calculator else facts


def all_cases(figure: Figure, course: Course, count: int) -> Iterator[Case]:
    """Those, nothing known at all, and `count` random draws of the calculator's inputs."""
    yield from shown_cases(figure, course)
    nothing: dict[str, Value] = dict.fromkeys(FACTS)
    yield "nothing known", nothing
    calculator = calculator_of(figure, course)
    if calculator is not None:
        for number, scope in enumerate(draws(calculator, count, seed=zlib.crc32(figure.id.encode()))):
            yield f"draw {number}", worked(calculator, nothing | scope)


def worked(calculator: Calculator, scope: dict[str, Value]) -> dict[str, Value]:
    """The scope with the calculator's constants and outputs."""
    scope |= {constant.name: constant.value for constant in calculator.constants}
    for output in calculator.outputs:
        scope[output.name] = evaluate(output.expr, scope)
    return scope
