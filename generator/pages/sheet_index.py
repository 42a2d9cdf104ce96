"""Every sheet there is, with the digest it carries today: what hangs on the wall is compared with this page."""

from __future__ import annotations

from collections.abc import Sequence

from generator.course import Course
from generator.pages.page import Page, link, render
from generator.pages.words import DEFERS

PATH = "all-sheets.html"


def sheet_index(course: Course, pages: Sequence[Page]) -> Page:
    """The table of all pages that carry a digest, those of one machine under its name."""
    names = {id_: view.machine.name for id_, view in course.views.items()}
    sheets = [page for page in pages if page.digests]
    shared = [page for page in sheets if set(page.digests) == set(names)]
    single = {id_: [page for page in sheets if page not in shared and id_ in page.digests] for id_ in names}
    html = render("sheet_index.html.j2", names=names, shared=shared, single=single, link=link, path=PATH,
                  revision=course.revision, workshop=course.home.workshop, defers=DEFERS)  # fmt: skip
    return Page(path=PATH, title="All sheets", html=html, section="Lists and sheets")
