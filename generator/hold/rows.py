"""What a choice of clamps must fulfil, as inequalities that are linear in the choice.

For any one motion of the board the clamps chosen must take at least the power the cut gives:
base + sum of coefs[j] y[j] >= margin * demand. Every motion gives one such row; all of them together are the grip.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from generator.hold.demand import Demand, demand, places, sideways_limit
from generator.hold.given import Case, Pad, Point, Setup
from generator.hold.grip import Worst, reaches, worst
from generator.hold.kernel import TINY, Floats, Ints, Twists, power
from generator.hold.outline import Ring

START_GRID = 9
START_SLIDES = 16
PROOF_TOLERANCE = 1e-4


class Rows(Struct, frozen=True, eq=False):
    """R rows over J candidate pads: coefs (R,J), base (R,), demand (R,) all above nothing."""

    coefs: Floats
    base: Floats
    demand: Floats

    def margins(self, choices: Floats) -> Floats:
        """The least margin (C,) the rows allow each choice (C,J) of ones and noughts: a bound from above."""
        least: Floats = ((choices @ self.coefs.T + self.base) / self.demand).min(axis=1)
        return least

    def factors(self, choice: Floats) -> Floats:
        """The margin (R,) each row allows one choice (J,)."""
        return (self.coefs @ choice + self.base) / self.demand

    def pick(self, which: Ints) -> Rows:
        """Some of the rows."""
        return Rows(self.coefs[which], self.base[which], self.demand[which])

    def with_(self, other: Rows) -> Rows:
        """Both sets of rows."""
        pairs = ((self.coefs, other.coefs), (self.base, other.base), (self.demand, other.demand))
        return Rows(*(np.concatenate(pair) for pair in pairs))


class Problem(Struct, frozen=True, eq=False):
    """Candidate pads for a set-up that already has its fixed hold-downs, over the path behind `shape`, weakest case."""

    setup: Setup
    pads: tuple[Pad, ...]
    shape: Ring
    asked: Demand

    @property
    def at(self) -> Floats:
        """Where the candidates stand (J,2)."""
        return places(self.pads)


def problem(setup: Setup, pads: Sequence[Pad], shape: Ring) -> Problem:
    """The problem of choosing among `pads`."""
    return Problem(setup, tuple(pads), shape, demand(setup, Case.LOW))


def chosen_setup(given: Problem, chosen: Sequence[int]) -> Setup:
    """The set-up with the candidates numbered in `chosen` added."""
    return replace(given.setup, pads=given.setup.pads + tuple(given.pads[j] for j in chosen))


def prove(given: Problem, chosen: Sequence[int]) -> tuple[Worst, Rows]:
    """The certified weakest-case margin of a choice, and the rows of the motions it found."""
    found = worst(demand(chosen_setup(given, chosen), Case.LOW), given.shape, PROOF_TOLERANCE)
    return found, motion_rows(given, found.twists)


def holds(given: Problem, chosen: Sequence[int], needed: float) -> tuple[bool, Rows]:
    """Whether a choice surely gives the margin `needed` in its weakest case, and the rows of the motions met."""
    held, twists = reaches(demand(chosen_setup(given, chosen), Case.LOW), given.shape, needed, PROOF_TOLERANCE)
    return held, motion_rows(given, twists)


def motion_rows(given: Problem, twists: Twists) -> Rows:
    """One row for each motion; demand is that of the worst real path point."""
    limits = np.array([sideways_limit(pad, given.asked.friction, Case.LOW) for pad in given.pads])
    asked, load = given.asked, given.asked.load(given.shape.real)
    asks = load.force * _speeds(twists, load.q) + load.couple * np.abs(twists.spin)[:, None]
    rows = Rows(limits * _speeds(twists, given.at), power(asked.contacts, twists), asks.max(axis=1))
    return rows.pick(np.flatnonzero(rows.demand > TINY))


def _speeds(twists: Twists, at: Floats) -> Floats:
    x = at[:, 0] - twists.q[:, :1]
    y = at[:, 1] - twists.q[:, 1:]
    spin = twists.spin[:, None]
    speed: Floats = np.hypot(twists.n[:, :1] - spin * y, twists.n[:, 1:] + spin * x)
    return speed


def first_rows(given: Problem) -> Rows:
    """Rows to start with: lifting, tipping, slides in all directions, turns about a grid and about every candidate."""
    return _upward_rows(given).with_(motion_rows(given, _first_motions(given)))


def _first_motions(given: Problem) -> Twists:
    low, high = given.asked.corners.min(axis=0), given.asked.corners.max(axis=0)
    steps = np.linspace(-0.5, 1.5, START_GRID)
    grid = np.stack(np.meshgrid(*(low + np.outer(steps, high - low)).T), axis=-1).reshape(-1, 2)
    pivots = np.concatenate([grid, given.at])
    angles = 2 * np.pi * np.arange(START_SLIDES) / START_SLIDES
    slides = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    # both senses, because a stop resists only one of them
    return Twists(
        np.concatenate([pivots, pivots, np.zeros_like(slides)]),
        np.concatenate([np.zeros((2 * len(pivots), 2)), slides]),
        np.concatenate([np.ones(len(pivots)), -np.ones(len(pivots)), np.zeros(START_SLIDES)]),
    )


def _upward_rows(given: Problem) -> Rows:
    """Tipping over each edge of the board, and lifting off as a whole."""
    asked = given.asked
    hold = np.array([pad.press.low + pad.pull.low for pad in given.pads])
    upsets = asked.upsetting(given.shape.real).max(axis=0)
    tipping = Rows((hold[:, None] * asked.inward(given.at)).T, asked.standing(), upsets)
    whole = Rows(hold[None, :], np.array([asked.hold.sum() + asked.weight]), np.array([asked.lift]))
    rows = tipping.with_(whole)
    return rows.pick(np.flatnonzero(rows.demand > TINY))


def choice_of(given: Problem, chosen: Sequence[int]) -> Floats:
    """The choice as ones and noughts (J,)."""
    row = np.zeros(len(given.pads))
    row[list(chosen)] = 1.0
    return row


def positions(given: Problem, chosen: Sequence[int]) -> tuple[Point, ...]:
    """Where the chosen candidates stand."""
    return tuple(given.pads[j].at for j in chosen)
