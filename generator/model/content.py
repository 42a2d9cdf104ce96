"""What content of every kind is built from, and the kinds others point to: sources, rules and words.

Expressions and templates are parsed while a file is read, so a fault in one has the file's line.
"""

from __future__ import annotations

import keyword
import re
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict

from generator.expr import Node, Template, parse, parse_template
from generator.model.base import Many
from generator.model.base import Slug as Id
from generator.units import UNITS


class Content(BaseModel):
    """What all content has in common: strict, frozen, no stray keys."""

    # Built when first used, as in generator.model.base.
    model_config = ConfigDict(
        extra="forbid", strict=True, frozen=True, allow_inf_nan=False, arbitrary_types_allowed=True, defer_build=True
    )


def _expression(value: object) -> Node:
    if isinstance(value, bool):
        return parse("true" if value else "false")
    if isinstance(value, int | float | str):
        return parse(str(value))
    raise ValueError("found something that is not an expression; write it as text or a number")


def _template(value: object) -> Template:
    if not isinstance(value, str):
        raise ValueError("found something that is not text; put it in quotes")
    return parse_template(" ".join(value.split()))


def _unit(value: object) -> str:
    if not isinstance(value, str | int) or str(value) not in UNITS:
        raise ValueError(f"'{value}' is not a unit tag; there are {', '.join(UNITS)}")
    return str(value)


def _number(value: object) -> object:
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def _variable(value: object) -> str:
    if isinstance(value, str) and re.fullmatch(r"[A-Za-z][A-Za-z0-9_]*", value) and not keyword.iskeyword(value):
        return value
    raise ValueError(f"'{value}' cannot be a name in a formula; use letters, digits and '_', a letter first")


Expr = Annotated[Any, BeforeValidator(_expression)]
Words = Annotated[Any, BeforeValidator(_template)]
UnitTag = Annotated[str, BeforeValidator(_unit)]
Number = Annotated[float, BeforeValidator(_number)]
VarName = Annotated[str, BeforeValidator(_variable)]
Mark = Literal[
    "read", "second-hand", "from-memory", "common-practice", "our-proposal", "worked-out", "geometry"
]  # fmt: skip
SeverityWord = Literal["stop", "warn", "note"]


class Source(Content):
    """Where a fact comes from, and how much of it was really read."""

    id: Id
    title: str
    publisher: str = ""
    year: int | str | None = None
    address: str | None = None
    seen: str = ""
    mark: Mark


class Rule(Content):
    """A named condition over the facts; `words` completes 'If ...:' where the answer is unknown."""

    id: Id
    when: Expr
    words: str
    reason: str
    source: Id | None = None


class Term(Content):
    """A word of the trade and what it means; `not_called` are words others use for it and this course does not."""

    id: Id
    term: str
    means: str
    lesson: Id | None = None
    not_called: Many[str] = ()
