"""A calculator: its fields, formulas, bands, advice and worked examples."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field, model_validator

from generator.model.base import Many
from generator.model.base import Slug as Id
from generator.model.content import Content, Expr, Mark, Number, SeverityWord, UnitTag, VarName, Words
from generator.units import UNITS


class Input(Content):
    """One field of a calculator; `default` reads the facts, `fallback` stands in where they are unknown.

    A field with choices is a text, one with a range a number, one with neither a list. Without a
    fallback the field may stay unknown.
    """

    name: VarName
    label: str
    unit: UnitTag = "1"
    kind: Literal["number", "text", "numbers", "texts"] = "number"
    min: Number | None = None
    max: Number | None = None
    step: Number | None = None
    default: Expr | None = None
    fallback: Number | str | None = None
    help: str = ""
    choices: Many[str] = ()

    @model_validator(mode="before")
    @classmethod
    def _text_if_choices(cls, given: Any) -> Any:
        return {"kind": "text", **given} if isinstance(given, dict) and given.get("choices") else given

    @model_validator(mode="after")
    def _ranged(self) -> Input:
        if self.kind == "number" and (self.min is None or self.max is None or self.min >= self.max):
            raise ValueError("a number field needs min and max, min below max")
        if self.kind == "text" and (not self.choices or self.fallback not in (None, *self.choices)):
            raise ValueError("a text field needs choices, and a fallback that is one of them")
        return self

    def fault_in(self, value: object) -> str | None:
        """Why `value` cannot be used here, in the words page and file share; None if it can."""
        if value is None:
            return None if self.fallback is None else self.range_words
        if self.kind == "text":
            return None if value in self.choices else self.range_words
        if self.kind != "number":
            return None if isinstance(value, list | tuple) else "Give a list, separated by commas."
        fits = (
            isinstance(value, int | float)
            and not isinstance(value, bool)
            and self.min is not None
            and self.max is not None
        )
        return None if fits and self.min <= value <= self.max else self.range_words  # type: ignore[operator]

    @property
    def range_words(self) -> str:
        """The field's range as a person reads it."""
        if self.kind == "text":
            return f"Choose one of: {', '.join(self.choices)}."
        label = UNITS[self.unit].label
        return f"Give a number from {self.min:g} to {self.max:g}{' ' + label if label else ''}."


class Constant(Content):
    """A number with a dimension that a formula uses, with its source."""

    name: VarName
    value: Number
    unit: UnitTag = "1"
    label: str
    mark: Mark
    source: Id | None = None


class Output(Content):
    """One result; `low` and `high` bound it where the model is uncertain."""

    name: VarName
    label: str
    symbol: str = ""
    unit: UnitTag = "1"
    expr: Expr
    low: Expr | None = None
    high: Expr | None = None
    digits: int | None = Field(default=None, ge=1, le=6)
    kind: Literal["number", "text", "bool"] = "number"
    words: str = ""


class Advice(Content):
    """A sentence shown when its condition holds."""

    when: Expr
    severity: SeverityWord
    says: Words


class Example(Content):
    """A worked example: what goes in, what must come out, and where that is known from."""

    inputs: dict[str, Number | str | Many[Number] | Many[str]]
    expect: dict[str, bool | Number | str | None]
    tolerance: Number = 1e-6
    source: Id | None = None
    mark: Mark
    note: str = ""


class Calculator(Content):
    """A set of formulas with shared inputs."""

    id: Id
    title: str
    module: str
    lesson: Id | None = None
    purpose: str
    inputs: Many[Input]
    constants: Many[Constant] = ()
    outputs: Many[Output]
    covers: Expr | None = None
    covers_words: str = ""
    advice: Many[Advice] = ()
    examples: Many[Example]
    caution: str
    sources: Many[Id] = ()
    figure: Id | None = None
