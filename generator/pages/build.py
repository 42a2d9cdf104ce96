"""All pages and scripts of a course: the table of contents of the generator."""

from __future__ import annotations

from generator.course import Course
from generator.pages.calculator import calculator_pages
from generator.pages.checklist import checklist_pages
from generator.pages.lesson import lesson_pages
from generator.pages.page import Asset, Page
from generator.pages.profile import profile_page
from generator.pages.reference import reference_pages, start_page, written_pages
from generator.pages.script import course_script, own_script
from generator.pages.sheets import sheet_pages


def build_site(course: Course) -> tuple[list[Page], list[Asset]]:
    """Every page in menu order, the script they share, and each page's own data."""
    pages = [
        start_page(course),
        *lesson_pages(course),
        *checklist_pages(course),
        *sheet_pages(course),
        *calculator_pages(course),
        profile_page(course),
        *reference_pages(course),
        *written_pages(course),
    ]
    own = [Asset(own_script(page.path), page.script) for page in pages if page.script]
    return pages, [Asset("onionskin/course.js", course_script(course)), *own]


def menu(pages: list[Page]) -> dict[str, list[Page]]:
    """Pages by section in order of first appearance; the start page stands under ''."""
    sections: dict[str, list[Page]] = {}
    for page in pages:
        sections.setdefault(page.section, []).append(page)
    return sections
