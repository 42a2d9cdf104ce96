"""Plan, set-up sheet and clamp bench say the same about the same clamps, also where they are not of our usual size."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from playwright.sync_api import Page

from generator.finding import Severity
from generator.hold.outline import box_to_path
from generator.hold.spots import NO_SPOT
from generator.holding.answer import Holding
from generator.holding.bench_data import bench_data
from generator.job_plan import plan_job
from generator.plain import write_pages
from tests.conftest import Visit
from tests.holding.make import copied

# A board of 12 by 8 in on a light machine with the outline 0.9 in from its edge. The clamps are 2 in long and 1 in wide and
# reach half an inch over the board, so each ends 7.0 mm from the middle of the cutter's path; 6.2 mm are wanted.
JOB = """\
name: Label board
machine: wren
stock: {material: birch-plywood, thickness_nominal: 1/2 in, thicknesses: [0.47 in, 0.47 in, 0.48 in, 0.47 in, 0.47 in],
        size_x: 12 in, size_y: 8 in}
cutters:
  - {id: quarter, number: 1, kind: upcut-spiral, diameter: 1/4 in, shank: 1/4 in, flutes: 2, flute_length: 3/4 in,
     stick_out: 1 1/4 in, max_speed: 27000 rpm, helix: 30 deg, material: carbide, worn: sharp}
operations:
  - name: outline
    cutter: quarter
    kind: profile-outside
    shape: {form: rectangle, x: 0.9 in, y: 0.9 in, size_x: 10.2 in, size_y: 6.2 in}
    through: yes
    tabs: {count: 4, width: 3/8 in, height: 1/8 in}
zero: {corner: front-left, z: stock-top, bed_x: 60 mm, bed_y: 90 mm}
hold_downs:
  - {kind: t-slots, name: front left, x: 3 in, y: -0.5 in, size_x: 1 in, size_y: 2 in, height: 12 mm}
  - {kind: t-slots, name: front right, x: 9 in, y: DEEP in, size_x: 1 in, size_y: 2 in, height: 12 mm}
  - {kind: t-slots, name: rear left, x: 3 in, y: 8.5 in, size_x: 1 in, size_y: 2 in, height: 12 mm}
  - {kind: t-slots, name: rear right, x: 9 in, y: 8.5 in, size_x: 1 in, size_y: 2 in, height: 12 mm}
safe_height: 1 in
stay_with_machine: 60 min
"""
# Where the front right clamp's middle lies in Y, inches from the board's edge, and what is to be said of it.
LAYOUTS = {"clear": -0.5, "tight": -0.41, "hit": -0.3}
WAY = "hold-clamp-in-the-way"


def jobs(folder: Path) -> Iterator[Path]:
    """One job for each layout, one that frees no part, and one whose size is not known, in a workshop of its own."""
    for old in (folder / "jobs").iterdir():
        old.unlink()
    for name, deep in LAYOUTS.items():
        path = folder / "jobs" / f"{name}.yml"
        path.write_text(JOB.replace("DEEP", str(deep)))
        yield path
    clear = JOB.replace("DEEP", "-0.5")
    tabs, through = "    tabs: {count: 4, width: 3/8 in, height: 1/8 in}\n", "    through: yes\n"
    pocket = clear.replace(tabs, "").replace(through, "    depth: 1/8 in\n").replace("profile-outside", "pocket")
    for name, text in {"pocket": pocket, "unsized": clear.replace("size_x: 12 in, ", "")}.items():
        path = folder / "jobs" / f"{name}.yml"
        path.write_text(text)
        yield path


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop with these jobs."""
    folder = copied(tmp_path_factory.mktemp("inch"))
    assert len(list(jobs(folder))) == len(LAYOUTS) + 2
    return folder


