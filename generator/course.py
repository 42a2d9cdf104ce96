"""A course: all content, one workshop, and the facts of each of its machines."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from msgspec import Struct

from generator.expr import Value
from generator.facts import facts_of
from generator.library import Library
from generator.load_content import content_folder, dialect_ids, load_library
from generator.load_workshop import Known, WorkshopFolder, load_workshop
from generator.model.job import Job
from generator.model.machine import Machine


class MachineView(Struct, frozen=True):
    """One machine as the course sees it, with the job it is shown with."""

    id: str
    machine: Machine
    document: Mapping[str, Any]
    job: Job | None
    facts: Mapping[str, Value]


class JobView(Struct, frozen=True):
    """One job with its machine and the facts of both."""

    id: str
    job: Job
    machine: Machine
    facts: Mapping[str, Value]


class Course(Struct, frozen=True):
    """Everything pages are made from."""

    library: Library
    home: WorkshopFolder
    views: Mapping[str, MachineView]
    jobs: Mapping[str, JobView]
    default: str
    revision: str

    @property
    def view(self) -> MachineView:
        """The default machine."""
        return self.views[self.default]


def demo_folder() -> Path:
    """The demo workshop that comes with the content."""
    return content_folder() / "demo" / "millrace"


def load_course(folder: Path | None = None) -> Course:
    """The course of the workshop in `folder`, or of the demo. Raises InputFaults with all faults."""
    workshop = folder or demo_folder()
    folders = content_folders(workshop)
    library = load_library(folders)
    known = Known(materials=library.materials, cutters=library.cutters, dialects=dialect_ids(folders),
                  overlays=library.overlays, acts=library.acts)  # fmt: skip
    home = load_workshop(workshop, known)
    views = {id_: _view(id_, home, library, home.documents[id_]) for id_ in home.machines}
    jobs = {id_: _job_view(id_, job, home, library) for id_, job in home.jobs.items()}
    return Course(library, home, views, jobs, home.default_machine.id, _revision(folders))


def content_folders(workshop: Path) -> Sequence[Path]:
    """Our content, then the workshop's own where it has some."""
    own = workshop / "content"
    return [content_folder(), own] if own.is_dir() else [content_folder()]


def _revision(folders: Sequence[Path]) -> str:
    """A short digest of every content file, so that a sheet on the wall can be told from a newer one."""
    digest = hashlib.sha256()
    for folder in folders:
        for path in sorted(folder.rglob("*")):
            if path.is_file() and "demo" not in path.relative_to(folder).parts:
                digest.update(path.relative_to(folder).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:8]


def _view(id_: str, home: WorkshopFolder, library: Library, document: Mapping[str, Any]) -> MachineView:
    machine = home.machines[id_]
    job = next((job for job in home.jobs.values() if job.machine == id_), None)
    facts = facts_of(machine, job, home.workshop, library.materials)
    return MachineView(id_, machine, document, job, facts)


def _job_view(id_: str, job: Job, home: WorkshopFolder, library: Library) -> JobView:
    machine = home.machines[job.machine]
    return JobView(id_, job, machine, facts_of(machine, job, home.workshop, library.materials))
