"""'My machine': a form over every machine fact, kept on the learner's own device."""

from __future__ import annotations

from itertools import groupby

from generator.course import Course
from generator.factspec import FactSpec
from generator.pages.machine_facts import is_asked, machine_specs
from generator.pages.page import Page, link, render
from generator.units import UNITS

_PATH = "my-machine.html"
_DATED = {"date": "year-month-day", "date-or-never": "year-month-day, or never"}


def profile_page(course: Course) -> Page:
    """The page 'My machine'. Its fields are empty: what the machine is like, only who stands at it can say."""
    asked = filter(is_asked, machine_specs(course).values())
    groups = [(name, [_field(spec) for spec in specs]) for name, specs in groupby(asked, key=lambda spec: spec.group)]
    machines = {id_: view.machine.name for id_, view in course.views.items()}
    html = render("profile.html.j2", groups=groups, machines=machines, link=link, path=_PATH)
    return Page(path=_PATH, title="My machine", html=html, section="Your machine")


def _field(spec: FactSpec) -> dict[str, object]:
    several = spec.kind in ("texts", "numbers")
    unit = UNITS[spec.unit].label if spec.unit in UNITS else ""
    return {
        "spec": spec,
        "id": "fact-" + spec.name.replace(".", "-"),
        "several": several,
        "how": ", ".join(filter(None, (unit, "several" if several else "", _DATED.get(spec.dated, "")))),
        "keyboard": "decimal" if spec.kind == "number" and (spec.low or 0) >= 0 else "text",
    }
