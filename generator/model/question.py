"""Quiz questions: choosing, working out and putting in order."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from generator.model.base import Many
from generator.model.base import Slug as Id
from generator.model.content import Content, Expr, Number, UnitTag, Words


class Option(Content):
    """One answer to choose, and why it is right or wrong."""

    text: Words
    correct: bool = False
    correct_when: Expr | None = None
    why: Words
    slip: str | None = None
    lesson: Id | None = None


class Given(Content):
    """A number of a question's stem: this machine's own where known."""

    unit: UnitTag = "1"
    value: Expr
    fallback: Number


class Slip(Content):
    """A known way to get a number wrong; its result is offered as an answer."""

    expr: Expr
    why: Words
    slip: str
    lesson: Id | None = None


class Question(Content):
    """One quiz item: choose, work out a number, or put steps in order."""

    id: Id
    lesson: Id
    kind: Literal["choice", "numeric", "order"]
    critical: bool = False
    bloom: str
    stem: Words
    hazard: Id | None = None
    rule: Id | None = None
    negative: str | None = None
    options: Many[Option] = ()
    given: dict[str, Given] = Field(default_factory=dict)
    forms: Many[dict[str, Number]] = ()
    answer: Expr | None = None
    unit: UnitTag = "1"
    digits: int | None = None
    slips: Many[Slip] = ()
    why: Words | None = None
    steps: Many[str] = ()

    @model_validator(mode="after")
    def _complete(self) -> Question:
        if self.kind == "choice" and len(self.options) < 3:
            raise ValueError("a choice question needs three options")
        if self.kind == "numeric" and (self.answer is None or len(self.slips) < 2 or self.why is None):
            raise ValueError("a numeric question needs an answer, its why, and two slips")
        if self.kind == "order" and (len(self.steps) < 3 or self.why is None):
            raise ValueError("an order question needs three steps and a why")
        return self
