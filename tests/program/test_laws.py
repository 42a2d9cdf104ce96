"""Laws any reader of the language keeps, on drawn programs, and drawn rubbish that must not break it."""

from __future__ import annotations

import json
import math
import re

from hypothesis import example, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from generator.program.catalogue import PROGRAM_FACTS
from generator.program.cycles import MOST_STEPS
from generator.program.facts import program_facts
from generator.program.motion import envelope, move_lengths
from generator.program.moves import CUTS
from generator.program.read import Program, read_program
from generator.program.setup import Clamp, Setup
from generator.program.state import Start
from tests.program.make import AT_ZERO, DIALECTS, dialect, ends, read

HEAD = "G21 G90 G17 G94 G54 G98\nM3 S18000\nG0 X0 Y0 Z10\nF600\n"
place = st.integers(-2000, 2000).map(lambda value: value / 8)
points = st.lists(st.tuples(place, place, place), min_size=1, max_size=12)
kinds = st.sampled_from(["G0", "G1"])


def close(one: Program, two: Program, within: float = 1e-6) -> bool:
    """The same moves, end by end, with no line left out."""
    assert not one.tally["faulty-lines"] + two.tally["faulty-lines"]
    return len(one.moves) == len(two.moves) and all(
        math.dist(a, b) < within for a, b in zip(ends(one), ends(two), strict=True)
    )


@given(st.lists(st.tuples(kinds, place, place, place), min_size=1, max_size=12))
def test_incremental_equals_absolute(steps: list[tuple[str, float, float, float]]) -> None:
    """The same path written as differences under G91 and as places under G90 gives the same moves."""
    absolute, incremental = [HEAD], [HEAD, "G91\n"]
    at = (0.0, 0.0, 10.0)
    for kind, *to in steps:
        absolute.append(f"{kind} X{to[0]} Y{to[1]} Z{to[2]}\n")
        x, y, z = (new - old for new, old in zip(to, at, strict=True))
        incremental.append(f"{kind} X{x} Y{y} Z{z}\n")
        at = (to[0], to[1], to[2])
    assert close(read("".join(absolute)), read("".join(incremental)))


@given(points, st.integers(1, 400))
def test_inches_equal_millimetres(path: list[tuple[float, float, float]], feed: int) -> None:
    """Dividing every number by 25.4 and writing G20 changes nothing."""
    lines = [f"G1 X{x} Y{y} Z{z} F{feed}\n" for x, y, z in path]
    small = [f"G1 X{x / 25.4:.12f} Y{y / 25.4:.12f} Z{z / 25.4:.12f} F{feed / 25.4:.12f}\n" for x, y, z in path]
    metric, inch = read("G21 G90 G94\n" + "".join(lines)), read("G20 G90 G94\n" + "".join(small))
    assert close(metric, inch)
    assert all(abs(a.feed - b.feed) < 1e-6 for a, b in zip(metric.moves, inch.moves, strict=True))


@given(points)
def test_spaces_case_and_line_numbers_mean_nothing(path: list[tuple[float, float, float]]) -> None:
    """Lower case, blanks inside numbers and line numbers give the same moves as the plain shape."""
    plain = "".join(f"G1 X{x} Y{y} Z{z} F100\n" for x, y, z in path)
    odd = "".join(
        f"n{number} g 0 1 x {' '.join(str(x))} y{y}\tz {z}f1 00(note)\n" for number, (x, y, z) in enumerate(path)
    )
    assert close(read(HEAD + plain), read(HEAD + odd))


def arc_text(clockwise: bool, start: tuple[float, float], sweep: float, centre: tuple[float, float]) -> str:
    """Lines to the start of an arc and along it, written in full figures."""
    turn = -sweep if clockwise else sweep
    x, y = start[0] - centre[0], start[1] - centre[1]
    end = (
        centre[0] + x * math.cos(turn) - y * math.sin(turn),
        centre[1] + x * math.sin(turn) + y * math.cos(turn),
    )
    return (
        f"G1 X{start[0]:.12f} Y{start[1]:.12f} Z0\n"
        f"G{2 if clockwise else 3} X{end[0]:.12f} Y{end[1]:.12f} Z-1 I{-x:.12f} J{-y:.12f}\n"
    )


arcs = st.tuples(
    st.booleans(),
    st.floats(0, math.tau),
    st.floats(0.5, 80),
    st.floats(0.05, 6.2),
    st.tuples(st.floats(-50, 50), st.floats(-50, 50)),
)


