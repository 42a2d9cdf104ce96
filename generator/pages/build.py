"""All pages and scripts of a course: the table of contents of the generator."""

from __future__ import annotations

from msgspec.structs import replace

from generator.course import Course
from generator.pages.calculator import calculator_pages
from generator.pages.checklist import checklist_pages
from generator.pages.clamp_bench import bench_index, bench_page
from generator.pages.cutter_cards import cutter_card_pages
from generator.pages.drill import drill_pages
from generator.pages.emergency import emergency_pages
from generator.pages.fill_in import fill_in_pages
from generator.pages.hazards import hazard_page
from generator.pages.holding import worked_jobs
from generator.pages.legal import legal_pages
from generator.pages.lesson import lesson_pages
from generator.pages.page import Asset, Page
from generator.pages.paper import paper_pages
from generator.pages.profile import profile_page
from generator.pages.record import record_page
from generator.pages.reference import reference_pages, start_page, written_pages
from generator.pages.reviews import review_page
from generator.pages.script import course_script, own_script
from generator.pages.sheet_index import sheet_index
from generator.pages.sheets import FEW, setup_sheet
from generator.pages.sign_off import sign_off_pages
from generator.pages.stop_test import stop_map_page


def build_site(course: Course) -> tuple[list[Page], list[Asset]]:
    """Every page in menu order, the script they share, and each page's own data."""
    sheets, benches = _job_pages(course)
    pages = [
        start_page(course),
        *lesson_pages(course),
        *drill_pages(course),
        review_page(course),
        *checklist_pages(course),
        *emergency_pages(course),
        *fill_in_pages(course),
        *_few_in_menu(sheets),
        *_few_in_menu([bench_index(course), *benches]),
        *_few_in_menu(cutter_card_pages(course)),
        hazard_page(course),
        *_few_in_menu(sign_off_pages(course)),
        *paper_pages(course),
        *calculator_pages(course),
        profile_page(course),
        stop_map_page(course),
        record_page(course),
        *reference_pages(course),
        *legal_pages(course),
        *written_pages(course),
    ]
    pages.append(sheet_index(course, pages))
    own = [Asset(own_script(page.path), page.script) for page in pages if page.script]
    return pages, [Asset("onionskin/course.js", course_script(course)), *own]


def _job_pages(course: Course) -> tuple[list[Page], list[Page]]:
    """Set-up sheet and clamp bench of every job, in the workshop's order."""
    # Both of a job at once: what was worked out for it takes far more room than its two pages.
    made = {
        view.id: (setup_sheet(view, course, worked), bench_page(view, course, worked))
        for view, worked in worked_jobs(course)
    }
    return [made[id_][0] for id_ in course.jobs], [made[id_][1] for id_ in course.jobs]


def _few_in_menu(pages: list[Page]) -> list[Page]:
    """Only the first few stay in menu and search, all are in the list of sheets.

    The menu stands in every page: in full it would let a site grow with the square of its jobs.
    """
    return [*pages[:FEW], *(replace(page, in_menu=False, in_search=False) for page in pages[FEW:])]


def menu(pages: list[Page]) -> dict[str, list[Page]]:
    """Pages of the menu by section in order of first appearance; the start page stands under ''."""
    sections: dict[str, list[Page]] = {}
    for page in (page for page in pages if page.in_menu):
        sections.setdefault(page.section, []).append(page)
    return sections
