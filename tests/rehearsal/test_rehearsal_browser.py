"""What a learner does with the page, in real Chromium from file:// with the network blocked."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from generator.rehearse import Rehearsed, rehearse_program
from tests.conftest import Visit
from tests.rehearsal.browse import drawn, ink, settle, state, until
from tests.rehearsal.conftest import JOB
from tests.rehearsal.make import HEAD, TAIL

pytestmark = pytest.mark.browser


def test_the_page_needs_nothing_but_itself(at_page: Visit) -> None:
    """No request leaves the file, and the console stays empty."""
    settle(at_page.page)
    assert at_page.strays == []
    assert at_page.errors == []


def test_the_browser_reads_the_very_numbers(at_page: Visit, rehearsed: Rehearsed) -> None:
    """Every place of the path arrives within half a micrometre, every line as it is."""
    track = at_page.page.evaluate(
        "(({x, y, z, t, line}) => ({x: [...x], y: [...y], z: [...z], t: [...t], line: [...line]}))"
        "(OnionskinRehearsal.clock.track)"
    )
    own = rehearsed.show.track
    for axis in ("x", "y", "z", "t"):
        assert all(abs(a - b) <= 0.0005 + 1e-9 for a, b in zip(track[axis], getattr(own, axis), strict=True))
    assert track["line"] == list(own.line)


def test_the_cutter_is_where_motion_has_it(at_page: Visit, rehearsed: Rehearsed) -> None:
    """At times picked all through the run the page and Python agree within the packing."""
    end = rehearsed.show.track.t[-1]
    for share in (0.013, 0.1, 0.333, 0.5, 0.77, 0.91, 1.0):
        at_page.page.evaluate("t => OnionskinRehearsal.go(t)", share * end)
        place = at_page.page.evaluate("OnionskinRehearsal.place()")
        assert place == pytest.approx(rehearsed.show.track.at(share * end), abs=0.05)


def test_playing_moves_the_clock_and_pausing_stops_it(at_page: Visit) -> None:
    """At 60 times, half a second of playing passes many seconds of the program; after Pause nothing moves."""
    page = at_page.page
    page.uncheck("[data-ask]")
    page.check("[name=speed][value='60']")
    page.click("[data-act=play]")
    until(page, "OnionskinRehearsal.clock.time > 10")
    assert page.inner_text("[data-act=play]") == "Pause"
    page.click("[data-act=play]")
    settle(page)
    before = state(page)["time"]
    settle(page)
    assert state(page)["time"] == before
    assert page.inner_text("[data-act=play]") == "Play"


def test_true_speed_is_true(at_page: Visit) -> None:
    """At true speed the program's clock and the wall's go together, within what frames allow."""
    page = at_page.page
    page.uncheck("[data-ask]")
    page.check("[name=speed][value='1']")
    ratio = page.evaluate(
        "new Promise(done => { const R = OnionskinRehearsal; R.play(); const begin = [performance.now(), R.clock.time];"
        " const check = () => { const wall = (performance.now() - begin[0]) / 1000;"
        " if (wall < 1) requestAnimationFrame(check); else done((R.clock.time - begin[1]) / wall); };"
        " requestAnimationFrame(check); })"
    )
    assert ratio <= 1.02
    assert ratio > 0.3


def test_stepping_goes_move_by_move(at_page: Visit, rehearsed: Rehearsed) -> None:
    """Each step on ends where the next move ends, and steps back retrace it; the line shown is that of the move."""
    page, moves = at_page.page, rehearsed.show.program.moves
    track = rehearsed.show.track
    lines = []
    for _ in range(12):
        page.click("[data-act=on]")
        settle(page)
        now = state(page)
        move = track.move[int(now["index"])]
        assert now["place"] == pytest.approx(moves.end(move), abs=0.001)
        lines.append(page.inner_text("[data-say=line]"))
    page.click("[data-act=back]")
    settle(page)
    assert lines[-1] == f"Line {moves.line[track.move[int(now['index'])]]}"
    assert page.inner_text("[data-say=line]") == lines[-2]


def test_scrubbing_sets_the_time_and_the_words(at_page: Visit) -> None:
    """Dragging the bar to a time shows the line of that time, with its text marked among its neighbours."""
    page = at_page.page
    page.eval_on_selector("[data-scrub]", "bar => { bar.value = 200000; bar.dispatchEvent(new Event('input')); }")
    settle(page)
    for _ in range(100):
        if state(page)["time"] > 1:
            break
        page.wait_for_timeout(100)
    assert state(page)["time"] == pytest.approx(200)
    assert page.inner_text("[data-time]").startswith("3:20 of ")
    line = re.search(r"\d+", page.inner_text("[data-say=line]"))
    assert line
    current = page.locator("[data-lines] [aria-current=step]")
    assert current.get_attribute("value") == line[0]
    assert current.inner_text().strip()
    assert f"line {line[0]}" in (page.get_attribute("[data-scrub]", "aria-valuetext") or "")


def test_everything_works_by_keyboard(at_page: Visit) -> None:
    """Tab reaches the pictures; space plays and pauses, arrows step, Home and End go to the ends."""
    page = at_page.page
    page.uncheck("[data-ask]")
    page.focus("[data-stage]")
    page.keyboard.press("ArrowRight")
    settle(page)
    first = state(page)["index"]
    assert first > 0
    page.keyboard.press("ArrowLeft")
    settle(page)
    assert state(page)["index"] == 0
    page.keyboard.press("End")
    settle(page)
    assert state(page)["time"] == pytest.approx(page.evaluate("OnionskinRehearsal.end()"))
    page.keyboard.press("Home")
    page.keyboard.press("Space")
    until(page, "OnionskinRehearsal.clock.time > 0.5")
    page.keyboard.press("Space")
    settle(page)
    assert not state(page)["playing"]


def test_keys_outside_the_player_scroll_as_ever(at_page: Visit) -> None:
    """Space and arrows are left to the browser elsewhere on the page."""
    page = at_page.page
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Space")
    settle(page)
    assert state(page)["index"] == 0
    assert not state(page)["playing"]


def test_playing_stops_and_asks(at_page: Visit, rehearsed: Rehearsed) -> None:
    """The run pauses at the first moment; the right answer is told with its reason and counted."""
    page, moment = at_page.page, rehearsed.show.moments[0]
    page.check("[name=speed][value='60']")
    page.click("[data-act=play]")
    until(page, "!OnionskinRehearsal.clock.playing")
    assert state(page)["time"] == pytest.approx(rehearsed.show.track.t[moment.point], abs=0.002)
    card = page.locator("[data-moment='0']")
    assert "Stop or go?" in card.locator("[data-verdict]").inner_text()
    card.locator(f"[data-answer={moment.answer}]").click()
    assert card.locator("[data-verdict]").inner_text() == f"Yes: {moment.answer}."
    assert card.locator("details").get_attribute("open") is not None
    assert page.inner_text("[data-score]").startswith("1 of ")


def test_a_wrong_answer_is_told_and_explained(at_page: Visit, rehearsed: Rehearsed) -> None:
    """Go at a finding: no, stop, and why."""
    page = at_page.page
    number = next(i for i, moment in enumerate(rehearsed.show.moments) if moment.answer == "stop")
    for _ in range(number):
        page.click("[data-moment-on]")
    card = page.locator(f"[data-moment='{number}']")
    card.locator("[data-answer=go]").click()
    assert card.locator("[data-verdict]").inner_text() == "No: stop."
    assert card.locator("details p").is_visible()


def test_findings_are_marked_and_linked_both_ways(at_page: Visit, rehearsed: Rehearsed) -> None:
    """A mark on the picture leads to the list; the list's button leads to the place on the path."""
    page = at_page.page
    number = next(i for i, mark in enumerate(rehearsed.show.marks, 1) if mark.point is not None)
    mark = page.locator(f"[data-view=plan] a[href='#finding-{number}']")
    assert f"Finding {number}" in (mark.get_attribute("aria-label") or "")
    page.click(f"#finding-{number} [data-jump]")
    settle(page)
    assert state(page)["index"] == rehearsed.show.marks[number - 1].point


