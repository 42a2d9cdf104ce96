"""`onionskin pack`: every sheet of one machine in a folder, with a list of what is in it."""

from __future__ import annotations

import hashlib
import importlib
import json
import logging
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import asdict, replace

from generator.course import Course, load_course
from generator.errors import OnionskinError
from generator.one_file import with_pictures
from generator.pages.assets import FOLDER, styles
from generator.pages.build import build_site
from generator.pages.page import Page
from generator.plain import texts_of_assets
from generator.site import check_ours, replace_folder

if TYPE_CHECKING:
    from generator.pack.sheet import Press

STYLE = f"{FOLDER}/pack.css"
MANIFEST = "manifest.json"
SHEET = "os-sheet"


class Entry(Struct, frozen=True):
    """One file of the pack: `digest` is the code the sheet carries, empty where it carries none."""

    name: str
    title: str
    page: str
    sides: int
    digest: str
    sha256: str


def write_pack(workshop: Path | None, folder: Path, paper: str, machine: str | None) -> list[Entry]:
    """The sheets of one machine, the workshop's default one if none is named. Raises OnionskinError."""
    _need_weasyprint()
    check_ours(folder)
    course = _for_machine(load_course(workshop), machine)
    entries: list[Entry] = []
    replace_folder(folder, lambda fresh: entries.extend(_fill(fresh, course, paper)))
    return entries


def sheets_of(course: Course) -> list[Page]:
    """Every sheet that is for the default machine: those of its jobs, and those that follow the machine."""
    pages, _ = build_site(course)
    return [page for page in pages if SHEET in page.html and (not page.digests or course.default in page.digests)]


def _need_weasyprint() -> None:
    logging.getLogger("weasyprint").setLevel(logging.CRITICAL)  # it warns of every rule that only browsers know
    try:
        importlib.import_module("weasyprint")
    except ImportError:
        raise OnionskinError("PDF sheets need WeasyPrint: in Onionskin's folder, pip install '.[pack]'") from None
    except OSError as error:
        raise OnionskinError(f"WeasyPrint lacks a library of the system, Pango as a rule: {error}") from None


def _for_machine(course: Course, machine: str | None) -> Course:
    if machine is None:
        return course
    if machine not in course.views:
        raise OnionskinError(f"{machine}: is no machine of this workshop; there are {', '.join(course.views)}")
    return replace(course, default=machine)


def _fill(folder: Path, course: Course, paper: str) -> list[Entry]:
    from generator.pack.sheet import Press  # it needs what only the extra brings, and that has been asked for by now

    texts = texts_of_assets()
    style = "\n".join(with_pictures(texts[name], texts) for name in [*styles(), STYLE])
    press = Press(style, paper)
    entries = [_write(folder, page, press, course) for page in sheets_of(course)]
    (folder / MANIFEST).write_text(_manifest(course, paper, entries), encoding="utf-8")
    return entries


def _write(folder: Path, page: Page, press: Press, course: Course) -> Entry:
    name = page.path.removesuffix(".html").replace("/", "-") + ".pdf"
    digest = page.digests.get(course.default, "")
    about = {"workshop": course.home.workshop.name, "revision": course.revision, "digest": digest or "none"}
    pdf = press.pdf(page, about)
    (folder / name).write_bytes(pdf.data)
    return Entry(name, page.title, page.path, pdf.sides, digest, hashlib.sha256(pdf.data).hexdigest())


def _manifest(course: Course, paper: str, entries: Sequence[Entry]) -> str:
    said = {"workshop": course.home.workshop.name, "machine": course.view.machine.name, "revision": course.revision,
            "paper": paper, "files": [asdict(entry) for entry in entries]}  # fmt: skip
    return json.dumps(said, indent=1, ensure_ascii=False) + "\n"
