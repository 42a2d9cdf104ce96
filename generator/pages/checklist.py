"""Checklists as pages that adapt, tick and print."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from generator.course import Course
from generator.model.content import Checklist, Item, Point
from generator.pages.live import Live, shows
from generator.pages.page import Page, link, render
from generator.pages.script import page_script
from generator.pages.words import DEFERS


@dataclass(frozen=True, slots=True)
class Line:
    """An item as shown: its words, and whether this machine has it."""

    item: Item
    check: Markup
    want: Markup
    state: str
    shown: bool
    if_words: str


def checklist_pages(course: Course) -> list[Page]:
    """One page for each checklist."""
    return [_page(checklist, course) for checklist in course.library.checklists.values()]


def _page(checklist: Checklist, course: Course) -> Page:
    path = f"checklists/{checklist.id}.html"
    live = Live(course)
    points = [(point, lines(point, course, live)) for point in checklist.points]
    html = render("checklist.html.j2", checklist=checklist, points=points, course=course, link=link, path=path,
                  rules=course.home.workshop.rules, defers=DEFERS, stamp=stamp(course, live))  # fmt: skip
    return Page(path=path, title=checklist.title, html=html, section="Lists and sheets", script=page_script(live))


def lines(point: Point, course: Course, live: Live) -> list[Line]:
    """The items of a pause point, each in its state for the default machine."""
    return [_line(item, course, live) for item in point.items]


def _line(item: Item, course: Course, live: Live) -> Line:
    rule = item.rule or item.unless
    state = live.state(rule) if rule else "yes"
    unless = item.rule is None and item.unless is not None
    words = course.library.rules[rule].words if rule else ""
    if_words = f"{'Unless' if unless else 'If'} {words}:" if rule else ""
    shown = shows(state, unless) if rule else True
    return Line(item, live.words(item.check), live.words(item.want), state, shown, if_words)


def stamp(course: Course, live: Live) -> Markup:
    """Which machine, workshop and content a sheet was made for."""
    return render("stamp.html.j2", machine=live.facts["machine.name"], workshop=course.home.workshop.name,
                  revision=course.revision)  # fmt: skip
