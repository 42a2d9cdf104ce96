"""Sheets to hang up, hand out and fill in: one page of paper each, readable in grey, and stale ones can be told."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from generator.course import Course, demo_folder, load_course
from generator.pages.build import build_site
from generator.pages.cutter_cards import LOG_ROWS, boxes, collet_words
from generator.pages.emergency import PATH as WALL_CARD
from generator.pages.emergency import proved
from generator.pages.fill_in import fill_in_path
from generator.stop_map import STOPS, stop_map_of
from tests.barriers import barriers
from tests.conftest import Visit
from tests.html import Read

MACHINES = ("wren", "heron", "bittern")
POINTS = [
    "before-power",
    "before-tool-moves",
    "before-first-plunge",
    "after-cutter-change",
    "before-reaching-in",
    "leaving",
]
FOLLOWING = [
    WALL_CARD,
    *(fill_in_path(name) for name in ("zero-passport", "visitors", "roles", "watch-plan", "risk-assessment")),
]
OF_ONE = ["cards/drawer-heron.html", "cards/drawer-wren.html", "cards/cutters-dibber-board.html",
          "cards/cutters-dibber-board-bittern.html"]  # fmt: skip
PX_OF_PT = 96 / 72


def pages_of_pdf(page: Page, path: Path, paper: str) -> list[str]:
    from pypdf import PdfReader

    page.pdf(path=path, format=paper)
    return [" ".join(found.extract_text().split()) for found in PdfReader(path).pages]


@pytest.fixture(scope="module")
def shop(browser: Browser, site: Path) -> Iterator[Visit]:
    """One visit for the tests that only look."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    context.set_default_timeout(10_000)
    yield Visit(context, site)
    context.close()


def pick(visit: Visit, machine: str) -> None:
    visit.page.select_option("[data-machine-picker]", machine)


def keep_nothing_known(visit: Visit) -> None:
    """A machine of one's own of which only the name is known."""
    page = visit.open("my-machine.html")
    for field in page.query_selector_all("form[data-profile] select"):
        field.select_option("")
    for field in page.query_selector_all("form[data-profile] input[type=checkbox]:checked"):
        field.uncheck()
    page.click("form[data-profile] button[type=submit]")
    page.wait_for_function("document.querySelector('[data-machine-picker]').value === 'mine'")


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("machine", MACHINES)
@pytest.mark.parametrize("path", FOLLOWING)
def test_a_sheet_is_one_page_for_every_machine(
    path: str, machine: str, paper: str, shop: Visit, tmp_path: Path
) -> None:
    """One side of A4 and of Letter, with the machine's name, the code of the sheet and its last line."""
    page = shop.open(path)
    pick(shop, machine)
    found = pages_of_pdf(page, tmp_path / "sheet.pdf", paper)
    assert len(found) == 1
    assert f"For {machine.capitalize()} at Millrace" in found[0]
    assert re.search(r"sheet [0-9a-f]{8}\. Printed on", found[0])
    assert "follow the stricter" in found[0]


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("point", POINTS)
def test_each_pause_point_has_a_page_of_its_own(point: str, paper: str, shop: Visit, tmp_path: Path) -> None:
    """The items of that point and of no other, on one side, with the rules, the stops and its own code."""
    page = shop.open(f"checklists/pre-run-{point}.html")
    pick(shop, "wren")
    found = pages_of_pdf(page, tmp_path / "point.pdf", paper)
    assert len(found) == 1
    assert page.locator(".os-point").count() == 1
    assert re.search(r"sheet [0-9a-f]{8}\. Printed on", found[0])
    assert "Rules of this workshop" in found[0]
    assert "Stop map of Wren" in found[0]


@pytest.mark.browser
def test_ticks_of_a_point_alone_are_those_of_the_list(visit: Visit) -> None:
    """A tick on the page of one point stands in the whole list, and leaves the ticks of other points alone."""
    page = visit.open("checklists/pre-run.html")
    first, second = page.locator(".os-point").nth(0), page.locator(".os-point").nth(1)
    second.locator(".os-tick:visible").first.check()
    page = visit.open("checklists/pre-run-before-power.html")
    assert page.locator(".os-tick:checked").count() == 0
    page.locator(".os-tick:visible").first.check()
    page = visit.open("checklists/pre-run.html")
    assert [first.locator(".os-tick:checked").count(), second.locator(".os-tick:checked").count()] == [1, 1]


