"""A workshop's own rules: word for word, at their gate, before the course's words, and for the machines they name."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from datetime import date
from html import unescape
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from pypdf import PdfReader

from generator.course import Course, demo_folder, load_course
from generator.host import build_with_mkdocs
from generator.lint.run import lint_folder
from generator.pages.build import build_site
from generator.pages.local_rules import rules_of
from generator.pages.page import Page
from generator.pages.reference import reference_pages
from generator.program_check import check_program
from generator.program_check.cases import check_on_bench
from generator.program_check.run import Checked
from generator.program_check.sheet import sheet_of
from tests.conftest import Visit
from tests.visible import read

OWN_RULES = """
  - id: key-on-board
    text: The key of the isolator hangs on its board whenever nobody stands at a machine.
    owner: keeper
    reason: A key in a pocket starts a machine at home.
    review: 2027-03-01
  - id: boards-from-rack
    text: Cut only boards from the rack by the door, and never treated or painted wood.
    owner: keeper
    reason: Nobody knows the dust of what people bring.
    review: 2027-03-01
  - id: loose-board-measured
    text: Measure the loose board at its four corners before you hold anything on it.
    owner: keeper
    reason: It is worn at the front.
    review: 2027-03-01
    gate: before-set-up
    machines: [heron, wren]
"""
OF_WREN = """
local_rules:
  - id: lead-tied
    text: Tie the router's lead to the arm before the plug goes in.
    owner: inductor
    reason: The lead was cut once.
    review: 2026-09-30
    gate: before-start
"""
KEY, RACK = "The key of the isolator hangs", "Cut only boards from the rack"
LOOSE, LEAD = "Measure the loose board at its four", "Tie the router's lead"
MACHINES = ("wren", "heron", "bittern")
LISTS = ("pre-run", "end-of-job", "restart", "hand-over", "emergency-card")
PROGRAMS = Path(__file__).parent / "programs"
TODAY = date(2026, 11, 25)


def shed_with_rules(folder: Path) -> Path:
    """The demo workshop with three rules more, and one in the file of a machine."""
    home = Path(shutil.copytree(demo_folder(), folder / "shed"))
    for path, more in ((home / "workshop.yml", OWN_RULES), (home / "machines" / "wren.yml", OF_WREN)):
        path.write_text(path.read_text(encoding="utf-8").rstrip() + more, encoding="utf-8")
    return home


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of such a workshop, only to be read."""
    return shed_with_rules(tmp_path_factory.mktemp("rules"))


@pytest.fixture(scope="module")
def pages(shed: Path) -> dict[str, Page]:
    """Its pages."""
    return {page.path: page for page in build_site(load_course(shed))[0]}


@pytest.fixture(scope="module")
def shop(browser: Browser, shed: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visit]:
    """A visit to its site."""
    site = tmp_path_factory.mktemp("rules-site") / "site"
    build_with_mkdocs(shed, site)
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    context.set_default_timeout(10_000)
    yield Visit(context, site)
    context.close()


def point_of(html: str, point: str) -> str:
    """What is seen of one pause point, from its heading on."""
    found = html.partition(f'<section class="os-point" aria-labelledby="{point}">')[2].partition('<p class="os-done">')[
        0
    ]
    assert found
    return read(found).text


def test_a_gate_is_answered_first_at_its_pause(pages: dict[str, Page]) -> None:
    """A rule is a line to tick above the course's own lines, with its role and date, and says that it must be yes."""
    for path, point, first, text in [
        ("pre-run", "before-power", "Clear the bed", LOOSE),
        ("pre-run", "before-first-plunge", "Pull the board", "A second person who knows the stop control"),
        ("pre-run", "before-first-plunge", "Pull the board", "While it cuts: Stay where you can see the cutter"),
        ("pre-run", "leaving", "Switch the spindle off", "Take the dust bin outside"),
        ("end-of-job", "closing-down", "Look at the flutes", "Take the dust bin outside"),
        ("restart", "before-restart", "Say the cause aloud", "After a stop, a broken cutter or a power cut"),
    ]:
        for page in (f"checklists/{path}.html", f"checklists/{path}-{point}.html"):
            seen = point_of(pages[page].html, point)
            assert 0 <= seen.find(text) < seen.find(first), (page, text)
            said = seen[seen.find(text) :]
            assert re.search(r"^[^→]+must → yes \(rule of this workshop: \w+, review 20\d\d-\d\d-\d\d\)", said), said


def test_a_rule_without_a_gate_stands_before_the_courses_own_words(pages: dict[str, Page]) -> None:
    """Above the first pause of the list and above the numbers of every set-up sheet, with its role and date."""
    seen = read(pages["checklists/pre-run.html"].html).text
    sheets = [read(pages[f"sheets/{id_}.html"].html).text for id_ in ("dibber-board", "dibber-board-wren")]
    for text, first in [(seen, "Before power"), *((sheet, "Birch plywood") for sheet in sheets)]:
        for rule in (KEY, RACK):
            assert 0 <= text.find(rule) < text.find(first)
        assert "whenever nobody stands at a machine. (keeper, review 2027-03-01)" in text
    assert all(0 <= sheet.find(LOOSE) < sheet.find("Birch plywood") for sheet in sheets)


