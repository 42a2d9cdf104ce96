"""The kinds of content a course is made of, as its files give them.

Expressions and templates are parsed while a file is read, so a fault in one has the file's line.
"""

from __future__ import annotations

import keyword
import re
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from generator.expr import Node, Template, parse, parse_template
from generator.model.base import Many, Pair
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


class Item(Content):
    """One line of a checklist: what to do, and the state that answers it."""

    id: Id
    check: Words
    want: Words
    killer: bool = False
    rule: Id | None = None
    unless: Id | None = None
    place: str = ""
    lesson: Id | None = None
    reason: str = ""
    hold: Number | None = None
    repeat_of: Id | None = None


class Point(Content):
    """A pause point: the moment it belongs to and its few items."""

    id: Id
    title: str
    trigger: str
    items: Many[Item]
    done: str
    order_reason: str = ""
    rule: Id | None = None


class Checklist(Content):
    """A list with its pause points."""

    id: Id
    title: str
    style: Literal["read-do", "do-confirm"]
    intro: str
    points: Many[Point]


class Act(Content):
    """One act of the practical: what the learner does while the one who signs looks on."""

    id: Id
    title: str
    does: Words
    critical: bool = False
    rule: Id | None = None
    lessons: Many[Id] = Field(min_length=1)


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


class LessonHead(Content):
    """The front matter of a lesson file."""

    id: Id
    title: str
    module: str
    minutes: int = Field(ge=2, le=30)
    objective: str
    needs: Many[Id] = ()
    figure: Id | None = None
    calculator: Id | None = None
    at_the_machine: Words
    caution: Words
    sources: Many[Id] = ()
    critical: bool = False


class Graded(Content):
    """A material figure with the spread its sources leave."""

    value: Number
    low: Number | None = None
    high: Number | None = None
    mark: Mark
    source: Id | None = None


class Tolerance(Content):
    """What a sheet sold as `nominal` may measure."""

    nominal: Number
    plus: Number
    minus: Number
    mark: Mark
    source: Id | None = None


class ChipRange(Content):
    """A published chip load range for one cutter diameter, mm per tooth."""

    diameter: Number
    low: Number
    high: Number
    mark: Mark
    source: Id | None = None


class Material(Content):
    """A sheet or board material."""

    id: Id
    name: str
    density: Graded
    stiffness: Graded | None = None
    bending_strength: Graded | None = None
    shear_strength: Graded | None = None
    side_hardness: Graded | None = None
    thickness_tolerance: Many[Tolerance] = ()
    dust_class: Literal["hardwood", "softwood", "board", "plastic", "foam"]
    dust_note: str
    chip_load: Many[ChipRange] = ()
    start_share: Pair[Number] | None = None
    caution: str
    first_job: Literal["good", "with-care", "not-first"]
    note: str = ""


class CutterKind(Content):
    """A kind of cutter and what it does to the board."""

    id: Id
    name: str
    pull: Literal["up", "down", "both", "none"]
    helix_deg: Number | None = None
    lift_words: str
    chips_words: str
    top_edge: str
    bottom_edge: str
    good_for: str
    not_for: str
    plunge: Literal["yes", "ramp-only", "no"]
    caution: str
    sources: Many[Id] = ()
    mark: Mark
