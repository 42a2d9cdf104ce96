"""Whole jobs: the demo holds, weaker set-ups do not, and what is unknown makes the answer more careful."""

from __future__ import annotations

from pathlib import Path

import pytest

from generator.finding import Severity, worst
from generator.hold.grip import Rule
from generator.holding.report import choice_lines
from generator.holding.words import times
from tests.holding.make import changed, ids, job_path, unanswered, worked

ONLY_CLAMPS = ["heron", "wren"]
NO_HOLD_DOWNS = r"^hold_downs:\n(  - .*\n)+"


def taken(folder: Path, file: str, names: list[str]) -> None:
    """Take hold-downs away by name."""
    for name in names:
        changed(folder, file, rf"^  - .*name: {name},.*\n", "")


@pytest.mark.parametrize("machine", ["heron", "wren", "bittern"])
def test_the_demo_jobs_hold_with_a_margin_that_is_neither_thin_nor_dreamt(machine: str, folder: Path) -> None:
    """Each demo layout reaches the wanted 2, stays under 10, and has no finding of severity stop."""
    found = worked(folder, machine)
    assert 2 <= found.grip.margin.low < 10
    assert found.holds
    assert worst(found.findings) is not Severity.STOP


def test_the_sideways_margin_is_what_a_sum_by_hand_gives_at_most(folder: Path) -> None:
    """Heron's four clamps: 4 x 174.1 N at friction 0.12 against 20.5 N and 0.12 x 9.9 N is 3.85; turning leaves less.

    Worked out: 1500 N mm / (0.35 x 8 mm) x 0.65 / 2 = 174.1 N a clamp; the lift takes its friction away.
    """
    found = worked(folder)
    load = found.situation.bare.load
    by_hand = 4 * 174.107 * 0.12 / (load.sideways.high + 0.12 * load.lift.high)
    assert by_hand == pytest.approx(3.85, rel=0.01)
    assert found.grip.rules is Rule.TURNING
    assert found.grip.margin.low < by_hand


@pytest.mark.parametrize(("machine", "names"), [("heron", ["left", "rear"]), ("wren", ["front left", "rear left"])])
def test_two_clamps_fewer_do_not_hold(machine: str, names: list[str], folder: Path) -> None:
    """Taking two of four clamps away is a stop that says where the board goes and how many clamps would hold it."""
    before = worked(folder, machine).grip.margin.low
    taken(folder, f"jobs/{job_path(folder, machine).name}", names)
    found = worked(folder, machine)
    finding = next(finding for finding in found.findings if finding.id == "hold-too-weak")
    assert found.grip.margin.low < before / 2
    assert finding.severity is Severity.STOP
    assert "the board would" in finding.says
    assert f"{found.layout.count} clamps hold" in finding.mend


def test_a_dull_cutter_pushes_so_hard_that_the_same_clamps_fail(folder: Path) -> None:
    """Dull edges double the force, so the margin falls to about half and the job stops."""
    sharp = worked(folder).grip.margin.low
    changed(folder, "jobs/dibber-board.yml", "worn: sharp", "worn: dull")
    dull = worked(folder)
    assert dull.grip.margin.low == pytest.approx(sharp / 2, rel=0.05)
    assert "hold-too-weak" in ids(dull)


def test_an_operation_s_own_feed_and_stepdown_count(folder: Path) -> None:
    """A deeper pass written into one operation raises the force that everything is held against."""
    careful = worked(folder).situation.bare.load.sideways.high
    changed(
        folder, "jobs/dibber-board.yml", r"^    kind: profile-outside", "    kind: profile-outside\n    stepdown: 6 mm"
    )
    assert worked(folder).situation.bare.load.sideways.high > 2 * careful


def test_a_second_cutter_is_worked_out_with_its_own_numbers(folder: Path) -> None:
    """An operation with a thicker cutter pushes harder than the main one."""
    main = worked(folder).situation.bare.load.sideways.high
    eight = ("  - {id: eight, number: 2, kind: upcut-spiral, diameter: 8 mm, shank: 8 mm, flutes: 2, flute_length: 25 mm, "
             "stick_out: 32 mm, max_speed: 24000 rpm, helix: 30 deg, material: carbide, worn: dull}\n\noperations:")  # fmt: skip
    changed(folder, "jobs/dibber-board.yml", r"^operations:", eight)
    changed(folder, "jobs/dibber-board.yml", r"(name: outline\n    cutter:) six-up", r"\1 eight")
    found = worked(folder)
    assert found.situation.bare.load.sideways.high > 2 * main
    assert found.situation.room.cutter_radius == 4


