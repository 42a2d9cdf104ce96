"""A set-up in numbered rows, each with the place in the job's file that it tells."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from generator.expr import Value
from generator.expr.template import UNKNOWN_WORDS
from generator.model.cutter import Cutter
from generator.model.job import HoldDownSpot, Job, Operation
from generator.model.shape import Circle, GridOfCircles, Rectangle, Shape
from generator.pages.words import kind_words
from generator.units import show

FACES = {"stock-top": "the top of the board", "bed": "the bed"}


class Row(Struct, frozen=True):
    """One thing as it lies there; `path` is its dotted place in the job's file."""

    number: int
    path: str
    label: str
    words: str


def set_up_rows(job: Job, facts: Mapping[str, Value]) -> list[Row]:
    """Board, zero, cutters, what holds, what is to be cut; lengths from the board's front-left corner and top."""
    told = [*_board(job), *_zero(job), *_cutters(job, facts), *_holding(job), *_cuts(job)]
    return [Row(number, path, label, words) for number, (path, label, words) in enumerate(told, 1)]


Told = Iterator[tuple[str, str, str]]


def _mm(value: float | None) -> str:
    return UNKNOWN_WORDS if value is None else show(value, "mm")


def _board(job: Job) -> Told:
    stock = job.stock
    yield "stock.label", "Board", stock.label or (stock.material or UNKNOWN_WORDS).replace("-", " ")
    thin, thick = stock.thickness_min, stock.thickness_max
    yield "stock.thicknesses", "Thickness measured", "not measured" if thin is None else f"{_mm(thin)} to {_mm(thick)}"
    yield "stock.size_x", "Size", f"{_mm(stock.size_x)} in X, {_mm(stock.size_y)} in Y"


def _zero(job: Job) -> Told:
    zero = job.zero
    corner = "the centre" if zero.corner == "centre" else f"the {(zero.corner or '').replace('-', ' ')} corner"
    yield "zero.corner", "X and Y zero", f"{corner} of the board" if zero.corner else UNKNOWN_WORDS
    yield "zero.z", "Z zero", FACES.get(zero.z or "", UNKNOWN_WORDS)
    yield "zero.bed_x", "Zero on the bed", f"X {_mm(zero.bed_x)}, Y {_mm(zero.bed_y)} from the bed's front left corner"
    yield "safe_height", "Safe height", f"{_mm(job.safe_height)} above the board"


def _cutters(job: Job, facts: Mapping[str, Value]) -> Told:
    for place, cutter in enumerate(job.cutters):
        yield f"cutters.{place}", "In the collet" if not place else f"Cutter {place + 1}", _cutter(cutter)
        yield f"cutters.{place}.flute_length", "Length of its edges", _mm(cutter.flute_length)
        yield f"cutters.{place}.stick_out", "Stick-out", _mm(cutter.stick_out)
        limit = "nothing" if cutter.max_speed is None else f"{show(cutter.max_speed, 'rpm')} at most"
        yield f"cutters.{place}.max_speed", "Written on its shank", limit
    speed = facts.get("fit.hand_speed")
    if isinstance(speed, float):
        yield "operations.0.speed", "Speed set by hand", show(speed, "rpm")


def _cutter(cutter: Cutter) -> str:
    kind = kind_words(cutter.kind) if cutter.kind else "cutter of a kind not known"
    number = "" if cutter.number is None else f"tool {cutter.number}, "
    flutes = "flutes not counted" if cutter.flutes is None else f"{cutter.flutes} flutes"
    return f"{number}{kind}, {_mm(cutter.diameter)}, {flutes}, shank {_mm(cutter.shank)}"


def _holding(job: Job) -> Told:
    for place, spot in enumerate(job.hold_downs or ()):
        yield f"hold_downs.{place}", (spot.name or spot.kind.replace("-", " ")).capitalize(), _spot(spot)
    if not job.hold_downs:
        yield "hold_downs", "What holds it", "nothing"


def _spot(spot: HoldDownSpot) -> str:
    size = "" if spot.size_x is None else f", {_mm(spot.size_x)} by {_mm(spot.size_y or spot.size_x)}"
    height = "" if spot.height is None else f", {_mm(spot.height)} above the board"
    return f"{spot.kind.replace('-', ' ')}, middle at X {_mm(spot.x)} Y {_mm(spot.y)}{size}{height}"


def _cuts(job: Job) -> Told:
    for place, operation in enumerate(job.operations):
        yield f"operations.{place}", f"Drawn: {operation.name}", _operation(operation)
    stay = job.stay_with_machine
    yield "stay_with_machine", "Somebody stays", UNKNOWN_WORDS if stay is None else show(stay, "min")


def _operation(operation: Operation) -> str:
    depth = "right through" if operation.through else f"{_mm(operation.depth)} deep"
    tabs = operation.tabs
    bridges = f", {tabs.count} tabs {_mm(tabs.height)} high" if tabs else ""
    return f"{operation.kind.replace('-', ' ')}, {_shape(operation.shape)}, {depth}{bridges}"


def _shape(shape: Shape) -> str:
    match shape:
        case Rectangle():
            return f"{_mm(shape.size_x)} by {_mm(shape.size_y)} from X {_mm(shape.x)} Y {_mm(shape.y)}"
        case Circle():
            return f"hole of {_mm(shape.diameter)} at X {_mm(shape.x)} Y {_mm(shape.y)}"
        case GridOfCircles():
            first = f"first at X {_mm(shape.x)} Y {_mm(shape.y)}"
            return f"{shape.columns} by {shape.rows} holes of {_mm(shape.diameter)}, {first}"
        case _:
            return f"{len(shape.points)} corners, first at X {_mm(shape.points[0][0])} Y {_mm(shape.points[0][1])}"
