"""The twelve kinds of node an expression is made of; `at` is the column in its text, from 1."""

from __future__ import annotations

from collections.abc import Iterator
from typing import get_args

from msgspec import Struct


class Num(Struct, frozen=True):
    value: float
    at: int = 1


class Str(Struct, frozen=True):
    value: str
    at: int = 1


class Flag(Struct, frozen=True):
    value: bool
    at: int = 1


class Name(Struct, frozen=True):
    id: str
    at: int = 1


class Listing(Struct, frozen=True):
    items: tuple[Node, ...]
    at: int = 1


class Neg(Struct, frozen=True):
    of: Node
    at: int = 1


class Op(Struct, frozen=True):
    """Arithmetic; `op` is one of + - * / **."""

    op: str
    left: Node
    right: Node
    at: int = 1


class Compare(Struct, frozen=True):
    """One comparison; `op` is one of < <= > >= == != in."""

    op: str
    left: Node
    right: Node
    at: int = 1


class Not(Struct, frozen=True):
    of: Node
    at: int = 1


class Logic(Struct, frozen=True):
    """Three-valued and / or."""

    op: str
    items: tuple[Node, ...]
    at: int = 1


class Cond(Struct, frozen=True):
    test: Node
    then: Node
    other: Node
    at: int = 1


class Call(Struct, frozen=True):
    fn: str
    args: tuple[Node, ...]
    at: int = 1


Node = Num | Str | Flag | Name | Listing | Neg | Op | Compare | Not | Logic | Cond | Call


# The parts of each kind of node that may hold nodes; asked for so often that looking them up each time shows.
PARTS = {kind: kind.__struct_fields__[:-1] for kind in get_args(Node)}


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
