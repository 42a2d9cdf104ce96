"""When each move of a program ends, in seconds from its start; the sums are those of generator.program.motion."""

from __future__ import annotations

import math
from array import array
from collections.abc import Mapping
from itertools import accumulate

from msgspec import Struct
from msgspec.structs import replace

from generator.program.motion import move_lengths, move_speeds, smooth_chains
from generator.program.moves import RAPID, Moves
from generator.program.read import Program
from generator.program.setup import Setup

# Speed of rapids where the machine's own is not known (mm/min). Our own choice, said on the page.
ASSUMED_RAPID = 3000.0


class Clock(Struct, frozen=True):
    """Seconds at which each move ends, waits included; `waits` are the seconds waited before a move of that number.

    `rapid_assumed` where rapids run at ASSUMED_RAPID, `slows_down` where the acceleration is known and counted.
    """

    ends: array[float]
    waits: Mapping[int, float]
    rapid_assumed: bool
    slows_down: bool


def clock_of(program: Program, setup: Setup) -> Clock:
    """The clock of a program: the likely time where the acceleration is known, else never slowing down.

    Within a chain of moves run through without slowing down, a move ends where the trapezoidal profile of the
    whole chain has covered its length. Moves of unknown length or without a feed take no time.
    """
    assumed = not setup.rapid and RAPID in program.moves.kind
    if assumed:
        setup = replace(setup, rapid=ASSUMED_RAPID)
    durations = move_durations(program.moves, setup)
    waits = _waits(program)
    for move, seconds in waits.items():
        durations[move] += seconds
    return Clock(array("d", accumulate(durations)), waits, assumed, bool(setup.acceleration))


def move_durations(moves: Moves, setup: Setup) -> array[float]:
    """Seconds of each move."""
    lengths = move_lengths(moves)
    speeds = move_speeds(moves, lengths, setup)
    durations = array("d", (d / v if v and d > 0 else 0.0 for d, v in zip(lengths, speeds, strict=True)))
    if setup.acceleration:
        _slow_down(moves, lengths, speeds, setup.acceleration, durations)
    return durations


def _slow_down(
    moves: Moves, lengths: array[float], speeds: array[float], acceleration: float, durations: array[float]
) -> None:
    first = 0
    for last, length, speed in smooth_chains(moves, lengths, speeds):
        covered = before = 0.0
        for index in range(first, last + 1):
            if durations[index]:
                covered += lengths[index]
                reached = time_at(covered, length, speed, acceleration)
                durations[index], before = reached - before, reached
        first = last + 1


def time_at(covered: float, length: float, speed: float, acceleration: float) -> float:
    """Seconds from rest until `covered` mm of `length` are done, at most `speed` mm/s, `acceleration` mm/s2.

    The trapezoidal speed profile of mechanics: s = a t2 / 2 while speeding up, the mirror image while slowing down.
    """
    ramp = min(speed * speed / acceleration, length) / 2
    covered = min(covered, length)
    if covered <= ramp:
        return math.sqrt(2 * covered / acceleration)
    up = math.sqrt(2 * ramp / acceleration)
    if covered <= length - ramp:
        return up + (covered - ramp) / speed
    return 2 * up + (length - 2 * ramp) / speed - math.sqrt(2 * (length - covered) / acceleration)


def _waits(program: Program) -> dict[int, float]:
    waits: dict[int, float] = {}
    for event in program.events:
        if event.code == "G4" and event.move < len(program.moves):
            waits[event.move] = waits.get(event.move, 0.0) + event.value
    return waits
