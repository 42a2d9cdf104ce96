"""Where the path leaves a tab: it rises for a short way between two stretches that go right through."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from generator.program.moves import LOST, RAPID
from generator.rehearsal.track import Track

# A stretch counts as through when it reaches the stock's underside to within this, as a tab when it stays
# higher by more than that (mm). Longer bridges than MOST_LENGTH are not tabs but another cut.
REACHES = 0.05
RISES = 0.2
MOST_LENGTH = 60.0


class TabPlace(NamedTuple):
    """Middle of a tab in job coordinates and its height above the stock's underside, mm."""

    x: float
    y: float
    height: float


def tab_places(track: Track, bottom: float | None) -> list[TabPlace]:
    """The tabs the path leaves, in order; none where the underside is not known."""
    return [] if bottom is None else list(_tabs(track, bottom))


def _tabs(track: Track, bottom: float) -> Iterator[TabPlace]:
    last_through: int | None = None
    for index, (kind, z) in enumerate(zip(track.kind, track.z, strict=True)):
        if kind in (RAPID, LOST):
            last_through = None
        if z <= bottom + REACHES:
            if last_through is not None and index - last_through > 1:
                yield from _tab(track, last_through, index, bottom)
            last_through = index


def _tab(track: Track, before: int, after: int, bottom: float) -> Iterator[TabPlace]:
    raised = [index for index in range(before + 1, after) if track.z[index] > bottom + RISES]
    places = [(track.x[index], track.y[index]) for index in (before, *range(before + 1, after), after)]
    length = sum(math.dist(one, two) for one, two in pairwise(places))
    if raised and length <= MOST_LENGTH:
        first, last = raised[0], raised[-1]
        height = max(track.z[index] for index in raised) - bottom
        yield TabPlace((track.x[first] + track.x[last]) / 2, (track.y[first] + track.y[last]) / 2, height)
