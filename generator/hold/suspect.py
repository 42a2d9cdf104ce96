"""What looks wrong with a set-up before any mechanics: each finding says what was seen and how to mend it."""

from __future__ import annotations

import numpy as np

from generator.finding import Finding, Severity
from generator.hold.given import Setup
from generator.hold.kernel import Floats
from generator.hold.outline import as_points, distance_to_segments, inside


def setup_findings(setup: Setup, path: Floats, cutter_radius: float) -> tuple[Finding, ...]:
    """All findings about hold-downs, friction and path (n,2) of a set-up; empty where nothing looks wrong."""
    outline = as_points("the board's outline", setup.outline)
    found = [_off_board(setup, outline), _no_friction(setup), _nothing_holds(setup)]
    found.append(_path_outside(outline, path, cutter_radius))
    return tuple(finding for finding in found if finding)


def beyond(points: Floats, outline: Floats) -> Floats:
    """How far (n,) each point lies outside the outline, 0 inside or on it, mm."""
    away = np.zeros(len(points))
    out = np.flatnonzero(~inside(points, outline))
    for part in np.array_split(out, max(1, len(out) * len(outline) // 1_000_000)):
        away[part] = distance_to_segments(points[part], outline, np.roll(outline, -1, axis=0)).min(axis=1)
    return away


def _off_board(setup: Setup, outline: Floats) -> Finding | None:
    if not setup.pads:
        return None
    away = beyond(np.array([pad.at for pad in setup.pads]), outline)
    wrong = [pad for pad, far in zip(setup.pads, away, strict=True) if far > 1e-6]
    if not wrong:
        return None
    places = ", ".join(f"({pad.at[0]:.0f}, {pad.at[1]:.0f})" for pad in wrong[:4])
    return Finding(
        id="hold-clamp-off-board", severity=Severity.STOP,
        says=f"{len(wrong)} of the hold-downs press beside the board: {places} mm",
        mend="move them so that the foot stands on the board, or correct the board's place on the bed",
    )  # fmt: skip


def _no_friction(setup: Setup) -> Finding | None:
    pressed = any(pad.press.low > 0 for pad in setup.pads)
    if setup.bed_friction.low > 0 or not pressed:
        return None
    return Finding(
        id="hold-no-friction", severity=Severity.STOP,
        says="the bed friction may be nothing, so pressing the board down does not keep it from sliding",
        mend="clean bed and board and do the tilt test, or set a stop on every side the cutter can push towards",
    )  # fmt: skip


def _nothing_holds(setup: Setup) -> Finding | None:
    if any(pad.press.low + pad.grip.low + pad.pull.low > 0 for pad in setup.pads):
        return None
    return Finding(
        id="hold-nothing", severity=Severity.STOP,
        says="no hold-down with a known force holds the board",
        mend="add clamps, screws, tape or vacuum before you plan the cut; stops alone do not hold a board",
    )  # fmt: skip


def _path_outside(outline: Floats, path: Floats, cutter_radius: float) -> Finding | None:
    away = beyond(path, outline)
    # a cutter following the board's own edge has its centre one radius outside
    wrong = np.flatnonzero(away > cutter_radius + 1e-6)
    if not len(wrong):
        return None
    worst = path[int(away.argmax())]
    return Finding(
        id="hold-path-outside-stock", severity=Severity.WARN,
        says=f"the path leaves the board by up to {away.max():.1f} mm, at ({worst[0]:.0f}, {worst[1]:.0f}) mm",
        mend="check the board's size and where the program's zero lies on it",
    )  # fmt: skip
