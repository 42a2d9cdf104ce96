"""The bed from above: to scale, with every layer, and a map whose lines lie where the margin says."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

from generator.course import Course
from generator.hold.margin_map import MarginMap, margin_map
from generator.holding.contours import contour, levels_for, region
from generator.holding.picture import best_layout, own_layout, picture, view_of
from generator.holding.words import placing_order
from generator.pages.build import build_site
from tests.holding.make import worked

LAYERS = ["bed", "map", "board", "cut", "lines", "spots", "fixed", "clamps", "worst", "scale"]


def drawn(folder: Path, machine: str = "heron") -> ET.Element:
    found = worked(folder, machine)
    return ET.fromstring(picture(found, own_layout(found)))


@pytest.mark.parametrize("machine", ["heron", "wren", "bittern"])
def test_every_layer_is_there_in_order(machine: str, folder: Path) -> None:
    """Each picture is well-formed and has its layers from the bed up."""
    root = drawn(folder, machine)
    assert [group.get("data-layer") for group in root.findall("g")] == LAYERS
    assert all(len(group) for group in root.findall("g") if group.get("data-layer") not in {"spots", "fixed", "clamps"})


def test_the_board_is_drawn_to_scale(folder: Path) -> None:
    """Board and scale bar have the same drawing units for each millimetre, in X and in Y."""
    root, scale = drawn(folder), view_of(worked(folder)).scale
    board = root.find("g[@data-layer='board']/rect")
    bar = re.search(r"h([\d.]+)m", root.find("g[@data-layer='scale']/path").get("d"))  # type: ignore[union-attr, arg-type]
    assert float(board.get("width")) == pytest.approx(360 * scale, abs=0.1)  # type: ignore[union-attr, arg-type]
    assert float(board.get("height")) == pytest.approx(260 * scale, abs=0.1)  # type: ignore[union-attr, arg-type]
    assert float(bar.group(1)) == pytest.approx(100 * scale, abs=0.1)  # type: ignore[union-attr]


def test_clamps_are_numbered_as_they_are_set(folder: Path) -> None:
    """The clamps carry 1 to 4 and each next one is the farthest from those that stand."""
    root = drawn(folder)
    words = [text.text for text in root.findall("g[@data-layer='clamps']/text")]
    assert words == ["1", "2", "3", "4"]
    assert placing_order([(0, 0), (10, 0), (300, 200), (0, 200)]) == (0, 2, 3, 1)


def test_weakest_place_pivot_and_wanted_line_are_marked(folder: Path) -> None:
    """The weakest place, the pivot and the thick line of the wanted margin are in the picture, in words too."""
    root = drawn(folder)
    labels = {text.text for text in root.iter("text")}
    assert {"weakest", "pivot", "front"} <= labels
    assert root.find(".//path[@class='b-line b-line-wanted']") is not None
    assert "would turn about (10, 50) mm" in (root.get("aria-label") or "")


def test_a_layout_with_more_room_shows_the_fewest_clamps(folder: Path) -> None:
    """The best layout's picture has as many numbered clamps as the layout counts."""
    found = worked(folder, "wren")
    root = ET.fromstring(picture(found, best_layout(found)))
    assert len(root.findall("g[@data-layer='clamps']/text")) == found.layout.count


def test_lines_lie_where_the_margin_says() -> None:
    """On a map that rises straight from 0 at the left to 6 at the right, each line stands at its sixth of the width."""
    x, y = np.linspace(0, 300, 31), np.linspace(0, 200, 21)
    found = MarginMap(x, y, np.tile(x / 50, (21, 1)))
    for level in (1.0, 2.0, 4.5):
        points = np.array(contour(found, level)).reshape(-1, 2)
        assert points[:, 0] == pytest.approx(np.full(len(points), 50 * level))
        assert np.ptp(points[:, 1]) == pytest.approx(200)


def shoelace(way: str) -> float:
    total = 0.0
    for piece in way.split("M")[1:]:
        points = np.array([[float(n) for n in pair.split()] for pair in piece.rstrip("Z").split("L")])
        x, y = points[:, 0], points[:, 1]
        total += abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2
    return total


def test_the_areas_are_as_large_as_what_reaches_the_level(folder: Path) -> None:
    """Each coloured area is as large as the share of a fine map that reaches its level."""
    found = worked(folder)
    fine, coarse = margin_map(own_layout(found).setup, 150, 110), margin_map(own_layout(found).setup, 46, 32)
    for level in levels_for(found.needed)[:3]:
        share = float((fine.margin >= level).mean())
        assert shoelace(region(coarse, level, lambda x, y: f"{x} {y}")) / (360 * 260) == pytest.approx(share, abs=0.02)


def test_sheet_and_bench_show_the_bed(course: Course) -> None:
    """Every job's set-up sheet and its bench carry the picture; the sheet leads to the bench, a list to all benches."""
    pages = {page.path: page for page in build_site(course)[0]}
    for job in course.jobs:
        assert 'data-layer="map"' in pages[f"sheets/{job}.html"].html
        assert 'data-layer="map"' in pages[f"bench/{job}.html"].html
        assert f"../bench/{job}.html" in pages[f"sheets/{job}.html"].html
        assert f"bench/{job}.html" in pages["clamp-bench.html"].html
        assert not pages[f"bench/{job}.html"].in_menu
    assert "clamp-bench.html" in pages["lessons/clamps-and-pivots.html"].html
