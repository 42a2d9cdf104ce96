"""Sheets made from content alone: passport, notice, role cards, plans to fill in."""

from __future__ import annotations

from markupsafe import Markup
from msgspec import Struct

from generator.course import Course
from generator.model.sheet import Ask, Block, Line, Sheet
from generator.pages.condition import Condition, condition
from generator.pages.live import Live
from generator.pages.local_rules import rules_of
from generator.pages.page import Page, link, render
from generator.pages.script import page_script
from generator.pages.stamp import sheet_codes, stamp
from generator.pages.stop_map import stop_map_blocks
from generator.pages.words import DEFERS

NOTHING = Markup("")


class Told(Struct, frozen=True, kw_only=True):
    """A line as shown: its words, whether it is there, and for a question the two ways on."""

    says: Markup
    when: Condition
    yes: Markup = NOTHING
    no: Markup = NOTHING
    long: bool = False


class Shown(Struct, frozen=True, kw_only=True):
    """A block as shown; of lines, blanks, asks and rows at most one has anything."""

    block: Block
    when: Condition
    lead: Markup
    lines: tuple[Told, ...]
    blanks: tuple[Told, ...]
    asks: tuple[Told, ...]
    rows: tuple[tuple[Markup, ...], ...]


def fill_in_pages(course: Course) -> list[Page]:
    """A page for each sheet of the content."""
    return [_page(sheet, course) for sheet in course.library.sheets.values()]


def fill_in_path(sheet: str) -> str:
    """Where a sheet lies in the site."""
    return f"cards/{sheet}.html"


def _page(sheet: Sheet, course: Course) -> Page:
    path = fill_in_path(sheet.id)
    hazards = list(course.library.hazards.values()) if any(block.place == "hazards" for block in sheet.blocks) else []
    live, codes = Live(course), sheet_codes(course, (sheet, *hazards))
    html = render("fill_in.html.j2", sheet=sheet, lead=live.words(sheet.lead), course=course, path=path, link=link,
                  blocks=[_shown(block, live) for block in sheet.blocks], workshop=course.home.workshop,
                  hazards=hazards, rules=rules_of(course.home),
                  stops=stop_map_blocks(course), stamp=stamp(course, codes), defers=DEFERS)  # fmt: skip
    return Page(path=path, title=sheet.title, html=html, section="Lists and sheets", label=sheet.label,
                script=page_script(live), digests=codes.by_machine)  # fmt: skip


def _shown(block: Block, live: Live) -> Shown:
    table = block.table
    rows = tuple(tuple(live.words(cell) for cell in row) for row in table.rows) if table else ()
    return Shown(
        block=block, when=condition(live, block.rule, block.unless), lead=live.words(block.lead or ()), rows=rows,
        lines=tuple(_told(line, live) for line in block.lines), asks=tuple(_told(ask, live) for ask in block.asks),
        blanks=tuple(_told(blank, live, long=blank.long) for blank in block.blanks),
    )  # fmt: skip


def _told(line: Line, live: Live, long: bool = False) -> Told:
    when = condition(live, line.rule, line.unless)
    yes, no = (live.words(line.yes), live.words(line.no)) if isinstance(line, Ask) else (NOTHING, NOTHING)
    return Told(says=live.words(line.says), when=when, yes=yes, no=no, long=long)
