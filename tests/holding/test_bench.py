"""The clamp bench in the browser: dragged, keyed and clicked, it says what Python says, and its exercises can be solved."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Page

from generator.course import demo_folder
from generator.hold.margin_map import MarginMap
from generator.holding.contours import contour, levels_for, region
from generator.holding.picture import own_layout
from tests.barriers import barriers
from tests.conftest import Visit
from tests.holding.make import JOBS, worked

BENCH = "bench/dibber-board.html"
REST = 400
FREE = "bench/dibber-board-bittern.html"
KINDS = ["bench/dibber-board.html", "bench/dibber-board-bittern.html", "clamp-bench.html"]

pytestmark = pytest.mark.browser


def opened(visit: Visit, path: str = BENCH) -> Page:
    page = visit.open(path)
    page.wait_for_function("document.querySelector('[data-bench-margin]').textContent !== ''")
    return page


def margin(page: Page) -> float:
    page.wait_for_timeout(REST)
    return float(page.inner_text("[data-bench-margin]").split()[0])


def clamps(page: Page) -> list[str]:
    """Where the clamps or tabs stand, as they are read out."""
    return [g.get_attribute("aria-label") or "" for g in page.query_selector_all("[data-layer=clamps] > g")]


def place(label: str) -> tuple[int, int]:
    found = re.search(r"\((-?\d+), (-?\d+)\)", label)
    assert found, label
    return int(found[1]), int(found[2])


def drag(page: Page, number: int, dx: float, dy: float) -> None:
    """Drag a clamp by its foot, in millimetres."""
    dot = page.locator("[data-layer=clamps] > g").nth(number).locator(".b-ring")
    dot.scroll_into_view_if_needed()
    box, data = dot.bounding_box(), scale(page)
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + dx * data / 2, y - dy * data / 2, steps=4)
    page.mouse.move(x + dx * data, y - dy * data, steps=4)
    page.mouse.up()


def scale(page: Page) -> float:
    """Screen pixels for each millimetre."""
    return float(page.evaluate(
        "() => { const root = document.querySelector('[data-bench]'), svg = root.querySelector('svg');"
        " return JSON.parse(root.dataset.bench).scale * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width; }"
    ))  # fmt: skip


def test_it_starts_with_the_job_s_own_layout_and_margin(visit: Visit) -> None:
    """The margin shown, rounded down, is that of the plan; the clamps stand where the job has them."""
    page, found = opened(visit), worked(demo_folder())
    assert margin(page) == pytest.approx(found.grip.margin.low, abs=0.11)
    assert sorted(place(label) for label in clamps(page)) == sorted(
        (round(x), round(y)) for x, y in (pad.at for pad in found.situation.pads)
    )
    assert not visit.errors


def test_a_dragged_clamp_moves_and_the_margin_follows(visit: Visit) -> None:
    """Dragged 100 mm along the board, a clamp goes to the nearest allowed place; the margin is Python's for it."""
    page = opened(visit)
    before = margin(page)
    x, y = place(clamps(page)[0])
    drag(page, 0, 0, 100)
    after = margin(page)
    moved = place(clamps(page)[0])
    allowed = [one.pad.at for one in worked(demo_folder()).spots.spots]
    nearest = min(allowed, key=lambda at: math.dist(at, (x, y + 100)))
    assert moved == (round(nearest[0]), round(nearest[1]))
    assert after != before
    again = worked(demo_folder(), layout=[place(label) for label in clamps(page)])
    assert after == pytest.approx(again.grip.margin.low, abs=0.15)


def test_the_words_follow_while_a_clamp_is_still_held(visit: Visit) -> None:
    """Before it is let go the verdict is that of the margin shown; what is read out aloud waits until all is at rest."""
    page = opened(visit)
    box = page.locator("[data-layer=clamps] > g").first.locator(".b-ring").bounding_box()
    assert box is not None
    said = page.inner_text("[data-bench-said]")
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y - 100 * scale(page), steps=5)
    page.wait_for_function("parseFloat(document.querySelector('[data-bench-margin]').textContent) < 2")
    assert page.inner_text("[data-bench-verdict]").startswith("Not enough")
    page.mouse.up()
    page.wait_for_timeout(REST)
    assert page.inner_text("[data-bench-said]") != said
    assert page.inner_text("[data-bench-verdict]") in page.inner_text("[data-bench-said]")


