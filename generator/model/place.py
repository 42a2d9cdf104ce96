"""Around the machine: power, extraction, enclosure, room and people."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from generator.model.base import Many, Name, Part, Words, YesNo
from generator.model.quantity import Count, Current, Gap, SmallLength, Voltage


class Supply(Part):
    """Voltage in V, currents in A."""

    voltage: Voltage | None = Field(default=None, title="Voltage")
    breaker: Current | None = Field(default=None, title="Breaker", description="The number on the breaker or fuse.")
    shared_with: Many[Name] | None = Field(
        default=None, title="What else is on this circuit", description="An empty list says: nothing."
    )
    circuits: Annotated[int, Count(1, 10)] | None = Field(default=None, title="Circuits that feed the machine")
    residual_current_device: YesNo | None = Field(
        default=None, title="Earth-leakage protection", description="A breaker with a test button on it."
    )


class Extraction(Part):
    """Lengths in mm, current in A."""

    kind: Literal["none", "by-hand", "with-spindle", "by-controller"] | None = Field(
        default=None, title="How extraction is switched"
    )
    hose: SmallLength | None = Field(default=None, title="Hose diameter")
    earthed: YesNo | None = Field(default=None, title="Hose is earthed", description="Static upsets electronics.")
    bin: Literal["metal", "plastic", "bag"] | None = Field(
        default=None, title="Dust bin", description="An ember stays alive in it for hours."
    )
    current: Current | None = Field(default=None, title="Current", description="From the rating plate.")
    shoe: YesNo | None = Field(default=None, title="Dust shoe round the cutter")
    shoe_size_x: SmallLength | None = Field(default=None, title="Shoe size in X")
    shoe_size_y: SmallLength | None = Field(default=None, title="Shoe size in Y")
    brush_length: Gap | None = Field(default=None, title="Brush length")


class Enclosure(Part):
    """The box round the machine, if any."""

    kind: Literal["none", "open-front", "full", "interlocked"] | None = Field(default=None, title="Enclosure")
    opening_does: Literal["nothing", "pauses", "stops-axes", "stops-everything"] | None = Field(
        default=None, title="Opening the door", description="Test it with the spindle in air."
    )


class Room(Part):
    """Where the machine stands."""

    kind: Literal["home", "garage", "club", "school"] | None = Field(default=None, title="Room")
    hours: Words | None = Field(default=None, title="Hours you may make noise")
    extinguisher: Words | None = Field(default=None, title="Where the extinguisher is")
    smoke_alarm: YesNo | None = Field(default=None, title="Smoke alarm that someone hears at night")


class People(Part):
    """Who is there while it cuts."""

    mode: Literal["alone", "adult-and-child", "operator-and-watcher", "class"] | None = Field(
        default=None, title="Who is there", description="Everyone in the room needs a task or a place to stand."
    )
