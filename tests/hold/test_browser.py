"""The same kernel in the browser."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Browser, Page

from generator.hold.demand import browser_case
from generator.hold.given import Setup, Stop, exactly
from generator.hold.grip import grip
from generator.hold.margin_map import margin_map
from tests.hold.make import clamped

SCRIPT = Path(__file__).parents[2] / "site_assets" / "onionskin" / "grip.js"
LAYOUTS = 500
MAPS = "setups => setups.map(s => Array.from(OnionskinGrip.map(s, 0, 0, 300, 200, 4, 3)))"
WORST = "([setup, points]) => OnionskinGrip.worst(setup, points)"

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def page(browser: Browser) -> Page:
    page = browser.new_page()
    page.add_script_tag(content=SCRIPT.read_text("utf-8"))
    return page


def random_setup(rng: np.random.Generator) -> Setup:
    places = [tuple(point) for point in rng.uniform((5, 5), (295, 195), (int(rng.integers(1, 9)), 2)).tolist()]
    stops = tuple(
        Stop(at=tuple(rng.uniform(0, 200, 2)), push=tuple(rng.normal(size=2)), capacity=exactly(rng.uniform(50, 900)),
             friction=exactly(rng.uniform(0, 0.5)))
        for _ in range(int(rng.integers(0, 3)) if rng.random() < 0.3 else 0)
    )  # fmt: skip
    lift, height = float(rng.choice([0.0, 15.0, 40.0])), float(rng.choice([0.0, 12.0]))
    return clamped(places, press=float(rng.uniform(20, 900)), lift=lift, height=height, stops=stops)


def test_browser_and_builder_agree_on_random_layouts(page: Page) -> None:
    """On 500 random layouts, with and without lift and stops, every map value agrees within one per cent."""
    rng = np.random.default_rng(2026)
    setups = [random_setup(rng) for _ in range(LAYOUTS)]
    shown = page.evaluate(MAPS, [browser_case(setup) for setup in setups])
    for setup, margins in zip(setups, shown, strict=True):
        assert margins == pytest.approx(margin_map(setup, 4, 3).margin.ravel().tolist(), rel=0.01, abs=1e-6)


def test_browser_finds_the_same_worst_place_and_pivot(page: Page) -> None:
    """Two clamps on one side: the worst of three places, what rules there, and the pivot are the same."""
    setup = clamped([(10, 60), (10, 140)], press=800)
    path = [(60.0, 100.0), (280.0, 90.0), (200.0, 150.0)]
    here, there = grip(setup, path), page.evaluate(WORST, [browser_case(setup), path])
    assert there["rules"] == here.rules.value
    assert there["margin"] == pytest.approx(here.lower, rel=0.01)
    assert (there["x"], there["y"]) == here.worst_point
    assert there["pivot"] == pytest.approx(list(here.pivot or ()), abs=3)


def test_a_number_that_is_none_gives_no_answer(page: Page) -> None:
    """A setup with a missing number gives NaN, never a margin."""
    setup = browser_case(clamped([(10, 10)]))
    broken = json.loads(json.dumps(setup | {"lift": None}))
    answer = page.evaluate("s => String(OnionskinGrip.answer(s, 1, 1).margin)", broken)
    assert answer == "NaN"


def test_the_script_is_classic_and_leaves_one_name(page: Page) -> None:
    """It runs as a plain script: no import, no export, no eval, and one frozen name on the page."""
    text = SCRIPT.read_text("utf-8")
    assert not any(word in text for word in ("import ", "export ", "eval(", "new Function"))
    assert page.evaluate("Object.isFrozen(window.OnionskinGrip) && Object.keys(OnionskinGrip).sort().join()") == (
        "answer,map,worst"
    )
