"""Plane shapes: hulls, the few points that stand for a long path, insides, areas and distances. Millimetres."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from generator.hold.given import HoldInputError, Point
from generator.hold.kernel import Floats

Flags = npt.NDArray[np.bool_]

RING_DIRECTIONS = 128
MOST_CORNERS = 64


def as_points(name: str, points: Sequence[Point] | Floats) -> Floats:
    """The points as an array (n,2). Raises HoldInputError for another shape, no point, or a number that is not one."""
    array = np.asarray(points, dtype=np.float64)
    if array.ndim != 2 or array.shape[1] != 2 or not len(array):
        raise HoldInputError(f"{name} must be a list of at least one (x, y) point in mm")
    if not np.isfinite(array).all():
        bad = int(np.flatnonzero(~np.isfinite(array).all(axis=1))[0])
        raise HoldInputError(f"{name}: point {bad + 1} is not a finite pair of numbers")
    return array


class Ring(Struct, frozen=True, eq=False):
    """Few points that stand for many: the hull lies inside `outer` (m,2); `real` (k,2) are given points on the hull."""

    outer: Floats
    real: Floats


def ring(points: Floats) -> Ring:
    """The convex hull where it has few corners, else its tangents in equal directions and the points they touch.

    The tangents overshoot a curve of radius r by r/3300 at most (1/cos(pi/128) - 1).
    """
    touching, corners = _tangents(points)
    left = points[~inside_convex(points, hull(touching))]
    if len(left) > 4096:
        return Ring(corners, hull(touching))
    exact = hull(np.concatenate([touching, left]))
    return Ring(exact, exact) if len(exact) <= MOST_CORNERS else Ring(corners, exact)


def _tangents(points: Floats) -> tuple[Floats, Floats]:
    angles = 2 * np.pi * np.arange(RING_DIRECTIONS) / RING_DIRECTIONS
    d = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    # directions first: numpy finds the largest of each long row several times faster than of each column
    along = d @ points.T
    first = along.argmax(axis=1)
    offset = along[np.arange(RING_DIRECTIONS), first]
    after = np.roll(offset, -1)
    e = np.roll(d, -1, axis=0)
    det = d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0]
    x = (offset * e[:, 1] - after * d[:, 1]) / det
    y = (after * d[:, 0] - offset * e[:, 0]) / det
    return points[first], np.stack([x, y], axis=1)


def hull(points: Floats) -> Floats:
    """Corners of the convex hull, anticlockwise (Andrew's monotone chain, Inf. Proc. Letters 9, 1979)."""
    rows = sorted({(float(x), float(y)) for x, y in points.tolist()})
    if len(rows) < 3:
        return np.array(rows).reshape(-1, 2)
    return np.array(_chain(rows)[:-1] + _chain(rows[::-1])[:-1])


def _chain(rows: list[Point]) -> list[Point]:
    kept: list[Point] = []
    for x, y in rows:
        while len(kept) > 1 and _turn(kept[-2], kept[-1], (x, y)) <= 0:
            kept.pop()
        kept.append((x, y))
    return kept


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def edges_inward(corners: Floats) -> tuple[Floats, Floats]:
    """Inward unit normals (m,2) and offsets (m,) of an anticlockwise convex shape: distance inward is p.n - offset."""
    along = np.roll(corners, -1, axis=0) - corners
    normal = np.stack([-along[:, 1], along[:, 0]], axis=1)
    normal /= np.hypot(normal[:, 0], normal[:, 1])[:, None]
    return normal, np.einsum("md,md->m", normal, corners)


def inside_convex(points: Floats, corners: Floats) -> Flags:
    """Which points (n,) lie strictly inside an anticlockwise convex shape; none where it has no inside."""
    if len(corners) < 3:
        return np.zeros(len(points), dtype=np.bool_)
    normal, offset = edges_inward(corners)
    strictly = np.ones(len(points), dtype=np.bool_)
    for n, least in zip(normal, offset, strict=True):
        strictly &= points @ n > least
    return strictly


def inside(points: Floats, outline: Floats) -> Flags:
    """Which points (n,) lie inside a simple outline, by counting crossings; on the edge it may say either."""
    a, b = outline, np.roll(outline, -1, axis=0)
    x, y = points[:, :1], points[:, 1:]
    straddles = (a[:, 1] > y) != (b[:, 1] > y)
    rise = np.where(b[:, 1] == a[:, 1], 1.0, b[:, 1] - a[:, 1])
    crossing = a[:, 0] + (y - a[:, 1]) * (b[:, 0] - a[:, 0]) / rise
    odd: Flags = (straddles & (x < crossing)).sum(axis=1) % 2 == 1
    return odd


def area(outline: Floats) -> float:
    """Area of a simple outline by the shoelace rule, mm2, never negative."""
    x, y = outline[:, 0], outline[:, 1]
    return float(abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2)


def centroid(outline: Floats) -> Floats:
    """Centre of area (2,) of a simple outline; the mean of its corners where it has no area."""
    origin = outline.mean(axis=0)
    a = outline - origin
    b = np.roll(a, -1, axis=0)
    cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    total = cross.sum()
    if abs(total) < 1e-12:
        return np.asarray(origin, dtype=np.float64)
    return np.asarray(origin + ((a + b) * cross[:, None]).sum(axis=0) / (3 * total), dtype=np.float64)


def distance_to_segments(points: Floats, a: Floats, b: Floats) -> Floats:
    """Distances (n,m) from points (n,2) to segments a-b (m,2)."""
    along = b - a
    length2 = np.maximum(np.einsum("md,md->m", along, along), 1e-300)
    x, y = points[:, :1] - a[:, 0], points[:, 1:] - a[:, 1]
    share = np.clip((x * along[:, 0] + y * along[:, 1]) / length2, 0.0, 1.0)
    away: Floats = np.hypot(x - share * along[:, 0], y - share * along[:, 1])
    return away


def box_to_path(box: tuple[float, float, float, float], path: Floats) -> float:
    """Distance from an upright box (x low, y low, x high, y high) to a path (n,2); 0 where it touches or crosses."""
    a, b = path, np.concatenate([path[1:], path[-1:]])
    if _meets_box(box, a, b).any():
        return 0.0
    x0, y0, x1, y1 = box
    beside = np.maximum(np.maximum((x0, y0) - path, path - (x1, y1)), 0.0)
    corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    return float(min(np.hypot(*beside.T).min(), distance_to_segments(corners, a, b).min()))


def _meets_box(box: tuple[float, float, float, float], a: Floats, b: Floats) -> Flags:
    """Which segments a-b (m,2) have a part inside an upright box: their spans between its two pairs of sides meet."""
    along = b - a
    along = np.where(np.abs(along) < 1e-12, 1e-12, along)
    first, second = (np.array(box[:2]) - a) / along, (np.array(box[2:]) - a) / along
    enters = np.maximum(np.minimum(first, second).max(axis=1), 0.0)
    leaves = np.minimum(np.maximum(first, second).min(axis=1), 1.0)
    met: Flags = enters <= leaves
    return met


def farthest(points: Floats, corners: Floats) -> Floats:
    """Distance (n,) from each point to the corner farthest from it."""
    away: Floats = np.hypot(points[:, :1] - corners[:, 0], points[:, 1:] - corners[:, 1]).max(axis=1)
    return away
