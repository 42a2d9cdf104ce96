"""Drills, stop map, reviews and papers in real Chromium from file://, on a phone and with the keyboard alone."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from generator.course import Course
from tests.conftest import Visit

pytestmark = pytest.mark.browser

PHONE = {"width": 390, "height": 844}
MM = 96 / 25.4


@pytest.fixture
def phone(browser: Browser, site: Path) -> Iterator[Visit]:
    """A visit on a phone, in an empty profile; nothing may leave the disk or fail on the way."""
    context = browser.new_context(viewport=PHONE, accept_downloads=True, has_touch=True, is_mobile=True)
    context.set_default_timeout(10_000)
    visit = Visit(context, site)
    yield visit
    context.close()
    assert visit.strays == []
    assert visit.errors == []


def pick(page: Page, machine: str) -> None:
    page.select_option("[data-machine-picker]", machine)


def width(page: Page) -> int:
    return int(page.evaluate("document.documentElement.scrollWidth"))


def play(page: Page, best: bool) -> None:
    """Plays a drill to its end, always taking the best act, or never."""
    for _ in range(8):
        open_ = page.locator(
            f".os-choice{'[data-best]' if best else ':not([data-best])'}:not([open]):visible > summary"
        )
        if open_.count() == 0:
            return
        open_.first.click()
        expect(page.locator(".os-node--decided")).to_have_count(page.locator(".os-choice[open]").count())


def test_new_pages_fit_a_phone(phone: Visit) -> None:
    """No page of this part is wider than the screen, for a known machine and for one nobody knows."""
    for path in (
        "drills.html",
        "drills/work-shifts.html",
        "hazards.html",
        "legal.html",
        "legal/uk.html",
        "stop-map.html",
        "reviews.html",
        "papers.html",
        "papers/final-a.html",
    ):
        assert width(phone.open(path)) <= PHONE["width"], path


def test_a_drill_opens_with_a_solved_case_and_shows_one_moment(phone: Visit) -> None:
    """The solved case stands first, then one question with its acts; debrief and later moments are not seen yet."""
    page = phone.open("drills/work-shifts.html")
    assert page.locator("#solved").bounding_box()["y"] < page.locator("#scene").bounding_box()["y"]  # type: ignore[index]
    expect(page.locator(".os-node__says:visible")).to_have_count(1)
    expect(page.locator(".os-choice:visible")).to_have_count(3)
    assert not page.locator("[data-debrief]").is_visible()


def test_a_wrong_act_plays_out_and_can_be_taken_back(phone: Visit) -> None:
    """The outcome is told in words, the other acts step aside, and taking it back brings them again."""
    page = phone.open("drills/work-shifts.html")
    wrong = page.locator(".os-choice:not([data-best]):visible > summary").first
    wrong.click()
    assert "Not the best act" in page.inner_text(".os-outcome:visible")
    expect(page.locator("[data-play] > .os-node > .os-choice:visible")).to_have_count(1)
    page.locator(".os-back:visible").first.click()
    expect(page.locator("[data-play] > .os-node > .os-choice:visible")).to_have_count(3)


def test_the_best_way_through_ends_in_the_debrief_and_is_kept(phone: Visit) -> None:
    """Only best acts: praised, kept on the device and shown in the list of drills; a way with mistakes is not."""
    page = phone.open("drills/work-shifts.html")
    play(page, best=False)
    expect(page.locator("[data-debrief]")).to_be_visible()
    assert "not the best" in page.inner_text("[data-score]")
    phone.open("drills.html")
    assert page.inner_text('[data-drill-result="work-shifts"]') == ""

    page = phone.open("drills/work-shifts.html")
    play(page, best=True)
    expect(page.locator("[data-score]")).to_have_text("Every act was the best one.")
    phone.open("drills.html")
    assert "Best acts only" in page.inner_text('[data-drill-result="work-shifts"]')


def test_a_drill_can_be_played_again(phone: Visit) -> None:
    """Playing again closes everything and forgets the mistakes of the last time."""
    page = phone.open("drills/work-shifts.html")
    play(page, best=False)
    page.click("[data-again]")
    expect(page.locator(".os-node--decided")).to_have_count(0)
    expect(page.locator("[data-play] > .os-node > .os-choice:visible")).to_have_count(3)
    play(page, best=True)
    expect(page.locator("[data-score]")).to_have_text("Every act was the best one.")


def test_every_drill_can_be_played_to_its_end(visit: Visit, course: Course) -> None:
    """Each scene ends in its debrief by its best acts, with nothing wrong in the console."""
    for drill in course.library.drills:
        page = visit.open(f"drills/{drill}.html")
        play(page, best=True)
        expect(page.locator("[data-score]"), drill).to_have_text("Every act was the best one.")
    assert visit.errors == []


def test_a_drill_can_be_played_by_keyboard(visit: Visit) -> None:
    """Tab and Enter are enough, and what is focused has a visible ring."""
    page = visit.open("drills/phone-rings.html")
    page.locator(".os-your-stops > summary").focus()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('.os-choice') !== null")
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    page.keyboard.press("Enter")
    expect(page.locator(".os-outcome:visible")).to_have_count(1)


def test_the_scene_names_the_controls_of_the_picked_machine(visit: Visit) -> None:
    """The first act names this machine's own stop, and the notes say what that stop leaves turning."""
    page = visit.open("drills/work-shifts.html")
    pick(page, "wren")
    assert "red button on the front rail" in page.inner_text("[data-play]")
    assert "switch on the router" in page.inner_text(".os-here:visible")
    pick(page, "bittern")
    assert "red button on the panel" in page.inner_text("[data-play]")
    assert "coasts for 14" in page.inner_text(".os-here:visible")


