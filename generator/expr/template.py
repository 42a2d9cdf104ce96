"""Text with values in it: 'Set {{ speed : rpm }} or less.'"""

from __future__ import annotations

import json
import re

from msgspec import Struct

from generator.expr.evaluate import Scope, Value, evaluate
from generator.expr.javascript import to_js_function
from generator.expr.nodes import Name, Node, names
from generator.expr.parse import ExprError, parse
from generator.units import UNITS, show

_HOLE = re.compile(r"\{\{(.*?)\}\}", re.DOTALL)
UNKNOWN_WORDS = "not known yet"
# The tag of text shown letter by letter: a machine's name keeps its hyphens, a choice such as by-hand does not.
FREE_TEXT = "name"


class Hole(Struct, frozen=True):
    """A value in a text; `unit` None means text, or the unit its fact has."""

    node: Node
    unit: str | None
    digits: int | None


Template = tuple[str | Hole, ...]


def parse_template(text: str) -> Template:
    """The text and its holes. Raises ExprError with the column in `text`."""
    parts: list[str | Hole] = []
    end = 0
    for match in _HOLE.finditer(text):
        parts += [text[end : match.start()], _hole(match.group(1), match.start() + 2)]
        end = match.end()
    return tuple(part for part in [*parts, text[end:]] if part != "")


def _hole(inner: str, start: int) -> Hole:
    body, colon, tail = inner.rpartition(":")
    unit, _, digits = tail.strip().partition(" ")
    if colon and unit not in UNITS and unit != FREE_TEXT:
        raise ExprError(f"'{unit}' is not a unit tag", start + len(body) + 2)
    try:
        node = parse((body if colon else inner).strip())
    except ExprError as fault:
        raise ExprError(str(fault), start + fault.column) from None
    return Hole(node, unit if colon else None, int(digits) if digits.strip().isdigit() else None)


def template_names(template: Template) -> list[Name]:
    """Every name the template's holes use."""
    return [name for part in template if isinstance(part, Hole) for name in names(part.node)]


def show_value(value: Value, unit: str | None, digits: int | None = None) -> str:
    """A value as words; unknown values say so."""
    if value is None:
        return UNKNOWN_WORDS
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value if unit == FREE_TEXT else value.replace("-", " ")
    if isinstance(value, list | tuple):
        return ", ".join(show_value(item, unit, digits) for item in value) or "none"
    return show(float(value), unit or "1", digits)  # type: ignore[arg-type]


def render_template(template: Template, scope: Scope) -> str:
    """The text with its values, unescaped."""
    return "".join(
        part if isinstance(part, str) else show_value(evaluate(part.node, scope), part.unit, part.digits)
        for part in template
    )


def template_to_js(template: Template) -> str:
    """A JavaScript function of the scope that gives the same text."""
    body = " + ".join(['""', *(_part_js(part) for part in template)])
    return f"function(s){{return {body}}}"


def _part_js(part: str | Hole) -> str:
    if isinstance(part, str):
        return json.dumps(part)
    return f"X.say(({to_js_function(part.node)})(s), {json.dumps(part.unit)}, {json.dumps(part.digits)})"