def test_the_risk_assessment_has_a_line_for_every_hazard(course: Course) -> None:
    """The page to fill in names each hazard of the register once and leads to it."""
    page = next(page for page in build_site(course)[0] if page.path == fill_in_path("risk-assessment"))
    linked = re.findall(r'href="\.\./hazards\.html#([\w-]+)"', page.html)
    assert linked == list(course.library.hazards)


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("path", OF_ONE)
def test_a_cutter_card_is_one_page(path: str, paper: str, shop: Visit, tmp_path: Path) -> None:
    """A card stays on one side of paper with its log."""
    found = pages_of_pdf(shop.open(path), tmp_path / "card.pdf", paper)
    assert len(found) == 1
    assert "Metres in all" in found[0]
    assert "follow the stricter" in found[0]


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_sheet_is_one_page_where_nothing_is_known(paper: str, visit: Visit, tmp_path: Path) -> None:
    """A machine of which nothing is known gets both sides of every condition, with 'If', and still one page."""
    keep_nothing_known(visit)
    for path in FOLLOWING:
        found = pages_of_pdf(visit.open(path), tmp_path / "sheet.pdf", paper)
        assert len(found) == 1, path
        assert re.search(r"sheet [0-9a-f]{8}, of your own machine\. Printed on", found[0])
    assert (
        "If the machine does not home:"
        in pages_of_pdf(visit.open(fill_in_path("zero-passport")), tmp_path / "p.pdf", paper)[0]
    )


@pytest.mark.browser
def test_the_code_of_my_own_machine_changes_with_its_facts(visit: Visit) -> None:
    """The same machine gives the same code twice, one changed fact gives another, each sheet has its own."""
    found = []
    for name in ("Shed router", "Shed router", "Cellar router"):
        page = visit.open("my-machine.html")
        page.fill("form[data-profile] [name='machine.name']", name)
        page.click("form[data-profile] button[type=submit]")
        page.wait_for_function("document.querySelector('[data-machine-picker]').value === 'mine'")
        found.append(visit.open(WALL_CARD).inner_text(".os-stamp [data-base]"))
    assert found[0] == found[1] != found[2]
    assert visit.open(fill_in_path("roles")).inner_text(".os-stamp [data-base]") not in found


@pytest.mark.browser
@pytest.mark.parametrize("path", [*FOLLOWING, *OF_ONE])
def test_print_reads_in_grey(path: str, shop: Visit) -> None:
    """No printed text is lighter than 4.5:1 on white paper (WCAG 2.2, 1.4.3), and no text is smaller than 8 pt."""
    page = shop.open(path)
    page.emulate_media(media="print")
    found = page.evaluate(
        """() => {
          const light = (c) => { c = c / 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; };
          const walker = document.createTreeWalker(document.querySelector('.os-sheet'), NodeFilter.SHOW_TEXT);
          const out = [];
          while (walker.nextNode()) {
            const text = walker.currentNode.textContent.trim(), e = walker.currentNode.parentElement;
            if (!text || !e.getClientRects().length || getComputedStyle(e).visibility === 'hidden') continue;
            const style = getComputedStyle(e), rgb = style.color.match(/[\\d.]+/g).map(Number);
            const l = 0.2126 * light(rgb[0]) + 0.7152 * light(rgb[1]) + 0.0722 * light(rgb[2]);
            out.push([text.slice(0, 40), 1.05 / (l + 0.05), parseFloat(style.fontSize) * 72 / 96]);
          }
          return out;
        }"""
    )
    page.emulate_media(media="screen")
    assert len(found) > 10
    assert [text for text, contrast, _ in found if contrast < 4.5] == []
    assert [text for text, _, points in found if points < 7.95] == []


@pytest.mark.browser
@pytest.mark.parametrize("machine", MACHINES)
def test_the_first_acts_of_the_wall_card_are_read_across_a_room(machine: str, shop: Visit) -> None:
    """Every act that must not be missed stands in 30 pt or more, the others in 20 pt, and the first line is the stop."""
    page = shop.open(WALL_CARD)
    pick(shop, machine)
    page.emulate_media(media="print")
    sizes = page.eval_on_selector_all(
        ".os-wall__first:not([hidden]) .os-wall__act", "acts => acts.map(a => parseFloat(getComputedStyle(a).fontSize))"
    )
    rest = page.eval_on_selector_all(
        ".os-wall__acts > li:not([hidden])",
        "acts => acts.map(a => parseFloat(getComputedStyle(a.querySelector('.os-wall__act')).fontSize))",
    )
    first = page.inner_text(".os-wall__acts > li:not([hidden]) .os-wall__act")
    page.emulate_media(media="screen")
    assert len(sizes) >= 3
    assert min(sizes) >= 30 * PX_OF_PT - 0.01
    assert min(rest) >= 20 * PX_OF_PT - 0.01
    assert "stop" in first.lower()


@pytest.mark.browser
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", [*FOLLOWING, OF_ONE[0], OF_ONE[1], "all-sheets.html"])
def test_axe_finds_nothing_on_a_sheet(path: str, scheme: str, visit: Visit) -> None:
    """WCAG 2.2 AA by axe-core, target size included, in the light and the dark scheme."""
    visit.page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    page = visit.open(path)
    assert barriers(page) == []