def test_the_numbers_of_the_disc_can_be_taken_hold_of(visit: Visit) -> None:
    """Grasped by its number, beside the board, a clamp stays where it is until it is really moved."""
    page = opened(visit)
    before = clamps(page)
    box = page.locator("[data-layer=clamps] > g").first.locator(".b-disc").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y + 75 * scale(page), steps=4)
    page.mouse.up()
    page.wait_for_timeout(REST)
    moved = place(clamps(page)[0])
    assert moved != place(before[0])
    assert moved[0] == 8


def test_the_part_s_view_speaks_of_tabs(visit: Visit) -> None:
    """What is said of clamps and their places is not said of tabs."""
    page = opened(visit)
    assert "nearest dotted ring" in page.inner_text("[data-bench]")
    page.check("[value=part]")
    page.wait_for_timeout(REST)
    assert "nearest dotted ring" not in page.inner_text("[data-bench]")
    assert "Tabs stay on the outline" in page.inner_text("[data-bench]")


def test_paper_has_the_picture_and_the_verdict_without_the_buttons(visit: Visit) -> None:
    """Printed, the bench leaves out what only a screen can use."""
    page = opened(visit)
    page.emulate_media(media="print")
    assert page.is_visible("[data-bench] svg")
    assert page.is_visible("[data-bench-verdict]")
    assert not page.is_visible("[data-bench-add]")
    assert not page.is_visible("[data-bench-force]")


def test_arrow_keys_and_buttons_move_without_dragging(visit: Visit) -> None:
    """Where no slots are, an arrow key moves the clamp that has the focus by 5 mm, with Shift by 1; the buttons move
    the chosen one."""
    page = opened(visit, FREE)
    page.click("[data-bench-add]")
    page.click("[data-bench-add]")
    page.wait_for_timeout(REST)
    first = page.locator("[data-layer=clamps] > g").first
    x, y = place(clamps(page)[0])
    first.focus()
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Shift+ArrowRight")
    page.wait_for_timeout(REST)
    assert place(clamps(page)[0]) == (x + 1, y + 5)
    page.click("[data-bench-next]")
    page.click("[data-nudge=ArrowLeft]")
    page.wait_for_timeout(REST)
    assert place(clamps(page)[0]) == (x + 1, y + 5)
    assert any(label.startswith("clamp 2") for label in clamps(page))


@pytest.mark.parametrize("machine", ["heron", "wren"])
def test_keys_step_from_one_allowed_place_to_the_next(machine: str, visit: Visit) -> None:
    """With slots or inserts every press ends on an allowed place, and by arrow keys alone each of them is reached."""
    page = opened(visit, f"bench/{JOBS[machine]}.html")
    allowed = {(round(one.pad.at[0]), round(one.pad.at[1])) for one in worked(demo_folder(), machine).spots.spots}
    page.locator("[data-layer=clamps] > g").first.focus()
    for key in ("ArrowUp", "ArrowRight", "ArrowDown", "ArrowLeft"):
        page.keyboard.press(key)
        page.wait_for_timeout(60)
        assert place(clamps(page)[0]) in allowed
    reached: list[list[float]] = page.evaluate(
        """() => { const spots = JSON.parse(document.querySelector('[data-bench]').dataset.bench).view.board.places;
        const met = [spots[0].foot], ways = [[1, 0], [-1, 0], [0, 1], [0, -1]];
        for (const from of met) for (const way of ways) {
          const next = OnionskinPlaces.stepped(spots, from, way);
          if (next && !met.includes(next.foot)) met.push(next.foot);
        }
        return met; }"""
    )
    assert {(round(x), round(y)) for x, y in reached} == allowed


def test_two_clamps_do_not_stand_in_one_place(visit: Visit) -> None:
    """A clamp dragged onto another stops at the nearest place that is free."""
    page = opened(visit)
    (x, y), (to_x, to_y) = (place(label) for label in clamps(page)[:2])
    drag(page, 0, to_x - x, to_y - y)
    page.wait_for_timeout(REST)
    feet = [place(label) for label in clamps(page)]
    assert feet[0] != (x, y)
    assert min(math.dist(feet[0], other) for other in feet[1:]) >= 24


def test_clamps_can_be_added_and_taken_away(visit: Visit) -> None:
    """A clamp more raises the margin, taking all but one away leaves nearly nothing, and none leaves an answer too."""
    page = opened(visit)
    before = margin(page)
    page.click("[data-bench-add]")
    assert margin(page) > before
    assert page.inner_text("[data-bench-count]") == "5 clamps"
    for _ in range(4):
        page.click("[data-bench-remove]")
    assert margin(page) < 0.5
    assert "Not enough" in page.inner_text("[data-bench-verdict]")
    page.click("[data-bench-remove]")
    assert margin(page) == 0
    page.click("[data-bench-restart]")
    assert margin(page) == before
    assert not visit.errors


