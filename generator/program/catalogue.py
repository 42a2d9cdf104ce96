"""Every fact about a program, for authors of checks and for the linter of their content."""

from __future__ import annotations

from generator.expr.kinds import Kind
from generator.factspec import FactSpec
from generator.program.occurrences import OCCURRENCES
from generator.program.signature import SIGNATURES

_FACTS: dict[str, tuple[Kind, str, str]] = {
    "program.file_kind": ("text", "", "What the file is; 'program' where nothing speaks against it"),
    "program.lines": ("number", "1", "Lines read"),
    "program.moves": ("number", "1", "Moves"),
    "program.cut_moves": ("number", "1", "Cutting moves"),
    "program.rapid_moves": ("number", "1", "Rapids"),
    "program.arcs": ("number", "1", "Arcs"),
    "program.arcs_fit_other_centre": ("number", "1", "Faulty arcs whose centre fits when read the other way"),
    "program.relies_on": ("texts", "", "Modal groups used before any line set them"),
    "program.relies_on_lines": ("numbers", "1", "Lines of their first use"),
    "program.units": ("text", "", "Units said: mm, inch, both or not said"),
    "program.decimal_points": ("bool", "", "Some number has a decimal point"),
    "program.cannot_judge": ("texts", "", "Ids of findings about what could not be judged"),
    "program.faults": ("number", "1", "Findings of the reader that stop the job"),
    "program.deleted_lines": ("number", "1", "Lines marked /"),
    "program.inverse_at_end": ("bool", "", "G93 is in force at the end"),
    "program.incremental_at_end": ("bool", "", "G91 is in force at the end"),
    "program.compensation_at_end": ("bool", "", "G41 or G42 is in force at the end"),
    "program.end": ("text", "", "How it ends: M2, M30, % or nothing"),
    "program.end_line": ("number", "1", "Line of the end"),
    "program.last_line_ended": ("bool", "", "The last line has a line end"),
    "program.motion_after_end": ("number", "1", "Lines with motion after the end"),
    "program.end_x": ("number", "mm", "X of the last known place"),
    "program.end_y": ("number", "mm", "Y of the last known place"),
    "program.end_z": ("number", "mm", "Z of the last known place"),
    "program.ends_low": ("bool", "", "The last known place is below the safe height"),
    "program.last_motion_line": ("number", "1", "Line of the last move"),
    "program.first_motion_line": ("number", "1", "Line of the first move"),
    "program.first_motion_sideways": ("bool", "", "The first move goes somewhere in X or Y"),
    "program.first_motion_rapid": ("bool", "", "The first move is a rapid"),
    "program.cut_length": ("number", "mm", "Length of cutting moves"),
    "program.rapid_length": ("number", "mm", "Length of rapids"),
    "program.cut_time_min": ("number", "min", "Cutting time without slowing down"),
    "program.time_low_min": ("number", "min", "Shortest possible time"),
    "program.time_min": ("number", "min", "Likely time, slowing at corners"),
    "program.time_high_min": ("number", "min", "Longest time, stopping after every move"),
    "program.feed_max": ("number", "mm/min", "Highest feed"),
    "program.cut_feed_max": ("number", "mm/min", "Highest feed of a sideways cut"),
    "program.cut_feeds": ("numbers", "mm/min", "Feeds of sideways cuts"),
    "program.plunge_feed_max": ("number", "mm/min", "Highest feed straight down into the stock"),
    "program.z_feed_max": ("number", "mm/min", "Highest speed downwards while feeding"),
    "program.below_stock": ("number", "mm", "Deepest point below the stock's underside"),
    "program.beside_stock": ("number", "mm", "Furthest the cutter's centre goes beside the stock"),
    "program.deepest_line": ("number", "1", "Line of the deepest point"),
    "program.fits_travel": ("bool", "", "All of it lies inside the machine's travel"),
    "program.over_travel": ("number", "mm", "How far it goes beyond the travel"),
    "program.over_travel_where": ("texts", "", "Sides of the travel it goes beyond, such as X high"),
    "program.level_count": ("number", "1", "Heights at which it cuts sideways"),
    "program.levels": ("numbers", "mm", "Those heights, highest first; empty for more than 200"),
    "program.level_steps": ("numbers", "mm", "Steps between them, from the stock top"),
    "program.level_lengths": ("numbers", "mm", "Length cut at each"),
    "program.step_max": ("number", "mm", "Deepest step in one go, estimated on a grid"),
    "program.step_max_line": ("number", "1", "Line of the deepest step"),
    "program.plunge_depth_max": ("number", "mm", "Deepest plunge in one go"),
    "program.ramp_angle_max": ("number", "deg", "Steepest ramp or helix into the stock"),
    "program.ramp_angle_max_line": ("number", "1", "Line of the steepest ramp"),
    "program.spindle_started": ("bool", "", "The program starts the spindle"),
    "program.spindle_start_line": ("number", "1", "Line of the first spindle start"),
    "program.spindle_speed_first": ("number", "rpm", "Speed at the first spindle start"),
    "program.spindle_on_at_contact": ("bool", "", "The spindle is on at the first contact"),
    "program.spindle_on_at_end": ("bool", "", "The spindle is still on when the end comes"),
    "program.first_contact_line": ("number", "1", "Line of the first cut below the stock top"),
    "program.approach_s": ("number", "s", "Shortest time from the spindle start to the first contact"),
    "program.speeds": ("numbers", "rpm", "Spindle speeds asked for"),
    "program.speed_words": ("number", "1", "S words"),
    "program.chip_load_min": ("number", "mm/tooth", "Smallest chip load of a sideways cut"),
    "program.chip_load_min_line": ("number", "1", "Its line"),
    "program.chip_load_max": ("number", "mm/tooth", "Largest chip load of a sideways cut"),
    "program.chip_load_max_line": ("number", "1", "Its line"),
    "program.rapid_entry_point": ("numbers", "mm", "Where the first rapid through the stock enters it"),
    "program.rapid_plunge_overshoot": ("number", "mm", "How far the worst rapid plunge goes into solid stock"),
    "program.rapid_sideways_min": ("number", "mm", "Lowest height of a sideways rapid"),
    "program.rapid_gap_min": ("number", "mm", "Least gap above the stock at the end of a rapid straight down"),
    "program.clamp_hit": ("text", "", "Name of the first clamp that is hit"),
    "program.clamp_hit_from": ("numbers", "mm", "Where the path enters it"),
    "program.clamp_hit_to": ("numbers", "mm", "Where the path leaves it"),
    "program.clamp_top_max": ("number", "mm", "Top of the highest clamp"),
    "program.tools": ("numbers", "1", "Tools changed to, in order"),
    "program.tool_changes": ("number", "1", "Tool changes"),
    "program.tool_change_z_min": ("number", "mm", "Lowest height of a tool change after the first"),
    "program.systems": ("texts", "", "Coordinate systems chosen"),
    "program.dwell_s": ("number", "s", "All waits together"),
    "program.dwell_max_s": ("number", "s", "Longest wait"),
}  # fmt: skip


def _envelope_specs() -> dict[str, tuple[Kind, str, str]]:
    sorts = {"program.": "all moves", "program.cut_": "cutting moves", "program.machine_": "all moves, machine zero"}
    return {
        f"{prefix}{side}_{axis}": ("number", "mm", f"{word} {axis.upper()} of {what}")
        for prefix, what in sorts.items()
        for side, word in (("min", "Lowest"), ("max", "Highest"))
        for axis in "xyz"
    }


def _derived_specs() -> dict[str, tuple[Kind, str, str]]:
    specs: dict[str, tuple[Kind, str, str]] = {name: ("number", "1", means) for name, means in SIGNATURES.items()}
    for name, means in OCCURRENCES.items():
        specs[f"count.{name}"] = ("number", "1", f"How often: {means}")
        specs[f"occurrences.{name}"] = ("numbers", "1", f"Lines where {means}")
    return specs


PROGRAM_FACTS: dict[str, FactSpec] = {
    name: FactSpec(name=name, kind=kind, unit=unit, label=label, group=name.partition(".")[0])
    for name, (kind, unit, label) in (_FACTS | _envelope_specs() | _derived_specs()).items()
}
