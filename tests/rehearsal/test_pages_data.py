"""Stages, moments, tabs, sheets and depth bands: what the page says about a program."""

from __future__ import annotations

from itertools import pairwise

import pytest

from generator.finding import Finding, Severity
from generator.program.moves import RAPID
from generator.rehearsal.moments import LEAST, MOST, moments_of
from generator.rehearsal.page import MOST_BANDS, bands_of
from generator.rehearsal.plan_drawing import plan_of
from generator.rehearsal.stages import MOST_STAGES, stages_of
from generator.rehearsal.tab_places import tab_places
from generator.rehearsal.tiles import HEIGHT, OVERLAP, WIDTH, tiling
from generator.rehearsal.track import WAIT
from generator.rehearsal.words import clock_words, depth_words
from tests.rehearsal.make import HEAD, TAIL, dibber, played, scene


def finding(line: int, severity: Severity = Severity.STOP) -> Finding:
    says = "Something is wrong."
    return Finding(id="made-up", severity=severity, says=says, mend="Mend it.", line=line, lines=(line,))


def test_the_dibber_board_is_told_in_a_few_rows() -> None:
    """Spindle, wait, 28 holes alike, recess, outline, spindle off: in order of time, none overlapping the next."""
    program, clock, track = played(dibber())
    stages = stages_of(program, clock, track)
    cuts = [stage for stage in stages if stage.kind == "cut"]
    assert [stage.kind for stage in stages] == ["M3", "G4", "cut", "cut", "cut", "M5"]
    assert [stage.count for stage in cuts] == [28, 1, 1]
    assert [stage.low for stage in cuts] == pytest.approx([-12.3, -5.0, -12.3])
    assert all(one.end <= two.start + 1e-9 for one, two in pairwise(stages))


def test_a_table_of_many_cuts_stays_readable() -> None:
    """Ten thousand unlike cuts are told in about as many rows as the limit, and every one is counted."""
    lines = [f"G0 X{i % 300} Y{i % 200}\nG1 Z{-1 - i % 7} F300\nG0 Z20" for i in range(10_000)]
    program, clock, track = played(HEAD + "\n".join(lines) + "\n" + TAIL)
    stages = stages_of(program, clock, track)
    assert len(stages) <= MOST_STAGES + 3
    assert sum(stage.count for stage in stages if stage.kind == "cut") == 10_000


def test_a_clean_program_asks_only_harmless_questions() -> None:
    """Three to five moments, each to be answered with go, in order of time."""
    _, _, track = played(dibber())
    moments = moments_of(track, scene(), [])
    assert LEAST <= len(moments) <= MOST
    assert {moment.answer for moment in moments} == {"go"}
    assert [moment.point for moment in moments] == sorted(moment.point for moment in moments)


def test_a_finding_is_asked_about_before_it_happens() -> None:
    """The question stands at the point from which the line of the finding sets out, and the answer is stop."""
    _, _, track = played(dibber())
    first = track.first_of_line()[100]
    moments = moments_of(track, scene(), [finding(100)])
    stops = [moment for moment in moments if moment.answer == "stop"]
    assert [(moment.point, moment.line) for moment in stops] == [(first - 1, 100)]
    assert "Something is wrong." in stops[0].why


def test_findings_come_with_something_harmless_among_them() -> None:
    """Nobody can pass by answering stop each time; with many findings there are still no more than five questions."""
    _, _, track = played(dibber())
    moments = moments_of(track, scene(), [finding(line) for line in range(20, 400, 20)])
    assert len(moments) <= MOST
    assert {moment.answer for moment in moments} == {"stop", "go"}


def test_a_note_is_no_reason_to_stop() -> None:
    """Only findings to stop at or to look at become stops."""
    _, _, track = played(dibber())
    assert all(moment.answer == "go" for moment in moments_of(track, scene(), [finding(100, Severity.NOTE)]))


def test_a_harmless_moment_never_sits_on_a_finding() -> None:
    """A line some check objects to is never called in order."""
    _, _, track = played(dibber())
    clean = moments_of(track, scene(), [])
    for moment in clean:
        again = moments_of(track, scene(), [finding(moment.line)])
        assert all(other.answer == "stop" for other in again if other.line == moment.line)


def test_the_four_tabs_are_found_where_the_path_lifts() -> None:
    """One on each side of the board, 3 mm high, at the middle of its bridge."""
    _, _, track = played(dibber())
    tabs = sorted((round(tab.x), round(tab.y), round(tab.height, 6)) for tab in tab_places(track, -12.0))
    assert tabs == [(27, 180, 3), (110, 233, 3), (250, 27, 3), (333, 80, 3)]


