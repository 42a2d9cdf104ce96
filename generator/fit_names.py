"""Facts about how a program, its job and its machine fit together, as checks may name them."""

from __future__ import annotations

from generator.content_names import fact_kinds
from generator.expr import Kind
from generator.factspec import FactSpec
from generator.library import Library
from generator.model.plan import step_kinds
from generator.program.catalogue import PROGRAM_FACTS

_FIT: dict[str, tuple[Kind, str, str]] = {
    "fit.file": ("text", "", "Name of the program's file"),
    "fit.job_names_file": ("bool", "", "The job names this very file"),
    "fit.block_delete_changes": ("texts", "", "What the switch for lines marked / changes"),
    "fit.tools_not_in_job": ("numbers", "1", "Tool numbers that no cutter of the job has"),
    "fit.tool_count": ("number", "1", "Different tools the program changes to"),
    "fit.cutter": ("text", "", "The cutter"),
    "fit.cutter_open": ("bool", "", "It is open which of the job's cutters the program is for"),
    "fit.cutter_pull": ("text", "", "Which way the cutter pulls: up, down, both or none"),
    "fit.cutter_plunge": ("text", "", "Whether the cutter may go straight down: yes, ramp-only or no"),
    "fit.hand_speed": ("number", "rpm", "Speed someone has to set at the machine"),
    "fit.hold_downs_unplaced": ("texts", "", "Hold-downs of which size or height is not known"),
    "fit.under_stock": ("bool", "", "Vacuum or tape holds the stock from below"),
    "fit.bed_bite": ("number", "mm", "How far it cuts into the bed, under the thinnest place"),
    "fit.left_uncut": ("number", "mm", "What it leaves uncut at the thickest place"),
    "fit.z_top": ("number", "mm", "Highest place of the tip that Z reaches, in the program's own heights"),
    "fit.travel_sure": ("bool", "", "It fits wherever on the bed the travel begins"),
    "fit.travel_span": ("text", "", "Axis on which the program is wider than the travel"),
    "fit.origin": ("text", "", "Zero the program seems made for: as-declared, a corner, centre or none"),
    "fit.unit_slip": ("text", "", "Sizes against stock and job: none, too-large or too-small by 25.4"),
    "fit.job_mismatch": ("number", "mm", "Largest difference between what it cuts and what the job says"),
    "fit.loose_parts": ("number", "1", "Pieces that come free with nothing holding them"),
    "fit.loose_lines": ("numbers", "1", "Lines that free them"),
    "fit.loose_size": ("text", "", "Size of the largest one"),
    "fit.parts_on_bed": ("number", "1", "Pieces that come free with only tape or vacuum under them"),
    "fit.on_bed_lines": ("numbers", "1", "Lines that free these"),
    "fit.on_bed_size": ("text", "", "Size of the largest of these"),
}  # fmt: skip

FIT_FACTS: dict[str, FactSpec] = {
    name: FactSpec(name=name, kind=kind, unit=unit, label=label, group="fit")
    for name, (kind, unit, label) in _FIT.items()
}

# Facts of the program that come out otherwise for a cutter of another size; so do all that hang on `cutter.` itself.
SIZED = frozenset({
    "count.rapid_into_clamp", "count.cut_into_clamp", "count.rapid_box_meets_clamp", "count.rapid_through_stock",
    "count.rapid_to_surface",
    "count.cut_off_stock", "fit.cutter", "fit.cutter_pull", "fit.cutter_plunge", "fit.hand_speed", "fit.z_top",
})  # fmt: skip


def check_kinds(library: Library) -> dict[str, Kind]:
    """Every name a check may use: facts of machine and job, of the program, of their fit, and what plans work out."""
    kinds = fact_kinds()
    kinds |= {name: spec.kind for name, spec in (PROGRAM_FACTS | FIT_FACTS).items()}
    for plan in library.plans.values():
        for step in plan.steps:
            if step.calculator in library.calculators:
                kinds |= step_kinds(step, library.calculators[step.calculator])
    return kinds
