"""What the page 'My machine' and the browser's store know of each fact: the rules a machine's file is held to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec.structs import replace

from generator.course import Course, content_folders
from generator.expr import Value
from generator.facts import FACTS, facts_of
from generator.factspec import FactSpec, is_part
from generator.load_content import dialect_ids
from generator.model import Machine
from generator.model.base import UNKNOWN
from generator.pages.stop_map import OWN

_NOT_THE_MACHINE = {"stock", "cutter", "job", "workshop"}
_NO_FIELD = {
    "machine.local_rules", "stop.controls", "stop.controls_tested", "stop.main_control",
    "stop.spindle_control", "tooling.count", "tooling.diameters", "machine.id",
}  # fmt: skip
# What was seen, tested or measured at one machine, and where it stands, says nothing about another.
_OF_ONE_GROUPS = {"stop", "calibration", "supply", "room", "people", "computer"}
_OF_ONE = {
    "machine.name", "machine.note", "machine.manual", "spindle.run_up", "spindle.run_down", "spindle.on_pause",
    "spindle.on_disconnect", "spindle.on_alarm", "spindle.isolates_alone", "frame.flexibility", "drive.backlash",
    "drive.z_falls", "bed.thickness", "bed.insert_depth", "bed.flatness", "probe.plate_thickness", "extraction.earthed",
}  # fmt: skip


def machine_specs(course: Course) -> Mapping[str, FactSpec]:
    """Every fact by name; where content says which words there are, as for dialects, they are its choices."""
    known = dialect_ids(content_folders(course.home.folder)) - {UNKNOWN}
    dialect = replace(FACTS["controller.dialect"], choices=tuple(sorted(known)))
    return {**FACTS, dialect.name: dialect}


def is_asked(spec: FactSpec) -> bool:
    """Whether the fact is written in a machine's file as one value, so that a form can ask for it."""
    return spec.group not in _NOT_THE_MACHINE and spec.name not in _NO_FIELD


def may_be_copied(spec: FactSpec) -> bool:
    """Whether one machine's value may stand for another's until somebody looks."""
    return is_asked(spec) and not (spec.group in _OF_ONE_GROUPS or spec.name in _OF_ONE or spec.dated)


def rules_together() -> Iterator[dict[str, object]]:
    """The rules on settings that must fit each other, with the names of their facts."""
    for group, field in Machine.model_fields.items():
        if is_part(field.annotation):
            for rule in getattr(field.annotation, "TOGETHER", ()):
                names = [f"{group}.{name}" for name in rule.fields]
                yield {"kind": rule.kind, "names": names, "says": rule.says}


def blank_facts(course: Course) -> Mapping[str, Value]:
    """The facts of a machine of which nothing is known, in this workshop."""
    machine = Machine(id=OWN, name="My machine")
    return facts_of(machine, course.view.job, course.home.workshop, course.library.materials)
