"""Pieces that come free, on shapes whose answer is plain geometry."""

from __future__ import annotations

import math

import pytest

from generator.program.loose import Piece, free_pieces
from tests.program.make import read

STOCK = (0.0, 0.0, 200.0, 100.0)
HEAD = "G21 G90 G94 G17 F1000\nG0 Z5\n"


def pieces(body: str, height: float = -10.0, cutter: float = 6.0) -> tuple[Piece, ...]:
    return free_pieces(read(HEAD + body + "G0 Z5\nM2\n").moves, STOCK, height, cutter)


def square(low: float, high: float, z: float) -> str:
    return (
        f"G0 X{low} Y{low}\nG1 Z{z} F100\nG1 X{high} F900\nG1 Y{high}\nG1 X{low}\nG1 Y{low}\nG0 Z5\n"
    )  # fmt: skip


def test_a_square_cut_right_round_is_free() -> None:
    """What is left is the square inside the kerf; the last side frees it."""
    (piece,) = pieces(square(20, 60, -10))
    assert piece.area == pytest.approx(34**2, rel=0.06)
    assert piece.box == pytest.approx((23, 23, 57, 57), abs=1.1)
    assert piece.line == 8


def test_a_square_left_open_is_held() -> None:
    """One side uncut, or cut less deep, is enough."""
    assert pieces("G0 X20 Y20\nG1 Z-10 F100\nG1 X60\nG1 Y60\nG1 X20\n") == ()
    assert pieces("G0 X20 Y20\nG1 Z-10 F100\nG1 X60\nG1 Y60\nG1 X20\nG1 Z-8\nG1 Y20\n") == ()


def test_a_tab_holds_until_it_is_cut() -> None:
    """A bridge of 14 mm of path leaves 8 mm of wood between cuts of a 6 mm cutter; cutting it frees the piece."""
    tabbed = "G0 X20 Y20\nG1 Z-10 F100\nG1 X33\nG1 Z-8\nG1 X47\nG1 Z-10\nG1 X60\nG1 Y60\nG1 X20\nG1 Y20\n"
    assert pieces(tabbed) == ()
    (piece,) = pieces(tabbed + "G1 X60\n")
    assert piece.line == 13
    (hanging,) = pieces(tabbed, height=-8)
    assert hanging.line == 12


def test_a_bridge_narrower_than_the_cutter_is_none() -> None:
    """The round end of the cutter takes it away from both sides."""
    narrow = "G0 X20 Y20\nG1 Z-10 F100\nG1 X38\nG1 Z-8\nG1 X42\nG1 Z-10\nG1 X60\nG1 Y60\nG1 X20\nG1 Y20\n"
    assert len(pieces(narrow)) == 1


def test_a_bored_hole_leaves_no_slug_where_the_cutter_reaches_the_middle() -> None:
    """Eight millimetres with a 6 mm cutter is all chips; 30 mm leaves a slug 18 mm across."""
    bore = "G0 X{x} Y50\nG1 Z-10 F100\nG3 X{x} Y50 I-{r} J0\n"
    assert pieces(bore.format(x=51, r=1)) == ()
    (slug,) = pieces(bore.format(x=62, r=12))
    assert slug.area == pytest.approx(math.pi * 9**2, rel=0.08)


def test_a_pocket_cut_through_leaves_nothing() -> None:
    """Rings from the middle outwards: no piece, though every ring is closed."""
    rings = "".join(square(50 - half, 50 + half, -10) for half in (2, 4, 6, 8, 10, 12))
    assert pieces(rings) == ()


def test_a_strip_at_the_edge_is_not_called_free() -> None:
    """What still reaches the edge of the sheet is held with the sheet, or is for other eyes."""
    assert pieces("G0 X50 Y-5\nG1 Z-10 F100\nG1 Y105\n") == ()


def test_a_slope_counts_from_where_it_is_deep_enough() -> None:
    """A side cut as a ramp through the height leaves the shallow part standing."""
    ramp = "G0 X20 Y20\nG1 Z-10 F100\nG1 X60\nG1 Y60\nG1 X20\nG1 Y20 Z-{end}\n"
    assert pieces(ramp.format(end=5)) == ()
    assert len(pieces(ramp.format(end=10))) == 1


def test_pieces_are_told_in_the_order_they_come_free() -> None:
    """Whatever their place."""
    first, second = pieces(square(120, 150, -10).replace("Y120", "Y20").replace("Y150", "Y50") + square(20, 60, -10))
    assert first.move < second.move
    assert first.box[0] > second.box[0]


def test_a_sheet_on_the_move_is_no_piece() -> None:
    """A program that cuts nothing so deep has no pieces, whatever it closes."""
    assert pieces(square(20, 60, -9)) == ()
