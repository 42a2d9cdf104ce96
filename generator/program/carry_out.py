"""Carrying out one line in the order of execution (NISTIR 6556, 2000, section 3.8, Table 8)."""

from __future__ import annotations

from generator.program.cycles import run_cycle
from generator.program.dialect import code_name
from generator.program.modal import ARCS, CANCEL, CYCLES, TAKES_AXES, Block, sort_words
from generator.program.report import LineError
from generator.program.settings import MOVING_STEPS, STEPS, dwell_seconds
from generator.program.state import Run
from generator.program.travel import travel
from generator.program.words import Line

# Parameters in which controllers keep zeros and homes (NISTIR 6556, 2000, section 3.2.1, Table 2).
_STORED_PLACES = range(5161, 5390)

# Letters that mean nothing without a code that uses them.
_NEEDS_USER = frozenset("DHIJKLPQR")


def carry_out(run: Run, line: Line) -> None:
    """One line, all of it; LineError where it cannot be carried out, mostly before anything is done."""
    block = sort_words(line, run.dialect)
    _name_dwell(run, block)
    for id, details in line.habits:
        run.habit(id, **details)
    if line.unset:
        run.find("cannot-judge-parameter", number=", #".join(str(number) for number in sorted(set(line.unset))))
    code = _motion_of(run, block)
    if block.words.keys() & _NEEDS_USER:
        _check_users(run, block, code)
    for step in STEPS if block.does_more_than_move else MOVING_STEPS:
        step(run, block)
    if code is not None:
        _move(run, block, code)
    elif block.has_axes:
        run.rely("units")
        run.rely("distance")
    _set_parameters(run, line)
    _stop(run, block)


def _name_dwell(run: Run, block: Block) -> None:
    """Some dialects write the dwell as X: it is then a time, not a place."""
    if block.g.get("one-line") != 40 or "P" in block.words:
        return
    letter = next((letter for letter in run.dialect.dwell_letters if letter in block.words), None)
    if letter is not None:
        run.habit("dwell-by-other-letter", letter=letter)
        block.words["P"] = block.words.pop(letter)


def _motion_of(run: Run, block: Block) -> int | None:
    """The motion code the line carries out, said or still in force; None for a line without motion."""
    said = block.g.get("motion")
    single = block.g.get("one-line")
    if single in TAKES_AXES:
        if said not in (None, CANCEL):
            raise LineError("two-codes-want-axes", one=code_name("G", said or 0), two=code_name("G", single or 0))
        return None
    if single == 530:
        return _machine_motion(run, block, said)
    if said == CANCEL:
        if block.has_axes:
            raise LineError("axis-with-cancel")
        return None
    if not block.has_axes:
        return _motion_without_axes(run, block, said)
    return said if said is not None else _implied(run)


def _motion_without_axes(run: Run, block: Block, said: int | None) -> int | None:
    centre = any(letter in block.words for letter in "IJKR")
    if (said in ARCS and centre) or (said is None and run.state.motion in ARCS and centre):
        return said if said is not None else run.state.motion
    if said in CYCLES:
        raise LineError("cycle-without-axes")
    if said is not None and not block.after_cancel:
        run.habit("bare-motion-code", code=code_name("G", said))
    return None


def _implied(run: Run) -> int:
    if run.state.motion is None:
        run.rely("motion")
        raise LineError("motion-inherited")
    if run.state.motion != CANCEL:
        return run.state.motion
    run.habit("axis-after-cancel", code=code_name("G", run.state.straight))
    return run.state.straight


def _machine_motion(run: Run, block: Block, said: int | None) -> int:
    code = said if said is not None else run.state.motion
    if code not in (0, 10):
        raise LineError("machine-move-not-straight")
    if block.g.get("distance", 900 if run.state.absolute else 910) == 910:
        raise LineError("machine-move-incremental")
    if run.state.compensation != 40:
        raise LineError("machine-move-compensated")
    if not block.has_axes:
        raise LineError("machine-move-without-axes")
    return code


def _check_users(run: Run, block: Block, code: int | None) -> None:
    """Words no code of the line uses: an error in the published standard, ignored by many controllers."""
    cycle, single = code in CYCLES, block.g.get("one-line")
    used = {
        "D": block.g.get("radius-compensation") in (410, 420),
        "H": block.g.get("length-offset") == 430,
        "I": code in ARCS or code == 870,
        "J": code in ARCS or code == 870,
        "K": code in ARCS or code == 870,
        "L": cycle or single == 100,
        "P": cycle or single in (40, 100) or block.g.get("path-control") == 640,
        "Q": code in (730, 830),
        "R": cycle or code in ARCS,
    }
    for letter, user in used.items():
        if letter in block.words and not user:
            run.habit("unused-word", letter=letter)


def _rely_on_modes(run: Run) -> None:
    for group in ("units", "distance", "coordinate-system", "radius-compensation", "length-offset"):
        run.rely(group)


def _move(run: Run, block: Block, code: int) -> None:
    _rely_on_modes(run)
    if block.g.get("one-line") == 530:
        run.event("G53")
    if code in CYCLES:
        dwell = dwell_seconds(run, block) if "P" in block.words else None
        run_cycle(run, block, code, dwell)
        run.state.motion = code
    else:
        run.state.motion = code
        travel(run, block, code)


def _set_parameters(run: Run, line: Line) -> None:
    for number, value in line.settings:
        if number in _STORED_PLACES:
            run.find("cannot-judge-stored-place", number=number)
        run.parameters[number] = value


def _stop(run: Run, block: Block) -> None:
    code = block.m.get("stop")
    if code is None:
        return
    run.event(f"M{code}")
    if code in (2, 30):
        run.state.ended = f"M{code}"
