"""Every formula is dimensionally sound: pint as a second opinion on units and expressions."""

from __future__ import annotations

import pint
import pytest

from generator.expr import Node, evaluate, parse
from generator.expr.nodes import Call, Compare, Cond, Flag, Listing, Logic, Name, Neg, Not, Num, Op, Str
from generator.facts import FACTS
from generator.load_content import content_folder, load_some
from generator.model.calculator import Calculator
from generator.units import UNITS, WRITTEN

UREG = pint.UnitRegistry()
# pint counts a turn as an angle; in these sums a turn and a tooth are plain counts (rpm is 1/min).
PINT = {"1": "", "%": "", "mm/tooth": "mm", "mm/rev": "mm", "rpm": "1/min", "Nm": "N*m", "deg": "", "dB": "",
        "dB-C": "", "dB-less": "", "mm/s2": "mm/s**2", "N/mm2": "N/mm**2", "kg/m3": "kg/m**3", "mg/m3": "mg/m**3", "mm2": "mm**2",
        "cm3/min": "cm**3/min", "m3/h": "m**3/h", "days": "day", "degC": "kelvin"}  # fmt: skip
ANY = object()  # a literal zero fits every dimension
NONE = UREG.Quantity(1.0, "").dimensionality
CALCULATORS = load_some([content_folder()], ["calculators"]).calculators


class DimensionError(Exception):
    """Two quantities that cannot stand where they stand."""


def dimension(tag: str) -> object:
    return UREG.Quantity(1.0, PINT.get(tag, tag)).dimensionality


def dimension_of(node: Node, known: dict[str, object]) -> object:
    """The dimension of an expression; None for texts, truths and lists of them."""
    match node:
        case Num(value=value):
            return ANY if value == 0 else NONE
        case Str() | Flag() | Not() | Logic() | Listing():
            for part in getattr(node, "items", ()) or ((node.of,) if isinstance(node, Not) else ()):
                dimension_of(part, known)
            return NONE if isinstance(node, Listing) else None
        case Name(id=name):
            return NONE if name == "pi" else known[name]
        case Neg(of=of):
            return dimension_of(of, known)
        case Op(op=op, left=left, right=right):
            return operation(op, dimension_of(left, known), right, known)
        case Compare(left=left, right=right):
            same(dimension_of(left, known), dimension_of(right, known), node)
            return None
        case Cond(test=test, then=then, other=other):
            dimension_of(test, known)
            return same(dimension_of(then, known), dimension_of(other, known), node)
        case Call():
            return call(node, known)


def operation(op: str, left: object, right_node: Node, known: dict[str, object]) -> object:
    right = dimension_of(right_node, known)
    if op in {"+", "-"}:
        return same(left, right, right_node)
    if op == "**":
        same(right, NONE, right_node)
        power = evaluate(right_node, {}) if isinstance(right_node, Num | Neg) else None
        if power is None:
            return same(left, NONE, right_node)
        return NONE if left is ANY else left**power  # type: ignore[operator]
    left, right = (NONE if side is ANY else side for side in (left, right))
    return left * right if op == "*" else left / right  # type: ignore[operator]


def same(left: object, right: object, node: Node) -> object:
    if left is ANY:
        return right
    if right is ANY or left == right:
        return left
    raise DimensionError(f"{left} against {right} at column {node.at}")


def call(node: Call, known: dict[str, object]) -> object:
    found = [dimension_of(arg, known) for arg in node.args]
    if node.fn in {"min", "max", "largest_at_most", "smallest_at_least"}:
        result = found[0]
        for other in found[1:]:
            result = same(result, other, node)
        return result
    if node.fn == "passes":
        same(found[0], found[1], node)
        return NONE
    if node.fn == "sqrt":
        return NONE if found[0] is ANY else found[0] ** 0.5  # type: ignore[operator]
    if node.fn == "match":
        same(found[0], found[1], node)
        return found[2]
    if node.fn in {"known", "joined"}:
        return None
    if node.fn in {"abs", "first", "least", "greatest", "round_to"}:
        return found[0]
    if node.fn != "length":
        same(found[0], NONE, node)
    return NONE


def names_of(calculator: Calculator) -> dict[str, object]:
    known = {
        name: None if spec.kind in {"text", "bool", "texts"} else dimension(spec.unit or "1")
        for name, spec in FACTS.items()
    }
    known |= {
        field.name: None if field.kind in {"text", "texts"} else dimension(field.unit) for field in calculator.inputs
    }
    return known | {constant.name: dimension(constant.unit) for constant in calculator.constants}


@pytest.mark.parametrize("id_", sorted(CALCULATORS))
def test_every_output_has_the_dimension_of_its_unit(id_: str) -> None:
    """Expression, band, cover and advice add only like to like, and the result is what its unit says."""
    calculator = CALCULATORS[id_]
    known = names_of(calculator)
    for field in calculator.inputs:
        if field.default is not None and field.kind == "number":
            same(dimension_of(field.default, known), dimension(field.unit), field.default)
    for output in calculator.outputs:
        wanted = dimension(output.unit) if output.kind == "number" else None
        for node in (output.expr, output.low, output.high):
            if node is not None:
                found = dimension_of(node, known)
                assert wanted is None or found is ANY or found == wanted, f"{output.name}: {found}, wanted {wanted}"
        known[output.name] = wanted
    for node in [calculator.covers, *(advice.when for advice in calculator.advice)]:
        if node is not None:
            dimension_of(node, known)


def test_the_check_itself_finds_a_wrong_unit() -> None:
    """A chip load in seconds, and a feed added to a length, are refused."""
    known = {"feed": dimension("mm/min"), "speed": dimension("rpm"), "length": dimension("mm")}
    assert dimension_of(parse("feed / speed"), known) == dimension("mm")
    assert dimension_of(parse("feed * speed"), known) != dimension("mm/tooth")
    with pytest.raises(DimensionError):
        dimension_of(parse("feed + length"), known)
    with pytest.raises(DimensionError):
        dimension_of(parse("sin(length)"), known)


@pytest.mark.parametrize(("word", "tag", "factor"), [(word, tag, factor) for word, (tag, factor) in WRITTEN.items()])
def test_every_written_unit_has_the_factor_pint_gives(word: str, tag: str, factor: float) -> None:
    """Inch, bar, litre-less air flow and the rest convert as the registry converts."""
    spelt = {'"': "inch", "in": "inch", "in/min": "inch/min", "ipm": "inch/min", "in/s2": "inch/s**2", "in/tooth": "inch",
             "mm/tooth": "mm", "rpm": "1/min", "r/min": "1/min", "1/min": "1/min", "mm/s2": "mm/s**2", "m/s2": "m/s**2",
             "N m": "N*m", "Nm": "N*m", "kg/m3": "kg/m**3", "N/mm2": "N/mm**2", "m3/h": "m**3/h", "mm2": "mm**2",
             "cm2": "cm**2", "°": "", "deg": "", "%": "", "dB": "", "um/N": "um/N", "lbf": "force_pound", "degC": "kelvin"}  # fmt: skip
    ratio = UREG.Quantity(1.0, spelt.get(word, word)) / UREG.Quantity(1.0, PINT.get(tag, tag))
    assert ratio.to("").magnitude == pytest.approx(factor, rel=1e-12)


def test_every_unit_tag_is_known_to_pint() -> None:
    """No tag is a spelling of our own."""
    for tag in UNITS:
        dimension(tag)
