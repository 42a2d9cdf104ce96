"""Looking at the page from a test."""

from __future__ import annotations

from playwright.sync_api import Page


def state(page: Page) -> dict[str, float]:
    found: dict[str, float] = page.evaluate(
        "(({clock, place}) => ({time: clock.time, index: clock.index, speed: clock.speed, playing: clock.playing,"
        " place: place()}))(OnionskinRehearsal)"
    )
    return found


def settle(page: Page) -> None:
    """Two frames: one in which the change is drawn, one to be sure."""
    page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")


def until(page: Page, condition: str) -> None:
    """Waits for a condition; the page's own policy forbids the ways Playwright has for it."""
    for _ in range(500):
        if page.evaluate(condition):
            return
        page.wait_for_timeout(20)
    raise AssertionError(f"never came true: {condition}")


def ink(page: Page, view: str, layer: str) -> str:
    picture: str = page.eval_on_selector(f"[data-view={view}] [{layer}]", "canvas => canvas.toDataURL()")
    return picture


def drawn(page: Page) -> list[str]:
    """Both views as drawn: the path as pixels, what stands still as elements."""
    settle(page)
    return [
        ink(page, view, "data-faint") + page.inner_html(f"[data-view={view}] [data-still]") for view in ("plan", "side")
    ]
