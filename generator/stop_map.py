"""The stop map: what each control of a machine was seen to stop.

Only a test proves a square. What a profile says without the date of a test is unknown here, and unknown
counts as "goes on".
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from generator.model.machine import Machine
from generator.model.spindle import StopControl

# The four questions of ISO 12100 and ISO 13850 practice, in our words: does it move, turn, blow, and know its place.
EFFECTS: Mapping[str, str] = {
    "axes": "Axes", "spindle": "Spindle", "extraction": "Extraction", "position": "Position",
}  # fmt: skip
STOPS, GOES_ON, KEPT, LOST, NONE_HERE, UNKNOWN = "stops", "goes on", "kept", "lost", "none here", "unknown"
# What every machine has in some form, for a profile that names no control.
USUAL_CONTROLS = (
    "emergency stop", "pause", "switch of the spindle", "switch of the extraction", "plug or isolator",
)  # fmt: skip


class Row(Struct, frozen=True, kw_only=True):
    """One control: where it is, the date of its test (empty without one), and its answer to each of EFFECTS."""

    control: str
    place: str
    tested: str
    squares: Mapping[str, str]


class StopMap(Struct, frozen=True, kw_only=True):
    """The grid of one machine. `named` is false where its profile names no control and the usual ones stand in."""

    rows: tuple[Row, ...]
    named: bool
    has_extraction: bool

    @property
    def unknown(self) -> int:
        """How many squares nobody has tested."""
        return sum(square == UNKNOWN for row in self.rows for square in row.squares.values())

    @property
    def never_stopped(self) -> tuple[str, ...]:
        """What no tested control stops, of axes, spindle and extraction."""
        wanted = [
            effect for effect in EFFECTS if effect != "position" and (effect != "extraction" or self.has_extraction)
        ]
        return tuple(effect for effect in wanted if not any(row.squares[effect] == STOPS for row in self.rows))

    @property
    def ready(self) -> bool:
        """Whether every square is known and everything that moves has a control that stops it."""
        return self.named and self.unknown == 0 and not self.never_stopped


def stop_map_of(machine: Machine) -> StopMap:
    """The map that the profile of `machine` proves."""
    has_extraction = machine.extraction.kind != "none"
    rows = tuple(_row(control, has_extraction) for control in machine.stop.controls or ())
    if not rows:
        return unknown_map(has_extraction)
    return StopMap(rows=rows, named=True, has_extraction=has_extraction)


def unknown_map(has_extraction: bool = True) -> StopMap:
    """The map of a machine nobody has tested: the usual controls, and not one square known."""
    nothing = dict.fromkeys(EFFECTS, UNKNOWN)
    nothing |= {} if has_extraction else {"extraction": NONE_HERE}
    usual = [name for name in USUAL_CONTROLS if has_extraction or "extraction" not in name]
    rows = tuple(Row(control=name, place="", tested="", squares=nothing) for name in usual)
    return StopMap(rows=rows, named=False, has_extraction=has_extraction)


def _row(control: StopControl, has_extraction: bool) -> Row:
    tested = control.tested if control.tested not in (None, "never") else ""
    squares = {effect: _stops(control, effect, bool(tested)) for effect in EFFECTS if effect != "position"}
    squares |= {} if has_extraction else {"extraction": NONE_HERE}
    kept = control.position_kept if tested else None
    squares["position"] = UNKNOWN if kept is None else KEPT if kept else LOST
    return Row(control=control.name, place=control.place or "", tested=tested or "", squares=squares)


def _stops(control: StopControl, effect: str, tested: bool) -> str:
    if not tested or control.stops is None:
        return UNKNOWN
    return STOPS if effect in control.stops else GOES_ON
