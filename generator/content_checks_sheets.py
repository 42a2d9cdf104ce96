"""Cross-checks of sheets: every rule there is, every name known."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from generator.content_names import fact_kinds, unknown_names
from generator.content_places import Placed
from generator.errors import Fault, near
from generator.expr import Template
from generator.library import Library
from generator.model.sheet import Ask, Block, Line

_Where = tuple[str | int, ...]


def sheet_faults(library: Library, placed: Mapping[tuple[str, str], Placed]) -> Iterator[Fault]:
    """Every fault of the sheets."""
    for sheet in library.sheets.values():
        at = placed["sheets", sheet.id]
        yield from _names(at, ("lead",), sheet.lead)
        for index, block in enumerate(sheet.blocks):
            yield from _block(block, library, at, ("blocks", index))


def _block(block: Block, library: Library, at: Placed, where: _Where) -> Iterator[Fault]:
    yield from _rules(block, library, at, where)
    if block.lead is not None:
        yield from _names(at, (*where, "lead"), block.lead)
    for name in ("lines", "blanks", "asks"):
        for index, line in enumerate(getattr(block, name)):
            yield from _line(line, library, at, (*where, name, index))
    for row, cells in enumerate(block.table.rows if block.table else ()):
        for cell, text in enumerate(cells):
            yield from _names(at, (*where, "table", "rows", row, cell), text)


def _line(line: Line, library: Library, at: Placed, where: _Where) -> Iterator[Fault]:
    yield from _rules(line, library, at, where)
    for text in (line.says, line.yes, line.no) if isinstance(line, Ask) else (line.says,):
        yield from _names(at, where, text)


def _rules(item: Block | Line, library: Library, at: Placed, where: _Where) -> Iterator[Fault]:
    if item.rule is not None and item.unless is not None:
        yield at.fault((*where, "unless"), "has a rule and an unless; keep one")
    for name in ("rule", "unless"):
        rule = getattr(item, name)
        if rule is not None and rule not in library.rules:
            yield at.fault((*where, name), f"there is no rule '{rule}'{near(rule, library.rules)}")


def _names(at: Placed, where: _Where, text: Template) -> Iterator[Fault]:
    yield from (at.fault(where, says) for says in unknown_names(text, fact_kinds()))
