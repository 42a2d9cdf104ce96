"""The one place where machine, job and workshop become the flat facts that conditions, formulas and texts see.

A fact that is not known is None, never left out, so that nothing can mistake "not asked" for "no".
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import get_args

from generator.expr import Node, Scope, Template, Value, evaluate
from generator.expr.nodes import Name
from generator.expr.template import FREE_TEXT, show_value
from generator.factspec import FactSpec, choices_of, is_part, specs_of
from generator.model import Cutter, Job, Machine, Operation, Stock, Workshop
from generator.model.base import Part
from generator.model.frame import HoldDownKind
from generator.model.job import Corner, OperationKind, Zero
from generator.model.material import Material
from generator.model.spindle import StopControl


def _number(name: str, unit: str, label: str, low: float, high: float) -> FactSpec:
    return FactSpec(name=name, kind="number", unit=unit, label=label, group=_group(name), low=low, high=high)


def _text(name: str, label: str, choices: tuple[str, ...] = ()) -> FactSpec:
    return FactSpec(name=name, kind="text", label=label, group=_group(name), choices=choices)


def _texts(name: str, label: str, choices: tuple[str, ...] = ()) -> FactSpec:
    return FactSpec(name=name, kind="texts", label=label, group=_group(name), choices=choices)


def _flag(name: str, label: str) -> FactSpec:
    return FactSpec(name=name, kind="bool", label=label, group=_group(name))


def _group(name: str) -> str:
    return name.partition(".")[0]


# Facts that are worked out below rather than written in a file under this name.
_DERIVED = [
    _texts("machine.local_rules", "Rules for this machine only"),
    _texts("stop.controls", "Every stop control"),
    _text("stop.main_control", "The control to hit first: the first of the list that was seen to stop the axes"),
    _text("stop.spindle_control", "The control that was seen to stop the spindle, its own switch if there is one"),
    _flag("stop.controls_tested", "Every stop control has been tested"),
    _number("tooling.count", "1", "Cutters kept here", 0, 1000),
    FactSpec(name="tooling.diameters", kind="numbers", unit="mm", label="Their diameters", group="tooling"),
    _number("stock.thickness_min", "mm", "Thinnest place", 0.1, 500),
    _number("stock.thickness_max", "mm", "Thickest place", 0.1, 500),
    _flag("stock.thickness_measured", "Thickness is measured"),
    _number("stock.density", "kg/m3", "Density", 10, 3000),
    _number("stock.shear_strength", "N/mm2", "Shear strength", 0, 1000),
    _number("stock.bending_strength", "N/mm2", "Bending strength", 0, 1000),
    _number("stock.stiffness", "N/mm2", "Stiffness", 0, 500_000),
    _number("stock.side_hardness", "N", "Side hardness", 0, 50_000),
    _text("stock.dust_class", "Kind of dust", choices_of(Material, "dust_class")),
    _text("stock.first_job", "Fit for a first job", choices_of(Material, "first_job")),
    _text("job.name", "Name of the job"),
    _text("job.purpose", "What it makes"),
    _text("job.program", "Program file"),
    _text("job.zero_corner", "Zero corner", get_args(Corner)),
    _text("job.z_zero", "Z zero", choices_of(Zero, "z")),
    _number("job.zero_bed_x", "mm", "Zero on the bed, X", -10_000, 10_000),
    _number("job.zero_bed_y", "mm", "Zero on the bed, Y", -10_000, 10_000),
    _number("job.safe_height", "mm", "Safe height", 0, 500),
    _number("job.stay_with_machine", "min", "You can stay for", 0.1, 1440),
    _flag("job.through", "Some cut goes right through"),
    _flag("job.frees_part", "Some cut leaves a part loose"),
    _flag("job.tabs", "Tabs hold the part"),
    _number("job.tab_count", "1", "Fewest tabs on a part", 1, 100),
    _number("job.tab_width", "mm", "Narrowest tab", 0.1, 500),
    _number("job.tab_height", "mm", "Lowest tab", 0.1, 500),
    _flag("job.skin", "An onion skin holds the part"),
    _number("job.skin_thickness", "mm", "Thinnest onion skin", 0.1, 500),
    _number("job.depth", "mm", "Deepest cut", 0.01, 500),
    _number("job.clamp_height", "mm", "Highest hold-down above the stock", -10_000, 10_000),
    _texts("job.hold_downs", "What holds the stock", get_args(HoldDownKind)),
    _number("job.hold_down_count", "1", "Hold-downs", 0, 500),
    _number("job.cutter_count", "1", "Cutters", 1, 50),
    _texts("job.operations", "Kinds of cut", get_args(OperationKind)),
    _text("workshop.name", "Workshop"),
    _text("workshop.country", "Country"),
    _text("workshop.emergency", "In an emergency"),
    _texts("workshop.rules", "Local rules"),
    _texts("workshop.roles", "Roles"),
]


def _machine_specs() -> Iterable[FactSpec]:
    yield from specs_of(Machine, "machine", "machine")
    for name, field in Machine.model_fields.items():
        if is_part(field.annotation):
            yield from specs_of(field.annotation, name, name)


_SPECS = [*_machine_specs(), *specs_of(Stock, "stock", "stock"), *specs_of(Cutter, "cutter", "cutter"), *_DERIVED]
FACTS: dict[str, FactSpec] = {spec.name: spec for spec in _SPECS}
GROUPS: dict[str, str] = {
    "machine": "Machine",
    **{name: field.title or name for name, field in Machine.model_fields.items() if is_part(field.annotation)},
    "tooling": "Cutters kept here",
    "stock": "Stock",
    "cutter": "Main cutter",
    "job": "Job",
    "workshop": "Workshop",
}


def facts_of(
    machine: Machine,
    job: Job | None = None,
    workshop: Workshop | None = None,
    materials: Mapping[str, Material] | None = None,
) -> dict[str, Value]:
    """Every fact of FACTS, in its unit; None where it is unknown or the job or workshop is left out."""
    facts: dict[str, Value] = dict.fromkeys(FACTS)
    facts |= _machine_facts(machine)
    if job is not None:
        material = (materials or {}).get(job.stock.material or "")
        facts |= _values(job.main_cutter, "cutter") | _job_facts(job)
        facts |= _stock_facts(job.stock, material)
        facts |= _depth_facts(job, facts["stock.thickness_max"])
    if workshop is not None:
        facts |= _workshop_facts(workshop, machine)
    return facts


def natural_unit(node: Node) -> str | None:
    """The unit a fact is shown in where a text gives none, None for what is no fact."""
    if not isinstance(node, Name) or node.id not in FACTS:
        return None
    spec = FACTS[node.id]
    return FREE_TEXT if spec.kind == "text" and not spec.choices else spec.unit


def say(template: Template, scope: Scope) -> str:
    """A text with its values in `scope`, each fact in its own unit, as plain words."""
    return "".join(
        part if isinstance(part, str)
        else show_value(evaluate(part.node, scope), part.unit or natural_unit(part.node), part.digits)
        for part in template
    )  # fmt: skip


def _values(part: Part, prefix: str) -> dict[str, Value]:
    """The part's own values under their fact names; tuples become lists, as content and JSON have them."""
    values = {f"{prefix}.{name}": getattr(part, name) for name in type(part).model_fields}
    return {name: list(value) if isinstance(value, tuple) else value for name, value in values.items() if name in FACTS}


