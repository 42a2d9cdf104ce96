"""Canned cycles written out as the moves they stand for (NISTIR 6556, 2000, section 3.5.16)."""

from __future__ import annotations

import math
from collections.abc import Callable

from msgspec import Struct

from generator.program.dialect import code_name
from generator.program.modal import CYCLES, Block
from generator.program.moves import FEED, RAPID
from generator.program.report import LineError
from generator.program.state import AXES, Run

# No real hole needs more; a repeat or peck count beyond it is a slip or an attack on the reader.
MOST_STEPS = 5000
DWELL_CYCLES = frozenset({820, 860, 880, 890})
PECK_CYCLES = frozenset({730, 830})
SPINDLE_CYCLES = frozenset({840, 860, 870, 880})


class Hole(Struct):
    """One hole along the axis normal to the plane; heights in job coordinates."""

    axis: int
    top: float
    bottom: float
    clear: float
    feed: float
    dwell: float
    peck: float
    shift: tuple[float, float]
    counterbore: float


def run_cycle(run: Run, block: Block, code: int, dwell_s: float | None) -> None:
    """All repeats of one cycle line; `dwell_s` is the dwell word of the line in seconds."""
    run.rely("plane")
    run.rely("return-level")
    run.rely("feed-mode")
    sticky = _sticky_words(run, block, code, dwell_s)
    repeats = _repeats(block)
    hole = _hole(run, sticky, code)
    _check_size(hole, code, repeats)
    run.event(code_name("G", code), float(repeats))
    if run.state.at[hole.axis] < hole.top:
        _to(run, RAPID, hole, hole.top)
    for _ in range(repeats):
        _sideways(run, block)
        if run.state.at[hole.axis] != hole.top:
            _to(run, RAPID, hole, hole.top)
        _DRILL[code](run, hole)


def _sticky_words(run: Run, block: Block, code: int, dwell_s: float | None) -> dict[str, float]:
    """R, Z, P and Q stay for following lines of cycles; the bottom only while the same cycle goes on."""
    state = run.state
    _check_words(run, block)
    sticky = dict(state.cycle) if state.motion in CYCLES else {}
    depth = AXES[state.axes[2]]
    if state.motion != code:
        for letter in "XYZ":
            sticky.pop(letter, None)
    for letter in (depth, "R", "Q", "I", "J", "K"):
        if letter in block.words:
            sticky[letter] = block.words[letter]
    if dwell_s is not None:
        sticky["P"] = dwell_s
    _check_sticky(sticky, code, depth)
    state.cycle = sticky
    return sticky


def _check_words(run: Run, block: Block) -> None:
    if not block.has_axes:
        raise LineError("cycle-without-axes")
    if run.state.inverse:
        raise LineError("cycle-in-inverse-time")
    if run.state.compensation != 40:
        raise LineError("cycle-with-compensation")


def _check_sticky(sticky: dict[str, float], code: int, depth: str) -> None:
    if "R" not in sticky:
        raise LineError("cycle-without-r")
    if depth not in sticky:
        raise LineError("cycle-without-bottom", letter=depth)
    if code in DWELL_CYCLES and "P" not in sticky:
        raise LineError("cycle-without-dwell", code=code_name("G", code))
    if code in PECK_CYCLES and "Q" not in sticky:
        raise LineError("cycle-without-peck", code=code_name("G", code))
    if code in PECK_CYCLES and not sticky["Q"] > 0:
        raise LineError("peck-not-positive")
    if code == 870 and not {"I", "J", "K"} <= sticky.keys():
        raise LineError("back-bore-incomplete")


def _repeats(block: Block) -> int:
    if "L" not in block.words:
        return 1
    repeats = block.whole("L")
    if repeats < 1:
        raise LineError("cycle-without-repeats")
    return repeats


def _hole(run: Run, sticky: dict[str, float], code: int) -> Hole:
    state, scale = run.state, run.state.scale
    axis = state.axes[2]
    level = state.at[axis]
    base = state.offset(axis) if state.absolute else level
    top = base + sticky["R"] * scale
    bottom = (base if state.absolute else top) + sticky[AXES[axis]] * scale
    if top < bottom:
        raise LineError("cycle-r-below-bottom")
    if not state.feed:
        raise LineError("no-feed", code=code_name("G", code))
    if code in SPINDLE_CYCLES and state.spindle == 5:
        raise LineError("cycle-needs-spindle", code=code_name("G", code))
    return Hole(
        axis,
        top,
        bottom,
        clear=top if state.return_to_r else max(level, top),
        feed=state.feed,
        dwell=sticky.get("P", 0.0),
        peck=sticky.get("Q", 0.0) * scale,
        shift=(sticky.get("I", 0.0) * scale, sticky.get("J", 0.0) * scale),
        counterbore=(state.offset(axis) if state.absolute else bottom) + sticky.get("K", 0.0) * scale,
    )


