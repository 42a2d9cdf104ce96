"""Rules a workshop made for itself: those whose owner should have looked at them again by now."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

from generator.lint.flaw import Flaw
from generator.load_workshop import ENDINGS
from generator.yamlread import Document, read_document

# The lists of rules: of the workshop in its own file, of one machine in the machine's.
LISTS = ("rules", "local_rules")


def overdue(folder: Path, today: date) -> Iterator[Flaw]:
    """LR01: a rule whose review date has passed, in the files of a workshop that were read without a fault."""
    for path in sorted([*folder.glob("workshop.*"), *folder.glob("machines/*")]):
        if path.suffix.lower() in ENDINGS:
            yield from _in_file(read_document(path), today)


def _in_file(document: Document, today: date) -> Iterator[Flaw]:
    for name in LISTS:
        for index, rule in enumerate(document.data.get(name) or ()):
            if rule["review"] < today.isoformat():
                says = f"rule '{rule['id']}' was to be looked at again by now; ask its owner ({rule['owner']})"
                yield Flaw(document.fault((name, index, "review"), says), "LR01", "warning")