def _machine_facts(machine: Machine) -> dict[str, Value]:
    facts = _values(machine, "machine")
    for name in Machine.model_fields:
        if isinstance(part := getattr(machine, name), Part):
            facts |= _values(part, name)
    controls, tooling = machine.stop.controls, machine.tooling
    facts["stop.controls"] = None if controls is None else [control.name for control in controls]
    tested = [control.tested not in (None, "never") for control in controls or ()]
    facts["stop.controls_tested"] = all(tested) if tested else None
    facts |= {"stop.main_control": _main_control(machine), "stop.spindle_control": _spindle_control(machine)}
    facts["tooling.count"] = None if tooling is None else len(tooling)
    facts["tooling.diameters"] = None if tooling is None else _known(cutter.diameter for cutter in tooling)
    facts["machine.local_rules"] = [rule.text for rule in machine.local_rules or ()]
    return facts


def _seen_to_stop(machine: Machine, what: str) -> list[StopControl]:
    controls = machine.stop.controls or ()
    return [control for control in controls if control.tested not in (None, "never") and what in (control.stops or ())]


def _main_control(machine: Machine) -> str | None:
    return next((control.name for control in _seen_to_stop(machine, "axes")), None)


def _spindle_control(machine: Machine) -> str | None:
    """A switch that leaves the axes alone comes first: it is the spindle's own."""
    seen = _seen_to_stop(machine, "spindle")
    own = [control for control in seen if "axes" not in (control.stops or ())]
    return next((control.name for control in [*own, *seen]), None)


