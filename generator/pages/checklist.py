"""Checklists as pages that adapt, tick and print."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from generator.course import Course
from generator.model.content import Checklist, Item, Point
from generator.pages.condition import condition
from generator.pages.live import Live
from generator.pages.page import Page, link, render
from generator.pages.script import page_script
from generator.pages.stamp import sheet_digests, stamp
from generator.pages.stop_map import stop_map_blocks
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
    live, digests = Live(course), sheet_digests(course, checklist)
    points = [(point, lines(point, live)) for point in checklist.points]
    html = render("checklist.html.j2", checklist=checklist, points=points, course=course, link=link, path=path,
                  rules=course.home.workshop.rules, defers=DEFERS, stamp=stamp(course, digests),
                  stops=stop_map_blocks(course))  # fmt: skip
    return Page(path=path, title=checklist.title, html=html, section="Lists and sheets", script=page_script(live),
                digests=digests)  # fmt: skip


def lines(point: Point, live: Live) -> list[Line]:
    """The items of a pause point, each in its state for the default machine."""
    return [_line(item, live) for item in point.items]


def _line(item: Item, live: Live) -> Line:
    when = condition(live, item.rule, item.unless)
    return Line(item, live.words(item.check), live.words(item.want), when.state, when.shown, when.if_words)
