"""The cutter's path from the outline: as far away as the cutter is thick, on the side the operation says."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.hold.outline import area, distance_to_segments, inside
from generator.holding.cut_path import loops_of, offset, outlines_of, shrunk
from generator.holding.parts import spread_along
from generator.model.job import Operation
from generator.model.shape import Circle, GridOfCircles, Polygon, Rectangle, Shape


def mm(values: dict[str, object]) -> dict[str, object]:
    """Numbers as a job file writes them."""
    return {name: f"{value} mm" if isinstance(value, float) else value for name, value in values.items()}


SIDES: dict[str, object] = {"form": "rectangle", "x": 10.0, "y": 20.0, "size_x": 100.0, "size_y": 60.0}
RECTANGLE = Rectangle.model_validate(mm(SIDES))
ROUNDED = Rectangle.model_validate(mm(SIDES | {"corner_radius": 12.0}))
CIRCLE = Circle.model_validate(mm({"form": "circle", "x": 50.0, "y": 50.0, "diameter": 40.0}))
CORNERS = [(0, 0), (80, 0), (80, 60), (40, 25), (0, 60)]


def polygon(corners: list[tuple[int, int]]) -> Polygon:
    return Polygon.model_validate({"form": "polygon", "points": [[f"{x} mm", f"{y} mm"] for x, y in corners]})


NOTCHED = polygon(CORNERS)


def operation(kind: str, shape: Shape) -> Operation:
    made = Operation.model_validate({"name": "cut", "cutter": "c", "kind": "on-line", "depth": "3 mm",
                                     "shape": mm(SIDES)})  # fmt: skip
    return made.model_copy(update={"kind": kind, "shape": shape})


def away(points: np.ndarray, outline: np.ndarray) -> np.ndarray:
    return distance_to_segments(points, outline, np.roll(outline, -1, axis=0)).min(axis=1)


@pytest.mark.parametrize("shape", [RECTANGLE, ROUNDED, CIRCLE, NOTCHED], ids=["square", "rounded", "circle", "notched"])
@pytest.mark.parametrize("radius", [1.5, 3.0, 6.0])
def test_an_outside_cut_stays_one_radius_outside(shape: Shape, radius: float) -> None:
    """Every point lies a radius from the outline and outside of it, but for the inner corner that a round cutter spares."""
    outline, (loop,) = outlines_of(shape)[0], loops_of(operation("profile-outside", shape), radius)
    assert away(loop, outline) == pytest.approx(np.full(len(loop), radius), rel=0.02)
    assert not inside(loop, outline).any()
    assert loop[0] == pytest.approx(loop[-1])


@pytest.mark.parametrize("shape", [RECTANGLE, ROUNDED, CIRCLE], ids=["square", "rounded", "circle"])
@pytest.mark.parametrize("kind", ["profile-inside", "pocket"])
def test_an_inside_cut_stays_one_radius_inside(kind: str, shape: Shape) -> None:
    """Every point of pocket and inside profile lies inside, no nearer to the wall than the cutter's radius."""
    outline = outlines_of(shape)[0]
    for loop in loops_of(operation(kind, shape), 3.0):
        assert inside(loop, outline).all()
        assert away(loop, outline).min() >= 3.0 * 0.98


def test_a_pocket_is_cleared_all_over() -> None:
    """No place in a pocket is farther from the cutter's path than the cutter's width."""
    path = np.concatenate(loops_of(operation("pocket", RECTANGLE), 3.0))
    xs, ys = np.meshgrid(np.linspace(13, 107, 40), np.linspace(23, 77, 40))
    for x, y in zip(xs.ravel(), ys.ravel(), strict=True):
        assert np.hypot(*(path - (x, y)).T).min() < 6.0


def test_corners_are_rounded_as_the_cutter_goes_round_them() -> None:
    """Outside a square corner the path is an arc: its length is the square's and a whole turn of the radius."""
    (loop,) = loops_of(operation("profile-outside", RECTANGLE), 5.0)
    length = np.hypot(*np.diff(loop, axis=0).T).sum()
    assert length == pytest.approx(2 * (100 + 60) + 2 * math.pi * 5, rel=1e-3)


def test_drill_and_a_bore_of_the_cutter_s_size_are_points() -> None:
    """A drilled hole is its centre, and so is a hole no wider than the cutter; a wider one is bored on a circle."""
    grid = GridOfCircles.model_validate(mm({
        "form": "grid-of-circles", "x": 10.0, "y": 10.0, "pitch_x": 20.0, "pitch_y": 20.0, "columns": 3, "rows": 2,
        "diameter": 6.0,
    }))  # fmt: skip
    assert [loop.tolist() for loop in loops_of(operation("drill", grid), 2.0)] == [[list(at)] for at in grid.centres()]
    assert all(len(loop) == 1 for loop in loops_of(operation("bore", grid), 3.0))
    (bored,) = loops_of(operation("bore", CIRCLE), 3.0)
    assert np.hypot(*(bored - (50, 50)).T) == pytest.approx(np.full(len(bored), 17.0), rel=2e-3)


@pytest.mark.parametrize("clockwise", [False, True])
def test_the_direction_of_drawing_does_not_matter(clockwise: bool) -> None:
    """Corners given either way round mean the same piece."""
    outline = outlines_of(polygon(CORNERS[::-1] if clockwise else CORNERS))[0]
    assert area(offset(outline, 3.0)) > area(outline) > area(shrunk(outline, 3.0))


@settings(max_examples=100, deadline=None)
@given(
    count=st.integers(3, 12),
    radius=st.floats(0.5, 8),
    wide=st.floats(40, 300),
    deep=st.floats(40, 300),
    turn=st.floats(0, 6),
)
def test_an_outline_of_any_convex_shape_grows_by_its_length_and_a_disc(
    count: int, radius: float, wide: float, deep: float, turn: float
) -> None:
    """Steiner's formula for convex shapes: the area grows by length times radius and a disc (arcs drawn by chords)."""
    angles = turn + 2 * np.pi * np.arange(count) / count
    outline = np.stack([wide * np.cos(angles), deep * np.sin(angles)], axis=1)
    length = np.hypot(*(outline - np.roll(outline, 1, axis=0)).T).sum()
    assert area(offset(outline, radius)) == pytest.approx(area(outline) + length * radius + np.pi * radius**2, rel=2e-3)


@settings(max_examples=50, deadline=None)
@given(count=st.integers(1, 20))
def test_tabs_are_spread_evenly(count: int) -> None:
    """Tabs stand on the outline, all the same way along it from the next."""
    outline = [(0.0, 0.0), (90.0, 0.0), (90.0, 40.0), (0.0, 40.0)]
    places = np.array(spread_along(outline, count))
    assert away(places, np.array(outline)).max() < 1e-9
    if count > 4:
        assert np.hypot(*(places - np.roll(places, 1, axis=0)).T).max() <= 260 / count + 1e-9
