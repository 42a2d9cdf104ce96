"""A cutter as it lies in the drawer or sits in the collet."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from generator.model.base import Name, Part, Slug
from generator.model.quantity import Count, Diameter, Gap, HelixAngle, SmallLength, SpindleSpeed

CutterMaterial = Literal["carbide", "carbide-tipped", "high-speed-steel", "diamond-tipped"]


class Cutter(Part):
    """One cutter; lengths in mm, `metres_cut` in metres."""

    id: Slug = Field(title="Short name", description="How operations of the job call this cutter.")
    name: Name | None = Field(default=None, title="Name", description="What is written on the box or drawer.")
    number: Annotated[int, Count(0, 999)] | None = Field(
        default=None, title="Tool number", description="The number after T in the program."
    )
    kind: Slug | None = Field(default=None, title="Kind", description="A kind of cutter the course knows.")
    diameter: Diameter | None = Field(
        default=None, title="Cutting diameter", description="Measured with callipers across the cutting edges."
    )
    shank: Diameter | None = Field(
        default=None, title="Shank diameter", description="The part in the collet; it must equal the collet's size."
    )
    flutes: Annotated[int, Count(1, 12)] | None = Field(
        default=None, title="Flutes", description="How many cutting edges go round the cutter."
    )
    flute_length: SmallLength | None = Field(
        default=None, title="Length of the cutting edges", description="Never cut deeper than this."
    )
    stick_out: SmallLength | None = Field(
        default=None, title="Stick-out", description="From the collet nut to the tip. Shorter is stiffer."
    )
    overall: SmallLength | None = Field(default=None, title="Overall length", description="From tip to shank end.")
    max_speed: SpindleSpeed | None = Field(
        default=None, title="Highest speed", description="The maker's limit, on shank or packet. Never exceed it."
    )
    helix: HelixAngle | None = Field(
        default=None, title="Helix angle", description="How steeply the edges wind; 0 deg for straight edges."
    )
    material: CutterMaterial | None = Field(default=None, title="Cutter material")
    metres_cut: Annotated[int, Count(0, 1_000_000)] | None = Field(
        default=None, title="Metres cut", description="Whole metres cut since new or sharpened, from the log."
    )
    worn: Literal["sharp", "used", "dull"] | None = Field(
        default=None, title="Edge", description="A dull edge rubs, heats and tears. Do not run one."
    )
    corner_radius: Gap | None = Field(default=None, title="Corner radius", description="0 mm for a flat end.")

    @property
    def called(self) -> str:
        """What a finding or a sheet calls it where there are several: its name, and the number programs know it by."""
        name = self.name or self.id
        return name if self.number is None else f"{name} (T{self.number})"

    @model_validator(mode="after")
    def _fits_its_length(self) -> Cutter:
        if self.overall is not None and max(self.flute_length or 0, self.stick_out or 0) > self.overall:
            says = "flute_length and stick_out cannot be longer than overall; measure all three again"
            raise PydanticCustomError("cutter", "{says}", {"says": says})
        return self
