"""What went wrong with what the user gave us, with its address."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

# Below this likeness (0 to 1, as difflib measures it) a guess misleads: 'endmill' is 0.67 like 'drill'.
ALIKE = 0.75


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


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that `word` is most like, None where none is like enough to have been meant."""
    import difflib  # most commands have nothing to guess

    return next(iter(difflib.get_close_matches(word, list(known), 1, ALIKE)), None)


def near(word: str, known: Iterable[str]) -> str:
    """A hint for the end of a message at the known word that `word` may have meant, empty where none is close."""
    close = nearest(word, known)
    return f"; did you mean '{close}'?" if close else ""