def _check_size(hole: Hole, code: int, repeats: int) -> None:
    if math.isnan(hole.top + hole.bottom + hole.clear):
        raise LineError("cannot-judge-cycle")
    pecks = (hole.top - hole.bottom) / hole.peck if code in PECK_CYCLES else 1.0
    if not pecks * repeats <= MOST_STEPS:
        raise LineError("cycle-too-long", most=MOST_STEPS)


def _sideways(run: Run, block: Block) -> None:
    state = run.state
    end = list(state.at)
    for axis in state.axes[:2]:
        if AXES[axis] in block.words:
            value = block.words[AXES[axis]] * state.scale
            end[axis] = value + (state.offset(axis) if state.absolute else end[axis])
    run.go(RAPID, end, 0.0)


def _to(run: Run, kind: int, hole: Hole, level: float) -> None:
    end = list(run.state.at)
    end[hole.axis] = level
    run.go(kind, end, hole.feed if kind == FEED else 0.0)


def _shift(run: Run, hole: Hole, sign: int) -> None:
    end = list(run.state.at)
    for axis, shift in zip(run.state.axes[:2], hole.shift, strict=True):
        end[axis] += sign * shift
    run.go(RAPID, end, 0.0)


def _drill(run: Run, hole: Hole) -> None:
    _to(run, FEED, hole, hole.bottom)
    _to(run, RAPID, hole, hole.clear)


def _drill_and_wait(run: Run, hole: Hole) -> None:
    _to(run, FEED, hole, hole.bottom)
    run.event("G4", hole.dwell)
    _to(run, RAPID, hole, hole.clear)


def _peck(run: Run, hole: Hole) -> None:
    """Out of the hole after every peck, back down to a small gap above the depth reached."""
    gap = run.dialect.peck_gap
    out = hole.clear if run.dialect.peck_retract == "clear-level" else hole.top
    depth = hole.top
    for number in range(MOST_STEPS + 1):
        if number:
            _to(run, RAPID, hole, min(depth + gap, out))
        depth = max(depth - hole.peck, hole.bottom)
        _to(run, FEED, hole, depth)
        if depth <= hole.bottom:
            break
        _to(run, RAPID, hole, out)
    _to(run, RAPID, hole, hole.clear)


def _break_chips(run: Run, hole: Hole) -> None:
    depth = hole.top
    for _ in range(MOST_STEPS + 1):
        depth = max(depth - hole.peck, hole.bottom)
        _to(run, FEED, hole, depth)
        if depth <= hole.bottom:
            break
        _to(run, RAPID, hole, depth + run.dialect.peck_gap)
    _to(run, RAPID, hole, hole.clear)


def _tap(run: Run, hole: Hole) -> None:
    forward = run.state.spindle
    _to(run, FEED, hole, hole.bottom)
    run.event(f"M{7 - forward}")
    _to(run, FEED, hole, hole.clear)
    run.event(f"M{forward}")


def _bore(run: Run, hole: Hole) -> None:
    _to(run, FEED, hole, hole.bottom)
    if hole.dwell:
        run.event("G4", hole.dwell)
    _to(run, FEED, hole, hole.clear)


def _bore_and_stop(run: Run, hole: Hole) -> None:
    _to(run, FEED, hole, hole.bottom)
    run.event("G4", hole.dwell)
    run.event("M5")
    _to(run, RAPID, hole, hole.clear)
    run.event(f"M{run.state.spindle}")


def _back_bore(run: Run, hole: Hole) -> None:
    _shift(run, hole, 1)
    run.event("M5")
    _to(run, RAPID, hole, hole.bottom)
    _shift(run, hole, -1)
    run.event(f"M{run.state.spindle}")
    _to(run, FEED, hole, hole.counterbore)
    _to(run, FEED, hole, hole.bottom)
    run.event("M5")
    _shift(run, hole, 1)
    _to(run, RAPID, hole, hole.clear)
    _shift(run, hole, -1)
    run.event(f"M{run.state.spindle}")


def _bore_by_hand(run: Run, hole: Hole) -> None:
    _to(run, FEED, hole, hole.bottom)
    run.event("G4", hole.dwell)
    run.event("M5")
    run.find("cannot-judge-manual-retract")
    run.event("M0")
    _to(run, RAPID, hole, hole.clear)
    run.event(f"M{run.state.spindle}")


_DRILL: dict[int, Callable[[Run, Hole], None]] = {
    730: _break_chips, 810: _drill, 820: _drill_and_wait, 830: _peck, 840: _tap, 850: _bore,
    860: _bore_and_stop, 870: _back_bore, 880: _bore_by_hand, 890: _bore,
}  # fmt: skip
