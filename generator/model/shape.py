"""Outlines an operation follows. Positions are mm from the front-left corner of the stock, X right, Y to the rear."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from generator.model.base import Many, Pair, Part
from generator.model.quantity import Count, Gap, HoleDiameter, Position, SheetSize

Point = Pair[Position]


class Rectangle(Part):
    """Sides along X and Y; (x, y) is its front-left corner."""

    form: Literal["rectangle"]
    x: Position = Field(title="X of its front-left corner")
    y: Position = Field(title="Y of its front-left corner")
    size_x: SheetSize = Field(title="Size in X")
    size_y: SheetSize = Field(title="Size in Y")
    corner_radius: Gap = Field(default=0.0, title="Corner radius")


class Circle(Part):
    """(x, y) is its centre."""

    form: Literal["circle"]
    x: Position = Field(title="X of its centre")
    y: Position = Field(title="Y of its centre")
    diameter: HoleDiameter = Field(title="Diameter")


class Polygon(Part):
    """Straight sides through the points in order; the last joins the first."""

    form: Literal["polygon"]
    points: Annotated[Many[Point], Field(min_length=3, max_length=2000)] = Field(
        title="Corners", description="Pairs in order, such as [[0 mm, 0 mm], [80 mm, 0 mm], [40 mm, 60 mm]]."
    )


class GridOfCircles(Part):
    """Equal circles in columns along X and rows along Y; (x, y) is the centre of the front-left one."""

    form: Literal["grid-of-circles"]
    x: Position = Field(title="X of the first centre")
    y: Position = Field(title="Y of the first centre")
    pitch_x: SheetSize = Field(title="From column to column")
    pitch_y: SheetSize = Field(title="From row to row")
    columns: Annotated[int, Count(1, 100)] = Field(title="Columns")
    rows: Annotated[int, Count(1, 100)] = Field(title="Rows")
    diameter: HoleDiameter = Field(title="Diameter")

    def centres(self) -> tuple[tuple[float, float], ...]:
        """Centres in mm, row by row from the front, each row from the left."""
        return tuple(
            (self.x + column * self.pitch_x, self.y + row * self.pitch_y)
            for row in range(self.rows)
            for column in range(self.columns)
        )


Shape = Annotated[Rectangle | Circle | Polygon | GridOfCircles, Field(discriminator="form")]
