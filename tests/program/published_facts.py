"""The facts that carry the findings of tests/data/rs274_checks.yml; which of them matter is for checks to say."""

from __future__ import annotations

from typing import Any

# Nothing of the stock, clamp, spindle and height kind may happen in a clean program.
_CLEAN: dict[str, Any] = {
    "count.rapid_plunge": 0, "count.rapid_through_stock": 0, "count.rapid_slanting_down": 0, "count.rapid_low": 0,
    "count.rapid_into_clamp": 0, "count.cut_into_clamp": 0, "count.cut_below_stock": 0, "count.cut_spindle_off": 0,
    "count.cut_before_run_up": 0, "count.spindle_stopped_in_cut": 0, "count.plunge_at_cutting_feed": 0,
    "count.beyond_travel": 0, "program.ends_low": False, "program.fits_travel": True, "program.faults": 0,
}  # fmt: skip

FACTS: dict[str, dict[str, Any]] = {
    "nist-c1-hello-world": {
        "program.spindle_started": True, "program.spindle_speed_first": 4000, "count.cut_spindle_off": 0,
        "program.spindle_start_line": 3, "count.rapid_plunge": 0, "count.rapid_through_stock": 0,
        "program.end": "M2", "program.end_z": 50, "program.spindle_on_at_end": True, "program.tools": [1],
        "count.tool_change_without_stop": 0, "program.chip_load_max": 0.0025,
        "relies_on": ["distance", "plane", "coordinate-system", "feed-mode"],
    },
    "nist-table-12-contour-as-programmed": {
        "ids": ["radius-compensation-on", "no-program-end"], "count.compensation": 1,
        "program.spindle_started": False, "program.compensation_at_end": False,
    },
    "err-g1-no-feed": {"ids": ["no-feed"]},
    "err-arc-no-centre": {"ids": ["arc-no-centre"]},
    "err-absolute-centre-read-as-incremental": {
        "ids": ["arc-centre-fits-otherwise"], "program.arcs_fit_other_centre": 1,
    },
    "err-no-end": {"ids": ["no-program-end"], "program.end": ""},
    "err-percent-only-at-start": {"ids": ["percent-not-closed"], "program.end": "M2"},
    "units-inch-then-mm": {
        "count.units_changed_after_motion": 1, "occurrences.units_changed_after_motion": [3], "program.units": "both",
    },
    "incremental-square": {"program.end_x": 0, "program.end_y": 0, "program.end_z": 5},
    "offsets-g54-g53-g55": {
        "program.systems": ["G54", "G55"], "count.zero_overwritten": 2, "count.system_changed_after_motion": 1,
        "count.machine_move": 1,
    },
    "g28-through-a-point": {"count.home": 1, "program.rapid_moves": 3, "count.rapid_slanting_down": 1},
    "g28-absolute-z0-stops-at-the-surface": {
        "count.home": 1, "program.rapid_sideways_min": 0, "program.rapid_moves": 2,
    },
    "cycle-g81-four-holes-g98-g99": {"program.rapid_sideways_min": 2, "count.cycle": 4, "count.rapid_plunge": 0},
    "cycle-g83-three-pecks": {"count.rapid_plunge": 0, "count.plunge": 3, "program.step_max": 4},
    "cycle-start-below-r": {"program.rapid_moves": 4},
    "cycle-left-by-g0": {"count.cycle": 2, "program.cut_moves": 2},
    "order-m5-on-a-cutting-line": {
        "count.cut_spindle_off": 1, "occurrences.cut_spindle_off": [3], "count.spindle_stopped_in_cut": 1,
    },
    "tool-change-stops-the-spindle": {"count.cut_spindle_off": 1, "occurrences.cut_spindle_off": [5]},
    "nothing-runs-after-m2": {"program.motion_after_end": 1, "ids": ["motion-after-end"]},
    "find-clean": _CLEAN | {"relies_on": [], "program.approach_s": 5},
    "find-spindle-never": {"program.spindle_started": False, "count.cut_spindle_off": 2},
    "find-spindle-s-zero": {
        "count.start_without_speed": 1, "count.cut_speed_zero": 1, "program.spindle_speed_first": 0,
    },
    "find-no-run-up": {"count.cut_before_run_up": 1, "occurrences.cut_before_run_up": [5], "program.approach_s": 1},
    "find-plunge-at-rapid": {
        "count.rapid_plunge": 1, "occurrences.rapid_plunge": [6], "program.rapid_plunge_overshoot": 3,
    },
    "find-rapid-through-stock": {
        "count.rapid_through_stock": 1, "occurrences.rapid_through_stock": [7],
        "program.rapid_entry_point": [20, 50, -3], "count.rapid_plunge": 0,
    },
    "find-diagonal-rapid-into-stock": {
        "count.rapid_through_stock": 1, "count.rapid_slanting_down": 1,
        "program.rapid_entry_point": [57.5, 56.25, 0],
    },
    "find-clamp": {
        "count.rapid_into_clamp": 1, "occurrences.rapid_into_clamp": [6], "program.clamp_hit": "clamp",
        "program.clamp_hit_from": [87, 10, 5], "program.clamp_hit_to": [113, 10, 5],
    },
    "find-too-deep": {"program.below_stock": 0.6, "program.step_max": 18.6, "program.plunge_depth_max": 18.6},
    "find-no-retract": {
        "program.ends_low": True, "program.end_z": -3, "count.spindle_stopped_in_cut": 1,
        "occurrences.spindle_stopped_in_cut": [8],
    },
    "find-travel": {
        "program.fits_travel": False, "program.over_travel_where": ["X high", "Z high"], "program.over_travel": 10,
        "occurrences.beyond_travel": [5, 6],
    },
    "find-arc-travel": {
        "program.fits_travel": True, "program.beside_stock": 20, "count.cut_off_stock": 1,
        "occurrences.cut_off_stock": [7], "program.machine_min_x": 30,
    },
    "find-tool-change-without-stop": {
        "program.tool_changes": 2, "count.tool_change_without_stop": 1, "occurrences.tool_change_without_stop": [9],
        "count.tool_change_without_zero": 1, "program.tool_change_z_min": 5,
    },
    "find-inch-in-mm-job": {
        "program.units": "inch", "program.max_x": 2032, "program.beside_stock": 1832, "program.fits_travel": False,
        "program.below_stock": 58.2,
    },
    "find-units-missing": {"program.units": "not said", "relies_on": ["units"]},
    "find-left-incremental": {
        "program.incremental_at_end": True, "program.ends_low": True, "program.end_x": 80, "program.end_z": 2,
        "program.cut_length": 11,
    },
    "find-feed-per-tooth": {"program.chip_load_min": 0.0083333},
    "find-plunge-at-cutting-feed": {"count.plunge_at_cutting_feed": 1, "occurrences.plunge_at_cutting_feed": [6]},
    "find-ramp": _CLEAN | {"count.plunge": 0},
    "find-beam-file": {
        "signature.beam_starts": 1, "signature.speed_changes": 3, "signature.speed_changes_while_feeding": 3,
        "signature.z_changes": 0,
    },
    "find-extruder-file": {
        "signature.extruder_words": 2, "signature.extruder_codes": 3, "ids": ["unknown-letter", "unknown-m-code"],
    },
    "find-truncated": {
        "ids": ["number-missing", "no-program-end"], "program.end_x": 20, "program.end_y": 50, "program.end_z": -3,
        "program.spindle_on_at_end": True,
    },
    "find-percent-and-rest": {"ids": ["text-after-end"], "program.end": "M2"},
    "find-block-delete": {"program.deleted_lines": 1, "program.max_z": 30, "ids": ["block-delete"]},
    "find-unset-parameter": {"program.cannot_judge": ["cannot-judge-parameter"], "count.place_unknown": 2},
    "find-semicolon-comments": {"ids": ["semicolon-comment"]},
    "find-written-out-pecks-clean": _CLEAN | {"program.step_max": 2},
    "find-written-out-pecks-too-far": {
        "count.rapid_plunge": 1, "occurrences.rapid_plunge": [8], "program.rapid_plunge_overshoot": 0.4,
    },
    "find-zero-on-the-table": {
        "program.levels": [15, 0], "program.level_steps": [3, 15], "program.below_stock": 0, "program.step_max": 15,
    },
}  # fmt: skip
