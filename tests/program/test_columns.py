"""Reading many lines at once gives what reading them one by one gives, for every way of writing them."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from generator.program.columns import columns_of
from generator.program.facts import program_facts
from generator.program.loose import free_pieces
from generator.program.read import Program, read_program
from generator.program.setup import Setup
from generator.program.state import Start
from tests.program.make import AT_ZERO, DIALECTS, dialect
from tests.program.test_laws import AROUND, grammarish

STARTS = [Start(), AT_ZERO, replace(AT_ZERO, feed=100.0, inches=True)]

figures = st.one_of(
    st.integers(0, 400).map(str),
    st.integers(0, 400_000).map(lambda value: f"{value / 1000:.3f}"),
    st.integers(0, 99).map(lambda value: f".{value}"),
    st.integers(0, 99).map(lambda value: f"{value}."),
    st.floats(0, 1000).map(lambda value: f"{value:.12f}"),
    st.sampled_from(["0", "000012.50", "5000000000", "1234567890.1234567", "0.0000000001", "", ".", "1.2.3", "1 2"]),
)
numbers = st.tuples(st.sampled_from(["", "", "", "-", "-", "+"]), figures).map("".join)
codes = st.sampled_from(["G0", "G1", "G1", "G01", "G00", "G2", "G3", "G02", "g1", "G1.0", "G+1", "G 1", "G4", ""])
words = st.tuples(st.sampled_from("XYZXYZXYZFIJRSzxyKPT"), numbers).map("".join)
labels = st.sampled_from(["", "", "N10", "N0001", "n5", "N123456789", "N1.5", "/"])
remarks = st.sampled_from([
    "", "", "", " (along)", "(M3)", "(LAYER 1)", "; layer", ";tail", "(open", ")", "(a(b))", "(a;b)", ";(a)", "(1.5)",
    "(caf\u00e9)", "(note M30)", " ",
])  # fmt: skip
blanks = st.sampled_from(["", " ", "  ", "\t"])
lines = st.tuples(blanks, labels, codes, st.lists(words, max_size=5), blanks, remarks).map(
    lambda drawn: drawn[0] + drawn[4].join([drawn[1], drawn[2], *drawn[3]]) + drawn[5]
)
steps = st.tuples(
    st.sampled_from(["G0 ", "G1", "", "", "g01"]),
    st.lists(st.sampled_from("XYZ"), min_size=1, max_size=3, unique=True),
    st.lists(st.integers(-80_000, 240_000), min_size=4, max_size=4),
    st.sampled_from(["", "", "F300", "F0", "F1200.5", "S9000", "S0"]),
).map(
    lambda drawn: drawn[0] + " ".join(f"{letter}{value / 1000}" for letter, value in zip(*drawn[1:3], strict=False)) + drawn[3]
)  # fmt: skip
arcs = st.sampled_from([
    "G2 X150 Y100 I-10 J0", "G3X150Y100I-10J0", "G2 X160 Y100 I5", "G3 X150 Y100 R8", "G2 X160 Y110 R10", "G2 I10",
    "G3 X150 Y100 Z-2 I.0 J5", "G2 X150.001 Y100 I-10 J0", "X150 Y100 I-10", "X160 Y110 R-10", "G2 X1 Y1 R1", "R5",
    "G1 X150 Y100", "G1 X150 Y100", "G2 X150 Y100 I-10 J0 R10", "G2 X150 Y100 I0 J0", "G2 Z-3 I5 J5",
])  # fmt: skip
odd = st.sampled_from([
    "M3 S12000", "M5", "G20", "G21", "G91", "G90", "G18", "G17", "G93", "G94", "G92 X0", "G55", "G4 P1", "M0", "T2 M6",
    "G81 X5 Y5 Z-3 R2", "G80", "G90.1", "G91.1", "M2", "%", "", "G53 G0 Z0", "#5=3", "G1 X#5", "G28", "G41", "G40",
    "1 F300", "5", "-3 X1", ".5", "+ Y2", "X1 -",
])  # fmt: skip
SETTLED = "G21 G90 G17 G94 G54 G40 G49\nM3 S9000\nG0 X150 Y100 Z5\nG1 Z-1 F300\nG2 X150 Y100 I-10 J0\n"
placed = arcs.map(lambda arc: f"G1 X150 Y100 F300\n{arc}")
runs = st.lists(st.one_of(steps, steps, placed), min_size=3, max_size=12).map("\n".join)
program_lines = st.lists(st.one_of(runs, runs, runs, lines, odd), min_size=1, max_size=12)
line_ends = st.sampled_from(["\n", "\r\n", "\r"])


def same(value: object) -> object:
    """A form in which two unknown numbers are equal."""
    return repr(value)


def everything(program: Program, setup: Setup) -> list[object]:
    """Moves with arcs, codes, findings, facts and the state at the end."""
    return [
        [same(move) for move in program.moves], [same(event) for event in program.events], program.findings,
        dict(program.relies), same(program.final), bool(program.tally["point"]), program.lines, program.end,
        same(program_facts(program, setup)), list(program.relies),
    ]  # fmt: skip


def read_both(
    monkeypatch: pytest.MonkeyPatch, data: bytes, name: str, start: Start
) -> tuple[list[object], list[object]]:
    """What is read one by one, and many at once."""
    found = []
    for many, fewest in ((10**9, 1), (0, 1)):
        monkeypatch.setattr("generator.program.read.MANY_LINES", many)
        monkeypatch.setattr("generator.program.read.FEWEST_LINES", fewest)
        found.append(everything(read_program([data], dialect(name), start), AROUND))
    return found[0], found[1]


DRAWN = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@DRAWN
@given(
    program_lines, line_ends, st.sampled_from(DIALECTS), st.sampled_from(STARTS), st.sampled_from([True, True, False])
)
def test_many_lines_at_once_are_read_as_one_by_one(
    monkeypatch: pytest.MonkeyPatch, drawn: list[str], end: str, name: str, start: Start, head: bool
) -> None:
    """Moves, arcs, codes, findings, facts and final state are equal to the last bit."""
    text = (SETTLED if head else "") + "\n".join(drawn) + "\n"
    careful, quick = read_both(monkeypatch, text.replace("\n", end).encode(), name, start)
    for one, two in zip(careful, quick, strict=True):
        assert one == two


@DRAWN
@given(grammarish, st.sampled_from(DIALECTS), st.sampled_from(STARTS))
def test_rubbish_among_many_lines_is_read_as_one_by_one(
    monkeypatch: pytest.MonkeyPatch, text: str, name: str, start: Start
) -> None:
    """Whatever the lines hold."""
    careful, quick = read_both(monkeypatch, (SETTLED + text + "\n").encode(), name, start)
    for one, two in zip(careful, quick, strict=True):
        assert one == two


CHANGES = st.fixed_dictionaries(
    {},
    optional={
        "stock": st.none(), "stock_top": st.sampled_from([None, 3.0, -2.0]), "stock_bottom": st.sampled_from([None, -1.0]),
        "cutter_diameter": st.sampled_from([None, 1.0, 25.0]), "clamps": st.just(()), "stick_out": st.none(),
        "feed_max_xy": st.sampled_from([None, 400.0]), "feed_max_z": st.sampled_from([None, 200.0]),
        "acceleration": st.none(), "rapid": st.none(), "hand_speed": st.just(9000.0),
    },
)  # fmt: skip
cuts = st.tuples(
    st.sampled_from(["G1 ", "", "", "G1 F900 ", "G0 "]), st.integers(-40, 240), st.integers(-40, 140),
    st.sampled_from(["", "", "", "Z-1", "Z-2.5", "Z4", "Z.0005", "Z-14"]),
).map(lambda drawn: f"{drawn[0]}X{drawn[1]}Y{drawn[2]}{drawn[3]}")  # fmt: skip
loops = st.sampled_from([
    "G0 X20 Y20\nG1 Z-4\nG1 X60\nG1 Y60\nG1 X20\nG1 Y20\nG0 Z5", "G0 X150 Y50\nG1 Z-3\nG3 X150 Y50 I-20 J0\nG0 Z5",
    "G0 X20 Y20 Z0\nG1 X60 Z-2\nG1 Y60 Z-3\nG1 X20 Z-4\nG1 Y20\nX60 Z0",
])  # fmt: skip
plunges = st.sampled_from(
    ["G1 Z-3", "G1 Z-6 F300", "G0 Z6", "G0 Z-1", "G1 Z-1 F900", "S9000", "S12000", "M3", "M5", "G4 P1"]
)
paths = st.lists(st.one_of(cuts, cuts, cuts, arcs, plunges, loops, odd), max_size=80)


@DRAWN
@given(paths, CHANGES, st.sampled_from(STARTS), st.integers(1, 40))
def test_many_moves_at_once_give_the_facts_of_one_by_one(
    monkeypatch: pytest.MonkeyPatch, drawn: list[str], changes: dict[str, object], start: Start, block: int
) -> None:
    """Lengths, times, boxes and everything seen on the way are equal to the last bit, whatever is known around."""
    program = read_program([(SETTLED + "\n".join(drawn)).encode()], dialect(), start)
    setup = replace(AROUND, **changes)
    found, pieces = [], []
    for many in (10**9, 1):
        monkeypatch.setattr("generator.program.motion.MANY_MOVES", many)
        monkeypatch.setattr("generator.program.watch.FEWEST_CUTS", 1)
        monkeypatch.setattr("generator.program.move_columns.BLOCK", block)
        monkeypatch.setattr("generator.program.depth_columns.TOGETHER", 3 * block)
        found.append(program_facts(program, setup))
        pieces.append([free_pieces(program.moves, (0.0, 0.0, 200.0, 100.0), height, 6.0) for height in (-1.0, -3.0)])
    assert pieces[0] == pieces[1]
    for name, value in found[0].items():
        assert (name, same(found[1][name])) == (name, same(value))


@pytest.mark.parametrize("shape", [";", "(", "(M0", "M0", "(a", ";M3 ", "G1X", "-", ".", " ", "1"])
@pytest.mark.parametrize("end", ["M3", "", ")", "X1"])
def test_hostile_blocks_are_cut_into_columns_at_once(shape: str, end: str) -> None:
    """A line of a hundred thousand signs, whatever they are, takes no longer than others; it is odd or empty."""
    columns = columns_of(
        f"{shape * 100_000}{end}\nG1 X1\n".encode(), replace(dialect("computer-run"), line_length=10**9)
    )
    assert columns.odd.tolist() in ([True, False], [False, False])
    assert columns.words["X"].values[-1] == 1


@given(st.from_regex(r"[-+]?([0-9]{1,15}|[0-9]{1,8}\.[0-9]{0,7}|\.[0-9]{1,15})", fullmatch=True))
def test_a_number_read_in_a_column_is_the_nearest_float(text: str) -> None:
    """Figures as a whole number over a power of ten are what Python's own reading gives."""
    columns = columns_of(f"G1 X{text}\nX{text}Y{text}\n".encode(), dialect())
    wanted = float(text)
    if abs(wanted) <= 1e9:
        assert not columns.odd.any()
        assert columns.words["X"].values.tolist() == [wanted, wanted]
    else:
        assert columns.odd.all()
