"""What holds a freed piece, and what a cutter may turn, judged by what is really there."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from generator.program_check.cases import check_on_bench

HEAD = "G21 G90 G17 G94 G54 G40 G49\nM3 S16000\nG4 P5\nG0 Z20\nG0 X80 Y80\n"
TAIL = "G0 Z20\nM5\nM2\n"
# An L cut free; the notch of its box, where the waste stays with the sheet, is at X 120 to 280, Y 110 to 200.
ELL = "G1 Z-12.3 F300\nG1 X280 F1500\nG1 Y110\nG1 X120\nG1 Y200\nG1 X80\nG1 Y80\n"
FEET = {"size_x": "36 mm", "size_y": "24 mm", "height": "12 mm"}
SLOW = {"cutters.0.max_speed": "18000 rpm"}
BY_HAND = {"spindle.switching": "by-hand", "spindle.speed_control": "dial"}


def found(tmp_path: Path, body: str, job: dict[str, Any], machine: dict[str, Any] | None = None) -> set[str]:
    path = tmp_path / "bench.nc"
    path.write_text(HEAD + body + TAIL)
    return {finding.id for finding in check_on_bench(path, job, machine or {}).judged.findings}


@pytest.mark.parametrize(("x", "y", "held"), [(100, 150, True), (220, 170, False), (320, 240, False)])
def test_only_a_clamp_on_the_piece_itself_holds_it(tmp_path: Path, x: int, y: int, held: bool) -> None:
    """One on the waste in its notch lies within its box and holds nothing of it."""
    spot = {"kind": "threaded-inserts", "name": "one", "x": f"{x} mm", "y": f"{y} mm", **FEET}
    assert ("part-comes-free" in found(tmp_path, ELL, {"hold_downs": [spot]})) is not held


@pytest.mark.parametrize(("x", "finding"), [(330, "part-comes-free"), (100, "part-free-on-the-bed")])
def test_tape_holds_only_the_piece_it_lies_under(tmp_path: Path, x: int, finding: str) -> None:
    """A strip in a far corner makes no stop into a warning; one under the piece does."""
    tape = {"kind": "tape", "x": f"{x} mm", "y": "95 mm", "size_x": "20 mm", "size_y": "10 mm", "height": "0 mm"}
    names = found(tmp_path, ELL, {"hold_downs": [tape]})
    assert names & {"part-comes-free", "part-free-on-the-bed"} == {finding}


@pytest.mark.parametrize("control", ["dial", "commanded", "unknown"])
def test_every_speed_of_a_program_is_held_against_the_cutter(tmp_path: Path, control: str) -> None:
    """A later S counts, and so does one beside a speed the job says, whatever is known about how speed is set."""
    machine = BY_HAND | {"spindle.speed_control": control}
    later = found(tmp_path, "G1 Z-2 F300\nS22000\nG1 X90 F1500\n", SLOW, machine)
    beside = found(tmp_path, "S22000\nG1 Z-2 F300\n", {**SLOW, "operations.0.speed": "12000 rpm"}, machine)
    assert "cutter-too-fast-by-hand" in later & beside
    assert "cutter-too-fast-by-hand" not in found(tmp_path, "G1 Z-2 F300\n", SLOW, machine)


def test_the_shortest_run_up_of_all_starts_counts(tmp_path: Path) -> None:
    """A second start without a wait is as bad as a first."""
    again = "G1 Z-2 F300\nG0 Z20\nM5\nG0 Z2\nM3 S16000\nG1 Z-2 F900\n"
    assert "no-run-up" in found(tmp_path, again, {})
    assert "no-run-up" not in found(tmp_path, again.replace("M3 S16000\n", "M3 S16000\nG4 P9\n"), {})
