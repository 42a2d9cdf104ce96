"""A program with cutter changes taken apart: what each cutter does, and what lay cut before its first turn."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import chain, islice

from msgspec import Struct
from msgspec.structs import replace

from generator.program.moves import CUTS, LOST, Events, Moves
from generator.program.read import Program


class Turn(Struct, frozen=True):
    """Moves `first` up to, not with, `last`, made with one tool number; None is whatever was in at the start."""

    number: int | None
    first: int
    last: int


def turns(program: Program) -> list[Turn]:
    """Who has its turn when, in order; turns without a move are left out."""
    begun: list[tuple[int | None, int]] = [(_named_at_start(program), 0)]
    for event in program.events if "M6" in program.events.codes else ():
        if event.code == "M6":
            begun.append((int(event.value) if event.value == event.value else None, event.move))
    ends = [*(first for _, first in begun[1:]), len(program.moves)]
    found = (Turn(number, first, last) for (number, first), last in zip(begun, ends, strict=True))
    return [turn for turn in found if turn.last > turn.first]


def _named_at_start(program: Program) -> int | None:
    """Where nothing is changed by M6, a number called before the first cut says which cutter the file is for."""
    if "M6" in program.events.codes:
        return None
    called = next((event for event in program.events if event.code == "T"), None)
    if called is None or any(kind in CUTS for kind in program.moves.kind[: called.move]):
        return None
    return int(called.value)


def numbers_that_cut(program: Program) -> list[int | None]:
    """The tool numbers with which something is cut, in the order of their first cut."""
    kinds = program.moves.kind
    cutting = (turn.number for turn in turns(program) if any(kind in CUTS for kind in kinds[turn.first : turn.last]))
    return list(dict.fromkeys(cutting))


def part_with(program: Program, number: int | None) -> Program:
    """The program as one cutter has it: its own turns, and between them only the place where the next one begins."""
    return _only(program, [turn for turn in turns(program) if turn.number == number])


def part_before(program: Program, number: int | None) -> Program:
    """Everything before the first turn of one cutter."""
    first = next((turn.first for turn in turns(program) if turn.number == number), 0)
    return _only(program, [Turn(None, 0, first)] if first else [])


def _only(program: Program, kept: Sequence[Turn]) -> Program:
    whole, moves, places = program.moves, Moves(program.moves.start), []
    for turn in kept:
        if turn.first:
            moves.add(LOST, whole.end(turn.first - 1), 0.0, whole.line[turn.first - 1])
        places.append(len(moves))
        moves.append(whole, turn.first, turn.last)
    return replace(program, moves=moves, events=_events(program, kept, places))


def _events(program: Program, kept: Sequence[Turn], places: Sequence[int]) -> Events:
    """The codes of these turns, each led in by the speed in force if it sets none itself; M6 leaves the spindle off."""
    found, codes, at = Events(), iter(program.events), 0
    for turn, place in zip(kept, places, strict=True):
        low, head, high = _bounds(program, turn)
        speed = [event for event in islice(codes, low - at) if event.code == "S"][-1:]
        first = list(islice(codes, head - low))
        led_in = [] if any(event.code == "S" for event in first) else speed
        for event in chain(led_in, first, islice(codes, high - head)):
            found.add(max(0, event.move - turn.first) + place, event.line, event.code, event.value)
        at = high
    return found


def _bounds(program: Program, turn: Turn) -> tuple[int, int, int]:
    """Numbers of the codes of a turn: the first, the first behind its first move, and the first that is not its own."""
    moves = program.events.move
    high = len(moves) if turn.last == len(program.moves) else bisect_left(moves, turn.last)
    return bisect_left(moves, turn.first), bisect_right(moves, turn.first), high
