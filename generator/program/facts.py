"""Everything checks may ask about a program, as flat facts: name -> number, text, bool, list or None (unknown)."""

from __future__ import annotations

import math
from array import array

from generator.expr import Value
from generator.program.motion import chosen, envelope, many, move_boxes, move_lengths, times, total
from generator.program.moves import ARCS, CUTS, LOST, PROBE, RAPID, Moves
from generator.program.occurrences import HANGS_ON, Occurrences
from generator.program.read import Program
from generator.program.setup import Setup
from generator.program.signature import signature_facts
from generator.program.state import AXES, Place
from generator.program.watch import Watches

_ALL_KINDS = (RAPID, *CUTS, PROBE)
Box = tuple[list[float | None], list[float | None]]


def program_facts(program: Program, setup: Setup, before: Program | None = None) -> dict[str, Value]:
    """All facts of `program` in its setup; names and meanings are in generator.program.catalogue.

    What the program `before` has cut is open when this one begins. `count.<kind>` is how often each kind of occurrence
    happens, `occurrences.<kind>` the first lines of it.
    """
    lengths = move_lengths(program.moves)
    seen = Occurrences()
    facts = _file_facts(program) | _length_facts(program, lengths, setup) | _end_facts(program, setup)
    facts |= _envelope_facts(program, setup, seen)
    watches = Watches(program, setup, seen)
    if before is not None:
        watches.find_cut(before)
    facts |= watches.run(lengths)
    facts |= signature_facts(program)
    for kind, count in seen.counts.items():
        unknown = kind in seen.doubted or (kind in HANGS_ON and getattr(setup, HANGS_ON[kind]) is None)
        facts[f"count.{kind}"] = None if unknown and not count else count
        facts[f"occurrences.{kind}"] = list(seen.lines[kind])
    return {name: _without_nan(value) for name, value in facts.items()}


def _without_nan(value: Value) -> Value:
    if isinstance(value, list):
        return [item for item in value if item == item]
    return None if isinstance(value, float) and not math.isfinite(value) else value


def _file_facts(program: Program) -> dict[str, Value]:
    ids = [finding.id for finding in program.findings]
    final = program.final
    return {
        "program.file_kind": program.file_kind, "program.lines": program.lines,
        "program.moves": sum(kind != LOST for kind in program.moves.kind) if LOST in program.moves.kind
        else len(program.moves),
        "program.relies_on": list(program.relies),
        "program.relies_on_lines": list(program.relies.values()),
        "program.units": _units(program), "program.decimal_points": program.tally["point"] > 0,
        "program.cannot_judge": sorted({id for id in ids if id.startswith("cannot-judge")}),
        "program.faults": sum(finding.severity == "stop" for finding in program.findings),
        "program.deleted_lines": program.deleted_lines,
        "program.inverse_at_end": final.inverse, "program.compensation_at_end": final.compensation != 40,
        "program.arcs": len(program.moves.arc_move),
        "program.arcs_fit_other_centre": program.tally["arcs-fitting-other-centre"],
    }  # fmt: skip


def _units(program: Program) -> str:
    """'mm', 'inch', 'both', or 'not said'."""
    said = {"G20", "G21"} & set(program.events.codes)
    return {frozenset({"G20"}): "inch", frozenset({"G21"}): "mm", frozenset(): "not said"}.get(frozenset(said), "both")


def _length_facts(program: Program, lengths: array[float], setup: Setup) -> dict[str, Value]:
    moves = program.moves
    taken = times(moves, lengths, setup)
    cuts, rapids = chosen(moves, CUTS), chosen(moves, (RAPID,))
    dwells = math.fsum(program.events.values_of("G4")) / 60
    return {
        "program.cut_moves": sum(cuts), "program.rapid_moves": sum(rapids),
        "program.cut_length": total(lengths, cuts), "program.rapid_length": total(lengths, rapids),
        "program.cut_time_min": taken.cut_low,
        "program.time_low_min": taken.cut_low + (taken.rapid_low or 0.0) + dwells,
        "program.time_min": None if taken.likely is None else taken.likely + dwells,
        "program.time_high_min": None if taken.high is None else taken.high + dwells,
        "program.feed_max": max(moves.feed, default=None) or None,
    }  # fmt: skip


def _end_facts(program: Program, setup: Setup) -> dict[str, Value]:
    moves = program.moves
    last = _last_known(moves)
    height = moves.z[last] if last is not None else math.nan
    safe = setup.safe_height
    first = _first_motion(moves)
    return {
        "program.end": program.end, "program.end_line": program.end_line,
        "program.last_line_ended": program.last_line_ended, "program.motion_after_end": program.motion_after_end,
        "program.end_x": moves.x[last] if last is not None else None,
        "program.end_y": moves.y[last] if last is not None else None,
        "program.end_z": height, "program.last_motion_line": moves.line[last] if last is not None else None,
        "program.ends_low": None if safe is None or height != height else height < safe - 1e-6,
        "program.first_motion_line": moves.line[first] if first is not None else None,
        "program.first_motion_sideways": None if first is None else _sideways(moves, first),
        "program.first_motion_rapid": None if first is None else moves.kind[first] == RAPID,
    }  # fmt: skip


