"""The same formula in Python and in Chromium: every expression of content, drawn ten thousand times."""

from __future__ import annotations

import json
import random
import zlib
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from generator.calc import solve, worked_line
from generator.course import Course
from generator.expr import FUNCTION_NAMES, evaluate, parse, render_template, to_js_function
from generator.facts import FACTS
from generator.load_content import content_folder, load_some
from generator.pages.live import Live
from generator.pages.script import course_script, page_script
from generator.units import UNITS, fixed, show
from tests.draws import draw_fact, results, scopes

DRAWS = 10_000
PRIMITIVES = Path(__file__).parent.parent / "site_assets" / "onionskin" / "primitives.js"
CALCULATORS = sorted(load_some([content_folder()], ["calculators"]).calculators)

# The browser gives the outputs of one calculator for many scopes, in the order of tests/draws.py.
RUN = """([id, scopes]) => {
  const spec = window.ONIONSKIN.calculators[id];
  return scopes.map((given) => {
    const s = Object.assign({}, given, spec.constants), found = [];
    spec.outputs.forEach((output) => {
      s[output.name] = output.value(s);
      found.push(s[output.name]);
      if (output.low) found.push(output.low(s));
      if (output.high) found.push(output.high(s));
    });
    if (spec.covers) found.push(spec.covers(s));
    spec.advice.forEach((advice) => found.push(advice.when(s)));
    return found;
  });
}"""


@pytest.fixture(scope="module")
def page(browser: Browser, course: Course) -> Iterator[Page]:
    """An empty page with the operators and the course's emitted functions."""
    context = browser.new_context()
    page = context.new_page()
    live = Live(course)
    live.calculators |= set(course.library.calculators)
    page.evaluate(PRIMITIVES.read_text(encoding="utf-8"))
    page.evaluate(page_script(live))
    page.evaluate(course_script(course))
    yield page
    context.close()


def same(ours: object, theirs: object) -> bool:
    """Equal values; numbers to 1e-12 of their size, since transcendental functions may end differently."""
    if isinstance(ours, float) and isinstance(theirs, int | float) and not isinstance(theirs, bool):
        return abs(ours - theirs) <= 1e-12 * max(abs(ours), abs(theirs))
    return ours == theirs


@pytest.mark.browser
@pytest.mark.parametrize("id_", CALCULATORS)
def test_browser_and_python_agree_on_every_output(id_: str, page: Page, course: Course) -> None:
    """Ten thousand draws of a calculator give the same outputs, bands, covers and advice on both sides."""
    calculator = course.library.calculators[id_]
    drawn = list(scopes(calculator, DRAWS, seed=zlib.crc32(id_.encode())))

    theirs = page.evaluate(RUN, [id_, drawn])

    for scope, found in zip(drawn, theirs, strict=True):
        ours = results(calculator, scope)
        wrong = [pair for pair in zip(ours, found, strict=True) if not same(*pair)]
        assert not wrong, (scope, wrong)


