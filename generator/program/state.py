"""What is in force while a program runs, and what was in force before its first line."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping

from msgspec import Struct, field

from generator.finding import Severity
from generator.program.dialect import Dialect
from generator.program.moves import LOST, PLANES, Events, Moves
from generator.program.report import LineError, Report
from generator.units import INCH

AXES = "XYZ"
Place = tuple[float | None, float | None, float | None]
UNKNOWN: Place = (None, None, None)


class Start(Struct, frozen=True, kw_only=True):
    """What the machine brings to the program; None is unknown. Lengths in mm.

    `position` is the cutter in job coordinates, `zero` the job's zero in machine coordinates.
    `origins` are the zeros of the coordinate systems 1 to 9 (G54 to G59.3), `home_28` and `home_30` the
    stored places of G28 and G30, all in machine coordinates. `tool_lengths` is the table G43 reads.
    """

    position: Place = UNKNOWN
    inches: bool = False
    feed: float | None = None
    zero: Place = UNKNOWN
    origins: Mapping[int, Place] = {}
    home_28: Place = UNKNOWN
    home_30: Place = UNKNOWN
    tool_lengths: Mapping[int, float] = {}
    parameters: Mapping[int, float] = {}


def numbers(place: Place) -> list[float]:
    """A place as numbers, nan where unknown: nan then spreads to whatever hangs on it."""
    return [math.nan if value is None else value for value in place]


class State(Struct):
    """The modal state. Places in job coordinates, mm; `feed` in mm/min, under G93 none is kept.

    `assumed` is the system taken to lie at the job's zero because nothing told where it lies.
    """

    at: list[float]
    feed: float | None
    scale: float
    motion: int | None = None
    straight: int = 0
    plane: int = 17
    absolute: bool = True
    inverse: bool = False
    arc_absolute: bool = False
    return_to_r: bool = False
    system: int = 1
    assumed: int = 1
    origins: dict[int, list[float]] = {}
    shift: list[float] = field(default_factory=lambda: [0.0, 0.0, 0.0])
    stored_shift: list[float] = field(default_factory=lambda: [0.0, 0.0, 0.0])
    length: float = 0.0
    compensation: int = 40
    cycle: dict[str, float] = {}
    spindle: int = 5
    speed: float | None = None
    tool: int | None = None
    selected: int | None = None
    ended: str = ""

    def offset(self, axis: int) -> float:
        """Job coordinate of the program's zero on one axis: system, G92 and length offset together."""
        return self.origins[self.system][axis] + self.shift[axis] + (self.length if axis == 2 else 0.0)

    def reading(self, axis: int) -> float:
        """What the controller shows for one axis, in mm."""
        return self.at[axis] - self.offset(axis)

    @property
    def axes(self) -> tuple[int, int, int]:
        """In-plane axes and normal of the plane in force."""
        return PLANES[self.plane]


class Run(Struct):
    """One reading: state, stores and findings, handed from step to step."""

    dialect: Dialect
    start: Start
    state: State
    moves: Moves
    events: Events
    report: Report
    parameters: dict[int, float]
    line: int = 0
    text: str = ""
    said: set[str] = set()
    relies: dict[str, int] = {}
    tally: Counter[str] = field(default_factory=Counter)
    fed: bool = False
    deleted_lines: int = 0
    motion_after_end: int = 0
    fence: str = ""
    code_seen: bool = False
    end_line: int | None = None

    def find(self, id: str, **details: object) -> None:
        """A finding about the line being read."""
        self.report.add(id, self.line, self.text, None, details)

    def habit(self, id: str, **details: object) -> None:
        """A peculiarity, treated as the dialect says; LineError where it refuses the line."""
        how = self.dialect.allows[id]
        if how == "refuse":
            raise LineError(id, **details)
        if how != "accept":
            self.report.add(id, self.line, self.text, Severity(how), details)

    def remark(self, id: str) -> None:
        """A peculiarity of the file rather than of a line: told as gravely as the dialect treats it."""
        how = self.dialect.allows[id]
        if how != "accept":
            self.report.add(id, self.line, self.text, Severity.STOP if how == "refuse" else Severity(how))

    def rely(self, group: str) -> None:
        """Note that the line uses a modal group no line has set: it comes from whatever ran before."""
        if group not in self.said and group not in self.relies:
            self.relies[group] = self.line

    def event(self, code: str, value: float = 0.0) -> None:
        """Keep a code in the order carried out."""
        self.events.add(len(self.moves), self.line, code, value)

    def go(self, kind: int, end: list[float], feed: float) -> None:
        """A straight move to `end`."""
        self.moves.add(kind, end, feed, self.line)
        self.state.at = end

    def lose(self, axes: str) -> None:
        """The place on these axes is not known from here on."""
        at = list(self.state.at)
        for letter in axes:
            at[AXES.index(letter)] = math.nan
        self.go(LOST, at, 0.0)

    def frame(self, machine: list[float]) -> list[float]:
        """Machine coordinates as job coordinates, nan on axes where the job's zero is not known."""
        return [value - zero for value, zero in zip(machine, numbers(self.start.zero), strict=True)]


def begin(dialect: Dialect, start: Start, report: Report) -> Run:
    """Everything ready for the first line."""
    at = numbers(start.position)
    state = State(at=at, feed=start.feed, scale=INCH if start.inches else 1.0)
    state.arc_absolute = dialect.arc_centres == "absolute"
    run = Run(dialect, start, state, Moves(at), Events(), report, dict(start.parameters))
    state.origins = {1: [0.0, 0.0, 0.0]}
    state.assumed = 0 if 1 in start.origins else 1
    for system, place in start.origins.items():
        state.origins[system] = run.frame(numbers(place))
    return run
