"""Content files to one frozen `Library`: read, validated and cross-checked, every fault at once.

A workshop's own content folder adds to ours; an item with the same id replaces ours.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from msgspec import Struct
from pydantic import ValidationError

from generator.content_places import Placed
from generator.errors import Fault, InputFaults
from generator.library import Library
from generator.model.content import Content
from generator.model.faults import read_model
from generator.yamlread import Document, Where, read_document, read_yaml

if TYPE_CHECKING:
    from generator.figures import Figure, Part
    from generator.model.calculator import Calculator
    from generator.model.lesson import Body, Lesson

# The model of each kind, as module and class of generator.model, so that only those a command reads are made.
KINDS = {
    "sources": "content.Source",
    "rules": "content.Rule",
    "glossary": "content.Term",
    "calculators": "calculator.Calculator",
    "materials": "material.Material",
    "cutters": "material.CutterKind",
    "checklists": "checklist.Checklist",
    "acts": "checklist.Act",
    "questions": "question.Question",
    "plans": "plan.Plan",
    "hazards": "learning.Hazard",
    "drills": "learning.Drill",
    "overlays": "learning.Overlay",
    "checks": "check.Check",
    "unchecked": "check.NotChecked",
    "mistakes": "mistake.Mistake",
    "sheets": "sheet.Sheet",
    "faults": "exam.FaultClass",
    "effects": "mistake.Effect",
}
M = TypeVar("M", bound=Content)


class Raw(Struct, frozen=True):
    """One item of a file before it is validated."""

    document: Document
    data: Any
    base: Where

    def alone(self) -> Document:
        """The item as a document of its own, places kept."""
        size = len(self.base)
        cut = {where[size:]: place for where, place in self.document.values.items() if where[:size] == self.base}
        keys = {where[size:]: place for where, place in self.document.keys.items() if where[:size] == self.base}
        return Document(self.document.file, self.data, cut, keys)


class _Reading:
    """Faults and places gathered while the folders are read."""

    def __init__(self, folders: Sequence[Path], only: Mapping[str, Collection[str]] | None = None) -> None:
        self.folders, self.only = folders, only or {}
        self.faults: list[Fault] = []
        self.placed: dict[tuple[str, str], Placed] = {}

    def files(self, kind: str, suffix: str) -> Iterator[tuple[int, Path]]:
        for layer, folder in enumerate(self.folders):
            for path in sorted((folder / kind).glob(f"*{suffix}")):
                if layer or kind not in self.only or path.stem in self.only[kind]:
                    yield layer, path

    def raws(self, kind: str) -> Iterator[tuple[int, Raw]]:
        for layer, path in self.files(kind, ".yml"):
            try:
                document = read_document(path)
            except InputFaults as faults:
                self.faults += faults.faults
                continue
            many = isinstance(document.data, list)
            for index, data in enumerate(document.data if many else [document.data]):
                yield layer, Raw(document, data, (index,) if many else ())

    def keep(self, kind: str, id_: str, layer: int, raw: Raw) -> bool:
        """Whether the item is to be kept; a second one of the same layer is a fault."""
        before = self.placed.get((kind, id_))
        if before and before.layer == layer:
            says = f"'{id_}' is already used at {before.document.file}:{before.document.place(before.base)[0]}"
            self.faults.append(raw.document.fault((*raw.base, "id"), f"{says}; give each item its own id"))
            return False
        self.placed[kind, id_] = Placed(raw.document, raw.base, layer)
        return True

    def valid(self, raw: Raw, model: type[M]) -> M | None:
        """The item as its model, None with its faults kept."""
        try:
            return model.model_validate(raw.data)
        except ValidationError:
            pass
        try:
            return read_model(model, raw.alone())
        except InputFaults as faults:
            self.faults += faults.faults
            return None

    def items(self, kind: str) -> dict[str, Content]:
        model, found = model_of(kind), {}
        for layer, raw in self.raws(kind):
            item = self.valid(raw, model)
            if item and self.keep(kind, item.id, layer, raw):  # type: ignore[attr-defined]
                found[item.id] = item  # type: ignore[attr-defined]
        return found


def model_of(kind: str) -> type[Content]:
    """The model of a key of `KINDS`."""
    module, name = KINDS[kind].split(".")
    model: type[Content] = getattr(import_module(f"generator.model.{module}"), name)
    return model


def content_folder() -> Path:
    """Where our own content lies: inside the installed package, else beside it in the checkout."""
    here = Path(__file__).parent
    installed = here / "_data" / "content"
    return installed if installed.is_dir() else here.parent / "content"


def dialect_ids(folders: Sequence[Path]) -> set[str]:
    """Every dialect there is in content `folders`."""
    return {path.stem for folder in folders for path in (folder / "dialects").glob("*.yml")}


def load_some(
    folders: Sequence[Path], kinds: Iterable[str], only: Mapping[str, Collection[str]] | None = None
) -> Library:
    """Only the simple `kinds` named, without cross-checks; for commands that need few. Raises InputFaults.

    `only` keeps, of a kind in our own folder, to the files of these names (without their ending).
    """
    reading = _Reading(folders, only)
    found: dict[str, Any] = {kind: reading.items(kind) for kind in kinds}
    if reading.faults:
        raise InputFaults(reading.faults)
    return Library(**found)


def load_calculators(folders: Sequence[Path], used: Collection[str]) -> Mapping[str, Calculator]:
    """The calculators a command asks, and those of the workshop's own content. Raises InputFaults."""
    return load_some(folders, ("calculators",), {"calculators": used}).calculators


