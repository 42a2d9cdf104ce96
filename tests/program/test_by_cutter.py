"""A program with cutter changes, taken apart: nothing is lost, and each part is what that cutter does."""

from __future__ import annotations

import math
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.program.by_cutter import numbers_that_cut, part_before, part_with, turns
from generator.program.facts import program_facts
from generator.program.moves import CUTS
from generator.program.read import Program
from generator.program.setup import Setup
from tests.program.make import facts, read

BEGIN = "G21 G90 G17 G54 G94\n"
END = "G0 Z20\nM5\nM2\n"
FIRST = "T1 M6\nM3 S16000\nG4 P5\nG0 X10 Y10 Z5\nG1 Z-2 F300\nG1 X60 F1600\nG2 X60 Y30 I0 J10\nG0 Z20\nM5\n"
SECOND = "T2 M6\nM3 S12000\nG4 P5\nG0 X20 Y40 Z5\nG1 Z-4 F200\nG1 X50 F700\nG3 X50 Y60 I0 J10\n"
ON_STOCK = Setup(stock=(0.0, 0.0, 100.0, 80.0), stock_top=0.0, stock_bottom=-12.0, cutter_diameter=6.0, flutes=2)

places = st.integers(0, 100)
cuts = st.tuples(places, places, st.integers(-9, -1)).map(
    lambda p: f"G0 Z5\nG0 X{p[0]} Y{p[1]}\nG1 Z{p[2]} F300\nG1 X9\n"
)
turn = st.tuples(st.integers(1, 3), st.lists(cuts, max_size=3)).map(
    lambda drawn: f"T{drawn[0]} M6\nM3 S{9000 + drawn[0]}\nG0 X1 Y1 Z9\n{''.join(drawn[1])}"
)
several = st.lists(turn, min_size=1, max_size=5).map(lambda drawn: BEGIN + "".join(drawn) + END)


def cut_lines(program: Program) -> Counter[int]:
    moves = program.moves
    return Counter(line for line, kind in zip(moves.line, moves.kind, strict=True) if kind in CUTS)


def test_tool_numbers_come_in_the_order_of_their_first_cut() -> None:
    """A number that is called and cuts nothing is not among them; one that comes again is there once."""
    program = read(f"{BEGIN}T7 M6\nG0 X1\n{SECOND}{FIRST}{SECOND}{END}")
    assert numbers_that_cut(program) == [2, 1]
    assert [turn.number for turn in turns(program)] == [7, 2, 1, 2]


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("M3 S9000\nG1 Z-1 F300\n", [None]),
        ("T2\nM3 S9000\nG1 Z-1 F300\n", [2]),
        ("G1 Z-1 F300\nT2\nG1 X5\n", [None]),
        ("G1 Z-1 F300\nG0 Z9\nT2 M6\nG1 Z-1\n", [None, 2]),
    ],
)
def test_a_file_for_one_cutter_says_which_by_its_first_word(text: str, numbers: list[int | None]) -> None:
    """T without M6 names the cutter of the whole file if it stands before the first cut, and only then."""
    assert numbers_that_cut(read(BEGIN + text + END)) == numbers


def test_a_part_has_the_facts_of_a_program_written_for_that_cutter_alone() -> None:
    """Depths, feeds, chip loads, plunges and lengths are those of its own moves, with the speed it finds in force."""
    whole = read(BEGIN + FIRST + SECOND + END)
    for number, own in ((1, FIRST), (2, f"G0 X60 Y30 Z20\n{SECOND}")):
        got = program_facts(part_with(whole, number), ON_STOCK)
        wanted = facts(BEGIN + own + END, ON_STOCK)
        for name in (
            "chip_load_min",
            "chip_load_max",
            "cut_min_z",
            "cut_length",
            "plunge_depth_max",
            "speeds",
            "step_max",
        ):
            assert got[f"program.{name}"] == wanted[f"program.{name}"], name


def test_a_speed_set_before_the_change_is_found_in_force() -> None:
    """S stands where the first cutter's turn is, and counts for the second."""
    whole = read(f"{BEGIN}{FIRST}S11000\nT2 M6\nM3\nG0 X20 Y40 Z5\nG1 Z-4 F200\nG1 X50 F1100\n{END}")
    assert program_facts(part_with(whole, 2), ON_STOCK)["program.chip_load_max"] == pytest.approx(1100 / 11000 / 2)


@given(several)
@settings(max_examples=150, deadline=None)
def test_every_cut_belongs_to_one_part(text: str) -> None:
    """Lines, lengths and the deepest place of the parts together are those of the whole."""
    whole = read(text)
    parts = [part_with(whole, number) for number in numbers_that_cut(whole)]
    found = [program_facts(part, ON_STOCK) for part in parts]
    all_of_it = program_facts(whole, ON_STOCK)
    assert sum((cut_lines(part) for part in parts), Counter()) == cut_lines(whole)
    lengths = [part["program.cut_length"] for part in found]
    assert math.fsum(lengths) == pytest.approx(all_of_it["program.cut_length"])  # type: ignore[arg-type]
    deepest = [part["program.cut_min_z"] for part in found]
    assert min(deepest, default=None) == all_of_it["program.cut_min_z"]  # type: ignore[type-var]


@given(several)
@settings(max_examples=100, deadline=None)
def test_a_part_starts_each_move_where_the_whole_program_does(text: str) -> None:
    """Between its turns nothing moves: the part only knows where the next turn begins."""
    whole = read(text)
    by_line = {(move.line, move.end): (move.start, move.kind) for move in whole.moves}
    for number in numbers_that_cut(whole):
        for move in part_with(whole, number).moves:
            assert (move.start, move.kind) == by_line[move.line, move.end]


def test_what_an_earlier_cutter_has_opened_is_open_for_the_later_one() -> None:
    """A second cutter that goes down the hole of the first takes no step there; without the first it would."""
    hole = "G0 X30 Y30\nG0 Z5\nG1 Z-6 F300\nG1 X33\nG0 Z20\n"
    whole = read(f"{BEGIN}T1 M6\nM3 S9000\n{hole}T2 M6\nM3 S9000\n{hole}{END}")
    second = part_with(whole, 2)
    after = program_facts(second, ON_STOCK, part_before(whole, 2))
    alone = program_facts(second, ON_STOCK)
    assert (after["program.step_max"], alone["program.step_max"]) == (0.0, 6.0)
    assert program_facts(part_with(whole, 1), ON_STOCK, part_before(whole, 1))["program.step_max"] == 6.0
