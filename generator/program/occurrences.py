"""Kinds of things that can happen in a program, and where they do. Checks decide which of them matter."""

from __future__ import annotations

from collections.abc import Sequence

MOST_LISTED = 200

# Name -> what it means. A check reads the number as `count.<name>` and the lines as `occurrences.<name>`.
OCCURRENCES: dict[str, str] = {
    "rapid_plunge": "a rapid goes straight down below the stock top, deeper than the hole that is there",
    "rapid_through_stock": "a rapid runs sideways or slanting below the stock top, inside the stock",
    "rapid_slanting_down": "a rapid moves sideways and down at once",
    "rapid_low": "a sideways rapid runs below the safe height, above the stock top",
    "rapid_stops_low": "a rapid straight down ends between stock top and safe height",
    "rapid_to_surface": "a rapid straight down ends less than a millimetre above the stock",
    "rapid_into_clamp": "a rapid runs into a clamp with cutter or nut",
    "rapid_box_meets_clamp": "a slanting rapid misses a clamp, but axes that run on their own would not",
    "clamp_path_unknown": "a move lower than a clamp from or to a place that is not known",
    "beyond_travel": "a move beyond the machine's travel",
    "rapid_height_unknown": "a sideways rapid runs at a height that is not known",
    "cut_into_clamp": "a cutting move runs into a clamp with cutter or nut",
    "cut_off_stock": "a cutting move runs with the whole cutter beside the stock",
    "cut_below_stock": "a cutting move goes below the bottom of the stock",
    "cut_deeper_than_flutes": "the cut is deeper than the cutter's edges are long",
    "cut_spindle_off": "a cutting move below the stock top while the spindle is off",
    "cut_speed_zero": "a cutting move below the stock top with the spindle on at no speed",
    "cut_anticlockwise": "a cutting move below the stock top with M4 in force",
    "cut_before_run_up": "the cutter reaches the stock sooner after a spindle start than the spindle needs",
    "spindle_stopped_in_cut": "the spindle stops while the cutter is below the stock top",
    "pause_in_cut": "the program pauses while the cutter is below the stock top",
    "dwell_in_cut": "the program waits while the turning cutter stands below the stock top",
    "speed_too_low": "a spindle speed below the machine's lowest",
    "speed_too_high": "a spindle speed above the machine's highest",
    "start_without_speed": "a spindle start with no speed set, or S0",
    "start_in_comment": "a spindle start stands in a comment",
    "tool_change_in_comment": "a tool change stands in a comment",
    "feed_too_high": "a feed beyond what the machine can do sideways",
    "z_feed_too_high": "a feed beyond what the machine can do up and down",
    "plunge_at_cutting_feed": "the cutter goes straight down at the feed of the sideways cut that follows",
    "plunge": "the cutter goes straight down into the stock",
    "zero_length": "a move that goes nowhere",
    "place_unknown": "a move from or to a place that is not known",
    "tool_change": "a tool change",
    "tool_change_low": "a tool change below the safe height",
    "tool_change_without_stop": "the next tool cuts with no pause since the last one",
    "tool_change_without_zero": "the next tool cuts with no new zero since the last one",
    "tool_change_in_incremental": "a tool change under G91",
    "tool_without_change": "a tool is called and the program goes on cutting with no M6",
    "change_without_tool": "a tool change with no tool called",
    "pause": "a pause (M0, M1 or M60)",
    "probe": "a probing move",
    "probe_spindle_on": "a probing move while the spindle turns",
    "zero_overwritten": "a stored zero is overwritten (G10)",
    "zero_shifted": "the zero is shifted (G92)",
    "zero_shifted_after_motion": "the zero is shifted after the first move (G92)",
    "system_changed_after_motion": "another stored zero is chosen after the first move",
    "units_changed_after_motion": "the units change after the first move",
    "home": "a move to a stored place (G28, G30)",
    "machine_move": "a move in machine coordinates (G53)",
    "length_offset": "a tool length is switched on (G43)",
    "compensation": "radius compensation is switched on (G41, G42)",
    "inverse_time": "feeds as inverse time (G93)",
    "override_off": "the override knobs are switched off (M49)",
    "coolant": "coolant is switched on (M7, M8)",
    "dwell_long": "a wait of 100 s or more, as when milliseconds were meant",
    "cycle": "a drilling cycle",
    "cycle_unusual": "a cycle that has no use on a router (G84, G86 to G88)",
    "arc_other_plane": "an arc outside the plane G17",
    "arc_huge": "an arc of more than 10 m radius",
    "arc_tiny": "an arc of less than 0.01 degree",
}


# What a count hangs on, as a field of the setup: while that is not known, none found does not mean there is none.
HANGS_ON: dict[str, str] = {
    "cut_before_run_up": "run_up", "cut_deeper_than_flutes": "flute_length", "z_feed_too_high": "feed_max_z",
    "feed_too_high": "feed_max_xy", "speed_too_low": "speed_min", "speed_too_high": "speed_max",
    "rapid_low": "safe_height", "rapid_stops_low": "safe_height", "tool_change_low": "safe_height",
    "cut_below_stock": "stock_bottom", "cut_off_stock": "stock",
}  # fmt: skip


class Occurrences:
    """Counts and first lines of each kind."""

    def __init__(self) -> None:
        self.counts: dict[str, int] = dict.fromkeys(OCCURRENCES, 0)
        self.lines: dict[str, list[int]] = {name: [] for name in OCCURRENCES}
        self.doubted: set[str] = set()

    def doubt(self, name: str) -> None:
        """Something may have happened; unless it is seen elsewhere, its count is not known."""
        self.doubted.add(name)

    def add(self, name: str, line: int) -> None:
        """Count one; the first MOST_LISTED lines are kept, each once."""
        self.counts[name] += 1
        lines = self.lines[name]
        if len(lines) < MOST_LISTED and lines[-1:] != [line]:
            lines.append(line)

    def add_many(self, name: str, lines: Sequence[int]) -> None:
        """Count many, in the order of their lines."""
        self.counts[name] += len(lines)
        kept = self.lines[name]
        for line in lines if len(kept) < MOST_LISTED else ():
            if kept[-1:] != [line]:
                kept.append(line)
                if len(kept) >= MOST_LISTED:
                    break
