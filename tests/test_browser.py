"""What a learner does in the browser, in real Chromium from file://."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from playwright.sync_api import expect

from generator.course import load_course
from tests.barriers import barriers
from tests.conftest import Visit
from tests.html import pages_of

pytestmark = pytest.mark.browser


def pick(visit: Visit, machine: str) -> None:
    visit.page.select_option("[data-machine-picker]", machine)


def visible_items(visit: Visit) -> set[str]:
    return set(
        visit.page.eval_on_selector_all("li[data-item]:not([hidden])", "items => items.map(i => i.dataset.item)")
    )


def test_no_page_asks_the_network_for_anything(visit: Visit, site: Path) -> None:
    """Every page opens from disk with no request that leaves it and no error in the console."""
    for path in pages_of(site):
        visit.open(path)
    assert visit.strays == []
    assert visit.errors == []


def test_search_works_from_disk(visit: Visit) -> None:
    """Typing a word finds pages without a server."""
    page = visit.open("index.html")
    page.click("[data-md-component=search-query]")
    page.keyboard.type("stepdown")
    page.wait_for_selector(".md-search-result__item")
    assert page.locator(".md-search-result__item").count() > 0
    assert visit.strays == []


def test_another_machine_changes_steps_and_numbers(visit: Visit) -> None:
    """Picking the hand-switched machine brings its own lines and takes the others away."""
    visit.open("checklists/pre-run.html")
    pick(visit, "heron")
    heron = visible_items(visit)
    pick(visit, "wren")
    wren = visible_items(visit)
    pick(visit, "bittern")
    bittern = visible_items(visit)

    assert "spindle-on" in wren - heron
    assert "homed" in heron - wren
    assert "gauge-read" in bittern - heron - wren
    assert "spindle-on" in bittern


def test_the_choice_of_machine_is_kept_from_page_to_page(visit: Visit) -> None:
    """A picked machine stays picked after a reload and on another page."""
    visit.open("index.html")
    pick(visit, "wren")
    page = visit.open("calculators/chip-load.html")
    assert page.input_value("[data-machine-picker]") == "wren"
    page.reload()
    assert page.input_value("[data-machine-picker]") == "wren"
    assert page.input_value('[name="stiffness"]') == "light"


def test_a_calculator_follows_its_fields(visit: Visit) -> None:
    """Twice the flutes, twice the feed, up to the machine's ceiling; out of range the field says so and no figure stands."""
    page = visit.open("calculators/chip-load.html")
    page.fill('[name="feed_ceiling"]', "20000")
    page.fill('[name="flutes"]', "1")
    one = page.inner_text('[data-output="feed"]')
    page.fill('[name="flutes"]', "2")
    two = page.inner_text('[data-output="feed"]')
    page.fill('[name="diameter"]', "500")

    assert one != two
    assert "Give a number from" in page.inner_text('[data-error="diameter"]')
    assert page.inner_text('[data-output="feed"]') == "–"


def test_reset_brings_the_machine_numbers_back(visit: Visit) -> None:
    """The reset button returns to what the machine's file says."""
    page = visit.open("calculators/chip-load.html")
    before = page.input_value('[name="diameter"]')
    page.fill('[name="diameter"]', "3")
    page.click("form[data-calculator] button[type=reset]")
    assert page.input_value('[name="diameter"]') == before


def test_an_edited_machine_is_kept_and_followed(visit: Visit) -> None:
    """What is changed on 'My machine' survives a reload and changes the checklist."""
    page = visit.open("my-machine.html")
    page.select_option('[name="spindle.switching"]', "by-hand")
    page.click("form[data-profile] button[type=submit]")
    page.reload()
    assert page.input_value('[name="spindle.switching"]') == "by-hand"
    assert page.input_value("[data-machine-picker]") == "mine"

    visit.open("checklists/pre-run.html")
    assert "spindle-on" in visible_items(visit)


def test_an_unknown_switch_shows_both_ways_with_if(visit: Visit) -> None:
    """A machine whose switching is unknown gets the hand-switched line too, with its condition said."""
    page = visit.open("my-machine.html")
    page.select_option('[name="spindle.switching"]', "")
    page.click("form[data-profile] button[type=submit]")
    page = visit.open("checklists/pre-run.html")

    item = page.locator('li[data-item="spindle-on"]')
    assert item.is_visible()
    assert "If you start the spindle yourself" in item.inner_text()


def test_a_saved_machine_is_accepted_by_the_build(visit: Visit, tmp_path: Path) -> None:
    """The file 'My machine' saves goes into machines/ of a workshop as it is, and opens again in the page."""
    page = visit.open("my-machine.html")
    page.fill('[name="machine.name"]', "Garage router")
    page.fill('[name="feed.max_xy"]', "1800")
    with page.expect_download() as download:
        page.click("[data-export]")
    (tmp_path / "machines").mkdir()
    saved = tmp_path / "machines" / "garage-router.json"
    download.value.save_as(saved)
    (tmp_path / "workshop.yml").write_text("name: My garage\n")

    course = load_course(tmp_path)
    assert course.view.machine.name == "Garage router"
    assert course.view.facts["feed.max_xy"] == 1800.0

    page.set_input_files("[data-import]", saved)
    expect(page.locator("[data-profile-status]")).to_contain_text("taken over")
    assert page.input_value('[name="feed.max_xy"]') == "1800"


