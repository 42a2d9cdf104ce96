"""Clamp layouts: exact against greedy, our grip against a linear programme per point, and how the time grows.

Run from the root: python -m benchmarks.hold_layout. All figures are ratios or tables of one run on one machine.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from functools import partial

import numpy as np
from msgspec.structs import replace
from scipy.optimize import linprog

from generator.hold.given import Load, Pad, Point, Setup, exactly
from generator.hold.grip import grip
from generator.hold.kernel import Floats
from generator.hold.layout import fewest_clamps, greedy
from generator.hold.outline import ring
from generator.hold.rows import problem
from generator.hold.spots import Spot

BOARD: tuple[Point, ...] = ((0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0))
BARE = Setup(
    pads=(), load=Load(sideways=exactly(60), lift=exactly(29), height=12.0), bed_friction=exactly(0.2), outline=BOARD,
    weight=8.0,
)  # fmt: skip
NEEDED, LEAST = 2.0, 2
DIRECTIONS = 36
SIDES = 32


def round_board(count: int, press: Callable[[int], float]) -> list[Spot]:
    """`count` clamp spots at equal distances round the board, 10 mm inside its edge."""
    length = 2 * (380 + 280)
    return [_spot(length * number / count, press(number)) for number in range(count)]


def _spot(along: float, press: float) -> Spot:
    corners = np.array([0, 380, 660, 1040, 1320])
    at = (
        float(np.interp(along, corners, (10, 390, 390, 10, 10))),
        float(np.interp(along, corners, (10, 10, 290, 290, 10))),
    )
    return Spot(pad=Pad(at=at, press=exactly(press)), bolt=at, ease=0.5)


def wandering(count: int, seed: int = 1) -> Floats:
    """A path of `count` points that fills a rounded shape inside the board."""
    rng = np.random.default_rng(seed)
    angle = np.linspace(0, 2 * math.pi * max(1, count // 500), count)
    radius = 0.6 + 0.4 * rng.random(count)
    return np.stack([200 + 150 * radius * np.cos(angle), 150 + 100 * radius * np.sin(angle)], axis=1)


def seconds(work: Callable[[], object]) -> float:
    """Least time of three runs."""
    times = []
    for _ in range(3):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def exact_against_greedy(trials: int = 30) -> None:
    """Clamps used by both on random boards, where some bolts are weaker than others."""
    used = {"exact": 0, "greedy": 0}
    saved = unsolved = unproved = 0
    for seed in range(trials):
        rng = np.random.default_rng(seed)
        strength = rng.uniform(120, 500, 40)
        spots = round_board(40, lambda number, strength=strength: float(strength[number]))
        path = wandering(2000, seed)
        given = problem(BARE, [spot.pad for spot in spots], ring(path))
        away = np.hypot(*(given.at[:, None] - given.at[None]).transpose(2, 0, 1))
        added = greedy(given, NEEDED, away < 30, LEAST)
        answer = fewest_clamps(BARE, spots, path, NEEDED, LEAST)
        if added is None or not answer.count:
            unsolved += 1
            continue
        used["exact"] += answer.count
        used["greedy"] += len(added)
        saved += answer.count < len(added)
        unproved += not answer.exact
    print(f"clamps on {trials} boards: exact {used['exact']}, greedy {used['greedy']}; fewer on {saved}, "
          f"not proved {unproved}, no layout {unsolved}")  # fmt: skip


def against_linear_programmes() -> None:
    """Grip over a path, against scipy's linear programme for each hull point and direction."""
    setup = replace(BARE, pads=tuple(spot.pad for spot in round_board(6, lambda _: 300.0)))
    path = wandering(2000)
    hull = ring(path).real
    ours = seconds(lambda: grip(setup, path))
    theirs = seconds(lambda: [programmes(setup, tuple(point)) for point in hull[:3].tolist()]) / 3 * len(hull)
    print(f"grip with three cases {ours * 1000:.0f} ms; one case by linear programmes over {len(hull)} hull points, "
          f"{DIRECTIONS} directions, {SIDES}-gons: {theirs / ours:.0f} times as long")  # fmt: skip


def programmes(setup: Setup, place: Point) -> float:
    """The least load factor over the directions at one place, one programme each, without lift."""
    angles = 2 * np.pi * np.arange(SIDES) / SIDES
    limits = [0.2 * pad.press.low for pad in setup.pads]
    columns = []
    for pad, limit in zip(setup.pads, limits, strict=True):
        fx, fy = limit * np.cos(angles), limit * np.sin(angles)
        columns.append(np.stack([fx, fy, (pad.at[0] - place[0]) * fy - (pad.at[1] - place[1]) * fx]))
    table = np.hstack(columns)
    one_each = np.kron(np.eye(len(limits)), np.ones(SIDES))
    return min(_programme(table, one_each, 2 * math.pi * k / DIRECTIONS) for k in range(DIRECTIONS))


def _programme(table: Floats, one_each: Floats, angle: float) -> float:
    load = 60 * np.array([[math.cos(angle)], [math.sin(angle)], [0.0]])
    cost = np.zeros(table.shape[1] + 1)
    cost[-1] = -1
    found = linprog(
        cost, A_ub=np.hstack([one_each, np.zeros((len(one_each), 1))]), b_ub=np.ones(len(one_each)),
        A_eq=np.hstack([table, -load]), b_eq=np.zeros(3),
    )  # fmt: skip
    return float(found.x[-1])


def scaling() -> None:
    """Milliseconds of a whole layout, spots down and path points across; the clamps stay alike."""
    sizes = (1_000, 10_000, 100_000)
    print("spots   " + "".join(f"{size:>10} points" for size in sizes))
    for count in (20, 40, 60, 120):
        spots = round_board(count, lambda _: 350.0)
        row = [seconds(partial(fewest_clamps, BARE, spots, wandering(size), NEEDED, LEAST)) for size in sizes]
        print(f"{count:>5}   " + "".join(f"{value * 1000:>14.0f} ms" for value in row))


def main() -> None:
    """All three comparisons."""
    exact_against_greedy()
    against_linear_programmes()
    scaling()


if __name__ == "__main__":
    main()
