"""How large a force in one given direction is held at one place: to show how the same clamps hold here and there."""

from __future__ import annotations

import math

import numpy as np
from msgspec import Struct

from generator.hold.demand import demand
from generator.hold.given import Case, HoldInputError, Point, Setup, demand_number
from generator.hold.kernel import Contacts, Floats, PointLoad, edge, held

TOLERANCE = 1e-6
MOST_ROUNDS = 60


class HeldForce(Struct, frozen=True):
    """The force in N that is surely held, and the force that surely is not exceeded."""

    lower: float
    upper: float


def held_force(setup: Setup, place: Point, direction: Point, case: Case = Case.LOW) -> HeldForce:
    """The largest force along `direction` at `place` that the set-up keeps from sliding or turning; lift is left out.

    Raises HoldInputError for a place or direction that is none.
    """
    for value in (*place, *direction):
        demand_number("a place or direction", value)
    length = math.hypot(*direction)
    if not length:
        raise HoldInputError("the direction of the force is (0, 0); give one that points somewhere")
    u = np.array(direction, dtype=np.float64) / length
    return _along(demand(setup, case).contacts, np.array([place], dtype=np.float64), u)


def _along(contacts: Contacts, q: Floats, u: Floats) -> HeldForce:
    """Two held forces either side of the ray along u close in on it: their chord is held, its normal's edge is not."""
    across = np.array([-u[1], u[0]])
    left, _ = _edge(contacts, q, across)
    right, _ = _edge(contacts, q, -across)
    between, upper = _edge(contacts, q, u)
    lower = 0.0
    for _ in range(MOST_ROUNDS):
        left, right = (between, right) if between @ across > 0 else (left, between)
        chord = left - right
        width = float(chord @ across)
        if width <= 0:
            return HeldForce(max(lower, float(between @ u)), upper)
        lower = max(lower, float(right @ u - (right @ across) / width * (chord @ u)))
        if lower >= upper * (1 - TOLERANCE):
            break
        normal = np.array([chord[1], -chord[0]]) / math.hypot(*chord)
        between, most = _edge(contacts, q, normal)
        upper = min(upper, most / float(normal @ u))
    return HeldForce(lower, upper)


def _edge(contacts: Contacts, q: Floats, n: Floats) -> tuple[Floats, float]:
    """The held force without moment that lies farthest along n, and the bound along n."""
    moment = held(contacts, q, n[None, :], np.zeros(1))[1]
    sense = np.where(moment > 0, -1.0, 1.0)
    found = edge(contacts, PointLoad(q, 1.0, np.zeros(1)), n[None, :], sense, TOLERANCE / 10, np.array([np.inf]))
    return found.force[0], float(found.upper[0])
