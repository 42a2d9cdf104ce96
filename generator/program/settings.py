"""The steps of one line before its motion, in the order of execution (NISTIR 6556, 2000, Table 8)."""

from __future__ import annotations

import math
from collections.abc import Callable

from generator.program.dialect import code_name
from generator.program.modal import CANCEL, Block
from generator.program.offsets import one_line, system_name
from generator.program.report import LineError
from generator.program.state import Run
from generator.units import INCH

_SYSTEMS = {540: 1, 550: 2, 560: 3, 570: 4, 580: 5, 590: 6, 591: 7, 592: 8, 593: 9}
_OLD_UNITS = {700: 200, 710: 210}


def _feed_mode(run: Run, block: Block) -> None:
    code = block.g.get("feed-mode")
    if code is not None:
        run.said.add("feed-mode")
        if run.state.inverse != (code == 930):
            # A feed per minute means nothing as 1/minutes, and the other way round.
            run.state.feed = None
        run.state.inverse = code == 930
        run.event(code_name("G", code))


def _feed(run: Run, block: Block) -> None:
    if "F" not in block.words:
        return
    if "units" in block.g:
        run.habit("feed-and-units-together")
    run.rely("units")
    if not run.state.inverse:
        run.state.feed = block.words["F"] * run.state.scale


def _speed(run: Run, block: Block) -> None:
    if "S" in block.words:
        run.state.speed = block.words["S"]
        run.event("S", run.state.speed)


def _tool(run: Run, block: Block) -> None:
    if "T" in block.words:
        run.state.selected = block.whole("T")
        run.event("T", float(run.state.selected))
    if block.m.get("tool-change") == 6 or ("T" in block.words and run.dialect.tool_word == "changes"):
        run.state.tool, run.state.spindle = run.state.selected, 5
        run.event("M6", math.nan if run.state.tool is None else float(run.state.tool))


def _spindle(run: Run, block: Block) -> None:
    if "spindle" in block.m:
        run.state.spindle = block.m["spindle"]
        run.event(f"M{run.state.spindle}", math.nan if run.state.speed is None else run.state.speed)


def _switches(run: Run, block: Block) -> None:
    for group in ("coolant-on", "coolant", "override"):
        if group in block.m:
            run.event(f"M{block.m[group]}")


def _dwell(run: Run, block: Block) -> None:
    if block.g.get("one-line") == 40:
        run.event("G4", dwell_seconds(run, block))


def dwell_seconds(run: Run, block: Block) -> float:
    """The dwell word of the line in seconds; LineError where it is missing or negative."""
    if "P" not in block.words:
        raise LineError("dwell-without-time", code="G4")
    return block.words["P"] * (0.001 if run.dialect.dwell_unit == "ms" else 1.0)


def _plane(run: Run, block: Block) -> None:
    if "plane" in block.g:
        run.said.add("plane")
        run.state.plane = block.g["plane"] // 10
        run.event(f"G{run.state.plane}")


def _units(run: Run, block: Block) -> None:
    code = block.g.get("units")
    if code is None:
        return
    if code in _OLD_UNITS:
        run.habit("units-by-old-code", code=code_name("G", code))
    if run.state.compensation != 40:
        raise LineError("units-with-compensation")
    run.said.add("units")
    run.state.scale = INCH if _OLD_UNITS.get(code, code) == 200 else 1.0
    run.event(code_name("G", _OLD_UNITS.get(code, code)))


def _compensation(run: Run, block: Block) -> None:
    code = block.g.get("radius-compensation")
    if code is None:
        return
    run.said.add("radius-compensation")
    if code != 400:
        if run.state.plane != 17:
            raise LineError("compensation-outside-xy")
        if run.state.compensation != 40:
            raise LineError("compensation-already-on")
        run.find("radius-compensation-on")
    run.state.compensation = code // 10
    run.event(code_name("G", code))


def _length(run: Run, block: Block) -> None:
    code = block.g.get("length-offset")
    if code is None:
        return
    run.said.add("length-offset")
    if code == 490:
        run.state.length = 0.0
        run.event("G49")
        return
    if "H" not in block.words:
        raise LineError("length-offset-without-h")
    index = block.whole("H")
    known = run.start.tool_lengths.get(index)
    if index and known is None:
        unknown = "length-offset-not-there" if run.dialect.length_offsets == "none" else "length-offset-not-known"
        run.find(unknown, index=index)
    run.state.length = (known or 0.0) if index else 0.0
    run.event("G43", float(index))


def _system(run: Run, block: Block) -> None:
    code = block.g.get("coordinate-system")
    if code is None:
        return
    system = _SYSTEMS[code]
    if system > run.dialect.systems:
        raise LineError("unknown-g-code", code=system_name(system))
    if run.state.compensation != 40:
        raise LineError("system-with-compensation")
    run.said.add("coordinate-system")
    if system not in run.state.origins:
        _first_seen(run, system)
    run.state.system = system
    run.event(system_name(system))


def _first_seen(run: Run, system: int) -> None:
    """A system chosen before anything moved is the one the job zeroes; a later one lies somewhere unknown."""
    state = run.state
    if len(run.moves) == 0:
        state.origins.pop(state.assumed, None)
        state.origins[system], state.assumed = [0.0, 0.0, 0.0], system
        return
    state.origins[system] = [math.nan] * 3
    run.find("cannot-judge-system", system=system_name(system))


def _path_and_distance(run: Run, block: Block) -> None:
    for group in ("path-control", "distance", "arc-distance", "return-level"):
        code = block.g.get(group)
        if code is not None:
            run.said.add(group)
            run.event(code_name("G", code), block.words.get("P", 0.0))
    state = run.state
    state.absolute = block.g.get("distance", 900 if state.absolute else 910) == 900
    state.arc_absolute = block.g.get("arc-distance", 901 if state.arc_absolute else 911) == 901
    state.return_to_r = block.g.get("return-level", 990 if state.return_to_r else 980) == 990


def _motion_mode(run: Run, block: Block) -> None:
    """A cancel, or a motion code with no axis words to use at once, still changes what is in force."""
    code = block.g.get("motion")
    if code is not None and (code == CANCEL or not block.has_axes):
        run.state.motion = code
    if code in (0, 10):
        run.state.straight = code


STEPS: tuple[Callable[[Run, Block], None], ...] = (
    _feed_mode, _feed, _speed, _tool, _spindle, _switches, _dwell, _plane, _units, _compensation, _length, _system,
    _path_and_distance, _motion_mode, one_line,
)  # fmt: skip
# The steps a line can need that only moves and sets a feed; most lines are such.
MOVING_STEPS = (_feed, _motion_mode)
