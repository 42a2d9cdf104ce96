"""Planting: a fault class and a program become a faulty program, or a faulty set-up, always the same for one seed."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from itertools import accumulate

from msgspec import Struct

from generator.exam.lines import Line, with_word
from generator.expr import Node, Value, evaluate
from generator.expr.template import render_template
from generator.model.exam import Edit, FaultClass, Lines
from generator.units import INCH

LENGTHS = frozenset("XYZIJKRF")
HERE = "here"
Scope = Mapping[str, Value]


class Change(Struct, frozen=True):
    """One line as it was and as it is, by its number in the new file; '' before for a new line.

    None after is for one that is gone; the number is then that of the line which stands in its place.
    """

    number: int
    before: str
    after: str | None


class Planted(Struct, frozen=True, kw_only=True):
    """The faulty program with what was changed in it, and the set-up's changed values by dotted path."""

    fault: FaultClass
    texts: tuple[str, ...]
    changes: tuple[Change, ...]
    setup: Mapping[str, str | list[str]]


def applies(fault: FaultClass, facts: Scope) -> bool:
    """Whether the fault makes sense here; what cannot be told does not."""
    return evaluate(fault.applies, facts) is True


def plant(fault: FaultClass, lines: Sequence[Line], facts: Scope, chance: random.Random) -> Planted | None:
    """The fault in this program and set-up, None where the program has no line for it."""
    if fault.setup:
        setup = {path: _values(given, facts) for path, given in fault.setup.items()}
        return Planted(fault=fault, texts=tuple(line.text for line in lines), changes=(), setup=setup)
    made: list[list[str]] = [[line.text] for line in lines]
    touched: list[Line] = []
    for edit in fault.edits:
        found = chosen(edit.at, lines, facts, chance)
        if not found:
            return None
        touched += found
        for line in lines[found[0].number - 1 :] if edit.end else found:
            made[line.number - 1] = [] if edit.end else _edited(edit, line, facts)
    texts = tuple(text for some in made for text in some)
    return Planted(fault=fault, texts=texts, changes=tuple(_changes(touched, made)), setup={})


def chosen(at: Lines, lines: Sequence[Line], facts: Scope, chance: random.Random) -> list[Line]:
    """The lines an edit is for, in file order."""
    fitting = [line for line in lines if _fits(at, line, facts)]
    if not fitting or at.which == "all":
        return fitting
    return [{"first": fitting[0], "last": fitting[-1]}.get(at.which) or chance.choice(fitting)]


def _fits(at: Lines, line: Line, facts: Scope) -> bool:
    if not set(at.moves) <= line.moves or any(line.word(name) is None for name in at.words):
        return False
    return at.where is None or evaluate(at.where, _with_here(facts, line, at.words[-1:])) is True


def _with_here(facts: Scope, line: Line, names: Sequence[str]) -> dict[str, Value]:
    word = line.word(names[0]) if names else None
    return {**facts, HERE: None if word is None else word.number * _scale(word.letter, facts)}


def _scale(letter: str, facts: Scope) -> float:
    return INCH if letter in LENGTHS and facts.get("program.units") == "inch" else 1.0


def _edited(edit: Edit, line: Line, facts: Scope) -> list[str]:
    if edit.drop:
        return []
    if edit.hide:
        return [f"({line.text.strip()})"]
    if edit.insert:
        return [*edit.insert, line.text]
    for name, text in edit.swap.items():
        word = line.word(name)
        line = line if word is None else Line(line.number, with_word(line, word, text), line.moves)
    for letter, node in edit.put_in.items():
        line = Line(line.number, _with_number(line, letter, node, facts), line.moves)
    return [line.text]


def _with_number(line: Line, letter: str, node: Node, facts: Scope) -> str:
    value, word = evaluate(node, _with_here(facts, line, [letter])), line.word(letter)
    if not isinstance(value, (int, float)):
        return line.text
    text = f"{letter}{_plain(value / _scale(letter, facts))}"
    return with_word(line, word, text) if word else f"{line.text} {text}"


def _plain(value: float) -> str:
    return f"{round(value, 3) + 0.0:.3f}".rstrip("0").rstrip(".")


def _changes(touched: Sequence[Line], made: Sequence[Sequence[str]]) -> Iterator[Change]:
    """What became of the lines touched, numbered as in the new file."""
    starts = [1, *accumulate((len(some) for some in made), initial=1)][1:]
    for line in touched:
        number, after = starts[line.number - 1], made[line.number - 1]
        if len(after) > 1:
            yield from (Change(number + step, "", text) for step, text in enumerate(after[:-1]))
        else:
            yield Change(number, line.text, after[0] if after else None)


def _values(given: Sequence[object], facts: Scope) -> str | list[str]:
    said = [render_template(template, facts) for template in given]  # type: ignore[arg-type]
    return said[0] if len(said) == 1 else said