def load_library(folders: Sequence[Path]) -> Library:
    """Everything in `folders`, later ones over earlier ones. Raises InputFaults with all faults."""
    from generator.content_checks import library_faults  # the commands that need few kinds never come here

    reading = _Reading(folders)
    found: dict[str, Any] = {kind: reading.items(kind) for kind in KINDS}
    found["lessons"] = _lessons(reading)
    found["pages"] = _pages(reading)
    found["parts"], found["figures"] = _figures(reading, found["calculators"])
    library = Library(**found, placed=reading.placed)
    faults = [*reading.faults, *library_faults(library, reading.placed)]
    if faults:
        raise InputFaults(faults)
    return library


def _lessons(reading: _Reading) -> dict[str, Lesson]:
    from generator.model.lesson import Lesson, LessonHead

    lessons: dict[str, Lesson] = {}
    for layer, path in reading.files("lessons", ".md"):
        parsed = _front_and_body(reading, path)
        if parsed is None:
            continue
        document, body = parsed
        raw = Raw(document, document.data, ())
        head = reading.valid(raw, LessonHead)
        if head and reading.keep("lessons", head.id, layer, raw):
            lessons[head.id] = Lesson(head, body)
    return lessons


def _front_and_body(reading: _Reading, path: Path) -> tuple[Document, Body] | None:
    from generator.model.lesson import parse_body

    try:
        text = path.read_text(encoding="utf-8")
        _, front, rest = text.split("---\n", 2)
        document = read_yaml(front, str(path), first_line=2)
    except InputFaults as faults:
        reading.faults += faults.faults
        return None
    except (ValueError, OSError) as error:
        says = (
            "a lesson starts with '---', its settings, and '---' again" if isinstance(error, ValueError) else str(error)
        )
        reading.faults.append(Fault(str(path), 1, 1, says))
        return None
    body, faults_ = parse_body(rest, str(path), front.count("\n") + 3)
    reading.faults += faults_
    return document, body


def _pages(reading: _Reading) -> dict[str, Body]:
    from generator.model.lesson import parse_body

    pages: dict[str, Body] = {}
    for _, path in reading.files("pages", ".md"):
        pages[path.stem], faults = parse_body(path.read_text(encoding="utf-8"), str(path), 1)
        reading.faults += faults
    return pages


def _figures(reading: _Reading, calculators: Mapping[str, Calculator]) -> tuple[dict[str, Part], dict[str, Figure]]:
    from generator.content_names import figure_kinds
    from generator.figures import parse_figure, parse_part

    parts: dict[str, Part] = {}
    figures: dict[str, Figure] = {}
    for layer, raw in [*reading.raws("figures/parts"), *reading.raws("figures")]:
        is_part = isinstance(raw.data, dict) and "takes" in raw.data
        where = raw.document

        def at(path: tuple[str | int, ...], raw: Raw = raw) -> tuple[int, int]:
            return raw.document.place((*raw.base, *path))

        try:
            if is_part:
                part = parse_part(raw.data, where.file, at, parts)
                parts[part.id] = part
            else:
                kinds = figure_kinds(str(raw.data.get("id")), calculators)
                figure = parse_figure(raw.data, where.file, at, kinds, parts)
                if reading.keep("figures", figure.id, layer, raw):
                    figures[figure.id] = figure
        except InputFaults as faults:
            reading.faults += faults.faults
    return parts, figures
