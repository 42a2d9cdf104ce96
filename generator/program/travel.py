"""Carrying out motion words: straight moves, probing moves and arcs."""

from __future__ import annotations

import math

from generator.program import arcs
from generator.program.dialect import code_name
from generator.program.modal import ARCS, PROBES, Block
from generator.program.moves import ARC_CCW, ARC_CW, FEED, PROBE, RAPID, Arc
from generator.program.report import LineError
from generator.program.state import AXES, Run, numbers
from generator.units import INCH

OFFSET_LETTERS = "IJK"
# Near a half and a full circle a rounded last digit moves the centre of an R arc a long way
# (NISTIR 6556, 2000, section 3.5.3.1: fine up to 165 and from 195 to 345 degrees).
DELICATE_DEG = ((165.0, 195.0), (345.0, 360.0))
# The published limits, 0.002 mm and 0.0002 inch (NISTIR 6556, 2000, section 3.5.3.2).
STRICT_GAP_MM = 0.002
STRICT_GAP_INCH = 0.0002 * INCH

# Two readings of a centre count as different readings from this distance on (mm).
NOT_THE_SAME = 0.05


def target(run: Run, block: Block) -> list[float]:
    """Where the axis words lead, in job coordinates; axes without a word stay."""
    state = run.state
    end = list(state.at)
    for axis, letter in enumerate(AXES):
        if letter in block.words:
            value = block.words[letter] * state.scale
            end[axis] = value + (state.offset(axis) if state.absolute else end[axis])
    return end


def machine_target(run: Run, block: Block) -> list[float]:
    """Where the axis words lead when read in machine coordinates (G53)."""
    end = list(run.state.at)
    zero = numbers(run.start.zero)
    for axis, letter in enumerate(AXES):
        if letter in block.words:
            end[axis] = block.words[letter] * run.state.scale - zero[axis]
            if math.isnan(end[axis]):
                run.find("cannot-judge-machine-coordinates", letter=letter)
    return end


def travel(run: Run, block: Block, code: int) -> None:
    """One line of motion code G0, G1, G2, G3 or probing."""
    from_machine = block.g.get("one-line") == 530
    if code in ARCS:
        arc(run, block, clockwise=code == 20)
        return
    end = machine_target(run, block) if from_machine else target(run, block)
    if code == 0:
        run.go(RAPID, end, 0.0)
        return
    feed = feed_for(run, block, math.dist(run.state.at, end), code)
    if code in PROBES:
        run.event(code_name("G", code))
    run.go(PROBE if code in PROBES else FEED, end, feed)


def feed_for(run: Run, block: Block, length: float, code: int) -> float:
    """Feed in mm/min along a move of this length; under G93 the F of the line is 1/minutes."""
    run.rely("feed-mode")
    run.fed = True
    state = run.state
    if state.inverse:
        if not block.words.get("F"):
            raise LineError("inverse-time-without-feed")
        return length * block.words["F"]
    if not state.feed:
        raise LineError("no-feed", code=code_name("G", code))
    return state.feed


def arc(run: Run, block: Block, clockwise: bool) -> None:
    """One arc line in centre or radius form."""
    run.rely("plane")
    a, b, c = run.state.axes
    end = target(run, block)
    start_pair, end_pair = (run.state.at[a], run.state.at[b]), (end[a], end[b])
    centre = _centre(run, block, start_pair, end_pair, clockwise)
    found = arcs.curve(start_pair, end_pair, centre, clockwise)
    if any(math.isnan(value) for value in (*start_pair, *end_pair, *centre)):
        raise LineError("cannot-judge-arc")
    length = math.hypot(found.radius * found.sweep, end[c] - run.state.at[c])
    feed = feed_for(run, block, length, 20 if clockwise else 30)
    if "R" in block.words:
        _note_delicate(run, abs(math.degrees(found.sweep)))
    geometry = Arc(run.state.plane, found.centre, found.radius, found.start_angle, found.sweep)
    run.moves.add_arc(ARC_CW if clockwise else ARC_CCW, end, feed, run.line, geometry)
    run.state.at = end


def _centre(run: Run, block: Block, start: arcs.Pair, end: arcs.Pair, clockwise: bool) -> arcs.Pair:
    offsets = [letter for letter in OFFSET_LETTERS if letter in block.words]
    if not offsets and "R" not in block.words:
        raise LineError("arc-no-centre")
    if offsets and "R" in block.words:
        raise LineError("arc-mixed-forms")
    _check_end_words(run, block)
    if "R" in block.words:
        return arcs.centre_of_radius(start, end, block.words["R"] * run.state.scale, clockwise)
    return _centre_of_offsets(run, block, start, end)


def _check_end_words(run: Run, block: Block) -> None:
    a, b, _ = run.state.axes
    if AXES[a] in block.words or AXES[b] in block.words:
        return
    if "R" in block.words:
        raise LineError("arc-end-is-start")
    run.habit("circle-without-end", one=AXES[a], two=AXES[b])


def _centre_of_offsets(run: Run, block: Block, start: arcs.Pair, end: arcs.Pair) -> arcs.Pair:
    a, b, c = run.state.axes
    third = OFFSET_LETTERS[c]
    if third in block.words:
        if block.words[third]:
            raise LineError("wrong-offset-letter", letter=third)
        run.habit("third-offset-not-wanted", letter=third)
    first, second = (block.words.get(OFFSET_LETTERS[axis]) for axis in (a, b))
    if first is None and second is None:
        raise LineError("wrong-offset-letter", letter=third)
    scale = run.state.scale
    offset = ((first or 0.0) * scale, (second or 0.0) * scale)
    incremental = (start[0] + offset[0], start[1] + offset[1])
    absolute = (
        start[0] if first is None else offset[0] + run.state.offset(a),
        start[1] if second is None else offset[1] + run.state.offset(b),
    )
    chosen, other = (absolute, incremental) if run.state.arc_absolute else (incremental, absolute)
    _check_radii(run, start, end, chosen, other)
    return chosen


def _check_radii(run: Run, start: arcs.Pair, end: arcs.Pair, centre: arcs.Pair, other: arcs.Pair) -> None:
    radius = arcs.distance(start, centre)
    if radius < arcs.SAME_POINT:
        raise LineError("arc-zero-radius")
    gap = arcs.radius_gap(start, end, centre)
    dialect = run.dialect
    mm = run.state.scale == 1.0
    limit = dialect.arc_tolerance_mm if mm else dialect.arc_tolerance_inch
    if gap > max(limit, dialect.arc_tolerance_share * radius) + arcs.SLACK:
        fits = arcs.radius_gap(start, end, other) <= limit and arcs.distance(centre, other) > NOT_THE_SAME
        run.tally["arcs-fitting-other-centre"] += fits
        raise LineError(
            "arc-centre-fits-otherwise" if fits else "arc-radius-mismatch",
            start=f"{radius:.4f}",
            end=f"{arcs.distance(end, centre):.4f}",
            limit=f"{limit:g}",
        )
    if gap > (STRICT_GAP_MM if mm else STRICT_GAP_INCH) + arcs.SLACK:
        run.find("arc-slightly-off")


def _note_delicate(run: Run, sweep_deg: float) -> None:
    if any(low < sweep_deg < high for low, high in DELICATE_DEG):
        run.habit("radius-arc-delicate")
