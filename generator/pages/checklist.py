"""Checklists as pages that adapt, tick and print."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from markupsafe import Markup
from msgspec import Struct
from msgspec.structs import replace

from generator.course import Course
from generator.model.checklist import Checklist, Item, Point
from generator.pages.condition import condition
from generator.pages.live import Live
from generator.pages.local_rules import asked_at, block_for, not_asked_at, rules_of
from generator.pages.page import Page, link, render
from generator.pages.script import page_script
from generator.pages.stamp import sheet_codes, stamp
from generator.pages.stop_map import stop_map_blocks
from generator.pages.words import DEFERS


class Line(Struct, frozen=True):
    """An item as shown: its words, and whether this machine has it."""

    item: Item
    check: Markup
    want: Markup
    state: str
    shown: bool
    if_words: str


def checklist_pages(course: Course) -> list[Page]:
    """One page for each checklist; where it has several pause points, one more for each, in large print."""
    return [page for checklist in course.library.checklists.values()
            for page in (_page(checklist, course), *_alone(checklist, course))]  # fmt: skip


def _page(checklist: Checklist, course: Course) -> Page:
    path = f"checklists/{checklist.id}.html"
    several = len(checklist.points) > 1
    alone = {point.id: _alone_path(checklist, point) for point in checklist.points if several}
    return _rendered(checklist, checklist.points, course, path, checklist.title, alone)


def _alone(checklist: Checklist, course: Course) -> list[Page]:
    """A sheet for the wall or the clipboard at each pause point; menu and search lead to the whole list."""
    if len(checklist.points) == 1:
        return []
    pages = [_rendered(checklist, (point,), course, _alone_path(checklist, point),
                       f"{checklist.title}: {point.title[0].lower()}{point.title[1:]}")
             for point in checklist.points]  # fmt: skip
    return [replace(page, in_menu=False, in_search=False) for page in pages]


def _alone_path(checklist: Checklist, point: Point) -> str:
    return f"checklists/{checklist.id}-{point.id}.html"


def _rendered(
    checklist: Checklist,
    points: Sequence[Point],
    course: Course,
    path: str,
    title: str,
    alone: Mapping[str, str] | None = None,
) -> Page:
    live, codes = Live(course), sheet_codes(course, (title, checklist.intro, points))
    rules = rules_of(course.home)
    stated = not_asked_at(rules, [gate for point in points for gate in point.gates])
    html = render("checklist.html.j2", checklist=checklist, course=course, link=link, path=path, alone=alone,
                  points=[(point, asked_at(rules, point.gates), lines(point, live)) for point in points],
                  stated=stated, stated_for=block_for(stated), defers=DEFERS,
                  stamp=stamp(course, codes), stops=stop_map_blocks(course))  # fmt: skip
    return Page(path=path, title=title, html=html, section="Lists and sheets", script=page_script(live),
                digests=codes.by_machine)  # fmt: skip


def lines(point: Point, live: Live) -> list[Line]:
    """The items of a pause point, each in its state for the default machine."""
    return [_line(item, live) for item in point.items]


def _line(item: Item, live: Live) -> Line:
    when = condition(live, item.rule, item.unless)
    return Line(item, live.words(item.check), live.words(item.want), when.state, when.shown, when.if_words)