def test_a_part_without_tabs_comes_free_with_nothing(folder: Path) -> None:
    """The outline cut through without tabs is a stop that names the part."""
    changed(folder, "jobs/dibber-board.yml", r"^    tabs: .*\n", "")
    found = worked(folder)
    finding = next(finding for finding in found.findings if finding.id == "hold-part-comes-free")
    assert finding.severity is Severity.STOP
    assert "outline" in finding.says
    assert finding.lesson == "moment-of-freeing"


def test_tabs_that_the_thin_side_of_the_sheet_swallows_count_as_none(folder: Path) -> None:
    """Tabs of 0.6 mm with zero on top of a sheet that spreads 0.4 mm and a cut 0.3 mm below it are not there."""
    changed(folder, "jobs/dibber-board.yml", r"height: 3 mm}", "height: 0.6 mm}")
    assert "hold-part-comes-free" in ids(worked(folder))


def test_vacuum_holds_a_large_part_without_tabs(folder: Path) -> None:
    """On the vacuum bed the zone under the part still holds it, less what the holes leak."""
    changed(folder, "jobs/dibber-board-bittern.yml", r"^    tabs: .*\n", "")
    piece = next(piece for piece in worked(folder, "bittern").freed if piece.name == "outline")
    assert piece.held_by == ("vacuum",)
    assert piece.grip.margin.low > 2


def test_a_large_bored_hole_leaves_a_loose_slug(folder: Path) -> None:
    """A hole of 30 mm bored with a 6 mm cutter leaves a disc loose; one of 8 mm leaves nothing."""
    assert all(not piece.slug for piece in worked(folder).freed)
    changed(folder, "jobs/dibber-board.yml", "diameter: 8 mm}", "diameter: 30 mm}")
    found = worked(folder)
    assert [piece.name for piece in found.freed if piece.slug][0] == "sowing holes, number 1"
    assert "hold-slug-comes-free" in ids(found)


def test_a_ring_no_wider_than_the_cutter_frees_only_dust(folder: Path) -> None:
    """A circle of 6 mm followed by the middle of a 6 mm cutter leaves no piece to hold; one of 60 mm does."""
    changed(
        folder,
        "jobs/dibber-board.yml",
        r"kind: bore\n.*",
        "kind: on-line\n    shape: {form: circle, x: 60 mm, y: 65 mm, diameter: 6 mm}",
    )
    assert [piece.name for piece in worked(folder).freed] == ["outline"]
    changed(folder, "jobs/dibber-board.yml", "diameter: 6 mm}", "diameter: 60 mm}")
    assert [piece.name for piece in worked(folder).freed] == ["sowing holes", "outline"]


def test_holes_cut_after_the_outline_are_found(folder: Path) -> None:
    """Cutting the outline first is found, because the holes then are bored in a part that may shift."""
    path = folder / "jobs" / "dibber-board.yml"
    head, cuts = path.read_text("utf-8").split("operations:\n")
    cuts, tail = cuts.split("\nzero:")
    first, second, third = cuts.split("  - name: ")[1:]
    path.write_text(f"{head}operations:\n  - name: {third}\n  - name: {first}  - name: {second}\nzero:{tail}", "utf-8")
    assert ids(worked(folder)).count("hold-inside-cut-late") == 2


def test_a_down_cut_lifts_nothing(folder: Path) -> None:
    """With a down-cut cutter nothing lifts between the hold-downs; with an up-cut of the same helix it does."""
    up = worked(folder)
    changed(folder, "jobs/dibber-board.yml", "kind: upcut-spiral", "kind: downcut-spiral")
    down = worked(folder)
    assert up.bending[up.pull].lift.high > 0
    assert down.bending[down.pull].lift.high == 0
    assert down.bending[up.pull].lift.high == pytest.approx(up.bending[up.pull].lift.high, rel=0.05)


def test_a_thin_sheet_held_by_two_clamps_flutters(folder: Path) -> None:
    """A sheet of 3 mm held at one end by an up-cut job is a stop."""
    changed(folder, "jobs/dibber-board.yml", r"thickness_nominal: 12 mm", "thickness_nominal: 3 mm")
    changed(folder, "jobs/dibber-board.yml", r"thicknesses: .*", "thicknesses: [3 mm, 3 mm]")
    changed(folder, "jobs/dibber-board.yml", r"depth: 5 mm", "depth: 2 mm")
    taken(folder, "jobs/dibber-board.yml", ["right", "front"])
    assert "hold-flutter" in ids(worked(folder))


