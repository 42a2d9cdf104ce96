"""The margin at every place of the board at once: where it is safe to cut, and where the board would go."""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from generator.hold.demand import Demand, demand
from generator.hold.given import Case, HoldInputError, Setup
from generator.hold.kernel import TINY, Floats
from generator.hold.planar import planar

# half of one per cent either way is below what a colour can show
MAP_TOLERANCE = 4e-3
FIRST_PLACES = 60


class MarginMap(Struct, frozen=True, eq=False):
    """Margins (rows, columns) at the crossings of `y` (rows,) and `x` (columns,), mm."""

    x: Floats
    y: Floats
    margin: Floats


def margin_map(setup: Setup, columns: int = 60, rows: int = 40, case: Case = Case.LOW) -> MarginMap:
    """The margin that a cut at each place would have, on a grid over the outline's bounding rectangle.

    Raises HoldInputError for fewer than two columns or rows.
    """
    if columns < 2 or rows < 2:
        raise HoldInputError(f"a map of {columns} by {rows} places is no map; give at least 2 by 2")
    asked = demand(setup, case)
    low, high = asked.corners.min(axis=0), asked.corners.max(axis=0)
    x, y = np.linspace(low[0], high[0], columns), np.linspace(low[1], high[1], rows)
    places = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    # a few places first: their worst motions are nearly the worst of their neighbours
    few = planar(asked.contacts, asked.load(places[:: max(1, len(places) // FIRST_PLACES)]), MAP_TOLERANCE)
    side = planar(asked.contacts, asked.load(places), MAP_TOLERANCE, hints=few.twist)
    margin = np.minimum(np.maximum(side.lower, 0.0), upward(asked, places))
    return MarginMap(x, y, margin.reshape(rows, columns))


def upward(asked: Demand, places: Floats) -> Floats:
    """The margin (n,) against tipping over any edge and against lifting off, for a cut at each place (n,2)."""
    upsets = asked.upsetting(places)
    factors = np.where(upsets > 0, np.maximum(asked.standing(), 0.0) / np.maximum(upsets, TINY), np.inf)
    least: Floats = factors.min(axis=1)
    return np.minimum(least, (asked.hold.sum() + asked.weight) / asked.lift) if asked.lift else least
