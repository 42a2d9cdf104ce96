"""A corpus of our own programs with what the check says about each, and the demo's programs on their machines."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from generator.course import demo_folder
from generator.program_check import check_program
from generator.program_check.cases import check_on_bench
from generator.program_check.run import Checked

PROGRAMS = Path(__file__).parent.parent / "programs"
EXPECTED: dict[str, dict[str, Any]] = yaml.safe_load((Path(__file__).parent / "corpus.yml").read_text(encoding="utf-8"))
DEMO_JOBS = ("dibber-board", "dibber-board-wren", "dibber-board-bittern")


def checked(name: str) -> Checked:
    entry = EXPECTED[name]
    return check_on_bench(PROGRAMS / f"{name}.nc", entry.get("job"), entry.get("machine"))


def test_every_program_has_its_expectation() -> None:
    """None lies about unlooked at."""
    assert {path.stem for path in PROGRAMS.glob("*.nc")} == set(EXPECTED)


@pytest.mark.parametrize("name", EXPECTED)
def test_a_program_gets_its_verdict_and_its_findings(name: str) -> None:
    """Exactly these stops and warnings, no more and no fewer."""
    judged = checked(name).judged
    assert judged.verdict == EXPECTED[name]["verdict"]
    assert {finding.id for finding in judged.findings if finding.severity != "note"} == set(EXPECTED[name]["findings"])


@pytest.mark.parametrize("name", [name for name in EXPECTED if name.startswith("clean")])
def test_an_ordinary_program_is_not_stopped(name: str) -> None:
    """However it is written: fenced, numbered, terse, in inches, in arcs, in short pieces, incremental, in cycles."""
    assert checked(name).judged.verdict in ("pass", "ask")


@pytest.mark.parametrize("job", DEMO_JOBS)
def test_the_demo_programs_pass_on_their_machines(job: str) -> None:
    """No stop, no warning, and nothing left to ask."""
    folder = demo_folder()
    result = check_program(folder / "programs" / f"{job}.nc", folder / "jobs" / f"{job}.yml")
    assert result.judged.verdict == "pass"
    assert [finding for finding in result.judged.findings if finding.severity != "note"] == []
    assert result.facts["fit.job_names_file"] is True
    assert result.facts["fit.loose_parts"] == 0
    assert result.facts["fit.job_mismatch"] == pytest.approx(0, abs=1e-6)


def test_the_demo_programs_are_written_for_a_person() -> None:
    """Comments, units, a lift first, no line too long for a small controller."""
    for job in DEMO_JOBS:
        lines = (demo_folder() / "programs" / f"{job}.nc").read_text(encoding="ascii").splitlines()
        assert lines[0].startswith("(")
        assert any(line.startswith("G21") for line in lines)
        assert max(map(len, lines)) <= 80
