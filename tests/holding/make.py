"""Jobs for the holding tests: the demo workshop, copied and changed, worked out as `onionskin plan` does."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from generator.cli import main
from generator.course import demo_folder
from generator.holding.answer import Holding, Unanswered
from generator.job_plan import plan_job

JOBS = {"heron": "dibber-board", "wren": "dibber-board-wren", "bittern": "dibber-board-bittern"}


def copied(tmp_path: Path) -> Path:
    """A copy of the demo workshop to spoil."""
    shutil.copytree(demo_folder(), tmp_path / "w")
    return tmp_path / "w"


def changed(folder: Path, file: str, pattern: str, to: str) -> None:
    """Replace all that matches in one file of the workshop; something must."""
    path = folder / file
    text = path.read_text("utf-8")
    new = re.sub(pattern, to, text, flags=re.MULTILINE)
    assert new != text, f"nothing in {file} matches {pattern}"
    path.write_text(new, "utf-8")


def job_path(folder: Path, machine: str = "heron") -> Path:
    """The job file of one machine."""
    return folder / "jobs" / f"{JOBS[machine]}.yml"


def worked(folder: Path, machine: str = "heron", layout: list[tuple[float, float]] | None = None) -> Holding:
    """The holding of a job that can be worked out."""
    found = plan_job(job_path(folder, machine), layout).holding
    assert isinstance(found, Holding)
    return found


def unanswered(folder: Path, machine: str = "heron") -> Unanswered:
    """The holding of a job of which too little is known."""
    found = plan_job(job_path(folder, machine)).holding
    assert isinstance(found, Unanswered)
    return found


def ids(found: Holding | Unanswered) -> list[str]:
    """The names of its findings."""
    return [finding.id for finding in found.findings]


def run(*arguments: str) -> Result:
    """`onionskin` with these arguments."""
    return CliRunner().invoke(main, list(arguments))


def document(path: Path, *more: str) -> dict[str, Any]:
    """What `onionskin plan --json` says of a job."""
    found: dict[str, Any] = json.loads(run("plan", str(path), "--json", *more).stdout)
    return found
