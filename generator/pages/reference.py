"""Start page, hand-written pages, glossary, sources, materials, cutters, local rules and indexes."""

from __future__ import annotations

from datetime import date
from itertools import groupby

from generator.course import Course
from generator.library import MODULES
from generator.pages.lesson import filler
from generator.pages.live import Live
from generator.pages.local_rules import MOMENTS, rules_of
from generator.pages.page import Page, link, render
from generator.pages.script import page_script
from generator.pages.sheets import FEW
from generator.pages.text import Writer, with_own_ids
from generator.pages.words import DEFERS, MARKS
from generator.units import show


def start_page(course: Course) -> Page:
    """The page a course opens with."""
    return _written("index", course)


def written_pages(course: Course) -> list[Page]:
    """Every other page written as plain text."""
    return [_written(name, course) for name in course.library.pages if name != "index"]


def _written(name: str, course: Course) -> Page:
    live = Live(course)
    path = f"{name}.html"
    body = with_own_ids(Writer(path, live, filler(live, path)).body(course.library.pages[name]))
    title = body.partition("<h1")[2].partition(">")[2].partition("</h1>")[0] or name
    lessons = [(MODULES[module], list(items)) for module, items in
               groupby(course.library.lessons.values(), key=lambda lesson: lesson.head.module)]  # fmt: skip
    html = render("written.html.j2", body=body, start=name == "index", lessons=lessons, path=path, link=link,
                  course=course, defers=DEFERS, few=FEW)  # fmt: skip
    start = name == "index"
    return Page(path=path, title=title, html=html, section="" if start else "About", label="Start" if start else "",
                script=page_script(live))  # fmt: skip


def reference_pages(course: Course, today: date | None = None) -> list[Page]:
    """Glossary, sources, rules of the workshop, materials and cutters.

    A rule is marked where its review was due before `today`, the computer's date unless given.
    """
    library, home = course.library, course.home
    rules = {"workshop": home.workshop, "rules": rules_of(home), "moments": MOMENTS,
             "today": (today or date.today()).isoformat()}  # fmt: skip
    tables: list[tuple[str, str, dict[str, object]]] = [
        ("glossary", "Words of the trade", {"terms": sorted(library.glossary.values(), key=lambda t: t.term.lower())}),
        ("sources", "Sources", {"sources": sorted(library.sources.values(), key=lambda source: source.title.lower())}),
        ("rules", "Rules of this workshop", rules),
        ("materials", "Materials", {"materials": library.materials.values()}),
        ("cutters", "Cutters", {"cutters": library.cutters.values()}),
    ]
    return [_table(name, title, course, values) for name, title, values in tables]


def _table(name: str, title: str, course: Course, values: dict[str, object]) -> Page:
    path = f"{name}.html"
    html = render(f"{name}.html.j2", title=title, path=path, link=link, marks=MARKS, show=show, defers=DEFERS,
                  course=course, **values)  # fmt: skip
    return Page(path=path, title=title, html=html, section="Look it up")
