"""What went wrong with what the user gave us, with its address."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct


class Fault(Struct, frozen=True, order=True):
    """One fault of one file; line and column count from 1, 0 means the file as a whole."""

    file: str
    line: int
    column: int
    says: str

    def __str__(self) -> str:
        place = f":{self.line}:{self.column}" if self.line else ""
        return f"{self.file}{place}: {self.says}"


class OnionskinError(Exception):
    """The user's input or surroundings are at fault; the message is for the user, exit code 2."""


class InputFaults(OnionskinError):
    """All faults of one reading, at once and in file order."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(sorted(set(faults)))
        super().__init__("\n".join(str(fault) for fault in self.faults))
