"""The page for everyone: by axe, by size, without colour, without scripts."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from generator.rehearse import Rehearsed
from tests.barriers import barriers
from tests.conftest import Visit
from tests.rehearsal.browse import settle

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("width", [320, 390, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_barrier_is_found(width: int, scheme: str, browser: Browser, rehearsed: Rehearsed) -> None:
    """WCAG 2.2 AA by axe at three widths in both schemes, nothing wider than the window, answers and mistake open."""
    context = browser.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(rehearsed.output.as_uri())
    page.select_option("[data-mistake-choice]", "longer-cutter")
    page.click("[data-moment='0'] [data-answer=stop]")
    settle(page)
    assert barriers(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    context.close()


def test_every_target_is_large_enough(at_page: Visit) -> None:
    """Buttons and choices are at least 24 px high and wide (WCAG 2.2, 2.5.8), the buttons 44 px."""
    page = at_page.page
    measure = (
        "all => all.map(one => one.getBoundingClientRect()).map(box => [box.width, box.height]).filter(box => box[0])"
    )
    buttons = page.eval_on_selector_all(".r-player button, .r-player select", measure)
    assert buttons
    assert all(min(size) >= 44 for size in buttons)
    assert all(min(size) >= 24 for size in page.eval_on_selector_all("[data-view] a", measure))


def luminance(colour: str) -> float:
    """Relative luminance by WCAG 2.2's own formula."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4 for value in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize(("scheme", "wood"), [("light", "#efe1c8"), ("dark", "#4b3f2c")])
def test_depth_is_told_without_colour(scheme: str, wood: str, browser: Browser, rehearsed: Rehearsed) -> None:
    """From band to band luminance goes one way, every band stands out 3:1 from the wood, and wider means deeper."""
    context = browser.new_context(color_scheme=scheme)  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(rehearsed.output.as_uri())
    bands = [luminance(colour) for colour in page.evaluate("OnionskinRehearsal.ink.colours().bands")]
    assert bands == sorted(bands, reverse=scheme == "light")
    assert len(set(bands)) == 6
    board = luminance(wood)
    assert all((max(band, board) + 0.05) / (min(band, board) + 0.05) >= 3 for band in bands)
    widths = page.evaluate(
        "(() => { const R = OnionskinRehearsal, scene = R.scene(), bands = [2, 4, 6, 8, 10, 12];"
        " return bands.map(d => R.ink.styleOf(1, -d + 0.1, -d + 0.1, scene, bands, R.ink.colours()).width); })()"
    )
    assert widths == sorted(set(widths))
    context.close()


def test_without_scripts_the_words_are_all_there(browser: Browser, rehearsed: Rehearsed) -> None:
    """Findings, answers, mistakes and the table of stages can be read with JavaScript off."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(rehearsed.output.as_uri())
    text = page.locator("main").inner_text()
    assert "needs JavaScript" in text
    assert rehearsed.show.findings[0].says.replace("\u00a0", " ") in text.replace("\u00a0", " ")
    assert "28 cuts" in text
    assert "A thinner sheet" in text
    context.close()
