"""The hazard register: what can go wrong, what makes it smaller, and room for what is true in this workshop."""

from __future__ import annotations

from generator.course import Course
from generator.model.learning import CONTROL_LEVELS, Control, ControlLevel, Hazard
from generator.pages.live import Live
from generator.pages.page import Page, link, render
from generator.pages.script import page_script
from generator.pages.stamp import sheet_codes, stamp
from generator.pages.words import DEFERS

PATH = "hazards.html"
LEVEL_WORDS: dict[ControlLevel, str] = {
    "eliminate": "Do without it",
    "substitute": "Take something milder",
    "engineer": "Build it in",
    "administer": "Agree on it",
    "protect": "Wear it",
}


def hazard_page(course: Course) -> Page:
    """The register as a table; printed, it is a first page for the workshop's own risk assessment."""
    live = Live(course)
    library = course.library
    codes = sheet_codes(course, library.hazards)
    places = {item.id: checklist.id for checklist in library.checklists.values() for point in checklist.points
              for item in point.items}  # fmt: skip
    html = render("hazards.html.j2", groups=by_strongest(list(library.hazards.values())),
                  strongest_first=strongest_first, words=LEVEL_WORDS, course=course, link=link, path=PATH,
                  defers=DEFERS, stamp=stamp(course, codes),
                  lists_of=lambda hazard: list(dict.fromkeys(places[id_] for id_ in hazard.checks)))  # fmt: skip
    return Page(path=PATH, title="Hazard register", html=html, section="Lists and sheets", script=page_script(live),
                digests=codes.by_machine)  # fmt: skip


def strongest_first(hazard: Hazard) -> list[Control]:
    """A hazard's controls in the order of the hierarchy."""
    return sorted(hazard.controls, key=lambda control: CONTROL_LEVELS.index(control.level))


def by_strongest(hazards: list[Hazard]) -> dict[ControlLevel, list[Hazard]]:
    """Hazards by the strongest kind of control they have, strongest kind first, in file order inside it."""
    groups: dict[ControlLevel, list[Hazard]] = {level: [] for level in CONTROL_LEVELS}
    for hazard in hazards:
        groups[strongest_first(hazard)[0].level].append(hazard)
    return {level: found for level, found in groups.items() if found}
