"""No command writes over a file it did not make, and every command may replace its own."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from generator.cli import main
from generator.course import demo_folder

JOB = "jobs/dibber-board.yml"
PROGRAM = "programs/dibber-board.nc"
COMMANDS = {
    "mine.html": ["build", ".", "--one-file"],
    "sheet.html": ["check", PROGRAM, "--job", JOB, "-o"],
    "rehearsal.html": ["rehearse", PROGRAM, "--job", JOB, "-o"],
    "bed.svg": ["plan", JOB, "-o"],
    "bed.html": ["plan", JOB, "-o"],
    "bank.zip": ["export", "qti21", ".", "-o"],
}


@pytest.fixture
def workshop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the demo workshop, in which the commands run."""
    folder = Path(shutil.copytree(demo_folder(), tmp_path / "w"))
    monkeypatch.chdir(folder)
    return folder


@pytest.mark.parametrize("name", COMMANDS)
def test_a_file_of_somebody_else_is_kept_and_ones_own_is_replaced(name: str, workshop: Path) -> None:
    """Exit code 2 and the file untouched; with the command's own work in its place it runs again."""
    target = workshop / name
    target.write_text("my own work")
    refused = CliRunner().invoke(main, [*COMMANDS[name], name])
    assert (refused.exit_code, target.read_text()) == (2, "my own work")
    assert "did not make" in refused.output
    target.unlink()
    first = CliRunner().invoke(main, [*COMMANDS[name], name])
    written = target.read_bytes()
    again = CliRunner().invoke(main, [*COMMANDS[name], name])
    assert (first.exit_code, again.exit_code) == (0, 0), again.output
    assert len(target.read_bytes()) == len(written)


def test_an_exam_never_takes_the_place_of_a_real_program(workshop: Path) -> None:
    """A folder with anything else in it is refused before anything is written; an older exam is replaced."""
    own = workshop / "programs" / "program.nc"
    own.write_text("my own work")
    refused = CliRunner().invoke(main, ["exam", JOB, "--seed", "5", "-o", "programs"])
    assert (refused.exit_code, own.read_text()) == (2, "my own work")
    for seed in ("5", "6"):
        assert CliRunner().invoke(main, ["exam", JOB, "--seed", seed, "-o", "exam"]).exit_code == 0
    assert (workshop / "exam" / "marking.html").is_file()
