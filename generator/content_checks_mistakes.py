"""Cross-checks of the mistake machine's content: every name known, every lesson there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from generator.content_names import expression_fault, unknown_names
from generator.content_places import Placed
from generator.errors import Fault, near
from generator.expr import Kind
from generator.fit_names import check_kinds
from generator.library import Library
from generator.model.mistake import Mistake

# What a mistake's own texts may name besides the facts: how much it alters, and the corner that was taken.
MISTAKE_FACTS: dict[str, Kind] = {"mistake.amount": "number", "mistake.corner": "text"}


def mistake_faults(library: Library, placed: Mapping[tuple[str, str], Placed]) -> Iterator[Fault]:
    """Every fault of mistakes and effects."""
    if not library.mistakes and not library.effects:
        return
    kinds = check_kinds(library)
    for mistake in library.mistakes.values():
        yield from _mistake(mistake, kinds, library, placed["mistakes", mistake.id])
    for effect in library.effects.values():
        at = placed["effects", effect.id]
        yield from _condition(at, "when", effect.when, kinds, "bool")
        yield from (at.fault(("says",), says) for says in unknown_names(effect.says, kinds))
        if effect.lines is not None and kinds.get(effect.lines) not in ("number", "numbers"):
            yield at.fault(("lines",), f"'{effect.lines}' holds no line numbers{near(effect.lines, kinds)}")


def _mistake(mistake: Mistake, kinds: Mapping[str, Kind], library: Library, at: Placed) -> Iterator[Fault]:
    yield from _condition(at, "applies", mistake.applies, kinds, "bool")
    if mistake.amount is not None:
        yield from _condition(at, "amount", mistake.amount, kinds, "number")
    own = {**kinds, **MISTAKE_FACTS}
    for place in ("otherwise", "suppose", "told", "habit"):
        yield from (at.fault((place,), says) for says in unknown_names(getattr(mistake, place), own))
    if mistake.lesson is not None and mistake.lesson not in library.lessons:
        yield at.fault(("lesson",), f"there is no lesson '{mistake.lesson}'{near(mistake.lesson, library.lessons)}")


def _condition(at: Placed, place: str, node: object, kinds: Mapping[str, Kind], wanted: Kind) -> Iterator[Fault]:
    if says := expression_fault(node, kinds, wanted):
        yield at.fault((place,), says)
