"""The part that turns the cutter, and what stops it."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator
from pydantic_core import PydanticCustomError

from generator.model.base import DateOrNever, Many, Name, Part, Words, YesNo
from generator.model.quantity import Count, Current, Diameter, Minutes, Power, Seconds, SmallLength, SpindleSpeed
from generator.model.together import Together

DialMark = Annotated[
    Name,
    BeforeValidator(lambda mark: str(mark) if type(mark) in (int, float) else mark),
    WithJsonSchema({"type": ["string", "number"]}),
]
# A collet nut nobody measured is taken to be this wide (mm): the widest in use on small machines (our proposal).
WIDEST_NUT = 50.0
Turning = Literal["stops", "keeps-turning"]
Stoppable = Literal["axes", "spindle", "extraction"]


class Spindle(Part):
    """Speeds in rpm, power in W, times in s (warm-up in min), lengths in mm, current in A."""

    switching: Literal["by-hand", "by-program", "by-program-with-speed", "by-drive-panel"] | None = Field(
        default=None, title="How the spindle is switched", description="Who or what makes it turn and stop."
    )
    speed_control: Literal["dial", "drive-readout", "commanded", "fixed"] | None = Field(
        default=None, title="How its speed is set", description="A dial with marks, a drive that shows the speed, the "
        "program's S word, or one speed only."
    )  # fmt: skip
    own_switch: YesNo | None = Field(
        default=None, title="Has a switch of its own as well",
        description="A router switched by the program does not turn while its own switch is off.",
    )  # fmt: skip
    isolates_alone: YesNo | None = Field(
        default=None, title="Can be isolated alone",
        description="By its own plug or isolator, while the axes keep their power. Try it: they must still jog.",
    )  # fmt: skip
    power: Power | None = Field(default=None, title="Power", description="From the rating plate.")
    current: Current | None = Field(default=None, title="Current", description="From the rating plate.")
    min_speed: SpindleSpeed | None = Field(default=None, title="Lowest speed")
    max_speed: SpindleSpeed | None = Field(default=None, title="Highest speed")
    poles: Annotated[int, Count(2, 12)] | None = Field(
        default=None, title="Poles of the motor", description="A two-pole spindle on a drive turns 60 times its hertz."
    )
    dial_positions: Many[DialMark] | None = Field(
        default=None, title="Marks on the dial", description="In order, from slowest to fastest."
    )
    dial_speeds: Many[SpindleSpeed] | None = Field(
        default=None, title="Speed at each mark", description="One speed for each mark, from the maker or measured."
    )
    run_up: Seconds | None = Field(default=None, title="Time to reach speed", description="Time it with a watch.")
    run_down: Seconds | None = Field(
        default=None, title="Time to stand still", description="From switching off until the cutter is seen to stop."
    )
    warm_up: Minutes | None = Field(default=None, title="Warm-up time", description="What the manual asks for, if any.")
    cooling: Literal["air", "water"] | None = Field(default=None, title="Cooling")
    collets: Many[Diameter] | None = Field(
        default=None, title="Collet sizes", description="Every collet you own. A shank must equal one of them."
    )
    collet_type: Literal["split", "er"] | None = Field(default=None, title="Kind of collet")
    spanners: Annotated[int, Count(0, 2)] | None = Field(
        default=None, title="Spanners needed", description="1 where the shaft has a lock button, else 2."
    )
    nut_diameter: SmallLength | None = Field(
        default=None, title="Collet nut diameter", description="Measured across the corners."
    )
    nut_length: SmallLength | None = Field(default=None, title="Collet nut length")
    on_pause: Turning | None = Field(default=None, title="Spindle when the program pauses")
    on_disconnect: Turning | None = Field(default=None, title="Spindle when the link to the computer drops")
    on_alarm: Turning | None = Field(default=None, title="Spindle when the controller raises an alarm")

    TOGETHER: ClassVar[tuple[Together, ...]] = (
        Together(
            kind="same-count", fields=("dial_positions", "dial_speeds"),
            says="the dial has {count} marks but {other} speeds; give one speed for each mark",
        ),
        Together(
            kind="rising", fields=("dial_speeds",),
            says="{first} must rise from one mark to the next; check their order",
        ),
        Together(kind="not-above", fields=("min_speed", "max_speed"), says="{first} is above {second}; swap them"),
    )  # fmt: skip

    @model_validator(mode="after")
    def _settings_fit_each_other(self) -> Spindle:
        if says := next(filter(None, (rule.fault(self) for rule in self.TOGETHER)), None):
            raise PydanticCustomError("together", "{says}", {"says": says})
        return self


class StopControl(Part):
    """One stop control and what it was seen to stop."""

    name: Name = Field(title="Which control", description="As people here call it, such as 'red button on the front'.")
    place: Name | None = Field(default=None, title="Where it is")
    stops: Many[Stoppable] | None = Field(
        default=None, title="What it stops", description="Any of axes, spindle, extraction. Test it in air first."
    )
    position_kept: YesNo | None = Field(default=None, title="Position is kept", description="Known after a test only.")
    tested: DateOrNever | None = Field(default=None, title="Date of the test")


class Stop(Part):
    """The emergency stop and every other stop control."""

    kind: Literal["none", "motors-only", "motors-and-spindle", "everything", "software-only", "drive-input"] | None = (
        Field(default=None, title="What the emergency stop cuts", description="Test it with the spindle in air.")
    )
    position_kept: YesNo | None = Field(
        default=None, title="Position is kept after a stop", description="If not, home and set zero again."
    )
    reach: Literal["within-reach", "out-of-reach"] | None = Field(
        default=None, title="Reach", description="From where the operator stands, without crossing the gantry."
    )
    restart: Words | None = Field(default=None, title="What must be done after a stop", description="From the manual.")
    controls: Many[StopControl] | None = Field(
        default=None, title="Every stop control", description="The stop map: button, switch, plug, key on the screen."
    )
