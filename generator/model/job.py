"""One job: stock, cutters, what is cut, where zero is, and what holds the work.

Every position is in mm from the front-left corner of the stock (X right, Y to the rear), heights from its top face.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from generator.model.base import FileInside, Many, Name, Part, Slug, Words, YesNo
from generator.model.cutter import Cutter
from generator.model.frame import HoldDownKind
from generator.model.quantity import (
    Angle,
    Count,
    Depth,
    Feed,
    Force,
    Gap,
    Minutes,
    Position,
    SheetSize,
    SmallLength,
    SpindleSpeed,
    Thickness,
)
from generator.model.shape import Circle, GridOfCircles, Polygon, Rectangle, Shape

Corner = Literal["front-left", "front-right", "rear-left", "rear-right", "centre"]
OperationKind = Literal["profile-outside", "profile-inside", "on-line", "pocket", "bore", "drill", "surface"]

PROFILES = ("profile-outside", "profile-inside", "on-line")


class Stock(Part):
    """The piece on the bed; lengths in mm."""

    material: Slug | None = Field(default=None, title="Material", description="A material of the course, such as mdf.")
    label: Name | None = Field(default=None, title="What the label says")
    thickness_nominal: Thickness | None = Field(
        default=None, title="Thickness on the label", description="A name, not a size. Measure the sheet."
    )
    thicknesses: Annotated[Many[Thickness], Field(min_length=1, max_length=50)] | None = Field(
        default=None, title="Measured thicknesses",
        description="Callipers at the four corners at least, and where the job lies.",
    )  # fmt: skip
    size_x: SheetSize | None = Field(default=None, title="Size in X")
    size_y: SheetSize | None = Field(default=None, title="Size in Y")

    @property
    def thickness_min(self) -> float | None:
        return min(self.thicknesses) if self.thicknesses else None

    @property
    def thickness_max(self) -> float | None:
        return max(self.thicknesses) if self.thicknesses else None


class Tabs(Part):
    """Bridges left standing so that the part stays put; lengths in mm."""

    count: Annotated[int, Count(1, 100)] = Field(title="How many")
    width: SmallLength = Field(title="Width", description="Along the outline.")
    height: SmallLength = Field(title="Height", description="What is left standing above the bed.")


class Operation(Part):
    """One cut, in the order of the list; lengths in mm, feeds in mm/min, speed in rpm."""

    name: Name = Field(title="Name")
    cutter: Slug = Field(title="Cutter", description="The id of a cutter of this job.")
    kind: OperationKind = Field(title="Kind of cut")
    shape: Shape = Field(title="Shape")
    depth: Depth | None = Field(default=None, title="Depth", description="Below the top face.")
    through: YesNo = Field(default=False, title="Right through the stock")
    tabs: Tabs | None = Field(default=None, title="Tabs")
    skin: SmallLength | None = Field(
        default=None, title="Onion skin", description="A thin layer left at the bottom, cut by hand afterwards."
    )
    stepdown: Depth | None = Field(default=None, title="Stepdown", description="Depth of one pass.")
    stepover: SmallLength | None = Field(default=None, title="Stepover", description="Width of one pass in a pocket.")
    feed: Feed | None = Field(default=None, title="Feed")
    plunge: Feed | None = Field(default=None, title="Plunge feed")
    speed: SpindleSpeed | None = Field(default=None, title="Spindle speed")
    direction: Literal["climb", "conventional"] | None = Field(default=None, title="Direction of cut")

    @property
    def frees_part(self) -> bool:
        """Whether the last pass leaves something loose: a through outline without tabs or skin."""
        return self.through and self.kind in PROFILES and self.tabs is None and self.skin is None

    @property
    def opening(self) -> float | None:
        """Narrowest width in mm that the cutter must fit into; None for cuts with room on one side or unknown width."""
        if self.kind not in ("pocket", "profile-inside", "bore", "drill") or isinstance(self.shape, Polygon):
            return None
        return min(self.shape.size_x, self.shape.size_y) if isinstance(self.shape, Rectangle) else self.shape.diameter

    @model_validator(mode="after")
    def _makes_sense(self) -> Operation:
        if (self.depth is None) != self.through:
            says = "has both a depth and through; keep one" if self.through else "needs a depth, or 'through: yes'"
            raise PydanticCustomError("operation", "{says}", {"says": says})
        if self.kind in ("bore", "drill") and not isinstance(self.shape, (Circle, GridOfCircles)):
            raise PydanticCustomError("operation", "a bore or drill needs a circle or a grid-of-circles as its shape")
        if self.kind == "surface" and (not isinstance(self.shape, Rectangle) or self.through):
            raise PydanticCustomError("operation", "surfacing needs a rectangle as its shape, and a depth")
        if (self.tabs or self.skin) and not (self.through and self.kind in PROFILES):
            raise PydanticCustomError("operation", "tabs and skin are for outlines cut right through; take them away")
        return self


class Zero(Part):
    """Where the program's X0 Y0 Z0 lies; bed positions in mm from the bed's front-left corner."""

    corner: Corner | None = Field(default=None, title="Zero corner", description="Which corner of the stock is X0 Y0.")
    z: Literal["stock-top", "bed"] | None = Field(default=None, title="Z zero", description="Which face is Z0.")
    bed_x: Position | None = Field(default=None, title="Zero on the bed, X")
    bed_y: Position | None = Field(default=None, title="Zero on the bed, Y")


class HoldDownSpot(Part):
    """One clamp, screw, tape strip or vacuum area; lengths in mm, force in N."""

    kind: HoldDownKind = Field(title="Kind")
    name: Name | None = Field(default=None, title="Name")
    x: Position = Field(title="X of its middle")
    y: Position = Field(title="Y of its middle")
    size_x: SmallLength | None = Field(default=None, title="Size in X")
    size_y: SmallLength | None = Field(default=None, title="Size in Y", description="Left out: as in X.")
    angle: Angle = Field(default=0.0, title="Turned by", description="Counter-clockwise, seen from above.")
    height: Position | None = Field(
        default=None, title="Height above the stock", description="Its highest point above the top face of the stock."
    )
    force: Force | None = Field(default=None, title="Clamping force")

    def outline(self) -> tuple[float, float, float, float] | None:
        """The box round it, sides along X and Y, as (x low, y low, x high, y high) in mm; None for unknown size."""
        if self.size_x is None:
            return None
        wide, deep, turn = self.size_x / 2, (self.size_y or self.size_x) / 2, math.radians(self.angle)
        reach_x = wide * abs(math.cos(turn)) + deep * abs(math.sin(turn))
        reach_y = wide * abs(math.sin(turn)) + deep * abs(math.cos(turn))
        return self.x - reach_x, self.y - reach_y, self.x + reach_x, self.y + reach_y


class Job(Part):
    """What `jobs/NAME.yml` holds; the first cutter listed is the main one."""

    name: Name = Field(title="Name of the job")
    machine: Slug = Field(title="Machine", description="The id of a machine of this workshop.")
    purpose: Words | None = Field(default=None, title="What it makes")
    stock: Stock = Field(default=Stock.unfilled(), title="Stock")
    cutters: Annotated[Many[Cutter], Field(min_length=1, max_length=50)] = Field(title="Cutters")
    operations: Annotated[Many[Operation], Field(max_length=500)] = Field(default=(), title="Operations")
    zero: Zero = Field(default=Zero.unfilled(), title="Zero")
    hold_downs: Annotated[Many[HoldDownSpot], Field(max_length=500)] | None = Field(
        default=None, title="Hold-downs", description="Everything that stands on the bed; an empty list says: nothing."
    )
    safe_height: Gap | None = Field(
        default=None, title="Safe height", description="How high moves through air pass above the top of the stock."
    )
    program: FileInside | None = Field(default=None, title="Program file", description="From the workshop folder.")
    stay_with_machine: Minutes | None = Field(
        default=None, title="You can stay for", description="A job that takes longer must be split."
    )

    @property
    def main_cutter(self) -> Cutter:
        return self.cutters[0]

    def led_by(self, *cutters: Cutter) -> Job:
        """The job with these cutters first, so that the first of them is the main one."""
        first = {cutter.id for cutter in cutters}
        others = (cutter for cutter in self.cutters if cutter.id not in first)
        return self.model_copy(update={"cutters": (*cutters, *others)})

    def for_cutters(self, cutters: Sequence[Cutter]) -> Job:
        """The job with these cutters first, and of its operations only theirs."""
        ids = {cutter.id for cutter in cutters}
        operations = tuple(operation for operation in self.operations if operation.cutter in ids)
        return self.led_by(*cutters).model_copy(update={"operations": operations})

    @property
    def other_cutters(self) -> list[Cutter]:
        """The cutters besides the main one that some operation uses."""
        used = {operation.cutter for operation in self.operations}
        return [cutter for cutter in self.cutters[1:] if cutter.id in used]

    def cutter_of(self, operation: Operation) -> Cutter:
        """The cutter an operation of this job uses."""
        return next(cutter for cutter in self.cutters if cutter.id == operation.cutter)

    def cutter_diameter(self, operation: Operation) -> float | None:
        """Diameter in mm of the operation's cutter; None where it is unknown or not of this job."""
        return next((cutter.diameter for cutter in self.cutters if cutter.id == operation.cutter), None)

    def zero_in_stock(self) -> tuple[float, float] | None:
        """Where X0 Y0 lies in the stock's own frame, mm; None while corner or size is unknown."""
        x, y, corner = self.stock.size_x, self.stock.size_y, self.zero.corner
        if corner is None or x is None or y is None:
            return (0.0, 0.0) if corner == "front-left" else None
        if corner == "centre":
            return x / 2, y / 2
        return (x if corner.endswith("right") else 0.0), (y if corner.startswith("rear") else 0.0)
