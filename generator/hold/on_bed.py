"""Whether a board lies on its bed, and a path where the machine can go. All in the board's coordinates, mm."""

from __future__ import annotations

from collections.abc import Iterator

from generator.finding import Finding, Severity
from generator.hold.given import Point
from generator.hold.kernel import Floats
from generator.hold.spots import Rect


def board_on_bed(board: Rect, bed: Rect) -> Iterator[Finding]:
    """A board that hangs over the bed: it tips where its middle does, and where more hangs over than lies on it."""
    if all(bed.holds(corner, -1e-6) for corner in board.corners):
        return
    (x, y), (across, deep) = _size(board), _size(bed)
    wider = x > across or y > deep
    middle = ((board.x0 + board.x1) / 2, (board.y0 + board.y1) / 2)
    tips = x > 2 * across or y > 2 * deep or not bed.holds(middle, -1e-6)
    yield Finding(
        id="hold-board-larger-than-bed" if wider else "hold-board-off-bed",
        severity=Severity.STOP if tips else Severity.WARN,
        says=f"the board, {x:.0f} by {y:.0f} mm, {'is larger than' if wider else 'lies partly beside'} the bed, "
        f"{across:.0f} by {deep:.0f} mm{', and more of it hangs over than lies on it' if tips else ''}",
        mend="cut the board smaller first, or support what hangs over and clamp what lies on the bed" if wider
        else "move the board onto the bed, or correct its place in the job",
    )  # fmt: skip


def _size(rect: Rect) -> Point:
    return rect.x1 - rect.x0, rect.y1 - rect.y0


def beyond_travel(path: Floats, travel: Rect) -> Iterator[Finding]:
    """A path (n,2) that leaves the machine's travel."""
    low, high = path.min(axis=0), path.max(axis=0)
    if travel.holds(tuple(low), -1e-6) and travel.holds(tuple(high), -1e-6):
        return
    ends = zip("XY", low, high, (travel.x0, travel.y0), (travel.x1, travel.y1), strict=True)
    wrong = [
        f"in {axis} the cuts go from {first:.0f} to {last:.0f} mm from the board's corner, the machine from "
        f"{start:.0f} to {end:.0f} mm"
        for axis, first, last, start, end in ends
        if first < start - 1e-6 or last > end + 1e-6
    ]
    yield Finding(
        id="hold-path-beyond-travel", severity=Severity.STOP,
        says=f"part of the path lies where the machine cannot go: {'; '.join(wrong)}",
        mend="move the board, with its clamps, so that the whole path lies inside the machine's travel",
    )  # fmt: skip