def test_ones_own_machine_borrows_no_stop_of_the_one_it_was_copied_from(visit: Visit) -> None:
    """A copy of the demo's machine with another name is told to hit "the stop", not a button it may lack."""
    own_machine(visit)
    page = visit.open("drills/work-shifts.html")
    assert "Hit the stop" in page.inner_text("[data-play]")
    assert "red button" not in page.inner_text(".os-drill")


def test_a_drill_says_when_it_cannot_happen_here(visit: Visit) -> None:
    """A lost link is no danger of a machine that runs from its own controller."""
    page = visit.open("drills/link-drops.html")
    pick(page, "heron")
    assert not page.locator("text=cannot happen on the machine").is_visible()
    pick(page, "bittern")
    assert page.locator("text=cannot happen on the machine").is_visible()


def test_a_drill_is_whole_without_script(browser: Browser, site: Path) -> None:
    """Every fold is there and opens by itself; the debrief is on the page."""
    context = browser.new_context(java_script_enabled=False, viewport=PHONE)
    page = context.new_page()
    page.goto((site / "drills" / "work-shifts.html").as_uri())
    page.locator(".os-choice > summary").first.click()
    expect(page.locator(".os-outcome:visible")).to_have_count(1)
    assert page.locator("[data-debrief]").is_visible()
    context.close()


def test_the_stop_map_follows_the_machine(visit: Visit) -> None:
    """Each machine shows its own controls; one's own machine starts with nothing known."""
    page = visit.open("stop-map.html")
    for machine, control in (
        ("wren", "switch on the router"),
        ("heron", "red button on the post"),
        ("bittern", "stop key of the drive"),
    ):
        pick(page, machine)
        assert control in page.inner_text("[data-stop-map]:visible")
        expect(page.locator("[data-ready]:visible")).to_have_count(1)


def own_machine(visit: Visit) -> Page:
    """The stop map of a machine the learner has described, which begins with the usual controls."""
    page = visit.open("my-machine.html")
    page.fill('[name="machine.name"]', "Finch")
    page.click("form[data-profile] button[type=submit]")
    return visit.open("stop-map.html")