@pytest.mark.parametrize("list_", LISTS)
def test_no_rule_is_left_out_of_a_list_or_said_twice(list_: str, pages: dict[str, Page], shed: Path) -> None:
    """Each stands once on every list, at its gate or above the list with its moment; the card begins with its act."""
    rules = [line.rule.text for line in rules_of(load_course(shed).home)]
    assert len(rules) == 10
    for path in (path for path in pages if re.fullmatch(rf"checklists/{list_}(-.*)?\.html", path)):
        html = unescape(str(pages[path].html))
        assert [html.count(text) for text in rules] == [1] * len(rules), path
    if list_ == "emergency-card":
        seen = read(pages["checklists/emergency-card.html"].html).text
        assert seen.find("Step back") < seen.find(KEY)


def test_a_rule_takes_no_line_of_the_course_away(pages: dict[str, Page], course: Course) -> None:
    """With rules or without, every line of the course's own lists is there."""
    for checklist in course.library.checklists.values():
        items = re.findall(r'data-item="([\w-]+)"', pages[f"checklists/{checklist.id}.html"].html)
        assert items == [item.id for point in checklist.points for item in point.items]


def test_a_list_without_gates_states_the_rules_above_it(tmp_path: Path) -> None:
    """Where a workshop's own list has no place for a gate, its rules stand before the list, with the moment."""
    home = shed_with_rules(tmp_path)
    own = home / "content" / "checklists" / "pre-run.yml"
    own.parent.mkdir(parents=True)
    ours = demo_folder().parent.parent / "checklists" / "pre-run.yml"
    own.write_text(
        re.sub(r"^ +gates: .*\n", "", ours.read_text(encoding="utf-8"), flags=re.MULTILINE), encoding="utf-8"
    )
    page = next(page for page in build_site(load_course(home))[0] if page.path == "checklists/pre-run.html")
    seen = read(page.html).text
    assert 0 <= seen.find("Before you start: No gloves while") < seen.find("Before power")


def test_a_rule_for_some_machines_is_not_on_the_lists_of_others(pages: dict[str, Page]) -> None:
    """What is for Bittern or Wren is not seen on Heron's list; the page of rules says whose it is."""
    seen = read(pages["checklists/pre-run.html"].html).text
    assert "Screws go into the loose board only" not in seen
    assert LEAD not in seen
    assert f"On Heron, Wren: {LOOSE}" in seen
    listed = read(pages["rules.html"].html).text
    assert "On Bittern: Screws go into the loose board only" in listed
    assert f"On Wren: {LEAD}" in listed
    for path, has in (("dibber-board-bittern", True), ("dibber-board", False)):
        assert ("Screws go into the loose board only" in read(pages[f"sheets/{path}.html"].html).text) is has


@pytest.mark.browser
def test_the_rules_follow_the_machine_that_is_picked(shop: Visit) -> None:
    """Bittern's rule comes with Bittern and goes with Wren, ticks are counted and kept, one's own machine gets all."""
    page = shop.open("checklists/pre-run.html")
    screws, lead = page.get_by_text("Screws go into the loose board only"), page.get_by_text(LEAD)
    for machine, seen in (("bittern", (True, False)), ("wren", (False, True)), ("heron", (False, False))):
        page.select_option("[data-machine-picker]", machine)
        assert (screws.is_visible(), lead.is_visible()) == seen
    page.select_option("[data-machine-picker]", "bittern")
    assert page.get_by_text("On Bittern: Screws").is_visible()
    screws.click()
    assert page.inner_text("[data-count]").startswith("1 of ")
    page = shop.open("checklists/pre-run-before-power.html")
    assert page.locator(".os-item--local .os-tick:checked").count() == 1
    shop.open("my-machine.html").click("form[data-profile] button[type=submit]")
    shop.page.wait_for_function("document.querySelector('[data-machine-picker]').value === 'mine'")
    page = shop.open("checklists/pre-run.html")
    assert page.get_by_text("On Bittern: Screws").is_visible()
    assert page.get_by_text("On Wren: Tie").is_visible()
    assert shop.errors == []


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("machine", MACHINES)
def test_sheets_with_more_rules_stay_on_their_side(machine: str, paper: str, shop: Visit, tmp_path: Path) -> None:
    """With ten rules, set-up sheet, wall card and each pause with a gate are still one side of A4 and of Letter."""
    job = {"wren": "dibber-board-wren", "heron": "dibber-board", "bittern": "dibber-board-bittern"}[machine]
    alone = ("pre-run-before-power", "pre-run-before-first-plunge", "pre-run-leaving", "end-of-job-closing-down",
             "restart-before-restart")  # fmt: skip
    for path in (f"sheets/{job}.html", "cards/emergency.html", *(f"checklists/{name}.html" for name in alone)):
        page = shop.open(path)
        page.select_option("[data-machine-picker]", machine)
        page.pdf(path=tmp_path / "sheet.pdf", format=paper)
        found = [" ".join(side.extract_text().split()) for side in PdfReader(tmp_path / "sheet.pdf").pages]
        assert len(found) == 1, path
        if path.startswith(("sheets/", "cards/")):
            assert KEY in found[0]