def test_without_tabs_none_are_found() -> None:
    """Passes that ramp down and lifts between cuts are not taken for tabs."""
    text = dibber().replace("G1 Z-9 F600\n", "")
    _, _, track = played(text)
    assert tab_places(track, -12.0) == []


@pytest.mark.parametrize("box", [(0, 0, 360, 260), (-20, -20, 100, 100), (0, 0, 1250, 1250), (0, 0, 180, 230)])
def test_sheets_cover_the_plan_and_overlap(box: tuple[float, float, float, float]) -> None:
    """Together the sheets hold all of it, neighbours share a strip, and every cross lies on two sheets or more."""
    sheets = tiling(box)
    boxes = [tile.box for tile in sheets.tiles]
    assert len(boxes) == sheets.columns * sheets.rows
    assert min(b[0] for b in boxes) <= box[0]
    assert min(b[1] for b in boxes) <= box[1]
    assert max(b[2] for b in boxes) >= box[2]
    assert max(b[3] for b in boxes) >= box[3]
    assert len({tile.name for tile in sheets.tiles}) == len(boxes)
    for x, y in sheets.marks:
        assert sum(b[0] <= x <= b[2] and b[1] <= y <= b[3] for b in boxes) >= 2
    if sheets.columns > 1:
        assert boxes[0][2] - boxes[1][0] == pytest.approx(OVERLAP)


def test_a_sheet_fits_both_papers() -> None:
    """ISO 216 A4 is 210 x 297 mm, US Letter (ANSI/ASME Y14.1 size A) 215.9 x 279.4 mm; margins are 8 mm all round."""
    narrowest, lowest = min(210, 215.9) - 16, min(297, 279.4) - 16
    assert narrowest >= WIDTH + 9
    assert lowest >= HEIGHT + 16


def test_the_plan_says_how_low_the_nut_comes() -> None:
    """With 32 mm of cutter below the nut and a cut 12.3 mm deep, it stays 19.7 mm above the board."""
    _, _, track = played(dibber())
    plan = plan_of(track, scene())
    assert plan is not None
    assert plan.nut_low == pytest.approx(19.7)


def test_the_plan_holds_everything_that_stands_on_the_bed() -> None:
    """Stock, the clamp that sticks out beside it, and zero lie inside its box."""
    _, _, track = played(dibber())
    plan = plan_of(track, scene())
    assert plan is not None
    assert plan.box[0] < -16
    assert plan.box[2] > 360
    assert "left, 12 mm above the board" in plan.drawing


@pytest.mark.parametrize("depth", [0.3, 1, 5, 12, 18, 40, 150, 700])
def test_depth_bands_are_few_and_reach_the_bottom(depth: float) -> None:
    """At most six, each deeper than the one before, the last one as deep as the board or the cut."""
    _, _, track = played(f"G21 G90 G94\nG0 X0 Y0 Z5\nG1 Z{-depth} F100\n")
    bands = bands_of(scene(stock_bottom=-200.0), track)
    assert 1 <= len(bands) <= MOST_BANDS
    assert bands == sorted(set(bands))
    assert bands[-1] == pytest.approx(min(depth, 200))


def test_words_for_times_and_depths() -> None:
    """Minutes and seconds; depth told against the board, and into the bed."""
    assert [clock_words(value) for value in (0, 59.9999, 364.2)] == ["0:00", "1:00", "6:04"]
    assert depth_words(5, scene()) == "in the air, 5\u00a0mm above the board"
    assert depth_words(-4, scene()) == "4\u00a0mm deep"
    assert depth_words(-12.3, scene()) == "right through, 0.3\u00a0mm into the bed"


def test_what_is_not_known_is_said() -> None:
    """Without size, thickness, cutter, nut and travel the scene lists five gaps; with all known none."""
    bare = scene(stock=None, stock_top=None, cutter_diameter=None, nut_diameter=None)
    assert len(list(bare.unknown())) == 5
    assert len(list(scene().unknown())) == 1


def test_rapids_are_told_from_cuts() -> None:
    """The kind of every point is that of the move leading to it."""
    program, _, track = played(dibber())
    for index in range(2, len(track)):
        if track.kind[index] != WAIT:
            assert (track.kind[index] == RAPID) == (program.moves.kind[track.move[index]] == RAPID)