def test_ones_own_machine_is_not_ready_while_a_square_is_unknown(phone: Visit) -> None:
    """Unknown squares are counted aloud; the last answer makes the map ready, and it is kept."""
    page = own_machine(phone)
    form = page.locator("[data-stop-test]:visible")
    assert "20 squares are unknown" in page.inner_text("[data-not-ready]:visible")
    assert page.locator('[data-stop-map]:visible [data-square="unknown"]').count() == 20

    for number, control in enumerate(form.locator("details.os-control").all()):
        if number:
            assert control.evaluate("e => e.open")
        else:
            control.locator("summary").click()
        for group in control.locator("[data-effect]").all():
            group.locator("label").first.click()
        control.locator("[data-next]").click()
    expect(page.locator("[data-ready]:visible")).to_have_count(1)
    assert "5 of 5 controls seen" in page.inner_text("[data-done]:visible")

    page.reload()
    expect(page.locator("[data-ready]:visible")).to_have_count(1)
    assert page.locator('[data-stop-map]:visible [data-square="unknown"]').count() == 0
    assert width(page) <= PHONE["width"]


def test_an_answer_of_not_seen_keeps_the_map_from_being_ready(phone: Visit) -> None:
    """What was not watched is unknown, even where the profile had a tested answer."""
    page = phone.open("stop-map.html")
    pick(page, "heron")
    control = page.locator("[data-stop-test]:visible details.os-control").first
    control.locator("summary").click()
    control.locator('[data-effect="spindle"] label').last.click()
    assert "1 square is unknown" in page.inner_text("[data-not-ready]:visible")
    phone.open("sheets/dibber-board.html")
    assert "1 square is unknown" in page.inner_text("[data-stop-map] [data-not-ready]")


def test_controls_can_be_added_and_left_out(phone: Visit) -> None:
    """A control people here call by its own name joins the map; one the machine lacks is no open square."""
    page = own_machine(phone)
    page.fill("[data-more]:visible", "foot bar")
    page.click("[data-add]:visible")
    assert "foot bar" in page.inner_text("[data-stop-map]:visible")
    assert "24 squares are unknown" in page.inner_text("[data-not-ready]:visible")
    first = page.locator("[data-stop-test]:visible details.os-control").first
    first.locator("summary").click()
    first.locator("[data-absent]").click()
    assert "20 squares are unknown" in page.inner_text("[data-not-ready]:visible")
    page.reload()
    assert "foot bar" in page.inner_text("[data-stop-map]:visible")
    assert "20 squares are unknown" in page.inner_text("[data-not-ready]:visible")


def test_stops_that_leave_the_spindle_turning_are_told(phone: Visit) -> None:
    """Where every square is known and nothing stops the spindle, the map says so and is not ready."""
    page = own_machine(phone)
    for control in page.locator("[data-stop-test]:visible details.os-control").all():
        if not control.evaluate("e => e.open"):
            control.locator("summary").click()
        for effect in ("axes", "extraction", "position"):
            control.locator(f'[data-effect="{effect}"] label').first.click()
        control.locator('[data-effect="spindle"] label').nth(1).click()
        control.locator("[data-next]").click()
    assert page.inner_text("[data-not-ready]:visible").endswith("No tested control stops the spindle.")


def test_foreign_values_in_the_store_change_no_map(visit: Visit) -> None:
    """Something else under our key, or nonsense, is no test."""
    page = visit.open("stop-map.html")
    pick(page, "heron")
    for value in (
        '{"day":"2099-01-01","controls":{"pause key":{"axes":"<b>"}},"absent":[]}',
        "[1]",
        "nonsense",
        '{"day":1}',
    ):
        page.evaluate("value => localStorage.setItem('onionskin.1.stops.heron', value)", value)
        page.reload()
        assert page.locator("[data-ready]:visible").count() == 1, value
    assert visit.errors == []


