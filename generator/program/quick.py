"""Carrying out a run of ordinary lines at once; what comes out is what generator.program.carry_out makes of each.

Nothing is judged here. A line that would be told about in any way ends the run, and is read the careful way.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from generator.program.arc_columns import ArcColumns, arc_columns
from generator.program.arrays import Flags, Numbers, Places
from generator.program.columns import Column, Columns
from generator.program.state import AXES, Run

_SETTLED = ("units", "distance", "coordinate-system", "radius-compensation", "length-offset", "feed-mode")
_MOTIONS = {0: 0, 10: 1, 20: 2, 30: 3}


class Stretch(Struct):
    """What a run of lines says and leads to, one entry per line; `motion` is -1 where no motion is in force."""

    said: Flags
    motion: Places
    moving: Flags
    feed: Numbers
    at: tuple[Numbers, Numbers, Numbers]
    has: dict[str, Flags]


def settled(run: Run) -> bool:
    """Whether every mode a straight move hangs on has been said or missed, and moves mean what they mostly do."""
    known = run.said | run.relies.keys()
    return not run.state.inverse and not run.state.ended and known.issuperset(_SETTLED)


def carry_out_lines(run: Run, columns: Columns, first: int, last: int) -> int:
    """Carry out ordinary lines from `first` on, up to `last` or the first that is to be read carefully.

    Lines are counted from the start of the block; the one that is next is given back.
    """
    words = {letter: column.between(first, last) for letter, column in columns.words.items()}
    stretch = _stretch(run, words, last - first)
    odd = _odd(stretch)
    curved = np.flatnonzero(stretch.moving & (stretch.motion >= 2) & ~odd)
    arcs = arc_columns(run, words, stretch.at, stretch.motion == 2, curved) if len(curved) else None
    if arcs is not None:
        odd[curved[~arcs.plain]] = True
    done = int(np.argmax(odd)) if odd.any() else last - first
    if done:
        _keep(run, stretch, words, done, arcs)
    return first + done


def _stretch(run: Run, words: dict[str, Column], count: int) -> Stretch:
    state = run.state
    has = {letter: _flags(words[letter], count) for letter in "GXYZIJR"}
    at = [_places(run, axis, words[letter], count) for axis, letter in enumerate(AXES)]
    return Stretch(
        said=has["G"],
        motion=_held(words["G"], count, _MOTIONS.get(-1 if state.motion is None else state.motion, -1)).astype(np.intp),
        moving=has["X"] | has["Y"] | has["Z"],
        feed=_held(Column(words["F"].lines, words["F"].values * state.scale), count, state.feed or 0.0),
        at=(at[0], at[1], at[2]),
        has=has,
    )


def _flags(column: Column, count: int) -> Flags:
    found = np.zeros(count, dtype=bool)
    found[column.lines] = True
    return found


def _held(column: Column, count: int, before: float) -> Numbers:
    """The value in force on every line: the last one said, `before` where none was."""
    if len(column.lines) == count:
        return column.values
    last = np.zeros(count, dtype=np.intp)
    last[column.lines] = np.arange(1, len(column.lines) + 1)
    return np.concatenate(([before], column.values))[np.maximum.accumulate(last)]


def _places(run: Run, axis: int, column: Column, count: int) -> Numbers:
    """Where the cutter stands on one axis behind every line."""
    values = column.values * run.state.scale
    if run.state.absolute:
        return _held(Column(column.lines, values + run.state.offset(axis)), count, run.state.at[axis])
    steps = np.zeros(count + 1)
    steps[0], steps[1 + column.lines] = run.state.at[axis], values
    return np.cumsum(steps)[1:]


def _odd(stretch: Stretch) -> Flags:
    """Lines with a habit or fault that only shows from what is in force."""
    centre = stretch.has["I"] | stretch.has["J"] | stretch.has["R"]
    nowhere = stretch.moving & ((stretch.motion < 0) | ((stretch.motion > 0) & (stretch.feed == 0)))
    odd: Flags = nowhere | (stretch.said & ~stretch.moving) | (centre & ~(stretch.moving & (stretch.motion >= 2)))
    return odd


def _keep(run: Run, stretch: Stretch, words: dict[str, Column], done: int, arcs: ArcColumns | None) -> None:
    """Store moves and codes of the first `done` lines, and bring the state to where they leave it."""
    moved = np.flatnonzero(stretch.moving[:done])
    before = len(run.moves) + np.cumsum(stretch.moving[:done]) - stretch.moving[:done]
    speeds = words["S"].between(0, done)
    run.events.extend(before[speeds.lines], run.line + 1 + speeds.lines, "S", speeds.values)
    if arcs is not None:
        kept = arcs.lines < done
        run.moves.extend_arcs(before[arcs.lines[kept]], arcs.geometry[kept])
    motion = stretch.motion[moved]
    run.moves.extend(
        motion.astype(np.uint8),
        tuple(values[moved] for values in stretch.at),
        np.where(motion == 0, 0.0, stretch.feed[moved]),
        run.line + 1 + moved,
    )
    _leave(run, stretch, words, done)


def _leave(run: Run, stretch: Stretch, words: dict[str, Column], done: int) -> None:
    state = run.state
    state.at = [float(values[done - 1]) for values in stretch.at]
    if len(words["F"].between(0, done).lines):
        state.feed = float(stretch.feed[done - 1])
    said = stretch.motion[:done][stretch.said[:done]]
    if len(said):
        state.motion = 10 * int(said[-1])
        straight = said[said < 2]
        state.straight = 10 * int(straight[-1]) if len(straight) else state.straight
    speeds = words["S"].between(0, done).values
    if len(speeds):
        state.speed = float(speeds[-1])
    run.line += done
