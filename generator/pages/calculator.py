"""Calculators: a page each, and the same block inside a lesson; worked and faded examples."""

from __future__ import annotations

from markupsafe import Markup
from msgspec import Struct

from generator.calc import Answer, formula_words, shown, solve, start_values, symbols, unit_of, worked_line
from generator.course import Course
from generator.expr import Value, to_mathml
from generator.expr.template import show_value
from generator.figures import Figure, draw
from generator.model.calculator import Calculator, Input, Output
from generator.model.lesson import Place
from generator.pages.live import Live
from generator.pages.page import Page, link, render
from generator.pages.script import page_script
from generator.pages.words import MARKS, OUTSIDE, SEVERITIES
from generator.units import UNITS, fixed


class Field(Struct, frozen=True):
    """An input as its page shows it."""

    input: Input
    value: str
    unit: str
    assumed: bool


class Row(Struct, frozen=True):
    """An output as its page shows it: value, band, formula, and the line worked with this machine's numbers."""

    output: Output
    symbol: Markup
    value: str
    band: str
    formula: Markup
    words: str
    worked: str


def calculator_pages(course: Course) -> list[Page]:
    """One page for each calculator."""
    return [_page(calculator, course) for calculator in course.library.calculators.values()]


def _page(calculator: Calculator, course: Course) -> Page:
    path = f"calculators/{calculator.id}.html"
    live = Live(course)
    html = render("calculator_page.html.j2", calculator=calculator, block=block(calculator, live),
                  course=course, to_lesson=_lesson_link(calculator, course, path), path=path, marks=MARKS, link=link,
                  units=UNITS, checked=[(example, _example_words(calculator, example.inputs),
                                         _example_words(calculator, example.expect))
                                        for example in calculator.examples])  # fmt: skip
    return Page(path=path, title=calculator.title, html=html, section="Calculators", script=page_script(live))


def _lesson_link(calculator: Calculator, course: Course, path: str) -> Markup:
    if calculator.lesson is None:
        return Markup("")
    title = course.library.lessons[calculator.lesson].head.title
    return Markup('<a href="{}">{}</a>').format(link(path, f"lessons/{calculator.lesson}.html"), title)


def block(calculator: Calculator, live: Live) -> Markup:
    """The live form of a calculator, complete without script for the default machine."""
    course = live.course
    live.calculators.add(calculator.id)
    answer = solve(calculator, course.view.facts)
    values, assumed = start_values(calculator, course.view.facts)
    fields = [Field(field, _field_text(values[field.name]), _unit_label(field.unit), field.name in assumed)
              for field in calculator.inputs]  # fmt: skip
    return render("calculator.html.j2", calculator=calculator, fields=fields, rows=rows(calculator, answer),
                  answer=answer, figure=_figure(calculator, live, answer), outside=OUTSIDE, severities=SEVERITIES,
                  advice=_advice(calculator, answer))  # fmt: skip


def _advice(calculator: Calculator, answer: Answer) -> list[tuple[str, str]]:
    """Severity and text for each advice in order; the text is empty where it does not apply now."""
    applying = {advised.index: advised.says for advised in answer.advice}
    return [(advice.severity, applying.get(index, "")) for index, advice in enumerate(calculator.advice)]


def _figure(calculator: Calculator, live: Live, answer: Answer) -> Markup:
    figure = live.course.library.figures.get(calculator.figure or "")
    if figure is None:
        return Markup("")
    live.figures.add(figure.id)
    return drawing(figure, answer)


def drawing(figure: Figure, answer: Answer) -> Markup:
    """The figure with the answer's numbers; nothing where the calculator does not cover them."""
    return Markup(draw(figure, answer.scope)) if answer.covered else Markup("")


def _field_text(value: Value) -> str:
    if isinstance(value, float):
        return fixed(value, 6).rstrip("0").rstrip(".")
    if isinstance(value, list | tuple):
        return ", ".join(_field_text(item) for item in value)
    return "" if value is None else str(value)


def _unit_label(tag: str) -> str:
    return UNITS[tag].label


def rows(calculator: Calculator, answer: Answer) -> list[Row]:
    """Every output as shown, in order."""
    return [_row(calculator, output, answer) for output in calculator.outputs]


def _row(calculator: Calculator, output: Output, answer: Answer) -> Row:
    words = formula_words(calculator, output)
    names = symbols(calculator)
    formula = Markup(to_mathml(names[output.name], output.expr, names, words))
    value = shown(output, answer[output.name]) if answer.covered else "–"
    return Row(
        output,
        _symbol(output),
        value,
        _band(output, answer),
        formula,
        words,
        worked_line(calculator, output, answer.scope) if answer.covered else "–",
    )


def _symbol(output: Output) -> Markup:
    """The output's letter with its index set low."""
    letter, _, index = output.symbol.partition("_")
    low = Markup("<sub>{}</sub>").format(index) if index else ""
    return Markup("<var>{}{}</var>").format(letter, low)


def _band(output: Output, answer: Answer) -> str:
    if output.name not in answer.bands or not answer.covered:
        return ""
    low, high = answer.bands[output.name]
    return f"{shown(output, low)} to {shown(output, high)}"


def _example_words(calculator: Calculator, values: object) -> str:
    pairs = values.items() if isinstance(values, dict) else ()
    return ", ".join(
        f"{_label(calculator, name)} {show_value(value, unit_of(calculator, name), 5)}" for name, value in pairs
    )


def _label(calculator: Calculator, name: str) -> str:
    named = {item.name: item.label for item in calculator.inputs} | {
        item.name: item.label for item in calculator.outputs
    }
    return named.get(name, name.replace("_", " ")).lower()


def worked(calculator: Calculator, live: Live, place: Place, path: str) -> Markup:
    """The steps with this machine's numbers; live in the browser."""
    live.calculators.add(calculator.id)
    answer = solve(calculator, live.facts)
    shown_rows = [row for row in rows(calculator, answer) if not place.only or row.output.name in place.only]
    indexes = {output.name: index for index, output in enumerate(calculator.outputs)}
    return render("worked.html.j2", calculator=calculator, rows=shown_rows, indexes=indexes, covered=answer.covered,
                  outside=OUTSIDE, there=link(path, f"calculators/{calculator.id}.html"))  # fmt: skip


def faded(calculator: Calculator, course: Course, place: Place) -> Markup:
    """The same steps with other numbers, the last `place.blank` left to the learner, answers in a fold."""
    entered: dict[str, Value] = {**place.given}
    answer = solve(calculator, course.view.facts, entered or _nudged(calculator, course))
    shown_rows = [row for row in rows(calculator, answer) if not place.only or row.output.name in place.only]
    given = [(field.label, show_value(answer[field.name], field.unit, 5)) for field in calculator.inputs
             if field.name in (entered or answer.scope) and field.kind in {"number", "text"}
             and answer[field.name] is not None]  # fmt: skip
    blank = min(place.blank or 1, len(shown_rows))
    return render("faded.html.j2", rows=shown_rows, blank=blank, given=given, calculator=calculator)


def _nudged(calculator: Calculator, course: Course) -> dict[str, Value]:
    """Other inputs for practice: the first number field moved by a quarter, kept in its range."""
    values, _ = start_values(calculator, course.view.facts)
    field = next((field for field in calculator.inputs if field.kind == "number"), None)
    if field is None or field.max is None or field.step is None:
        return {}
    value = min(field.max, round(float(values[field.name] or field.max) * 1.25 / field.step) * field.step)  # type: ignore[arg-type]
    return {field.name: value}