def test_the_stop_test_works_by_keyboard(visit: Visit) -> None:
    """Enter opens a control, arrow keys answer, and the grid follows."""
    page = visit.open("stop-map.html")
    pick(page, "wren")
    control = page.locator("[data-stop-test]:visible details.os-control").first
    control.locator("summary").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    page.keyboard.press("ArrowDown")
    assert (
        page.locator("[data-stop-map]:visible tbody tr")
        .first.locator('[data-effect="axes"]')
        .get_attribute("data-square")
        == "goes on"
    )


def passed(page: Page, lesson: str, days_ago: list[int]) -> None:
    """Writes passes of a quiz as the quiz itself would have kept them."""
    page.evaluate(
        "([id, days]) => localStorage.setItem('onionskin.1.passes.' + id, JSON.stringify(days.map(d => "
        "new Date(Date.now() - d * 86400000).toISOString())))",
        [lesson, days_ago],
    )


def due(page: Page) -> set[str]:
    """Lessons listed as due today, by the name of their page."""
    return {
        link.split("/")[-1].split(".")[0]
        for link in page.eval_on_selector_all("[data-due] a", "links => links.map(a => a.getAttribute('href'))")
    }


@pytest.mark.parametrize(
    ("days_ago", "is_due"),
    [
        ([0], False),
        ([1], False),
        ([2], True),
        ([3, 0], False),
        ([8], True),
        ([8, 5], True),
        ([8, 1], False),
        ([22, 19, 14], True),
        ([22, 0], False),
        ([151, 0], False),
        ([151, 90], True),
        ([400], True),
    ],
)
def test_a_review_is_due_on_its_day_until_the_quiz_is_passed_again(
    phone: Visit, days_ago: list[int], is_due: bool
) -> None:
    """Days 2, 7, 21, 60 and 150 after the first pass; a pass on the day or later settles it, an earlier one not."""
    page = phone.open("reviews.html")
    passed(page, "homing", days_ago)
    page.reload()
    assert ("homing" in due(page)) is is_due
    assert due(page) <= {"homing"}


def test_passing_a_quiz_starts_its_reviews(visit: Visit) -> None:
    """Answered right in the browser, the lesson appears in the record with its five dates."""
    page = visit.open("lessons/six-harms.html")
    for question in page.locator("[data-form]:not([hidden]) [data-question]:visible").all():
        if question.get_attribute("data-kind") == "order":
            steps = question.locator("[data-step]").count()
            for step in range(steps):
                for _ in range(steps):
                    question.locator(f'[data-step="{step}"]').locator(".os-move").last.click()
        else:
            question.locator(".os-option[data-right] input").check()
        question.locator("[data-check]").click()
    assert "Passed" in page.inner_text("[data-result]")
    visit.open("reviews.html")
    row = page.locator('[data-review="six-harms"]')
    assert row.locator("[data-passed]").inner_text() != ""
    assert all(text for text in row.locator("[data-day]").all_inner_texts())
    assert due(page) == set()


def test_the_dates_can_be_saved_as_a_calendar(visit: Visit) -> None:
    """The file has one all-day event for each review still open, in the form RFC 5545 asks for."""
    page = visit.open("reviews.html")
    passed(page, "homing", [3])
    page.reload()
    with page.expect_download() as download:
        page.click("[data-calendar]")
    text = Path(download.value.path()).read_bytes().decode("utf-8")
    assert download.value.suggested_filename == "reviews.ics"
    assert text.startswith("BEGIN:VCALENDAR\r\nVERSION:2.0\r\n")
    assert text.count("BEGIN:VEVENT") == text.count("END:VEVENT") == 5
    assert text.count("DTSTART;VALUE=DATE:2") == 5
    assert text.endswith("END:VCALENDAR\r\n")


