"""Does any set of k candidates fulfil every row? Exhaustive search with proof, stopped only by its budget.

The rows are a covering problem: find y in {0,1} with sum y = k and A y >= 1. Branching tries the candidates that
help the tightest row most; a branch is dropped when even the k best of some row, or of a weighted sum of rows, fall
short. The weights are those of the linear relaxation, found by multiplicative updates (Plotkin, Shmoys, Tardos,
Mathematics of Operations Research 20, 1995).
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from generator.hold.kernel import Floats, Ints
from generator.hold.outline import Flags

WEIGHT_STEPS = 150
SLACK = 1e-9


class Budget(Struct, eq=False):
    """How many branches may still be looked at."""

    left: int = 5_000

    @property
    def spent(self) -> bool:
        """Whether the search had to stop before it was done."""
        return self.left <= 0


class _Search(Struct, frozen=True, eq=False):
    rows: Floats
    clash: Flags
    budget: Budget
    barred: frozenset[frozenset[int]] = frozenset()


def find_cover(
    rows: Floats, count: int, clash: Flags, budget: Budget, barred: frozenset[frozenset[int]] = frozenset()
) -> tuple[int, ...] | None:
    """Numbers of `count` (1 or more) candidates whose columns of `rows` (R,J) sum to at least 1 in every row, or None.

    `clash` (J,J) says which two cannot stand together, `barred` which whole sets are not wanted. None proves that
    there is no such set, unless the budget is spent.
    """
    candidates = np.arange(rows.shape[1])
    if count > len(candidates):
        return None
    weights = _relaxed_weights(rows, count)
    search = _Search(np.concatenate([rows, weights[None, :] @ rows]), clash, budget, barred)
    return _branch(search, (), candidates, np.ones(len(search.rows)) - SLACK, count)


def _relaxed_weights(rows: Floats, count: int) -> Floats:
    """Weights (R,) that sum to 1 and make the best `count` candidates of the weighted row as weak as can be."""
    weights = np.full(len(rows), 1 / len(rows))
    best, least = weights, np.inf
    for step in range(WEIGHT_STEPS):
        mixed = weights @ rows
        top = np.argpartition(mixed, -count)[-count:]
        total = float(mixed[top].sum())
        if total < least:
            best, least = weights, total
        reached = rows[:, top].sum(axis=1)
        rate = 2.0 / (np.sqrt(step + 1) * max(1.0, float(reached.max() - reached.min())))
        weights = weights * np.exp(-rate * (reached - reached.min()))
        weights = weights / weights.sum()
    return best


def _branch(s: _Search, chosen: tuple[int, ...], open_: Ints, short: Floats, count: int) -> tuple[int, ...] | None:
    s.budget.left -= 1
    if s.budget.spent or len(open_) < count:
        return None
    if count <= 2:
        return _last(s, chosen, open_, short, count)
    slack = _best(s.rows[:, open_], count) - short
    if slack.min() < 0:
        return None
    order = open_[np.argsort(-s.rows[int(slack.argmin()), open_], kind="stable")]
    for place, j in enumerate(order):
        rest = order[place + 1 :]
        found = _branch(s, (*chosen, int(j)), rest[~s.clash[j, rest]], short - s.rows[:, j], count - 1)
        if found is not None or s.budget.spent:
            return found
        if len(rest) < count or (_best(s.rows[:, rest], count) < short).any():
            return None
    return None


def _best(columns: Floats, count: int) -> Floats:
    """The sum (R,) of the `count` largest entries of each row."""
    if columns.shape[1] <= count:
        return np.asarray(columns.sum(axis=1))
    top: Floats = np.partition(columns, -count, axis=1)[:, -count:].sum(axis=1)
    return top


def _last(s: _Search, chosen: tuple[int, ...], open_: Ints, short: Floats, count: int) -> tuple[int, ...] | None:
    """The last one or two candidates, all at once."""
    columns = s.rows[:, open_]
    sets: list[tuple[int, ...]]
    if count == 1:
        sets = [(int(open_[i]),) for i in np.flatnonzero((columns >= short[:, None]).all(axis=0))]
    else:
        fits = ~s.clash[np.ix_(open_, open_)]
        for row, least in zip(columns, short, strict=True):
            fits &= row[:, None] + row[None, :] >= least
        sets = [(int(open_[i]), int(open_[j])) for i, j in np.argwhere(np.triu(fits, 1))]
    return next(((*chosen, *rest) for rest in sets if frozenset((*chosen, *rest)) not in s.barred), None)