@pytest.mark.browser
@pytest.mark.parametrize("path", [*FOLLOWING, OF_ONE[0], "all-sheets.html"])
def test_a_sheet_needs_no_sideways_scrolling_on_a_phone(path: str, visit: Visit) -> None:
    """At 320 px the page itself is never wider than the screen."""
    visit.page.set_viewport_size({"width": 320, "height": 640})
    assert visit.open(path).evaluate("document.documentElement.scrollWidth") <= 320


@pytest.mark.browser
def test_passport_and_roles_follow_the_machine(shop: Visit) -> None:
    """Machine numbers only where homing makes them true; the stop-hand's card names this machine's control."""
    page = shop.open(fill_in_path("zero-passport"))
    pick(shop, "heron")
    assert page.get_by_text("Machine X at zero").is_visible()
    pick(shop, "wren")
    assert not page.get_by_text("Machine X at zero").is_visible()
    assert page.get_by_text("Mark to zero in X, mm").is_visible()

    page = shop.open(fill_in_path("roles"))
    assert "red button on the front rail" in page.inner_text(".os-fill")
    assert page.get_by_text("It leaves the cutter turning. Next: switch on the router.").first.is_visible()
    assert not page.get_by_role("heading", name="Child").is_visible()


def test_the_wall_card_names_only_controls_seen_to_work(course: Course) -> None:
    """A control stands beside what a dated test has seen it stop, and nowhere else."""
    for view in course.views.values():
        found = stop_map_of(view.machine)
        for effect, controls in proved(found).items():
            assert {name for name, _ in controls} == {row.control for row in found.rows if row.squares[effect] == STOPS}


def test_a_collet_is_never_guessed(course: Course) -> None:
    """An exact collet is named, another size is refused, an unknown shank is to be measured."""
    machine = course.views["heron"].machine
    cutter = course.jobs["dibber-board"].job.main_cutter
    assert collet_words(cutter, machine).startswith("6")
    assert "Do not force it" in collet_words(cutter.model_copy(update={"shank": 6.35 - 0.1}), machine)
    assert "measure the shank" in collet_words(cutter.model_copy(update={"shank": None}), machine)


def test_every_cutter_has_its_card(course: Course) -> None:
    """All cutters of drawers and jobs are on some page, no page holds more than fit, and paths are all different."""
    found = list(boxes(course))
    for view in course.views.values():
        mine = [
            cutter for box in found if box.job is None and box.machine == view.id for cutter in box.cutters if cutter
        ]
        assert mine == list(view.machine.tooling or ())
    for job in course.jobs.values():
        assert [cutter for box in found if box.job is job.job for cutter in box.cutters] == list(job.job.cutters)
    assert all(len(box.cutters) in LOG_ROWS for box in found)
    assert len({box.path for box in found}) == len(found)


def test_every_sheet_carries_the_code_the_list_gives(course: Course) -> None:
    """What 'All sheets' says is what stands on each sheet, for each machine."""
    pages = {page.path: page for page in build_site(course)[0]}
    listed = Read(pages["all-sheets.html"].html).text
    sheets = [page for page in pages.values() if page.digests]
    others = {"checklists/pre-run.html", "sheets/dibber-board.html", "sheets/sign-off-wren.html", "stop-map.html"}
    assert {page.path for page in sheets} >= {*FOLLOWING, *OF_ONE, *others, "hazards.html"}
    for page in sheets:
        for digest in page.digests.values():
            assert digest in page.html, page.path
            assert digest in listed, page.path


def codes(home: Path) -> dict[str, dict[str, str]]:
    return {page.path: dict(page.digests) for page in build_site(load_course(home))[0] if page.digests}


def test_a_code_changes_with_what_the_sheet_is_made_from_and_with_nothing_else(tmp_path: Path) -> None:
    """A changed machine changes its own sheets alone; a changed rule changes all; a changed lesson changes none."""
    home = Path(shutil.copytree(demo_folder(), tmp_path / "shed"))
    before = codes(home)
    machine = home / "machines" / "wren.yml"
    machine.write_text(machine.read_text().replace("run_down: 6 s", "run_down: 7 s"))
    after = codes(home)
    for path, digests in before.items():
        for id_, digest in digests.items():
            assert (after[path][id_] != digest) == (id_ == "wren"), (path, id_)

    rules = home / "workshop.yml"
    rules.write_text(rules.read_text().replace("No gloves while the spindle can turn.", "No gloves at all."))
    third = codes(home)
    assert all(third[path][id_] != digest for path, digests in after.items() for id_, digest in digests.items())

    (home / "content" / "glossary").mkdir(parents=True)
    (home / "content" / "glossary" / "own.yml").write_text(
        "id: shed-word\nterm: Shed word\nmeans: A word of this shed.\n"
    )
    assert codes(home) == third
