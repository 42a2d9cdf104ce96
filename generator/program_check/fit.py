"""How program, job and machine fit together: the facts of generator.fit_names."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from generator.expr import Value
from generator.model import Job
from generator.model.job import Operation
from generator.model.material import CutterKind
from generator.model.shape import Circle, GridOfCircles, Polygon, Rectangle, Shape
from generator.program.loose import Piece, free_pieces
from generator.program.read import Program
from generator.program.setup import Outline
from generator.program_check.setting import UNDER_STOCK, Setting
from generator.units import INCH

Facts = Mapping[str, Value]
Pieces = tuple[Piece, ...]
# How far a size may be from 25.4 times another and still be told as that slip (share).
RATIO_SLACK = 0.1
CORNERS = ("front-left", "front-right", "rear-left", "rear-right", "centre")


class Given(Struct, frozen=True, kw_only=True):
    """What the fit is worked out from; `facts` hold machine, job and program."""

    program: Program
    job: Job
    setting: Setting
    facts: Facts
    cutters: Mapping[str, CutterKind]
    file: str
    block_delete_changes: tuple[str, ...]
    cutter_open: bool = False


def fit_facts(given: Given) -> dict[str, Value]:
    """Every fact of FIT_FACTS."""
    job, facts, setting = given.job, given.facts, given.setting
    pieces, on_bed = _by_what_is_under(loose_pieces(given), job)
    tools = _numbers(facts["program.tools"])
    return {
        "fit.file": given.file,
        "fit.job_names_file": None if job.program is None else job.program.rpartition("/")[2] == given.file,
        "fit.block_delete_changes": list(given.block_delete_changes),
        "fit.tools_not_in_job": _strangers(job, tools),
        "fit.tool_count": len(tools),
        "fit.cutter_open": given.cutter_open,
        "fit.hold_downs_unplaced": None if job.hold_downs is None else list(setting.unplaced),
        "fit.under_stock": None if job.hold_downs is None else any(s.kind in UNDER_STOCK for s in job.hold_downs),
        "fit.origin": _origin(given),
        "fit.unit_slip": _unit_slip(given),
        "fit.loose_parts": None if pieces is None else len(pieces),
        "fit.loose_lines": [piece.line for piece in pieces or ()],
        "fit.loose_size": _size_words(pieces),
        "fit.parts_on_bed": None if on_bed is None else len(on_bed),
        "fit.on_bed_lines": [piece.line for piece in on_bed or ()],
        "fit.on_bed_size": _size_words(on_bed),
        **cutter_fit(given),
    }  # fmt: skip


def cutter_fit(given: Given) -> dict[str, Value]:
    """Those that hang on the cutter: the main one of the job, with the cuts of the program given."""
    cutter = given.job.main_cutter
    kind = given.cutters.get(cutter.kind or "")
    return {
        "fit.cutter": cutter.called,
        "fit.cutter_pull": kind.pull if kind else None,
        "fit.cutter_plunge": kind.plunge if kind else None,
        "fit.hand_speed": given.setting.setup.hand_speed,
        "fit.z_top": given.setting.z_top,
        "fit.job_mismatch": _mismatch(given),
        **_depth(given), **_travel(given),
    }  # fmt: skip


def _strangers(job: Job, tools: Sequence[float]) -> list[float] | None:
    """Tool numbers no cutter of the job has; a lone cutter without a number is the one any lone tool is."""
    listed = {cutter.number for cutter in job.cutters}
    if listed == {None} and len(job.cutters) == 1 and len(tools) < 2:
        return []
    strange = [tool for tool in tools if tool not in listed]
    return None if strange and None in listed else strange


def _numbers(value: Value) -> list[float]:
    return [number for number in value if isinstance(number, (int, float))] if isinstance(value, (list, tuple)) else []


def _number(value: Value) -> float | None:
    return float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else None


def loose_pieces(given: Given, above: float = 0.0) -> tuple[Piece, ...] | None:
    """Pieces that come free with no hold-down on them; with `above`, those that hang on what is left below it.

    None where stock, thickness or cutter is not known.
    """
    setup, bottom = given.setting.setup, given.setting.level.thin_bottom
    if setup.stock is None or bottom is None or setup.cutter_diameter is None:
        return None
    pieces = free_pieces(given.program.moves, setup.stock, bottom + above, setup.cutter_diameter)
    return tuple(piece for piece in pieces if not any(piece.meets(clamp.outline) for clamp in setup.clamps))


def _by_what_is_under(pieces: Pieces | None, job: Job) -> tuple[Pieces | None, Pieces | None]:
    """Pieces with nothing under them, and those on tape or vacuum; an area of unknown size is counted for none."""
    if pieces is None:
        return None, None
    found = _areas(job)
    on_bed = tuple(piece for piece in pieces if any(piece.meets(area) for area in found))
    return tuple(piece for piece in pieces if piece not in on_bed), on_bed


def _areas(job: Job) -> list[Outline]:
    """Tape and vacuum in the program's coordinates, as far as it is known where they lie."""
    zero, spots = job.zero_in_stock(), [spot for spot in job.hold_downs or () if spot.kind in UNDER_STOCK]
    boxes = [spot.outline() for spot in spots]
    if zero is None:
        return []
    return [(x0 - zero[0], y0 - zero[1], x1 - zero[0], y1 - zero[1]) for x0, y0, x1, y1 in filter(None, boxes)]


