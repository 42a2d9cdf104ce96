"""One case of a set-up as plain numbers: what the cut asks, and what the hold-downs can give."""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from generator.hold.given import AGAINST, Case, Pad, Setup
from generator.hold.kernel import Contacts, Floats, PointLoad
from generator.hold.outline import as_points, centroid, edges_inward, farthest, hull


class Demand(Struct, frozen=True, eq=False):
    """One case: the force is in any direction in the plane, `force` with the bed friction that lift takes away.

    sideways, lift, weight: N; `height` of the cut, mm; hold: downward force of each pad (k,); corners: anticlockwise
    hull of the board (m,2).
    """

    contacts: Contacts
    force: float
    sideways: float
    lift: float
    friction: float
    hold: Floats
    weight: float
    height: float
    corners: Floats

    def load(self, q: Floats) -> PointLoad:
        """The sideways load of a cut at q (n,2).

        Lift unloads the bed and so takes friction away. Where the bed loses pressure is not known, so it is taken
        where it hurts most: as a force friction*lift at the cut with a couple friction*lift*(farthest corner).
        """
        return PointLoad(q, self.force, self.friction * self.lift * farthest(q, self.corners))

    def inward(self, places: Floats) -> Floats:
        """Distance (n,m) of places (n,2) inside each edge of the board, negative beyond it."""
        normal, offset = edges_inward(self.corners)
        distance: Floats = places @ normal.T - offset
        return distance

    def standing(self) -> Floats:
        """Moment (m,) with which hold-downs and weight keep the board from tipping over each edge, N mm."""
        middle = centroid(self.corners)[None, :]
        moment: Floats = self.hold @ self.inward(self.contacts.at) + self.weight * self.inward(middle)[0]
        return moment

    def upsetting(self, q: Floats) -> Floats:
        """Moment (n,m) with which a cut at q (n,2) tips the board over each edge, N mm."""
        return self.lift * self.inward(q) + self.sideways * self.height


def demand(setup: Setup, case: Case) -> Demand:
    """The numbers of one case; in the low case hold-downs and friction are low and the cut is hard."""
    friction, lift = setup.bed_friction.at(case), setup.load.lift.at(AGAINST[case])
    sideways = setup.load.sideways.at(AGAINST[case])
    return Demand(
        contacts=_contacts(setup, case), force=sideways + friction * lift, sideways=sideways, lift=lift,
        friction=friction, hold=np.array([pad.press.at(case) + pad.pull.at(case) for pad in setup.pads]),
        weight=setup.weight, height=setup.load.height, corners=hull(as_points("the board's outline", setup.outline)),
    )  # fmt: skip


def _contacts(setup: Setup, case: Case) -> Contacts:
    friction = setup.bed_friction.at(case)
    return Contacts(
        at=places(setup.pads),
        limit=np.array([sideways_limit(pad, friction, case) for pad in setup.pads]),
        stop_at=np.array([stop.at for stop in setup.stops], dtype=np.float64).reshape(-1, 2),
        blocks=-np.array([stop.push for stop in setup.stops], dtype=np.float64).reshape(-1, 2),
        capacity=np.array([stop.capacity.at(case) for stop in setup.stops]),
        rub=np.array([stop.friction.at(case) for stop in setup.stops]),
    )


def browser_case(setup: Setup, case: Case = Case.LOW) -> dict[str, object]:
    """One case as plain data for grip.js: pads with their sideways limit and downward hold, stops, load and corners."""
    asked = demand(setup, case)
    c = asked.contacts
    pads = zip(c.at.tolist(), c.limit.tolist(), asked.hold.tolist(), strict=True)
    stops = zip(c.stop_at.tolist(), c.blocks.tolist(), c.capacity.tolist(), c.rub.tolist(), strict=True)
    return {
        "pads": [{"x": x, "y": y, "limit": limit, "hold": hold} for (x, y), limit, hold in pads],
        "stops": [
            {"x": x, "y": y, "blocksX": bx, "blocksY": by, "capacity": capacity, "rub": rub}
            for (x, y), (bx, by), capacity, rub in stops
        ],
        "sideways": asked.sideways, "lift": asked.lift, "friction": asked.friction, "weight": asked.weight,
        "height": asked.height, "corners": asked.corners.tolist(),
    }  # fmt: skip


def places(pads: tuple[Pad, ...]) -> Floats:
    """Where pads stand (k,2)."""
    return np.array([pad.at for pad in pads], dtype=np.float64).reshape(-1, 2)


def sideways_limit(pad: Pad, friction: float, case: Case) -> float:
    """The largest force in the plane a pad resists, N."""
    return friction * pad.press.at(case) + pad.grip.at(case)
