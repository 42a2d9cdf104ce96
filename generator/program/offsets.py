"""Codes that move zeros instead of the cutter (G10, G92), and the two that go to stored places (G28, G30)."""

from __future__ import annotations

import math

from generator.program.dialect import code_name
from generator.program.modal import Block
from generator.program.moves import LOST, RAPID
from generator.program.report import LineError
from generator.program.state import AXES, Run, numbers
from generator.program.travel import target


def one_line(run: Run, block: Block) -> None:
    """G10, G28, G30, G92 and their relatives; dwell and G53 are handled with their own steps."""
    code = block.g.get("one-line")
    if code is None or code in (40, 530):
        return
    run.event(code_name("G", code))
    if code == 100:
        set_origin(run, block)
    elif code in (280, 300):
        go_home(run, block, run.start.home_28 if code == 280 else run.start.home_30)
    elif code in (281, 301):
        run.find("home-stored-anew", code=code_name("G", code))
    elif code == 920:
        shift_zero(run, block)
    else:
        unshift(run, code)


def set_origin(run: Run, block: Block) -> None:
    """G10 L2 P.. (origin in machine coordinates) and L20 (the present point shall read so)."""
    if "L" not in block.words or block.whole("L") not in run.dialect.origin_ways:
        raise LineError("origin-way-unknown", ways=" or ".join(f"L{way}" for way in sorted(run.dialect.origin_ways)))
    way, system = block.whole("L"), _system(run, block)
    origin = list(run.state.origins.get(system, [math.nan] * 3))
    zero = numbers(run.start.zero)
    for axis, letter in enumerate(AXES):
        if letter in block.words:
            value = block.words[letter] * run.state.scale
            origin[axis] = value - zero[axis] if way == 2 else run.state.at[axis] - run.state.shift[axis] - value
    run.state.origins[system] = origin
    if system == run.state.assumed:
        run.state.assumed = 0
    if any(math.isnan(value) for value in origin):
        run.find("cannot-judge-origin", system=system_name(system))


def _system(run: Run, block: Block) -> int:
    if "P" not in block.words:
        raise LineError("origin-system-out-of-range", systems=run.dialect.systems)
    system = block.whole("P")
    if system == 0 and 20 in run.dialect.origin_ways:
        return run.state.system
    if not 1 <= system <= run.dialect.systems:
        raise LineError("origin-system-out-of-range", systems=run.dialect.systems)
    return system


def system_name(system: int) -> str:
    """1 -> 'G54', 9 -> 'G59.3'."""
    return f"G{53 + system}" if system <= 6 else f"G59.{system - 6}"


def go_home(run: Run, block: Block, home: tuple[float | None, float | None, float | None]) -> None:
    """Rapid to the programmed point, if there is one, then rapid to the stored place."""
    named = [axis for axis, letter in enumerate(AXES) if letter in block.words]
    if named:
        run.go(RAPID, target(run, block), 0.0)
    if not named or run.dialect.home_moves == "all-axes":
        named = [0, 1, 2]
    end, place = list(run.state.at), run.frame(numbers(home))
    for axis in named:
        end[axis] = place[axis]
    if any(math.isnan(end[axis]) for axis in named):
        run.find("cannot-judge-home")
    run.go(RAPID, end, 0.0)


def shift_zero(run: Run, block: Block) -> None:
    """G92: the present point shall read as written, in every coordinate system."""
    if not block.has_axes:
        raise LineError("shift-without-axes")
    shift = list(run.state.shift)
    for axis, letter in enumerate(AXES):
        if letter in block.words:
            value = block.words[letter] * run.state.scale
            if math.isnan(run.state.at[axis]):
                _place_by_shift(run, axis, value)
            shift[axis] += run.state.reading(axis) - value
    run.state.shift = run.state.stored_shift = shift


def _place_by_shift(run: Run, axis: int, value: float) -> None:
    """Where the cutter stands is not known: take it that it was put at the job's zero, and say so."""
    run.find("zero-set-where-cutter-stands")
    at = list(run.state.at)
    at[axis] = value + run.state.offset(axis)
    run.go(LOST, at, 0.0)


def unshift(run: Run, code: int) -> None:
    """G92.1 forgets the shift, G92.2 suspends it, G92.3 brings the stored one back."""
    run.state.shift = list(run.state.stored_shift) if code == 923 else [0.0, 0.0, 0.0]
    if code == 921:
        run.state.stored_shift = [0.0, 0.0, 0.0]