def _size_words(pieces: Sequence[Piece] | None) -> str | None:
    if not pieces:
        return None
    box = max(pieces, key=lambda piece: piece.area).box
    return f"{box[2] - box[0]:.0f} mm by {box[3] - box[1]:.0f} mm"


def _depth(given: Given) -> dict[str, Value]:
    """Bite into the bed under the thinnest place, and what stays uncut at the thickest."""
    deepest, level = _number(given.facts["program.cut_min_z"]), given.setting.level
    bite = None if deepest is None or level.thin_bottom is None else max(0.0, level.thin_bottom - deepest)
    left = None if deepest is None or level.bottom is None else max(0.0, deepest - level.bottom)
    return {"fit.bed_bite": bite, "fit.left_uncut": left}


def _travel(given: Given) -> dict[str, Value]:
    facts, travel = given.facts, given.setting.travel
    spans = [_span(facts, axis) for axis in "xyz"]
    wide = [axis for axis, span, most in zip("XYZ", spans, travel, strict=True) if span and most and span > most + 1e-6]
    sides = [_within(given, axis) for axis in (0, 1)]
    return {
        "fit.travel_span": ", ".join(wide) if None not in travel else None,
        "fit.travel_sure": None if None in sides else all(sides),
    }


def _span(facts: Facts, axis: str) -> float | None:
    low, high = _number(facts[f"program.min_{axis}"]), _number(facts[f"program.max_{axis}"])
    return None if low is None or high is None else high - low


def _within(given: Given, axis: int) -> bool | None:
    low, high = given.setting.sure_low[axis], given.setting.sure_high[axis]
    letter = "xyz"[axis]
    least, most = (
        _number(given.facts[f"program.machine_min_{letter}"]),
        _number(given.facts[f"program.machine_max_{letter}"]),
    )
    if low is None or high is None or least is None or most is None:
        return None
    return low - 1e-6 <= least and most <= high + 1e-6


def _cut_box(facts: Facts) -> Outline | None:
    values = [_number(facts[f"program.cut_{side}_{axis}"]) for side in ("min", "max") for axis in "xy"]
    return None if None in values else (values[0], values[1], values[2], values[3])  # type: ignore[return-value]


def _origin(given: Given) -> str | None:
    """Which zero puts every cut on the stock: the one declared if it does, else another that the numbers speak for."""
    box, stock, declared = _cut_box(given.facts), given.job.stock, given.job.zero.corner
    if box is None or stock.size_x is None or stock.size_y is None:
        return None
    reach = 2 * (given.setting.setup.cutter_diameter or 0.0) + 1e-6
    fitting = [corner for corner in CORNERS if _fits(box, corner, stock.size_x, stock.size_y, reach)]
    if declared in fitting:
        return "as-declared"
    return next((corner for corner in fitting if _speaks_for(box, corner, reach)), "none")


def _fits(box: Outline, corner: str, size_x: float, size_y: float, reach: float) -> bool:
    x, y = _corner(corner, size_x, size_y)
    across = box[0] + x >= -reach and box[2] + x <= size_x + reach
    return across and box[1] + y >= -reach and box[3] + y <= size_y + reach


def _speaks_for(box: Outline, corner: str, reach: float) -> bool:
    """Whether cuts lie as they would from this zero: about evenly round a centre, to one side of a corner."""
    x_low, y_low, x_high, y_high = box
    if corner == "centre":
        return abs(x_low + x_high) <= (x_high - x_low) / 4 and abs(y_low + y_high) <= (y_high - y_low) / 4
    right = x_high <= reach if corner.endswith("right") else x_low >= -reach
    return right and (y_high <= reach if corner.startswith("rear") else y_low >= -reach)


