"""Plane shapes, against scipy and against known areas."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull, QhullError

from generator.hold.outline import area, centroid, distance_to_segments, hull, inside, inside_convex, ring
from tests.hold.make import numbers

CLOUDS = st.lists(st.tuples(numbers(-200, 200), numbers(-200, 200)), min_size=3, max_size=60, unique=True)
# an L of two squares, so that its hull is not itself
ELL = np.array([(0, 0), (20, 0), (20, 10), (10, 10), (10, 20), (0, 20)], dtype=np.float64)


@settings(max_examples=80, deadline=None)
@given(CLOUDS)
def test_the_hull_is_the_one_of_scipy(cloud: list[tuple[float, float]]) -> None:
    """Corners of the hull enclose the area that Qhull finds."""
    points = np.array(cloud)
    try:
        expected = ConvexHull(points).volume
    except QhullError:
        assert area(hull(points)) == pytest.approx(0, abs=1e-6)
        return
    assert area(hull(points)) == pytest.approx(expected, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(3, 6000))
def test_a_ring_never_leaves_a_point_outside(seed: int, count: int) -> None:
    """The few points that stand for a path enclose all of it, and the real ones are points of it."""
    rng = np.random.default_rng(seed)
    points = rng.normal(0, (50, 20), (count, 2))
    few = ring(points)
    assert len(few.outer) <= 128
    middle = few.outer.mean(axis=0)
    assert inside_convex(points, hull(middle + (few.outer - middle) * (1 + 1e-6))).all()
    assert {tuple(point) for point in few.real.tolist()} <= {tuple(point) for point in points.tolist()}


def test_a_round_path_of_many_points_is_enclosed_closely() -> None:
    """For 100 000 points on a circle of 100 mm the enclosing ring reaches 0.03 mm further at most."""
    angles = np.linspace(0, 2 * np.pi, 100_000)
    few = ring(100 * np.stack([np.cos(angles), np.sin(angles)], axis=1))
    reach = np.hypot(few.outer[:, 0], few.outer[:, 1])
    assert reach.min() >= 100 - 1e-3
    assert reach.max() <= 100.031


def test_area_centroid_and_inside_of_an_l_shape() -> None:
    """An L of 300 mm2 has its centre at (25/3, 25/3), holds its corner square and not its notch."""
    assert area(ELL) == 300
    assert centroid(ELL) == pytest.approx([25 / 3, 25 / 3])
    assert inside(np.array([[5.0, 5.0], [15.0, 15.0]]), ELL).tolist() == [True, False]


def test_distances_to_segments() -> None:
    """Beside a segment the distance is square to it, beyond its end it is to the end; a point is a segment too."""
    a, b = np.array([[0.0, 0.0], [5.0, 5.0]]), np.array([[10.0, 0.0], [5.0, 5.0]])
    away = distance_to_segments(np.array([[5.0, 3.0], [13.0, 4.0]]), a, b)
    assert away == pytest.approx(np.array([[3.0, 2.0], [5.0, math.hypot(8, 1)]]))
