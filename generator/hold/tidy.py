"""Among layouts with equally few clamps: the widest spread, then the easiest to reach."""

from __future__ import annotations

from collections.abc import Sequence
from operator import itemgetter

import numpy as np

from generator.hold.outline import Flags
from generator.hold.rows import Problem, Rows, choice_of, holds

MOST_EXCHANGES = 12
PROOFS_PER_EXCHANGE = 6


def tidied(
    given: Problem, rows: Rows, clash: Flags, ease: Sequence[float], chosen: tuple[int, ...], needed: float
) -> tuple[int, ...]:
    """`chosen` improved by exchanging one clamp at a time while the margin stays proved: a good tie, not the best."""
    for _ in range(MOST_EXCHANGES):
        better, rows = _exchanged(given, rows, clash, ease, chosen, needed)
        if better is None:
            break
        chosen = better
    return tuple(sorted(chosen))


def _exchanged(
    given: Problem, rows: Rows, clash: Flags, ease: Sequence[float], chosen: tuple[int, ...], needed: float
) -> tuple[tuple[int, ...] | None, Rows]:
    now = _merit(given, ease, chosen)
    merits = [(_merit(given, ease, other), other) for other in _neighbours(clash, chosen)]
    better = sorted((found for found in merits if found[0] > now), key=itemgetter(0), reverse=True)
    proofs = 0
    for _, other in better:
        if rows.margins(choice_of(given, other)[None, :])[0] < needed:
            continue
        held, learned = holds(given, other, needed)
        if held:
            return other, rows
        rows, proofs = rows.with_(learned), proofs + 1
        if proofs >= PROOFS_PER_EXCHANGE:
            break
    return None, rows


def _neighbours(clash: Flags, chosen: tuple[int, ...]) -> list[tuple[int, ...]]:
    found = []
    for place in range(len(chosen)):
        rest = chosen[:place] + chosen[place + 1 :]
        free = np.flatnonzero(~clash[:, list(rest)].any(axis=1))
        found += [(*rest, int(j)) for j in free if j not in chosen]
    return found


def _merit(given: Problem, ease: Sequence[float], chosen: tuple[int, ...]) -> tuple[float, float]:
    """Smallest distance between two clamps in whole centimetres, then ease; more is better."""
    at = given.at[list(chosen)]
    away = np.hypot(*(at[:, None, :] - at[None, :, :]).transpose(2, 0, 1))
    nearest = away[np.triu_indices(len(at), 1)].min(initial=np.inf)
    spread = float(nearest // 10) if np.isfinite(nearest) else 0.0
    return spread, -sum(ease[j] for j in chosen)