@given(arcs)
def test_an_arc_turned_by_a_quarter_has_its_box_turned(
    drawn: tuple[bool, float, float, float, tuple[float, float]],
) -> None:
    """Turning start, end and centre by 90 degrees keeps the length and swaps the sides of the envelope."""
    clockwise, angle, radius, sweep, centre = drawn
    start = (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))
    turned_start, turned_centre = (-start[1], start[0]), (-centre[1], centre[0])
    plain = read(HEAD + arc_text(clockwise, start, sweep, centre))
    turned = read(HEAD + arc_text(clockwise, turned_start, sweep, turned_centre))
    assert abs(move_lengths(plain.moves)[-1] - move_lengths(turned.moves)[-1]) < 1e-6
    assert abs(move_lengths(plain.moves)[-1] - math.hypot(radius * sweep, 1)) < 1e-6
    low, high = envelope(plain.moves, (2, 3))
    turned_low, turned_high = envelope(turned.moves, (2, 3))
    numbers = [low[0], low[1], high[0], high[1]]
    assert None not in numbers
    wanted = [-(high[1] or 0), low[0], -(low[1] or 0), high[0]]
    found = [turned_low[0], turned_low[1], turned_high[0], turned_high[1]]
    assert all(abs((a or 0) - (b or 0)) < 1e-6 for a, b in zip(found, wanted, strict=True))


@given(arcs)
def test_arcs_in_the_three_planes_are_one_geometry(
    drawn: tuple[bool, float, float, float, tuple[float, float]],
) -> None:
    """The same arc written in G17, G18 and G19, axes changed round in turn, has the same length and box."""
    clockwise, angle, radius, sweep, centre = drawn
    start = (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))
    flat = arc_text(clockwise, start, sweep, centre)
    boxes, lengths = [], []
    for plane, letters, order in ((17, "XYZIJK", (0, 1, 2)), (18, "ZXYKIJ", (2, 0, 1)), (19, "YZXJKI", (1, 2, 0))):
        table = str.maketrans("XYZIJK", letters)
        program = read(f"G21 G90 G94 G{plane}\nF100\n" + flat.translate(table))
        low, high = envelope(program.moves, (2, 3))
        boxes.append([low[axis] for axis in order] + [high[axis] for axis in order])
        lengths.append(move_lengths(program.moves)[-1])
    for box, length in zip(boxes, lengths, strict=True):
        assert abs(length - lengths[0]) < 1e-6
        assert all(abs((a or 0) - (b or 0)) < 1e-6 for a, b in zip(box, boxes[0], strict=True))


@given(arcs)
def test_radius_form_is_centre_form(drawn: tuple[bool, float, float, float, tuple[float, float]]) -> None:
    """R gives the arc that I and J give: positive up to half a turn, negative beyond (away from the delicate zones)."""
    clockwise, angle, radius, sweep, centre = drawn
    sweep = min(max(sweep, 0.1), 5.9)
    if abs(sweep - math.pi) < 0.2:
        return
    start = (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))
    by_centre = arc_text(clockwise, start, sweep, centre)
    by_radius = re.sub(r" I.*", f" R{radius if sweep < math.pi else -radius:.12f}", by_centre)
    one, two = read(HEAD + by_centre), read(HEAD + by_radius)
    assert abs(move_lengths(one.moves)[-1] - move_lengths(two.moves)[-1]) < 1e-4


cycle_holes = st.lists(st.tuples(place, place), min_size=1, max_size=6)


@given(cycle_holes, st.booleans(), st.integers(1, 40), st.sampled_from(["G98", "G99"]))
def test_a_drilling_cycle_equals_its_written_out_moves(
    holes: list[tuple[float, float]], pecks: bool, depth: int, back: str
) -> None:
    """G81 and G83 make exactly the moves that G0 and G1 make when the cycle is written out by hand."""
    bottom, clear = -depth / 2, 10.0 if back == "G98" else 2.0
    code = f"G83 Q{1.5}" if pecks else "G81"
    cycle = [HEAD, back, " ", f"{code} Z{bottom} R2 X{holes[0][0]} Y{holes[0][1]}\n"]
    cycle += [f"X{x} Y{y}\n" for x, y in holes[1:]]
    written, level = [HEAD], 10.0
    for x, y in holes:
        written.append(f"G0 X{x} Y{y}\n")
        if level != 2:
            written.append("G0 Z2\n")
        written += written_pecks(bottom, clear) if pecks else [f"G1 Z{bottom}\n"]
        written.append(f"G0 Z{clear}\n")
        level = clear
    assert close(read("".join(cycle)), read("".join(written)))


def written_pecks(bottom: float, clear: float) -> list[str]:
    """The strokes of G83 with Q1.5 from R2, gap 0.254."""
    lines, reached = [], 2.0
    while reached > bottom:
        if reached < 2.0:
            lines += [f"G0 Z{clear}\n", f"G0 Z{min(reached + 0.254, clear)}\n"]
        reached = max(reached - 1.5, bottom)
        lines.append(f"G1 Z{reached}\n")
    return lines


@given(cycle_holes, place, place)
def test_cycles_under_g91_equal_cycles_under_g90(holes: list[tuple[float, float]], x: float, y: float) -> None:
    """Holes given as steps from the last one are the holes given as places."""
    absolute = [HEAD, "G99\n"] + [f"G81 X{a} Y{b} Z-4 R2\n" for a, b in holes]
    incremental, at, level = [HEAD, "G99 G91\n"], (0.0, 0.0), 10.0
    for a, b in holes:
        incremental.append(f"G81 X{a - at[0]} Y{b - at[1]} Z-6 R{2 - level}\n")
        at, level = (a, b), 2.0
    assert close(read("".join(absolute)), read("".join(incremental)))


