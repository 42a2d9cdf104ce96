"""What tabs and an onion skin carry, as pads.

A tab bridges the kerf, fixed at both ends; a force F moving one end bends it with F times half the kerf. The
calculator `tabs` says the same in formulas for its page. These stay beside it because a skin is many bridges with three
strengths each, of any size, while a calculator answers for one set of fields, each kept in its range.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from generator.hold.given import Band, Pad, Point, demand_number
from generator.hold.outline import as_points

SKIN_PIECES = 32


class Strength(Struct, frozen=True, kw_only=True):
    """Mean clear-wood strength in shear and bending, N/mm2, and the share counted on (knots, voids)."""

    shear: Band
    bending: Band
    share: float


class Tab(Struct, frozen=True, kw_only=True):
    """A bridge left standing at `at`: `width` along the outline, `height` upwards, mm."""

    at: Point
    width: float
    height: float

    def __post_init__(self) -> None:
        demand_number("the width of a tab", self.width, above=0.0)
        demand_number("the height of a tab", self.height, above=0.0)


def shear_capacity(width: float, height: float, shear: float) -> float:
    """Force in N that shears a section of width x height mm at `shear` N/mm2, taken evenly over the section."""
    return width * height * shear


def bending_capacity(across: float, along: float, kerf: float, bending: float) -> float:
    """Force in N at which a bridge over `kerf`, `along` deep in the force's direction and `across` wide, breaks.

    Both are fixed ends: see `bending_stress`.
    """
    return bending / bending_stress(1.0, across, along, kerf)


def bending_stress(force: float, across: float, along: float, kerf: float) -> float:
    """Bending stress in N/mm2 of a bridge over `kerf` under `force` N: F (kerf/2)/(across along^2/6)."""
    return force * (kerf / 2) / (across * along**2 / 6)


def tab_pad(tab: Tab, kerf: float, strength: Strength) -> Pad:
    """The tab as a pad: the weaker of shear and bending, sideways and upwards."""
    shear, bending = _ends(strength.shear), _ends(strength.bending)
    sheared = [shear_capacity(tab.width, tab.height, each) for each in shear]
    sideways = [bending_capacity(tab.height, tab.width, kerf, each) for each in bending]
    upwards = [bending_capacity(tab.width, tab.height, kerf, each) for each in bending]
    grip, pull = _weaker(sheared, sideways, strength.share), _weaker(sheared, upwards, strength.share)
    return Pad(at=tab.at, grip=grip, pull=pull, kind="tab")


def skin_pads(outline: tuple[Point, ...], thickness: float, kerf: float, strength: Strength) -> list[Pad]:
    """A skin left all round the outline, in pieces: shear sideways, the weaker of shear and bending upwards."""
    demand_number("the thickness of the skin", thickness, above=0.0)
    corners = as_points("the part's outline", outline)
    sides = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    pads = []
    for corner, side, length in zip(corners, sides, lengths, strict=True):
        pieces = max(1, round(SKIN_PIECES * float(length / lengths.sum())))
        for number in range(pieces):
            x, y = corner + side * (number + 0.5) / pieces
            tab = Tab(at=(float(x), float(y)), width=float(length) / pieces, height=thickness)
            pads.append(_skin_pad(tab, kerf, strength))
    return pads


def _skin_pad(tab: Tab, kerf: float, strength: Strength) -> Pad:
    piece = tab_pad(tab, kerf, strength)
    sheared = [shear_capacity(tab.width, tab.height, each) for each in _ends(strength.shear)]
    return Pad(at=piece.at, grip=_weaker(sheared, sheared, strength.share), pull=piece.pull, kind="skin")


def _ends(band: Band) -> tuple[float, float, float]:
    return (band.low, band.expected, band.high)


def _weaker(one: list[float], other: list[float], share: float) -> Band:
    return Band(*(share * min(pair) for pair in zip(one, other, strict=True)))
