"""A job's holding as plain data for `onionskin plan --json`, and as lines for a terminal."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from generator.hold.bending import BendingAnswer
from generator.hold.freeing import Freed
from generator.hold.given import Band, Point
from generator.hold.layout import Advice
from generator.holding.answer import Holding, Unanswered
from generator.holding.words import HOLDERS, chosen, in_order, motion, moved, placing_order, spot, times
from generator.units import show


def as_json(found: Holding | Unanswered) -> dict[str, Any]:
    """The keys hold, clamps, freed and bending; hold and clamps are None where too little is known."""
    if isinstance(found, Unanswered):
        return {"hold": None, "clamps": None, "freed": [], "bending": None}
    return {
        "hold": _hold(found), "clamps": _clamps(found), "freed": [_freed(piece, found) for piece in found.freed],
        "bending": _bending(found),
    }  # fmt: skip


def _hold(h: Holding) -> dict[str, Any]:
    grip, load = h.grip, h.situation.bare.load
    return {
        "margin": grip.margin.low, "margin_expected": grip.margin.expected, "margin_high": grip.margin.high,
        "needed": h.needed, "holds": h.holds, "rules": grip.rules.value,
        "pivot": None if grip.pivot is None else _at(grip.pivot), "worst_point": _at(grip.worst_point),
        "worst_direction": list(grip.worst_direction), "positions": [_at(pad.at) for pad in h.situation.pads],
        "force_xy_n": _band(load.sideways), "lift_n": _band(load.lift), "friction": _band(h.situation.wanted.friction),
        "clamp_force_n": _band(h.situation.press), **_changes(h),
    }  # fmt: skip


def _changes(h: Holding) -> dict[str, Any]:
    move, more = (h.review.move, h.review.one_more) if h.review else (None, None)
    return {
        "move": move and {"from": _at(moved_from(h, move)), "to": _at(move.spot.pad.at), "margin": move.margin},
        "one_more": more and {"at": _at(more.spot.pad.at), "margin": more.margin},
    }


def _clamps(h: Holding) -> dict[str, Any]:
    """The fewest clamps in placing order; count is None where no choice reaches the wanted margin."""
    order = [h.layout.spots[number] for number in placing_order(h.layout.positions)]
    return {
        "count": h.layout.count if h.reached else None, "positions": [_at(one.pad.at) for one in order],
        "bolts": [_at(one.bolt) for one in order], "kinds": [one.pad.kind for one in order],
        "exact": h.layout.exact, "bound": h.layout.bound,
        "margin": h.layout.grip.margin.low, "spots": len(h.spots.spots),
    }  # fmt: skip


def _freed(piece: Freed, h: Holding) -> dict[str, Any]:
    return {
        "name": piece.name, "held_by": list(piece.held_by), "slug": piece.slug, "margin": piece.grip.margin.low,
        "margin_expected": piece.grip.margin.expected, "holds": piece.grip.margin.low >= h.needed,
    }  # fmt: skip


def _bending(h: Holding) -> dict[str, Any] | None:
    bends = h.bending.get(h.pull)
    if bends is None:
        return None
    return {
        "lift_mm": _band(bends.lift), "limit_mm": bends.limit, "holds": bends.holds, "flutters": bends.flutters,
        "place": _at(bends.place), "span_mm": bends.span, "overhang": bends.overhang,
        "widest_mm": bends.widest if math.isfinite(bends.widest) else None, "cutter": h.pull.value,
        "by_cutter": {pull.value: answer.lift.high for pull, answer in h.bending.items()},
    }  # fmt: skip


def _band(band: Band) -> dict[str, float]:
    return {"low": band.low, "expected": band.expected, "high": band.high}


def _at(point: Point) -> list[float]:
    """A place to a tenth of a millimetre, which is finer than any clamp is set."""
    return [round(value, 1) + 0.0 for value in point]


def moved_from(h: Holding, move: Advice) -> Point:
    """Where the clamp stands that a move takes away."""
    return h.situation.pads[move.moved or 0].at


def as_lines(found: Holding | Unanswered) -> Iterator[str]:
    """What holds the board, in words."""
    if isinstance(found, Unanswered):
        return
    yield "\nWill it hold?"
    held = times(found.grip.margin.low)
    yield f"  Held at the weak end: {held} the force of the cut; {times(found.needed)} are wanted"
    yield f"      {first_to_go(found)}"
    yield f"      Expected {times(found.grip.margin.expected)}, at best {times(found.grip.margin.high)}."
    yield from (f"  {line}" for line in choice_lines(found))
    yield from (f"  {freed_line(piece)}" for piece in found.freed)
    if found.pull in found.bending:
        yield f"  {bending_line(found.bending[found.pull])}"


def first_to_go(h: Holding) -> str:
    """What would happen first and where."""
    return f"First to go: with the cutter at {spot(h.grip.worst_point)} the board would {motion(h.grip)}."


def choice_lines(h: Holding) -> Iterator[str]:
    """The fewest clamps, and what a change of this layout would buy."""
    if not h.reached:
        yield "Fewest clamps: no choice on the spots this bed offers is enough"
    elif not h.layout.count:
        yield "Fewest clamps: none; what else holds the board is enough"
    else:
        proof = "proved" if h.layout.exact else f"not proved; no fewer than {h.layout.bound} can do"
        yield f"Fewest that hold: {chosen(h.layout.spots)} ({proof}), in this order: {in_order(h.layout.spots)}"
    yield from _change_lines(h)


def _change_lines(h: Holding) -> Iterator[str]:
    """The best move and the best addition, where the margin shown would be another one."""
    move, more = (h.review.move, h.review.one_more) if h.review else (None, None)
    now = times(h.grip.margin.low)
    if move and times(move.margin) != now:
        yield f"Best single move: {moved(h.situation.pads[move.moved or 0], move.spot.pad)} gives {times(move.margin)}"
    if more and times(more.margin) != now:
        yield f"One more {more.spot.pad.kind}, at {spot(more.spot.pad.at)}, gives {times(more.margin)}"


def freed_line(piece: Freed) -> str:
    """What holds a piece as it comes free."""
    if not piece.held_by:
        return f"When {piece.name} comes free: nothing holds it"
    held = " and ".join(HOLDERS.get(kind, kind) for kind in piece.held_by)
    return f"When {piece.name} comes free: held {times(piece.grip.margin.low)} by {held}"


def bending_line(bends: BendingAnswer) -> str:
    """How far the sheet lifts between hold-downs."""
    lift, limit = show(bends.lift.high, "mm", 2), show(bends.limit, "mm", 2)
    return f"Lift between hold-downs: {lift} at {spot(bends.place)}; {limit} is the most to accept"
