"""An expression as a line of plain text: with symbols, or worked with numbers."""

from __future__ import annotations

from collections.abc import Callable

from generator.expr.nodes import Call, Compare, Cond, Flag, Listing, Logic, Name, Neg, Node, Not, Num, Op, Str

_RANK = {"or": 1, "and": 2, "compare": 3, "+": 4, "-": 4, "*": 5, "/": 5, "neg": 6, "**": 7}
_SIGNS = {"*": " × ", "/": " ÷ ", "+": " + ", "-": " − ", "<=": " ≤ ", ">=": " ≥ ", "==": " is ", "!=": " is not "}
Part = str | Name


def spoken(node: Node) -> list[Part]:
    """The line as parts: text, and the names whose symbol or value belongs in that place."""
    return _merge(_say(node))


def render_spoken(parts: list[Part], say: Callable[[str], str]) -> str:
    """The parts joined, each name replaced by what `say` gives for it."""
    return "".join(part if isinstance(part, str) else say(part.id) for part in parts)


def _merge(parts: list[Part]) -> list[Part]:
    merged: list[Part] = []
    for part in parts:
        if isinstance(part, str) and merged and isinstance(merged[-1], str):
            merged[-1] += part
        else:
            merged.append(part)
    return merged


def _say(node: Node) -> list[Part]:
    match node:
        case Num(value=value):
            return [str(int(value)) if value.is_integer() else repr(value)]
        case Str(value=value):
            return [value.replace("-", " ")]
        case Flag(value=flag):
            return ["yes" if flag else "no"]
        case Name(id=name):
            return ["π"] if name == "pi" else [node]
        case Listing(items=items):
            return _joined(items, " or ")
        case Neg(of=of):
            return ["−", *_bracketed(of, _RANK["neg"])]
        case Op(op=op, left=left, right=right):
            return _operation(op, left, right)
        case Compare(op=op, left=left, right=right):
            rank = _RANK["compare"] + 1
            return [*_bracketed(left, rank), _SIGNS.get(op, f" {op} "), *_bracketed(right, rank)]
        case Not(of=of):
            return ["not ", *_bracketed(of, _RANK["compare"])]
        case Logic(op=op, items=items):
            return _joined(items, f" {op} ")
        case Cond(test=test, then=then, other=other):
            return [*_say(then), " if ", *_say(test), ", otherwise ", *_say(other)]
        case Call(fn=fn, args=args):
            return _called(fn, args)


def _operation(op: str, left: Node, right: Node) -> list[Part]:
    rank = _RANK[op]
    if op == "**":
        return [*_bracketed(left, rank + 1), "^", *_bracketed(right, rank)]
    return [*_bracketed(left, rank), _SIGNS[op], *_bracketed(right, rank + (op in {"-", "/"}))]


def _bracketed(node: Node, rank: int) -> list[Part]:
    parts = _say(node)
    return ["(", *parts, ")"] if rank_of(node) < rank else parts


def rank_of(node: Node) -> int:
    match node:
        case Op(op=op) | Logic(op=op):
            return _RANK[op]
        case Compare():
            return _RANK["compare"]
        case Neg():
            return _RANK["neg"]
        case Cond():
            return 0
    return 9


def _joined(items: tuple[Node, ...], glue: str) -> list[Part]:
    parts: list[Part] = []
    for item in items:
        parts += [*([glue] if parts else []), *_say(item)]
    return parts


_WORDS = {
    "min": "the smallest of ", "max": "the largest of ", "sqrt": "√", "abs": "the size of ", "radians": "",
    "ceil": "rounded up: ", "floor": "rounded down: ", "largest_at_most": "the largest setting at or below ",
    "smallest_at_least": "the smallest setting at or above ",
}  # fmt: skip


def _called(fn: str, args: tuple[Node, ...]) -> list[Part]:
    if fn == "passes":
        return ["(", *_bracketed(args[0], 5), " ÷ ", *_bracketed(args[1], 6), ", rounded up)"]
    if fn in {"largest_at_most", "smallest_at_least"}:
        return [_WORDS[fn], *_say(args[1])]
    return [_WORDS.get(fn, fn), "(", *_joined(args, ", "), ")"]