def test_foreign_values_in_the_store_are_no_pass(visit: Visit) -> None:
    """Nonsense under our key leaves the record empty and the page whole."""
    page = visit.open("reviews.html")
    for value in ("nonsense", "[]", '["yesterday"]', '{"a":1}', json.dumps(["2026-01-01T00:00:00Z"] * 100)):
        page.evaluate("value => localStorage.setItem('onionskin.1.passes.homing', value)", value)
        page.reload()
        assert due(page) == set(), value
    assert visit.errors == []


def test_a_paper_follows_the_machine_and_prints_without_answers(visit: Visit) -> None:
    """One form is seen at a time, for the picked machine, and nothing on it tells the key."""
    page = visit.open("papers/machine-a.html")
    for machine in ("Wren", "Bittern"):
        pick(page, machine.lower())
        expect(page.locator(".os-paper:visible")).to_have_count(1)
        assert f"For {machine} at" in page.inner_text(".os-paper:visible")
    assert page.locator("[data-right], .os-why, details").count() == 0


def test_keys_are_found_by_no_search_and_no_menu(visit: Visit) -> None:
    """Who searches for the words of a key does not find it; the list of papers leads there."""
    page = visit.open("papers.html")
    assert page.locator('.md-nav a[href*="-key.html"]').count() == 0
    assert page.locator('.md-content a[href*="-key.html"]').count() > 0
    index = "".join(path.read_text(encoding="utf-8") for path in sorted((visit.site / "search").iterdir()))
    assert "papers.html" in index
    assert "-key.html" not in index


@pytest.mark.parametrize("machine", ["wren", "heron", "bittern"])
def test_every_pause_of_a_list_fits_one_sheet(visit: Visit, course: Course, machine: str) -> None:
    """Printed, no pause point is taller than the box that A4 and Letter share: 186 by 255 mm inside 12 mm margins."""
    for checklist in course.library.checklists:
        page = visit.open(f"checklists/{checklist}.html")
        pick(page, machine)
        page.emulate_media(media="print")
        page.set_viewport_size({"width": round(186 * MM), "height": round(255 * MM)})
        heights = page.eval_on_selector_all(
            ".os-point", "points => points.map(point => point.getBoundingClientRect().height)"
        )
        assert max(heights) <= 255 * MM, checklist
        page.emulate_media(media="screen")
        page.set_viewport_size({"width": 1280, "height": 900})


def test_the_register_prints_with_room_to_write(visit: Visit) -> None:
    """On paper the blank columns for this workshop appear, and no sheet comes out empty."""
    page = visit.open("hazards.html")
    expect(page.locator("th:text('In place here?'):visible")).to_have_count(0)
    page.emulate_media(media="print")
    assert page.locator("th:text('In place here?'):visible").count() > 0
    pypdf = pytest.importorskip("pypdf")
    import io

    sheets = pypdf.PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    assert all(len(sheet.extract_text()) > 40 for sheet in sheets)
    assert all(sheet.mediabox.width > sheet.mediabox.height for sheet in sheets)


def test_a_slip_too_near_to_the_answer_is_no_choice_on_this_machine(visit: Visit) -> None:
    """With a collet nut of 100 mm half a cutter less is hardly less; the other form keeps all its numbers."""
    page = visit.open("my-machine.html")
    page.fill('[name="spindle.nut_diameter"]', "100")
    page.click("form[data-profile] button[type=submit]")
    page = visit.open("lessons/clamps-and-pivots.html")

    def shown(form: str) -> list[str]:
        options = f'[data-form="{form}"] [data-question="clamps-keep-out"] .os-option:not([hidden]) .os-option__text'
        return [text.strip().replace("\u00a0", " ") for text in page.locator(options).all_text_contents()]

    expect(page.locator('[data-form="A"] [data-question="clamps-keep-out"] .os-option:not([hidden])')).to_have_count(3)
    assert shown("A") == ["3 mm", "50 mm", "100 mm"]
    assert len(shown("B")) == 4
