"""Cutter cards: what is in the drawer or in this job's collet, what it does to the board, and room for its log."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from markupsafe import Markup
from msgspec import Struct

from generator.course import Course
from generator.model.cutter import Cutter
from generator.model.job import Job
from generator.model.machine import Machine
from generator.model.material import CutterKind
from generator.pages.page import Page, link, render
from generator.pages.stamp import sheet_digest, stamp_of
from generator.pages.words import DEFERS
from generator.units import show

# As many cards as fit one side of paper, each with room for its log, and the rows the log then has.
LOG_ROWS = {1: 14, 2: 4}
ON_A_PAGE = max(LOG_ROWS)
EMPTY_CARDS = 2
# Shanks and collets are sold to the hundredth; more than this apart is another size (our proposal).
SAME_SIZE = 0.02


class Box(Struct, frozen=True, kw_only=True):
    """A set of cutters that belong together: those of a machine's drawer, or of one job."""

    path: str
    title: str
    machine: str
    job: Job | None
    cutters: Sequence[Cutter | None]


def cutter_card_pages(course: Course) -> list[Page]:
    """The cards of each machine's drawer and of each job, as many pages as they need; links alone lead there."""
    return [_page(box, course) for box in boxes(course)]


def boxes(course: Course) -> Iterator[Box]:
    """Every page of cards; a machine without a list of tools gets empty cards to fill in."""
    for id_, view in course.views.items():
        found: Sequence[Cutter | None] = view.machine.tooling or (None,) * EMPTY_CARDS
        yield from _split(f"cards/drawer-{id_}", f"Cutters of {view.machine.name}", id_, None, found)
    for id_, job in course.jobs.items():
        title = f"Cutters: {job.job.name} on {job.machine.name}"
        yield from _split(f"cards/cutters-{id_}", title, job.job.machine, job.job, job.job.cutters)


def _split(stem: str, title: str, machine: str, job: Job | None, cutters: Sequence[Cutter | None]) -> Iterator[Box]:
    pages = [cutters[at : at + ON_A_PAGE] for at in range(0, len(cutters), ON_A_PAGE)]
    for number, some in enumerate(pages, 1):
        more = f", {number} of {len(pages)}" if len(pages) > 1 else ""
        path = f"{stem}{f'-{number}' if number > 1 else ''}.html"
        yield Box(path=path, title=title + more, machine=machine, job=job, cutters=some)


def _page(box: Box, course: Course) -> Page:
    machine = course.views[box.machine].machine
    kinds = course.library.cutters
    made_from = [(cutter, _kind(cutter, kinds)) for cutter in box.cutters]
    digest = sheet_digest(course, box.machine, made_from, box.job)
    cards = [_card(cutter, kind, machine, LOG_ROWS[len(box.cutters)]) for cutter, kind in made_from]
    html = render("cutter_cards.html.j2", title=box.title, cards=cards, of_job=box.job is not None, link=link,
                  path=box.path, stamp=stamp_of(course, box.machine, digest), defers=DEFERS)  # fmt: skip
    return Page(path=box.path, title=box.title, html=html, section="Lists and sheets", in_menu=False,
                digests={box.machine: digest})  # fmt: skip


def _kind(cutter: Cutter | None, kinds: Mapping[str, CutterKind]) -> CutterKind | None:
    return kinds.get(cutter.kind or "") if cutter else None


def _card(cutter: Cutter | None, kind: CutterKind | None, machine: Machine, rows: int) -> Markup:
    return render("cutter_card.html.j2", cutter=cutter, kind=kind, rows=rows, show=show,
                  collet=collet_words(cutter, machine))  # fmt: skip


def collet_words(cutter: Cutter | None, machine: Machine) -> str:
    """Which of the machine's collets takes the shank; never a guess."""
    if cutter is None:
        return ""
    if cutter.shank is None or machine.spindle.collets is None:
        return "not known: measure the shank and read the collet"
    fitting = [collet for collet in machine.spindle.collets if abs(collet - cutter.shank) <= SAME_SIZE]
    return show(fitting[0], "mm") if fitting else "none of this machine's fits. Do not force it"
