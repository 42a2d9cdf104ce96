"""Cross-checks of program checks: every name known, every need declared, every covered cause a real one."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from generator.content_names import expression_fault, unknown_names
from generator.content_places import Placed
from generator.errors import Fault, near
from generator.expr import Kind, Node, names
from generator.expr.nodes import Call, Num, walk
from generator.facts import FACTS
from generator.fit_names import check_kinds
from generator.library import Library
from generator.model.check import Check
from generator.program.messages import MESSAGES

Placing = Mapping[tuple[str, str], Placed]


def program_check_faults(library: Library, placed: Placing) -> Iterator[Fault]:
    """Every fault of the checks and of the list of what is not checked."""
    if not library.checks and not library.unchecked:
        return
    kinds = check_kinds(library)
    for check in library.checks.values():
        at = placed["checks", check.id]
        yield from _words_faults(check, kinds, at)
        yield from _link_faults(check, library, kinds, at)
        if check.limit is None and (number := _own_number(check.when)) is not None:
            yield at.fault(("when",), f"compares with a number, {number:g}; say in 'limit' where it comes from")
        for name in undeclared(check):
            yield at.fault(("when",), f"hangs on '{name}'; add it to needs, or ask known({name}) first")
    for item in library.unchecked.values():
        at = placed["unchecked", item.id]
        if item.when is not None and (says := expression_fault(item.when, kinds, "bool")):
            yield at.fault(("when",), says)
        yield from (at.fault(("says",), says) for says in unknown_names(item.says, kinds))


def _own_number(node: Node) -> float | None:
    """A number in a condition that somebody must have chosen: to compare with none or with one needs no reason."""
    return next((part.value for part in walk(node) if isinstance(part, Num) and part.value not in (0, 1)), None)


def undeclared(check: Check) -> list[str]:
    """Facts of machine or job the condition hangs on that the check would not ask for where they are unknown."""
    asked = set(_asked_after(check.when))
    return sorted({name for name in map(str, _fact_names(check.when)) if name not in {*asked, *check.needs}})


def _fact_names(node: Node) -> Iterator[str]:
    yield from (name.id for name in names(node) if name.id in FACTS)


def _asked_after(node: Node) -> Iterator[str]:
    """Names inside known(...): their being unknown is itself an answer."""
    for part in walk(node):
        if isinstance(part, Call) and part.fn == "known":
            yield from (name.id for name in names(part))


def _words_faults(check: Check, kinds: Mapping[str, Kind], at: Placed) -> Iterator[Fault]:
    if says := expression_fault(check.when, kinds, "bool"):
        yield at.fault(("when",), says)
    for place in ("says", "mend"):
        yield from (at.fault((place,), says) for says in unknown_names(getattr(check, place), kinds))


def _link_faults(check: Check, library: Library, kinds: Mapping[str, Kind], at: Placed) -> Iterator[Fault]:
    for index, name in enumerate(check.needs):
        yield from _missing(at, ("needs", index), name, kinds)
    if check.lesson is not None:
        yield from _missing(at, ("lesson",), check.lesson, library.lessons)
    for index, name in enumerate(check.covers):
        yield from _missing(at, ("covers", index), name, {*library.checks, *MESSAGES})
    if check.lines is not None and kinds.get(check.lines) not in ("number", "numbers"):
        yield at.fault(("lines",), f"'{check.lines}' is no fact that holds line numbers{near(check.lines, kinds)}")


def _missing(at: Placed, where: tuple[str | int, ...], name: str, known: Collection[str]) -> Iterator[Fault]:
    if name not in known:
        yield at.fault(where, f"'{name}' is not known here{near(name, known)}")