def test_a_clamp_in_the_cutter_s_way_is_said(visit: Visit) -> None:
    """Dragged into the path a clamp is read out as standing in the cutter's way."""
    page = opened(visit, FREE)
    page.click("[data-bench-add]")
    page.wait_for_timeout(REST)
    drag(page, 0, 60, 60)
    page.wait_for_timeout(REST)
    assert "in the cutter's way" in clamps(page)[0]
    assert "in the cutter's way" in page.inner_text("[data-bench-verdict]")


def test_a_pull_measured_by_hand_takes_the_place_of_the_cut(visit: Visit) -> None:
    """A reading of 40 N is used as the force without lift: the pull at which it would move does not depend on it."""
    page = opened(visit)
    moves = []
    for reading in ("40", "80"):
        page.fill("[data-bench-force]", reading)
        page.wait_for_timeout(REST)
        moves.append(re.search(r"at ([\d.]+).N", page.inner_text("[data-bench-reading]")))
    assert moves[0] is not None
    assert moves[1] is not None
    assert float(moves[0][1]) == pytest.approx(float(moves[1][1]), rel=0.03)
    page.fill("[data-bench-force]", "-3")
    assert page.is_visible("[data-bench-force-error]")
    page.fill("[data-bench-force]", "")
    assert margin(page) == pytest.approx(worked(demo_folder()).grip.margin.low, abs=0.11)


def put(page: Page, targets: list[tuple[float, float]]) -> None:
    """Drag every clamp to its target."""
    for number, (tx, ty) in enumerate(targets):
        x, y = place(clamps(page)[number])
        drag(page, number, tx - x, ty - y)
        page.wait_for_timeout(60)


def begin(page: Page, name: str) -> None:
    page.click(f"[data-exercise={name}] button")
    page.wait_for_timeout(REST)


def state(page: Page, name: str) -> str:
    page.wait_for_timeout(REST)
    return page.inner_text(f"[data-exercise={name}] [data-exercise-state]")


def test_the_hinge_exercise_wants_two_clamps_on_one_side(visit: Visit) -> None:
    """Two clamps in opposite corners are not the answer, two beside each other on one side are."""
    page = opened(visit)
    begin(page, "hinge")
    for number in (3, 1):
        page.locator("[data-layer=clamps] > g").nth(number).focus()
        page.keyboard.press("Delete")
        page.wait_for_timeout(60)
    assert [place(label) for label in clamps(page)] == [(8, 8), (352, 252)]
    assert state(page, "hinge") != "Solved."
    put(page, [(8, 125), (8, 200)])
    assert state(page, "hinge") == "Solved."
    assert page.is_visible("[data-exercise=hinge] [data-exercise-why]")


@pytest.mark.parametrize("machine", ["heron", "wren"])
def test_the_corner_exercise_is_solved_by_the_layout_that_was_found(machine: str, visit: Visit) -> None:
    """As few clamps as were proved enough, at the places that were found, hold the whole cut."""
    found = worked(demo_folder(), machine)
    page = opened(visit, "bench/dibber-board.html" if machine == "heron" else "bench/dibber-board-wren.html")
    begin(page, "corner")
    assert state(page, "corner") != "Solved."
    put(page, list(found.layout.positions))
    assert state(page, "corner") == "Solved."


def test_the_part_exercise_is_solved_by_tabs_spread_round_it(visit: Visit) -> None:
    """Two tabs side by side do not hold the part; four, each added where there is most room, do."""
    page = opened(visit)
    begin(page, "part")
    assert page.inner_text("[data-bench-count]") == "2 tabs"
    assert state(page, "part") != "Solved."
    page.click("[data-bench-add]")
    page.click("[data-bench-add]")
    assert state(page, "part") == "Solved."


def test_tabs_stay_on_the_outline(visit: Visit) -> None:
    """A tab keyed or dragged moves along the part's edge and never off it."""
    page = opened(visit)
    page.check("[value=part]")
    page.wait_for_timeout(REST)
    page.locator("[data-layer=clamps] > g").first.focus()
    before = place(clamps(page)[0])
    page.keyboard.press("ArrowUp")
    page.wait_for_timeout(REST)
    assert place(clamps(page)[0]) == (before[0], before[1] + 5)
    drag(page, 0, 40, 60)
    page.wait_for_timeout(REST)
    x, y = place(clamps(page)[0])
    assert min(abs(x - 30), abs(x - 330), abs(y - 30), abs(y - 230)) <= 4


