"""The job's set-up sheet: what lies on the bed, in which cutter, at which numbers."""

from __future__ import annotations



from generator.calc import solve
from generator.course import Course, MachineView
from generator.model.content import Calculator
from generator.pages.calculator import Row, rows

from generator.pages.live import Live
from generator.pages.page import Page, link, render
from generator.pages.words import DEFERS
from generator.units import show

def sheet_pages(course: Course, live: Live) -> list[Page]:
    """A set-up sheet for every machine that has a job."""
    return [_setup(view, course, live) for view in course.views.values() if view.job is not None]


def _setup(view: MachineView, course: Course, live: Live) -> Page:
    path = f"sheets/set-up-{view.id}.html"
    html = render("setup_sheet.html.j2", view=view, job=view.job, course=course, path=path, link=link, defers=DEFERS,
                  numbers=_numbers(view, course), show=show, workshop=course.home.workshop,
                  material=course.library.materials.get(view.job.stock.material or "") if view.job else None)  # fmt: skip
    return Page(path=path, title=f"Set-up sheet: {view.machine.name}", html=html, section="Lists and sheets")


def _numbers(view: MachineView, course: Course) -> list[tuple[Calculator, list[Row], bool]]:
    """The numbers a set-up sheet carries, by calculator, and whether any stands on an assumed input."""
    found = []
    for calculator in course.library.calculators.values():
        if any(output.on_sheet for output in calculator.outputs):
            answer = solve(calculator, view.facts)
            chosen = [row for row in rows(calculator, answer) if row.output.on_sheet]
            found.append((calculator, chosen, bool(answer.assumed)))
    return found
