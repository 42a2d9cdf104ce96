"""One check value of tests/data/rs274_checks.yml: its program read, and an answer for every kind of value in it."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

from msgspec.structs import replace

from generator.program.facts import program_facts
from generator.program.motion import arc_box, chosen, envelope, move_lengths, total
from generator.program.moves import CUTS, PROBE, RAPID, Arc, Move
from generator.program.read import Program
from generator.program.setup import Clamp, Setup
from generator.program.state import Place, Start
from tests.program.make import AT_ZERO, read

# "X0..200 Y0..100, thickness 18, top Z0" and so on, as the entries assume it.
BENCH = Setup(
    stock=(0.0, 0.0, 200.0, 100.0), stock_top=0.0, stock_bottom=-18.0, safe_height=5.0, cutter_diameter=6.0, flutes=2,
    run_up=3.0, speed_min=8000.0, speed_max=24000.0, travel_low=(0.0, 0.0, 0.0),
    travel_high=(600.0, 400.0, 80.0), clamps=(Clamp(name="clamp", outline=(90.0, -20.0, 110.0, 15.0), top=12.0),),
)  # fmt: skip
BENCH_ZERO: Place = (50.0, 50.0, 30.0)
ON_THE_TABLE = Setup(stock=(0.0, 0.0, 200.0, 100.0), stock_top=18.0, stock_bottom=0.0)
PLAIN = Setup(stock_top=0.0, flutes=2)


class Case:
    """One entry with its program read as the entry assumes."""

    def __init__(self, entry: dict[str, Any]) -> None:
        self.entry = entry
        self.assume: dict[str, Any] = entry.get("assume", {})
        self.text: str = self.entry["program"]
        self.scale = 25.4 if re.search(r"(?i)g20", self.text.split("G21")[0]) else 1.0
        self.program = self.read(self.text)
        self.moves: list[Move] = list(self.program.moves)
        self.lengths = move_lengths(self.program.moves)
        self.setup = self._setup()
        self.facts = program_facts(self.program, self.setup)

    def read(self, text: str) -> Program:
        return read(text, self._start())

    def _setup(self) -> Setup:
        if "clamps" in self.assume:
            return BENCH
        return ON_THE_TABLE if "Z0 = table" in str(self.assume.get("stock")) else PLAIN

    def _start(self) -> Start:
        x, y, z = (value * self.scale for value in self.assume.get("start", (0, 0, 0)))
        on_bench = "clamps" in self.assume
        return replace(
            AT_ZERO,
            position=(x, y, z),
            zero=BENCH_ZERO if on_bench else AT_ZERO.zero,
            origins={1: BENCH_ZERO} if on_bench else AT_ZERO.origins,
            inches=self.assume.get("units_at_start") == "inch",
            feed=self.assume.get("feed_before"),
            home_28=tuple(self.assume.get("g28_home", (None, None, None))),
            tool_lengths={1: self.assume.get("tool_1_length", 0.0), 2: self.assume.get("tool_2_length", 0.0)},
            parameters={int(number): value for number, value in self.assume.get("parameters", {}).items()},
        )

    def after_each_line(self, asked: Callable[[Program], float]) -> list[float]:
        lines = self.text.splitlines(keepends=True)
        return [asked(self.read("".join(lines[:count]))) for count in range(1, len(lines) + 1)]

    def box(self, kinds: object) -> dict[str, list[float]]:
        low, high = envelope(self.program.moves, kinds)  # type: ignore[arg-type]
        return {"min": self._as_written(low), "max": self._as_written(high)}

    def _as_written(self, place: list[float | None]) -> list[float]:
        return [math.nan if value is None else value / self.scale for value in place]

    def last_arc(self) -> Arc:
        return self.program.moves.arc_number(len(self.program.moves.arc_move) - 1)

    def arcs(self) -> list[Move]:
        return [move for move in self.moves if move.arc]

    def spindle_at(self, index: int) -> str:
        """'off', or 'on, 12000', when move number `index` begins."""
        state, speed = "off", 0.0
        for event in self.program.events:
            if event.move > index:
                break
            if event.code == "S":
                speed = event.value
            if event.code in ("M3", "M4", "M5", "M6"):
                state = "on" if event.code in ("M3", "M4") else "off"
        return state if state == "off" else f"on, {speed:g}"


def _reading(program: Program) -> list[float]:
    return [program.final.reading(axis) for axis in range(3)]


def _moves_as_listed(case: Case) -> list[list[float | str]]:
    return [
        ["rapid" if move.kind == "rapid" else "feed", *(value / case.scale for value in move.end)]
        for move in case.moves
    ]


def _arc_facts(case: Case) -> dict[str, Any]:
    arc, move = case.last_arc(), case.arcs()[-1]
    return {
        "centre": list(arc.centre), "radius": arc.radius, "direction": "cw" if move.kind == "arc-cw" else "ccw",
        "sweep_deg": abs(math.degrees(arc.sweep)),
    }  # fmt: skip


def _all_arcs(case: Case) -> list[dict[str, Any]]:
    lines = case.text.splitlines()
    return [
        {
            "line": lines[move.line - 1].split()[0],
            "radius": move.arc.radius,
            "sweep_deg": abs(math.degrees(move.arc.sweep)),
        }
        for move in case.arcs()
        if move.arc
    ]


def _last_arc_box(case: Case) -> dict[str, list[float]]:
    low, high = arc_box(case.program.moves, len(case.program.moves.arc_move) - 1)
    return {"min": [value / case.scale for value in low], "max": [value / case.scale for value in high]}


def _contour_length(case: Case) -> float:
    """Length of the lines N0040 to N0100."""
    return math.fsum(case.lengths[move.number] for move in case.moves if 4 <= move.line <= 10)


def _contour_ends(case: Case) -> list[float]:
    first, last = (next(move for move in case.moves if move.line == line) for line in (4, 10))
    assert first.start[:2] == last.end[:2]
    return list(last.end[:2])


def _x_of_motion_lines(case: Case) -> list[float]:
    return [move.end[0] for move in case.moves]


def _machine_corner(case: Case, side: str) -> list[float]:
    return [case.facts[f"program.machine_{side}_{axis}"] for axis in "xyz"]  # type: ignore[misc]


def _radius_gap(case: Case) -> float:
    move = case.arcs()[-1]
    arc = case.last_arc()
    return abs(math.dist(move.start[:2], arc.centre) - math.dist(move.end[:2], arc.centre)) / case.scale


ANSWERS: dict[str, Callable[[Case], Any]] = {
    "units": lambda case: case.facts["program.units"],
    "distance_mode": lambda case: "absolute (relied on, never set)" if "distance" in case.program.relies else "set",
    "cut_envelope": lambda case: case.box(CUTS),
    "all_envelope": lambda case: case.box((RAPID, *CUTS, PROBE)),
    "programmed_envelope": lambda case: case.box(CUTS),
    "envelope_of_last_arc": _last_arc_box,
    "end_point": lambda case: [value / case.scale for value in _reading(case.program)],
    "end_point_mm": lambda case: _reading(case.program),
    "programmed_position_after_line_4": lambda case: _reading(case.read("".join(case.text.splitlines(True)[:4]))),
    "machine_end_point": lambda case: list(case.program.final.at),
    "machine_end_point_mm": lambda case: list(case.program.final.at),
    "machine_points_mm": lambda case: [list(move.end) for move in case.moves],
    "machine_max": lambda case: _machine_corner(case, "max"),
    "machine_min_x": lambda case: _machine_corner(case, "min")[0],
    "x_max_mm": lambda case: case.facts["program.max_x"],
    "z_min_mm": lambda case: case.facts["program.min_z"],
    "cut_length_mm": lambda case: case.facts["program.cut_length"],
    "cut_length": lambda case: case.facts["program.cut_length"],
    "feed_length": lambda case: case.facts["program.cut_length"],
    "rapid_length_mm": lambda case: case.facts["program.rapid_length"],
    "feed_moves": lambda case: case.facts["program.cut_moves"],
    "rapid_moves": lambda case: case.facts["program.rapid_moves"],
    "plunges": lambda case: case.facts["count.plunge"],
    "cut_time_min": lambda case: case.facts["program.cut_time_min"],
    "time_min": lambda case: case.facts["program.cut_time_min"],
    "move_time_s": lambda case: 60 * case.lengths[0] / case.moves[0].feed,
    "dwell_total_s": lambda case: case.facts["program.dwell_s"],
    "arcs": _all_arcs,
    "arc": _arc_facts,
    "arc_length": lambda case: total(case.lengths, chosen(case.program.moves, (2, 3))),
    "arc_radii": lambda case: [move.arc.radius for move in case.arcs() if move.arc],
    "contour_closed_at": _contour_ends,
    "contour_length_n0040_to_n0100": _contour_length,
    "radius_difference": _radius_gap,
    "difference_inch": _radius_gap,
    "moves": lambda case: len(case.moves) if case.entry["expected"]["moves"] == 1 else _moves_as_listed(case),
    "x_after_each_motion_line": _x_of_motion_lines,
    "x_after_each_line": _x_of_motion_lines,
    "final_parameters": lambda case: {str(number): value for number, value in case.program.parameters.items()},
    "g92_offset_x_after_each_line": lambda case: case.after_each_line(lambda program: program.final.shift[0]),
    "reading_x_after_each_line": lambda case: case.after_each_line(lambda program: program.final.reading(0)),
    "g92_offset": lambda case: list(case.read(case.text.split("G92.1")[0]).final.shift),
    "origin_system_1": lambda case: list(case.program.final.origins[1]),
    "feed_mm_min": lambda case: case.moves[-1].feed,
    "threads_per_mm": lambda case: case.program.final.speed / case.program.final.feed,  # type: ignore[operator]
    "spindle_during_the_move": lambda case: case.spindle_at(0),
    "spindle_during_last_move": lambda case: case.spindle_at(len(case.moves) - 1),
    "spindle_after": lambda case: case.spindle_at(len(case.moves)),
    "spindle_after_line_3": lambda case: case.spindle_at(1),
    "tool": lambda case: case.program.final.tool,
    "feed_per_tooth_mm": lambda case: case.facts["program.chip_load_min"],
    "approach_seconds": lambda case: case.facts["program.approach_s"],
    "entry_point": lambda case: case.facts["program.rapid_entry_point"],
    "hit_interval_x": lambda case: [case.facts[f"program.clamp_hit_{side}"][0] for side in ("from", "to")],  # type: ignore[index]
    "below_stock_mm": lambda case: case.facts["program.below_stock"],
    "overshoot_mm": lambda case: case.facts["program.rapid_plunge_overshoot"],
    "pass_depths_mm": lambda case: case.facts["program.level_steps"],
    "ramp_angle_deg": lambda case: case.facts["program.ramp_angle_max"],
    "ramp_length": lambda case: max(case.lengths[move.number] for move in case.moves if move.feed == 600),
    "z_feed_mm_min": lambda case: next(
        600 * (move.start[2] - move.end[2]) / case.lengths[move.number] for move in case.moves if move.feed == 600
    ),
}  # fmt: skip

# Values that are words about the entry, or repeat a number asserted under another name.
IN_WORDS = {
    "printed_canonical_call", "rule", "dialects", "tolerance", "error", "error_line", "findings", "limit", "limit_inch",
}  # fmt: skip

# The error of the published interpreter -> our finding.
ERRORS: dict[str, str] = {
    "unknown word starting with a": "unknown-function",
    "nested comment": "comment-nested",
    "unclosed comment": "comment-not-closed",
    "two g codes used from same modal group": "two-of-a-group",
    "two m codes used from same modal group": "two-of-a-group",
    "multiple x words on one line": "letter-twice",
    "unknown g code used": "unknown-g-code",
    "bad character used": "unknown-letter",
    "cannot do g1 with zero feed rate": "no-feed",
    "r i j k words all missing for arc": "arc-no-centre",
    "radius to end of arc differs from radius to start": "arc-radius-mismatch",
    "current point same as end point of arc": "arc-end-is-start",
    "arc radius too small to reach end point": "arc-radius-too-small",
    "x and y words missing for arc in xy plane": "circle-without-end",
    "mixed radius ijk format for arc": "arc-mixed-forms",
    "zero radius arc": "arc-zero-radius",
    "k word given for arc": "third-offset-not-wanted",
    "cannot use axis values without a g code that uses them": "axis-after-cancel",
    "cannot use axis values with g80": "axis-with-cancel",
    "cannot use g53 incremental": "machine-move-incremental",
    "must use g0 or g1 with g53": "machine-move-not-straight",
    "cannot use two g codes that both use axis values": "two-codes-want-axes",
    "all axes missing with g92": "shift-without-axes",
    "line with g10 does not have l2": "origin-way-unknown",
    "p value out of range with g10 l2": "origin-system-out-of-range",
    "dwell time missing with g4": "dwell-without-time",
    "negative p word used": "negative-not-allowed",
    "f word missing with inverse time g1 move": "inverse-time-without-feed",
    "negative spindle speed used": "negative-not-allowed",
    "offset index missing": "length-offset-without-h",
    "r clearance plane unspecified in cycle": "cycle-without-r",
    "z value unspecified in canned cycle": "cycle-without-bottom",
    "r less than z in cycle": "cycle-r-below-bottom",
    "q word missing with g83": "cycle-without-peck",
    "negative or zero q value used": "peck-not-positive",
    "cannot do zero repeats of cycle": "cycle-without-repeats",
    "dwell time p word missing with g82": "cycle-without-dwell",
    "file ended with no percent sign or program end": "no-program-end",
    "line number not legal (more than five digits)": "line-number-too-long",
    "too many m codes on line": "too-many-m-codes",
    "E is not a letter of the language; M82, M84, M104 unknown": "unknown-letter",
    "no characters found in reading real value (or the like) in line 7": "number-missing",
    "NIST: bad character used (;)": "semicolon-comment",
}
# The same error text, told apart by what the numbers of the entry show.
ERRORS_BY_ID = {
    "err-safety-line-g0-g80": "motion-with-cancel",
    "err-absolute-centre-read-as-incremental": "arc-centre-fits-otherwise",
}
NOT_AN_ERROR = {
    "none", "none in NIST (the stored value is used)",
    "none in NIST if M2 is reached first; file ended with no percent sign if it is not",
}  # fmt: skip
# The entries are fragments: most have no end code, and a few nothing but one word.
OF_FRAGMENTS = {"no-program-end", "no-motion"}