@pytest.mark.browser
def test_browser_and_python_agree_on_every_condition(page: Page, course: Course) -> None:
    """Every rule gives yes, no or unknown alike for ten thousand random machines in all."""
    chance = random.Random(7)
    rules = course.library.rules
    names = sorted({name for rule in rules.values() for name in _names(rule.when)})
    machines = [{name: draw_fact(name, chance) for name in names} for _ in range(DRAWS // len(rules) + 1)]
    script = "machines => machines.map(s => Object.values(window.ONIONSKIN.rules).map(rule => rule.when(s)))"

    theirs = page.evaluate(script, machines)

    ours = [[evaluate(rule.when, machine) for rule in rules.values()] for machine in machines]
    assert ours == theirs


def _names(node: object) -> list[str]:
    from generator.expr import names

    return [name.id for name in names(node)]  # type: ignore[arg-type]


@pytest.mark.browser
def test_every_function_agrees_on_random_numbers(page: Page) -> None:
    """Each function of the language gives the same double in both languages, traps and no-answers included."""
    chance = random.Random(11)
    edge = [0.0, -0.0, 1.0, -1.0, 0.5, 2.5, 1e-9, 1e9, -3.7, 1e308, 2.1, 0.7]
    forms = ["{f}(a)", "{f}(a, b)", "{f}(l)", "{f}(l, a)", "{f}(l, a, l)"]
    for function in FUNCTION_NAMES:
        node = None
        for form in forms:
            try:
                node = parse(form.format(f=function))
                evaluate(node, {"a": 1.0, "b": 1.0, "l": [1.0, 2.0]})
                break
            except (ValueError, TypeError, AttributeError):
                continue
        assert node is not None
        scopes_ = [{"a": chance.choice([*edge, chance.uniform(-50, 50)]), "b": chance.choice([*edge, chance.uniform(-5, 5)]),
                    "l": [chance.uniform(0, 9) for _ in range(3)]} for _ in range(500)]  # fmt: skip
        if function == "joined":
            continue
        theirs = page.evaluate(
            f"scopes => {{ const X = window.OnionskinX; return scopes.map({to_js_function(node)}); }}", scopes_
        )
        for scope, found in zip(scopes_, theirs, strict=True):
            assert same(evaluate(node, scope), found), (function, scope, evaluate(node, scope), found)


@pytest.mark.browser
def test_number_of_passes_survives_decimal_quotients(page: Page) -> None:
    """An exact multiple of the step needs exactly that many passes: 2.1 mm in steps of 0.7 mm is three, not four."""
    exact = [(round(step * 0.01 * count, 4), step * 0.01, count) for step in range(1, 400, 7) for count in range(1, 60)]
    node = parse("passes(depth, step)")

    ours = [evaluate(node, {"depth": depth, "step": step}) for depth, step, _ in exact]
    theirs = page.evaluate(f"draws => {{ const X = window.OnionskinX, run = {to_js_function(node)};"
                           " return draws.map(([depth, step]) => run({depth, step})); }", exact)  # fmt: skip

    assert ours == theirs == [float(count) for _, _, count in exact]


@pytest.mark.browser
def test_shown_numbers_are_the_same_text(page: Page) -> None:
    """Ties, tiny and huge numbers are written alike by Python and the browser, with and without significant figures."""
    chance = random.Random(3)
    numbers = [66.125, 2.5, 0.5, -0.5, 1e-7, 1e16, 5.0, 0.0, -0.001, 999.995, 123456.789, 1e21]
    numbers += [chance.uniform(-1, 1) * 10 ** chance.randrange(-6, 9) for _ in range(3000)]
    numbers += [chance.randrange(-10_000, 10_000) / 8 for _ in range(2000)]
    cases = [(number, tag, digits) for number in numbers for tag in ("mm", "rpm") for digits in (None, 2, 3)]

    theirs = page.evaluate("cases => cases.map(([v, tag, digits]) => window.OnionskinX.show(v, tag, digits))", cases)
    fixed_theirs = page.evaluate("numbers => numbers.map(v => window.OnionskinX.fixed(v, 2))", numbers)

    assert theirs == [show(*case) for case in cases]
    assert fixed_theirs == [fixed(number, 2) for number in numbers]


def test_every_unit_reaches_the_browser(course: Course) -> None:
    """The generated script carries the label and decimals of every unit tag."""
    script = course_script(course)
    assert all(json.dumps(unit.label) in script for unit in UNITS.values())


@pytest.mark.browser
@pytest.mark.parametrize("id_", CALCULATORS)
def test_worked_lines_and_advice_are_the_same_text(id_: str, page: Page, course: Course) -> None:
    """The steps with numbers put in, and every sentence of advice, read alike on both sides."""
    calculator = course.library.calculators[id_]
    chance = random.Random(5)
    scopes_ = []
    for view in course.views.values():
        for drawn in scopes(calculator, 20, seed=chance.randrange(10**6)):
            numbers = {name: value for name, value in drawn.items() if name not in FACTS}
            scopes_.append(dict(solve(calculator, view.facts, numbers).scope))
    script = """([id, scopes]) => scopes.map((s) => {
      const spec = window.ONIONSKIN.calculators[id];
      return spec.worked.map((line) => line(s)).concat(spec.advice.map((advice) => advice.says(s)));
    })"""

    theirs = page.evaluate(script, [id_, scopes_])

    for scope, found in zip(scopes_, theirs, strict=True):
        ours = [worked_line(calculator, output, scope) for output in calculator.outputs]
        ours += [render_template(advice.says, scope) for advice in calculator.advice]
        assert ours == found
