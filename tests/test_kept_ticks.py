"""What a page keeps with its day: ticks of a checklist, answers of the stop test and results of a quiz, in Chromium."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.conftest import Visit

pytestmark = pytest.mark.browser

EVENING, MORNING = datetime(2026, 11, 24, 21, 0), datetime(2026, 11, 25, 8, 0)
TESTED = "2026-03-07"  # the day the profile of Heron gives for all its controls
OLD = "2024-05-01"


def boxes(page: Page) -> Locator:
    return page.locator("li[data-item]:not([hidden]) input[type=checkbox]")


def kept(page: Page, name: str) -> Any:
    return json.loads(page.evaluate("name => localStorage.getItem('onionskin.1.' + name)", name))


def put(page: Page, name: str, value: object) -> None:
    page.evaluate("([name, text]) => localStorage.setItem('onionskin.1.' + name, text)", [name, json.dumps(value)])
    page.reload()


def ticked_in_the_evening(visit: Visit) -> Page:
    """The pre-run list of Heron with two ticks of last evening, still open."""
    visit.page.clock.set_fixed_time(EVENING)
    page = visit.open("checklists/pre-run.html")
    page.select_option("[data-machine-picker]", "heron")
    boxes(page).nth(0).check()
    boxes(page).nth(1).check()
    expect(boxes(page).and_(page.locator(":checked"))).to_have_count(2)
    return page


def test_ticks_of_yesterday_are_gone_when_the_list_is_opened_again(visit: Visit) -> None:
    """Last evening's look at a clamp says nothing about this morning."""
    page = ticked_in_the_evening(visit)
    page.reload()
    expect(boxes(page).and_(page.locator(":checked"))).to_have_count(2)
    page.clock.set_fixed_time(MORNING)
    page.reload()
    expect(boxes(page).and_(page.locator(":checked"))).to_have_count(0)


def test_a_tick_on_a_page_left_open_overnight_is_the_only_one_of_the_day(visit: Visit) -> None:
    """Ticks still on the screen from last evening are cleared, not kept under today's date."""
    page = ticked_in_the_evening(visit)
    page.clock.set_fixed_time(MORNING)
    boxes(page).nth(2).check()
    expect(boxes(page).and_(page.locator(":checked"))).to_have_count(1)
    expect(boxes(page).nth(2)).to_be_checked()
    assert page.inner_text("[data-count] >> nth=0").startswith("1 of ")
    today = kept(page, "ticks.pre-run.heron")
    assert today["day"] == "2026-11-25"
    assert len(today["items"]) == 1
    boxes(page).nth(0).check()
    page.reload()
    expect(boxes(page).and_(page.locator(":checked"))).to_have_count(2)


def test_coming_back_in_the_morning_shows_an_empty_list(visit: Visit) -> None:
    """A page that was out of sight overnight does not greet with last evening's ticks."""
    page = ticked_in_the_evening(visit)
    page.clock.set_fixed_time(MORNING)
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(boxes(page).and_(page.locator(":checked"))).to_have_count(0)


def old_test(page: Page) -> None:
    """Answers as they were kept when one day stood for all: a test of 2024 in which everything stopped."""
    rows = page.locator("[data-stop-map]:visible tbody tr").evaluate_all(
        "rows => rows.map(row => [row.dataset.control, Array.from(row.querySelectorAll('[data-effect]'))"
        ".map(cell => cell.dataset.effect)])"
    )
    stopped = {
        name: {effect: "lost" if effect == "position" else "stops" for effect in effects} for name, effects in rows
    }
    put(page, "stops.heron", {"day": OLD, "controls": stopped, "absent": []})


def squares(page: Page) -> dict[str, list[str]]:
    """Words and day of each control of the map on the screen."""
    rows = page.locator("[data-stop-map]:visible tbody tr").evaluate_all(
        "rows => rows.map(row => [row.dataset.control, ...Array.from(row.querySelectorAll('[data-word], "
        "[data-tested-on]')).map(place => place.textContent)])"
    )
    return {name: words for name, *words in rows}


def test_one_answer_of_today_dates_no_other_answer(visit: Visit) -> None:
    """A younger test of the profile stands against old answers, whatever else is answered today."""
    visit.page.clock.set_fixed_time(MORNING)
    page = visit.open("stop-map.html")
    page.select_option("[data-machine-picker]", "heron")
    profile = squares(page)
    assert "goes on" in profile["pause key"]
    assert {words[-1] for words in profile.values()} == {TESTED}
    old_test(page)
    assert squares(page) == profile

    control = page.locator("[data-stop-test]:visible details.os-control").first
    name = control.get_attribute("data-control")
    assert name is not None
    control.locator("summary").click()
    control.locator('[data-effect="axes"] label').nth(1).click()
    assert squares(page) == profile | {name: ["goes on", *profile[name][1:]]}
    page.reload()
    assert squares(page) == profile | {name: ["goes on", *profile[name][1:]]}


