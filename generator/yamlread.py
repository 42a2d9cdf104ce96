"""Files people write by hand, read to plain data with the place of every key and value.

YAML is read from the parser's events: one pass gives data, places and every refusal, and quoted
text, tags and anchors are still told apart. Plain words follow YAML 1.2 (https://yaml.org/spec/1.2.2/,
10.3 core schema), as browsers read them, minus the spellings a person would not mean.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any, NoReturn

import yaml
from msgspec import Struct

from generator.errors import Fault, InputFaults

LARGEST_BYTES = 1_000_000
DEEPEST = 20
LONGEST_WHOLE_NUMBER = 15  # digits: a browser's numbers hold every whole number of 15 digits exactly

Step = str | int
Where = tuple[Step, ...]
Place = tuple[int, int]

_LOADER: type[Any] = yaml.CSafeLoader if yaml.__with_libyaml__ else yaml.SafeLoader
_NUMBER_BEGINS = "+-.0123456789"
_NUMBER = re.compile(r"[-+]?(\.\d+|\d+(\.\d*)?)([eE][-+]?\d+)?")
_WHOLE = re.compile(r"[-+]?\d+")
_LEADING_ZERO = re.compile(r"[-+]?0\d+")
_OTHER_BASE = re.compile(r"[-+]?0[oOxXbB][0-9a-fA-F_]+")
_GROUPED = re.compile(r"[-+]?\d{1,3}(_\d{3})+(\.\d*)?")
_NOT_FINITE = re.compile(r"[-+]?\.inf|\.nan", re.IGNORECASE)
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ufffe\uffff]")

_TOO_DEEP = f"is nested deeper than {DEEPEST} levels"

# What the parser says, as it would be said to someone who does not know its words.
_SYNTAX = {
    "mapping values are not allowed": "a second ':' on a line, or a line indented too far; quote text that holds ': '",
    "could not find expected ':'": "a line without ':' where a setting was expected; write 'name: value'",
    "did not find expected key": "the indentation does not match the lines above, or a quote or bracket is not closed",
    "did not find expected '-'": "the items of this list are not indented alike; line up their '-'",
    "did not find expected ',' or": "a bracket is not closed, or a ',' is missing between its items",
    "expected ',' or": "a bracket is not closed, or a ',' is missing between its items",
    "found unexpected end of stream": "a quote is opened here and never closed",
    "cannot start any token": "this character cannot start a value; put the text in quotes",
    "block sequence entries are not allowed": "a '-' in the middle of a line; start the list on a line of its own",
    "found unknown escape character": "a backslash inside double quotes; use single quotes for text with backslashes",
    "expected <document start>": "text at the left edge that belongs to nothing; write 'name: value', or indent it",
    "did not find expected node content": "a value is missing here, or a ',' or bracket is one too many or too few",
    "directive": "a '%' at the start of a line; put the text in quotes",
    "expected comment or line break": "text behind '|' or '>'; start it on the next line, indented",
    "expected alphabetic or numeric": "'&' or '*' starts no plain text; put it in quotes",
    "mapping keys are not allowed": "'?' starts no plain text; put it in quotes",
    "nesting depth": _TOO_DEEP,
    "expected <block end>": "the indentation does not match the lines above",
}  # fmt: skip


class Document(Struct, frozen=True):
    """One file: plain data (dict, list, str, int, float, bool, None) and where each piece of it stands.

    `values` and `keys` map a path such as ('travel', 'x') or ('tools', 0) to (line, column), both from 1.
    """

    file: str
    data: Any
    values: Mapping[Where, Place]
    keys: Mapping[Where, Place]

    def place(self, where: Where) -> Place:
        """Line and column of the value at `where`, else of the nearest thing around it; (0, 0) if none is known."""
        while where and where not in self.values:
            where = where[:-1]
        return self.values.get(where, (0, 0))

    def fault(self, where: Where, says: str, *, at_key: bool = False) -> Fault:
        """A fault at the value, or with `at_key` at the key that names it."""
        line, column = self.keys[where] if at_key and where in self.keys else self.place(where)
        return Fault(self.file, line, column, says)


def read_document(path: Path) -> Document:
    """The YAML or, by its ending, JSON file at `path`. Raises InputFaults with every fault found."""
    text = _text_of(path)
    return read_json(text, str(path)) if path.suffix.lower() == ".json" else read_yaml(text, str(path))


def read_yaml(text: str, file: str, first_line: int = 1) -> Document:
    """YAML text that starts on line `first_line` of `file`. Raises InputFaults with every fault found."""
    reading = _Reading(file, first_line, plain_value)
    reading.refuse_characters(text, tabs=True)
    try:
        data = reading.document(yaml.parse(text, Loader=_LOADER))
    except yaml.YAMLError as error:
        raise InputFaults([*reading.faults, _syntax_fault(error, file, first_line)]) from None
    return reading.finished(data)


def read_json(text: str, file: str) -> Document:
    """JSON text (RFC 8259). Raises InputFaults with every fault found."""
    reading = _Reading(file, 1, str)
    reading.refuse_characters(text, tabs=False)
    try:
        data = json.loads(
            text, object_pairs_hook=_only_once, parse_constant=_no_constant, parse_float=_finite, parse_int=_number
        )
    except json.JSONDecodeError as error:
        raise InputFaults([Fault(file, error.lineno, error.colno, f"this is not JSON: {error.msg.lower()}")]) from None
    except RecursionError:
        raise InputFaults([Fault(file, 0, 0, _TOO_DEEP)]) from None
    except _RepeatedError as error:
        _json_places(text, reading)
        raise InputFaults(reading.faults or [Fault(file, 0, 0, str(error))]) from None
    except ValueError as error:
        raise InputFaults([Fault(file, 0, 0, str(error))]) from None
    _json_places(text, reading)
    return reading.finished(data)


def _text_of(path: Path) -> str:
    if os.path.exists(path) and not os.path.isfile(path):
        what = "a folder" if os.path.isdir(path) else "a device or pipe"
        raise InputFaults([Fault(str(path), 0, 0, f"is {what}; a file was expected")])
    try:
        with path.open("rb") as stream:
            raw = stream.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise InputFaults([Fault(str(path), 0, 0, "there is no such file")]) from None
    except (OSError, ValueError) as error:
        raise InputFaults([Fault(str(path), 0, 0, f"cannot be read: {getattr(error, 'strerror', error)}")]) from None
    if len(raw) > LARGEST_BYTES:
        raise InputFaults([Fault(str(path), 0, 0, "is larger than 1 MB; a file written by hand never is")])
    return _decoded(raw, str(path))


def _decoded(raw: bytes, file: str) -> str:
    if b"\0" in raw:
        raise InputFaults([Fault(file, 0, 0, "is not a text file in UTF-8 (it holds zero bytes); save it as UTF-8")])
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        line, column = before.count(b"\n") + 1, len(before) - before.rfind(b"\n")
        raise InputFaults([Fault(file, line, column, "this is not UTF-8 text; save the file as UTF-8")]) from None
    if not text.strip():
        raise InputFaults([Fault(file, 0, 0, "is empty")])
    return text


class _Reading:
    """One pass over the events of one document; faults are collected, data is built as far as it goes."""

    def __init__(self, file: str, first_line: int, meaning: Callable[[str], Any]) -> None:
        self.file, self.first_line, self.meaning = file, first_line, meaning
        self.faults: list[Fault] = []
        self.values: dict[Where, Place] = {}
        self.keys: dict[Where, Place] = {}

    def finished(self, data: Any) -> Document:
        if self.faults:
            raise InputFaults(self.faults)
        return Document(self.file, data, self.values, self.keys)

    def refuse(self, place: Place, says: str) -> None:
        self.faults.append(Fault(self.file, *place, says))

    def refuse_characters(self, text: str, *, tabs: bool) -> None:
        for number, line in enumerate(text.split("\n"), self.first_line):
            if found := _CONTROL.search(line):
                self.refuse((number, found.start() + 1), f"a control character (code {ord(found[0])}); delete it")
            if tabs and "\t" in line:
                self.refuse((number, line.index("\t") + 1), "a tab; write spaces instead")
        if self.faults:
            raise InputFaults(self.faults)

    def document(self, events: Iterator[yaml.Event]) -> Any:
        data: Any = None
        seen = 0
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                seen += 1
                if seen == 2:
                    self.refuse(self.place(event), "a second document starts here ('---'); a file holds one")
                    return data
                data = self.value(next(events), events, ())
        if not seen:
            raise InputFaults([Fault(self.file, 0, 0, "holds only comments; it says nothing")])
        return data

    def place(self, event: Any) -> Place:
        mark = event.start_mark
        return mark.line + self.first_line, mark.column + 1

    def value(self, event: yaml.Event, events: Iterator[yaml.Event], where: Where) -> Any:
        place = self.values[where] = self.place(event)
        if len(where) > DEEPEST:
            raise InputFaults([*self.faults, Fault(self.file, *place, _TOO_DEEP)])
        self.refuse_machinery(event, place)
        if isinstance(event, yaml.ScalarEvent):
            return self.scalar(event, place)
        if isinstance(event, yaml.MappingStartEvent):
            return self.mapping(events, where)
        if isinstance(event, yaml.SequenceStartEvent):
            return self.sequence(events, where)
        return None

    def refuse_machinery(self, event: Any, place: Place) -> None:
        if isinstance(event, yaml.AliasEvent):
            self.refuse(place, f"'*{event.anchor}' refers to another place; write the value out")
            return
        if event.anchor:
            self.refuse(place, f"'&{event.anchor}' marks a value for use elsewhere; take the mark away")
        if event.tag:
            self.refuse(place, f"'{event.tag}' is a type mark; take it away")

    def mapping(self, events: Iterator[yaml.Event], where: Where) -> dict[str, Any]:
        data: dict[str, Any] = {}
        while not isinstance(event := next(events), yaml.MappingEndEvent):
            place = self.place(event)
            key = self.key(event, events, place)
            inner = (*where, key)
            if key in data:
                self.refuse(place, f"'{key}' is written twice, first on line {self.keys[inner][0]}; keep one")
            self.keys.setdefault(inner, place)
            data[key] = self.value(next(events), events, inner)
        return data

    def key(self, event: yaml.Event, events: Iterator[yaml.Event], place: Place) -> str:
        if not isinstance(event, yaml.ScalarEvent):
            self.refuse(place, "a name must be plain text, not a list or a group")
            self.value(event, events, ("?",))
            return "?"
        self.refuse_machinery(event, place)
        if event.value == "<<" and event.implicit[0]:
            self.refuse(place, "'<<' copies settings from elsewhere; write them out")
        return str(event.value)

    def sequence(self, events: Iterator[yaml.Event], where: Where) -> list[Any]:
        data: list[Any] = []
        while not isinstance(event := next(events), yaml.SequenceEndEvent):
            data.append(self.value(event, events, (*where, len(data))))
        return data

    def scalar(self, event: yaml.ScalarEvent, place: Place) -> Any:
        if not event.implicit[0]:
            return str(event.value)
        try:
            return self.meaning(event.value)
        except ValueError as error:
            self.refuse(place, str(error))
            return None


def plain_value(text: str) -> str | int | float | bool | None:
    """What an unquoted word means: nothing, true or false, a number, else the text itself.

    yes, no, on, off, dates and 12:30 stay text. Raises ValueError with the mend for spellings that
    different readers take for different numbers.
    """
    if text in ("", "~", "null", "Null", "NULL"):
        return None
    if text in ("true", "True", "TRUE", "false", "False", "FALSE"):
        return text.lower() == "true"
    if text[0].isascii() and text[0] not in _NUMBER_BEGINS:
        return text
    if _LEADING_ZERO.fullmatch(text):
        raise ValueError(f"'{text}' starts with a zero; write {int(text[:99])}, or quote it if it is a name")
    if _OTHER_BASE.fullmatch(text) or _GROUPED.fullmatch(text):
        raise ValueError(f"'{text}' means different numbers to different programs; write plain digits, or quote it")
    if _NOT_FINITE.fullmatch(text):
        raise ValueError(f"'{text}' is not a number anything can have; write a number, or unknown")
    return _number(text) if _NUMBER.fullmatch(text) else text


def _number(text: str) -> int | float:
    if not _WHOLE.fullmatch(text):
        return _finite(text)
    if len(text.lstrip("+-")) > LONGEST_WHOLE_NUMBER:
        raise ValueError(f"'{text[:20]}...' is too long for a number; quote it if it is a name")
    return int(text)


def _finite(text: str) -> float:
    value = float(text)
    if abs(value) == float("inf"):
        raise ValueError(f"'{text[:40]}' is larger than any number can be; check it")
    return value


def _syntax_fault(error: yaml.YAMLError, file: str, first_line: int) -> Fault:
    problem = str(getattr(error, "problem", None) or error).split("\n")[0]
    says = next(
        (words for start, words in _SYNTAX.items() if start in problem),
        f"this is not YAML ({problem}); put the text in quotes",
    )
    mark = getattr(error, "problem_mark", None)
    if "never closed" in says:
        mark = getattr(error, "context_mark", None) or mark
    return Fault(file, mark.line + first_line, mark.column + 1, says) if mark else Fault(file, 0, 0, says)


class _RepeatedError(ValueError):
    """A JSON object names one key twice."""


def _only_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    data = dict(pairs)
    if len(data) < len(pairs):
        names = [name for name, _ in pairs]
        raise _RepeatedError(f"'{next(name for name in names if names.count(name) > 1)}' is written twice; keep one")
    return data


def _no_constant(word: str) -> NoReturn:
    raise ValueError(f"'{word}' is not a number anything can have; write a number, or \"unknown\"")


def _json_places(text: str, reading: _Reading) -> None:
    """Places of JSON by reading it as YAML, which it nearly is; where it is not, places stay unknown."""
    try:
        reading.document(yaml.parse(text.replace("\t", " "), Loader=_LOADER))
    except yaml.YAMLError:
        return
