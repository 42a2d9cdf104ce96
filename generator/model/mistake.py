"""Mistakes a person makes with a program that is in order, and what comes of them."""

from __future__ import annotations

from typing import Literal

from generator.model.base import Slug as Id
from generator.model.content import Content, Expr, Words

Change = Literal["thickness", "cutter-length", "units", "zero-corner", "z-face", "tool-change"]


class Mistake(Content):
    """One thing wrong, everything else as planned.

    `change` says what is altered, by `amount` mm where it is a length. It is only shown where `applies` is true, else
    `otherwise` says why not. `told` says how the checks could know of it, `habit` what finds it at the machine.
    Texts may name `mistake.amount` besides every fact a check may use.
    """

    id: Id
    title: str
    change: Change
    amount: Expr | None = None
    applies: Expr
    otherwise: Words
    suppose: Words
    told: Words
    habit: Words
    lesson: Id | None = None


class Effect(Content):
    """What would have happened where `when` holds; `lines` is the fact that lists the lines where."""

    id: Id
    when: Expr
    says: Words
    lines: str | None = None
