"""Pads from the hold-downs people use: strap clamps, screws, and areas of tape or vacuum cut into patches.

A patch of even pressure resists any motion at least as well as its whole force at its centre would (|v| is convex),
so cutting an area into point patches errs on the safe side, and finer patches only raise the answer.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from generator.hold.given import NONE, Band, HoldInputError, Pad, Point, demand_number
from generator.hold.kernel import Floats
from generator.hold.outline import Flags, area, as_points, inside

PER_KPA = 1e-3  # N/mm2 in one kPa
PATCHES_ACROSS = 6
SAMPLES_PER_PATCH = 6


def clamp(at: Point, press: Band, foot_friction: Band = NONE) -> Pad:
    """A strap clamp pressing with `press` N on the work.

    Give `foot_friction` only where the clamp itself cannot slide or swing sideways.
    """
    ends = zip((press.low, press.expected, press.high), _ends(foot_friction), strict=True)
    return Pad(at=at, press=press, grip=Band(*(force * friction for force, friction in ends)), kind="clamp")


def screw(at: Point, lateral: Band, withdrawal: Band, press: Band = NONE) -> Pad:
    """A wood screw through the board: `lateral` and `withdrawal` allowable loads, `press` what its head clamps, N.

    What the head already clamps is part of the withdrawal load, so only the rest is left against lift.
    """
    low, expected, high = (max(0.0, most - used) for most, used in zip(_ends(withdrawal), _ends(press), strict=True))
    pull = Band(min(low, expected, high), min(expected, high), high)
    return Pad(at=at, press=press, grip=lateral, pull=pull, kind="screw")


def tape(outline: Sequence[Point], shear: Band, peel: Band = NONE, within: Sequence[Point] | None = None) -> list[Pad]:
    """Double-sided tape under `outline`, holding `shear` kPa sideways and `peel` kPa upwards.

    Leave `peel` at nothing unless the whole face is taped: an edge that starts to lift peels the rest.
    `within` keeps only the tape under that outline, such as one part.
    """
    patches = _patches(outline, within)
    return [_patch_pad(at, size, "tape", grip=shear, pull=peel) for at, size in patches]


def vacuum(
    outline: Sequence[Point], pressure: Band, leak_area: float = 0.0, within: Sequence[Point] | None = None
) -> list[Pad]:
    """A sealed vacuum zone under `outline` pressing with `pressure` kPa, read at the gauge with the work in place.

    `leak_area` mm2 is what the cuts have opened; it is taken off every patch alike. Lift works against the pressure.
    """
    demand_number("the opened leak area", leak_area, least=0.0)
    patches = _patches(outline, within)
    total = sum(size for _, size in patches)
    share = max(0.0, 1 - leak_area / total) if total else 0.0
    return [_patch_pad(at, size * share, "vacuum", press=pressure) for at, size in patches]


def _ends(band: Band) -> tuple[float, float, float]:
    return (band.low, band.expected, band.high)


def _patch_pad(at: Point, size: float, kind: str, press: Band = NONE, grip: Band = NONE, pull: Band = NONE) -> Pad:
    factor = size * PER_KPA
    return Pad(at=at, press=press.times(factor), grip=grip.times(factor), pull=pull.times(factor), kind=kind)


def _patches(outline: Sequence[Point], within: Sequence[Point] | None) -> list[tuple[Point, float]]:
    """Centres and areas of the patches of an outline, or of the piece of it that lies within another."""
    shape = as_points("an area's outline", outline)
    whole = area(shape)
    if not whole:
        raise HoldInputError("an area's outline encloses nothing; give its corners in order")
    across = PATCHES_ACROSS * SAMPLES_PER_PATCH
    frame = shape if within is None else as_points("the part's outline", within)
    low, high = frame.min(axis=0), frame.max(axis=0)
    steps = (np.arange(across) + 0.5) / across
    x, y = np.meshgrid(low[0] + steps * (high[0] - low[0]), low[1] + steps * (high[1] - low[1]))
    samples = np.stack([x.ravel(), y.ravel()], axis=1)
    taken = inside(samples, shape)
    each = float(np.prod((high - low) / across))
    if within is None:
        each = whole / max(1, int(taken.sum()))
    else:
        taken &= inside(samples, frame)
    return _gather(samples, taken, across, each)


def _gather(samples: Floats, taken: Flags, across: int, each: float) -> list[tuple[Point, float]]:
    row, column = np.divmod(np.arange(len(samples)), across)
    patch = (row // SAMPLES_PER_PATCH) * PATCHES_ACROSS + column // SAMPLES_PER_PATCH
    found = []
    for number in sorted(set(patch[taken].tolist())):
        members = samples[taken & (patch == number)]
        x, y = members.mean(axis=0)
        found.append(((float(x), float(y)), len(members) * each))
    return found
