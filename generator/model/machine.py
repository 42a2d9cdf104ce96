"""The profile of one router. Every setting but `id` and `name` may be unknown."""

from __future__ import annotations

from pydantic import Field

from generator.model.base import Many, Name, Part, Slug, Words
from generator.model.control import Computer, Controller, Pause, Sender, ToolChange
from generator.model.cutter import Cutter
from generator.model.frame import (
    Bed,
    Calibration,
    DriveTrain,
    FeedLimits,
    Frame,
    Gantry,
    HoldDown,
    Homing,
    Limits,
    Probe,
    TravelRange,
)
from generator.model.place import Enclosure, Extraction, People, Room, Supply
from generator.model.spindle import Spindle, Stop
from generator.model.workshop import LocalRule


class Machine(Part):
    """One router and the corner it stands in; inside everything is mm, min, N and rpm."""

    id: Slug = Field(title="Short name", description="Jobs and the workshop call the machine by it.")
    name: Name = Field(title="Name", description="What people here call it.")
    note: Words | None = Field(default=None, title="In a sentence")
    manual: Words | None = Field(default=None, title="Where its manual is", description="A page, a drawer, a web page.")
    spindle: Spindle = Field(default=Spindle.unfilled(), title="Spindle")
    stop: Stop = Field(default=Stop.unfilled(), title="Stop controls")
    pause: Pause = Field(default=Pause.unfilled(), title="Pause")
    homing: Homing = Field(default=Homing.unfilled(), title="Homing")
    limits: Limits = Field(default=Limits.unfilled(), title="Limits")
    travel: TravelRange = Field(default=TravelRange.unfilled(), title="Travel")
    drive: DriveTrain = Field(default=DriveTrain.unfilled(), title="Drives")
    frame: Frame = Field(default=Frame.unfilled(), title="Frame")
    feed: FeedLimits = Field(default=FeedLimits.unfilled(), title="Feeds")
    gantry: Gantry = Field(default=Gantry.unfilled(), title="Gantry")
    hold_down: HoldDown = Field(default=HoldDown.unfilled(), title="Holding the work")
    bed: Bed = Field(default=Bed.unfilled(), title="Bed")
    probe: Probe = Field(default=Probe.unfilled(), title="Probe")
    tool_change: ToolChange = Field(default=ToolChange.unfilled(), title="Cutter change")
    controller: Controller = Field(default=Controller.unfilled(), title="Controller")
    sender: Sender = Field(default=Sender.unfilled(), title="Sender")
    computer: Computer = Field(default=Computer.unfilled(), title="Computer")
    supply: Supply = Field(default=Supply.unfilled(), title="Power supply")
    extraction: Extraction = Field(default=Extraction.unfilled(), title="Extraction")
    enclosure: Enclosure = Field(default=Enclosure.unfilled(), title="Enclosure")
    room: Room = Field(default=Room.unfilled(), title="Room")
    people: People = Field(default=People.unfilled(), title="People")
    calibration: Calibration = Field(default=Calibration.unfilled(), title="Measured and tested")
    tooling: Many[Cutter] | None = Field(default=None, title="Cutters kept at this machine")
    local_rules: Many[LocalRule] | None = Field(default=None, title="Rules for this machine only")
