"""The fewest clamps that hold the job, with proof, and what to do about a layout somebody already has."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from generator.finding import Finding, Severity
from generator.hold.cover import Budget, find_cover
from generator.hold.given import HoldInputError, Pad, Point, Setup, demand_number
from generator.hold.grip import GripAnswer, Worst, grip_over
from generator.hold.kernel import Floats
from generator.hold.outline import Flags, as_points, ring
from generator.hold.rows import (
    Problem,
    Rows,
    choice_of,
    chosen_setup,
    first_rows,
    holds,
    positions,
    problem,
    prove,
)
from generator.hold.spots import Spot
from generator.hold.tidy import tidied

MOST_CLAMPS = 12
ROWS_AT_ONCE = 6
MOST_PROOFS = 60


class LayoutAnswer(Struct, frozen=True, kw_only=True):
    """The clamps to use.

    count, positions, spots: the choice, empty where nothing reaches the margin; exact: proved that fewer cannot do;
    bound: no fewer than this many can do; grip: the margin reached; needed: the margin asked for.
    """

    count: int
    positions: tuple[Point, ...]
    spots: tuple[Spot, ...]
    exact: bool
    bound: int
    needed: float
    grip: GripAnswer
    findings: tuple[Finding, ...]


class _Hunt(Struct, eq=False):
    """The search as it stands: all rows met, those the search works on, and sets the proof turned down."""

    given: Problem
    needed: float
    pool: Rows
    active: Rows
    clash: Flags
    budget: Budget
    barred: frozenset[frozenset[int]] = frozenset()


def fewest_clamps(
    setup: Setup, spots: Sequence[Spot], path: Sequence[Point] | Floats, needed: float,
    least: int, apart: float = 30.0, branches: int = 5_000, cutter_radius: float = 0.0,
) -> LayoutAnswer:  # fmt: skip
    """The fewest spots that with the fixed hold-downs of `setup` give a margin of `needed` at the weak end.

    No fewer than `least`, each at least `apart` mm from the others. Rows are added as the search meets motions that
    beat its choice, until the grip itself confirms it. `exact` is False where `branches` ran out; `bound` still holds.
    """
    demand_number("the wanted margin", needed, above=0.0)
    points = as_points("the path", path)
    shape = ring(points)
    given = problem(setup, [spot.pad for spot in spots], shape)
    hunt = _start(given, needed, apart, branches)
    chosen, bound, exact = _search(hunt, min(least, len(spots)))
    if chosen is None:
        return _no_layout(grip_over(setup, points, shape, cutter_radius), needed, bound, exact)
    chosen = tidied(given, hunt.pool, hunt.clash, [spot.ease for spot in spots], chosen, needed)
    answer = grip_over(chosen_setup(given, chosen), points, shape, cutter_radius)
    return LayoutAnswer(
        count=len(chosen), positions=positions(given, chosen), spots=tuple(spots[j] for j in chosen), exact=exact,
        bound=bound, needed=needed, grip=answer, findings=answer.findings,
    )  # fmt: skip


def _start(given: Problem, needed: float, apart: float, branches: int) -> _Hunt:
    pool = first_rows(given)
    away = np.hypot(*(given.at[:, None, :] - given.at[None, :, :]).transpose(2, 0, 1))
    return _Hunt(given, needed, pool, _hardest(pool), away < apart, Budget(branches))


def _hardest(pool: Rows) -> Rows:
    """The few rows that even all candidates together fulfil with least to spare: a start for the active set."""
    everything = pool.factors(np.ones(pool.coefs.shape[1]))
    return pool.pick(np.argsort(everything, kind="stable")[: 2 * ROWS_AT_ONCE])


def _search(hunt: _Hunt, least: int) -> tuple[tuple[int, ...] | None, int, bool]:
    """Smallest confirmed choice, a proved lower bound of the count, and whether they agree."""
    most = min(MOST_CLAMPS, len(hunt.given.pads))
    count, bound, exact = least, least, True
    while count <= most:
        chosen, turned_down = _confirmed(hunt, count)
        if chosen is not None:
            return chosen, bound, exact and not hunt.budget.spent
        if hunt.budget.spent:
            return greedy(hunt.given, hunt.needed, hunt.clash, least), bound, False
        exact = exact and not turned_down
        count += 1
        bound = count if exact else bound
    return None, bound, exact


def _confirmed(hunt: _Hunt, count: int) -> tuple[tuple[int, ...] | None, bool]:
    """A choice of `count` that the grip confirms, None where there is none; whether any was turned down unproved."""
    turned_down = False
    while (chosen := _candidate(hunt, count)) is not None:
        held, rows = holds(hunt.given, chosen, hunt.needed)
        if held:
            return chosen, turned_down
        if not _learn(hunt, rows, chosen):
            # the bounds straddle the wanted margin: hold to the lower one, and no longer claim proof
            hunt.barred |= {frozenset(chosen)}
            turned_down = True
    return None, turned_down


def _candidate(hunt: _Hunt, count: int) -> tuple[int, ...] | None:
    """A choice that fulfils every row met so far."""
    while True:
        chosen = find_cover(_normal(hunt.active, hunt.needed), count, hunt.clash, hunt.budget, hunt.barred)
        if chosen is None or not _learn(hunt, hunt.pool, chosen):
            return chosen


def _normal(rows: Rows, needed: float) -> Floats:
    """Rows as A y >= 1; those the fixed hold-downs fulfil alone are left out."""
    missing = needed * rows.demand - rows.base
    asks = missing > 1e-9 * needed * rows.demand
    if not asks.any():
        return np.ones((1, rows.coefs.shape[1]))
    return np.asarray(rows.coefs[asks] / missing[asks, None])


def _learn(hunt: _Hunt, rows: Rows, chosen: tuple[int, ...]) -> bool:
    """Make the rows that `chosen` fails worst active; False where it fails none."""
    factors = rows.factors(choice_of(hunt.given, chosen))
    failed = np.flatnonzero(factors < hunt.needed * (1 - 1e-8))
    if not len(failed):
        return False
    worst_first = failed[np.argsort(factors[failed], kind="stable")][:ROWS_AT_ONCE]
    hunt.active = hunt.active.with_(rows.pick(worst_first))
    return True


def greedy(given: Problem, needed: float, clash: Flags, least: int) -> tuple[int, ...] | None:
    """Clamps added one by one, each time the one that raises the margin most; a fallback without proof."""
    chosen: tuple[int, ...] = ()
    rows = first_rows(given)
    while len(chosen) < min(MOST_CLAMPS, len(given.pads)):
        free = [j for j in range(len(given.pads)) if j not in chosen and not clash[j, list(chosen)].any()]
        if not free:
            return None
        best = best_choice(given, rows, [(*chosen, j) for j in free])
        chosen, found, rows = best.chosen, best.found, best.rows
        if len(chosen) >= least and found.lower >= needed:
            return chosen
    return None


class Best(Struct, frozen=True, eq=False):
    """The best of several choices, its proof, and the rows learned on the way."""

    chosen: tuple[int, ...]
    found: Worst
    rows: Rows


def best_choice(given: Problem, rows: Rows, choices: Sequence[tuple[int, ...]]) -> Best:
    """The choice with the largest margin: the most promising by the rows is proved, until no other promises more."""
    table = np.stack([choice_of(given, chosen) for chosen in choices])
    proved: dict[int, Worst] = {}
    for _ in range(MOST_PROOFS):
        hopes = rows.margins(table)
        pick = int(hopes.argmax())
        best = max(proved, key=lambda number: proved[number].lower, default=pick)
        if proved and proved[best].lower >= hopes[pick] * (1 - 2e-3):
            break
        if pick in proved:
            break
        proved[pick], learned = prove(given, choices[pick])
        rows = rows.with_(learned)
    best = max(proved, key=lambda number: proved[number].lower)
    return Best(choices[best], proved[best], rows)


def _no_layout(answer: GripAnswer, needed: float, bound: int, exact: bool) -> LayoutAnswer:
    finding = Finding(
        id="hold-no-layout", severity=Severity.STOP,
        says=f"no choice of up to {bound - 1} clamps on the allowed spots reaches a margin of {needed:g}"
        if exact else f"no choice of clamps was found that reaches a margin of {needed:g}",
        mend="take less per pass, set a stop where the cutter pushes, leave waste for clamps, or add tape or vacuum",
    )  # fmt: skip
    return LayoutAnswer(
        count=0, positions=(), spots=(), exact=exact, bound=bound, needed=needed, grip=answer,
        findings=(finding, *answer.findings),
    )  # fmt: skip


class Advice(Struct, frozen=True, kw_only=True):
    """A change worth making: the layout's pad number to move (None: one more), the spot, the margin it gives."""

    moved: int | None
    spot: Spot
    margin: float


