"""The set-up sheet of every job: what lies on the bed, in which cutter, at which numbers and why."""

from __future__ import annotations

from itertools import groupby

from generator.course import Course, JobView
from generator.expr.template import show_value
from generator.model.workshop import Gate
from generator.pages.holding import Worked, holding_block
from generator.pages.local_rules import asked_at, rules_for
from generator.pages.page import Page, link, render
from generator.pages.stamp import sheet_digest, stamp_of
from generator.pages.stop_map import stop_map_block
from generator.pages.words import DEFERS, SEVERITIES
from generator.plan import FirstPlan, Planned, findings_of_others, plans_of_others
from generator.units import show

GATE: Gate = "before-set-up"  # the moment this sheet is for
FEW = 8  # sheets of a kind that menu, search and first page name; the list of sheets has all


def sheet_path(job: str) -> str:
    """Where a job's set-up sheet lies in the site."""
    return f"sheets/{job}.html"


def setup_sheet(view: JobView, course: Course, worked: Worked) -> Page:
    """The set-up sheet of one job."""
    path, plan = sheet_path(view.id), worked.plan
    digest = sheet_digest(course, view.job.machine, plan, view.job)
    rules = rules_for(course.home, view.job.machine)
    others = plans_of_others(plan, course.library, view.machine, view.job, course.home.workshop)
    findings = [*plan.findings, *findings_of_others(plan, others), *worked.found.findings]
    html = render("setup_sheet.html.j2", view=view, job=view.job, course=course, path=path, link=link, defers=DEFERS,
                  holding=holding_block(view.job, worked), findings=findings, others=others,
                  plan=plan, groups=_groups(plan), shown=shown, stops=stop_map_block(view), band=band,
                  severities=SEVERITIES, show=show,
                  stated=[line for line in rules if not line.rule.gate], asked=asked_at(rules, [GATE]),
                  stamp=stamp_of(course, view.job.machine, digest, "Set up by"),
                  material=course.library.materials.get(view.job.stock.material or ""))  # fmt: skip
    return Page(path=path, title=f"Set-up sheet: {view.job.name} on {view.machine.name}", html=html,
                section="Lists and sheets", label=f"Set-up: {view.machine.name}",
                digests={view.job.machine: digest})  # fmt: skip


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
    unit, digits = planned.figure.unit, planned.figure.digits
    return f"{show_value(planned.low, unit, digits)} to {show_value(planned.high, unit, digits)}"
