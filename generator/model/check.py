"""Checks of a program: what each looks for, says and mends, and the two cases that prove it."""

from __future__ import annotations

from typing import Any

from pydantic import Field, model_validator

from generator.model.base import Many
from generator.model.base import Slug as Id
from generator.model.content import Content, Expr, Mark, SeverityWord, Words


class Case(Content):
    """A program in a setting. `body` stands between the lines every case begins and ends with, `program` stands alone.

    `job` and `machine` change the bench's files by dotted path, such as `stock.thicknesses: unknown`; `file` is the
    name the program has.
    """

    body: str | None = None
    program: str | None = None
    job: dict[str, Any] = Field(default_factory=dict)
    machine: dict[str, Any] = Field(default_factory=dict)
    file: str = ""

    @model_validator(mode="after")
    def _one_text(self) -> Case:
        if (self.body is None) == (self.program is None):
            raise ValueError("a case needs a body or a program, and not both")
        return self


class Check(Content):
    """One thing looked for in a program with its machine and job.

    Unless `when` is surely false, the check asks for every fact in `needs` that is unknown. `limit` says where the
    numbers in `when` come from. `lines` names the fact that holds the lines it cites. Of the checks of one `group`
    only the gravest speaks. `covers` are checks and findings of the reader that have the same cause and need no words
    of their own once this one speaks.
    """

    id: Id
    title: str
    severity: SeverityWord
    when: Expr
    limit: Mark | None = None
    needs: Many[str] = ()
    says: Words
    mend: Words
    lesson: Id | None = None
    lines: str | None = None
    group: Id | None = None
    covers: Many[Id] = ()
    wrong_kind: bool = False
    firing: Case
    silent: Case


class NotChecked(Content):
    """Something no check looks at, listed where `when` holds or cannot be told."""

    id: Id
    when: Expr | None = None
    says: Words
