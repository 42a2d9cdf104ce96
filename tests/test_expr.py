"""The expression language: what it accepts, what it refuses, and what it does with the unknown."""

from __future__ import annotations

import math

import pytest

from generator.expr import ExprError, evaluate, kind_of, parse, parse_template, render_template, spoken, to_mathml
from generator.expr.nodes import Num
from generator.expr.spoken import render_words, render_worked
from generator.expr.substitute import substitute


def value(text: str, **scope: object) -> object:
    return evaluate(parse(text), scope)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("2 + 3 * 4", 14.0),
        ("-2 ** 2", -4.0),
        ("2 ** 3 ** 2", 512.0),
        ("(1 + 2) / 4", 0.75),
        ("1 if 2 > 1 else 0", 1.0),
        ("'a' in ('a', 'b')", True),
        ("not (1 > 2) and 3 >= 3", True),
        ("passes(2.1, 0.7)", 3.0),
        ("passes(0, 3)", 0.0),
        ("ceil(2.0000000001)", 2.0),
        ("ceil(2.01)", 3.0),
        ("floor(2.9999999999)", 3.0),
        ("round_to(2.5, 0)", 3.0),
        ("round_to(-66.125, 2)", -66.13),
        ("acos(-1)", math.pi),
        ("least([3, 1, 2])", 1.0),
        ("largest_at_most([10, 20, 30], 25)", 20.0),
        ("smallest_at_least([10, 20, 30], 25)", 30.0),
        ("match([10, 20], 20, ['one', 'two'])", "two"),
    ],
)
def test_an_expression_gives_what_arithmetic_says(text: str, wanted: object) -> None:
    """Precedence, comparison, lists and the tolerant roundings."""
    assert value(text) == wanted


@pytest.mark.parametrize(
    "text",
    ["1 / 0", "a + 1", "min(a, 5)", "sqrt(-1)", "log(0)", "10 ** 400", "exp(1000)", "(-8) ** 0.5", "passes(3, 0)",
     "passes(-1, 2)", "1e308 * 10", "largest_at_most([5], 1)", "least(b)"],
)  # fmt: skip
def test_no_answer_is_none_and_never_an_exception(text: str) -> None:
    """Unknown values, division by zero and overflow all end as 'no answer'."""
    assert value(text, a=None, b=None) is None


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("a and false", False),
        ("a and true", None),
        ("a or true", True),
        ("a or false", None),
        ("not a", None),
        ("n > 3", None),
        ("n > 3 or true", True),
        ("t == 'x'", None),
        ("known(n)", False),
        ("1 if a else 2", None),
    ],
)
def test_conditions_are_three_valued(text: str, wanted: object) -> None:
    """An unknown fact makes a condition unknown unless the rest decides it."""
    assert value(text, a=None, n=None, t=None) is wanted


@pytest.mark.parametrize(
    ("text", "column", "says"),
    [
        ("a +", 3, "not an expression"),
        ("a % 2", 1, "not part of the expression language"),
        ("1 < a < 3", 1, "two things at a time"),
        ("spin(a)", 1, "not a function"),
        ("passes(a)", 1, "takes 2 values"),
        ("[x for x in a]", 1, "not part"),
        ("__import__('os').system('x')", 1, "not a function"),
        ("a.b.__class__()", 1, "not a function"),
        ("lambda: 1", 1, "not part"),
        ("'a' 'b' if", 10, "not an expression"),
        ("(" * 200 + "1" + ")" * 200, 200, "not an expression"),
        ("+".join("a" * 1500), 1, "longer than"),
    ],
)
def test_anything_outside_the_language_is_refused_with_its_column(text: str, column: int, says: str) -> None:
    """Nothing but the whitelist is parsed; the message points into the text."""
    with pytest.raises(ExprError, match=says) as refused:
        parse(text)
    assert abs(refused.value.column - column) <= 1


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("size + 'x'", "found a text where a number is wanted"),
        ("size and flag", "found a number where a bool is wanted"),
        ("sizes > 3", "cannot compare a numbers with a number"),
        ("'a' in sizes", "a text cannot be in a numbers"),
        ("size if flag else 'x'", "found a text"),
        ("sise + 1", "did you mean 'size'"),
        ("least(size)", "wants a numbers"),
        ("flag == 1", "cannot compare a bool with a number"),
    ],
)
def test_mixtures_of_kinds_are_found_before_anything_runs(text: str, says: str) -> None:
    """Numbers, texts, booleans and lists do not mix; a misspelt name gets its neighbour."""
    with pytest.raises(ExprError, match=says):
        kind_of(parse(text), {"size": "number", "sizes": "numbers", "flag": "bool"})


def test_a_worked_line_reads_like_the_formula() -> None:
    """Symbols or numbers stand where the names stood, with brackets only where they are needed."""
    parts = spoken(parse("(depth + over) / step * 2 - -depth"))

    assert render_words(parts, str) == "(depth + over) ÷ step × 2 − −depth"
    assert render_words(parts, {"depth": "12 mm", "over": "0.3 mm", "step": "3 mm"}.__getitem__) == (
        "(12 mm + 0.3 mm) ÷ 3 mm × 2 − −12 mm"
    )


def test_a_worked_line_takes_the_side_that_applies() -> None:
    """The formula in words says both sides of a choice; the worked line only the one that holds."""
    parts = spoken(parse("2 * (a if a < 3 else b)"))

    assert render_words(parts, str) == "2 × (a if a < 3, otherwise b)"
    assert render_worked(parts, {"a": 1.0, "b": 9.0}, str) == "2 × (a)"
    assert render_worked(parts, {"a": 5.0, "b": 9.0}, str) == "2 × (b)"


def test_mathml_is_well_formed_and_escapes_its_words() -> None:
    """Fractions, braces and ceilings are markup; a less-than sign and a label are text."""
    from lxml import etree

    node = parse("passes(depth, step) if depth < 3 else sqrt(depth / 2) ** 2")
    math_ = to_mathml("N_p", node, {"depth": "<depth>"}, 'alt "text"')

    tree = etree.fromstring(math_)
    assert tree.tag == "math"
    assert tree.findall(".//mfrac")
    assert tree.findall(".//mtable")
    assert "<depth>" in "".join(tree.itertext())


def test_a_template_shows_units_unknowns_and_choices() -> None:
    """Numbers come with their unit, unknown values say so, and a choice loses its hyphens."""
    template = parse_template("Set {{ n : rpm }}, {{ d / 3 : mm 2 }}, {{ how }}, {{ gone : mm }}, {{ name : name }}.")

    shown = render_template(template, {"n": 18000.0, "d": 10.0, "how": "by-hand", "gone": None, "name": "K-9"})

    assert shown == "Set 18\u202f000\u00a0rpm, 3.3\u00a0mm, by hand, not known yet, K-9."


def test_a_template_fault_points_into_its_text() -> None:
    """The column counts in the whole text, not in the hole."""
    with pytest.raises(ExprError, match="not a unit tag") as refused:
        parse_template("Turn {{ n : furlongs }}")
    assert refused.value.column > 8


def test_local_names_are_replaced_everywhere() -> None:
    """Substitution reaches every part of an expression and leaves other names alone."""
    node = substitute(parse("a + (b if a > 1 else max(a, 2))"), {"a": Num(5.0)})

    assert evaluate(node, {"b": 7.0}) == 12.0
