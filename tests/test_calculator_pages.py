"""What a calculator's page shows where its estimate holds, and what it leaves out where it does not."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from playwright.sync_api import Page

from generator.calc import solve, start_values
from generator.course import Course
from generator.expr import parse
from generator.facts import FACTS
from generator.load_content import content_folder, load_some
from generator.pages.calculator import block
from generator.pages.lesson import figure
from generator.pages.live import Live
from tests.conftest import Visit

LIBRARY = load_some([content_folder()], ["calculators"])
DRAWN = sorted(id_ for id_, calculator in LIBRARY.calculators.items() if calculator.figure)
DRAWING = "<svg"
SPINDLES = [{"spindle.max_speed": 18000.0}, {"spindle.min_speed": 18000.0, "spindle.max_speed": 18000.0},
            {"spindle.min_speed": 11000.0, "spindle.max_speed": 27000.0},
            {"spindle.min_speed": 20000.0, "spindle.max_speed": 24000.0},
            {"spindle.min_speed": 3000.0, "spindle.max_speed": 9000.0}]  # fmt: skip


def nowhere(course: Course, id_: str) -> Course:
    """The course with a calculator that covers nothing."""
    library = course.library
    outside = library.calculators[id_].model_copy(update={"covers": parse("false")})
    return replace(course, library=replace(library, calculators={**library.calculators, id_: outside}))


@pytest.mark.parametrize("id_", DRAWN)
def test_a_page_draws_only_what_its_calculator_covers(id_: str, course: Course) -> None:
    """On every machine the drawing stands where the numbers do; with no figure there is no drawing and no alt text."""
    for machine in course.views:
        picked = replace(course, default=machine)
        calculator = course.library.calculators[id_]
        covered = solve(calculator, picked.view.facts).covered
        assert (DRAWING in block(calculator, Live(picked))) is covered, machine
    outside = nowhere(course, id_)
    assert DRAWING not in block(outside.library.calculators[id_], Live(outside))


@pytest.mark.parametrize("id_", DRAWN)
def test_a_lesson_draws_only_what_the_calculator_covers(id_: str, course: Course) -> None:
    """A calculator's drawing in a lesson gives way to a sentence where the estimate does not hold."""
    drawn = course.library.calculators[id_].figure or ""
    left_out = figure(drawn, Live(nowhere(course, id_)))
    assert DRAWING not in left_out
    assert "No drawing" in left_out


def test_screws_into_a_board_get_no_drawing(course: Course) -> None:
    """Screws into MDF have no formula, so no newton stands on the page, on any machine of the demo."""
    for machine in course.views:
        picked = replace(course, default=machine)
        html = block(picked.library.calculators["screws"], Live(picked))
        assert "data-outside>" in html
        assert DRAWING not in html


@pytest.mark.parametrize("id_", ["cutting-force", "removal-and-power", "which-knob", "spindle-tone"])
@pytest.mark.parametrize("spindle", SPINDLES)
def test_a_speed_starts_where_the_spindle_can_turn(id_: str, spindle: dict[str, float]) -> None:
    """A spindle with one fixed speed, a slow one and a fast one each get a first speed inside their range."""
    facts = {**dict.fromkeys(FACTS), **spindle}
    values, _ = start_values(LIBRARY.calculators[id_], facts)
    speed = values["expected" if id_ == "spindle-tone" else "speed"]
    assert isinstance(speed, float)
    assert spindle.get("spindle.min_speed", 0) <= speed <= spindle["spindle.max_speed"]


def test_the_unit_page_starts_with_a_slip_on_every_machine(course: Course) -> None:
    """A machine that counts in mm is shown an inch program, one in inches a mm program: never "multiplied by 1"."""
    machines = [view.facts for view in course.views.values()]
    machines += [{**dict.fromkeys(FACTS), "controller.units_default": unit} for unit in ("mm", "inch", "as-last-left")]
    for facts in (*machines, dict.fromkeys(FACTS)):
        factor = solve(LIBRARY.calculators["unit-slip"], facts)["factor"]
        assert factor in (25.4, pytest.approx(1 / 25.4))


