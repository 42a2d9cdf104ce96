"""The functions of the expression language: what each takes, gives and does.

`site_assets/onionskin/primitives.js` says the same for the browser; a test holds them equal.
A number without an answer is NaN inside, an unknown list is None.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from msgspec import Struct

NO_ANSWER = math.nan
# A quotient of decimals such as 2.1 / 0.7 lands a hair above the whole number it means.
SLACK = 1e-9


class Function(Struct, frozen=True):
    """`takes` lists argument kinds (None: one or more numbers); `gives` 'item' means the last list's element."""

    takes: tuple[str, ...] | None
    gives: str
    run: Callable[..., object]


def least(*values: float) -> float:
    """The smallest; no answer if any is missing."""
    return NO_ANSWER if any(math.isnan(value) for value in values) else min(values)


def greatest(*values: float) -> float:
    """The largest; no answer if any is missing."""
    return NO_ANSWER if any(math.isnan(value) for value in values) else max(values)


def divide(left: float, right: float) -> float:
    """A quotient; no answer when dividing by zero."""
    return left / right if right != 0 else NO_ANSWER


def power(base: float, exponent: float) -> float:
    """A power; no answer when it is not a finite real number."""
    if not (math.isfinite(base) and math.isfinite(exponent)):
        return NO_ANSWER
    try:
        return math.pow(base, exponent)
    except (ValueError, OverflowError):
        return NO_ANSWER


def passes(depth: float, step: float) -> float:
    """How many passes of at most `step` reach `depth`; both in one unit, step above zero."""
    return ceiling(depth / step) if step > 0 and depth >= 0 else NO_ANSWER


def ceiling(value: float) -> float:
    """The next whole number up, forgiving the last digits of a decimal quotient."""
    return math.ceil(value - SLACK) + 0.0 if math.isfinite(value) else NO_ANSWER


def floor(value: float) -> float:
    """The next whole number down, forgiving the last digits of a decimal quotient."""
    return math.floor(value + SLACK) + 0.0 if math.isfinite(value) else NO_ANSWER


def round_to(value: float, decimals: float) -> float:
    """Rounded to `decimals` places, ties away from zero."""
    if not (math.isfinite(value) and 0 <= decimals <= 9):
        return NO_ANSWER
    scale = 10.0 ** int(decimals)
    if not math.isfinite(abs(value) * scale):
        return NO_ANSWER
    size = math.floor(abs(value) * scale + 0.5) / scale
    return -size if value < 0 and size else size


def arc_cosine(value: float) -> float:
    """The angle in rad by the half-angle arctangent, so that both languages agree to the last digit."""
    return math.pi if value == -1 else 2 * math.atan(_real(math.sqrt)(divide(1 - value, 1 + value)))


def _real(run: Callable[[float], float]) -> Callable[[float], float]:
    def safe(value: float) -> float:
        try:
            return run(value) if math.isfinite(value) else NO_ANSWER
        except (ValueError, OverflowError):
            return NO_ANSWER

    return safe


def _largest_at_most(values: Sequence[float] | None, limit: float) -> float:
    fitting = [value for value in values or () if value <= limit]
    return max(fitting, default=NO_ANSWER)


def _smallest_at_least(values: Sequence[float] | None, limit: float) -> float:
    fitting = [value for value in values or () if value >= limit]
    return min(fitting, default=NO_ANSWER)


def _match(keys: Sequence[float] | None, wanted: float, values: Sequence[object] | None) -> object:
    pairs = zip(keys or (), values or (), strict=False)
    return next((value for key, value in pairs if key == wanted), None)


def _of_list(run: Callable[[Sequence[float]], float]) -> Callable[[Sequence[float] | None], float]:
    return lambda values: run(values) if values else NO_ANSWER


def _length(values: Sequence[object] | None) -> float:
    return NO_ANSWER if values is None else float(len(values))


def _joined(values: Sequence[str] | None) -> str | None:
    return None if values is None else ", ".join(value.replace("-", " ") for value in values)


def _known(value: object) -> bool:
    return value is not None and not (isinstance(value, float) and math.isnan(value))


FUNCTIONS: dict[str, Function] = {
    "min": Function(None, "number", least),
    "max": Function(None, "number", greatest),
    "abs": Function(("number",), "number", abs),
    "sqrt": Function(("number",), "number", _real(math.sqrt)),
    "sin": Function(("number",), "number", _real(math.sin)),
    "cos": Function(("number",), "number", _real(math.cos)),
    "tan": Function(("number",), "number", _real(math.tan)),
    "atan": Function(("number",), "number", _real(math.atan)),
    "acos": Function(("number",), "number", arc_cosine),
    "exp": Function(("number",), "number", _real(math.exp)),
    "log": Function(("number",), "number", _real(math.log)),
    "log10": Function(("number",), "number", _real(math.log10)),
    "radians": Function(("number",), "number", lambda degrees: degrees * math.pi / 180),
    "floor": Function(("number",), "number", floor),
    "ceil": Function(("number",), "number", ceiling),
    "passes": Function(("number", "number"), "number", passes),
    "round_to": Function(("number", "number"), "number", round_to),
    "known": Function(("any",), "bool", _known),
    "length": Function(("list",), "number", _length),
    "first": Function(("list",), "item", lambda values: values[0] if values else None),
    "least": Function(("numbers",), "number", _of_list(min)),
    "greatest": Function(("numbers",), "number", _of_list(max)),
    "largest_at_most": Function(("numbers", "number"), "number", _largest_at_most),
    "smallest_at_least": Function(("numbers", "number"), "number", _smallest_at_least),
    "match": Function(("numbers", "number", "list"), "item", _match),
    "joined": Function(("texts",), "text", _joined),
}
