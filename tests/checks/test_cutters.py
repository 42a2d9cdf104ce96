"""Which cutter a program is judged for: the one it names, the one somebody names, and each of several by itself."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from generator.program_check import Checked
from generator.program_check.cases import check_on_bench
from tests.checks.test_command import JOB, change, run, workshop

__all__ = ["workshop"]
SIX = {"id": "six-up", "name": "six", "number": 1, "kind": "upcut-spiral", "diameter": "6 mm", "shank": "6 mm", "flutes": 2,
       "flute_length": "22 mm", "stick_out": "32 mm", "max_speed": "28000 rpm"}  # fmt: skip
THREE = SIX | {"id": "three-up", "name": "three", "number": 2, "diameter": "3 mm", "flute_length": "8 mm",
               "stick_out": "20 mm", "max_speed": "14000 rpm"}  # fmt: skip
MACHINE = {"controller.dialect": "nist", "tool_change.kind": "stops-and-asks"}
HEAD = "G21 G90 G17 G94 G54 G40 G49\n"
WITH_SIX = "M3 S16000\nG4 P5\nG0 Z20\nG0 X60 Y65\nG1 Z-2 F300\nG1 X90 F1600\nG0 Z20\nM5\n"
WITH_THREE = "M3 S12000\nG4 P5\nG0 Z20\nG0 X60 Y105\nG1 Z-1 F200\nG1 X90 F800\nG0 Z20\nM5\n"
# All checks whose answer hangs on the cutter itself would see the wrong one here, if any did.
OF_THE_CUTTER = {"chip-rubbing", "chip-small", "chip-large", "chip-far-too-large", "step-too-deep", "step-far-too-deep",
                 "plunge-deep", "flutes-too-short", "cutter-too-fast"}  # fmt: skip


def checked(tmp_path: Path, body: str, *cutters: dict[str, Any], operations: Any = ()) -> Checked:
    path = tmp_path / "bench.nc"
    path.write_text(f"{HEAD}{body}M2\n")
    return check_on_bench(path, {"cutters": list(cutters), "operations": list(operations)}, MACHINE)


def said(result: Checked) -> list[tuple[str, str]]:
    return [(finding.id, finding.says) for finding in result.judged.findings]


def of_the_cutter(result: Checked) -> set[str]:
    return {finding.id for finding in result.judged.findings} & OF_THE_CUTTER


@pytest.mark.parametrize("naming", ["T2 M6\n", "T2\n"])
def test_a_file_for_the_second_cutter_is_judged_for_the_second(tmp_path: Path, naming: str) -> None:
    """What is right for 3 mm is found right, although the job lists the 6 mm cutter first."""
    result = checked(tmp_path, naming + WITH_THREE, SIX, THREE)
    assert result.facts["cutter.diameter"] == 3.0
    assert of_the_cutter(result) == set()
    assert of_the_cutter(checked(tmp_path, "T1 M6\n" + WITH_THREE, SIX, THREE)) == {"chip-small"}


def test_the_order_in_the_job_changes_nothing_for_a_program_that_names_its_cutters(tmp_path: Path) -> None:
    """Neither findings nor questions."""
    body = f"T1 M6\n{WITH_SIX}T2 M6\nM0\n{WITH_THREE}"
    one, other = checked(tmp_path, body, SIX, THREE), checked(tmp_path, body, THREE, SIX)
    assert (said(one), one.judged.asked) == (said(other), other.judged.asked)


def test_a_cutter_the_program_does_not_use_changes_nothing(tmp_path: Path) -> None:
    """However many more the job lists."""
    alone, among = (checked(tmp_path, f"T1 M6\n{WITH_SIX}", *cutters) for cutters in ([SIX], [THREE, SIX]))
    assert (said(alone), alone.judged.asked) == (said(among), among.judged.asked)


def test_each_of_two_cutters_is_judged_by_its_own_size_in_its_own_lines(tmp_path: Path) -> None:
    """Speed, depth of pass and length of edges are wrong for the 3 mm cutter alone, and only its lines are named."""
    deep = WITH_THREE.replace("S12000", "S15000").replace("Z-1 ", "Z-10 ")
    result = checked(tmp_path, f"T1 M6\n{WITH_SIX}T2 M6\nM0\n{deep}", SIX, THREE)
    found = {finding.id: finding for finding in result.judged.findings if finding.id in OF_THE_CUTTER}
    assert found.keys() >= {"cutter-too-fast", "flutes-too-short", "step-far-too-deep"}
    assert all(finding.says.startswith("three (T2): ") for finding in found.values())
    assert found["step-far-too-deep"].line == 17
    assert "15000" in found["cutter-too-fast"].says.replace(" ", "").replace("\u202f", "")


def test_of_a_cutter_the_job_does_not_know_nothing_is_taken_for_known(tmp_path: Path) -> None:
    """What hangs on it is asked, by its number, and the verdict is no pass."""
    result = checked(tmp_path, f"T1 M6\n{WITH_SIX}T9 M6\nM0\n{WITH_THREE}", SIX, THREE)
    asked = {(one.fact, one.whose) for one in result.judged.asked}
    assert {
        ("cutter.diameter", "Cutter (T9)"),
        ("cutter.flutes", "Cutter (T9)"),
        ("cutter.max_speed", "Cutter (T9)"),
    } <= asked
    assert result.judged.verdict == "ask"
    only_strange = checked(tmp_path, f"T9 M6\n{WITH_SIX}", SIX, THREE)
    assert ("cutter.flutes", "Cutter (T9)") in {(one.fact, one.whose) for one in only_strange.judged.asked}


def test_only_the_cuts_of_the_cutters_in_use_are_compared_with_the_job(tmp_path: Path) -> None:
    """A file for one of two cutters is not blamed for what the other is to cut."""
    cuts = [
        {"name": "slot", "cutter": "six-up", "kind": "on-line", "shape": {"form": "rectangle", "x": "60 mm",
         "y": "65 mm", "size_x": "30 mm", "size_y": "1 mm"}, "depth": "2 mm"},
        {"name": "frame", "cutter": "three-up", "kind": "on-line", "shape": {"form": "rectangle", "x": "20 mm",
         "y": "20 mm", "size_x": "300 mm", "size_y": "200 mm"}, "depth": "1 mm"},
    ]  # fmt: skip
    result = checked(tmp_path, f"T1 M6\n{WITH_SIX}", SIX, THREE, operations=cuts)
    assert "other-job" not in {finding.id for finding in result.judged.findings}
    assert result.facts["fit.job_mismatch"] == pytest.approx(1.0)


def test_a_file_that_names_no_cutter_can_be_given_one(workshop: Path, tmp_path: Path) -> None:
    """Without, the report says which it took; with, that one is judged; an unknown one ends with 2 and the names."""
    second = (
        "  - {id: three-up, number: 2, kind: upcut-spiral, diameter: 3 mm, flutes: 2, stick_out: 20 mm}\n\noperations:"
    )
    job = change(workshop / "jobs" / JOB.name, "\noperations:", second)
    change(job, "    cutter: six-up\n    kind: pocket", "    cutter: three-up\n    kind: pocket")
    program = tmp_path / "pocket.nc"
    program.write_text(f"{HEAD}{WITH_THREE}M2\n")
    assert "the file names none" in run(program, "--job", job).output
    named = run(program, "--job", job, "--cutter", "three-up").output
    assert "names none" not in named
    assert "with the cutter three-up (T2)" in named
    wrong = run(program, "--job", job, "--cutter", "four")
    assert wrong.exit_code == 2
    assert "six-up, three-up" in wrong.output
