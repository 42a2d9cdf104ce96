"""What is seen in a program besides the published cases: each thing once happening and once not."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from generator.expr import Value
from generator.program.catalogue import PROGRAM_FACTS
from generator.program.facts import block_delete_changes, program_facts
from generator.program.occurrences import HANGS_ON, OCCURRENCES
from generator.program.setup import Clamp, Setup
from generator.program.state import Start
from tests.program.make import AT_ZERO, facts, read
from tests.program.published import BENCH

HEAD = "G21 G90 G17 G94 G54 G40 G49\nM3 S18000\nG4 P4\nG0 Z5\nG0 X20 Y50\n"
TAIL = "G0 Z5\nM5\nM2\n"
OPEN = replace(BENCH, clamps=(), run_up=None)

# Occurrence -> (lines that make it happen between HEAD and TAIL, lines that do not).
HAPPENS: dict[str, tuple[str, str]] = {
    "rapid_plunge": ("G0 Z-1\n", "G1 Z-1 F300\n"),
    "rapid_through_stock": ("G1 Z-1 F300\nG0 X40\n", "G1 Z-1 F300\nG1 X40\n"),
    "rapid_slanting_down": ("G0 Z9\nG0 X40 Z6\n", "G0 Z9\nG0 X40\nG0 Z6\n"),
    "rapid_low": ("G0 Z3\nG0 X40\n", "G0 Z5\nG0 X40\n"),
    "rapid_stops_low": ("G0 Z3\n", "G0 Z5\n"),
    "rapid_to_surface": ("G0 Z0.9\n", "G0 Z1\n"),
    "cut_off_stock": ("G0 X-20\nG1 Z-1 F300\nG1 X-10\n", "G0 X-2\nG1 Z-1 F300\nG1 X5\n"),
    "cut_below_stock": ("G1 Z-18.2 F300\n", "G1 Z-18 F300\n"),
    "cut_deeper_than_flutes": ("G1 Z-12 F300\n", "G1 Z-10 F300\n"),
    "cut_spindle_off": ("M5\nG1 Z-1 F300\n", "G1 Z-1 F300\n"),
    "cut_speed_zero": ("S0\nG1 Z-1 F300\n", "G1 Z-1 F300\n"),
    "cut_anticlockwise": ("M4\nG1 Z-1 F300\n", "G1 Z-1 F300\n"),
    "spindle_stopped_in_cut": ("G1 Z-1 F300\nM5\n", "G1 Z-1 F300\nG0 Z5\nM5\n"),
    "pause_in_cut": ("G1 Z-1 F300\nM0\n", "G1 Z-1 F300\nG0 Z5\nM0\n"),
    "dwell_in_cut": ("G1 Z-1 F300\nG4 P1\n", "G1 Z-1 F300\nG0 Z5\nG4 P1\n"),
    "speed_too_low": ("S5000\n", "S9000\n"),
    "speed_too_high": ("S30000\n", "S9000\n"),
    "start_without_speed": ("S0 M3\n", "S9000 M3\n"),
    "start_in_comment": ("(M3 S18000)\n", "(start it by hand, M3 screws fit)\n"),
    "tool_change_in_comment": ("(T2 M6)\n", "(change to the other cutter)\n"),
    "feed_too_high": ("G1 X40 F3100\n", "G1 X40 F2900\n"),
    "z_feed_too_high": ("G1 X25 Z0 F1400\n", "G1 X25 Z0 F900\n"),
    "plunge_at_cutting_feed": ("G1 Z-1 F600\nX40\n", "G1 Z-1 F300\nX40 F600\n"),
    "plunge": ("G1 Z-1 F300\n", "G1 X40 Z-1 F300\n"),
    "zero_length": ("G1 X20 F300\n", "G1 X21 F300\n"),
    "tool_change": ("T2 M6\n", "T2\n"),
    "tool_change_low": ("T1 M6\nG0 Z2\nT2 M6\n", "T1 M6\nT2 M6\n"),
    "tool_change_without_stop": (
        "G1 Z-1 F300\nG0 Z5\nT2 M6\nM3\nG1 Z-2\n", "G1 Z-1 F300\nG0 Z5\nM5\nT2 M6\nM0\nM3\nG1 Z-2\n",
    ),
    "tool_change_without_zero": (
        "G1 Z-1 F300\nG0 Z5\nT2 M6\nM0\nM3\nG1 Z-2\n", "G1 Z-1 F300\nG0 Z5\nT2 M6\nM0\nG92 Z5\nM3\nG1 Z-2\n",
    ),
    "tool_change_in_incremental": ("G91\nT2 M6\nG90\n", "T2 M6\n"),
    "tool_without_change": ("G1 Z-1 F300\nG0 Z5\nT2\nG1 Z-2\n", "G1 Z-1 F300\nG0 Z5\nT2 M6\nM3\nG1 Z-2\n"),
    "change_without_tool": ("M6\n", "T1 M6\n"),
    "pause": ("M0\n", "G4 P1\n"),
    "probe": ("M5\nG38.2 Z0 F50\n", "M5\nG1 Z0 F50\n"),
    "probe_spindle_on": ("G38.2 Z0 F50\n", "M5\nG38.2 Z0 F50\n"),
    "zero_overwritten": ("G10 L2 P2 X0\n", "G4 P1\n"),
    "zero_shifted": ("G92 X0\n", "G4 P1\n"),
    "zero_shifted_after_motion": ("G92 X0\n", "G4 P1\n"),
    "system_changed_after_motion": ("G55\n", "G54\n"),
    "units_changed_after_motion": ("G20\n", "G21\n"),
    "home": ("G28\n", "G4 P1\n"),
    "machine_move": ("G53 G0 Z40\n", "G0 Z5\n"),
    "length_offset": ("G43 H1\n", "G49\n"),
    "compensation": ("G41\nG40\n", "G40\n"),
    "inverse_time": ("G93\nG94\n", "G94\n"),
    "override_off": ("M49\n", "M48\n"),
    "coolant": ("M8\n", "M9\n"),
    "dwell_long": ("G4 P500\n", "G4 P5\n"),
    "cycle": ("G81 X20 Y50 Z-1 R2 F100\nG80\n", "G1 Z-1 F100\n"),
    "cycle_unusual": ("G86 X20 Y50 Z-1 R2 P1 F100\nG80\n", "G81 X20 Y50 Z-1 R2 F100\nG80\n"),
    "arc_other_plane": ("G18\nG3 X30 Z5 I5 F100\nG17\n", "G3 X30 Y50 I5 F100\n"),
    "arc_huge": ("G3 X20.1 Y50 I0.05 J20000 F100\n", "G3 X30 Y50 I5 F100\n"),
    "arc_tiny": ("G3 X20.0001 Y50 I0 J100 F100\n", "G3 X30 Y50 I5 F100\n"),
    "place_unknown": ("G28\n", "G0 X0 Y0\n"),
    "beyond_travel": ("G0 X560\n", "G0 X540\n"),
    "rapid_into_clamp": ("G0 X20 Y10\nG0 X180\n", "G0 X20 Y60\nG0 X180\n"),
    "rapid_box_meets_clamp": ("G0 X80 Y12\nG0 X100 Y32\n", "G0 X80 Y30\nG0 X100 Y40\n"),
    "cut_into_clamp": ("G0 X80 Y10\nG1 X100 F500\n", "G0 X80 Y60\nG1 X100 F500\n"),
    "rapid_height_unknown": ("G28\nG0 X5 Y5\n", "G0 X5 Y5\n"),
    "clamp_path_unknown": ("G28\nG0 Z5\nG0 X5 Y5\n", "G0 X5 Y5\n"),
    "cut_before_run_up": ("M5\nM3\nG1 Z-1 F300\n", "M5\nM3\nG4 P4\nG1 Z-1 F300\n"),
}  # fmt: skip
_CLAMPED = {"rapid_into_clamp", "rapid_box_meets_clamp", "cut_into_clamp", "clamp_path_unknown"}


def of(lines: str, kind: str) -> dict[str, Value]:
    setup = replace(OPEN, flute_length=11.0, feed_max_xy=3000.0, feed_max_z=900.0, run_up=3.0)
    if kind in _CLAMPED:
        setup = replace(setup, clamps=BENCH.clamps)
    start = replace(AT_ZERO, zero=(50.0, 50.0, 30.0), origins={1: (50.0, 50.0, 30.0), 2: (0.0, 0.0, 0.0)})
    return program_facts(read(HEAD + lines + TAIL, start), setup)


def test_every_kind_of_occurrence_has_its_pair() -> None:
    """Nothing in the catalogue goes untested."""
    assert set(HAPPENS) == set(OCCURRENCES)


@pytest.mark.parametrize("kind", OCCURRENCES)
def test_an_occurrence_is_seen_where_it_happens_and_only_there(kind: str) -> None:
    """Its lines lie between head and tail; the harmless twin has none."""
    does, does_not = HAPPENS[kind]
    found = of(does, kind)
    lines = found[f"occurrences.{kind}"]
    assert isinstance(lines, list)
    assert lines
    assert all(5 < line <= 5 + does.count("\n") + 1 for line in lines)
    assert of(does_not, kind)[f"count.{kind}"] == 0


def test_all_facts_are_in_the_catalogue_and_the_other_way_round() -> None:
    """A check can ask for exactly what is computed."""
    assert set(facts("G0 X1\n")) == set(PROGRAM_FACTS)


def test_the_catalogue_tells_kinds_truly() -> None:
    """Numbers are numbers and lists lists, whatever the program."""
    checks = {"number": (int, float), "bool": bool, "text": str, "numbers": list, "texts": list}
    for text in (HEAD + "G1 Z-1 F300\nX40\n" + TAIL, "", "G0 X1\n"):
        for name, value in facts(text, BENCH).items():
            kind = PROGRAM_FACTS[name].kind
            assert value is None or isinstance(value, checks[kind]), name
            assert kind == "bool" or not isinstance(value, bool), name


def test_the_nut_meets_a_clamp_the_cutter_clears() -> None:
    """With 20 mm of stick-out and a nut of 30 mm across, a cut 10 mm beside a 12 mm clamp at Z-10 hits with the nut."""
    clamp = Clamp(name="clamp", outline=(90.0, -20.0, 110.0, 15.0), top=12.0)
    text = HEAD + "G0 X70 Y25\nG1 Z-10 F300\nG1 X130\n" + TAIL
    bare = replace(OPEN, clamps=(clamp,), stick_out=20.0)
    assert facts(text, replace(bare, nut_diameter=15.0))["count.cut_into_clamp"] == 0
    assert facts(text, replace(bare, nut_diameter=30.0))["count.cut_into_clamp"] == 1
    assert facts(text, replace(bare, nut_diameter=30.0, stick_out=25.0))["count.cut_into_clamp"] == 0


def test_a_nut_of_unknown_size_may_meet_a_clamp_that_the_widest_would() -> None:
    """None seen is then no answer; where not even the widest reaches, or the cutter itself hits, there is one."""
    clamp = Clamp(name="clamp", outline=(90.0, -20.0, 110.0, 15.0), top=12.0)
    unknown = replace(OPEN, clamps=(clamp,), stick_out=20.0)
    beside = {y: facts(HEAD + f"G0 X70 Y{y}\nG1 Z-10 F300\nG1 X130\n" + TAIL, unknown) for y in (45, 25, 10)}
    assert [beside[y]["count.cut_into_clamp"] for y in (45, 25, 10)] == [0, None, 1]


@pytest.mark.parametrize("kind", HANGS_ON)
def test_what_hangs_on_an_unknown_setting_is_not_counted_as_none(kind: str) -> None:
    """The same program that shows one with everything known shows 'not known' without the setting."""
    shown, _ = HAPPENS[kind]
    without = replace(BENCH, **{HANGS_ON[kind]: None})
    assert facts(HEAD + shown + TAIL, without)[f"count.{kind}"] is None


def test_an_arc_is_followed_round_a_clamp() -> None:
    """An arc whose ends are clear of the clamp and whose bow is not hits it."""
    text = HEAD + "G0 X70 Y30\nG1 Z-1 F300\nG3 X130 Y30 I30 J0\n" + TAIL
    assert facts(text, replace(OPEN, clamps=BENCH.clamps))["count.cut_into_clamp"] == 1
    assert facts(text.replace("G3", "G2"), replace(OPEN, clamps=BENCH.clamps))["count.cut_into_clamp"] == 0


def test_steps_are_measured_where_they_are_cut() -> None:
    """A pocket of 3 mm beside one of 6 mm, each in one go, is a step of 6 mm; in two passes one of 3 mm."""
    two_pockets = "G1 Z-3 F300\nG1 X60\nG0 Z5\nG0 X20 Y80\nG1 Z-6\nG1 X60\n"
    two_passes = "G1 Z-3 F300\nG1 X60\nG0 Z5\nG0 X20\nG1 Z-6\nG1 X60\n"
    assert facts(HEAD + two_pockets + TAIL, OPEN)["program.step_max"] == 6
    assert facts(HEAD + two_passes + TAIL, OPEN)["program.step_max"] == 3
    assert facts(HEAD + two_passes + TAIL, OPEN)["program.level_steps"] == [3, 3]


def test_a_long_slot_is_remembered_along_its_length() -> None:
    """Coming down in the middle of a slot that was cut end to end is a step of the second pass only."""
    text = HEAD + "G1 Z-3 F300\nG1 X120\nG0 Z5\nG0 X71\nG1 Z-5\nG1 X90\n" + TAIL
    assert facts(text, OPEN)["program.step_max"] == 3


def test_an_unknown_stock_top_leaves_depth_open() -> None:
    """Without the height of the stock nothing is said about contact: the facts are unknown, not zero."""
    found = facts(HEAD + "G1 Z-1 F300\n" + TAIL, Setup())
    for name in ("program.step_max", "program.level_count", "program.first_contact_line", "program.below_stock"):
        assert found[name] is None


def test_a_hand_set_speed_counts_for_chip_load() -> None:
    """Where a person sets the speed, chip load follows that speed and not the S of the program."""
    text = HEAD + "G1 Z-1 F300\nX40 F1200\n" + TAIL
    assert facts(text, OPEN)["program.chip_load_max"] == pytest.approx(1200 / (18000 * 2))
    by_hand = replace(OPEN, hand_speed=12000.0)
    assert facts(text, by_hand)["program.chip_load_max"] == pytest.approx(1200 / (12000 * 2))


def test_a_slanting_entry_has_its_angle() -> None:
    """Down 1 mm over a helix of 5 mm radius is asin(1 / length), not a plunge."""
    found = facts(HEAD + "G1 Z0 F300\nG3 X20 Y50 Z-1 I-5 J0\n" + TAIL, OPEN)
    assert found["program.ramp_angle_max"] == pytest.approx(math.degrees(math.asin(1 / math.hypot(math.tau * 5, 1))))
    assert found["count.plunge"] == 0


def test_first_and_last_moves() -> None:
    """A program that goes sideways before it lifts, and one that ends in the cut, are told so."""
    sideways = facts("G21 G90 G94\nG0 X10 Y10\nG0 Z5\nM2\n", OPEN, Start())
    lifts = facts("G21 G90 G94\nG0 Z5\nG0 X10 Y10\nM2\n", OPEN, Start())
    assert sideways["program.first_motion_sideways"] is True
    assert lifts["program.first_motion_sideways"] is False
    assert sideways["count.rapid_height_unknown"] == 1
    assert facts(HEAD + "G1 Z-1 F300\nM2\n", OPEN)["program.ends_low"] is True


def test_what_block_delete_changes_is_named() -> None:
    """The facts that hang on the switch are listed by name."""
    text = HEAD + "/G0 Z30\n" + TAIL
    changes = block_delete_changes(
        program_facts(read(text), BENCH), program_facts(read(text, carry_deleted=False), BENCH)
    )
    assert "program.max_z" in changes
    assert "program.min_z" not in changes


SIGNS = {
    "signature.extruder_words": ("G1 X1 E0.5 F100\n", 1),
    "signature.extruder_codes": ("M104 S200\nM82\n", 2),
    "signature.layer_comments": (";LAYER:3\n", 1),
    "signature.beam_starts": ("M4 S100\n", 1),
    "signature.speed_changes": ("S100\nS200\n", 2),
    "signature.speed_changes_while_feeding": ("G1 X30 S100 F100\nX40 S200\n", 2),
    "signature.spindle_toggles": ("M5\nM3\nM5\nM3\n", 4),
    "signature.coolant_toggles": ("M7\nM9\n", 2),
    "signature.dwells": ("G4 P1\nG4 P1\n", 2),
    "signature.rotary_words": ("G0 A90\n", 1),
    "signature.side_axis_words": ("G0 U5\n", 1),
    "signature.lathe_codes": ("G96 S100\nG76 X1\n", 2),
    "signature.plot_lines": ("X100Y100D02*\n", 1),
    "signature.faulty_lines": ("G1 X\n", 1),
    "signature.z_changes": ("G1 Z3 F100\nG1 Z1\n", 3),
    "signature.z_heights": ("G1 Z3 F100\nG1 Z1\n", 2),
    "signature.y_changes": ("G1 Y60 F100\nG1 Y70\n", 2),
}


@pytest.mark.parametrize("sign", SIGNS)
def test_signs_of_other_machines_are_counted(sign: str) -> None:
    """Each sign counts what it names, on top of what head and tail hold."""
    lines, more = SIGNS[sign]
    with_sign, without = facts(HEAD + lines + TAIL)[sign], facts(HEAD + TAIL)[sign]
    assert isinstance(with_sign, int)
    assert isinstance(without, int)
    assert with_sign - without == more


def test_an_unknown_height_matters_only_where_a_clamp_can_be() -> None:
    """A path far from every clamp is free at any height; over one it cannot be judged."""
    around = replace(OPEN, clamps=(Clamp(name="clamp", outline=(90.0, 0.0, 110.0, 20.0), top=12.0),))
    lost = "G21 G90 G17 G94 G54\nG0 X20 Y80\n"
    start = Start(zero=(0.0, 0.0, 0.0))
    assert facts(lost + "G0 X180\nM2\n", around, start)["occurrences.clamp_path_unknown"] == [2]
    assert facts(lost + "G0 X100 Y10\nM2\n", around, start)["occurrences.clamp_path_unknown"] == [2, 3]


def test_a_speed_that_is_not_known_is_in_no_list() -> None:
    """S from a parameter nobody set is counted as a word and listed nowhere."""
    seen = facts(HEAD + "S#1\n" + TAIL, OPEN)
    assert seen["program.speeds"] == [18000]
    assert seen["program.speed_words"] == 2