def rules_page(course: Course, today: date) -> str:
    return read(next(page for page in reference_pages(course, today) if page.path == "rules.html").html).text


def test_a_review_that_is_overdue_is_marked(course: Course) -> None:
    """The day itself is still in time; the day after, the page of rules says whom to ask, and that the rule holds."""
    assert "Not looked at in time" not in rules_page(course, date(2026, 9, 1))
    late = rules_page(course, date(2026, 9, 2))
    assert late.count("Not looked at in time") == 1
    assert 0 <= late.find("Take the dust bin outside") < late.find("Not looked at in time: ask the keeper.")
    assert late.find("Not looked at in time") < late.find("Screws go into the loose board")


@pytest.mark.browser
def test_a_page_made_long_ago_marks_what_is_overdue_today(visit: Visit) -> None:
    """The reader's clock counts, since a site can be older than a review date."""
    visit.page.clock.set_fixed_time("2027-03-02T12:00:00")
    assert visit.open("rules.html").get_by_text("Not looked at in time").locator("visible=true").count() == 6


def test_lint_names_the_rules_that_are_overdue(shed: Path) -> None:
    """Line and id of each, in the workshop's file and in a machine's; a warning, which forbids nothing."""
    found = [flaw for flaw in lint_folder(shed, TODAY) if flaw.rule == "LR01"]
    assert [(Path(flaw.fault.file).name, flaw.severity) for flaw in found] == [
        ("wren.yml", "warning"), ("workshop.yml", "warning")]  # fmt: skip
    for flaw in found:
        line = Path(flaw.fault.file).read_text(encoding="utf-8").splitlines()[flaw.fault.line - 1]
        assert line.strip() in ("review: 2026-09-30", "review: 2026-09-01")
    assert "'lead-tied'" in found[0].fault.says
    assert [flaw for flaw in lint_folder(shed, date(2026, 9, 1)) if flaw.rule == "LR01"] == []


def check(shed: Path, name: str) -> Checked:
    return check_program(shed / "programs" / f"{name}.nc", shed / "jobs" / f"{name}.yml")


def test_the_sheet_of_a_checked_program_has_the_rules(shed: Path) -> None:
    """Those without a gate before all findings, each other at its pause, what comes after the cut below the watch plan."""
    seen = read(sheet_of(check(shed, "dibber-board"), TODAY)).text
    order = [KEY, RACK, "Findings", "Before power", LOOSE, "Clear the bed", "Before the first plunge",
             "While it cuts: Stay where you can see", "No gloves while", "Pull the board", "Watch plan", "After the last cut",
             "Take the dust bin outside"]  # fmt: skip
    places = [seen.find(words) for words in order]
    assert -1 not in places
    assert places == sorted(places)
    assert "take them off again. yes (inductor, review 2027-03-01)" in seen
    assert "Screws go into" not in seen
    assert LEAD in read(sheet_of(check(shed, "dibber-board-wren"), TODAY)).text


@pytest.mark.parametrize(
    ("program", "unit"), [("clean-inch", "inch, as this file says"), ("clean-plain", "mm, as this file says")]
)
def test_the_unit_to_read_is_the_programs(program: str, unit: str) -> None:
    """A file in inches asks for inches on the screen, where the list without a file can only ask for the job sheet's."""
    seen = read(sheet_of(check_on_bench(PROGRAMS / f"{program}.nc", None, None), TODAY)).text
    assert f"Read the unit on the screen {unit}" in seen


@pytest.mark.browser
def test_a_heading_of_the_checked_sheet_stays_with_its_table(browser: Browser, shed: Path, tmp_path: Path) -> None:
    """Wherever near the foot of a page the watch plan begins, its heading, its words and its first moments are on one page."""
    # The page's own policy would leave the filler without its height.
    html = re.sub(r"<meta http-equiv[^>]*>", "", sheet_of(check(shed, "dibber-board"), TODAY))
    start = html.rindex("<section", 0, html.index("<h2>Watch plan"))
    head, rest = html[: html.index("<header>")], html[start:]
    tab, far = browser.new_page(), tmp_path / "sheet.pdf"
    for height in (220, 232, 244):
        tab.set_content(f'{head}<main><div style="height:{height}mm"></div>{rest}')
        tab.pdf(path=far, format="A4")
        found = [" ".join(side.extract_text().split()) for side in PdfReader(far).pages]
        side = next(text for text in found if "Watch plan" in text)
        assert "First contact" in side, height
    tab.close()
