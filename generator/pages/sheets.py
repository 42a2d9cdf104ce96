"""The set-up sheet of every job: what lies on the bed, in which cutter, at which numbers and why."""

from __future__ import annotations

from itertools import groupby

from generator.course import Course, JobView
from generator.expr.template import show_value
from generator.pages.page import Page, link, render
from generator.pages.words import DEFERS, SEVERITIES
from generator.plan import FIRST_PLAN, FirstPlan, Planned, make_plan
from generator.units import show


def sheet_pages(course: Course) -> list[Page]:
    """A set-up sheet for every job of the workshop."""
    return [_setup(view, course) for view in course.jobs.values()]


def sheet_path(job: str) -> str:
    """Where a job's set-up sheet lies in the site."""
    return f"sheets/{job}.html"


def _setup(view: JobView, course: Course) -> Page:
    path = sheet_path(view.id)
    plan = make_plan(course.library.plans[FIRST_PLAN], course.library.calculators, view.facts)
    html = render("setup_sheet.html.j2", view=view, job=view.job, course=course, path=path, link=link, defers=DEFERS,
                  plan=plan, groups=_groups(plan), shown=shown, band=band, severities=SEVERITIES, show=show,
                  workshop=course.home.workshop, material=course.library.materials.get(view.job.stock.material or ""))  # fmt: skip
    return Page(path=path, title=f"Set-up sheet: {view.job.name} on {view.machine.name}", html=html,
                section="Lists and sheets", label=f"Set-up: {view.machine.name}")  # fmt: skip


def _groups(plan: FirstPlan) -> list[tuple[str, list[Planned]]]:
    known = [planned for planned in plan.figures if planned.value is not None]
    return [(group, list(items)) for group, items in groupby(known, key=lambda planned: planned.figure.group)]


def shown(planned: Planned) -> str:
    """A number of the plan with its unit."""
    return show_value(planned.value, planned.figure.unit, planned.figure.digits)


def band(planned: Planned) -> str:
    """The band beside it, empty where there is none."""
    if planned.low is None or planned.high is None:
        return ""
    figure = planned.figure
    return f"{show_value(planned.low, figure.unit, figure.digits)} to {show_value(planned.high, figure.unit, figure.digits)}"
