"""What `onionskin exam` does: a job's own clean program, one fault planted by the seed, and the papers to print."""

from __future__ import annotations

import copy
import hashlib
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace
from pydantic import ValidationError

from generator.course import Course, content_folders, load_course
from generator.errors import OnionskinError
from generator.exam.draw import draw
from generator.exam.lines import numbered
from generator.exam.plant import Planted
from generator.finding import Finding, Severity
from generator.load_workshop import JobCase, home_of_job
from generator.model import Job
from generator.model.exam import Move
from generator.pages.exam import Exam, exam_papers
from generator.program.moves import CUTS, LOST, RAPID, Moves
from generator.program_check.run import Checked, check_case
from generator.program_check.source import Source, open_source
from generator.site import check_ours, replace_folder
from generator.yamlread import read_document

DIGITS = 8
PROGRAM = "program.nc"
NO_CODE = "--------"
WARNING = f"(EXAM. A FAULT IS PLANTED IN THIS JOB. DO NOT RUN. CODE {NO_CODE})"


class ExamFiles(Struct, frozen=True):
    """An exam as files, by name."""

    exam: Exam
    files: Mapping[str, bytes]


def write_exam(job_path: Path, seed: int, folder: Path) -> ExamFiles:
    """The exam of a job in `folder`, in place of an older one.

    Raises OnionskinError where the folder holds anything else, or the job has no clean program to start from.
    """
    check_ours(folder)
    made = set_exam(job_path, seed)
    replace_folder(folder, lambda fresh: _fill(fresh, made.files))
    return made


def _fill(folder: Path, files: Mapping[str, bytes]) -> None:
    for name, data in files.items():
        (folder / name).write_bytes(data)


def set_exam(job_path: Path, seed: int) -> ExamFiles:
    """The exam of a job for a seed; the same job, content and seed give the same bytes."""
    desk = Desk.open(job_path)
    lines = numbered(desk.texts, ways(desk.clean.program.moves))
    drawn = draw(desk.course.library.faults.values(), lines, desk.clean.facts, seed, desk.findings)
    if drawn is None:
        raise OnionskinError(f"{job_path}: no fault can be planted in its program that the check would find")
    code = _code(desk, drawn.planted, seed)
    texts = tuple(text.replace(NO_CODE, code) for text in drawn.planted.texts)
    exam = Exam(course=desk.course, job=desk.job(drawn.planted), facts=desk.check(drawn.planted).facts, drawn=drawn,
                seed=seed, code=code, program=PROGRAM, texts=texts)  # fmt: skip
    papers = {name: page.encode() for name, page in exam_papers(exam).items()}
    return ExamFiles(exam, {PROGRAM: _joined(texts), **papers})


class Desk(Struct, frozen=True):
    """A job with its clean program, checked, and all that is needed to check it again with a fault in it."""

    course: Course
    case: JobCase
    document: Mapping[str, Any]
    texts: Sequence[str]
    clean: Checked

    @staticmethod
    def open(job_path: Path) -> Desk:
        """The job at `job_path`. Raises OnionskinError where its program is missing or not clean."""
        home = home_of_job(job_path)
        course = load_course(home)
        view = course.jobs[job_path.stem]
        case = JobCase(id=view.id, job=view.job, machine=view.machine, home=course.home)
        if case.job.program is None:
            raise OnionskinError(f"{job_path}: names no program; an exam is made from the job's own clean one")
        program = home / case.job.program
        texts = marked(open_source(program))
        clean = _checked(texts, case, course)
        stops = [finding for finding in clean.judged.findings if finding.severity is Severity.STOP]
        if stops:
            says = f"is not clean, so no exam can start from it: {stops[0].says} {stops[0].mend}"
            raise OnionskinError(f"{program}: {says}")
        return Desk(course, case, read_document(job_path).data, texts, clean)

    def job(self, planted: Planted) -> Job:
        """The job with the set-up's planted values. Raises LookupError or ValidationError where they do not fit it."""
        return Job.model_validate(changed(self.document, planted.setup)) if planted.setup else self.case.job

    def check(self, planted: Planted) -> Checked:
        """What the check says of the faulty program and set-up."""
        return _checked(planted.texts, replace(self.case, job=self.job(planted)), self.course)

    def findings(self, planted: Planted) -> Sequence[Finding]:
        """What the check finds beyond the clean twin's own; nothing where the fault does not fit this job's file."""
        before = {finding.id for finding in self.clean.judged.findings}
        try:
            found = self.check(planted).judged.findings
        except (LookupError, ValidationError):
            return []
        return [finding for finding in found if finding.id not in before]


def ways(moves: Moves) -> dict[int, frozenset[Move]]:
    """How each line moves, by its number; a line of several moves counts for all of them."""
    deepest = min((moves.z[index] for index, kind in enumerate(moves.kind) if kind in CUTS), default=None)
    found: dict[int, set[Move]] = {}
    for index, kind in enumerate(moves.kind):
        if kind == LOST:
            continue
        way = found.setdefault(moves.line[index], set())
        before, after = moves.end(index - 1)[2], moves.z[index]
        way.add("rapid" if kind == RAPID else "cut")
        way.add("up" if after > before else "down" if after < before else "flat")
        if kind in CUTS and after == deepest:
            way.add("deepest")
    return {line: frozenset(way) for line, way in found.items()}


def changed(document: Mapping[str, Any], setup: Mapping[str, str | list[str]]) -> dict[str, Any]:
    """A job's document with the values at dotted paths replaced."""
    new: dict[str, Any] = copy.deepcopy(dict(document))
    for path, value in setup.items():
        *way, last = path.split(".")
        place: Any = new
        for step in way:
            place = place[int(step)] if isinstance(place, list) else place.setdefault(step, {})
        place[last] = value
    return new


def marked(source: Source) -> list[str]:
    """The lines of a program under a comment that warns of what is in it."""
    whole = b"".join(source.pieces()).decode("latin-1").replace("\r\n", "\n").replace("\r", "\n")
    texts = whole.removesuffix("\n").split("\n")
    at = 1 if texts and texts[0].strip() == "%" else 0
    return [*texts[:at], WARNING, *texts[at:]]


def _checked(texts: Sequence[str], case: JobCase, course: Course) -> Checked:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / Path(case.job.program or PROGRAM).name
        path.write_bytes(_joined(texts))
        return check_case(open_source(path), case, course.library, content_folders(case.home.folder))


def _joined(texts: Sequence[str]) -> bytes:
    return "".join(f"{text}\n" for text in texts).encode("latin-1")


def _code(desk: Desk, planted: Planted, seed: int) -> str:
    said = f"{desk.case.id}\n{seed}\n{planted.fault.id}\n{sorted(planted.setup.items())}\n".encode()
    return hashlib.sha256(said + desk.course.revision.encode() + _joined(planted.texts)).hexdigest()[:DIGITS]
