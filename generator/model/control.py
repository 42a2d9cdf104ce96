"""What reads the program and moves the machine, and what happens at a pause or a cutter change."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from generator.model.base import DateOrNever, Many, Part, Slug, Words, YesNo
from generator.model.quantity import Count

SenderFeature = Literal[
    "confirm-zero",
    "go-to-zero-lifts-first",
    "boundary-trace",
    "check-mode",
    "fit-warning",
    "restart-at-line",
    "feed-override",
    "speed-override",
]


class Pause(Part):
    """What the pause control does."""

    behaviour: Literal["motion-only", "lifts", "stops-spindle", "stops-spindle-and-waits"] | None = Field(
        default=None, title="What a pause does",
        description="stops-spindle-and-waits: on resume it waits until the spindle is at speed.",
    )  # fmt: skip


class ToolChange(Part):
    """What the machine does at a tool-change word."""

    kind: Literal["stops-and-asks", "skipped", "first-only", "automatic"] | None = Field(
        default=None, title="At a tool change the machine", description="Run a short program in air and look."
    )
    tested: DateOrNever | None = Field(default=None, title="Tested on")


class Controller(Part):
    """The box that turns the program into motion."""

    kind: Literal["streaming", "hand-controller", "computer", "networked"] | None = Field(
        default=None, title="Kind of controller",
        description="streaming: a computer sends the program line by line. hand-controller: reads a memory stick.",
    )  # fmt: skip
    units_default: Literal["mm", "inch", "as-last-left"] | None = Field(
        default=None, title="Units without a unit word", description="What it takes a number for without G20 or G21."
    )
    dialect: Slug | None = Field(default=None, title="Dialect", description="Which program words it understands.")
    line_length: Annotated[int, Count(16, 10_000)] | None = Field(
        default=None, title="Longest line", description="In characters, from the manual."
    )
    messages: Words | None = Field(default=None, title="Where its messages appear", description="So you know to look.")


class Sender(Part):
    """What the sending software can do for you."""

    features: Many[SenderFeature] | None = Field(default=None, title="What the sender offers")


class Computer(Part):
    """The computer beside the machine."""

    kind: Literal["laptop-usb", "built-in", "network", "none"] | None = Field(default=None, title="Computer")
    sleep_off: YesNo | None = Field(
        default=None, title="Sleep is switched off", description="A computer that sleeps stops feeding the machine."
    )
    cable_tied: YesNo | None = Field(default=None, title="Cable is tied down")