class LayoutReview(Struct, frozen=True, kw_only=True):
    """A given layout: its grip, the best single move and the best addition, None where neither helps by 1 %."""

    grip: GripAnswer
    move: Advice | None
    one_more: Advice | None


def review(
    setup: Setup, given_pads: Sequence[Pad], spots: Sequence[Spot], path: Sequence[Point] | Floats,
    apart: float = 30.0, cutter_radius: float = 0.0,
) -> LayoutReview:  # fmt: skip
    """Judge the clamps `given_pads` added to `setup`, and say what to move or add among `spots`."""
    if not given_pads:
        raise HoldInputError("there is no clamp to review; give at least one")
    points = as_points("the path", path)
    shape, kept = ring(points), tuple(range(len(given_pads)))
    mixed = problem(setup, [*given_pads, *(spot.pad for spot in spots)], shape)
    answer = grip_over(chosen_setup(mixed, kept), points, shape, cutter_radius)
    rows = first_rows(mixed)
    moves = [(i, j) for i in kept for j in _free(mixed, [k for k in kept if k != i], len(kept), apart)]
    adds = [(None, j) for j in _free(mixed, kept, len(kept), apart)]
    return LayoutReview(
        grip=answer, move=_advice(mixed, rows, spots, kept, moves, answer.lower),
        one_more=_advice(mixed, rows, spots, kept, adds, answer.lower),
    )  # fmt: skip


def _free(given: Problem, beside: Sequence[int], first: int, apart: float) -> list[int]:
    """Numbers, from `first` on, of the candidates that stand `apart` from all in `beside`."""
    away = np.hypot(*(given.at[:, None, :] - given.at[None, list(beside), :]).transpose(2, 0, 1))
    return [int(j) for j in np.flatnonzero((away >= apart).all(axis=1)) if j >= first]


def _advice(
    given: Problem, rows: Rows, spots: Sequence[Spot], kept: tuple[int, ...],
    changes: Sequence[tuple[int | None, int]], now: float,
) -> Advice | None:  # fmt: skip
    if not changes:
        return None
    choices = [(*(k for k in kept if k != moved), j) for moved, j in changes]
    best = best_choice(given, rows, choices)
    if best.found.lower <= now * 1.01 + 1e-9:
        return None
    moved, j = changes[choices.index(best.chosen)]
    return Advice(moved=moved, spot=spots[j - len(kept)], margin=best.found.lower)
