"""What axe-core finds against WCAG 2.2 AA, in the words a failing test shows."""

from __future__ import annotations

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
OPTIONS = {"runOnly": {"type": "tag", "values": LEVELS}, "rules": {"target-size": {"enabled": True}}}


def barriers(page: Page) -> list[tuple[str, list[str]]]:
    """Each rule the open page breaks, target size included, with the first elements that break it."""
    page.evaluate("Promise.all(document.getAnimations().map(one => one.finished.catch(() => null)))")
    found = Axe().run(page, options=OPTIONS).response["violations"]
    return [(rule["id"], [node["html"][:160] for node in rule["nodes"][:3]]) for rule in found]
