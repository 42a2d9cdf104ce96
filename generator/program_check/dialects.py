"""The dialect a machine's controller speaks, from content/dialects."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from msgspec.structs import replace

from generator.errors import Fault, InputFaults
from generator.model.control import Controller
from generator.program.dialect import Dialect, dialect_from
from generator.yamlread import read_document

UNKNOWN = "unknown"


def dialect_of(controller: Controller, folders: Sequence[Path]) -> Dialect:
    """The dialect of a controller, the careful one where none is named. Raises InputFaults for a faulty table."""
    name = controller.dialect or UNKNOWN
    path = next(path for folder in reversed(folders) if (path := folder / "dialects" / f"{name}.yml").is_file())
    try:
        dialect = dialect_from(read_document(path).data)
    except (ValueError, TypeError, KeyError) as error:
        raise InputFaults([Fault(str(path), 0, 0, str(error))]) from None
    return replace(dialect, line_length=controller.line_length) if controller.line_length else dialect
