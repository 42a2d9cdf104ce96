"""Sheets to hang up, hand out or fill in: what stands on them, as content."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from generator.model.base import Many
from generator.model.base import Slug as Id
from generator.model.content import Content, Words

# Parts of a sheet that the workshop's own files or other content fill.
Place = Literal["rules", "emergency", "stops", "hazards"]
SAYS = ("lines", "blanks", "asks", "table", "place")


def _line(given: Any) -> Any:
    return {"says": given} if isinstance(given, str) else given


class Line(Content):
    """A sentence, shown where its rule holds, or with `unless` where it does not; plain text is always shown."""

    says: Words
    rule: Id | None = None
    unless: Id | None = None


class Blank(Line):
    """A label with a place to write; a long one takes the whole width."""

    long: bool = False


class Ask(Line):
    """A question with its two ways on."""

    yes: Words
    no: Words


class Table(Content):
    """A table to fill in: its head, rows that are given (short ones are filled up with empty cells), and empty rows."""

    head: Many[str] = Field(min_length=2)
    rows: Many[Many[Words]] = ()
    empty: int = Field(default=0, ge=0, le=30)

    @model_validator(mode="after")
    def _rows_fit(self) -> Table:
        if any(len(row) > len(self.head) for row in self.rows):
            raise ValueError("a row has more cells than the head")
        return self


class Block(Content):
    """One part of a sheet under its own heading. It says one thing: lines, blanks, questions, a table or a place."""

    title: str
    rule: Id | None = None
    unless: Id | None = None
    lead: Words | None = None
    look: Literal["points", "steps", "ticks"] = "points"
    lines: Many[Annotated[Line, BeforeValidator(_line)]] = ()
    blanks: Many[Annotated[Blank, BeforeValidator(_line)]] = ()
    asks: Many[Ask] = ()
    table: Table | None = None
    place: Place | None = None

    @model_validator(mode="after")
    def _says_one_thing(self) -> Block:
        given = [name for name in SAYS if getattr(self, name)]
        if len(given) != 1:
            raise ValueError(f"a block has one of {', '.join(SAYS)}; this one has {' and '.join(given) or 'none'}")
        return self


class Sheet(Content):
    """A page of paper. `layout`: a page to work through, cards to cut apart, or a notice to read from afar."""

    id: Id
    title: str
    label: str
    lead: Words
    layout: Literal["page", "cards", "notice"] = "page"
    blocks: Many[Block] = Field(min_length=1)
