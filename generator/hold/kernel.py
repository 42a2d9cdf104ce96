"""What a set of contacts can do against one motion of the board, and against a load in one direction.

The wrenches (force, moment) that contacts can hold form a convex body; its support in the direction of a motion is
the power sum of |f_i||v_i| the contacts can take (Goyal, Ruina, Papadopoulos, Wear 143, 1991, as reviewed by Howe and
Cutkosky, Int. J. Robotics Research 15(6), 1996). So every motion bounds the load factor from above, and every held
wrench from below. Neither bound rests on convergence: held wrenches are mixed so that they meet the load exactly.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
from msgspec import Struct

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.intp]

TINY = 1e-300
# a load factor below this is nothing held
NO_FACTOR = 1e-6
MOST_STEPS = 60
# as near to a pure spin as a motion is written; the moment arm lost is a millionth of the layout
STEEPEST = np.pi / 2 - 1e-6


class Contacts(Struct, frozen=True, eq=False):
    """Friction discs (`at` (k,2) mm, `limit` (k,) N) and one-way stops: `stop_at` and the direction of motion
    each `blocks` (j,2), `capacity` N, `rub` friction along its face (j,)."""

    at: Floats
    limit: Floats
    stop_at: Floats
    blocks: Floats
    capacity: Floats
    rub: Floats

    @property
    def symmetric(self) -> bool:
        """Whether every force that can be held can also be held reversed."""
        return not len(self.capacity)

    @property
    def size(self) -> float:
        """A length like that of the layout, which makes spin and speed comparable."""
        places = np.concatenate([self.at, self.stop_at])
        return float(np.ptp(places, axis=0).max() if len(places) else 0.0) or 1.0


class Twists(Struct, frozen=True, eq=False):
    """Instant motions of the board: q (Q,2) mm moves at n (Q,2) while the board spins by `spin` (Q,) rad/mm of n."""

    q: Floats
    n: Floats
    spin: Floats

    def pick(self, which: Any) -> Twists:
        """The twists at some indices."""
        return Twists(self.q[which], self.n[which], self.spin[which])


class PointLoad(Struct, frozen=True, eq=False):
    """`force` N in any direction at q (Q,2) together with a couple (Q,) of either sense, N mm."""

    q: Floats
    force: float
    couple: Floats

    def pick(self, which: Any) -> PointLoad:
        """The load at some of its points."""
        return PointLoad(self.q[which], self.force, self.couple[which])


def held(contacts: Contacts, q: Floats, v: Floats, spin: Floats) -> tuple[Floats, Floats]:
    """Forces (Q,2) and moments about q (Q,) with which the contacts resist most, q moving at v and spinning."""
    fx, fy, moment = _discs(contacts.at, contacts.limit, q, v, spin)
    if len(contacts.capacity):
        sx, sy, s_moment = _stops(contacts, q, v, spin)
        fx, fy, moment = fx + sx, fy + sy, moment + s_moment
    force = np.empty((len(fx), 2))
    force[:, 0], force[:, 1] = fx, fy
    return force, moment


def _discs(at: Floats, limit: Floats, q: Floats, v: Floats, spin: Floats) -> tuple[Floats, Floats, Floats]:
    x, y = at[:, 0] - q[:, :1], at[:, 1] - q[:, 1:]
    vx, vy = v[:, :1] - spin[:, None] * y, v[:, 1:] + spin[:, None] * x
    share = limit / np.maximum(np.sqrt(vx * vx + vy * vy), TINY)
    vx *= share
    vy *= share
    return vx.sum(axis=1), vy.sum(axis=1), np.einsum("qk,qk->q", x, vy) - np.einsum("qk,qk->q", y, vx)


def _stops(c: Contacts, q: Floats, v: Floats, spin: Floats) -> tuple[Floats, Floats, Floats]:
    """A stop can do anything between nothing and its full push with friction to either side: a triangle."""
    x, y = c.stop_at[:, 0] - q[:, :1], c.stop_at[:, 1] - q[:, 1:]
    vx, vy = v[:, :1] - spin[:, None] * y, v[:, 1:] + spin[:, None] * x
    along = -c.blocks[:, 1] * vx + c.blocks[:, 0] * vy
    side = np.sign(along) * c.rub
    working = np.where(c.blocks[:, 0] * vx + c.blocks[:, 1] * vy + side * along > 0, c.capacity, 0.0)
    fx = working * (c.blocks[:, 0] - side * c.blocks[:, 1])
    fy = working * (c.blocks[:, 1] + side * c.blocks[:, 0])
    return fx.sum(axis=1), fy.sum(axis=1), (x * fy - y * fx).sum(axis=1)


def power(contacts: Contacts, twists: Twists) -> Floats:
    """The most the contacts can resist each motion (Q,), N per unit of n: pad limits times pad speeds."""
    force, moment = held(contacts, twists.q, twists.n, twists.spin)
    return dots(force, twists.n) + moment * twists.spin


def dots(a: Floats, b: Floats) -> Floats:
    """Row by row scalar products (Q,) of two (Q,2) arrays."""
    return a[:, 0] * b[:, 0] + a[:, 1] * b[:, 1]


def load_factor(contacts: Contacts, twists: Twists, load: PointLoad) -> Floats:
    """The load factor each motion allows (Q,): power the contacts take over power the load gives."""
    given = load.force * np.sqrt(dots(twists.n, twists.n)) + load.couple * np.abs(twists.spin)
    factor: Floats = power(contacts, twists) / np.maximum(given, TINY)
    return factor


class Edge(Struct, frozen=True, eq=False):
    """How far the load may grow while the board moves along n at q and spins with or against the clock.

    force (Q,2) and `cap` (Q,): a held force, and the load factor up to which the moment held with it covers the
    couple. upper (Q,): factor that the motion with `spin` (Q,) does not allow to pass.
    """

    force: Floats
    cap: Floats
    upper: Floats
    spin: Floats


class _Bracket(Struct, eq=False):
    """Angles of spin either side of the balance, with force, moment and balance there."""

    low: Floats
    high: Floats
    low_force: Floats
    high_force: Floats
    low_moment: Floats
    high_moment: Floats
    low_balance: Floats
    high_balance: Floats


def edge(
    contacts: Contacts,
    load: PointLoad,
    n: Floats,
    sense: Floats,
    tol: float,
    enough: Floats,
    weakest_only: bool = False,
) -> Edge:
    """The edge for each load point, unit direction n (Q,2) and sense of spin (Q,) +1 or -1, to a relative `tol`.

    A direction in which a factor of `enough` (Q,) surely is held is not worked out further; with `weakest_only` nor is
    one that surely holds more than some other is found to hold at most.
    One-dimensional: the balance (moment held over couple, less force held over force asked) rises with the spin, so
    the spin at which it vanishes is bracketed; a mix of the wrenches at both ends is held and balances exactly.
    """
    count, size = len(n), contacts.size
    bracket = _whole(contacts, load, n, sense)
    answer = Edge(np.zeros_like(n), np.zeros(count), np.full(count, np.inf), np.zeros(count))
    live, angle = np.arange(count), np.zeros(count)
    for step in range(MOST_STEPS):
        spin = sense[live] * np.tan(angle) / size
        part, way = load.pick(live), n[live]
        force, moment = held(contacts, part.q, way, spin)
        _note(answer, live, (dots(force, way) + moment * spin) / (part.force + part.couple * np.abs(spin)), spin)
        if weakest_only:
            enough = np.minimum(enough, answer.upper.min())
        sure = _tighten(answer, bracket, part, way, live, angle, force, moment * sense[live])
        live = live[(sure < answer.upper[live] * (1 - tol)) & (sure < enough[live]) & (answer.upper[live] > NO_FACTOR)]
        if not len(live):
            break
        angle = _next_angle(bracket, live, step)
    return answer


def _whole(contacts: Contacts, load: PointLoad, n: Floats, sense: Floats) -> _Bracket:
    """From no spin, not yet looked at, to nothing but spin."""
    force, moment = held(contacts, load.q, np.zeros_like(n), sense)
    balance = load.force * moment * sense - load.couple * dots(force, n)
    none, steep = np.zeros(len(n)), np.full(len(n), STEEPEST)
    return _Bracket(none, steep, force.copy(), force, none.copy(), moment * sense, none - np.inf, balance)


def _note(answer: Edge, live: Ints, upper: Floats, spin: Floats) -> None:
    better = upper < answer.upper[live]
    answer.upper[live[better]], answer.spin[live[better]] = upper[better], spin[better]


def _tighten(
    answer: Edge, b: _Bracket, load: PointLoad, n: Floats, live: Ints, angle: Floats, force: Floats, moment: Floats
) -> Floats:
    """Put what was found at `angle` into bracket and answer; return the factor now surely held along n."""
    balance = load.force * moment - load.couple * dots(force, n)
    under = balance < 0
    low, high = live[under], live[~under]
    b.low[low], b.low_force[low], b.low_moment[low] = angle[under], force[under], moment[under]
    b.low_balance[low] = balance[under]
    b.high[high], b.high_force[high], b.high_moment[high] = angle[~under], force[~under], moment[~under]
    b.high_balance[high] = balance[~under]
    share = _share(b, live)
    mixed = b.low_force[live] * (1 - share[:, None]) + b.high_force[live] * share[:, None]
    moment = b.low_moment[live] * (1 - share) + b.high_moment[live] * share
    answer.force[live] = mixed
    answer.cap[live] = np.where(load.couple > 0, moment / np.maximum(load.couple, TINY), np.inf)
    sure: Floats = np.minimum(dots(mixed, n) / load.force, answer.cap[live])
    return sure


def _share(b: _Bracket, live: Ints) -> Floats:
    """How much of the upper end makes the mix balance: all of it where it never does, or where no lower end is."""
    low, high = b.low_balance[live], b.high_balance[live]
    share = np.ones(len(live))
    np.divide(-low, np.maximum(high - low, TINY), out=share, where=np.isfinite(low))
    return _between(share, 0.0, 1.0)


def _between(values: Floats, least: float, most: float) -> Floats:
    """np.clip without its preparations, which take longer than the work on rows as short as these."""
    kept: Floats = np.minimum(np.maximum(values, least), most)
    return kept


def _next_angle(b: _Bracket, live: Ints, step: int) -> Floats:
    """Straight-line guess between the ends, kept off them; every third step halves, for moments that jump at a pad."""
    share = np.full(len(live), 0.5) if step % 3 == 2 else _between(_share(b, live), 0.02, 0.98)
    return b.low[live] + (b.high[live] - b.low[live]) * share
