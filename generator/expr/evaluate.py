"""The value of an expression in a scope of named values; None is 'unknown' or 'no answer'."""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Mapping, Sequence

from generator.expr.functions import FUNCTIONS, NO_ANSWER, divide, power
from generator.expr.nodes import Call, Compare, Cond, Flag, Listing, Logic, Name, Neg, Node, Not, Num, Op, Str

Value = float | str | bool | Sequence[float] | Sequence[str] | None
Scope = Mapping[str, Value]

_OPS: dict[str, Callable[[float, float], float]] = {
    "+": operator.add, "-": operator.sub, "*": operator.mul, "/": divide, "**": power,
}  # fmt: skip
_COMPARES: dict[str, Callable[..., bool]] = {
    "<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge, "==": operator.eq, "!=": operator.ne,
}  # fmt: skip


def evaluate(node: Node, scope: Scope) -> Value:
    """The value of `node`; None where a needed value is unknown or the sum has no finite answer.

    Raises KeyError for a name the scope lacks: content is checked against its names when loaded.
    """
    value = _value(node, scope)
    return None if isinstance(value, float) and not math.isfinite(value) else value


def _value(node: Node, scope: Scope) -> Value:
    match node:
        case Num(value=value) | Str(value=value) | Flag(value=value):
            return value
        case Name(id=name):
            return math.pi if name == "pi" else _plain(scope[name])
        case Listing(items=items):
            return [_value(item, scope) for item in items]  # type: ignore[return-value]
        case Neg(of=of):
            return -_number(_value(of, scope))
        case Op(op=op, left=left, right=right):
            return _OPS[op](_number(_value(left, scope)), _number(_value(right, scope)))
        case Compare(op=op, left=left, right=right):
            return _compare(op, _value(left, scope), _value(right, scope))
        case Not(of=of):
            truth = _value(of, scope)
            return None if truth is None else not truth
        case Logic(op=op, items=items):
            return _logic(op, [_value(item, scope) for item in items])
        case Cond(test=test, then=then, other=other):
            truth = _value(test, scope)
            return None if truth is None else _value(then if truth else other, scope)
        case Call(fn=fn, args=args):
            return _call(fn, [_value(arg, scope) for arg in args])


def _plain(value: Value) -> Value:
    """Whole numbers count as numbers like any other, as they do in the browser."""
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def _number(value: Value) -> float:
    return NO_ANSWER if value is None else float(value)  # type: ignore[arg-type]


def _missing(value: Value) -> bool:
    return value is None or (isinstance(value, float) and math.isnan(value))


def _compare(op: str, left: Value, right: Value) -> bool | None:
    if _missing(left) or _missing(right):
        return None
    if op == "in":
        return left in right  # type: ignore[operator]
    return _COMPARES[op](left, right)


def _logic(op: str, truths: list[Value]) -> bool | None:
    ruling = op == "or"
    if any(truth is ruling for truth in truths):
        return ruling
    return None if any(truth is None for truth in truths) else not ruling


def _call(fn: str, values: list[Value]) -> Value:
    takes = FUNCTIONS[fn].takes or ("number",) * len(values)
    arguments = [_number(value) if kind == "number" else value for value, kind in zip(values, takes, strict=True)]
    return FUNCTIONS[fn].run(*arguments)  # type: ignore[return-value]
