"""Materials and cutters: what a sheet is like, and what a kind of cutter does to it."""

from __future__ import annotations

from typing import Literal

from generator.model.base import Many, Pair
from generator.model.base import Slug as Id
from generator.model.content import Content, Mark, Number


class Graded(Content):
    """A material figure with the spread its sources leave."""

    value: Number
    low: Number | None = None
    high: Number | None = None
    mark: Mark
    source: Id | None = None


class Tolerance(Content):
    """What a sheet sold as `nominal` may measure."""

    nominal: Number
    plus: Number
    minus: Number
    mark: Mark
    source: Id | None = None


class ChipRange(Content):
    """A published chip load range for one cutter diameter, mm per tooth."""

    diameter: Number
    low: Number
    high: Number
    mark: Mark
    source: Id | None = None


class Material(Content):
    """A sheet or board material."""

    id: Id
    name: str
    density: Graded
    stiffness: Graded | None = None
    bending_strength: Graded | None = None
    shear_strength: Graded | None = None
    side_hardness: Graded | None = None
    thickness_tolerance: Many[Tolerance] = ()
    dust_class: Literal["hardwood", "softwood", "board", "plastic", "foam"]
    dust_note: str
    chip_load: Many[ChipRange] = ()
    start_share: Pair[Number] | None = None
    caution: str
    first_job: Literal["good", "with-care", "not-first"]
    note: str = ""


class CutterKind(Content):
    """A kind of cutter and what it does to the board."""

    id: Id
    name: str
    pull: Literal["up", "down", "both", "none"]
    helix_deg: Number | None = None
    lift_words: str
    chips_words: str
    top_edge: str
    bottom_edge: str
    good_for: str
    not_for: str
    plunge: Literal["yes", "ramp-only", "no"]
    caution: str
    sources: Many[Id] = ()
    mark: Mark
