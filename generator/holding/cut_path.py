"""Where the middle of the cutter goes, from the job's operations: the outline moved by the cutter's radius. mm."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from msgspec import Struct

from generator.hold.kernel import Floats
from generator.hold.outline import distance_to_segments, inside
from generator.model.job import Job, Operation
from generator.model.shape import Circle, GridOfCircles, Polygon, Rectangle, Shape

# a turn of the path is at least this many points; the chords then leave the arc by less than a percent of its radius
ARC_STEP = np.pi / 16
CLEARED = ("pocket", "surface")


class Cut(Struct, frozen=True, eq=False):
    """One operation with its cutter's radius and the loops (n,2) that the cutter's middle goes round."""

    operation: Operation
    radius: float
    loops: tuple[Floats, ...]

    @property
    def path(self) -> Floats:
        """All loops as one array of points (n,2)."""
        return np.concatenate(self.loops)


def cuts_of(job: Job) -> tuple[Cut, ...]:
    """Every operation in order; a cutter of unknown diameter cuts along the outline itself."""
    found = []
    for operation in job.operations:
        radius = (job.cutter_diameter(operation) or 0.0) / 2
        found.append(Cut(operation, radius, loops_of(operation, radius)))
    return tuple(found)


def loops_of(operation: Operation, radius: float) -> tuple[Floats, ...]:
    """The loops (n,2) of the cutter's middle for one operation; a single point for a drilled hole."""
    return tuple(loop for outline in outlines_of(operation.shape) for loop in _loops(operation, outline, radius))


def _loops(operation: Operation, outline: Floats, radius: float) -> Iterator[Floats]:
    match operation.kind:
        case "on-line":
            yield _closed(outline)
        case "profile-outside":
            yield _closed(offset(outline, radius))
        case "drill":
            yield _middle(outline)
        case _:
            yield _closed(shrunk(outline, radius))
    if operation.kind in CLEARED:
        yield from _rows(outline, radius)


def outlines_of(shape: Shape) -> list[Floats]:
    """Each closed line of a shape as corners (n,2), anticlockwise."""
    match shape:
        case Rectangle():
            return [_rectangle(shape)]
        case Circle():
            return [_arc((shape.x, shape.y), shape.diameter / 2, 0.0, 2 * np.pi)[:-1]]
        case GridOfCircles():
            ring = _arc((0.0, 0.0), shape.diameter / 2, 0.0, 2 * np.pi)[:-1]
            return [ring + np.array(centre) for centre in shape.centres()]
        case Polygon():
            corners = np.array(shape.points, dtype=np.float64)
            return [corners if _signed_area(corners) >= 0 else corners[::-1]]


def _rectangle(shape: Rectangle) -> Floats:
    radius = min(shape.corner_radius, shape.size_x / 2, shape.size_y / 2)
    x0, y0 = shape.x + radius, shape.y + radius
    x1, y1 = shape.x + shape.size_x - radius, shape.y + shape.size_y - radius
    centres = ((x1, y0), (x1, y1), (x0, y1), (x0, y0))
    quarter = np.pi / 2
    turns = [_arc(centre, radius, (number - 1) * quarter, number * quarter) for number, centre in enumerate(centres)]
    return _without_repeats(np.concatenate(turns))


def _arc(centre: tuple[float, float], radius: float, start: float, end: float) -> Floats:
    angles = np.linspace(start, end, max(1, int(np.ceil(abs(end - start) / ARC_STEP - 1e-9))) + 1)
    return np.array(centre) + radius * np.stack([np.cos(angles), np.sin(angles)], axis=1)


def offset(outline: Floats, by: float) -> Floats:
    """An anticlockwise outline moved outwards by `by`, or inwards where it is negative.

    Corners away from the move become arcs, corners towards it meet. Where an outline is narrower than the move the
    result may reach too far, never too little.
    """
    outline = _without_repeats(outline)
    along = np.roll(outline, -1, axis=0) - outline
    length = np.hypot(along[:, 0], along[:, 1])
    along /= length[:, None]
    normal = np.stack([along[:, 1], -along[:, 0]], axis=1)
    pieces = []
    for number, corner in enumerate(outline):
        before, after = normal[number - 1], normal[number]
        turn = float(np.arctan2(before[0] * after[1] - before[1] * after[0], before @ after))
        room = min(length[number - 1], length[number])
        pieces.append(_corner(corner, before, after, turn, by, float(room)))
    return _without_repeats(np.concatenate(pieces))


def _corner(corner: Floats, before: Floats, after: Floats, turn: float, by: float, room: float) -> Floats:
    if turn * by > 0:
        start = float(np.arctan2(before[1], before[0])) + (np.pi if by < 0 else 0.0)
        return _arc((float(corner[0]), float(corner[1])), abs(by), start, start + turn)
    if abs(by * np.tan(turn / 2)) > room:
        return np.stack([corner + by * before, corner + by * after])
    met: Floats = corner + by * (before + after) / (1 + before @ after)
    return met[None, :]


def shrunk(outline: Floats, by: float) -> Floats:
    """An outline moved inwards; a single point, its middle, where nothing is left inside."""
    away = float(np.ptp(outline, axis=0).min()) / 2
    if away <= by:
        return _middle(outline)
    return offset(outline, -by)


def _middle(outline: Floats) -> Floats:
    middle: Floats = (outline.min(axis=0) + outline.max(axis=0)) / 2
    return middle[None, :]


def _rows(outline: Floats, radius: float) -> Iterator[Floats]:
    """Rows a cutter's width apart over an area that is cleared, so that nothing is thought to stand in it."""
    low, high = outline.min(axis=0) + radius, outline.max(axis=0) - radius
    if (high <= low).any() or not radius:
        return
    xs, ys = (np.linspace(a, b, int(np.ceil((b - a) / (2 * radius))) + 1) for a, b in zip(low, high, strict=True))
    places = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    away = distance_to_segments(places, outline, np.roll(outline, -1, axis=0)).min(axis=1)
    places = places[inside(places, outline) & (away >= radius * (1 - 1e-9))]
    yield from (row for y in ys if len(row := places[places[:, 1] == y]))


def _closed(loop: Floats) -> Floats:
    closed: Floats = np.concatenate([loop, loop[:1]]) if len(loop) > 1 else loop
    return closed


def _without_repeats(loop: Floats) -> Floats:
    away = np.hypot(*(loop - np.roll(loop, 1, axis=0)).T)
    kept: Floats = loop[away > 1e-9]
    return kept


def _signed_area(corners: Floats) -> float:
    x, y = corners[:, 0], corners[:, 1]
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
