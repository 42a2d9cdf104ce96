"""Settings of one group that must fit each other, as data, so that the page of one's own machine holds to them too."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

from msgspec import Struct


class Together(Struct, frozen=True, kw_only=True):
    """A rule over `fields`, in their order; a value that is unknown breaks none.

    `same-count`: two lists are equally long; `rising`: each number of a list is above the one before;
    `not-above`: the first number is at most the second. `says` may use {first} and {second}, the names of the
    fields, and {count} and {other}, the lengths of two lists.
    """

    kind: Literal["same-count", "rising", "not-above"]
    fields: tuple[str, ...]
    says: str

    def fault(self, part: object) -> str | None:
        """What is wrong with the values of `part`, None where nothing is."""
        values = [getattr(part, name) for name in self.fields]
        if any(value is None for value in values) or not self._broken(values):
            return None
        count, other = (len(values[0]), len(values[1])) if self.kind == "same-count" else (0, 0)
        return self.says.format(first=self.fields[0], second=self.fields[-1], count=count, other=other)

    def _broken(self, values: Sequence[Any]) -> bool:
        if self.kind == "same-count":
            return len(values[0]) != len(values[1])
        if self.kind == "not-above":
            return bool(values[0] > values[1])
        return list(values[0]) != sorted(set(values[0]))
