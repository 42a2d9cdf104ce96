"""What the clamp bench needs in the browser: the weak case of a job as plain numbers, and the exercises it allows.

The browser works with what stands here and with grip.js; it knows no formula, no friction and no force of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from msgspec.structs import replace

from generator.hold.demand import browser_case
from generator.hold.freeing import Freed
from generator.hold.given import Pad, Point, Setup
from generator.hold.kernel import Floats
from generator.hold.outline import ring
from generator.hold.pads import clamp, screw
from generator.hold.tabs import Tab, tab_pad
from generator.holding.answer import Holding, strength_of
from generator.holding.content_numbers import constant, fallback
from generator.holding.contours import levels_for
from generator.holding.hold_downs import Standing
from generator.holding.picture import COLUMNS, ROWS, view_of
from generator.holding.situation import Situation
from generator.holding.words import HAIR, placing_order

AREAS = ("vacuum", "tape")
USUAL_TABS = 4
HINGE_REACH = 15.0
DIGITS = 3
MOST_CLAMPS = 12


def bench_data(h: Holding) -> dict[str, Any]:
    """Plain data: the drawing's scale, the board's and the part's weak case, and what each exercise asks."""
    view, board = view_of(h), h.situation.place.board
    part = next((piece for piece in h.freed if not piece.slug), None)
    return {
        "scale": view.scale, "x0": view.area.x0, "y1": view.area.y1, "columns": COLUMNS, "rows": ROWS,
        "needed": h.needed, "levels": list(levels_for(h.needed)), "most": MOST_CLAMPS, "reach": HINGE_REACH,
        "board": [board.x0, board.y0, board.x1, board.y1], "exercises": exercises(h),
        "view": {"board": _board(h)} | ({"part": _part(part, h)} if part else {}),
    }  # fmt: skip


def exercises(h: Holding) -> dict[str, int]:
    """The exercises that this job allows, each with the most clamps or tabs its answer may use."""
    part = next((piece for piece in h.freed if not piece.slug), None)
    found = {"hinge": 2}
    if h.reached and h.layout.count and {one.pad.kind for one in h.layout.spots} == {kind_of(h)}:
        found["corner"] = h.layout.count
    if part is not None:
        found["part"] = max(USUAL_TABS, len(part.part.tabs))
    return found


def kind_of(h: Holding) -> str:
    """What the bench offers: clamps, or screws where the bed takes screws alone and they are counted."""
    system = h.situation.place.system
    return "screw" if h.situation.screw and system.screws and not (system.lines or system.points) else "clamp"


def places(h: Holding) -> list[dict[str, Point]]:
    """The allowed places of clamps with their bolts; none where it is not known where slots or inserts are."""
    if not h.situation.place.bolts_known:
        return []
    at = [{"foot": one.pad.at, "bolt": one.bolt} for one in h.spots.spots if one.pad.kind == "clamp"]
    return [{name: (round(x, DIGITS), round(y, DIGITS)) for name, (x, y) in one.items()} for one in at]


def _board(h: Holding) -> dict[str, Any]:
    s, kind = h.situation, kind_of(h)
    clamp, head = s.place.clamp, s.screw_shape.head_radius
    half, nose, top = (clamp.half_width, clamp.nose, clamp.top) if kind == "clamp" else (head, head, 0.0)
    areas = [pad for pad in s.bare.pads if pad.kind in AREAS]
    own = s.own if kind == "clamp" else tuple(s.held.screws)
    others = [pad for pad in s.bare.pads if pad.kind not in (*AREAS, kind)]
    order = placing_order([one.pad.at for one in own])[:MOST_CLAMPS]
    return {
        "case": _case(s.bare, ()), "areas": _pads(s.bare, areas), "others": _pads(s.bare, others),
        "start": _pads(s.bare, [own[number].pad for number in order]),
        "bodies": [_body(own[number], s) for number in order],
        "one": _pads(s.bare, [_one(h)])[0], "places": places(h), "kind": kind, "ring": _round(ring(s.path).real),
        "paths": [_round(cut.path) for cut in s.cuts],
        "clear": s.room.keep_out(top) - HAIR, "spare": s.room.spare, "half": half, "nose": nose,
    }  # fmt: skip


def _body(one: Standing, s: Situation) -> dict[str, Any]:
    """The box and the distance that the plan judges a clamp or screw by, where the job has it."""
    return {"box": [round(side, DIGITS) for side in s.body(one)], "clear": s.keep_out(one) - HAIR}


def _one(h: Holding) -> Pad:
    """One more of what the bench offers, wherever."""
    s = h.situation
    return screw((0.0, 0.0), *s.screw) if s.screw and kind_of(h) == "screw" else clamp((0.0, 0.0), s.press)


def _part(piece: Freed, h: Holding) -> dict[str, Any]:
    others = [pad for pad in piece.setup.pads if pad.kind != "tab"]
    start = [pad for pad in piece.setup.pads if pad.kind == "tab"]
    outline = np.array(piece.part.outline)
    return {
        "case": _case(piece.setup, ()), "areas": [], "others": _pads(piece.setup, others),
        "start": _pads(piece.setup, start), "one": _pads(piece.setup, start[:1] or [_usual_tab(piece, h)])[0],
        "ring": _round(ring(outline).real), "outline": _round(outline), "bodies": [], "paths": [],
        "clear": 0, "spare": 0,
        "half": 4, "nose": 4, "places": [], "kind": "tab",
    }  # fmt: skip


def _usual_tab(piece: Freed, h: Holding) -> Pad:
    """A tab to offer where the job has none: the tabs calculator's width, no lower than it counts."""
    calculators = h.situation.library.calculators
    height = max(constant(calculators, "tabs", "height_least"), fallback(calculators, "tabs", "tab_height"))
    tab = Tab(at=(0.0, 0.0), width=fallback(calculators, "tabs", "width"), height=height)
    return tab_pad(tab, piece.part.kerf, strength_of(h.situation))


def _case(setup: Setup, pads: Sequence[Pad]) -> dict[str, Any]:
    """The set-up's weak case with these pads in place of its own."""
    return browser_case(replace(setup, pads=tuple(pads)))


def _pads(setup: Setup, pads: Sequence[Pad]) -> list[dict[str, float]]:
    found: list[dict[str, float]] = _case(setup, pads)["pads"]
    return found


def _round(points: Floats) -> list[Point]:
    """Places so fine that a hair's width does not hang on it."""
    return [(round(float(x), DIGITS), round(float(y), DIGITS)) for x, y in points]
