"""The workshop: its name, its people as roles, and the rules it has made for itself."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from generator.model.base import Date, Many, Name, Part, Slug, Words
from generator.model.quantity import Days

Gate = Literal["before-set-up", "before-start", "while-cutting", "after-cutting"]


class LocalRule(Part):
    """A rule the workshop made; it may only make things stricter, and it is printed with its owner."""

    id: Slug = Field(title="Short name")
    text: Words = Field(title="The rule", description="One sentence, as it should be printed.")
    owner: Name = Field(title="Owner", description="The role that answers for it and may change it. Never a person.")
    reason: Words = Field(title="Reason", description="Why the workshop has it. A rule without a reason is not kept.")
    review: Date = Field(title="Review date", description="When the owner looks at it again, year-month-day.")
    gate: Gate | None = Field(
        default=None, title="Gate", description="The moment at which it must be answered with yes on the checklist."
    )
    machines: Many[Slug] | None = Field(
        default=None, title="Only for these machines", description="Left out: for every machine of the workshop."
    )


class Level(Part):
    """A level of sign-off and how long it lasts, in days."""

    id: Slug = Field(title="Short name")
    name: Name = Field(title="Name")
    may: Words | None = Field(default=None, title="What it allows")
    acts: Many[Slug] | None = Field(
        default=None, title="Acts of the practical it asks for", description="Left out: all that the machine asks for."
    )
    idle: Days | None = Field(
        default=None, title="Short refresher after", description="Days without using the machine, such as 183 days."
    )
    full: Days | None = Field(default=None, title="Whole sign-off again after", description="Days without using it.")
    cap: Days | None = Field(default=None, title="Ends after", description="Days since the sign-off, used or not.")

    @model_validator(mode="after")
    def _in_order(self) -> Level:
        given = [days for days in (self.idle, self.full, self.cap) if days is not None]
        if given != sorted(given):
            raise PydanticCustomError("level", "wanted idle, full and cap to rise in this order; check the days")
        return self


class Role(Part):
    """A role people take; the person who has it is nobody's business but the register's."""

    id: Slug = Field(title="Short name")
    name: Name = Field(title="Name")
    does: Words | None = Field(default=None, title="What the role does")


class Workshop(Part):
    """What `workshop.yml` holds."""

    name: Name = Field(title="Name of the workshop")
    country: Slug | None = Field(default=None, title="Country", description="Whose legal figures to print.")
    default_machine: Slug | None = Field(
        default=None, title="Default machine", description="The machine the course is written for at first."
    )
    emergency: Words | None = Field(default=None, title="In an emergency", description="Number, address, first aid.")
    rules: Many[LocalRule] = Field(default=(), title="Local rules")
    levels: Many[Level] = Field(default=(), title="Levels of sign-off")
    people: Many[Role] = Field(default=(), title="Roles")
