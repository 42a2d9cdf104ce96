"""How many times over the contacts hold a sideways force of any direction, with a couple, at each of several points.

At a point the held forces form a plane convex shape, and its inscribed circle is wanted. Arcs of directions are
split at about the normal of the chord between the held forces of their ends, where the bound from below is least,
until it meets the bound from above.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from generator.hold.kernel import NO_FACTOR, TINY, Contacts, Edge, Floats, Ints, PointLoad, Twists, dots, edge, power
from generator.hold.outline import Flags

TOLERANCE = 1e-3
START_DIRECTIONS = 8
MOST_ROUNDS = 60
LEAST_SHARE = 0.1


class Planar(Struct, frozen=True, eq=False):
    """The load factor at each point: surely `lower`, never above `upper` (Q,), and the twist that gives `upper`."""

    lower: Floats
    upper: Floats
    twist: Twists


class _Arcs(Struct, eq=False):
    """Arcs of directions a..b at load point `of` with a sense of spin; held force and cap belong to each end."""

    of: Ints
    sense: Floats
    a: Floats
    b: Floats
    force_a: Floats
    force_b: Floats
    cap_a: Floats
    cap_b: Floats


def planar(
    contacts: Contacts, load: PointLoad, tol: float = TOLERANCE, weakest_only: bool = False,
    hints: Twists | None = None, enough: float = np.inf,
) -> Planar:  # fmt: skip
    """Load factors of `load`, to a relative `tol`; with `weakest_only` the bounds of stronger points stay loose.

    Factors above `enough` are not told apart: `upper` never passes it, and has no motion where it stands at it.
    `hints` are motions that may be near the worst, such as those found for neighbours; they only save time.
    Any held wrench (F, M) covers a motion (n, spin) of its sense up to min(F.n/force, M/couple), so the best of an
    arc's two ends bounds the whole arc, whatever the spin.
    """
    count = len(load.q)
    best = Planar(np.full(count, np.inf), np.full(count, enough), Twists(load.q, np.zeros((count, 2)), np.zeros(count)))
    if hints is not None:
        _take_hints(contacts, load, best, hints)
    arcs = _first_arcs(contacts, load, best, tol, weakest_only)
    for _ in range(MOST_ROUNDS):
        bound, between, splits = _bounds(arcs, load.force)
        aim = np.full(len(bound), best.upper.min()) if weakest_only else best.upper[arcs.of]
        # where even the upper bound is nothing there is nothing left to find out
        open_ = np.flatnonzero(splits & (bound < aim * (1 - tol)) & (aim > NO_FACTOR))
        if not len(open_):
            break
        found = _looked(
            contacts, load, best, arcs.of[open_], arcs.sense[open_], between[open_], tol, aim[open_], weakest_only
        )
        arcs = _split(arcs, open_, between[open_], found)
    np.minimum.at(best.lower, arcs.of, _bounds(arcs, load.force)[0])
    return best


def _take_hints(contacts: Contacts, load: PointLoad, best: Planar, hints: Twists) -> None:
    """Start each point from the hint that bounds it most: a motion of the board moves every point of it."""
    x, y = (load.q[:, None, :] - hints.q[None, :, :]).transpose(2, 0, 1)
    v = np.stack([hints.n[:, 0] - hints.spin * y, hints.n[:, 1] + hints.spin * x], axis=-1)
    speed = np.sqrt(v[..., 0] ** 2 + v[..., 1] ** 2)
    asked = load.force * speed + load.couple[:, None] * np.abs(hints.spin)
    # a point that hardly moves has no direction to start from
    usable = speed > 1e-9 * (1 + np.abs(hints.spin))
    factor = np.where(usable, power(contacts, hints) / np.maximum(asked, TINY), np.inf)
    rows, pick = np.arange(len(load.q)), factor.argmin(axis=1)
    moving = np.maximum(speed[rows, pick], TINY)
    best.upper[:] = factor[rows, pick]
    best.twist.n[:], best.twist.spin[:] = v[rows, pick] / moving[:, None], hints.spin[pick] / moving


def _looked(
    contacts: Contacts, load: PointLoad, best: Planar, of: Ints, sense: Floats, n: Floats, tol: float, enough: Floats,
    weakest_only: bool,
) -> Edge:  # fmt: skip
    """The edge in each direction, with the best upper bound of each point noted."""
    found = edge(contacts, load.pick(of), n, sense, tol / 10, enough, weakest_only)
    order = np.argsort(-found.upper, kind="stable")
    order = order[found.upper[order] < best.upper[of[order]]]
    # numpy keeps the last of several writes to one place, and the last here is the smallest
    best.upper[of[order]] = found.upper[order]
    best.twist.n[of[order]], best.twist.spin[of[order]] = n[order], found.spin[order]
    return found


def _first_arcs(contacts: Contacts, load: PointLoad, best: Planar, tol: float, weakest_only: bool) -> _Arcs:
    """Equal arcs round the whole turn; both senses of spin unless each motion is the mirror of another."""
    # turned a little so that no start direction lies along a side of the board, where ties are common
    angles = 0.1 + 2 * np.pi * np.arange(START_DIRECTIONS) / START_DIRECTIONS
    ring = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    senses = np.array([1.0] if contacts.symmetric else [1.0, -1.0])
    groups = len(load.q) * len(senses)
    of = np.repeat(np.arange(len(load.q)), len(senses) * START_DIRECTIONS)
    sense = np.repeat(np.tile(senses, len(load.q)), START_DIRECTIONS)
    a = np.tile(ring, (groups, 1))
    found = _looked(contacts, load, best, of, sense, a, tol, best.upper[of], weakest_only)
    after = np.roll(np.arange(len(of)).reshape(groups, START_DIRECTIONS), -1, axis=1).ravel()
    return _Arcs(of, sense, a, a[after], found.force, found.force[after], found.cap, found.cap[after])


def _bounds(s: _Arcs, force: float) -> tuple[Floats, Floats, Flags]:
    """Factor surely held all over each arc; where to split it; whether that can raise the bound."""
    chord = s.force_b - s.force_a
    normal = np.stack([chord[:, 1], -chord[:, 0]], axis=1)
    length = np.sqrt(dots(normal, normal))
    normal *= (np.where(dots(normal, s.a + s.b) < 0, -1.0, 1.0) / np.maximum(length, TINY))[:, None]
    from_a, to_b = _cross(s.a, normal), _cross(normal, s.b)
    inside = (length > 0) & (from_a > 0) & (to_b > 0)
    ends = np.minimum(_larger(s, s.a), _larger(s, s.b))
    middle = np.where(inside, _larger(s, normal), np.inf)
    bound = np.minimum(np.minimum(ends, middle) / force, np.minimum(s.cap_a, s.cap_b))
    off_side = np.minimum(from_a, to_b) < LEAST_SHARE * _cross(s.a, s.b)
    return bound, np.where(off_side[:, None], _half_way(s), normal), inside & (middle / force <= bound)


def _half_way(s: _Arcs) -> Floats:
    """The direction half-way along each arc: where one end's force is far larger, the chord's normal hugs the other."""
    sum_ = s.a + s.b
    return sum_ / np.sqrt(dots(sum_, sum_))[:, None]


def _larger(s: _Arcs, n: Floats) -> Floats:
    return np.maximum(dots(s.force_a, n), dots(s.force_b, n))


def _cross(a: Floats, b: Floats) -> Floats:
    return a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]


def _split(s: _Arcs, which: Ints, n: Floats, found: Edge) -> _Arcs:
    """The arcs in `which` end at n, and new arcs go on from there."""
    halves = _Arcs(s.of[which], s.sense[which], n, s.b[which], found.force, s.force_b[which], found.cap, s.cap_b[which])
    s.b[which], s.force_b[which], s.cap_b[which] = n, found.force, found.cap
    pairs = ((getattr(s, name), getattr(halves, name)) for name in _Arcs.__struct_fields__)
    return _Arcs(*(np.concatenate(pair) for pair in pairs))
