"""An expression as a line of plain text: with symbols, or worked with numbers."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from generator.expr.evaluate import Scope, evaluate
from generator.expr.nodes import Call, Compare, Cond, Flag, Listing, Logic, Name, Neg, Node, Not, Num, Op, Str

_RANK = {"or": 1, "and": 2, "compare": 3, "+": 4, "-": 4, "*": 5, "/": 5, "neg": 6, "**": 7}
_SIGNS = {"*": " × ", "/": " ÷ ", "+": " + ", "-": " − ", "<=": " ≤ ", ">=": " ≥ ", "==": " is ", "!=": " is not "}
_POWERS = {2.0: "²", 3.0: "³", 4.0: "⁴"}


class Choice(Struct, frozen=True):
    """A place where a worked line has one of two wordings, as `test` comes out."""

    test: Node
    then: tuple[Part, ...]
    other: tuple[Part, ...]


Part = str | Name | Choice


def spoken(node: Node) -> tuple[Part, ...]:
    """The line as parts: text, the names whose symbol or value belongs in that place, and choices."""
    return _merge(_say(node))


def render_words(parts: Sequence[Part], say: Callable[[str], str]) -> str:
    """The formula in words, both sides of every choice, each name replaced by what `say` gives for it."""
    return "".join(_words_of(part, say) for part in parts)


def _words_of(part: Part, say: Callable[[str], str]) -> str:
    if isinstance(part, Choice):
        test = render_words(_say(part.test), say)
        return f"{render_words(part.then, say)} if {test}, otherwise {render_words(part.other, say)}"
    return part if isinstance(part, str) else say(part.id)


def render_worked(parts: Sequence[Part], scope: Scope, say: Callable[[str], str]) -> str:
    """The line as it is worked in `scope`: of every choice the side that applies."""
    texts = []
    for part in parts:
        if isinstance(part, Choice):
            side = part.then if evaluate(part.test, scope) is True else part.other
            texts.append(render_worked(side, scope, say))
        else:
            texts.append(part if isinstance(part, str) else say(part.id))
    return "".join(texts)


def _merge(parts: list[Part]) -> tuple[Part, ...]:
    merged: list[Part] = []
    for part in parts:
        if isinstance(part, str) and merged and isinstance(merged[-1], str):
            merged[-1] = f"{merged[-1]}{part}"
        else:
            merged.append(part)
    return tuple(merged)


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
            return [Choice(test, _merge(_say(then)), _merge(_say(other)))]
        case Call(fn=fn, args=args):
            return _called(fn, args)


def _operation(op: str, left: Node, right: Node) -> list[Part]:
    rank = _RANK[op]
    if op == "**":
        return [*_base(left, rank + 1), *_exponent(right, rank)]
    return [*_bracketed(left, rank), _SIGNS[op], *_bracketed(right, rank + (op in {"-", "/"}))]


def _base(node: Node, rank: int) -> list[Part]:
    """What is raised to a power. A value is put in with its unit, and the power is of both."""
    return ["(", node, ")"] if isinstance(node, Name) and node.id != "pi" else _bracketed(node, rank)


def _exponent(node: Node, rank: int) -> list[Part]:
    raised = _POWERS.get(node.value) if isinstance(node, Num) else None
    return [raised] if raised else ["^", *_bracketed(node, rank)]


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