def test_a_pump_that_stops_takes_the_vacuum_away(visit: Visit) -> None:
    """On the vacuum bed the margin falls to nothing when the vacuum is no longer counted."""
    page = opened(visit, "bench/dibber-board-bittern.html")
    assert margin(page) > 2
    page.uncheck("[data-bench-areas]")
    assert margin(page) == 0


def test_map_and_lines_are_drawn_as_python_draws_them(visit: Visit) -> None:
    """For the same margins the browser's areas and lines are those of contours.py, number for number."""
    page, rng = opened(visit), np.random.default_rng(7)
    x, y = np.linspace(0, 300, 9), np.linspace(0, 200, 7)
    found = MarginMap(x, y, rng.uniform(0, 7, (7, 9)))
    levels = levels_for(2.0)
    shown = page.evaluate(
        """([margins, levels]) => { const map = { columns: 9, rows: 7, x0: 0, y0: 0, x1: 300, y1: 200, margins };
        const place = (x, y) => [x, y];
        return [OnionskinBenchMap.areas(map, levels, place), OnionskinBenchMap.lines(map, levels, 2, place)]; }""",
        [found.margin.ravel().tolist(), list(levels)],
    )

    def numbers(text: str) -> list[float]:
        return [float(n) for way in re.findall(r' d="([^"]*)"', text) for n in re.findall(r"-?[\d.]+", way)]

    def text(a: float, b: float) -> str:
        return f"{a:.1f} {b:.1f}"

    areas = [region(found, level, text) for level in (-np.inf, *levels)]
    pieces = [n for level in levels for piece in contour(found, level) for at in piece for n in at]
    assert numbers(shown[0]) == pytest.approx(
        [float(n) for way in areas for n in re.findall(r"-?[\d.]+", way)], abs=0.06
    )
    assert numbers(shown[1]) == pytest.approx(pieces, abs=0.06)


def test_the_bench_works_out_what_python_does(visit: Visit) -> None:
    """The numbers the page was given make the browser's kernel find the plan's margin, board and part alike."""
    page, found = opened(visit), worked(demo_folder())
    shown: Any = page.evaluate(
        """() => { const data = JSON.parse(document.querySelector('[data-bench]').dataset.bench);
        return ['board', 'part'].map(name => { const v = data.view[name];
          return OnionskinGrip.worst({ ...v.case, pads: [...v.others, ...v.areas, ...v.start] }, v.ring).margin; }); }"""
    )
    assert shown == pytest.approx([found.grip.margin.low, found.freed[0].grip.margin.low], rel=0.01)
    assert own_layout(found).grip is found.grip


@pytest.mark.parametrize("width", [320, 390])
@pytest.mark.parametrize("path", KINDS)
def test_it_fits_a_narrow_screen(path: str, width: int, visit: Visit) -> None:
    """Nothing has to be scrolled sideways at 320 and 390 px."""
    visit.page.set_viewport_size({"width": width, "height": 800})
    page = visit.open(path)
    page.wait_for_timeout(REST)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_finger_moves_a_clamp(visit: Visit, browser: Any, site: Path) -> None:
    """Touch drags a clamp to another place as the mouse does, and the clamp itself does not scroll the page."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    page.goto((site / BENCH).as_uri())
    page.wait_for_function("document.querySelector('[data-bench-margin]').textContent !== ''")
    dot = page.locator("[data-layer=clamps] > g").first.locator(".b-ring")
    dot.scroll_into_view_if_needed()
    box = dot.bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= 24
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    before = place(clamps(page)[0])
    scrolled = page.evaluate("window.scrollY")
    client = context.new_cdp_session(page)
    client.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    for step in (20, 40, 60):
        client.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": x, "y": y - step}]})
    client.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    page.wait_for_timeout(REST)
    assert place(clamps(page)[0])[1] > before[1]
    assert page.evaluate("window.scrollY") == scrolled
    context.close()


def test_without_script_the_page_is_whole(browser: Any, site: Path) -> None:
    """Picture, table of clamps, verdict and exercises are there; nothing that needs script is shown."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((site / BENCH).as_uri())
    assert page.is_visible("[data-bench] svg [data-layer=map]")
    assert "350, 200" in page.inner_text("main table")
    assert "Held 2.1 times" in page.inner_text("main")
    assert page.is_visible("[data-exercise=hinge]")
    assert not page.is_visible("[data-bench-add]")
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", KINDS)
def test_axe_finds_nothing(path: str, scheme: str, visit: Visit) -> None:
    """WCAG 2.2 AA by axe-core, target size included, in the light and the dark scheme."""
    visit.page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    page = visit.open(path)
    page.wait_for_timeout(REST)
    assert barriers(page) == []
