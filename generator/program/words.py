"""One line to words (NISTIR 6556, 2000, section 3.3): a letter and a value each, comments and settings beside.

line = ["/"] ["N" digits] { word | "#" value "=" value | comment }; white space and case mean nothing outside
comments, not even inside a number.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import NamedTuple

from msgspec import Struct

from generator.program.dialect import Dialect
from generator.program.expressions import Parameters, number_value, read_value
from generator.program.lines import LONGEST_LINE
from generator.program.report import LineError

_PLAIN = re.compile(r"([A-Z])([-+]?(?:\d+\.?\d*|\.\d+))")
_ALL_PLAIN = re.compile(r"(?:[A-Z][-+]?(?:\d+\.?\d*|\.\d+))*").fullmatch
_LABEL = re.compile(r"N(\d+)")
_SPACE = str.maketrans("", "", " \t")
# Flow control is not in the language; a reader that ran it could be kept busy for ever, so none is followed.
_FLOW = re.compile(r"(?:WHILE|GOTO|DO\d|END\d|ENDWHILE|IF\[|THEN|ELSE|REPEAT|CALL|RETURN|BREAK|CONTINUE)")
_EXPONENT = re.compile(r"\d[eE][-+]?\d{2}|\d[eE][-+]\d")


class Word(NamedTuple):
    """A letter with its value; the value is nan where it hangs on a parameter the program never set."""

    letter: str
    value: float


class Line(Struct):
    """What one line says. `habits` are the peculiarities met, each with the details of its message."""

    words: list[Word] = []
    settings: list[tuple[int, float]] = []
    comments: list[str] = []
    deleted: bool = False
    habits: list[tuple[str, dict[str, object]]] = []
    unset: list[int] = []

    def habit(self, id: str, **details: object) -> None:
        self.habits.append((id, details))


def read_line(text: str, dialect: Dialect, values: Mapping[int, float]) -> Line:
    """The words of one line; LineError for what the language does not allow."""
    line = Line()
    _check_length(text, dialect, line)
    code = without_comments(text, line)
    compact = code.translate(_SPACE).upper()
    compact = _head(compact, dialect, line)
    if _ALL_PLAIN(compact):
        line.words = [Word(letter, number_value(number)) for letter, number in _PLAIN.findall(compact)]
    else:
        _refuse_foreign(compact, code)
        _careful(compact, line, Parameters(values, dialect.parameters))
    _check_labels(line)
    return line


def _check_length(text: str, dialect: Dialect, line: Line) -> None:
    if len(text) > LONGEST_LINE:
        raise LineError("line-beyond-reading", longest=LONGEST_LINE)
    if len(text) > dialect.line_length:
        line.habit("line-too-long", longest=dialect.line_length)
    if not text.isascii():
        line.habit("not-plain-text")


def without_comments(text: str, line: Line) -> str:
    """The code of a line; comment texts go to `line.comments`."""
    if "(" not in text and ";" not in text and ")" not in text:
        return text
    code, at = [], 0
    while at < len(text):
        sign = text[at]
        if sign == ";":
            line.habit("semicolon-comment")
            line.comments.append(text[at + 1 :])
            break
        if sign == "(":
            at = _comment(text, at, line)
            continue
        if sign == ")":
            raise LineError("comment-not-opened")
        stop = _next_comment_sign(text, at)
        code.append(text[at:stop])
        at = stop
    return "".join(code)


def _next_comment_sign(text: str, at: int) -> int:
    return min((found for found in (text.find(sign, at) for sign in "();") if found >= 0), default=len(text))


def _comment(text: str, at: int, line: Line) -> int:
    end = text.find(")", at)
    inner = text[at + 1 : end] if end >= 0 else text[at + 1 :]
    if "(" in inner:
        raise LineError("comment-nested")
    if end < 0:
        line.habit("comment-not-closed")
    line.comments.append(inner)
    return end + 1 if end >= 0 else len(text)


def _head(compact: str, dialect: Dialect, line: Line) -> str:
    """The text behind block delete and line number."""
    if compact.startswith("/"):
        line.deleted, compact = True, compact[1:]
        line.habit("block-delete")
    label = _LABEL.match(compact)
    if not label:
        return compact
    if len(label.group(1)) > dialect.line_number_digits:
        line.habit("line-number-too-long", digits=dialect.line_number_digits)
    return compact[label.end() :]


def _check_labels(line: Line) -> None:
    """Line numbers behind other words, and a program number, are labels and no words."""
    letters = [word.letter for word in line.words]
    if "N" in letters:
        line.words = [word for word in line.words if word.letter != "N"]
        line.habit("line-number-inside")
    if letters == ["O"]:
        line.words = []
        line.habit("program-number")
    elif "O" in letters:
        raise LineError("cannot-judge-subprogram")


def _refuse_foreign(compact: str, code: str) -> None:
    """Things that are not words at all, told apart so that the message can say what they are."""
    if re.match(r"O[\d<#]", compact):
        raise LineError("cannot-judge-subprogram")
    if _FLOW.search(compact):
        raise LineError("cannot-judge-loop")
    if re.search(r"\d,\d", code):
        raise LineError("decimal-comma")
    odd = next((sign for sign in compact if not (sign.isascii() and sign.isprintable())), None)
    if odd is not None:
        raise LineError("control-character", code=ord(odd))


def exponent_meant(text: str) -> bool:
    """Whether a number of the line is written with an exponent (1e-3), which the language does not have."""
    return _EXPONENT.search(text) is not None


def _careful(compact: str, line: Line, parameters: Parameters) -> None:
    at = 0
    while at < len(compact):
        sign = compact[at]
        if sign == "#":
            at = _setting(compact, at, line, parameters)
        elif "A" <= sign <= "Z":
            value, at = read_value(compact, at + 1, parameters)
            line.words.append(Word(sign, value))
        else:
            raise LineError("character-not-allowed", sign=sign)
    line.unset = parameters.missing


def _setting(compact: str, at: int, line: Line, parameters: Parameters) -> int:
    index, at = read_value(compact, at + 1, parameters)
    number = parameters.number(index)
    if compact[at : at + 1] != "=":
        raise LineError("equals-missing", number=number)
    value, at = read_value(compact, at + 1, parameters)
    line.settings.append((number, value))
    return at


def whole(value: float) -> int | None:
    """`value` as a whole number if it is one within 0.0001 (NISTIR 6556, 3.3.2.1), else None."""
    if math.isnan(value) or abs(value - round(value)) > 1e-4:
        return None
    return round(value)
