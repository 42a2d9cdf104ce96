"""Cross-checks of the exam's faults: a real check to find each, every name known, every edit with its lines."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from generator.content_names import expression_fault, unknown_names
from generator.content_places import Placed
from generator.errors import Fault, near
from generator.expr import Kind
from generator.fit_names import check_kinds
from generator.library import Library
from generator.model.exam import Edit, FaultClass
from generator.program.messages import MESSAGES

HERE: dict[str, Kind] = {"here": "number"}
_WORD = re.compile(r"[A-Z](\d+(\.\d+)?)?")
_Where = tuple[str | int, ...]


def exam_faults(library: Library, placed: Mapping[tuple[str, str], Placed]) -> Iterator[Fault]:
    """Every fault of the fault classes."""
    if not library.faults:
        return
    kinds = check_kinds(library)
    for fault in library.faults.values():
        at = placed["faults", fault.id]
        findings = {*library.checks, *MESSAGES}
        if fault.check not in findings:
            yield at.fault(("check",), f"no check finds '{fault.check}'{near(fault.check, findings)}")
        yield from _condition(at, ("applies",), fault.applies, kinds, "bool")
        yield from (at.fault(("looks",), says) for says in unknown_names(fault.looks, kinds))
        yield from _setup(fault, kinds, at)
        for index, edit in enumerate(fault.edits):
            yield from _edit(edit, kinds, at, ("edits", index))


def _setup(fault: FaultClass, kinds: Mapping[str, Kind], at: Placed) -> Iterator[Fault]:
    for path, values in fault.setup.items():
        for value in values:
            yield from (at.fault(("setup", path), says) for says in unknown_names(value, kinds))


def _edit(edit: Edit, kinds: Mapping[str, Kind], at: Placed, where: _Where) -> Iterator[Fault]:
    own = {**kinds, **HERE}
    for index, word in enumerate(edit.at.words):
        if not _WORD.fullmatch(word):
            says = f"'{word}' is not a word of a program; write a letter, or a letter and its number, such as G21"
            yield at.fault((*where, "at", "words", index), says)
    if not (edit.at.words or edit.at.moves):
        yield at.fault((*where, "at"), "says neither words nor moves, so any line would do; name some")
    if edit.at.where is not None:
        yield from _condition(at, (*where, "at", "where"), edit.at.where, own, "bool")
    for letter, node in edit.put_in.items():
        yield from _condition(at, (*where, "put_in", letter), node, own, "number")


def _condition(at: Placed, where: _Where, node: object, kinds: Mapping[str, Kind], wanted: Kind) -> Iterator[Fault]:
    if says := expression_fault(node, kinds, wanted):
        yield at.fault(where, says)
