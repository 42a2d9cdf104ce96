"""Streams, ends, hostile input and everything the reader must survive."""

from __future__ import annotations

import math
import tracemalloc
from collections.abc import Iterator

import pytest

from generator.finding import Severity
from generator.program.cycles import MOST_STEPS
from generator.program.kind import file_kind
from generator.program.read import read_program
from generator.program.state import Start
from tests.program.make import dialect, ends, ids, read

HEAD = "G21 G90 G17 G94 G54 G40 G49\nG0 Z5\nG0 X0 Y0\nG1 Z-1 F300\n"


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("size", [1, 2, 3, 7, 64, 10_000])
def test_line_ends_and_chunk_sizes_make_no_difference(end: str, size: int) -> None:
    """LF, CRLF and CR, cut into chunks anywhere, give the same lines and the same moves."""
    text = HEAD + "G1 X10 Y5\n\n(a remark)\nG2 X20 Y5 I5 J0\nM5\nM2\n"
    data = text.replace("\n", end).encode()
    program = read_program([data[at : at + size] for at in range(0, len(data), size)], dialect())
    assert list(program.moves.line) == [2, 3, 4, 5, 8]
    assert program.lines == text.count("\n")


def test_a_last_line_without_line_end_is_read_and_told() -> None:
    """A file may end without a line end; the fact is kept because a cut-off file ends so too."""
    assert read(HEAD + "M2").end == "M2"
    assert not read(HEAD + "M2").last_line_ended
    assert read(HEAD + "M2\n").last_line_ended


@pytest.mark.parametrize(
    ("head", "kind"),
    [
        (b"", "empty"),
        (b"\xff\xfeG\x000\x00", "utf-16 text"),
        (b"G\x000\x00 \x00X\x001\x00", "utf-16 text"),
        (b"<!DOCTYPE html><html>", "web page"),
        (b"\n  <html>", "web page"),
        (b"<?xml version='1.0'?>", "xml"),
        (b"<svg width='10'>", "drawing"),
        (b'{"layers": []}', "json"),
        (b"%PDF-1.7", "document"),
        (b"PK\x03\x04abc", "archive"),
        (b"\x7fELF\x02\x01\x01\x00\x00", "binary"),
        (bytes(range(256)), "binary"),
        (b"G0 X1\n" + bytes(range(1, 9)) * 4, "binary"),
        (b"G0 X1\n", "program"),
        (b"\xef\xbb\xbfG0 X1\n", "program"),
        (b"%\nG0 X1\n", "program"),
        (b"(caf\xc3\xa9)\nG0 X1\n", "program"),
    ],
)
def test_wrong_kinds_of_file_are_known_by_their_start(head: bytes, kind: str) -> None:
    """Text in two-byte characters, web pages, pictures and the like are named and not interpreted."""
    assert file_kind(head) == kind
    program = read_program([head], dialect())
    if kind != "program":
        assert len(program.moves) == 0
        assert [finding.severity for finding in program.findings] == [Severity.STOP]
        assert ids(program) <= {"wrong-kind-of-file", "nothing-in-file"}


def test_a_byte_order_mark_is_noted_and_the_first_line_read() -> None:
    """The invisible mark some editors write does not hide the first line."""
    program = read_program([b"\xef\xbb\xbfG21 G90 G0 X7\nM2\n"], dialect())
    assert "byte-order-mark" in ids(program)
    assert program.final.at[0] == 7


def giant_line(prefix: bytes, megabytes: int) -> Iterator[bytes]:
    yield HEAD.encode()
    yield prefix
    for _ in range(megabytes):
        yield b"x" * 1_000_000
    yield b"\nG0 Z5\nM2\n"


@pytest.mark.parametrize("prefix", [b"(", b"G1 X", b";", b"", b"#"])
def test_memory_does_not_grow_with_a_line(prefix: bytes) -> None:
    """A line of 50 MB, comment or not, is a finding and takes no more than a few megabytes."""
    tracemalloc.start()
    try:
        program = read_program(giant_line(prefix, 50), dialect())
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert "line-beyond-reading" in ids(program)
    assert program.end == "M2"
    assert peak < 4_000_000


def test_an_endless_file_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    """A stream that never ends stops being read at the limits, with a finding."""
    monkeypatch.setattr("generator.program.lines.MOST_BYTES", 5_000_000)
    monkeypatch.setattr("generator.program.read.MOST_LINES", 100_000)

    def endless(line: bytes) -> Iterator[bytes]:
        while True:
            yield line * 1000

    assert "cannot-judge-length" in ids(read_program(endless(b"(a)\n"), dialect()))
    assert "cannot-judge-length" in ids(read_program(endless(b"G1 X1 F1 "), dialect()))


def test_few_bytes_cannot_ask_for_endless_moves(monkeypatch: pytest.MonkeyPatch) -> None:
    """A cycle goes on with two bytes a line and thousands of pecks each; it ends at the limit, not at the next block."""
    monkeypatch.setattr("generator.program.read.MOST_MOVES", 20_000)
    program = read(HEAD + "G83 X1 Y1 Z-49 R1 Q0.01 F100\n" + "X2\nX1\n" * 5_000)
    assert "cannot-judge-length" in ids(program)
    assert len(program.moves) < 20_000 + 3 * MOST_STEPS


