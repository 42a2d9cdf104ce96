"""Where an item of content was read, so that a later fault can point at it."""

from __future__ import annotations

from typing import Any

from msgspec import Struct

from generator.errors import Fault
from generator.yamlread import Document


class Placed(Struct, frozen=True):
    """The file of an item and its path inside it; `layer` 0 is ours, 1 the workshop's."""

    document: Document
    base: tuple[str | int, ...]
    layer: int

    @property
    def item(self) -> Any:
        """The item as plain data, as its file has it."""
        found = self.document.data
        for step in self.base:
            found = found[step]
        return found

    def fault(self, where: tuple[str | int, ...], says: str) -> Fault:
        """A fault at `where` inside the item."""
        return self.document.fault((*self.base, *where), says)
