"""What every model shares: strict, frozen, no stray settings, and `unknown` legal wherever one may be left out."""

from __future__ import annotations

import re
from datetime import date
from typing import Annotated, Any, Self, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, StringConstraints, WithJsonSchema, model_validator
from pydantic_core import PydanticCustomError

T = TypeVar("T")

UNKNOWN = "unknown"
# What is wanted where a date stands, by what may stand there.
DATES = {
    "date": "wanted a date that exists, as year-month-day, such as 2026-03-31",
    "date-or-never": "wanted a date that exists, as year-month-day, such as 2026-03-31, or never",
}
_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


class Part(BaseModel):
    """A group of settings. Whatever is left out, empty or `unknown` takes its default, which for a value is None."""

    # Built when first used: most commands read few of the kinds there are, and building them all takes longest.
    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False, defer_build=True)

    @classmethod
    def unfilled(cls) -> Self:
        """A group of which nothing is known."""
        # Made without a check, which would build a model that this command may never use.
        return cls.model_construct()  # type: ignore[return-value] # the plugin of mypy gives the class it stands in

    @model_validator(mode="before")
    @classmethod
    def _without_unknowns(cls, given: Any) -> Any:
        if not isinstance(given, dict):
            return given
        optional = {name for name, field in cls.model_fields.items() if not field.is_required()}
        return {key: value for key, value in given.items() if key not in optional or not _is_unknown(value)}


def _is_unknown(value: object) -> bool:
    return value is None or (isinstance(value, str) and value.strip().lower() == UNKNOWN)


def _yes_or_no(given: object) -> object:
    words = {"yes": True, "on": True, "true": True, "no": False, "off": False, "false": False}
    return words.get(given.lower(), given) if isinstance(given, str) else given


def _as_tuple(given: object) -> object:
    return tuple(given) if isinstance(given, list) else given


def _slug(given: object) -> str:
    if isinstance(given, str) and len(given) <= 60 and _SLUG.fullmatch(given):
        return given
    raise PydanticCustomError("slug", "wanted small letters, digits and single hyphens, such as 'birch-plywood'")


def _date(given: object, kind: str = "date") -> str:
    try:
        if isinstance(given, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", given):
            return date.fromisoformat(given).isoformat()
    except ValueError:
        pass
    raise PydanticCustomError("date", "{wanted}", {"wanted": DATES[kind]})


def _date_or_never(given: object) -> str:
    return "never" if given == "never" else _date(given, "date-or-never")


def _file_inside(given: object) -> str:
    """A path with '/' that stays inside the workshop folder."""
    plain = isinstance(given, str) and re.fullmatch(r"[^\\:\0]{1,200}", given)
    if isinstance(given, str) and plain and not {"", ".", ".."} & set(given.split("/")):
        return given
    raise PydanticCustomError("file", "wanted a file inside the workshop folder, such as 'programs/first.nc'")


_DATE_SCHEMA = {"type": "string", "pattern": r"^\d{4}-\d\d-\d\d$"}

YesNo = Annotated[bool, BeforeValidator(_yes_or_no), WithJsonSchema({"enum": [True, False, "yes", "no", "on", "off"]})]
Many = Annotated[tuple[T, ...], BeforeValidator(_as_tuple)]
Pair = Annotated[tuple[T, T], BeforeValidator(_as_tuple)]
Slug = Annotated[str, BeforeValidator(_slug), WithJsonSchema({"type": "string", "pattern": f"^{_SLUG.pattern}$"})]
Words = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=2000)]
Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=120)]
Date = Annotated[str, BeforeValidator(_date), WithJsonSchema(_DATE_SCHEMA)]
DateOrNever = Annotated[
    str, BeforeValidator(_date_or_never), WithJsonSchema({"anyOf": [_DATE_SCHEMA, {"const": "never"}]})
]
FileInside = Annotated[str, BeforeValidator(_file_inside), WithJsonSchema({"type": "string"})]