HOSTILE = {
    "1e400": ("G1 X1e400", "exponent-number"),
    "digits": ("G1 X" + "9" * 400, "number-too-large"),
    "nul": ("G1 X1\x00Y2", "control-character"),
    "brackets": ("G1 X" + "[" * 2000 + "1" + "]" * 2000, "nested-too-deeply"),
    "hashes": ("G1 X" + "#" * 2000 + "1", "nested-too-deeply"),
    "functions": ("G1 X" + "SIN[" * 500 + "1" + "]" * 500, "nested-too-deeply"),
    "power": ("G1 X[9**9**9**9]", "no-answer"),
    "exp": ("G1 X EXP[100000]", "no-answer"),
    "zero": ("G1 X[1/0]", "no-answer"),
    "root": ("G1 X SQRT[-1]", "no-answer"),
    "fraction of negative": ("G1 X[[0-8]**0.5]", "no-answer"),
    "open": ("G1 X[1+2", "expression-not-closed"),
    "operator": ("G1 X[1?2]", "unknown-operator"),
    "comma": ("G1 X12,5", "decimal-comma"),
    "a word behind many blanks": ("G1 X1" + " " * 5000 + "Y5", "line-beyond-reading"),
    "sign": ("G1 X1 $5", "character-not-allowed"),
    "loop": ("O100 WHILE [1 EQ 1]", "cannot-judge-subprogram"),
    "while": ("WHILE [#1 LT 10] DO1", "cannot-judge-loop"),
    "goto": ("GOTO 10", "cannot-judge-loop"),
    "call": ("M98 P1000 L99999999", "cannot-judge-subprogram"),
    "repeats": ("G81 X1 Y1 Z-1 R2 L999999999", "cycle-too-long"),
    "pecks": ("G83 X1 Y1 Z-100 R2 Q0.0000001", "cycle-too-long"),
    "parameter": ("#99999=1", "parameter-number-out-of-range"),
    "setting": ("#5=", "number-missing"),
    "no equals": ("#5 7", "equals-missing"),
    "tangent": ("G1 X ATAN[1]", "atan-without-second-part"),
    "closed": ("G1 X1)", "comment-not-opened"),
    "g": ("G999999 X1", "unknown-g-code"),
    "negative g": ("G-1 X1", "negative-not-allowed"),
    "part of m": ("M3.5", "unknown-m-code"),
}


@pytest.mark.parametrize(("line", "id"), HOSTILE.values(), ids=HOSTILE)
def test_hostile_lines_end_with_a_finding_on_their_line(line: str, id: str) -> None:
    """Each is a stop that shows line and text, and reading goes on behind it."""
    remarks = "(a remark, so that the first bytes are plain text)\n" * 60
    program = read(HEAD + remarks + line + "\nG0 Z5\nM2\n")
    found = {finding.id: finding for finding in program.findings}
    assert found[id].severity is Severity.STOP
    assert found[id].line == 65
    assert found[id].text
    assert program.end == "M2"


def test_a_million_different_faults_do_not_fill_the_memory() -> None:
    """Faults are worded once; past a limit they share an entry, and the count goes on."""
    program = read("".join(f"G{number}\nM{number}\n" for number in range(100, 20_100)))
    assert len(program.findings) < 200
    assert program.tally["faulty-lines"] == 40_000
    assert sum(len(finding.lines) for finding in program.findings) < 20_000


def test_a_line_that_is_not_carried_out_leaves_its_axes_unknown() -> None:
    """Nothing is repaired: behind a faulty line the axes it names stand somewhere unknown until named again."""
    program = read(HEAD + "G1 X10 Y\nG1 X20\nG1 Y5\nM2\n")
    assert [tuple(map(math.isnan, move.end)) for move in program.moves][-2:] == [
        (False, True, False),
        (False, False, False),
    ]


def test_an_unknown_start_stays_unknown_until_the_program_says_more() -> None:
    """Without a known start the first lift leaves X and Y open, and incremental moves keep them so."""
    program = read_program([b"G21 G91 G94\nG0 Z5\nG0 X10\nG90\nG0 X10 Y10 Z5\nM2\n"], dialect(), Start())
    assert math.isnan(ends(program)[1][0])
    assert ends(program)[2] == (10, 10, 5)


def test_an_arc_that_ends_in_the_direction_of_its_start_is_a_full_circle() -> None:
    """An end a thousandth further out leaves no angle to turn through but all of it: the larger path is the careful answer."""
    program = read(HEAD + "G1 X150 Y100\nG2 X150.001 Y100 I-10 J0\nM2\n")
    (arc,) = [move.arc for move in program.moves if move.arc]
    assert arc.sweep == pytest.approx(-math.tau)


