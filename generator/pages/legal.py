"""Legal figures: what a few countries were read to say, each with its source, its date and where to look it up."""

from __future__ import annotations

from collections.abc import Iterable

from generator.course import Course
from generator.model.learning import LegalRow, Overlay
from generator.pages.page import Page, link, render
from generator.pages.words import DEFERS, MARKS
from generator.units import show

PATH = "legal.html"
SECTION = "Look it up"
NOT_READ = "not read: ask"


def legal_pages(course: Course) -> list[Page]:
    """The index with the strictest figures, and a page for each country."""
    return [_index(course), *(_country(overlay, course) for overlay in course.library.overlays.values())]


def legal_path(overlay: str) -> str:
    """Where a country's page lies in the site."""
    return f"legal/{overlay}.html"


def figure(row: LegalRow) -> str:
    """A row's value in words; a text that was not read gives none."""
    if row.value is None:
        return NOT_READ
    return row.value if isinstance(row.value, str) else show(row.value, row.unit or "1")


def strictest(overlays: Iterable[Overlay]) -> list[tuple[Overlay, LegalRow]]:
    """The lowest limit of each topic and unit among all countries, topics in order of appearance.

    All numbers of the rows are upper limits, so the lowest is the strictest.
    """
    found: dict[tuple[str, str], tuple[Overlay, LegalRow]] = {}
    for overlay in overlays:
        for row in overlay.rows:
            before = found.get((row.topic, row.unit))
            if isinstance(row.value, float) and (before is None or row.value < _limit(before[1])):
                found[row.topic, row.unit] = (overlay, row)
    return list(found.values())


def _limit(row: LegalRow) -> float:
    return row.value if isinstance(row.value, float) else float("inf")


def _index(course: Course) -> Page:
    overlays = course.library.overlays
    own = overlays.get(course.home.workshop.country or "")
    html = render("legal.html.j2", overlays=overlays.values(), own=own, strictest=strictest(overlays.values()),
                  figure=figure, link=link, path=PATH, legal_path=legal_path, defers=DEFERS, marks=MARKS,
                  workshop=course.home.workshop, sources=course.library.sources)  # fmt: skip
    return Page(path=PATH, title="Legal figures", html=html, section=SECTION)


def _country(overlay: Overlay, course: Course) -> Page:
    path = legal_path(overlay.id)
    html = render("legal_country.html.j2", overlay=overlay, own=course.home.workshop.country == overlay.id,
                  workshop=course.home.workshop, figure=figure, link=link, path=path, index=PATH, defers=DEFERS,
                  marks=MARKS, sources=course.library.sources)  # fmt: skip
    return Page(path=path, title=f"Legal figures: {overlay.name}", html=html, section=SECTION, in_menu=False)
