"""Faults for an exam: what is wrong with a program or its set-up, how it is planted, and which check must find it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from generator.model.base import Many
from generator.model.base import Slug as Id
from generator.model.content import Content, Expr, Words

Which = Literal["first", "last", "any", "all"]
# How a line moves: what the reader of programs makes of it, not which words stand there.
Move = Literal["rapid", "cut", "up", "down", "flat", "deepest"]


class Lines(Content):
    """Which lines of a program: those with every word and every way of moving named, and `where` true.

    A word is a letter with or without its number ('Z', 'G21'). `where` sees every name a check may use, and `here`:
    the number of the last word named, lengths in mm. `any` takes one by the seed.
    """

    words: Many[str] = ()
    moves: Many[Move] = ()
    where: Expr | None = None
    which: Which = "first"


class Edit(Content):
    """One change of the program at the lines of `at`; it does one thing.

    `swap` writes other words for words ('' takes one out), `put_in` sets the numbers after letters (lengths in mm,
    feeds in mm/min), `hide` makes the line a comment, `drop` takes it out, `insert` puts lines before it, and `end`
    breaks the file off before it.
    """

    at: Lines
    swap: dict[str, str] = Field(default_factory=dict)
    put_in: dict[str, Expr] = Field(default_factory=dict)
    hide: bool = False
    drop: bool = False
    insert: Many[str] = ()
    end: bool = False

    @model_validator(mode="after")
    def _does_one_thing(self) -> Edit:
        done = [name for name in ("swap", "put_in", "hide", "drop", "insert", "end") if getattr(self, name)]
        if len(done) != 1:
            raise ValueError(f"an edit does one thing; this one does {' and '.join(done) or 'nothing'}")
        return self


def _many(given: object) -> object:
    return given if isinstance(given, list) else [given]


# What a set-up is changed into: one value as its file would have it, or a list of them.
Values = Annotated[Many[Words], BeforeValidator(_many)]


class FaultClass(Content):
    """A kind of fault for machines and jobs where `applies` is true.

    It is planted into the program by `edits` or into the job's file by `setup` (dotted path to value). The finding
    `check`, of a check or of the reader, must tell it. `looks` says how a careful person sees it.
    """

    id: Id
    title: str
    check: Id
    applies: Expr
    edits: Many[Edit] = ()
    setup: dict[str, Values] = Field(default_factory=dict)
    looks: Words

    @model_validator(mode="after")
    def _in_one_place(self) -> FaultClass:
        if bool(self.edits) == bool(self.setup):
            raise ValueError("a fault is planted by edits or by setup, in one of the two")
        return self
