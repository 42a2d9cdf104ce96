"""What each fact is: its unit, its words and its legal values, taken from the models where they say it already."""

from __future__ import annotations

from collections.abc import Iterator
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from msgspec import Struct
from pydantic import BaseModel, StringConstraints
from pydantic.fields import FieldInfo
from typing_extensions import TypeIs

from generator.expr import Kind
from generator.model.base import Date, DateOrNever, Part
from generator.model.quantity import Count, Quantity

_DATE_READERS = {"date": get_args(Date)[1], "date-or-never": get_args(DateOrNever)[1]}


class FactSpec(Struct, frozen=True, kw_only=True):
    """One named fact. `unit` is a tag of units.UNITS ('1' for plain numbers, '' for what is no number);
    `low` and `high` bound numbers, in that unit; `choices` are all legal words, empty where any text may stand;
    `dated` is a key of base.DATES where a date stands; `longest` is the most letters of a text; `whole` asks for a
    number without a fraction."""

    name: str
    kind: Kind
    label: str
    unit: str = ""
    help: str = ""
    group: str = ""
    choices: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    dated: str = ""
    longest: int | None = None
    whole: bool = False


def specs_of(model: type[Part], prefix: str, group: str) -> Iterator[FactSpec]:
    """Facts of a model's own values as `prefix.field`; groups and lists of groups inside it are passed over."""
    for name, field in model.model_fields.items():
        if spec := spec_of(f"{prefix}.{name}", field, group):
            yield spec


def spec_of(name: str, field: FieldInfo, group: str) -> FactSpec | None:
    """The fact a field gives, None for a group of settings."""
    extras: list[Any] = list(field.metadata)
    inner, is_list = _inside(field.annotation, extras)
    if is_part(inner):
        return None
    bound = next((extra for extra in extras if isinstance(extra, (Quantity, Count))), None)
    choices = tuple(get_args(inner)) if get_origin(inner) is Literal else ()
    return FactSpec(
        name=name,
        kind=_kind(inner, is_list),
        label=field.title or name,
        unit=bound.tag if isinstance(bound, Quantity) else "1" if bound else "",
        help=field.description or "",
        group=group,
        choices=choices,
        low=bound.low if bound else None,
        high=bound.high if bound else None,
        dated=next((kind for kind, reader in _DATE_READERS.items() if reader in extras), ""),
        longest=next((extra.max_length for extra in extras if isinstance(extra, StringConstraints)), None),
        whole=isinstance(bound, Count),
    )


def is_part(annotation: Any) -> TypeIs[type[Part]]:
    """Whether an annotation is itself a group of settings."""
    return isinstance(annotation, type) and issubclass(annotation, Part)


def choices_of(model: type[BaseModel], field: str) -> tuple[str, ...]:
    """The legal words of a field that takes one of a few."""
    return tuple(get_args(_inside(model.model_fields[field].annotation, [])[0]))


def _kind(inner: Any, is_list: bool) -> Kind:
    if inner is bool:
        return "bool"
    if inner in (int, float):
        return "numbers" if is_list else "number"
    return "texts" if is_list else "text"


def _inside(annotation: Any, extras: list[Any]) -> tuple[Any, bool]:
    """The innermost type of an annotation and whether it stands in a list; what Annotated adds goes to `extras`."""
    origin = get_origin(annotation)
    if origin is Annotated:
        extras += annotation.__metadata__
        return _inside(get_args(annotation)[0], extras)
    if origin in (Union, UnionType):
        return _inside(next(inner for inner in get_args(annotation) if inner is not NoneType), extras)
    if origin is tuple:
        return _inside(get_args(annotation)[0], extras)[0], True
    return annotation, False
