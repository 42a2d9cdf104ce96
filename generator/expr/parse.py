"""Expression text to nodes, by a whitelist over Python's grammar."""

from __future__ import annotations

import ast
import math

from generator.expr.functions import FUNCTIONS
from generator.expr.nodes import Call, Compare, Cond, Flag, Listing, Logic, Name, Neg, Node, Not, Num, Op, Str

_LONGEST = 2000
_DEEPEST = 60
_OPS: dict[type[ast.operator], str] = {
    ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/", ast.Pow: "**",
}  # fmt: skip
_COMPARES: dict[type[ast.cmpop], str] = {
    ast.Lt: "<", ast.LtE: "<=", ast.Gt: ">", ast.GtE: ">=", ast.Eq: "==", ast.NotEq: "!=", ast.In: "in",
}  # fmt: skip
_FLAGS = {"true": True, "false": False}


class ExprError(ValueError):
    """An expression is wrong; `column` counts from 1 in the expression's own text."""

    def __init__(self, says: str, column: int = 1) -> None:
        super().__init__(says)
        self.column = column


def parse(text: str) -> Node:
    """The expression in `text`. Raises ExprError with the column and the mend."""
    if len(text) > _LONGEST:
        raise ExprError(f"the expression is longer than {_LONGEST} characters; split it")
    line = text.replace("\n", " ")
    try:
        tree = ast.parse(f"({line})", mode="eval")
    except SyntaxError as fault:
        raise ExprError(f"not an expression: {fault.msg}", max(1, (fault.offset or 2) - 1)) from None
    except (ValueError, RecursionError, MemoryError):
        raise ExprError("not an expression: too deep or with characters that cannot be read") from None
    return _node(tree.body, 0)


def _node(tree: ast.expr, depth: int) -> Node:
    if depth > _DEEPEST:
        raise ExprError(f"brackets nest deeper than {_DEEPEST}; split the expression", tree.col_offset)
    at = max(1, tree.col_offset)
    match tree:
        case ast.Constant(value=value):
            return _constant(value, at)
        case ast.Name(id=name):
            return _name(name, at)
        case ast.Attribute():
            return Name(_dotted(tree), at)
        case ast.UnaryOp(op=ast.USub(), operand=of):
            return Neg(_node(of, depth + 1), at)
        case ast.UnaryOp(op=ast.Not(), operand=of):
            return Not(_node(of, depth + 1), at)
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _OPS:
            return Op(_OPS[type(op)], _node(left, depth + 1), _node(right, depth + 1), at)
        case ast.BoolOp(op=logic, values=values):
            word = "and" if isinstance(logic, ast.And) else "or"
            return Logic(word, tuple(_node(value, depth + 1) for value in values), at)
        case ast.Compare():
            return _compare(tree, depth, at)
        case ast.IfExp(test=test, body=then, orelse=other):
            return Cond(_node(test, depth + 1), _node(then, depth + 1), _node(other, depth + 1), at)
        case ast.Tuple(elts=items) | ast.List(elts=items):
            return Listing(tuple(_node(item, depth + 1) for item in items), at)
        case ast.Call():
            return _call(tree, depth, at)
    raise ExprError(f"'{ast.unparse(tree)[:40]}' is not part of the expression language", at)


def _constant(value: object, at: int) -> Node:
    if isinstance(value, str):
        return Str(value, at)
    if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value):
        return Num(float(value), at)
    raise ExprError(f"'{value}' is not a number or quoted text; write true, false or a plain number", at)


def _name(name: str, at: int) -> Node:
    return Flag(_FLAGS[name], at) if name in _FLAGS else Name(name, at)


def _dotted(tree: ast.expr) -> str:
    if isinstance(tree, ast.Attribute):
        return f"{_dotted(tree.value)}.{tree.attr}"
    if isinstance(tree, ast.Name):
        return tree.id
    raise ExprError("a dot may only join plain names", max(1, tree.col_offset))


def _compare(tree: ast.Compare, depth: int, at: int) -> Node:
    if len(tree.ops) > 1:
        raise ExprError("compare two things at a time; join comparisons with 'and'", at)
    left, right = _node(tree.left, depth + 1), _node(tree.comparators[0], depth + 1)
    op = tree.ops[0]
    if isinstance(op, ast.NotIn):
        return Not(Compare("in", left, right, at), at)
    if type(op) not in _COMPARES:
        raise ExprError("compare with < <= > >= == != or in", at)
    return Compare(_COMPARES[type(op)], left, right, at)


def _call(tree: ast.Call, depth: int, at: int) -> Node:
    name = tree.func.id if isinstance(tree.func, ast.Name) else ast.unparse(tree.func)
    if name not in FUNCTIONS or tree.keywords:
        raise ExprError(f"'{name}' is not a function of the language; there are {', '.join(sorted(FUNCTIONS))}", at)
    wanted = FUNCTIONS[name].takes
    if (wanted is not None and len(tree.args) != len(wanted)) or not tree.args:
        raise ExprError(f"{name} takes {len(wanted) if wanted else 'one or more'} values, found {len(tree.args)}", at)
    return Call(name, tuple(_node(arg, depth + 1) for arg in tree.args), at)
