"""Signs of programs written for other kinds of machine, as counts; checks decide how many are too many."""

from __future__ import annotations

import math
from collections.abc import Iterable

from generator.expr import Value
from generator.program.motion import many
from generator.program.moves import FEED, LOST, Moves
from generator.program.read import Program

_EXTRUDER = ("M82", "M83", "M84", "M104", "M106", "M107", "M109", "M140", "M190", "G29")
_LATHE = ("G70", "G71", "G72", "G76", "G96")

SIGNATURES: dict[str, str] = {
    "signature.extruder_words": "E words: plastic is fed by them",
    "signature.extruder_codes": "codes for heaters and fans",
    "signature.layer_comments": "comments that count layers",
    "signature.beam_starts": "M4, by which beam machines switch their dynamic power on",
    "signature.speed_changes": "changes of S",
    "signature.speed_changes_while_feeding": "S words on lines that cut: a beam's power",
    "signature.spindle_toggles": "changes between spindle on and off",
    "signature.coolant_toggles": "M7 to M9: torches are lit by them",
    "signature.dwells": "G4 waits: pierce delays",
    "signature.z_changes": "moves that change Z",
    "signature.z_heights": "different heights at which moves end, counted up to 100",
    "signature.y_changes": "moves that change Y",
    "signature.rotary_words": "A, B or C words: a knife turned along its path",
    "signature.side_axis_words": "U, V or W words",
    "signature.lathe_codes": "codes for turning",
    "signature.plot_lines": "lines that end in *: photoplot files",
    "signature.faulty_lines": "lines that could not be carried out",
}


def signature_facts(program: Program) -> dict[str, Value]:
    """One count per sign."""
    tally = program.tally
    changes, while_feeding, toggles, coolant, dwells = _event_counts(program)
    return {
        "signature.extruder_words": tally["E"],
        "signature.extruder_codes": sum(tally[code] for code in _EXTRUDER),
        "signature.layer_comments": tally["layer-comment"],
        "signature.beam_starts": tally["M4"],
        "signature.speed_changes": changes,
        "signature.speed_changes_while_feeding": while_feeding,
        "signature.spindle_toggles": toggles,
        "signature.coolant_toggles": coolant,
        "signature.dwells": dwells,
        "signature.z_changes": _changes(program.moves, 2),
        "signature.z_heights": _heights(program.moves.z),
        "signature.y_changes": _changes(program.moves, 1),
        "signature.rotary_words": sum(tally[letter] for letter in "ABC"),
        "signature.side_axis_words": sum(tally[letter] for letter in "UVW"),
        "signature.lathe_codes": sum(tally[code] for code in _LATHE),
        "signature.plot_lines": tally["star-lines"],
        "signature.faulty_lines": tally["faulty-lines"],
    }


def _event_counts(program: Program) -> tuple[int, int, int, int, int]:
    """Speed changes, those on cutting lines, spindle switches, coolant switches and waits."""
    moves = program.moves
    speed, on = None, False
    changes = while_feeding = toggles = coolant = dwells = 0
    for event in program.events:
        if event.code == "S":
            if speed is not None and event.value != speed:
                changes += 1
                while_feeding += _feeds_on_its_line(moves, event.move, event.line)
            speed = event.value
        elif event.code in ("M3", "M4", "M5"):
            toggles += on != (event.code != "M5")
            on = event.code != "M5"
        coolant += event.code in ("M7", "M8", "M9")
        dwells += event.code == "G4"
    return changes, while_feeding, toggles, coolant, dwells


def _feeds_on_its_line(moves: Moves, index: int, line: int) -> bool:
    return index < len(moves) and moves.line[index] == line and moves.kind[index] == FEED


def _changes(moves: Moves, axis: int) -> int:
    if many(moves):
        from generator.program.fact_columns import change_count

        return change_count(moves, axis)
    count, last = 0, moves.start[axis]
    for value, kind in zip((moves.x, moves.y, moves.z)[axis], moves.kind, strict=True):
        count += kind != LOST and value == value and value != last
        last = value
    return count


def _heights(values: Iterable[float]) -> int:
    found: set[float] = set()
    last = math.nan
    for value in values:
        if value != last and value == value:
            found.add(round(value, 2))
            if len(found) >= 100:
                break
            last = value
    return len(found)
