"""'My machine': a form over every machine fact, kept on the learner's own device."""

from __future__ import annotations

from itertools import groupby

from generator.course import Course
from generator.expr import Value
from generator.facts import FACTS
from generator.factspec import FactSpec
from generator.pages.page import Page, render
from generator.units import UNITS, fixed

NOT_THE_MACHINE = {"stock", "cutter", "job", "workshop"}


def profile_facts() -> list[FactSpec]:
    """The facts a learner may edit: those of the machine itself that a file can hold."""
    return [spec for name, spec in FACTS.items() if spec.group not in NOT_THE_MACHINE and editable(name)]


def editable(name: str) -> bool:
    """Whether a fact is written in a machine file rather than worked out from it."""
    return name not in DERIVED


DERIVED = {
    "machine.local_rules", "stop.controls", "stop.controls_tested", "stop.main_control",
    "stop.spindle_control", "tooling.count", "tooling.diameters", "machine.id",
}  # fmt: skip


def profile_page(course: Course) -> Page:
    """The page 'My machine'."""
    groups = [(name, [_field(spec, course.view.facts) for spec in specs])
              for name, specs in groupby(profile_facts(), key=lambda spec: spec.group)]  # fmt: skip
    html = render("profile.html.j2", groups=groups, machine=course.view.facts["machine.name"])
    return Page(path="my-machine.html", title="My machine", html=html, section="Your machine")


def _field(spec: FactSpec, facts: dict[str, Value] | object) -> dict[str, object]:
    value = facts[spec.name]  # type: ignore[index]
    label = UNITS[spec.unit].label if spec.unit in UNITS else ""
    return {"spec": spec, "value": _text(value), "chosen": value if isinstance(value, list) else [], "unit": label}


def _text(value: Value) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return "; ".join(_text(item) for item in value)
    if isinstance(value, str):
        return value
    return fixed(float(value), 6).rstrip("0").rstrip(".")  # type: ignore[arg-type]