def _last_known(moves: Moves) -> int | None:
    """The last move that ends somewhere known: where the machine would stand when it stops at a fault."""
    for index in range(len(moves) - 1, -1, -1):
        if moves.kind[index] != LOST:
            return index
    return None


def _first_motion(moves: Moves) -> int | None:
    return next((index for index, kind in enumerate(moves.kind) if kind != LOST), None)


def _sideways(moves: Moves, index: int) -> bool:
    """Whether a move goes anywhere in X or Y; from an unknown place to a known one it does."""
    start, end = moves.end(index - 1), moves.end(index)
    return any(end[axis] == end[axis] and end[axis] != start[axis] for axis in (0, 1))


def _envelope_facts(program: Program, setup: Setup, seen: Occurrences) -> dict[str, Value]:
    moves = program.moves
    whole, cut = envelope(moves, _ALL_KINDS), envelope(moves, CUTS)
    machine = (_moved(whole[0], program.start.zero), _moved(whole[1], program.start.zero))
    facts = _named("program", whole) | _named("program.cut", cut) | _named("program.machine", machine)
    bottom, deepest = setup.stock_bottom, cut[0][2]
    facts["program.below_stock"] = None if bottom is None or deepest is None else max(0.0, bottom - deepest)
    facts["program.deepest_line"] = _deepest_line(moves, deepest)
    return facts | _travel_facts(program, setup, machine, seen)


def _named(prefix: str, box: Box) -> dict[str, Value]:
    join = "." if prefix == "program" else "_"
    return {
        f"{prefix}{join}{side}_{letter.lower()}": box[number][axis]
        for number, side in enumerate(("min", "max"))
        for axis, letter in enumerate(AXES)
    }


def _moved(corner: list[float | None], zero: Place) -> list[float | None]:
    return [None if a is None or b is None else a + b for a, b in zip(corner, zero, strict=True)]


def _deepest_line(moves: Moves, deepest: float | None) -> int | None:
    """Line of the first cutting move that reaches the lowest height; an arc may dip between its ends."""
    if deepest is None:
        return None
    if many(moves):
        from generator.program.fact_columns import first_line_at

        return first_line_at(moves, CUTS, deepest)
    boxes = move_boxes(moves)
    lines = zip(moves.line, moves.kind, boxes, strict=True)
    return next((line for line, kind, (low, _) in lines if kind in CUTS and low[2] <= deepest), None)


def _travel_facts(program: Program, setup: Setup, machine: Box, seen: Occurrences) -> dict[str, Value]:
    over = {
        f"{letter} {side}": excess
        for axis, letter in enumerate(AXES)
        for side, excess in _excesses(machine, setup, axis)
        if excess > 1e-6
    }
    known = None not in (*setup.travel_low, *setup.travel_high, *machine[0], *machine[1])
    if over:
        _mark_beyond(program, setup, seen)
    return {
        "program.fits_travel": False if over else True if known else None,
        "program.over_travel": max(over.values(), default=0.0 if known else None),
        "program.over_travel_where": list(over),
    }


def _excesses(machine: Box, setup: Setup, axis: int) -> list[tuple[str, float]]:
    low, high = setup.travel_low[axis], setup.travel_high[axis]
    least, most = machine[0][axis], machine[1][axis]
    found = []
    if low is not None and least is not None:
        found.append(("low", low - least))
    if high is not None and most is not None:
        found.append(("high", most - high))
    return found


def _mark_beyond(program: Program, setup: Setup, seen: Occurrences) -> None:
    moves, zero = program.moves, program.start.zero
    low = [_inner(limit, at, -math.inf) - 1e-6 for limit, at in zip(setup.travel_low, zero, strict=True)]
    high = [_inner(limit, at, math.inf) + 1e-6 for limit, at in zip(setup.travel_high, zero, strict=True)]
    if many(moves):
        from generator.program.fact_columns import lines_beyond

        for lines in lines_beyond(moves, low, high):
            seen.add_many("beyond_travel", lines)
        return
    for index, (line, kind, box) in enumerate(zip(moves.line, moves.kind, move_boxes(moves), strict=True)):
        least, most = box if kind in ARCS else (moves.end(index), moves.end(index))
        if any(least[axis] < low[axis] or most[axis] > high[axis] for axis in range(3)):
            seen.add("beyond_travel", line)


def _inner(limit: float | None, zero: float | None, unknown: float) -> float:
    return unknown if limit is None or zero is None else limit - zero


def block_delete_changes(carried: dict[str, Value], left_out: dict[str, Value]) -> list[str]:
    """Names of facts that differ between reading the lines marked `/` and leaving them out."""
    return sorted(name for name, value in carried.items() if left_out.get(name) != value)
