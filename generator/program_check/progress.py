"""A line on the terminal for whoever waits longer than two seconds."""

from __future__ import annotations

import sys
import time

QUIET_S = 2.0
STEP_S = 0.2


class ProgressLine:
    """Call it with bytes done and bytes in all; it speaks on stderr from QUIET_S on, where that is a terminal."""

    def __init__(self) -> None:
        self._next = time.monotonic() + QUIET_S
        self._shown = False
        self._terminal = sys.stderr.isatty()

    def __call__(self, done: int, size: int) -> None:
        now = time.monotonic()
        if self._terminal and now >= self._next:
            self._next, self._shown = now + STEP_S, True
            share = min(100, 100 * done // size) if size else 100
            print(f"\rReading, {share} %", end="", file=sys.stderr, flush=True)

    def done(self) -> None:
        """Take the line away again."""
        if self._shown:
            print("\r" + " " * 16 + "\r", end="", file=sys.stderr, flush=True)