def _known(values: Iterable[float | None]) -> list[float]:
    return sorted({value for value in values if value is not None})


def _stock_facts(stock: Stock, material: Material | None) -> dict[str, Value]:
    thin, thick = _thickness(stock, material)
    facts = _values(stock, "stock")
    facts |= {
        "stock.thickness_min": thin,
        "stock.thickness_max": thick,
        "stock.thickness_measured": stock.thicknesses is not None,
    }
    if material is None:
        return facts
    figures = ("density", "shear_strength", "bending_strength", "stiffness", "side_hardness")
    for name in figures:
        graded = getattr(material, name)
        facts[f"stock.{name}"] = graded and graded.value
    return facts | {"stock.dust_class": material.dust_class, "stock.first_job": material.first_job}


def _thickness(stock: Stock, material: Material | None) -> tuple[float | None, float | None]:
    """Thinnest and thickest in mm: as measured, else what the material's tolerance allows for the label."""
    if stock.thicknesses is not None:
        return stock.thickness_min, stock.thickness_max
    nominal = stock.thickness_nominal
    rows = material.thickness_tolerance if material is not None else ()
    row = next((row for row in rows if row.nominal == nominal), None)
    if nominal is None or row is None:
        return None, None
    return nominal - row.minus, nominal + row.plus


def _job_facts(job: Job) -> dict[str, Value]:
    operations = job.operations
    return {
        "job.name": job.name,
        "job.purpose": job.purpose,
        "job.program": job.program,
        "job.zero_corner": job.zero.corner,
        "job.z_zero": job.zero.z,
        "job.zero_bed_x": job.zero.bed_x,
        "job.zero_bed_y": job.zero.bed_y,
        "job.safe_height": job.safe_height,
        "job.stay_with_machine": job.stay_with_machine,
        "job.cutter_count": len(job.cutters),
        "job.operations": list(dict.fromkeys(operation.kind for operation in operations)) or None,
        **_hold_down_facts(job),
        **_freeing_facts(operations),
    }


def _hold_down_facts(job: Job) -> dict[str, Value]:
    spots = job.hold_downs
    if spots is None:
        return {}
    heights = [spot.height for spot in spots if spot.height is not None]
    return {
        "job.hold_downs": list(dict.fromkeys(spot.kind for spot in spots)),
        "job.hold_down_count": len(spots),
        "job.clamp_height": max(heights, default=0.0) if len(heights) == len(spots) else None,
    }


def _freeing_facts(operations: tuple[Operation, ...]) -> dict[str, Value]:
    if not operations:
        return {}
    tabs = [operation.tabs for operation in operations if operation.tabs is not None]
    return {
        "job.tab_count": min((tab.count for tab in tabs), default=None),
        "job.tab_width": min((tab.width for tab in tabs), default=None),
        "job.tab_height": min((tab.height for tab in tabs), default=None),
        "job.skin_thickness": min((operation.skin for operation in operations if operation.skin), default=None),
        "job.through": any(operation.through for operation in operations),
        "job.frees_part": any(operation.frees_part for operation in operations),
        "job.tabs": any(operation.tabs is not None for operation in operations),
        "job.skin": any(operation.skin is not None for operation in operations),
    }


def _depth_facts(job: Job, thickest: Value) -> dict[str, Value]:
    """The deepest cut in mm; a cut right through is as deep as the stock is thick, unknown where that is."""
    depths = [thickest if operation.through else operation.depth for operation in job.operations]
    known = [depth for depth in depths if isinstance(depth, float)]
    return {"job.depth": max(known) if known and len(known) == len(depths) else None}


def _workshop_facts(workshop: Workshop, machine: Machine) -> dict[str, Value]:
    rules = [rule.text for rule in workshop.rules if rule.machines is None or machine.id in rule.machines]
    return {
        "workshop.name": workshop.name,
        "workshop.country": workshop.country,
        "workshop.emergency": workshop.emergency,
        "workshop.rules": rules,
        "workshop.roles": [role.name for role in workshop.people],
    }
