"""Which kind of value an expression gives; wrong mixtures are found before anything runs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from generator.errors import near
from generator.expr.functions import FUNCTIONS
from generator.expr.nodes import Call, Compare, Cond, Flag, Listing, Logic, Name, Neg, Node, Not, Num, Op, Str
from generator.expr.parse import ExprError

Kind = Literal["number", "text", "bool", "numbers", "texts"]
_ITEM: dict[str, Kind] = {"numbers": "number", "texts": "text"}


def kind_of(node: Node, kinds: Mapping[str, Kind]) -> Kind:
    """The kind of `node` where names have `kinds`. Raises ExprError on unknown names and mixtures."""
    match node:
        case Num():
            return "number"
        case Str():
            return "text"
        case Flag():
            return "bool"
        case Name():
            return _name_kind(node, kinds)
        case Listing():
            return _listing_kind(node, kinds)
        case Neg(of=of):
            return _want(of, "number", kinds)
        case Op(left=left, right=right):
            _want(left, "number", kinds)
            return _want(right, "number", kinds)
        case Compare():
            return _compare_kind(node, kinds)
        case Not(of=of):
            return _want(of, "bool", kinds)
        case Logic(items=items):
            for item in items:
                _want(item, "bool", kinds)
            return "bool"
        case Cond(test=test, then=then, other=other):
            _want(test, "bool", kinds)
            return _want(other, kind_of(then, kinds), kinds)
        case Call():
            return _call_kind(node, kinds)


def _want(node: Node, wanted: Kind, kinds: Mapping[str, Kind]) -> Kind:
    found = kind_of(node, kinds)
    if found != wanted:
        raise ExprError(f"found a {found} where a {wanted} is wanted", node.at)
    return found


def _name_kind(node: Name, kinds: Mapping[str, Kind]) -> Kind:
    if node.id == "pi":
        return "number"
    if node.id not in kinds:
        raise ExprError(f"'{node.id}' is not known here{near(node.id, kinds)}", node.at)
    return kinds[node.id]


def _listing_kind(node: Listing, kinds: Mapping[str, Kind]) -> Kind:
    found = {kind_of(item, kinds) for item in node.items}
    if found == {"number"}:
        return "numbers"
    if found == {"text"}:
        return "texts"
    raise ExprError("a list holds numbers or texts, one kind and at least one", node.at)


def _compare_kind(node: Compare, kinds: Mapping[str, Kind]) -> Kind:
    left, right = kind_of(node.left, kinds), kind_of(node.right, kinds)
    if node.op == "in":
        if _ITEM.get(right) != left:
            raise ExprError(f"a {left} cannot be in a {right}", node.at)
    elif left != right or left in _ITEM or (node.op not in {"==", "!="} and left != "number"):
        raise ExprError(f"'{node.op}' cannot compare a {left} with a {right}", node.at)
    return "bool"


def _call_kind(node: Call, kinds: Mapping[str, Kind]) -> Kind:
    function = FUNCTIONS[node.fn]
    found = [kind_of(arg, kinds) for arg in node.args]
    for arg, kind, wanted in zip(node.args, found, function.takes or ("number",) * len(found), strict=True):
        fits = wanted == "any" or kind == wanted or (wanted == "list" and kind in _ITEM)
        if not fits:
            raise ExprError(f"{node.fn} wants a {wanted} here, found a {kind}", arg.at)
    if function.gives == "item":
        return _ITEM[found[-1]]
    return function.gives  # type: ignore[return-value]
