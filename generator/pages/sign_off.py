"""The practical sign-off sheet of every machine: acts to be seen, boxes for initials, one page."""

from __future__ import annotations

from generator.course import Course, MachineView
from generator.pages.page import Page, link, render
from generator.pages.stamp import sheet_digest, stamp_of
from generator.pages.words import DEFERS
from generator.practical import practical


def sign_off_pages(course: Course) -> list[Page]:
    """A sheet for every machine of the workshop; it shows that machine, whichever is picked."""
    return [_sheet(view, course) for view in course.views.values()]


def sign_off_path(machine: str) -> str:
    """Where a machine's sheet lies in the site."""
    return f"sheets/sign-off-{machine}.html"


def _sheet(view: MachineView, course: Course) -> Page:
    path = sign_off_path(view.id)
    acts = practical(course.library, view.facts)
    digest = sheet_digest(course, view.id, acts)
    html = render("sign_off.html.j2", acts=acts, machine=view.machine, course=course, path=path, link=link,
                  workshop=course.home.workshop, defers=DEFERS, stamp=stamp_of(course, view.id, digest),
                  lessons=course.library.lessons)  # fmt: skip
    return Page(path=path, title=f"Practical on {view.machine.name}", html=html, section="Lists and sheets",
                label=f"Practical: {view.machine.name}", digests={view.id: digest})  # fmt: skip