def test_a_mistake_changes_the_picture_and_back(at_page: Visit, rehearsed: Rehearsed) -> None:
    """Each mistake draws something else, says what would have happened, and can be taken back."""
    page = at_page.page
    own = drawn(page)
    for mistake in rehearsed.show.mistakes:
        if mistake.applies:
            page.select_option("[data-mistake-choice]", mistake.id)
            assert drawn(page) != own, mistake.id
            assert mistake.effects[0].says in page.inner_text("[data-mistake-banner]")
    page.click("[data-mistake-off]")
    assert page.locator("[data-mistake-banner]").is_hidden()
    assert drawn(page) == own


def test_the_done_part_grows_and_shrinks_with_the_time(at_page: Visit) -> None:
    """The strong drawing differs between two times and is the same again when the time is."""
    page = at_page.page

    def at(time: float) -> str:
        page.evaluate("t => OnionskinRehearsal.go(t)", time)
        settle(page)
        return ink(page, "plan", "data-done")

    early, late = at(60), at(240)
    assert early != late
    assert at(60) == early


def test_a_long_program_still_opens(browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With more points and moves than it takes, the page opens, plays, and says what it leaves out."""
    monkeypatch.setattr("generator.rehearse.MOST_MISTAKE_MOVES", 1000)
    program = tmp_path / "dibber-board.nc"
    rounds = "".join(f"G2 X60 Y130 I120 J0 Z{15 + i % 9 / 10:g}\n" for i in range(1300))
    program.write_text(HEAD + "G0 X60 Y130\nG0 Z2\nG1 Z0 F300\nF1500\n" + rounds + TAIL, encoding="utf-8")
    show = rehearse_program(program, JOB, tmp_path / "page.html").show
    assert show.track.left_out > 0
    assert show.mistakes_left_out
    page = browser.new_page()
    page.goto((tmp_path / "page.html").as_uri())
    words = page.locator("main").inner_text()
    assert "points of the path are left out" in words
    assert show.mistakes_left_out in words
    page.focus("[data-stage]")
    page.keyboard.press("End")
    settle(page)
    assert "told to stop" in page.inner_text("[data-say=spindle]")
    page.close()
