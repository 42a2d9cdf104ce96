"""The data of the course for the browser: `course.js` for what all pages share, and a script a page for its own.

Functions are emitted at build; nothing is parsed or evaluated from text on the page.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence

from markupsafe import Markup
from msgspec.structs import asdict

from generator.calc import unit_of
from generator.course import Course
from generator.expr import Node, spoken, template_to_js, to_js_function
from generator.expr.spoken import Choice, Part
from generator.factspec import FactSpec
from generator.figures import figure_js, part_js, parts_of
from generator.model.base import DATES
from generator.model.calculator import Advice, Calculator, Input, Output
from generator.model.quantity import MISREAD
from generator.pages.assets import behaviours
from generator.pages.live import Live
from generator.pages.machine_facts import blank_facts, is_asked, machine_specs, may_be_copied, rules_together
from generator.pages.page import Page, link
from generator.units import UNITS


def course_script(course: Course) -> str:
    """What every page shares; takes in the page's own data, which stands before it."""
    data = _object(
        {
            "revision": _json(course.revision),
            "defaultMachine": _json(course.default),
            "machines": _object({id_: _machine(course, id_) for id_ in course.views}),
            "blank": _json(blank_facts(course)),
            "facts": _object({name: _fact(spec) for name, spec in machine_specs(course).items()}),
            "together": _json(list(rules_together())),
            "dates": _json(DATES),
            "misread": _json(MISREAD),
            "rules": _object({rule.id: _rule(rule.when, rule.words) for rule in course.library.rules.values()}),
        }
    )
    units = _json({tag: {"label": unit.label, "decimals": unit.decimals} for tag, unit in UNITS.items()})
    return f"""(function(X){{"use strict";Object.assign(X.units,{units});
var page=window.OnionskinPage?window.OnionskinPage(X):{{values:{{}},calculators:{{}},figures:{{}},parts:{{}}}};
window.ONIONSKIN=Object.assign({data},{{values:page.values,calculators:page.calculators}});
window.OnionskinDrawings={{figures:page.figures,parts:page.parts}};}})(window.OnionskinX);
"""


def page_script(live: Live) -> str:
    """One page's values, calculators and drawings as a function that waits for the operators."""
    library = live.course.library
    figures = live.figures | {library.calculators[id_].figure or "" for id_ in live.calculators}
    drawn = [library.figures[id_] for id_ in sorted(figures & set(library.figures))]
    parts = [library.parts[id_] for id_ in sorted(parts_of(drawn, library.parts))]
    data = _object(
        {
            "values": _object({id_: _value(js, unit, digits) for id_, js, unit, digits in live.emitted()}),
            "calculators": _object({id_: _calculator(library.calculators[id_]) for id_ in sorted(live.calculators)}),
            "figures": _object({figure.id: figure_js(figure) for figure in drawn}),
            "parts": _object({part.id: part_js(part) for part in parts}),
        }
    )
    return f'window.OnionskinPage=function(X){{"use strict";return {data};}};\n'


def own_script(path: str) -> str:
    """Where a page's own data lies in the site."""
    return f"onionskin/pages/{path.removesuffix('.html').replace('/', '-')}.js"


def own_script_tags(page: Page) -> Markup:
    """The elements that load a page's own data, before the shared scripts, and its own behaviours, after them."""
    data = (
        [Markup('\n<script src="{}"></script>').format(link(page.path, own_script(page.path)))] if page.script else []
    )
    after = [
        Markup('\n<script defer src="{}"></script>').format(link(page.path, name)) for name in behaviours(page.html)
    ]
    return Markup("").join([*data, *after])


def _json(value: object) -> str:
    """JSON that cannot end a script or start a comment in it."""
    return json.dumps(value, ensure_ascii=True, separators=(",", ":")).replace("<", "\\u003c")


def _object(entries: Mapping[str, str]) -> str:
    return "{" + ",".join(f"{_json(key)}:{text}" for key, text in entries.items()) + "}"


def _list(items: Iterable[str]) -> str:
    return "[" + ",".join(items) + "]"


def _machine(course: Course, id_: str) -> str:
    view = course.views[id_]
    return _json({"name": view.machine.name, "facts": view.facts})


def _fact(spec: FactSpec) -> str:
    entry = asdict(spec) | {"asked": is_asked(spec), "copied": may_be_copied(spec)}
    entry |= {"min": entry["low"], "max": entry["high"]}
    wanted = ("unit", "kind", "label", "choices", "min", "max", "dated", "longest", "whole", "asked", "copied")
    return _json({key: entry[key] for key in wanted if entry[key] not in ("", (), None) and entry[key] is not False})


def _rule(when: Node, words: str) -> str:
    return _object({"when": to_js_function(when), "words": _json(words)})


def _value(js: str, unit: str | None, digits: int | None) -> str:
    return _object({"value": js, "unit": _json(unit), "digits": _json(digits)})


def _calculator(calculator: Calculator) -> str:
    return _object(
        {
            "constants": _json({constant.name: constant.value for constant in calculator.constants}),
            "inputs": _list(_input(field) for field in calculator.inputs),
            "outputs": _list(_output(output) for output in calculator.outputs),
            "covers": to_js_function(calculator.covers) if calculator.covers is not None else "null",
            "advice": _list(_advice(advice) for advice in calculator.advice),
            "figure": _json(calculator.figure),
            "worked": _list(_worked(calculator, output) for output in calculator.outputs),
        }
    )


def _input(field: Input) -> str:
    start = to_js_function(field.default) if field.default is not None else "null"
    entry = {"name": field.name, "unit": field.unit, "kind": field.kind, "min": field.min, "max": field.max,
             "choices": field.choices, "fallback": field.fallback}  # fmt: skip
    return _object({key: _json(value) for key, value in entry.items()} | {"start": start})


def _output(output: Output) -> str:
    entry = {"name": output.name, "unit": output.unit, "kind": output.kind, "digits": output.digits}
    ends = {end: getattr(output, end) for end in ("low", "high")}
    functions = {"value": to_js_function(output.expr)}
    functions |= {end: to_js_function(node) if node is not None else "null" for end, node in ends.items()}
    return _object({key: _json(value) for key, value in entry.items()} | functions)


def _advice(advice: Advice) -> str:
    return _object({"when": to_js_function(advice.when), "says": template_to_js(advice.says)})


def _worked(calculator: Calculator, output: Output) -> str:
    """The worked line as a function: text, each name's value in its unit, and of every choice the side that applies."""
    result = f"X.result(s[{_json(output.name)}],{_json(output.unit)},{_json(output.digits)})"
    if output.kind != "number":
        return f"function(s){{return {result}}}"
    return f"function(s){{return X.line({_sum(calculator, spoken(output.expr))},{result})}}"


def _sum(calculator: Calculator, parts: Sequence[Part]) -> str:
    return "(" + " + ".join(['""', *(_part(calculator, part) for part in parts)]) + ")"


def _part(calculator: Calculator, part: Part) -> str:
    if isinstance(part, Choice):
        test = f"({to_js_function(part.test)})(s)===true"
        return f"({test}?{_sum(calculator, part.then)}:{_sum(calculator, part.other)})"
    return _json(part) if isinstance(part, str) else _named(calculator, part.id)


def _named(calculator: Calculator, name: str) -> str:
    return f"X.inSum(s[{_json(name)}],{_json(unit_of(calculator, name))})"