@pytest.fixture(scope="module")
def pages(shop: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Its course as plain files."""
    folder = tmp_path_factory.mktemp("pages") / "site"
    write_pages(shop, folder)
    return folder


def planned(shop: Path, name: str) -> Holding:
    found = plan_job(shop / "jobs" / f"{name}.yml").holding
    assert isinstance(found, Holding)
    return found


def said(found: Holding) -> list[Severity]:
    return [finding.severity for finding in found.findings if finding.id == WAY]


def verdict(page: Page) -> str:
    page.wait_for_function("document.querySelector('[data-bench-verdict]').textContent !== ''")
    page.wait_for_timeout(400)
    return page.inner_text("[data-bench-verdict]")


@pytest.mark.parametrize(("name", "wanted"), [("clear", []), ("tight", [Severity.WARN]), ("hit", [Severity.STOP])])
def test_the_plan_judges_a_clamp_by_its_own_rectangle(shop: Path, name: str, wanted: list[Severity]) -> None:
    """Half an inch over the board is clear of the cutter, 0.59 in is near it, 0.7 in is met."""
    assert said(planned(shop, name)) == wanted


def test_clamps_like_the_job_s_own_have_places(shop: Path) -> None:
    """Where the job's own clamps stand clear, there are places for more like them, and none says that there are not."""
    found = planned(shop, "clear")
    assert len(found.spots.spots) > 10
    assert NO_SPOT not in {finding.id for finding in found.findings}
    again = plan_job(shop / "jobs" / "clear.yml", [one.pad.at for one in found.spots.spots]).holding
    assert isinstance(again, Holding)
    assert said(again) == []


def test_no_place_found_does_not_gainsay_a_clamp_that_stands_clear(shop: Path, tmp_path: Path) -> None:
    """With one clamp so wide that no place for another such is left, those that stand clear are places all the same."""
    folder = copied(tmp_path)
    text = (shop / "jobs" / "clear.yml").read_text()
    text = text.replace("x: 3 in, y: -0.5 in, size_x: 1 in", "x: 3 in, y: -0.5 in, size_x: 19 in")
    path = folder / "jobs" / "wide.yml"
    path.write_text(text.replace("bed_x: 60 mm", "bed_x: 0 mm"))
    found = plan_job(path).holding
    assert isinstance(found, Holding)
    assert NO_SPOT not in {finding.id for finding in found.findings}


@pytest.mark.browser
@pytest.mark.parametrize("name", LAYOUTS)
def test_bench_and_sheet_say_what_the_plan_says(name: str, shop: Path, pages: Path, visit: Visit) -> None:
    """As planned, the bench calls a clamp in the way or near it exactly where plan and set-up sheet do."""
    findings = [finding for finding in planned(shop, name).findings if finding.id == WAY]
    visit.site = pages
    words = verdict(visit.open(f"bench/{name}.html"))
    assert ("do not cut" in words) == any(finding.severity is Severity.STOP for finding in findings)
    assert ("little is to spare" in words) == any(finding.severity is Severity.WARN for finding in findings)
    visit.page.click("[data-bench-restart]")
    assert verdict(visit.page) == words
    sheet = visit.open(f"sheets/{name}.html").inner_text("main").replace("\u00a0", " ")
    assert ("stands" in sheet and "middle of the cutter's path" in sheet) == bool(findings)
    assert "No clamp or screw has a place" not in sheet
    assert not visit.errors


@pytest.mark.browser
def test_a_clamp_that_was_moved_is_judged_as_the_plan_judges_that_layout(shop: Path, pages: Path, visit: Visit) -> None:
    """At every place offered and wherever else it is put, box and distance are Python's."""
    visit.site = pages
    page, found = visit.open("bench/clear.html"), planned(shop, "clear")
    clamp, board = found.situation.place.clamp, found.situation.place.board
    path = found.situation.cuts[0].path
    feet = [*(one.pad.at for one in found.spots.spots), (2.0, 90.0), (150.0, 100.0), (300.0, 3.0), (5.0, 200.0)]
    shown: list[Any] = page.evaluate(
        """(feet) => { const data = JSON.parse(document.querySelector('[data-bench]').dataset.bench), v = data.view.board;
        return feet.map(p => { const box = OnionskinPlaces.body(p, v.half, v.nose, data.board);
          return [box, Math.min(...v.paths.map(way => OnionskinPlaces.boxOff(box, way)))]; }); }""",
        feet,
    )
    for foot, (box, off) in zip(feet, shown, strict=True):
        assert box == pytest.approx(list(clamp.body(foot, board)), abs=1e-3)
        assert off == pytest.approx(box_to_path(clamp.body(foot, board), path), abs=2e-3)


def test_the_bench_gets_the_job_s_rectangles(shop: Path) -> None:
    """Each clamp as planned comes with the box that the job gives it."""
    bodies = bench_data(planned(shop, "clear"))["view"]["board"]["bodies"]
    boxes = sorted(tuple(body["box"]) for body in bodies)
    assert boxes[0] == pytest.approx((63.5, -38.1, 88.9, 12.7))
    assert len(boxes) == 4


COORDINATE = st.floats(-50, 50, allow_nan=False).map(lambda value: round(value, 2))


@settings(max_examples=200)
@given(
    st.tuples(COORDINATE, COORDINATE, st.floats(0.1, 40), st.floats(0.1, 40)),
    st.lists(st.tuples(COORDINATE, COORDINATE), min_size=1, max_size=5),
)
def test_the_distance_from_a_box_to_a_path_is_that_of_their_nearest_points(
    box: tuple[float, float, float, float], points: list[tuple[float, float]]
) -> None:
    """No pair of points of box and path is nearer, and some sampled pair is as near within the sampling."""
    x, y, wide, deep = box
    path = np.array(points)
    walk = np.concatenate([path, *(np.linspace(a, b, 200) for a, b in itertools.pairwise(path))])
    away = np.maximum(np.maximum((x, y) - walk, walk - (x + wide, y + deep)), 0.0)
    sampled = float(np.hypot(*away.T).min())
    exact = box_to_path((x, y, x + wide, y + deep), path)
    assert exact <= sampled + 1e-9
    assert sampled <= exact + 0.75


def test_a_bench_says_which_exercises_its_job_allows(pages: Path) -> None:
    """All three without a word more, two with what is left out and why, none where nothing can be drawn."""
    three, two, none = ((pages / "bench" / f"{job}.html").read_text("utf-8") for job in ("clear", "pocket", "unsized"))
    assert [len(re.findall("<li data-exercise=", html)) for html in (three, two, none)] == [3, 2, 0]
    assert "of the three exercises" not in three
    assert "This job allows two of the three exercises. “Hold the part as it comes free” is left out" in two
    assert "there are no exercises here" in none
    assert "up to three exercises" in (pages / "clamp-bench.html").read_text("utf-8")
