"""Numbers, parameters and expressions of RS-274/NGC (NISTIR 6556, 2000, sections 3.3.2 and 3.3.3).

value      = number | "[" expression "]" | "#" value | function "[" expression "]" | "ATAN[" e "]/[" e "]"
expression = value { operator value }; "**" first, then "*" "/" "MOD", then "+" "-" "OR" "XOR" "AND",
             equal rank from left to right; angles in degrees.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping

from msgspec import Struct

from generator.program.report import LineError

LARGEST_NUMBER = 1e9
DEEPEST_NESTING = 20

_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)")
_OPERATOR = re.compile(r"\*\*|\*|/|MOD|\+|-|OR|XOR|AND")
_NAME = re.compile(r"[A-Z]+")
_RANK = {"**": 3, "*": 2, "/": 2, "MOD": 2, "+": 1, "-": 1, "OR": 1, "XOR": 1, "AND": 1}

_FUNCTIONS: dict[str, Callable[[float], float]] = {
    "ABS": abs,
    "ACOS": lambda x: math.degrees(math.acos(x)),
    "ASIN": lambda x: math.degrees(math.asin(x)),
    "COS": lambda x: math.cos(math.radians(x)),
    "EXP": math.exp,
    "FIX": lambda x: float(math.floor(x)),
    "FUP": lambda x: float(math.ceil(x)),
    "LN": math.log,
    "ROUND": lambda x: math.copysign(math.floor(abs(x) + 0.5), x),
    "SIN": lambda x: math.sin(math.radians(x)),
    "SQRT": math.sqrt,
    "TAN": lambda x: math.tan(math.radians(x)),
}


class Parameters(Struct):
    """Parameter values the program may read; `missing` gathers those never set (they read as nan)."""

    values: Mapping[int, float]
    highest: int
    missing: list[int] = []

    def read(self, index: float) -> float:
        number = self.number(index)
        if number not in self.values:
            self.missing.append(number)
        return self.values.get(number, math.nan)

    def number(self, index: float) -> int:
        """The parameter number meant by `index`; LineError if it is not a whole number in range."""
        if not self.highest:
            raise LineError("cannot-judge-expression")
        if math.isnan(index):
            raise LineError("cannot-judge-parameter-number")
        number = round(index)
        if abs(index - number) > 1e-4 or not 1 <= number <= self.highest:
            raise LineError("parameter-number-out-of-range", number=f"{index:g}", highest=self.highest)
        return number


def number_value(written: str) -> float:
    """A plain number; LineError where it is beyond any machine."""
    value = float(written)
    if not -LARGEST_NUMBER <= value <= LARGEST_NUMBER:
        raise LineError("number-too-large")
    return value


def read_value(text: str, at: int, parameters: Parameters, depth: int = 0) -> tuple[float, int]:
    """The value at `text[at:]` (capitals, no white space) and the place behind it; LineError if there is none."""
    if depth > DEEPEST_NESTING:
        raise LineError("nested-too-deeply", depth=DEEPEST_NESTING)
    match = _NUMBER.match(text, at)
    if match:
        return number_value(match.group()), match.end()
    sign = text[at : at + 1]
    if sign == "[":
        return _bracket(text, at, parameters, depth)
    if sign == "#":
        index, at = read_value(text, at + 1, parameters, depth + 1)
        return parameters.read(index), at
    name = _NAME.match(text, at)
    if name and text[name.end() : name.end() + 1] == "[":
        return _function(name.group(), text, name.end(), parameters, depth)
    raise LineError("number-missing", before=text[max(0, at - 12) : at] or "the start")


def _function(name: str, text: str, at: int, parameters: Parameters, depth: int) -> tuple[float, int]:
    if name not in _FUNCTIONS and name != "ATAN":
        raise LineError("unknown-function", name=name[:12])
    value, at = _bracket(text, at, parameters, depth)
    if name != "ATAN":
        if math.isnan(value):
            return value, at
        return _worked(lambda: _FUNCTIONS[name](value), name), at
    if text[at : at + 2] != "/[":
        raise LineError("atan-without-second-part")
    below, at = _bracket(text, at + 1, parameters, depth)
    return math.degrees(math.atan2(value, below)), at


def _bracket(text: str, at: int, parameters: Parameters, depth: int) -> tuple[float, int]:
    if not parameters.highest:
        raise LineError("cannot-judge-expression")
    value, at = read_value(text, at + 1, parameters, depth + 1)
    values, operators = [value], []
    while text[at : at + 1] != "]":
        match = _OPERATOR.match(text, at)
        if not match:
            raise LineError("expression-not-closed" if at >= len(text) else "unknown-operator", at=text[at : at + 6])
        operators.append(match.group())
        value, at = read_value(text, match.end(), parameters, depth + 1)
        values.append(value)
    return _folded(values, operators), at + 1


def _folded(values: list[float], operators: list[str]) -> float:
    for rank in (3, 2, 1):
        kept, waiting = [values[0]], []
        for operator, value in zip(operators, values[1:], strict=True):
            if _RANK[operator] == rank:
                kept[-1] = _combined(kept[-1], operator, value)
            else:
                waiting.append(operator)
                kept.append(value)
        values, operators = kept, waiting
    return values[0]


def _combined(left: float, operator: str, right: float) -> float:
    if math.isnan(left) or math.isnan(right):
        return math.nan
    return _worked(lambda: _BINARY[operator](left, right), operator)


_BINARY: dict[str, Callable[[float, float], float]] = {
    "**": math.pow,
    "*": lambda left, right: left * right,
    "/": lambda left, right: left / right,
    # The remainder carries the sign of a positive divisor, whatever the sign of the dividend.
    "MOD": lambda left, right: math.fmod(math.fmod(left, right) + abs(right), abs(right)),
    "+": lambda left, right: left + right,
    "-": lambda left, right: left - right,
    "OR": lambda left, right: float(bool(left) or bool(right)),
    "XOR": lambda left, right: float(bool(left) != bool(right)),
    "AND": lambda left, right: float(bool(left) and bool(right)),
}


def _worked(sum: Callable[[], float], name: str) -> float:
    try:
        value = sum()
    except (ValueError, ZeroDivisionError, OverflowError):
        value = math.inf
    if abs(value) > LARGEST_NUMBER:
        raise LineError("no-answer", name=name)
    return value
