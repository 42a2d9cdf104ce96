"""Small set-ups for the holding tests, and the independent answer by linear programming."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import strategies as st
from scipy.optimize import linprog

from generator.hold.given import NONE, Band, Load, Pad, Point, Setup, Stop, exactly

BOARD: tuple[Point, ...] = ((0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (0.0, 200.0))
WIDE: tuple[Point, ...] = ((-500.0, -500.0), (500.0, -500.0), (500.0, 500.0), (-500.0, 500.0))


def gripped(contacts: list[tuple[Point, float]], sideways: float = 1.0, stops: tuple[Stop, ...] = ()) -> Setup:
    """Contacts with known sideways limits and no lift: the plain planar problem."""
    return Setup(
        pads=tuple(Pad(at=at, grip=exactly(limit), pull=exactly(1.0)) for at, limit in contacts),
        load=Load(sideways=exactly(sideways), lift=NONE, height=0.0), bed_friction=exactly(0.2), outline=WIDE,
        stops=stops,
    )  # fmt: skip


def clamped(
    places: list[Point], press: float = 500.0, sideways: float = 60.0, lift: float = 29.0, friction: float = 0.25,
    stops: tuple[Stop, ...] = (), height: float = 12.0,
) -> Setup:  # fmt: skip
    """Clamps on a 300 x 200 board, with lift and bed friction, every figure without doubt."""
    return Setup(
        pads=tuple(Pad(at=at, press=exactly(press)) for at in places),
        load=Load(sideways=exactly(sideways), lift=exactly(lift), height=height),
        bed_friction=exactly(friction), outline=BOARD, stops=stops, weight=5.0,
    )  # fmt: skip


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers of a size that workshops meet, in steps fine enough and without the vanishingly small."""
    return st.integers(math.ceil(low * 64), math.floor(high * 64)).map(lambda number: number / 64)


def places(low: float = 5.0, high: float = 195.0) -> st.SearchStrategy[Point]:
    """Points on the board."""
    return st.tuples(numbers(low, high), numbers(low, high))


def polygon_factor(
    contacts: list[tuple[Point, float]], q: Point, force: Point, couple: float = 0.0, sides: int = 720,
    stops: tuple[Stop, ...] = (),
) -> float:  # fmt: skip
    """The load factor by scipy's linear programme with friction discs replaced by inscribed polygons.

    Independent of the code under test: the unknowns are the contact forces themselves (Lynch, Park, Modern Robotics,
    2017, chapter 12: force closure by linear programming).
    """
    angles = 2 * np.pi * np.arange(sides) / sides
    columns = [_vertices(at, limit * np.cos(angles), limit * np.sin(angles), q) for at, limit in contacts]
    columns += [_stop_vertices(stop, q) for stop in stops]
    owner = np.concatenate([np.full(c.shape[1], i) for i, c in enumerate(columns)])
    at_most = (owner[None, :] == np.arange(len(columns))[:, None]).astype(float)
    balance = np.hstack([*columns, -np.array([[force[0]], [force[1]], [couple]])])
    cost = np.zeros(balance.shape[1])
    cost[-1] = -1.0
    found = linprog(
        cost, A_ub=np.hstack([at_most, np.zeros((len(columns), 1))]), b_ub=np.ones(len(columns)), A_eq=balance,
        b_eq=np.zeros(3),
    )  # fmt: skip
    return float(found.x[-1])


def _vertices(at: Point, fx: np.ndarray, fy: np.ndarray, q: Point) -> np.ndarray:
    return np.stack([fx, fy, (at[0] - q[0]) * fy - (at[1] - q[1]) * fx])


def _stop_vertices(stop: Stop, q: Point) -> np.ndarray:
    """The corners of a stop's force triangle. The load is what the board gives, so the stop's push turns round."""
    (px, py), rub, most = stop.push, stop.friction.expected, stop.capacity.expected
    fx = -most * np.array([px - rub * py, px + rub * py])
    fy = -most * np.array([py + rub * px, py - rub * px])
    return _vertices(stop.at, fx, fy, q)


def weak(low: float, high: float) -> Band:
    """A band whose expected end is half-way."""
    return Band(low, (low + high) / 2, high)