def _corner(corner: str, x: float, y: float) -> tuple[float, float]:
    if corner == "centre":
        return x / 2, y / 2
    return (x if corner.endswith("right") else 0.0), (y if corner.startswith("rear") else 0.0)


def _unit_slip(given: Given) -> str | None:
    """Whether sizes are off by 25.4 against what the job says it cuts, else against the stock."""
    box, wanted, stock = _cut_box(given.facts), job_box(given.job), given.job.stock
    if box is None:
        return None
    wide = max(box[2] - box[0], box[3] - box[1])
    planned = 0.0 if wanted is None else max(wanted[2] - wanted[0], wanted[3] - wanted[1])
    by_job = _slip_of(wide / planned) if planned else None
    if by_job in ("too-large", "too-small"):
        return by_job
    if stock.size_x is None or stock.size_y is None:
        return by_job
    most = max(stock.size_x, stock.size_y)
    if wide > 2 * most and wide / INCH <= most:
        return "too-large"
    small = wanted is None and most / 2 < wide * INCH <= most and _shallow(given)
    return "too-small" if small else "none"


def _slip_of(ratio: float) -> str:
    if abs(ratio / INCH - 1) < RATIO_SLACK:
        return "too-large"
    return "too-small" if abs(ratio * INCH - 1) < RATIO_SLACK else "none"


def _shallow(given: Given) -> bool:
    """Whether the depth too would make sense only 25.4 times larger."""
    deepest, top, thick = (
        _number(given.facts["program.cut_min_z"]),
        given.setting.level.top,
        given.facts["stock.thickness_max"],
    )
    if deepest is None or top is None or not isinstance(thick, float):
        return False
    return 0 < (top - deepest) * INCH <= 1.2 * thick and top - deepest < thick / 10


def _mismatch(given: Given) -> float | None:
    box, wanted, zero = _cut_box(given.facts), job_box(given.job), given.job.zero_in_stock()
    if box is None or wanted is None or zero is None:
        return None
    return max(
        abs(found - (said - zero[place % 2])) for place, (found, said) in enumerate(zip(box, wanted, strict=True))
    )


def job_box(job: Job) -> Outline | None:
    """Where the cutter's centre goes by what the job says it cuts, in the stock's own frame; None where it does not."""
    boxes = [_operation_box(operation, job) for operation in job.operations]
    known = [box for box in boxes if box is not None]
    if not known or len(known) < len(boxes):
        return None
    return (min(b[0] for b in known), min(b[1] for b in known), max(b[2] for b in known), max(b[3] for b in known))


def _operation_box(operation: Operation, job: Job) -> Outline | None:
    diameter = job.cutter_diameter(operation)
    if diameter is None:
        return None
    out = {"profile-outside": diameter / 2, "on-line": 0.0, "drill": 0.0}.get(operation.kind, -diameter / 2)
    low_x, low_y, high_x, high_y = _shape_box(operation.shape, operation.kind)
    middle_x, middle_y = (low_x + high_x) / 2, (low_y + high_y) / 2
    return (
        min(low_x - out, middle_x),
        min(low_y - out, middle_y),
        max(high_x + out, middle_x),
        max(high_y + out, middle_y),
    )


def _shape_box(shape: Shape, kind: str) -> Outline:
    match shape:
        case Rectangle():
            return shape.x, shape.y, shape.x + shape.size_x, shape.y + shape.size_y
        case Circle():
            return _round((shape.x,), (shape.y,), 0.0 if kind == "drill" else shape.diameter / 2)
        case GridOfCircles():
            xs, ys = zip(*shape.centres(), strict=True)
            return _round(xs, ys, 0.0 if kind == "drill" else shape.diameter / 2)
        case Polygon():
            xs, ys = zip(*shape.points, strict=True)
            return _round(xs, ys, 0.0)


def _round(xs: Iterable[float], ys: Iterable[float], radius: float) -> Outline:
    xs, ys = tuple(xs), tuple(ys)
    if not all(math.isfinite(value) for value in (*xs, *ys)):
        return (0.0, 0.0, 0.0, 0.0)
    return min(xs) - radius, min(ys) - radius, max(xs) + radius, max(ys) + radius
