"""Reads a workshop folder: workshop.yml, machines/, jobs/ and, if there is one, its own content/."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from generator.errors import Fault, InputFaults
from generator.model import Job, Machine, Workshop
from generator.model.faults import M, at, dotted, read_model, wanted
from generator.model.job_faults import job_faults
from generator.yamlread import Document, Where, read_document

if TYPE_CHECKING:
    from generator.model.material import Material

ENDINGS = (".yml", ".yaml", ".json")


class Known(Struct, frozen=True, kw_only=True):
    """Ids the course's content knows; None where they are not to be checked. Materials may come with what they are."""

    materials: Mapping[str, Material] | Collection[str] | None = None
    cutters: Collection[str] | None = None
    dialects: Collection[str] | None = None
    overlays: Collection[str] | None = None
    acts: Collection[str] | None = None


class WorkshopFolder(Struct, frozen=True, kw_only=True):
    """A workshop folder as read: machines by their id, jobs by their file's name without its ending.

    `documents` has each machine's file as plain data, quantities still text, as it was written.
    """

    folder: Path
    workshop: Workshop
    machines: Mapping[str, Machine]
    jobs: Mapping[str, Job]
    documents: Mapping[str, Mapping[str, Any]]
    content: Path | None

    @property
    def default_machine(self) -> Machine:
        """The machine the workshop names, else its first by id."""
        return self.machines[self.workshop.default_machine or min(self.machines)]


class JobCase(Struct, frozen=True, kw_only=True):
    """One job with the machine it is for and the workshop it belongs to.

    `cutter` is the id of the cutter that somebody says is in the collet; None where nothing was said.
    """

    id: str
    job: Job
    machine: Machine
    home: WorkshopFolder
    cutter: str | None = None


def load_workshop(folder: Path, known: Known | None = None) -> WorkshopFolder:
    """Everything in `folder`. Raises InputFaults with the faults of all its files at once."""
    if not os.path.isdir(folder):
        says = "is a file; name the workshop's folder" if os.path.exists(folder) else "there is no such folder"
        raise InputFaults([Fault(str(folder), 0, 0, says)])
    return _Loading(folder, known or Known()).workshop_folder(_files(folder / "jobs"))


def load_job(path: Path, known: Known | None = None) -> JobCase:
    """The job file `path` of a workshop's jobs/ folder, without reading its other jobs. Raises InputFaults."""
    home = _Loading(home_of_job(path), known or Known()).workshop_folder([path])
    job = home.jobs[path.stem]
    return JobCase(id=path.stem, job=job, machine=home.machines[job.machine], home=home)


def home_of_job(path: Path) -> Path:
    """The folder of the workshop whose job file `path` is. Raises InputFaults, with the jobs to choose from."""
    jobs = path.parent if path.parent.name else path.resolve().parent
    if not os.path.isfile(path) or jobs.name != "jobs":
        raise InputFaults([Fault(str(path), 0, 0, _no_job(path, jobs))])
    return jobs.parent


def _no_job(path: Path, folder: Path) -> str:
    if os.path.isdir(path):
        return f"is a folder; name a job file{_its_jobs(path.parent if path.name == 'jobs' else path)}"
    if not os.path.isfile(path):
        return "there is no such file"
    if path.stem == "workshop":
        return f"is the workshop's file; name a job file{_its_jobs(folder)}"
    if folder.name == "machines":
        return f"is the file of a machine; name a job file{_its_jobs(folder.parent)}"
    if path.suffix.lower() not in ENDINGS:
        return f"is no job file; name one{_its_jobs(folder.parent)}"
    return "a job lies in the jobs/ folder of a workshop; move it there"


def _its_jobs(home: Path) -> str:
    names = ", ".join(path.name for path in _files(home / "jobs"))
    return f" in its jobs/ folder, it has: {names}" if names else " in the jobs/ folder of a workshop"


def _files(folder: Path) -> list[Path]:
    """The data files of a folder in order, none where there is no folder. Raises InputFaults."""
    if not os.path.isdir(folder):
        return []
    try:
        return sorted(path for path in folder.iterdir() if path.suffix.lower() in ENDINGS and path.name[0] != ".")
    except OSError as error:
        raise InputFaults([Fault(str(folder), 0, 0, f"cannot be read: {error.strerror}")]) from None


