"""The body of the machine: how far, how fast and how stiffly it moves, and what the work lies on."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from generator.model.base import DateOrNever, Many, Name, Part, YesNo
from generator.model.quantity import (
    Acceleration,
    Count,
    Feed,
    Flexibility,
    Gap,
    Position,
    SmallError,
    SmallLength,
    Thickness,
    Travel,
    VacuumPressure,
)

Drive = Literal["belt", "rack", "lead-screw", "ball-screw"]
HoldDownKind = Literal[
    "t-slots", "threaded-inserts", "v-grooves", "screws", "side-clamps", "vacuum", "tape", "tape-and-glue"
]


class TravelRange(Part):
    """Lengths in mm."""

    x: Travel | None = Field(default=None, title="Travel in X", description="Jog from end to end and read it off.")
    y: Travel | None = Field(default=None, title="Travel in Y")
    z: Travel | None = Field(default=None, title="Travel in Z")
    start_x: Position | None = Field(
        default=None, title="X travel begins at", description="From the bed's left edge to the tip with X at that end."
    )
    start_y: Position | None = Field(
        default=None, title="Y travel begins at", description="From the bed's front edge to the tip with Y at that end."
    )
    z_clear: SmallLength | None = Field(
        default=None, title="Clear height", description="From the bed to the collet nut with Z at the top."
    )


class DriveTrain(Part):
    """How the motors move the axes; backlash in mm."""

    xy: Drive | None = Field(default=None, title="Drive of X and Y")
    z: Drive | None = Field(default=None, title="Drive of Z")
    backlash: SmallError | None = Field(
        default=None, title="Backlash", description="The play when an axis turns back, measured with a dial gauge."
    )
    z_falls: YesNo | None = Field(
        default=None, title="Z sinks when the motors are off", description="Try it with a soft block under the cutter."
    )


class Frame(Part):
    """Flexibility in mm per N at the cutter."""

    stiffness: Literal["light", "medium", "stiff"] | None = Field(
        default=None, title="Stiffness", description="Light: plastic or small profiles. Stiff: heavy steel or castings."
    )
    flexibility: Flexibility | None = Field(
        default=None, title="Measured flexibility", description="Push sideways with a spring scale, read a dial gauge."
    )


class FeedLimits(Part):
    """Feeds in mm/min, acceleration in mm/s2."""

    max_xy: Feed | None = Field(default=None, title="Highest feed in X and Y")
    max_z: Feed | None = Field(default=None, title="Highest feed in Z")
    rapid: Feed | None = Field(default=None, title="Rapid speed", description="The speed of moves through air.")
    acceleration: Acceleration | None = Field(default=None, title="Acceleration")


class Gantry(Part):
    """How the gantry is driven."""

    motors: Literal["one", "two-squared", "two-not-squared"] | None = Field(
        default=None, title="Motors of the gantry", description="Squared: each side has its own homing switch."
    )


class HoldDown(Part):
    """What holds the work; lengths in mm measured from the bed's front-left corner, pressure in kPa."""

    kinds: Many[HoldDownKind] | None = Field(default=None, title="Ways of holding", description="All that you have.")
    bolt_diameter: SmallLength | None = Field(default=None, title="Bolt diameter of the clamps")
    knob: Literal["wing-nut", "small-knob", "star-knob"] | None = Field(default=None, title="What you tighten by hand")
    clamp_material: Literal["wood", "plastic", "aluminium", "steel"] | None = Field(
        default=None, title="Clamps are made of", description="A cutter survives meeting wood or plastic more often."
    )
    clamp_height: Gap | None = Field(
        default=None, title="Usual height of a clamp above the stock", description="Bolt and knob included."
    )
    clamp_count: Annotated[int, Count(0, 100)] | None = Field(default=None, title="Clamps you own")
    slot_direction: Literal["along-x", "along-y"] | None = Field(default=None, title="Direction of the slots")
    slot_pitch: SmallLength | None = Field(default=None, title="Distance from slot to slot")
    slot_first: Gap | None = Field(default=None, title="First slot", description="From the bed's edge to its middle.")
    insert_pitch: SmallLength | None = Field(default=None, title="Distance from insert to insert")
    insert_first_x: Gap | None = Field(default=None, title="First insert, X")
    insert_first_y: Gap | None = Field(default=None, title="First insert, Y")
    vacuum_pressure: VacuumPressure | None = Field(
        default=None, title="Vacuum", description="Below the air around it, read on the gauge with the work on the bed."
    )
    vacuum_zones: Annotated[int, Count(1, 100)] | None = Field(default=None, title="Vacuum zones")