def test_lines_marked_for_deletion_are_read_both_ways() -> None:
    """With the switch on, lines marked / are left out; both readings count them."""
    text = "G21 G90 G94\nG0 Z5\n/G0 Z30\nG0 X20\nM2\n"
    assert max(end[2] for end in ends(read(text))) == 30
    assert max(end[2] for end in ends(read(text, carry_deleted=False))) == 5
    assert read(text).deleted_lines == read(text, carry_deleted=False).deleted_lines == 1


def test_percent_fences() -> None:
    """A % at start and end is a fence, text behind the second is ignored, a % inside ends the program."""
    assert read("%\nG21 G90 G0 X1\n%\nG0 X9\n").end == "%"
    assert "percent-inside" in ids(read("G21 G90 G0 X1\n%\nG0 X9\n"))
    assert "percent-not-closed" in ids(read("%\nG21 G90 G0 X1\nM2\n"))
    assert len(read("%\nG21 G90 G0 X1\n%\nG0 X9\n").moves) == 1


def test_a_second_zero_that_nobody_measured_cannot_be_judged() -> None:
    """G55 after the first move is unknown; G55 before it is simply the job's zero."""
    late = read_program([b"G21 G90 G54 G94\nG0 X1 Y1 Z5\nG55\nG0 X2 Y2\nM2\n"], dialect())
    early = read_program([b"G21 G90 G55 G94\nG0 X1 Y1 Z5\nM2\n"], dialect())
    assert "cannot-judge-system" in ids(late)
    assert math.isnan(late.final.at[0])
    assert ends(early) == [(1, 1, 5)]
    assert not {id for id in ids(early) if id.startswith("cannot")}


def test_machine_coordinates_need_the_jobs_zero() -> None:
    """G53 Z0 with an unknown zero is said to be unjudged; with a known one it leads where it should."""
    text = b"G21 G90 G94 G54\nG0 X1 Y1 Z5\nG53 G0 Z-1\nM2\n"
    assert "cannot-judge-machine-coordinates" in ids(read_program([text], dialect()))
    known = read_program([text], dialect(), Start(zero=(-300.0, -200.0, -60.0)))
    assert known.final.at == [1, 1, 59]


def test_g92_at_an_unknown_place_takes_the_cutter_to_stand_at_the_zero() -> None:
    """Many programs begin so; it is told, and the moves behind it can be judged."""
    program = read_program([b"G21 G90 G94\nG92 X0 Y0 Z0\nG0 Z5\nG0 X10 Y0\nM2\n"], dialect())
    assert "zero-set-where-cutter-stands" in ids(program)
    assert ends(program)[-1] == (10, 0, 5)


def test_feeds_of_inch_programs_are_kept_in_millimetres() -> None:
    """F10 under G20 is 254 mm/min on every line, first or later, with F said again or not."""
    program = read("G20 G90 G17 G94\nG1 X1 F10\nX2\nX3 F20\nG2 X4 Y0 I0.5 J0\nX3 F10 I-0.5\nM2\n")
    assert [move.feed for move in program.moves] == pytest.approx([254, 254, 508, 508, 254])


def test_a_feed_does_not_outlive_its_mode() -> None:
    """Behind a change between G93 and G94 the next cut needs its own F; saying G94 again changes nothing."""
    assert "no-feed" in ids(read("G21 G90 G94 F100\nG93 G1 X1 F2\nG94\nG1 X2\nM2\n"))
    assert "no-feed" not in ids(read("G21 G90 G94 F100\nG94\nG1 X2\nM2\n"))


def test_a_tool_change_leaves_the_spindle_off() -> None:
    """A cycle that needs a turning spindle is refused behind M6 until M3 comes again (NISTIR 6556, 3.6.3)."""
    cycle = "G86 X1 Y1 Z-1 R2 P1 F100\n"
    assert "cycle-needs-spindle" in ids(read(HEAD + "M3 S9000\nT1 M6\n" + cycle + "M2\n"))
    assert "cycle-needs-spindle" not in ids(read(HEAD + "T1 M6\nM3 S9000\n" + cycle + "M2\n"))


def test_decimal_points_are_noticed_in_every_kind_of_line() -> None:
    """Some old controls read X100 as 0.1 mm, so a file without any point must be known as such."""
    assert not read(HEAD + "G1 X10\nX20\nM2\n").tally["point"]
    assert read(HEAD + "G1 X10\nX20.\nM2\n").tally["point"]
    assert read(HEAD + "G2 X10 Y0 I5.0\nM2\n").tally["point"]


def test_the_stores_give_back_what_was_read() -> None:
    """Moves carry line, kind, start, end and feed; arcs their geometry; codes their order."""
    program = read(HEAD + "T1 M6\nM3 S18000\nG1 X10 F1200\nG2 X20 Y0 I5 J0\nM2\n")
    moves = list(program.moves)
    assert [move.kind for move in moves] == ["rapid", "rapid", "feed", "feed", "arc-cw"]
    assert moves[3].start == (0, 0, -1)
    assert moves[3].end == (10, 0, -1)
    assert moves[3].feed == 1200
    assert moves[4].arc is not None
    assert moves[4].arc.centre == (15, 0)
    assert [event.code for event in program.events if event.code[0] in "TMS"] == ["T", "M6", "S", "M3", "M2"]
