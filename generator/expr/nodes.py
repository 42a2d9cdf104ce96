"""The twelve kinds of node an expression is made of; `at` is the column in its text, from 1."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, fields
from typing import get_args


@dataclass(frozen=True, slots=True)
class Num:
    value: float
    at: int = field(default=1, compare=False)


@dataclass(frozen=True, slots=True)
class Str:
    value: str
    at: int = field(default=1, compare=False)


@dataclass(frozen=True, slots=True)
class Flag:
    value: bool
    at: int = field(default=1, compare=False)


@dataclass(frozen=True, slots=True)
class Name:
    id: str
    at: int = field(default=1, compare=False)


@dataclass(frozen=True, slots=True)
class Listing:
    items: tuple[Node, ...]
    at: int = field(default=1, compare=False)


@dataclass(frozen=True, slots=True)
class Neg:
    of: Node
    at: int = field(default=1, compare=False)


@dataclass(frozen=True, slots=True)
class Op:
    """Arithmetic; `op` is one of + - * / **."""

    op: str
    left: Node
    right: Node
    at: int = field(default=1, compare=False)


@dataclass(frozen=True, slots=True)
class Compare:
    """One comparison; `op` is one of < <= > >= == != in."""

    op: str
    left: Node
    right: Node
    at: int = field(default=1, compare=False)


@dataclass(frozen=True, slots=True)
class Not:
    of: Node
    at: int = field(default=1, compare=False)


@dataclass(frozen=True, slots=True)
class Logic:
    """Three-valued and / or."""

    op: str
    items: tuple[Node, ...]
    at: int = field(default=1, compare=False)


@dataclass(frozen=True, slots=True)
class Cond:
    test: Node
    then: Node
    other: Node
    at: int = field(default=1, compare=False)


@dataclass(frozen=True, slots=True)
class Call:
    fn: str
    args: tuple[Node, ...]
    at: int = field(default=1, compare=False)


Node = Num | Str | Flag | Name | Listing | Neg | Op | Compare | Not | Logic | Cond | Call


# The parts of each kind of node that may hold nodes; asked for so often that looking them up each time shows.
PARTS = {kind: tuple(part.name for part in fields(kind) if part.name != "at") for kind in get_args(Node)}


def walk(node: Node) -> Iterator[Node]:
    """The node and everything below it, in source order."""
    yield node
    for part in PARTS[type(node)]:
        value = getattr(node, part)
        for child in value if isinstance(value, tuple) else (value,):
            if isinstance(child, Node):
                yield from walk(child)


def names(node: Node) -> list[Name]:
    """Every use of a name, in source order; `pi` is a number, not a name."""
    return [part for part in walk(node) if isinstance(part, Name) and part.id != "pi"]


def numbers(node: Node) -> list[Num]:
    """Every literal number, in source order."""
    return [part for part in walk(node) if isinstance(part, Num)]
