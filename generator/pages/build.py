"""All pages and scripts of a course: the table of contents of the generator."""

from __future__ import annotations

from generator.course import Course
from generator.pages.calculator import calculator_pages
from generator.pages.checklist import checklist_pages
from generator.pages.lesson import lesson_pages
from generator.pages.live import Live
from generator.pages.page import Asset, Page
from generator.pages.profile import profile_page
from generator.pages.reference import reference_pages, start_page, written_pages
from generator.pages.script import course_script
from generator.pages.sheets import sheet_pages


def build_site(course: Course) -> tuple[list[Page], list[Asset]]:
    """Every page in menu order, and the generated script they share."""
    live = Live(course)
    pages = [
        start_page(course, live),
        *lesson_pages(course, live),
        *checklist_pages(course, live),
        *sheet_pages(course, live),
        *calculator_pages(course, live),
        profile_page(course, live),
        *reference_pages(course, live),
        *written_pages(course, live),
    ]
    return pages, [Asset("onionskin/course.js", course_script(course, live))]


def menu(pages: list[Page]) -> dict[str, list[Page]]:
    """Pages by section in order of first appearance; the start page stands under ''."""
    sections: dict[str, list[Page]] = {}
    for page in pages:
        sections.setdefault(page.section, []).append(page)
    return sections
