"""Which names an expression of content may use, and of what kind each is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from generator.errors import near
from generator.expr import ExprError, Kind, Template, kind_of, template_names
from generator.facts import FACTS
from generator.model.calculator import Calculator


def fact_kinds() -> dict[str, Kind]:
    """Every fact by name."""
    return {name: spec.kind for name, spec in FACTS.items()}


def calculator_kinds(calculator: Calculator) -> dict[str, Kind]:
    """Facts, inputs, constants and outputs, as a calculator's last expression sees them."""
    kinds = fact_kinds()
    kinds |= {field.name: field.kind for field in calculator.inputs}
    kinds |= {constant.name: "number" for constant in calculator.constants}
    return kinds | {output.name: output.kind for output in calculator.outputs}


def figure_kinds(figure: str, calculators: Mapping[str, Calculator]) -> dict[str, Kind]:
    """Facts, and what every calculator that shows this figure gives it."""
    kinds = fact_kinds()
    for calculator in calculators.values():
        if calculator.figure == figure:
            kinds |= calculator_kinds(calculator)
    return kinds


def expression_fault(node: object, kinds: Mapping[str, Kind], wanted: Kind | None) -> str | None:
    """What is wrong with an expression used where `kinds` are known, None if nothing is."""
    try:
        found = kind_of(node, kinds)  # type: ignore[arg-type]
    except ExprError as fault:
        return f"{fault} (column {fault.column} of the expression)"
    return f"gives a {found} where a {wanted} is wanted" if wanted and found != wanted else None


def unknown_names(text: Template, kinds: Mapping[str, Kind]) -> Iterator[str]:
    """What is wrong with the names a text uses where `kinds` are known."""
    for name in template_names(text):
        if name.id not in kinds:
            yield f"'{name.id}' is not known here{near(name.id, kinds)}"
