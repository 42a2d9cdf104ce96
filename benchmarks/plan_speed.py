"""`onionskin plan` against starting Python with click, and one recomputation of a calculator against a frame.

Aims: a plan well under half a second on an ordinary laptop; a calculator's answer within 16 ms of a keystroke.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from benchmarks._runs import seconds
from generator.course import demo_folder
from generator.host import build_with_mkdocs

FRAME_MS = 1000 / 60
TYPE = """() => {
  const field = document.querySelector('form[data-calculator] input[type=number]'), times = [];
  for (let i = 0; i < 50; i += 1) {
    field.value = String(3 + (i % 5));
    const start = performance.now();
    field.dispatchEvent(new Event('input', {bubbles: true}));
    times.push(performance.now() - start);
  }
  return times.sort((a, b) => a - b)[25];
}"""


def slowest_calculator(site: Path) -> tuple[str, float]:
    """The calculator page that takes longest to follow a keystroke, and its milliseconds."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page()
        found = []
        for path in sorted((site / "calculators").glob("*.html")):
            page.goto(path.as_uri())
            found.append((page.evaluate(TYPE), path.stem))
        browser.close()
    worst, name = max(found)
    return name, worst


def main() -> None:
    """Prints the two ratios."""
    job = demo_folder() / "jobs" / "dibber-board.yml"
    plan = seconds([sys.executable, "-m", "generator", "plan", str(job)])
    click = seconds([sys.executable, "-c", "import click"])
    print(f"onionskin plan / python -c 'import click': {plan / click:.1f} ({plan:.2f} s here, aim < 0.5 s)")
    with tempfile.TemporaryDirectory() as temporary:
        site = Path(temporary) / "site"
        build_with_mkdocs(None, site)
        name, milliseconds = slowest_calculator(site)
    print(f"slowest calculator ({name}) / one frame: {milliseconds / FRAME_MS:.2f} (aim < 1)")


if __name__ == "__main__":
    main()
