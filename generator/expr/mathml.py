"""Expressions as MathML Core: fractions, roots, powers, ceilings and braces, no library needed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from html import escape

from generator.expr.nodes import Call, Compare, Cond, Flag, Listing, Logic, Name, Neg, Node, Not, Num, Op, Str
from generator.expr.spoken import rank_of

_SIGNS = {"*": "×", "+": "+", "-": "−", "<": "&lt;", ">": "&gt;", "<=": "≤", ">=": "≥", "==": "=", "!=": "≠", "in": "∈"}
_RANK = {"+": 4, "-": 4, "*": 5, "/": 5, "**": 7}


def to_mathml(result: str, node: Node, symbols: Mapping[str, str], alt: str) -> str:
    """`result = node` as a `<math>` element; `symbols` names what stands for each name, `alt` says it in words."""
    body = f"{symbol(result)}<mo>=</mo>{_draw(node, symbols)}"
    return f'<math display="block" aria-label="{escape(alt, quote=True)}"><mrow>{body}</mrow></math>'


def symbol(text: str) -> str:
    """A symbol such as 'f_z' with its index set low; longer words are set upright."""
    base, _, index = text.partition("_")
    head = f"<mi>{escape(base)}</mi>" if len(base) <= 2 else _words(base)
    return f"<msub>{head}<mtext>{escape(index)}</mtext></msub>" if index else head


def _words(text: str) -> str:
    return f"<mtext>{escape(text)}</mtext>"


def _row(*parts: str) -> str:
    return f"<mrow>{''.join(parts)}</mrow>"


def _fenced(left: str, inner: str, right: str) -> str:
    return _row(f"<mo>{left}</mo>", inner, f"<mo>{right}</mo>")


def _draw(node: Node, symbols: Mapping[str, str]) -> str:
    def draw(part: Node) -> str:
        return _draw(part, symbols)

    match node:
        case Num(value=value):
            return f"<mn>{int(value) if value.is_integer() else value!r}</mn>"
        case Str(value=value):
            return _words(value.replace("-", " "))
        case Flag(value=flag):
            return _words("yes" if flag else "no")
        case Name(id=name):
            return "<mi>π</mi>" if name == "pi" else symbol(symbols.get(name, name.replace("_", " ")))
        case Listing(items=items):
            return _listed(items, draw)
        case Neg(of=of):
            return _row("<mo>−</mo>", _inside(of, 6, draw))
        case Op(op=op, left=left, right=right):
            return _operation(op, left, right, draw)
        case Compare(op=op, left=left, right=right):
            return _row(draw(left), f"<mo>{_SIGNS[op]}</mo>", draw(right))
        case Not(of=of):
            return _row(_words("not\u00a0"), draw(of))
        case Logic(op=op, items=items):
            return _row(_words(f"\u00a0{op}\u00a0").join(_inside(item, 3, draw) for item in items))
        case Cond():
            return _cases(node, draw)
        case Call(fn=fn, args=args):
            return _called(fn, args, draw)


def _operation(op: str, left: Node, right: Node, draw: Callable[[Node], str]) -> str:
    if op == "/":
        return f"<mfrac>{_row(draw(left))}{_row(draw(right))}</mfrac>"
    rank = _RANK[op]
    if op == "**":
        return f"<msup>{_row(_inside(left, rank + 1, draw))}{_row(draw(right))}</msup>"
    return _row(_inside(left, rank, draw), f"<mo>{_SIGNS[op]}</mo>", _inside(right, rank + (op == "-"), draw))


def _inside(node: Node, rank: int, draw: Callable[[Node], str]) -> str:
    fraction = isinstance(node, Op) and node.op == "/"
    return draw(node) if fraction or rank_of(node) >= rank else _fenced("(", draw(node), ")")


def _listed(items: tuple[Node, ...], draw: Callable[[Node], str]) -> str:
    return "<mo>,</mo>".join(draw(item) for item in items)


def _cases(node: Cond, draw: Callable[[Node], str]) -> str:
    def case(value: str, when: str) -> str:
        return f"<mtr><mtd>{value}</mtd><mtd>{when}</mtd></mtr>"

    rows = case(draw(node.then), _row(_words("if\u00a0"), draw(node.test))) + case(
        draw(node.other), _words("otherwise")
    )
    return _row("<mo>{</mo>", f"<mtable>{rows}</mtable>")


def _called(fn: str, args: tuple[Node, ...], draw: Callable[[Node], str]) -> str:
    if fn == "sqrt":
        return f"<msqrt>{draw(args[0])}</msqrt>"
    if fn == "radians":
        return draw(args[0])
    if fn == "passes":
        return _fenced("⌈", f"<mfrac>{_row(draw(args[0]))}{_row(draw(args[1]))}</mfrac>", "⌉")
    fences = {"ceil": "⌈⌉", "floor": "⌊⌋", "abs": "||"}
    if fn in fences:
        return _fenced(fences[fn][0], draw(args[0]), fences[fn][1])
    return _row(_words(fn.replace("_", " ")), _fenced("(", _listed(args, draw), ")"))
