"""Whatever a file holds, the check ends with a verdict: programs out of a grammar, damaged ones, and noise."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from generator.course import demo_folder
from generator.program_check.cases import bench, check_on_bench
from generator.program_check.report import as_json, as_lines
from generator.program_check.run import Checked
from generator.program_check.sheet import sheet_of

NUMBER = st.one_of(
    st.integers(-400, 400).map(str), st.floats(-500, 500).map(lambda value: f"{value:.3f}"),
    st.sampled_from(["0", "-0", ".5", "5.", "1e400", "99999999999", "#1", "[1/0]", "[2*[3+4]]", ""]),
)  # fmt: skip
LETTER = st.sampled_from("GGGMMXXYYZZFSTIJKRPQLHNDEAUO")
CODE = st.sampled_from([
    "G0", "G1", "G2", "G3", "G4", "G10", "G17", "G18", "G20", "G21", "G28", "G38.2", "G41", "G43", "G53", "G54", "G55",
    "G81", "G83", "G90", "G91", "G92", "G93", "M0", "M2", "M3", "M4", "M5", "M6", "M8", "M30", "M49", "M98", "T2",
])  # fmt: skip
OTHER = st.sampled_from(["(note)", "(M3)", ";", "%", "/", "(open"])
WORD = st.one_of(CODE, st.tuples(LETTER, NUMBER).map("".join), OTHER)
LINE = st.lists(WORD, max_size=7).map(" ".join)
MOVE = st.tuples(
    st.sampled_from(["G0", "G1", "G1", ""]), st.floats(-20, 380), st.floats(-20, 280), st.floats(-14, 25)
).map(lambda move: f"{move[0]} X{move[1]:.2f} Y{move[2]:.2f} Z{move[3]:.2f}")
PROGRAM = st.lists(st.one_of(MOVE, MOVE, LINE), max_size=40).map("\n".join)
HEAD, GROOVE, END = "G21 G90 G94\nM3 S16000\nG0 Z20\n", "G0 X60 Y65\nG1 Z-2 F300\nG1 X90 F900\n", "G0 Z20\nM5\nM2\n"
NOISE = st.binary(max_size=600)
SETTINGS = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)
UNKNOWN_JOB = {"stock": "unknown", "zero": "unknown", "hold_downs": "unknown", "safe_height": "unknown",
               "operations": []}  # fmt: skip
UNKNOWN_MACHINE = {"travel": "unknown", "spindle": "unknown", "feed": "unknown", "controller": "unknown",
                   "homing": "unknown", "bed": "unknown", "stop": "unknown"}  # fmt: skip


WRONG_KIND = {id_ for id_, check in bench().library.checks.items() if check.wrong_kind}


def check(data: bytes, folder: Path, *, known: bool = True) -> str:
    """The verdict. Report, data and sheet come out beside it, and it fits what was found."""
    path = folder / "program.nc"
    path.write_bytes(data)
    checked = check_on_bench(path) if known else check_on_bench(path, UNKNOWN_JOB, UNKNOWN_MACHINE)
    hold_verdict(checked)
    assert all(0 < line <= checked.program.lines for finding in checked.judged.findings for line in finding.lines)
    json.dumps(as_json(checked), allow_nan=False)
    assert list(as_lines(checked, lambda word, _: word))
    assert sheet_of(checked, date(2026, 3, 31)).endswith("</html>")
    return checked.judged.verdict


def hold_verdict(checked: Checked) -> None:
    """Stop exactly where a finding stops, ask exactly where something is open and nothing stops; what is no program
    is told by one finding alone."""
    judged = checked.judged
    stops = any(finding.severity == "stop" for finding in judged.findings)
    if judged.verdict == "wrong-kind":
        (alone,) = judged.findings
        assert alone.id in WRONG_KIND
        assert stops
        assert judged.asked == ()
        return
    assert not WRONG_KIND & {finding.id for finding in judged.findings}
    assert (judged.verdict == "stop") == stops
    assert (judged.verdict == "ask") == (bool(judged.asked) and not stops)


@pytest.mark.parametrize(
    ("data", "known", "verdict"),
    [(f"{HEAD}{GROOVE}{END}".encode(), True, "pass"), (f"{HEAD}{GROOVE}{END}".encode(), False, "ask"),
     (f"{HEAD}{GROOVE}".encode(), False, "stop"), (b"%PDF-1.7\n" * 9, False, "wrong-kind")],
    ids=["pass", "ask", "stop", "wrong kind"],
)  # fmt: skip
def test_every_verdict_can_come_out(tmp_path: Path, data: bytes, known: bool, verdict: str) -> None:
    """What the drawn programs are made of reaches each of the four."""
    assert check(data, tmp_path, known=known) == verdict


@SETTINGS
@given(PROGRAM, st.sampled_from(["", END]), st.booleans())
def test_programs_out_of_a_grammar(tmp_path: Path, text: str, end: str, known: bool) -> None:
    """Moves among every code and every slip of the hand, on a machine that is known and on one that is not."""
    check(f"{HEAD}{text}\n{end}".encode(), tmp_path, known=known)


@SETTINGS
@given(NOISE)
def test_noise(tmp_path: Path, data: bytes) -> None:
    """Any bytes at all."""
    check(data, tmp_path)


@SETTINGS
@given(st.integers(0, 20_000), st.integers(1, 4000), st.binary(max_size=8))
def test_damaged_programs(tmp_path: Path, at: int, cut: int, put: bytes) -> None:
    """A good program with a piece cut out and another put in: a bad stick, a broken transfer."""
    data = (demo_folder() / "programs" / "dibber-board.nc").read_bytes()
    check(data[:at] + put + data[at + cut :], tmp_path)


@pytest.mark.parametrize(
    "data",
    [b"\n" * 20_000, b"(" * 100_000, b"G1 " * 50_000, b"G1 X" + b"[" * 5000 + b"1" + b"]" * 5000, b"\0" * 5000,
     b"X1Y1Z1\r" * 3000, b"G2 X1 Y1 R1\n" * 3000, b"\xef\xbb\xbfG21\n", "G1 X1 (höhe)\n".encode("latin-1") * 100],
    ids=["lines", "brackets", "codes", "depth", "zeros", "returns", "arcs", "mark", "letters"],
)  # fmt: skip
def test_hostile_shapes(tmp_path: Path, data: bytes) -> None:
    """Shapes that make readers slow or recursive end like any other."""
    check(data, tmp_path)
