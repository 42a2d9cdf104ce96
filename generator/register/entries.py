"""What a record of the register can say. People stand in it as tokens, never by name."""

from __future__ import annotations

import datetime
import json
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, TypeAdapter, ValidationError

from generator.model.base import Date, Many, Slug
from generator.register.slip import Drill, Result

Hex64 = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Revision = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{8}$")]
Reason = Annotated[str, StringConstraints(strip_whitespace=True, min_length=3, max_length=400)]
Moment = Annotated[str, StringConstraints(pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ$")]


class _Entry(BaseModel):
    """`date` is the day the thing happened, `entered` the moment it was written down (UTC)."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    date: Date
    entered: Moment

    @property
    def day(self) -> datetime.date:
        """The day it happened."""
        return datetime.date.fromisoformat(self.date)


class Begin(_Entry):
    """The first record: it gives this register an identity of its own."""

    kind: Literal["begin"] = "begin"
    register_id: str
    workshop: str


class SignOff(_Entry):
    """The practical on one machine: which acts the level asks for there, and which were passed.

    `course` is the content's revision, `contents` the digest of what it was made of (see `changes`).
    """

    kind: Literal["sign-off"] = "sign-off"
    person: Hex64
    machine: Slug
    level: Slug
    asked: Many[Slug]
    passed: Many[Slug]
    signed_by: Hex64
    course: Revision
    contents: Hex64

    @property
    def missing(self) -> tuple[str, ...]:
        """Acts still to pass; a sign-off counts only when there is none."""
        return tuple(act for act in self.asked if act not in self.passed)


class Refresher(_Entry):
    """A short refresher with an inductor."""

    kind: Literal["refresher"] = "refresher"
    person: Hex64
    machine: Slug
    signed_by: Hex64
    course: Revision
    contents: Hex64


class Use(_Entry):
    """A run of the machine."""

    kind: Literal["use"] = "use"
    person: Hex64
    machine: Slug


class SlipTaken(_Entry):
    """A learner's results as they came in; `date` is the day the slip was made, `slip` its digest."""

    kind: Literal["slip"] = "slip"
    person: Hex64
    slip: str
    course: Revision
    results: Many[Result]
    drills: Many[Drill]


class Withdrawal(_Entry):
    """Takes an earlier record out of the count, after an incident or a slip of the pen; the record itself stays."""

    kind: Literal["withdrawal"] = "withdrawal"
    number: int
    reason: Reason
    signed_by: Hex64


class Forgetting(_Entry):
    """Says that a person's name was removed, and why."""

    kind: Literal["forgetting"] = "forgetting"
    person: Hex64
    reason: Reason


Entry = Begin | SignOff | Refresher | Use | SlipTaken | Withdrawal | Forgetting
Signed = SignOff | Refresher
_ENTRY: TypeAdapter[Entry] = TypeAdapter(Annotated[Entry, Field(discriminator="kind")])


def canonical(data: object) -> str:
    """Plain data as the one JSON text that is hashed: keys in order, no spaces, ASCII."""
    return json.dumps(data, sort_keys=True, separators=(",", ":"), ensure_ascii=True, allow_nan=False)


def body_of(entry: Entry) -> str:
    """The text a record is kept as."""
    return canonical(entry.model_dump(mode="json"))


def entry_of(body: object) -> Entry | None:
    """The entry in a record's text, None where it is not exactly a text `body_of` writes."""
    try:
        data: Any = json.loads(body) if isinstance(body, str) else None
        entry = _ENTRY.validate_python(data)
    except (ValueError, ValidationError, RecursionError):
        return None
    return entry if body_of(entry) == body else None
