"""The firing and silent case of a check, run on the bench of content/checks/bench with the changes a case names."""

from __future__ import annotations

import copy
import tempfile
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from generator.library import Library
from generator.load_content import content_folder, load_some
from generator.load_workshop import JobCase, load_job
from generator.model import Job, Machine
from generator.model.check import Case
from generator.program_check.run import KINDS, Checked, check_case
from generator.program_check.source import open_source
from generator.yamlread import read_document

BENCH = "bench"
HEAD = "G21 G90 G17 G94 G54 G40 G49\nM3 S16000\nG4 P5\nG0 Z20\nG0 X60 Y65\n"
TAIL = "G0 Z20\nM5\nM2\n"


class Bench(Struct, frozen=True):
    """Job and machine of the bench, as values and as plain data to be changed."""

    case: JobCase
    library: Library
    folders: Sequence[Path]
    job: Mapping[str, Any]
    machine: Mapping[str, Any]


@cache
def bench() -> Bench:
    """The bench every case starts from."""
    path = content_folder() / "checks" / BENCH / "jobs" / f"{BENCH}.yml"
    case, folders = load_job(path), [content_folder()]
    return Bench(case, load_some(folders, KINDS), folders, read_document(path).data, case.home.documents[BENCH])


def text_of(case: Case) -> str:
    """The whole program of a case."""
    return case.program if case.program is not None else f"{HEAD}{case.body}{TAIL}"


def run_case(case: Case) -> Checked:
    """The check of a case's program on the bench."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / (case.file or f"{BENCH}.nc")
        path.write_text(text_of(case), encoding="utf-8", newline="")
        return check_on_bench(path, case.job, case.machine)


def check_on_bench(
    path: Path, job: Mapping[str, Any] | None = None, machine: Mapping[str, Any] | None = None
) -> Checked:
    """The check of the program at `path` on the bench, with job and machine changed by dotted path."""
    at = bench()
    changed = replace(
        at.case,
        job=Job.model_validate(_changed(at.job, job or {})),
        machine=Machine.model_validate(_changed(at.machine, machine or {})),
    )
    return check_case(open_source(path), changed, at.library, at.folders)


def _changed(data: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    new = copy.deepcopy(dict(data))
    for path, value in changes.items():
        *way, last = path.split(".")
        place: Any = new
        for step in way:
            place = place[int(step)] if isinstance(place, list) else place.setdefault(step, {})
        place[last] = value
    return new