class Bed(Part):
    """Lengths in mm."""

    thickness: Thickness | None = Field(default=None, title="Thickness of the wasteboard")
    material: Literal["mdf", "plywood", "particle-board", "plastic", "aluminium", "none"] | None = Field(
        default=None, title="Wasteboard is made of"
    )
    metal_below: YesNo | None = Field(default=None, title="Metal below the wasteboard")
    insert_depth: Gap | None = Field(
        default=None, title="Inserts lie below the surface by", description="Cut deeper than this and you hit one."
    )
    last_surfaced: DateOrNever | None = Field(default=None, title="Last surfaced", description="A date, or never.")
    size_x: Travel | None = Field(default=None, title="Bed size in X")
    size_y: Travel | None = Field(default=None, title="Bed size in Y")
    flatness: SmallError | None = Field(
        default=None, title="Flatness", description="Highest minus lowest point, measured from the spindle."
    )


class Probe(Part):
    """Plate thickness in mm."""

    kind: Literal["none", "z-plate", "corner-plate", "length-sensor"] | None = Field(
        default=None, title="Probe", description="none: you set zero with a strip of paper."
    )
    second: Literal["none", "z-plate", "corner-plate", "length-sensor"] | None = Field(
        default=None, title="A second probe", description="Two kinds in use need a rule for which one sets what."
    )
    plate_thickness: SmallLength | None = Field(
        default=None, title="Plate thickness", description="Measure the plate; do not trust the number in the software."
    )


class Homing(Part):
    """How the machine finds its own corner."""

    kind: Literal["none", "one-corner", "both-motors-squared", "against-stop"] | None = Field(
        default=None, title="Homing", description="against-stop: pushed by hand to a stop with the motors off."
    )
    corner: Literal["front-left", "front-right", "rear-left", "rear-right"] | None = Field(
        default=None, title="Homing corner"
    )
    signs: Literal["positive", "negative"] | None = Field(
        default=None, title="Sign of machine positions", description="Read X on the screen in the middle of the bed."
    )


class Limits(Part):
    """What ends a move that would leave the travel; margin in mm."""

    kind: Literal["none", "soft", "hard-switches"] | None = Field(default=None, title="Limits of travel")
    margin: Gap | None = Field(default=None, title="Margin kept from the ends")


class Calibration(Part):
    """When each thing was last measured (a date, or never), and what was found, in words."""

    square: DateOrNever | None = Field(default=None, title="X square to Y, measured on")
    square_found: Name | None = Field(default=None, title="Squareness found")
    spindle_square: DateOrNever | None = Field(default=None, title="Spindle square to the bed, measured on")
    spindle_square_found: Name | None = Field(default=None, title="Spindle squareness found")
    steps: DateOrNever | None = Field(default=None, title="Distances checked on")
    steps_found: Name | None = Field(default=None, title="Distance found")
    flatness: DateOrNever | None = Field(default=None, title="Bed flatness checked on")
    dial: DateOrNever | None = Field(default=None, title="Spindle speed measured on")
    dial_found: Name | None = Field(default=None, title="Spindle speeds found")
    direction: DateOrNever | None = Field(default=None, title="Turning direction looked at on")
    stop_test: DateOrNever | None = Field(default=None, title="Stop controls tested on")
    stop_test_found: Name | None = Field(default=None, title="Stop test found")
