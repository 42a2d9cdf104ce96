"""What in a job file contradicts itself: sizes that no sheet and no cutter can have together. All lengths mm."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from generator.errors import Fault
from generator.model.job import Job, Operation, Stock
from generator.units import INCH, show
from generator.yamlread import Document

if TYPE_CHECKING:
    from generator.model.material import Material

# A sheet is never that many times its label, nor the label so many times the sheet: the widest gap we know is a board
# sold as 1 in and planed to 3/4 in, which is 1.34 times (our proposal).
LABEL_RATIO = 1.4
# Readings of one sheet are never that many times each other (our proposal).
SPREAD_RATIO = 1.4
# How near to 25.4 a ratio of two sizes that differ by a few tenths still comes (our proposal).
NEAR_INCH = 0.25


def job_faults(doc: Document, job: Job, material: Material | None) -> Iterator[Fault]:
    """Every fault of the job's sizes, each at its line; what is unknown gives none."""
    slips = list(_thickness_slips(doc, job.stock))
    yield from slips
    thickest = None if slips else thickest_of(job.stock, material)
    for index, operation in enumerate(job.operations):
        yield from _too_narrow(doc, index, operation, job.cutter_diameter(operation))
        yield from _too_deep(doc, index, operation, thickest)
        yield from _beyond_its_edges(doc, index, operation, job, thickest)


def thickest_of(stock: Stock, material: Material | None) -> float | None:
    """The thickest the sheet can be: as measured, else what its label and its maker's tolerance allow."""
    if stock.thicknesses:
        return stock.thickness_max
    if stock.thickness_nominal is None:
        return None
    rows = material.thickness_tolerance if material is not None else ()
    plus = next((row.plus for row in rows if row.nominal == stock.thickness_nominal), None)
    return stock.thickness_nominal * LABEL_RATIO if plus is None else stock.thickness_nominal + plus


def _thickness_slips(doc: Document, stock: Stock) -> Iterator[Fault]:
    """Readings that cannot belong to the label, else readings that cannot belong to one sheet; one fault at most."""
    label, readings = stock.thickness_nominal, stock.thicknesses or ()
    for index, reading in enumerate(readings):
        if label is not None and _apart(reading, label) > LABEL_RATIO:
            says = f"{_mm(reading)} was measured where the label says {_mm(label)}; {_slip(reading, label)}"
            yield doc.fault(("stock", "thicknesses", index), f"stock.thicknesses[{index + 1}]: {says}")
            return
    if readings and _apart(max(readings), min(readings)) > SPREAD_RATIO:
        thin, thick, middle = min(readings), max(readings), sorted(readings)[len(readings) // 2]
        odd = max(range(len(readings)), key=lambda index: (_apart(readings[index], middle), index))
        says = f"readings of one sheet run from {_mm(thin)} to {_mm(thick)}, a spread of {_mm(thick - thin)}"
        where = ("stock", "thicknesses", odd)
        yield doc.fault(where, f"stock.thicknesses[{odd + 1}]: {says}; {_slip(thick, thin)}")


def _apart(one: float, other: float) -> float:
    return max(one / other, other / one)


def _slip(one: float, other: float) -> str:
    """How many times one size is the other, and what to look at."""
    ratio = _apart(one, other)
    inch = abs(ratio / INCH - 1) <= NEAR_INCH
    mend = "an inch is 25.4 mm, so one unit is wrong: write mm or in" if inch else "check figures and units"
    return f"one is {ratio:.3g} times the other; {mend}"


def _mm(value: float) -> str:
    return show(value, "mm", 4)


def _too_narrow(doc: Document, index: int, operation: Operation, diameter: float | None) -> Iterator[Fault]:
    """An inside cut that the cutter does not fit into."""
    width = operation.opening
    if width is not None and diameter is not None and width < diameter:
        says = f"a {width:g} mm opening is narrower than its {diameter:g} mm cutter; check both"
        yield doc.fault(("operations", index, "shape"), f"{operation.name}: {says}")


def _too_deep(doc: Document, index: int, operation: Operation, thickest: float | None) -> Iterator[Fault]:
    """A cut deeper than the sheet."""
    if operation.depth is not None and thickest is not None and operation.depth > thickest:
        says = f"{_mm(operation.depth)} deep in a sheet of {_mm(thickest)} at most; check the depth and its unit, or "
        says += "write 'through: yes' instead if it is meant to go through"
        yield doc.fault(("operations", index, "depth"), f"{operation.name}: {says}")


def _beyond_its_edges(
    doc: Document, index: int, operation: Operation, job: Job, thickest: float | None
) -> Iterator[Fault]:
    """A cut deeper than the edges of its own cutter are long; how deep one right through goes, a measure tells."""
    edges = next((cutter.flute_length for cutter in job.cutters if cutter.id == operation.cutter), None)
    deep = operation.depth
    if operation.through:
        deep = thickest if job.stock.thicknesses else None
    if edges is not None and deep is not None and deep > edges:
        says = f"cuts {_mm(deep)} deep, and the edges of its cutter '{operation.cutter}' are {_mm(edges)} long: above "
        says += "them the bare shank would rub and burn; take a cutter with longer edges or cut less deep"
        where = "through" if operation.through else "depth"
        yield doc.fault(("operations", index, where), f"{operation.name}: {says}")
