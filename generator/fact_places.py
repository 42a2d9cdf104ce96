"""Where each fact is written down: the setting as it stands in the file of the machine or of the job."""

from __future__ import annotations

from typing import Any, get_args

from msgspec import Struct
from pydantic import BaseModel

from generator.model import Job, Machine

# Facts that are worked out, or go by another name than their setting -> the setting, by its way through the file.
_OTHERWISE = {
    "stock.thickness_min": "stock.thicknesses",
    "stock.thickness_max": "stock.thicknesses",
    "stock.thickness_measured": "stock.thicknesses",
    **{f"stock.{name}": "stock.material" for name in (
        "density", "shear_strength", "bending_strength", "stiffness", "side_hardness", "dust_class", "first_job")},
    "stop.main_control": "stop.controls",
    "stop.spindle_control": "stop.controls",
    "stop.controls_tested": "stop.controls.tested",
    "tooling.count": "tooling",
    "tooling.diameters": "tooling.diameter",
    "job.zero_corner": "zero.corner",
    "job.z_zero": "zero.z",
    "job.zero_bed_x": "zero.bed_x",
    "job.zero_bed_y": "zero.bed_y",
    "job.clamp_height": "hold_downs.height",
    "job.hold_down_count": "hold_downs",
    "job.cutter_count": "cutters",
    "job.through": "operations",
    "job.frees_part": "operations",
    "job.depth": "operations",
    "job.tabs": "operations.tabs",
    "job.tab_count": "operations.tabs",
    "job.tab_width": "operations.tabs",
    "job.tab_height": "operations.tabs",
    "job.skin": "operations.skin",
    "job.skin_thickness": "operations.skin",
}  # fmt: skip


class Place(Struct, frozen=True):
    """A setting as a person finds it: `file` is 'job' or 'machine', `label` the setting's own words."""

    file: str
    setting: str
    label: str


def place_of(fact: str, cutter: str) -> Place:
    """Where a fact of machine or job is written; `cutter` is the id of the cutter meant by `cutter.` names.

    Raises LookupError for a fact of neither.
    """
    group, _, name = fact.partition(".")
    in_job = group in ("stock", "cutter", "job")
    way = _OTHERWISE.get(fact) or {"cutter": f"cutters.{name}", "job": name, "machine": name}.get(group, fact)
    words, label = _walk(Job if in_job else Machine, way.split("."), cutter if group == "cutter" else None)
    return Place("job" if in_job else "machine", words, label)


def _walk(model: type[BaseModel], way: list[str], whose: str | None) -> tuple[str, str]:
    """A way as 'zero: bed_x' and the title at its end; past a list it says of which entry, or of each."""
    field = model.model_fields[way[0]]
    if len(way) == 1:
        return way[0], field.title or way[0]
    inner = _model_in(field.annotation)
    words, label = _walk(inner, way[1:], None)
    of = f" of {whose or 'each'}" if _is_list(field.annotation) else ""
    return f"{way[0]}: {words}{of}", label


def _model_in(annotation: Any) -> type[BaseModel]:
    """The group of settings inside an annotation such as `Many[Cutter] | None`. Raises LookupError."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in get_args(annotation):
        try:
            return _model_in(inner)
        except LookupError:
            continue
    raise LookupError(annotation)


def _is_list(annotation: Any) -> bool:
    return getattr(annotation, "__origin__", None) is tuple or any(_is_list(inner) for inner in get_args(annotation))
