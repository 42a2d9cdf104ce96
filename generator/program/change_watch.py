"""Tools, pauses, zeros and other codes that change what the next move means."""

from __future__ import annotations

from generator.expr import Value
from generator.program.moves import Event
from generator.program.occurrences import Occurrences
from generator.program.setup import Setup

# Codes that are an occurrence by themselves.
_PLAIN = {
    "M49": "override_off", "M7": "coolant", "M8": "coolant", "G10": "zero_overwritten", "G92": "zero_shifted",
    "G28": "home", "G30": "home", "G53": "machine_move", "G43": "length_offset", "G41": "compensation",
    "G42": "compensation", "G93": "inverse_time", "(M3)": "start_in_comment", "(M4)": "start_in_comment",
    "(M6)": "tool_change_in_comment",
}  # fmt: skip
_CYCLES = {"G73", "G81", "G82", "G83", "G84", "G85", "G86", "G87", "G88", "G89"}
_UNUSUAL_CYCLES = {"G84", "G86", "G87", "G88"}
_SYSTEMS = {"G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"}
_PAUSES = {"M0", "M1", "M60"}
_ZEROES = {"G10", "G92", "G38.2", "G38.3", "G38.4", "G38.5"}
LONG_DWELL_S = 100.0


class ChangeWatch:
    """Follows codes and the first cut behind each tool change."""

    def __init__(self, setup: Setup, seen: Occurrences) -> None:
        self._setup, self._seen = setup, seen
        self._tools: list[float] = []
        self._systems: list[str] = []
        self._units = self._last_system = ""
        self._incremental, self._moved, self._cut, self._changes = False, False, False, 0
        # Before the first cut the machine stood still and its zero was set: the first tool needs no pause.
        self._paused = self._zeroed = True
        self._called: int | None = None
        self._waiting: int | None = None
        self._dwell_s = self._dwell_max = 0.0
        self._change_low: float | None = None

    def event(self, event: Event, z: float, turning: bool) -> None:
        """One code; `z` is the height at which it acts, `turning` whether the spindle is on."""
        code = event.code
        if code in _PLAIN:
            self._seen.add(_PLAIN[code], event.line)
        if code in _ZEROES:
            self._zero(event, turning)
        if code in _PAUSES:
            self._pause(event, z)
        elif code == "T":
            self._called = event.line
        elif code == "M6":
            self._change(event, z)
        elif code == "G4":
            self._dwell(event)
        elif code in _CYCLES:
            self._cycle(event)
        else:
            self._mode(event)

    def _mode(self, event: Event) -> None:
        if event.code in ("G20", "G21"):
            if self._moved and event.code != self._units:
                self._seen.add("units_changed_after_motion", event.line)
            self._units = event.code
        elif event.code in ("G90", "G91"):
            self._incremental = event.code == "G91"
        elif event.code in _SYSTEMS:
            if self._moved and event.code != (self._last_system or "G54"):
                self._seen.add("system_changed_after_motion", event.line)
            self._last_system = event.code
            if event.code not in self._systems:
                self._systems.append(event.code)

    def _zero(self, event: Event, turning: bool) -> None:
        self._zeroed = True
        if event.code == "G92" and self._moved:
            self._seen.add("zero_shifted_after_motion", event.line)
        if event.code.startswith("G38"):
            self._seen.add("probe", event.line)
            if turning:
                self._seen.add("probe_spindle_on", event.line)

    def _pause(self, event: Event, z: float) -> None:
        self._paused = True
        self._seen.add("pause", event.line)
        if self._setup.stock_top is not None and z < self._setup.stock_top - 1e-6:
            self._seen.add("pause_in_cut", event.line)

    def _change(self, event: Event, z: float) -> None:
        self._changes += 1
        self._seen.add("tool_change", event.line)
        self._called, self._waiting = None, event.line
        if event.value != event.value:
            self._seen.add("change_without_tool", event.line)
        elif event.value not in self._tools and len(self._tools) < 200:
            self._tools.append(event.value)
        if self._incremental:
            self._seen.add("tool_change_in_incremental", event.line)
        if self._changes > 1:
            self._height(event.line, z)

    def _height(self, line: int, z: float) -> None:
        """The first tool is usually in already; from the second on somebody has to reach the nut."""
        if z == z:
            self._change_low = z if self._change_low is None else min(z, self._change_low)
        safe = self._setup.safe_height
        if safe is not None and not z >= safe - 1e-6:
            self._seen.add("tool_change_low", line)

    def _dwell(self, event: Event) -> None:
        self._dwell_s += event.value
        self._dwell_max = max(self._dwell_max, event.value)
        if event.value >= LONG_DWELL_S:
            self._seen.add("dwell_long", event.line)

    def _cycle(self, event: Event) -> None:
        self._seen.add("cycle", event.line)
        if event.code in _UNUSUAL_CYCLES:
            self._seen.add("cycle_unusual", event.line)

    def move(self, cutting: bool) -> None:
        """One move; the first cut behind a change shows whether anyone could have changed the tool."""
        self._moved = True
        if not cutting:
            return
        if self._called is not None:
            if self._changes or self._cut:
                self._seen.add("tool_without_change", self._called)
            self._called = None
        if self._waiting is not None:
            self._first_cut(self._waiting)
        self._cut, self._paused, self._zeroed = True, False, False

    def _first_cut(self, line: int) -> None:
        if not self._paused:
            self._seen.add("tool_change_without_stop", line)
        if not self._zeroed:
            self._seen.add("tool_change_without_zero", line)
        self._waiting = None

    def result(self) -> dict[str, Value]:
        """Facts at the end of the program."""
        return {
            "program.tools": list(self._tools), "program.tool_changes": self._changes,
            "program.tool_change_z_min": self._change_low, "program.systems": list(self._systems),
            "program.incremental_at_end": self._incremental,
            "program.dwell_s": self._dwell_s, "program.dwell_max_s": self._dwell_max,
        }  # fmt: skip
