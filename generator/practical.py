"""The practical on one machine: which acts it asks for there, and in which words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from generator.expr import Value, evaluate
from generator.expr.template import render_template
from generator.library import Library
from generator.model.workshop import Level


class Asked(Struct, frozen=True):
    """An act as this machine asks for it; `condition` says when, where nobody knows whether the machine has it."""

    id: str
    title: str
    does: str
    critical: bool
    condition: str
    lessons: tuple[str, ...]


def practical(library: Library, facts: Mapping[str, Value], level: Level | None = None) -> Sequence[Asked]:
    """The acts in order, those left out that the machine has no use for or the level does not ask for."""
    wanted = library.acts if level is None or level.acts is None else level.acts
    return [asked for id_ in library.acts if id_ in wanted and (asked := _asked(id_, library, facts))]


def _asked(id_: str, library: Library, facts: Mapping[str, Value]) -> Asked | None:
    act = library.acts[id_]
    rule = library.rules[act.rule] if act.rule else None
    holds = evaluate(rule.when, facts) if rule else True
    if holds is False:
        return None
    condition = f"If {rule.words}:" if rule and holds is None else ""
    return Asked(id_, act.title, render_template(act.does, facts), act.critical, condition, act.lessons)
