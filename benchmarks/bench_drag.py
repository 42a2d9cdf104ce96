"""One step of a drag on each clamp bench, from the pointer's event to the painted frame, against a budget of 50 ms.

The browser's own marks are read: one as the pointer's event arrives, one in the first task after the frame it caused
was painted. The wait for the next frame is in it, up to 17 ms. Beside it stand the full map drawn once a clamp is let
go, and the margin map in Python against its own budget. Run from the root: python -m benchmarks.bench_drag
"""

from __future__ import annotations

import shutil
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from generator.course import demo_folder
from generator.hold.margin_map import margin_map
from generator.holding.answer import Holding
from generator.holding.picture import own_layout
from generator.job_plan import plan_job
from generator.plain import write_pages

BUDGET_MS, MAP_BUDGET_MS = 50.0, 300.0
STEPS, PAUSE_MS = 60, 25
MARKS = """() => addEventListener('pointermove', () => {
  performance.mark('moved');
  requestAnimationFrame(() => {
    const after = new MessageChannel();
    after.port1.onmessage = () => performance.measure('step', 'moved');
    after.port2.postMessage(0);
  });
}, true)"""
FULL = """() => {
  const data = JSON.parse(document.querySelector('[data-bench]').dataset.bench), v = data.view.board, b = data.board;
  const setup = {...v.case, pads: [...v.others, ...v.areas, ...v.start]}, times = [];
  for (let i = 0; i < 9; i += 1) {
    const start = performance.now();
    OnionskinGrip.map(setup, b[0], b[1], b[2], b[3], data.columns, data.rows);
    times.push(performance.now() - start);
  }
  return times.sort((a, b) => a - b)[4];
}"""


def dragged(page: Page) -> list[float]:
    """Milliseconds of each step while the first clamp is drawn to and fro, in rising order."""
    foot = page.locator("[data-layer=clamps] > g").first.locator(".b-ring")
    foot.scroll_into_view_if_needed()
    box = foot.bounding_box()
    if box is None:
        raise SystemExit("the clamp is not on the screen")
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.evaluate(MARKS)
    for step in range(STEPS):
        page.mouse.move(x + step % 9, y + 4 * (step - STEPS / 2))
        page.wait_for_timeout(PAUSE_MS)
    page.mouse.up()
    page.wait_for_timeout(300)
    return sorted(page.evaluate("() => performance.getEntriesByName('step').map(entry => entry.duration)"))


def bench(browser: Browser, site: Path, job: Path) -> None:
    """Print one job's drag, full map and Python map as ratios to their budgets."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto((site / f"bench/{job.stem}.html").as_uri())
    page.wait_for_timeout(800)
    if not page.locator("[data-layer=clamps] > g").count():
        page.click("[data-bench-add]")
        page.wait_for_timeout(300)
    steps, full = dragged(page), float(page.evaluate(FULL))
    middle, late = steps[len(steps) // 2], steps[int(len(steps) * 0.95)]
    print(f"{job.stem}: {len(steps)} drag steps, middle {middle / BUDGET_MS:.2f}, 95 of 100 within "
          f"{late / BUDGET_MS:.2f}, longest {steps[-1] / BUDGET_MS:.2f} of {BUDGET_MS:.0f} ms; "
          f"full map {full / BUDGET_MS:.2f} of it; {_in_python(job)}")  # fmt: skip
    page.close()


def _in_python(job: Path) -> str:
    found = plan_job(job).holding
    if not isinstance(found, Holding):
        return "no map in Python"
    setup, times = own_layout(found).setup, []
    for _ in range(5):
        start = time.perf_counter()
        margin_map(setup)
        times.append(time.perf_counter() - start)
    return f"60x40 map in Python {min(times) * 1000 / MAP_BUDGET_MS:.2f} of {MAP_BUDGET_MS:.0f} ms"


def main() -> None:
    """Every job of the demo workshop; without a browser it says so."""
    chromium = next((found for name in ("chromium", "chromium-browser") if (found := shutil.which(name))), None)
    if chromium is None:
        print("no Chromium is installed, so nothing is dragged")
        return
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        write_pages(None, Path(folder))
        browser = play.chromium.launch(executable_path=chromium)
        for job in sorted((demo_folder() / "jobs").glob("*.yml")):
            bench(browser, Path(folder), job)
        browser.close()


if __name__ == "__main__":
    main()