@given(points, place, place, place)
def test_shifting_the_zero_shifts_every_place(
    path: list[tuple[float, float, float]], dx: float, dy: float, dz: float
) -> None:
    """G92 and G10 L2 move the whole path by the difference they make, and nothing else."""
    lines = "".join(f"G1 X{x} Y{y} Z{z}\n" for x, y, z in path)
    plain = read(HEAD + lines)
    by_g10 = read(f"G10 L2 P1 X{dx} Y{dy} Z{dz}\n" + HEAD + lines)
    by_g92 = read(HEAD + f"G92 X{-dx} Y{-dy} Z{10 - dz}\n" + lines)
    for moved, behind in ((by_g10, 1), (by_g92, 1)):
        for one, two in zip(ends(plain)[behind:], ends(moved)[behind:], strict=True):
            assert math.dist((one[0] + dx, one[1] + dy, one[2] + dz), two) < 1e-6


numbers = st.one_of(
    st.integers(-99999, 99999).map(str),
    st.floats(-1000, 1000).map(lambda value: f"{value:.4f}"),
    st.sampled_from(["", "-", ".", "1e5", "[1+2]", "[", "#1", "##2", "SIN[30]", "[1/0]", "9" * 40, "1,5", "--3", "-0"]),
)
pieces = st.one_of(
    st.tuples(st.sampled_from("GGGGMMXXYYZZIJKRFSTPQLHDNOABCEUVW#%/"), numbers).map("".join),
    st.sampled_from([
        "G0", "G1", "G2", "G3", "G91", "G90", "G20", "G21", "G17", "G18", "G19", "G28", "G53", "G55", "G80", "G81",
        "G83", "G92", "G92.1", "G93", "G94", "G10 L2 P1", "G41", "G40", "G43 H1", "G38.2", "M2", "M3", "M5", "M6",
        "M98 P1", "(a)", "(", ")", ";", "%", "/", "#5=3", "O1 sub", "R2 Z-3 Q1", "F100", "S1000", "\x00", "\xe9",
    ]),
)  # fmt: skip
grammarish = st.lists(st.lists(pieces, max_size=7).map(" ".join), max_size=25).map("\n".join)
AROUND = Setup(
    stock=(0.0, 0.0, 200.0, 100.0), stock_top=0.0, stock_bottom=-18.0, safe_height=5.0, cutter_diameter=6.0, flutes=2,
    flute_length=22.0, stick_out=30.0, nut_diameter=20.0, run_up=3.0, speed_min=8000.0, speed_max=24000.0,
    clamps=(Clamp(name="clamp", outline=(90.0, -20.0, 110.0, 15.0), top=12.0),), travel_low=(0.0, 0.0, 0.0),
    travel_high=(600.0, 400.0, 80.0), feed_max_xy=3000.0, feed_max_z=800.0, rapid=5000.0, acceleration=400.0,
)  # fmt: skip


def survives(data: bytes, name: str, start: Start) -> None:
    """Nothing raises, the work is bounded, and every fact is of its kind and fit for JSON."""
    program = read_program([data], dialect(name), start)
    assert len(program.moves) <= (4 * MOST_STEPS + 10) * (data.count(b"G") + data.count(b"\n") + 1)
    facts = program_facts(program, AROUND)
    assert set(facts) == set(PROGRAM_FACTS)
    json.dumps(facts, allow_nan=False)
    json.dumps([finding.as_json() for finding in program.findings], allow_nan=False)
    for move in program.moves:
        assert len(move.end) == 3
    assert all(finding.severity and finding.mend for finding in program.findings)


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=400), st.sampled_from(DIALECTS))
def test_no_bytes_break_the_reader(data: bytes, name: str) -> None:
    """Whatever the bytes, the answer is a program with findings."""
    survives(data, name, Start())


@settings(max_examples=300, deadline=None)
@given(grammarish, st.sampled_from(DIALECTS), st.sampled_from([Start(), AT_ZERO, replace(AT_ZERO, feed=100.0)]))
@example("G1 F100 X1\nG2 X1 I0.0000001", "nist", AT_ZERO)
@example("G83 X1 Y1 Z-99999 R2 Q1 L5000 F1", "nist", AT_ZERO)
def test_no_words_break_the_reader(text: str, name: str, start: Start) -> None:
    """Lines made of real pieces in any order and number end as a program with findings, all facts in their kinds."""
    survives(text.encode("utf-8"), name, start)


@given(points)
def test_cut_envelope_holds_every_cut(path: list[tuple[float, float, float]]) -> None:
    """No end or start of a cutting move lies outside the cut envelope."""
    program = read(HEAD + "".join(f"G1 X{x} Y{y} Z{z}\n" for x, y, z in path))
    low, high = envelope(program.moves, CUTS)
    for move in program.moves:
        if move.kind != "rapid":
            for point in (move.start, move.end):
                assert all((low[axis] or 0) <= point[axis] <= (high[axis] or 0) for axis in range(3))
