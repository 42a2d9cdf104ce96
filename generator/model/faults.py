"""From a document to a model, or to every fault at once in words for the person who wrote the file."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from generator.errors import Fault, InputFaults, nearest
from generator.yamlread import Document, Where

M = TypeVar("M", bound=BaseModel)

# A list of choices is read to its end; beside a good guess a long one only hides it.
_MOST_SHOWN, _MOST_BESIDE_GUESS = 24, 12

# Pydantic's error type -> what we say; {found} and the error's own context fill it in.
_SAYS = {
    "string_type": "found {found}, wanted text; put it in quotes if it is meant as text",
    "string_too_short": "is empty; write something, or 'unknown' where that is allowed",
    "string_too_long": "is longer than {max_length} characters",
    "bool_type": "found {found}, wanted yes or no",
    "tuple_type": "found {found}, wanted a list; write it as [{example}]",
    "too_short": "holds {actual_length}, wanted at least {min_length}",
    "too_long": "holds more than {max_length}; split it",
    "missing": "is missing; add it",
    "model_type": "found {found}, wanted a group of settings",
    "model_attributes_type": "found {found}, wanted a group of settings",
    "union_tag_not_found": "{discriminator} is missing; it says which kind this is",
}


def read_model(model: type[M], document: Document) -> M:
    """The document as `model`. Raises InputFaults with every fault, at the line and column it stands."""
    if not isinstance(document.data, dict):
        raise InputFaults([document.fault((), f"found {found(document.data)}, wanted settings such as 'name: value'")])
    try:
        return model.model_validate(document.data)
    except ValidationError as error:
        raise InputFaults(faults_of(error, model, document)) from None


def faults_of(error: ValidationError, model: type[BaseModel], document: Document, base: Where = ()) -> list[Fault]:
    """What pydantic found wrong with the part of the document at `base`, in our words and with its places."""
    return [_fault(model, document, base, detail) for detail in error.errors(include_url=False)]


def found(value: object) -> str:
    """What stands in the file, short enough for a message."""
    if isinstance(value, dict):
        return "a group of settings"
    if isinstance(value, (list, tuple)):
        return "a list"
    if value is None:
        return "nothing"
    text = value if isinstance(value, str) else str(value).lower() if isinstance(value, bool) else repr(value)
    text = " ".join(text.split())
    return f"'{text[:57]}...'" if len(text) > 60 else f"'{text}'"


def wanted(words: Iterable[str], given: object) -> str:
    """The end of a message that offers `words`, naming the one that was meant where one is close enough."""
    offered, said = list(words), str(given).strip().lower()
    meant = nearest(said.replace("_", "-").replace(" ", "-"), offered) or nearest(said, offered)
    if meant is None:
        return f"wanted {_or(offered)}" if offered else "the course knows none"
    guess = f"did you mean '{meant}'?"
    return guess if len(offered) > _MOST_BESIDE_GUESS else f"wanted {_or(offered)} ({guess})"


def _or(words: list[str]) -> str:
    shown = [f"'{word}'" for word in words[:_MOST_SHOWN]]
    if more := len(words) - len(shown):
        return f"{', '.join(shown)} or one of {more} more"
    return ", ".join(shown[:-1]) + (" or " if len(shown) > 1 else "") + shown[-1]


def _fault(model: type[BaseModel], document: Document, base: Where, detail: ErrorDetails) -> Fault:
    data = at(document.data, base)
    where = _where(detail["loc"], data)
    says = _sentence(model, where, data, detail)
    if where:
        says = f"{dotted(where)}: {says}"
    return document.fault((*base, *where), says, at_key=detail["type"] == "extra_forbidden")


def at(data: Any, where: Where) -> Any:
    """What stands at `where` in plain data, None where there is nothing."""
    for step in where:
        inside = step in data if isinstance(data, dict) else isinstance(data, list) and step in range(len(data))
        if not inside:
            return None
        data = data[step]
    return data


def _where(loc: tuple[str | int, ...], data: Any) -> Where:
    """The path in the file: pydantic's, without the names of union members it adds."""
    where: list[str | int] = []
    for index, part in enumerate(loc):
        inside = part in data if isinstance(data, dict) else isinstance(data, list) and part in range(len(data))
        if inside:
            data = data[part]
        if inside or index == len(loc) - 1:
            where.append(part)
    return tuple(where)


def dotted(where: Where) -> str:
    """A path as it is said: hold_downs[2].height, list items counted from 1."""
    text = ""
    for part in where:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else part
    return text


def _sentence(model: type[BaseModel], where: Where, data: Any, detail: ErrorDetails) -> str:
    kind, given, context = detail["type"], detail["input"], detail.get("ctx", {})
    if kind == "extra_forbidden":
        comma = "; inside { } a comma starts a new setting, so quote text that has one" if given is None else ""
        return f"there is no such setting; {wanted(_settings(model, where[:-1], data), where[-1])}{comma}"
    if kind == "literal_error":
        return f"found {found(given)}, {wanted(_quoted(context['expected']), given)}"
    if kind == "union_tag_invalid":
        return f"'{context['tag']}' is no kind of this; {wanted(_quoted(context['expected_tags']), context['tag'])}"
    if kind in _SAYS:
        example = given if isinstance(given, (str, int, float)) else "..."
        return _SAYS[kind].format(**{"found": found(given), "example": example} | context)
    if kind == "value_error":
        return str(context["error"])
    if kind in ("slug", "date", "file"):
        return f"found {found(given)}, {detail['msg']}"
    return detail["msg"]


def _quoted(text: str) -> list[str]:
    return text.split("'")[1::2]


def _settings(model: type[BaseModel], where: Where, data: Any) -> list[str]:
    """Names of the settings legal at `where`."""
    parts: list[type[BaseModel]] = [model]
    for step in where:
        data = data[step]
        if isinstance(step, str):
            parts = [part for owner in parts for part in _parts(owner.model_fields[step].annotation)]
        parts = [part for part in parts if _fits(part, data)]
    return list(dict.fromkeys(name for part in parts for name in part.model_fields))


def _parts(annotation: Any) -> list[type[BaseModel]]:
    """Every model inside an annotation such as `Many[Circle | Polygon] | None`."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [part for inner in get_args(annotation) for part in _parts(inner)]


def _fits(part: type[BaseModel], data: Any) -> bool:
    """Of several models that could stand here, those whose `form` is the one written."""
    form = part.model_fields.get("form")
    return form is None or not isinstance(data, dict) or data.get("form") in get_args(form.annotation)
