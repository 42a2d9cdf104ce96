"""Drawings in Chromium: the same text as Python's, and labels that can be read."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from generator.course import Course
from generator.figures import draw, figure_js, part_js
from generator.units import UNITS
from tests.figure_cases import all_cases, shown_cases

pytestmark = pytest.mark.browser

ASSETS = Path(__file__).parent.parent / "site_assets" / "onionskin"

# Labels that leave the drawing or lie on another label; a little overlap of line boxes is only leading.
UNREADABLE = """() => [...document.querySelectorAll("svg")].flatMap((svg) => {
  const frame = svg.getBoundingClientRect(), faults = [];
  const labels = [...svg.querySelectorAll("text")].map((text) => [text.textContent, text.getBoundingClientRect()]);
  labels.forEach(([words, box], i) => {
    const beside = box.left < frame.left - 1 || box.right > frame.right + 1;
    if (beside || box.top < frame.top - 2 || box.bottom > frame.bottom + 2)
      faults.push(svg.dataset.figure + ": '" + words + "' leaves the drawing");
    labels.slice(i + 1).forEach(([others, other]) => {
      const wide = Math.min(box.right, other.right) - Math.max(box.left, other.left);
      const high = Math.min(box.bottom, other.bottom) - Math.max(box.top, other.top);
      if (wide > 1 && high > 4) faults.push(svg.dataset.figure + ": '" + words + "' lies on '" + others + "'");
    });
  });
  return faults;
})"""


def drawings(course: Course) -> str:
    """A script with every figure and part."""
    figures = ",".join(f"{json.dumps(item.id)}:{figure_js(item)}" for item in course.library.figures.values())
    parts = ",".join(f"{json.dumps(item.id)}:{part_js(item)}" for item in course.library.parts.values())
    tree = f"{{figures:{{{figures}}},parts:{{{parts}}}}}"
    return f"(function(X){{window.OnionskinDrawings={tree};}})(window.OnionskinX);"


@pytest.fixture(scope="module")
def page(browser: Browser, course: Course) -> Iterator[Page]:
    """An empty page on a phone, with the drawings and what draws them."""
    context = browser.new_context(viewport={"width": 390, "height": 800})
    page = context.new_page()
    units = {tag: {"label": unit.label, "decimals": unit.decimals} for tag, unit in UNITS.items()}
    page.evaluate((ASSETS / "primitives.js").read_text(encoding="utf-8"))
    page.evaluate(f"Object.assign(window.OnionskinX.units, {json.dumps(units)})")
    page.evaluate(drawings(course))
    page.evaluate((ASSETS / "figures.js").read_text(encoding="utf-8"))
    yield page
    context.close()


def test_the_browser_draws_what_python_draws(page: Page, course: Course) -> None:
    """Every figure, for the demo machines, for unknowns and for random inputs, is the same text on both sides."""
    for figure in course.library.figures.values():
        cases = list(all_cases(figure, course, 100))
        theirs = page.evaluate(
            "([id, scopes]) => scopes.map((scope) => window.OnionskinFigures.draw(id, scope))",
            [figure.id, [scope for _, scope in cases]],
        )
        for (name, scope), found in zip(cases, theirs, strict=True):
            assert found == draw(figure, scope), f"{figure.id}, {name}"


def test_labels_can_be_read_on_a_phone(page: Page, course: Course) -> None:
    """On a page 390 px wide no label leaves its drawing and none covers another, for every demo machine."""
    figures = course.library.figures.values()
    drawn = [draw(figure, scope) for figure in figures for _, scope in shown_cases(figure, course)]
    style = (ASSETS / "figures.css").read_text(encoding="utf-8") + "body{margin:0 16px;font-family:sans-serif}"
    page.set_content(f"<style>{style}</style>{''.join(drawn)}")

    assert page.evaluate(UNREADABLE) == []
