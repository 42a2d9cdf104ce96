"""Spindle, contact and chip load: what turns when the cutter meets the stock."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import reduce
from itertools import compress
from typing import TYPE_CHECKING

from generator.expr import Value
from generator.program.moves import Event
from generator.program.occurrences import Occurrences
from generator.program.setup import Setup

if TYPE_CHECKING:
    from generator.program.cut_columns import Cuts

MOST_DISTINCT = 50


class SpindleWatch:
    """Follows spindle codes and cutting moves in program order."""

    def __init__(self, setup: Setup, seen: Occurrences) -> None:
        self._setup, self._seen, self._top = setup, seen, setup.stock_top
        # Below this height the cutter is in the stock.
        self._contact = -math.inf if self._top is None else self._top - 1e-6
        self._on, self._code = False, "M5"
        self._speed: float | None = None
        self._since_start: float | None = None
        self._speeds: dict[float, int] = {}
        self._feeds: dict[float, int] = {}
        self._chip: dict[str, tuple[float, int]] = {}
        self._cut_feed_max, self._speed_words = 0.0, 0
        # The last feed and speed looked at: thousands of cuts in a row have the same.
        self._last_sideways: tuple[float, float | None] = (-1.0, None)
        self.facts: dict[str, Value] = {
            "program.spindle_start_line": None, "program.spindle_speed_first": None,
            "program.first_contact_line": None, "program.spindle_on_at_contact": None,
            "program.approach_s": None,
        }  # fmt: skip

    @property
    def turning(self) -> bool:
        return self._on

    def repeats(self, event: Event) -> bool:
        """Whether a code changes nothing about what turns: an S with the speed that is set already."""
        return event.code == "S" and event.value == self._speed

    def event(self, event: Event, z: float) -> None:
        """One code; `z` is the height at which the cutter stands when it acts."""
        if event.code == "S":
            self._set_speed(event)
        elif event.code in ("M3", "M4"):
            self._start(event)
        elif event.code in ("M5", "M6"):
            self._stop(event, z)
        elif event.code == "G4":
            self._wait(event, z)

    def _set_speed(self, event: Event) -> None:
        self._speed = event.value
        self._speed_words += 1
        if len(self._speeds) < MOST_DISTINCT and event.value == event.value:
            self._speeds.setdefault(event.value, event.line)
        low, high = self._setup.speed_min, self._setup.speed_max
        if low is not None and 0 < event.value < low:
            self._seen.add("speed_too_low", event.line)
        if high is not None and event.value > high:
            self._seen.add("speed_too_high", event.line)

    def _start(self, event: Event) -> None:
        if not self._on:
            self._since_start = 0.0
        self._on, self._code = True, event.code
        if not self._speed:
            self._seen.add("start_without_speed", event.line)
        if self.facts["program.spindle_start_line"] is None:
            self.facts["program.spindle_start_line"] = event.line
            self.facts["program.spindle_speed_first"] = self._speed

    def _stop(self, event: Event, z: float) -> None:
        if event.code == "M5" and self._on and self._below(z):
            self._seen.add("spindle_stopped_in_cut", event.line)
        self._on, self._since_start = False, None

    def _wait(self, event: Event, z: float) -> None:
        if self._since_start is not None:
            self._since_start += event.value
        if self._on and self._below(z):
            self._seen.add("dwell_in_cut", event.line)

    def _below(self, z: float) -> bool:
        return z < self._contact

    def rapid(self, length: float) -> None:
        """A rapid takes at least its length over the machine's rate; nothing where the rate is not known."""
        if self._since_start is not None and self._setup.rapid and length == length:
            self._since_start += 60 * length / self._setup.rapid

    def cut(self, line: int, z0: float, z1: float, low: float, length: float, feed: float) -> None:
        """A cutting move whose lowest point is `low`."""
        contact = low < self._contact
        if self._since_start is not None and feed > 0 and length == length:
            self._approach(line, z0, z1, contact, 60 * length / feed)
        if not contact:
            return
        if self.facts["program.first_contact_line"] is None:
            self.facts["program.first_contact_line"] = line
            self.facts["program.spindle_on_at_contact"] = self._on
        if not self._on or not self._speed or self._code == "M4":
            self._cutting([line])
        if abs(z1 - z0) * 2 < length:
            self._sideways(line, feed)

    def cuts(self, cuts: Cuts) -> None:
        """Many cutting moves, as `cut` sees each."""
        contact = cuts.low[2] < self._contact
        touching = contact.any()
        met = int(contact.argmax()) if touching else len(cuts)
        seconds = 60 * cuts.length / cuts.feed
        if self._since_start is not None:
            self._wait_many(cuts, seconds.tolist(), met)
        if not touching:
            return
        if self.facts["program.first_contact_line"] is None:
            self.facts["program.first_contact_line"] = int(cuts.line[met])
            self.facts["program.spindle_on_at_contact"] = self._on
        if not self._on or not self._speed or self._code == "M4":
            self._cutting(cuts.line[contact].tolist())
        sideways = contact & (abs(cuts.end[2] - cuts.start[2]) * 2 < cuts.length)
        feeds = cuts.feed[sideways]
        changes = [True, *(feeds[1:] != feeds[:-1]).tolist()]
        for line, feed in compress(zip(cuts.line[sideways].tolist(), feeds.tolist(), strict=True), changes):
            self._sideways(line, feed)

    def _wait_many(self, cuts: Cuts, seconds: list[float], met: int) -> None:
        """Time from the spindle start until the cutter meets the stock, or until the last of these cuts."""
        self._since_start = reduce(float.__add__, seconds[:met], self._since_start or 0.0)
        if met < len(cuts):
            z0, z1 = float(cuts.start[2][met]), float(cuts.end[2][met])
            self._approach(int(cuts.line[met]), z0, z1, True, seconds[met])

    def _approach(self, line: int, z0: float, z1: float, contact: bool, seconds: float) -> None:
        """Time from spindle start to contact; of the move that meets the stock only the part above it."""
        share = 1.0
        if contact:
            above = z0 - (self._top or 0.0)
            share = above / (z0 - z1) if above > 0 and z0 > z1 else 0.0
        self._since_start = (self._since_start or 0.0) + seconds * share
        if contact:
            self._met(line, self._since_start)
            self._since_start = None

    def _met(self, line: int, waited_s: float) -> None:
        least = self.facts["program.approach_s"]
        self.facts["program.approach_s"] = min(waited_s, least if isinstance(least, float) else math.inf)
        if self._setup.run_up is not None and waited_s < self._setup.run_up:
            self._seen.add("cut_before_run_up", line)

    def _cutting(self, lines: Sequence[int]) -> None:
        if not self._on:
            self._seen.add_many("cut_spindle_off", lines)
        elif not self._speed:
            self._seen.add_many("cut_speed_zero", lines)
        if self._on and self._code == "M4":
            self._seen.add_many("cut_anticlockwise", lines)

    def _sideways(self, line: int, feed: float) -> None:
        speed = self._setup.hand_speed or self._speed
        if (feed, speed) == self._last_sideways:
            return
        self._last_sideways = feed, speed
        if feed == feed and feed not in self._feeds and len(self._feeds) < MOST_DISTINCT:
            self._feeds[feed] = line
        self._cut_feed_max = max(self._cut_feed_max, feed)
        if not speed or not self._setup.flutes:
            return
        chip = feed / (speed * self._setup.flutes)
        if chip < self._chip.get("min", (math.inf, 0))[0]:
            self._chip["min"] = chip, line
        if chip > self._chip.get("max", (-1.0, 0))[0]:
            self._chip["max"] = chip, line

    def result(self) -> dict[str, Value]:
        """Facts at the end of the program."""
        low, high = self._chip.get("min", (None, None)), self._chip.get("max", (None, None))
        return self.facts | {
            "program.spindle_started": self.facts["program.spindle_start_line"] is not None,
            "program.spindle_on_at_end": self._on,
            "program.speeds": sorted(self._speeds), "program.speed_words": self._speed_words,
            "program.cut_feeds": sorted(self._feeds), "program.cut_feed_max": self._cut_feed_max or None,
            "program.chip_load_min": low[0], "program.chip_load_min_line": low[1],
            "program.chip_load_max": high[0], "program.chip_load_max_line": high[1],
        }  # fmt: skip