class _Loading(Struct):
    folder: Path
    known: Known
    faults: list[Fault] = []
    documents: dict[str, Mapping[str, Any]] = {}

    def workshop_folder(self, job_files: list[Path]) -> WorkshopFolder:
        workshop_doc, workshop = self.one(Workshop, self.workshop_file())
        machines = self.machines()
        jobs = {path: self.one(Job, path) for path in job_files}
        self.faults += _stems_used_twice(job_files)
        if workshop_doc:
            self.faults += _workshop_links(workshop_doc, machines, self.known)
        for doc, job in jobs.values():
            if doc:
                self.faults += _job_links(doc, machines, self.known)
            if doc and job:
                self.faults += job_faults(doc, job, self.material_of(job))
        if self.faults or workshop is None:
            raise InputFaults(self.faults)
        content = self.folder / "content"
        return WorkshopFolder(
            folder=self.folder,
            workshop=workshop,
            machines=MappingProxyType({name: machine for name, machine in machines.items() if machine}),
            jobs=MappingProxyType({path.stem: job for path, (_, job) in jobs.items() if job}),
            documents=MappingProxyType(self.documents),
            content=content if content.is_dir() else None,
        )

    def material_of(self, job: Job) -> Material | None:
        """What the course knows of the job's material, None where that was not given."""
        known = self.known.materials
        return known.get(job.stock.material or "") if isinstance(known, Mapping) else None

    def workshop_file(self) -> Path:
        files = [self.folder / f"workshop{end}" for end in ENDINGS]
        return next((path for path in files if path.exists()), files[0])

    def one(self, model: type[M], path: Path) -> tuple[Document | None, M | None]:
        """The file as document and model, each None where it could not be read; faults are kept."""
        document = None
        try:
            document = read_document(path)
            return document, read_model(model, document)
        except InputFaults as error:
            self.faults += error.faults
            return document, None

    def machines(self) -> dict[str, Machine | None]:
        """Machines by id; an id whose file has faults stands for None, so that nobody is told it is missing."""
        files = _files(self.folder / "machines")
        if not files:
            self.faults.append(Fault(str(self.folder / "machines"), 0, 0, "holds no machine; add machines/NAME.yml"))
        machines: dict[str, Machine | None] = {}
        for path in files:
            document, machine = self.one(Machine, path)
            name = _text_at(document, ("id",)) if document else path.stem
            if document and name in machines:
                self.faults.append(document.fault(("id",), f"id: another machine is called '{name}' too; rename one"))
            machines.setdefault(name or path.stem, machine)
            if document and machine:
                self.documents[machine.id] = document.data
            if document:
                self.faults += _machine_links(document, self.known)
        return machines


def _stems_used_twice(files: Iterable[Path]) -> list[Fault]:
    seen: dict[str, Path] = {}
    return [
        Fault(str(path), 0, 0, f"is named like {first.name} but for its ending; rename one")
        for path in files
        if (first := seen.setdefault(path.stem, path)) != path
    ]


def _text_at(document: Document, where: Where) -> str | None:
    value = at(document.data, where)
    return value if isinstance(value, str) and value != "unknown" else None


def _count_at(document: Document, where: Where) -> range:
    value = at(document.data, where)
    return range(len(value)) if isinstance(value, list) else range(0)


def _link(document: Document, where: Where, known: Collection[str] | None, what: str) -> list[Fault]:
    """A fault if the id written at `where` is none of the known ones."""
    name = _text_at(document, where)
    if name is None or known is None or name in known:
        return []
    return [document.fault(where, f"{dotted(where)}: there is no {what} '{name}'; {wanted(sorted(known), name)}")]


def _twice(document: Document, lists: Where, key: str = "id") -> list[Fault]:
    """A fault for each entry of a list whose id an earlier one has."""
    seen: dict[str, int] = {}
    faults = []
    for index in _count_at(document, lists):
        name = _text_at(document, (*lists, index, key))
        if name is not None and (first := seen.setdefault(name, index)) != index:
            line = document.place((*lists, first, key))[0]
            faults.append(document.fault((*lists, index, key), f"'{name}' is used on line {line} already; rename one"))
    return faults


def _machine_links(doc: Document, known: Known) -> list[Fault]:
    faults = _link(doc, ("controller", "dialect"), known.dialects, "dialect")
    faults += _twice(doc, ("tooling",)) + _twice(doc, ("local_rules",))
    for index in _count_at(doc, ("tooling",)):
        faults += _link(doc, ("tooling", index, "kind"), known.cutters, "kind of cutter")
    return faults


def _workshop_links(doc: Document, machines: Collection[str], known: Known) -> list[Fault]:
    faults = _link(doc, ("default_machine",), machines, "machine")
    faults += _link(doc, ("country",), known.overlays, "country")
    faults += _twice(doc, ("rules",)) + _twice(doc, ("levels",)) + _twice(doc, ("people",))
    for index in _count_at(doc, ("levels",)):
        for inner in _count_at(doc, ("levels", index, "acts")):
            faults += _link(doc, ("levels", index, "acts", inner), known.acts, "act of the practical")
    roles = _roles(doc)
    for index in _count_at(doc, ("rules",)):
        faults += _link(doc, ("rules", index, "owner"), roles or None, "role")
        for inner in _count_at(doc, ("rules", index, "machines")):
            faults += _link(doc, ("rules", index, "machines", inner), machines, "machine")
    return faults


def _roles(doc: Document) -> set[str]:
    """Ids and names of the roles, either of which a rule's owner may be."""
    places = [("people", index, key) for index in _count_at(doc, ("people",)) for key in ("id", "name")]
    return {name for where in places if (name := _text_at(doc, where))}


def _job_links(doc: Document, machines: Collection[str], known: Known) -> list[Fault]:
    cutters = [name for index in _count_at(doc, ("cutters",)) if (name := _text_at(doc, ("cutters", index, "id")))]
    faults = _link(doc, ("machine",), machines, "machine")
    faults += _link(doc, ("stock", "material"), known.materials, "material")
    faults += _twice(doc, ("cutters",)) + _twice(doc, ("operations",), "name")
    for index in _count_at(doc, ("cutters",)):
        faults += _link(doc, ("cutters", index, "kind"), known.cutters, "kind of cutter")
    for index in _count_at(doc, ("operations",)):
        faults += _link(doc, ("operations", index, "cutter"), cutters, "cutter of this job")
    return faults
