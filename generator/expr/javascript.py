"""Expressions as JavaScript source, fully bracketed in source order so that the doubles match.

Emitted code leans on `window.OnionskinX` (called X) for what the two languages do differently.
"""

from __future__ import annotations

import json

from generator.expr.functions import FUNCTIONS
from generator.expr.nodes import Call, Compare, Cond, Flag, Listing, Logic, Name, Neg, Node, Not, Num, Op, Str

_COMPARES = {"<": "lt", "<=": "le", ">": "gt", ">=": "ge", "==": "eq", "!=": "ne", "in": "within"}
_CALLS = {"/": "divide", "**": "power"}


def to_js_function(node: Node) -> str:
    """A function of the scope `s`; gives null where there is no answer."""
    return f"function(s){{return X.out({to_js(node)})}}"


def to_js(node: Node) -> str:
    """The expression itself, reading names from the object `s`."""
    match node:
        case Num(value=value):
            return _number_text(value)
        case Str(value=value):
            return json.dumps(value)
        case Flag(value=flag):
            return "true" if flag else "false"
        case Name(id=name):
            return "Math.PI" if name == "pi" else f"s[{json.dumps(name)}]"
        case Listing(items=items):
            return f"[{', '.join(to_js(item) for item in items)}]"
        case Neg(of=of):
            return f"(-{_numeric(of)})"
        case Op(op=op, left=left, right=right):
            return _operation(op, left, right)
        case Compare(op=op, left=left, right=right):
            return f"X.{_COMPARES[op]}({to_js(left)}, {to_js(right)})"
        case Not(of=of):
            return f"X.not({to_js(of)})"
        case Logic(op=op, items=items):
            return f"X.{op}([{', '.join(to_js(item) for item in items)}])"
        case Cond(test=test, then=then, other=other):
            return f"X.pick({to_js(test)}, {to_js(then)}, {to_js(other)})"
        case Call(fn=fn, args=args):
            takes = FUNCTIONS[fn].takes or ("number",) * len(args)
            texts = (_numeric(a) if kind == "number" else to_js(a) for a, kind in zip(args, takes, strict=True))
            return f"X.fn.{fn}({', '.join(texts)})"


def _operation(op: str, left: Node, right: Node) -> str:
    if op in _CALLS:
        return f"X.{_CALLS[op]}({_numeric(left)}, {_numeric(right)})"
    return f"({_numeric(left)} {op} {_numeric(right)})"


def _numeric(node: Node) -> str:
    """JavaScript reads a missing value as 0, so everything that may be missing goes through X.n."""
    text = to_js(node)
    return text if isinstance(node, Num | Op | Neg) else f"X.n({text})"


def _number_text(value: float) -> str:
    return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