@pytest.mark.parametrize(
    ("file", "pattern", "to", "finding"),
    [
        ("machines/heron.yml", r"size_x: 840 mm", "size_x: 300 mm", "hold-board-larger-than-bed"),
        ("jobs/dibber-board.yml", r"bed_x: 125 mm", "bed_x: 600 mm", "hold-board-off-bed"),
        ("jobs/dibber-board.yml", r"name: left, x: 2 mm", "name: left, x: -60 mm", "hold-clamp-off-board"),
        ("jobs/dibber-board.yml", r"name: left, x: 2 mm", "name: left, x: 20 mm", "hold-clamp-in-the-way"),
        ("jobs/dibber-board.yml", r"x: 30 mm, y: 30 mm, size_x: 300 mm", "x: 30 mm, y: 30 mm, size_x: 400 mm",
         "hold-path-outside-stock"),
        ("jobs/dibber-board.yml", NO_HOLD_DOWNS, "", "hold-not-planned"),
        ("jobs/dibber-board.yml", NO_HOLD_DOWNS, "hold_downs: []\n", "hold-nothing"),
        ("jobs/dibber-board.yml", r"bed_x: 125 mm, bed_y: 65 mm", "bed_x: unknown, bed_y: unknown", "hold-bed-unknown"),
        ("machines/heron.yml", r"insert_pitch: 75 mm", "insert_pitch: unknown", "hold-bed-unknown"),
        ("machines/heron.yml", r"knob: star-knob", "knob: unknown", "hold-clamp-force-unknown"),
        ("machines/bittern.yml", r"vacuum_pressure: 20 kPa", "vacuum_pressure: unknown", "hold-vacuum-unknown"),
        ("jobs/dibber-board-bittern.yml", r"size_x: 340 mm, size_y: 240 mm, ", "", "hold-area-unknown"),
        ("jobs/dibber-board.yml", r"kind: threaded-inserts, name: left", "kind: side-clamps, name: left", "hold-side-clamps"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_found_with_a_mend_and_no_crash(
    file: str, pattern: str, to: str, finding: str, folder: Path
) -> None:
    """Each slip of a job or machine is answered by a finding that says what was seen and how to mend it."""
    changed(folder, file, pattern, to)
    found = worked(folder, "bittern" if "bittern" in file else "heron")
    given = next(one for one in found.findings if one.id == finding)
    assert given.says.endswith(".")
    assert given.mend.endswith(".")
    assert not given.says[0].islower()
    assert given.lesson


def test_a_clamp_of_unknown_force_counts_less_than_any_known_one(folder: Path) -> None:
    """Without knob or bolt the force is that of a weak hand on a wing nut and a thick bolt, and its middle is no better."""
    known = worked(folder).situation.press
    changed(folder, "machines/heron.yml", r"^  (knob|bolt_diameter): .*\n", "")
    unknown = worked(folder).situation.press
    assert unknown.low < known.low / 2
    assert unknown.low == unknown.expected


def test_a_measured_force_takes_the_place_of_the_guess(folder: Path) -> None:
    """A force written beside each clamp is used as it stands."""
    changed(folder, "jobs/dibber-board.yml", "force: unknown", "force: 348.2 N")
    assert [pad.press.low for pad in worked(folder).situation.pads] == [348.2] * 4
    assert worked(folder).grip.margin.low == pytest.approx(2 * 2.14, rel=0.02)


def test_a_bed_of_unknown_slots_still_gets_places_and_a_caution(folder: Path) -> None:
    """Where inserts are not written down, places all round the board stand in and a warning says so."""
    changed(folder, "machines/heron.yml", r"^  insert_.*\n", "")
    found = worked(folder)
    assert len(found.spots.spots) > 10
    assert "hold-bed-unknown" in ids(found)


def test_waste_too_narrow_for_any_clamp_leaves_no_spot(folder: Path) -> None:
    """With a cut 6 mm from the board's edge no clamp has a place; the finding says what to do, and no clamps hold."""
    outline = r"x: 30 mm, y: 30 mm, size_x: 300 mm, size_y: 200 mm"
    changed(folder, "jobs/dibber-board.yml", outline, "x: 6 mm, y: 6 mm, size_x: 348 mm, size_y: 248 mm")
    changed(folder, "jobs/dibber-board.yml", NO_HOLD_DOWNS, "hold_downs: []\n")
    found = worked(folder)
    assert not found.spots.spots
    assert not found.reached
    assert {"hold-no-spot", "hold-too-weak"} <= set(ids(found))


def test_a_board_of_unknown_size_is_not_judged(folder: Path) -> None:
    """Without the board's size nothing is said about holding, and a stop asks for it."""
    changed(folder, "jobs/dibber-board.yml", r"^  size_x: 360 mm\n", "")
    assert ids(unanswered(folder)) == ["hold-no-size"]


def test_a_cut_no_estimate_covers_is_not_judged(folder: Path) -> None:
    """A chip far outside the force estimate leaves holding open with a stop that names the operation."""
    changed(folder, "jobs/dibber-board.yml", r"^    kind: pocket", "    kind: pocket\n    feed: 20 mm/min")
    found = unanswered(folder)
    assert ids(found) == ["hold-no-force"]
    assert "finger recess" in found.findings[0].says


def test_a_job_without_operations_is_cut_anywhere(folder: Path) -> None:
    """Without operations the cutter may go to the board's very corners, so the margin is lower and a warning says so."""
    before = worked(folder).grip.margin.low
    changed(folder, "jobs/dibber-board.yml", r"^operations:\n(?s:.*)\nzero:", "zero:")
    found = worked(folder)
    assert found.grip.margin.low < before
    assert "hold-no-cuts" in ids(found)


@pytest.mark.parametrize("machine", ONLY_CLAMPS)
def test_the_layout_offered_holds_when_it_is_given_back(machine: str, folder: Path) -> None:
    """The fewest clamps, judged as a layout of their own, reach the margin that was promised; one fewer is proved too few."""
    found = worked(folder, machine)
    again = worked(folder, machine, list(found.layout.positions))
    assert again.grip.margin.low == pytest.approx(found.layout.grip.margin.low, rel=2e-3)
    assert again.holds
    assert found.layout.exact
    assert len(found.layout.positions) == found.layout.bound


def test_the_layout_offered_keeps_out_of_the_cut(folder: Path) -> None:
    """No place offered is in the cutter's way."""
    found = worked(folder)
    again = worked(folder, layout=list(found.layout.positions))
    assert "hold-clamp-in-the-way" not in ids(again)


def test_one_more_clamp_buys_what_is_said(folder: Path) -> None:
    """The place named for one more clamp gives the margin named with it."""
    found = worked(folder, "wren")
    assert found.review is not None
    assert found.review.one_more is not None
    with_it = [*(pad.at for pad in found.situation.pads), found.review.one_more.spot.pad.at]
    assert worked(folder, "wren", with_it).grip.margin.low == pytest.approx(found.review.one_more.margin, rel=2e-3)


def test_a_clamp_beside_the_board_holds_nothing(folder: Path) -> None:
    """A layout with one clamp off the board is a stop, and holds no more than the layout without it."""
    good = [(10.0, 50.0), (350.0, 200.0), (290.0, 10.0)]
    found = worked(folder, layout=[*good, (65.0, 300.0)])
    assert "hold-clamp-off-board" in ids(found)
    assert found.grip.margin.low == pytest.approx(worked(folder, layout=good).grip.margin.low, rel=1e-6)


def test_a_path_beyond_the_travel_is_a_stop_even_where_the_board_holds(folder: Path) -> None:
    """Laid 40 mm from the bed's left edge, the holes lie before the place where Heron's X travel begins."""
    assert "hold-path-beyond-travel" not in ids(worked(folder))
    changed(folder, "jobs/dibber-board.yml", "bed_x: 125 mm", "bed_x: 5 mm")
    found = worked(folder)
    assert "hold-path-beyond-travel" in ids(found)
    assert worst(found.findings) is Severity.STOP


@pytest.mark.parametrize("machine", ONLY_CLAMPS)
def test_a_change_is_only_advised_where_the_margin_shown_would_change(machine: str, folder: Path) -> None:
    """No line offers a move or one more clamp for the margin that is there already."""
    found = worked(folder, machine)
    now = times(found.grip.margin.low)
    offers = [line for line in choice_lines(found) if line.startswith(("Best single move", "One more"))]
    assert offers
    assert not any(line.endswith(f"gives {now}") for line in offers)