def test_an_old_answer_given_once_more_is_seen_today(visit: Visit) -> None:
    """Whoever tests again and sees the same as before has tested today; a row is as old as its oldest square."""
    visit.page.clock.set_fixed_time(MORNING)
    page = visit.open("stop-map.html")
    page.select_option("[data-machine-picker]", "heron")
    old_test(page)
    control = page.locator("[data-stop-test]:visible details.os-control").first
    name = control.get_attribute("data-control")
    assert name is not None
    control.locator("summary").click()
    for group in control.locator("[data-effect]").all():
        assert squares(page)[name][-1] == TESTED
        group.locator("label:has(:checked)").click()
    assert squares(page)[name][-1] == "2026-11-25"
    assert squares(page)[name][0] == "stops"


def test_a_test_kept_with_one_day_still_counts(visit: Visit) -> None:
    """Where the profile is no younger, answers kept in the old form show with their day."""
    page = visit.open("my-machine.html")
    page.fill('[name="machine.name"]', "Finch")
    page.click("form[data-profile] button[type=submit]")
    page = visit.open("stop-map.html")
    whole = {"axes": "stops", "spindle": "goes on", "extraction": "stops", "position": "kept"}
    put(page, "stops.mine", {"day": OLD, "controls": {"pause": whole, "foot bar": {"axes": "stops"}}, "absent": []})
    assert squares(page)["pause"] == [*whole.values(), OLD]
    assert squares(page)["foot bar"] == ["stops", "unknown", "unknown", "unknown", "never"]
    assert visit.errors == []


def test_a_control_added_by_hand_borrows_no_answer_of_another(visit: Visit) -> None:
    """On a machine whose controls are tested, a new one starts with every square unknown."""
    page = visit.open("stop-map.html")
    page.select_option("[data-machine-picker]", "heron")
    page.fill("[data-more]:visible", "foot bar")
    page.click("[data-add]:visible")
    assert squares(page)["foot bar"] == ["unknown"] * 4 + ["never"]


def check_all(page: Page, wrong: set[str]) -> None:
    """Answers the form on the screen right, but for the questions in `wrong`."""
    for question in page.locator("[data-form]:not([hidden]) [data-question]:visible").all():
        missed = question.get_attribute("data-question") in wrong
        if question.get_attribute("data-kind") == "order":
            assert not missed
            steps = question.locator("[data-step]").count()
            for step in range(steps):
                for _ in range(steps):
                    question.locator(f'[data-step="{step}"]').locator(".os-move").last.click()
        else:
            side = ":not([data-right])" if missed else "[data-right]"
            question.locator(f".os-option{side}:visible input").first.check()
        question.locator("[data-check]").click()


def asked(page: Page, critical: bool) -> list[str]:
    questions = page.locator("[data-form]:not([hidden]) [data-question]:visible").all()
    return [
        question.get_attribute("data-question") or ""
        for question in questions
        if (question.get_attribute("data-critical") is not None) == critical
        and question.get_attribute("data-kind") != "order"
        and question.locator(".os-option[data-right]").count()
    ]


def test_one_must_know_wrong_fails_the_quiz_however_many_are_right(visit: Visit) -> None:
    """Four in five right is enough only where every must-know is among them."""
    page = visit.open("lessons/six-harms.html")
    missed = asked(page, critical=True)[0]
    check_all(page, {missed})
    result = kept(page, "quiz.six-harms")
    assert (result["right"], result["of"], result["missed"]) == (4, 5, 1)
    assert result["passed"] is False
    expect(page.locator("[data-result]")).to_contain_text(
        "Not passed: 4 of 5 right, and one wrong answer is a must-know"
    )
    assert page.evaluate("localStorage.getItem('onionskin.1.passes.six-harms')") is None


def test_four_in_five_is_rounded_up(visit: Visit) -> None:
    """Of six questions five must be right, none of the two missed being a must-know; four are too few."""
    page = visit.open("lessons/chip-load.html")
    page.select_option("[data-machine-picker]", "wren")
    missed = asked(page, critical=False)[:2]
    assert asked(page, critical=True) == []
    check_all(page, set(missed))
    result = kept(page, "quiz.chip-load")
    assert (result["right"], result["of"], result["missed"]) == (4, 6, 0)
    assert result["passed"] is False
    expect(page.locator("[data-result]")).to_contain_text("Not passed: 4 of 6 right, 5 needed")