@pytest.mark.parametrize(("through", "flatness", "depth"), [
    (False, 0.4, 12.0), (True, 0.4, 12.4), (True, 0.1, 12.3), (True, None, 12.3)])  # fmt: skip
def test_room_in_z_counts_what_a_through_cut_takes_of_the_board_below(
    through: bool, flatness: float | None, depth: float
) -> None:
    """The deepest cut of the Z budget is that of the through-cut page, not the bare thickness of the sheet."""
    facts = {**dict.fromkeys(FACTS), "job.depth": 12.0, "job.through": through, "bed.flatness": flatness,
             "stock.thickness_max": 12.0, "stock.thickness_min": 12.0, "stock.thickness_measured": True}  # fmt: skip
    deepest = solve(LIBRARY.calculators["z-budget"], facts)["deepest"]
    assert deepest == pytest.approx(depth)
    if through:
        programmed = solve(LIBRARY.calculators["through-cut"], facts)["depth"]
        assert deepest == pytest.approx(programmed)
        assert solve(LIBRARY.calculators["z-budget"], facts, {"depth": programmed})["deepest"] == deepest


@pytest.mark.browser
@pytest.mark.parametrize("id_", DRAWN)
def test_the_browser_takes_the_drawing_away_with_the_numbers(id_: str, visit: Visit) -> None:
    """Where a calculator turns out not to cover its fields, drawing and alt text go, and they come back with them."""
    page = visit.open(f"calculators/{id_}.html")
    form = f'form[data-calculator="{id_}"]'
    answers(page, id_, form, "true")
    assert page.locator(f"{form} svg").count() == 1

    answers(page, id_, form, "false")
    assert page.locator(f"{form} svg").count() == 0
    assert page.locator(f"{form} [data-outside]").is_visible()

    answers(page, id_, form, "true")
    assert page.locator(f"{form} svg").is_visible()
    assert visit.errors == []


def answers(page: Page, id_: str, form: str, covers: str) -> None:
    """Makes the calculator cover everything or nothing, and tells it that a field was changed."""
    page.evaluate(f"ONIONSKIN.calculators['{id_}'].covers = () => {covers}")
    page.eval_on_selector(f"{form} [name]", "e => e.dispatchEvent(new Event('input', {bubbles: true}))")


@pytest.mark.browser
def test_choosing_solid_wood_brings_the_drawing_of_screws(visit: Visit) -> None:
    """The page opens without one for a board, draws for solid wood, and empties again; a bad field hides it too."""
    page = visit.open("calculators/screws.html")
    drawing = page.locator("svg.onionskin-figure")
    assert drawing.count() == 0
    page.select_option('[name="into"]', "solid-wood")
    assert "\N{NO-BREAK SPACE}N against" in (drawing.get_attribute("aria-label") or "")
    page.fill('[name="count"]', "999")
    assert drawing.is_hidden()
    page.fill('[name="count"]', "4")
    assert drawing.is_visible()
    page.select_option('[name="into"]', "board")
    assert drawing.count() == 0


@pytest.mark.browser
def test_a_lesson_in_the_browser_loses_a_drawing_it_cannot_stand_by(visit: Visit) -> None:
    """The chip load drawing of its lesson goes when another machine lies outside the estimate, and comes back."""
    page = visit.open("lessons/chip-load.html")
    place = 'figure[data-figure-of="chip-load"]'
    assert page.locator(f"{place} svg").is_visible()
    page.evaluate("ONIONSKIN.calculators['chip-load'].covers = () => false")
    page.select_option("[data-machine-picker]", "wren")
    assert page.locator(f"{place} svg").count() == 0
    assert page.locator(f"{place} [data-outside]").is_visible()
    page.evaluate("ONIONSKIN.calculators['chip-load'].covers = () => true")
    page.select_option("[data-machine-picker]", "heron")
    assert page.locator(f"{place} svg").is_visible()