def test_a_bad_machine_file_is_refused_with_all_its_faults(visit: Visit, tmp_path: Path) -> None:
    """Wrong units and impossible choices are listed together and nothing is taken over."""
    page = visit.open("my-machine.html")
    bad = tmp_path / "bad.json"
    bad.write_text(json.dumps({"name": "X", "spindle": {"switching": "by-magic", "max_speed": "fast"}}))
    page.set_input_files("[data-import]", bad)
    expect(page.locator("[data-profile-faults] li")).to_have_count(2)
    assert page.input_value("[data-machine-picker]") != "mine"


def test_a_quiz_explains_every_answer_and_remembers(visit: Visit) -> None:
    """A wrong answer is explained at once; all right answers pass the quiz."""
    page = visit.open("lessons/chip-load.html")
    quiz = page.locator("section[data-quiz]")
    form = quiz.locator('[data-form="A"]')
    first = form.locator("fieldset[data-question]").first
    wrong = first.locator(".os-option:not([data-right])").first
    wrong.locator("input").check()
    first.locator("[data-check]").click()
    assert wrong.locator(".os-why").is_visible()
    assert len(wrong.locator(".os-why").inner_text()) > 20


def test_ticks_of_a_checklist_are_kept_for_each_machine(visit: Visit) -> None:
    """A tick survives a reload and belongs to the machine it was made for."""
    page = visit.open("checklists/pre-run.html")
    pick(visit, "heron")
    box = page.locator("li[data-item]:not([hidden]) input[type=checkbox]").first
    box.check()
    page.reload()
    assert page.locator("li[data-item]:not([hidden]) input[type=checkbox]").first.is_checked()
    pick(visit, "wren")
    assert not page.locator("li[data-item]:not([hidden]) input[type=checkbox]").first.is_checked()


def test_the_keyboard_alone_reaches_and_works_everything(visit: Visit) -> None:
    """Tab reaches the picker, a field and a quiz option; focus is always visible."""
    page = visit.open("calculators/chip-load.html")
    reached = set()
    for _ in range(60):
        page.keyboard.press("Tab")
        tag, outline = page.evaluate(
            "() => { const e = document.activeElement, s = getComputedStyle(e);"
            " return [e.dataset.machinePicker !== undefined ? 'picker' : e.getAttribute('name') || e.tagName,"
            " s.outlineStyle !== 'none' || s.boxShadow !== 'none']; }"
        )
        reached.add(tag)
        if tag not in {"BODY", "HTML"}:
            assert outline, tag
    assert {"picker", "diameter", "flutes"} <= reached


@pytest.mark.parametrize("path", ["index.html", "lessons/chip-load.html", "calculators/chip-load.html",
                                  "checklists/pre-run.html", "my-machine.html", "sheets/dibber-board.html"])  # fmt: skip
def test_a_narrow_phone_needs_no_sideways_scrolling(path: str, visit: Visit) -> None:
    """At 320 px the page itself is never wider than the screen."""
    visit.page.set_viewport_size({"width": 320, "height": 640})
    page = visit.open(path)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


KINDS = ["index.html", "lessons/chip-load.html", "lessons/know-every-stop.html", "calculators/stepdown.html",
         "checklists/pre-run.html", "my-machine.html", "sheets/dibber-board-wren.html", "glossary.html", "sources.html",
         "rules.html", "materials.html", "cutters.html"]  # fmt: skip


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", KINDS)
def test_axe_finds_nothing_on_any_kind_of_page(path: str, scheme: str, visit: Visit) -> None:
    """WCAG 2.2 AA by axe-core, target size included, in the light and the dark scheme."""
    visit.page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    page = visit.open(path)
    assert barriers(page) == []


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_printed_list_has_the_lines_of_the_picked_machine(paper: str, visit: Visit, tmp_path: Path) -> None:
    """Print follows what is shown: the hand switch is on Wren's paper and not on Heron's; no menu is printed."""
    from pypdf import PdfReader

    texts = {}
    page = visit.open("checklists/pre-run.html")
    for machine in ("wren", "heron"):
        pick(visit, machine)
        page.pdf(path=tmp_path / f"{machine}.pdf", format=paper)
        texts[machine] = " ".join(
            " ".join(p.extract_text() for p in PdfReader(tmp_path / f"{machine}.pdf").pages).split()
        )
    assert "at your dial position" in texts["wren"]
    assert "at your dial position" not in texts["heron"]
    assert "Search" not in texts["wren"]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("job", ["dibber-board-wren", "dibber-board", "dibber-board-bittern"])
def test_a_setup_sheet_is_one_page(job: str, paper: str, visit: Visit, tmp_path: Path) -> None:
    """The set-up sheet fits one side of A4 and of Letter."""
    from pypdf import PdfReader

    page = visit.open(f"sheets/{job}.html")
    page.pdf(path=tmp_path / "sheet.pdf", format=paper)
    assert len(PdfReader(tmp_path / "sheet.pdf").pages) == 1
