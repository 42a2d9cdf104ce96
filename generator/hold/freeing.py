"""The moment of freeing: the sheet may hold while the part does not, so each part is judged when it comes free."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from generator.finding import Finding, Severity
from generator.hold.given import Band, Load, Pad, Point, Setup, demand_number
from generator.hold.grip import GripAnswer, grip_over
from generator.hold.outline import area, as_points, distance_to_segments, hull, inside, ring
from generator.hold.pads import tape, vacuum
from generator.hold.tabs import Strength, Tab, skin_pads, tab_pad

SLUG_GRID = 60


class Part(Struct, frozen=True, kw_only=True):
    """A piece that the program cuts out.

    outline: the piece's own edge, in order; kerf: cutter diameter; skin: thickness left all round, 0 for none;
    slug: the piece is waste inside a hole.
    """

    name: str
    outline: tuple[Point, ...]
    kerf: float
    tabs: tuple[Tab, ...] = ()
    skin: float = 0.0
    slug: bool = False

    def __post_init__(self) -> None:
        demand_number(f"the kerf of {self.name}", self.kerf, above=0.0)
        demand_number(f"the skin of {self.name}", self.skin, least=0.0)
        as_points(f"the outline of {self.name}", self.outline)


class Zone(Struct, frozen=True, kw_only=True):
    """An area of tape (shear it holds, kPa) or of vacuum (pressure at the gauge, kPa)."""

    outline: tuple[Point, ...]
    strength: Band


class Sheet(Struct, frozen=True, kw_only=True):
    """What lies under and on the sheet: bed friction, hold-downs, tape, vacuum, strength, weight in N/mm2."""

    bed_friction: Band
    strength: Strength
    pads: tuple[Pad, ...] = ()
    tapes: tuple[Zone, ...] = ()
    vacuums: tuple[Zone, ...] = ()
    weight_per_area: float = 0.0


class Freed(Struct, frozen=True, kw_only=True):
    """One part as its last pass frees it: what still holds it (kinds of hold-down, empty for nothing) and how well."""

    part: Part
    setup: Setup
    name: str
    held_by: tuple[str, ...]
    slug: bool
    grip: GripAnswer
    findings: tuple[Finding, ...]


def freed(parts: Sequence[Part], sheet: Sheet, load: Load, needed: float) -> tuple[Freed, ...]:
    """Every part, in the order of cutting, at the moment its last pass with `load` frees it."""
    return tuple(_freed(part, parts[:place], sheet, load, needed) for place, part in enumerate(parts))


def _freed(part: Part, before: Sequence[Part], sheet: Sheet, load: Load, needed: float) -> Freed:
    outline = as_points(f"the outline of {part.name}", part.outline)
    pads = _pads_on(part, before, sheet)
    setup = Setup(
        pads=tuple(pads), load=load, bed_friction=sheet.bed_friction, outline=part.outline,
        weight=sheet.weight_per_area * area(outline),
    )  # fmt: skip
    answer = grip_over(setup, outline, ring(outline))
    held_by = tuple(sorted({pad.kind for pad in pads}))
    wrong = _findings(part, held_by, answer, needed)
    return Freed(part=part, setup=setup, name=part.name, held_by=held_by, slug=part.slug, grip=answer, findings=wrong)


def _pads_on(part: Part, before: Sequence[Part], sheet: Sheet) -> list[Pad]:
    """Tabs and skin, hold-downs that stand on the part, and the tape and vacuum under it."""
    outline = as_points("the part's outline", part.outline)
    pads = [tab_pad(tab, part.kerf, sheet.strength) for tab in part.tabs]
    if part.skin:
        pads += skin_pads(part.outline, part.skin, part.kerf, sheet.strength)
    if sheet.pads:
        on = inside(np.array([pad.at for pad in sheet.pads]), outline)
        pads += [pad for pad, stands in zip(sheet.pads, on, strict=True) if stands]
    for zone in sheet.tapes:
        pads += tape(zone.outline, zone.strength, within=part.outline)
    opened = sum(_opened(other) for other in before if contains(part, other))
    for zone in sheet.vacuums:
        pads += vacuum(zone.outline, zone.strength, leak_area=opened, within=part.outline)
    return pads


def _opened(part: Part) -> float:
    """Area that a finished cut opens to the air: the piece, which may lift out, and the kerf round it, mm2."""
    outline = as_points("the part's outline", part.outline)
    length = float(np.hypot(*(np.roll(outline, -1, axis=0) - outline).T).sum())
    return area(outline) + length * part.kerf


def contains(outer: Part, inner: Part) -> bool:
    """Whether one part's outline lies inside another's."""
    a, b = as_points("an outline", outer.outline), as_points("an outline", inner.outline)
    return outer is not inner and area(a) > area(b) and bool(inside(b, a).all())


def _findings(part: Part, held_by: tuple[str, ...], answer: GripAnswer, needed: float) -> tuple[Finding, ...]:
    if not held_by:
        return (_loose_slug(part) if part.slug else _loose_part(part),)
    if answer.margin.low >= needed:
        return ()
    held = ", ".join(held_by)
    return (
        Finding(
            id="hold-part-weak", severity=Severity.STOP,
            says=f"when the last pass frees {part.name}, what holds it ({held}) has a margin of only "
            f"{answer.margin.low:.1f}; {needed:g} is wanted",
            mend="leave larger or more tabs, or a skin; take the last pass thinner",
        ),
    )  # fmt: skip


def _loose_part(part: Part) -> Finding:
    return Finding(
        id="hold-part-comes-free", severity=Severity.STOP,
        says=f"nothing holds {part.name} when the last pass frees it; the cutter can catch and throw it",
        mend="leave tabs or a skin, or screw, tape or clamp the part itself",
    )  # fmt: skip


def _loose_slug(part: Part) -> Finding:
    return Finding(
        id="hold-slug-comes-free", severity=Severity.STOP,
        says=f"the waste inside {part.name} comes loose beside the turning cutter",
        mend="clear the hole away as a pocket, or leave the waste on tabs or a skin",
    )  # fmt: skip


def slug_of(hole: Sequence[Point], kerf: float, name: str = "hole") -> Part | None:
    """The loose waste that a profile cut leaves inside a hole's outline, None where the cutter clears all of it.

    Where the hole is far from convex the waste's outline is its hull, so a little too large.
    """
    demand_number("the kerf", kerf, above=0.0)
    outline = as_points("the hole's outline", hole)
    low, high = outline.min(axis=0), outline.max(axis=0)
    # no place inside lies farther from the edge than half the lesser width
    if float((high - low).min()) <= 2 * kerf:
        return None
    steps = (np.arange(SLUG_GRID) + 0.5)[:, None] / SLUG_GRID * (high - low) + low
    places = np.stack(np.meshgrid(steps[:, 0], steps[:, 1]), axis=-1).reshape(-1, 2)
    places = places[inside(places, outline)]
    away = distance_to_segments(places, outline, np.roll(outline, -1, axis=0)).min(axis=1)
    corners = hull(places[away > kerf])
    if len(corners) < 3:
        return None
    return Part(name=name, outline=tuple((float(x), float(y)) for x, y in corners), kerf=kerf, slug=True)


def order_findings(parts: Sequence[Part]) -> tuple[Finding, ...]:
    """What is wrong with cutting `parts` in the order given: one finding for each part cut before its inside."""
    found = []
    for place, part in enumerate(parts):
        late = [other.name for other in parts[place + 1 :] if contains(part, other)]
        if late:
            found.append(_late(part.name, late))
    return tuple(found)


def _late(name: str, late: list[str]) -> Finding:
    return Finding(
        id="hold-inside-cut-late", severity=Severity.WARN,
        says=f"{name} is cut free before {', '.join(late)} inside it, which then is cut in a part that may shift",
        mend="cut what lies inside first, and the biggest outline last",
    )  # fmt: skip
