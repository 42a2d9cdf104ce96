"""Drawings: the format, its faults, what is drawn and how it looks."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.course import Course
from generator.errors import InputFaults
from generator.expr import Value
from generator.figures import Figure, Part, draw, names, parse_figure, parse_part, parts_of
from generator.figures.model import LOOKS
from tests.figure_cases import all_cases

CSS = (Path(__file__).parent.parent / "site_assets" / "onionskin" / "figures.css").read_text(encoding="utf-8")
PHONE = 358  # CSS pixels left for a figure on a page 390 wide
NUMBER = r"-?\d+(?:\.\d+)?"


def at(path: tuple[str | int, ...]) -> tuple[int, int]:
    """A stand-in for the reader's places: the line is the depth of the path, the column the last index in it."""
    return len(path) + 1, next((step for step in reversed(path) if isinstance(step, int)), 0) + 1


def figure(*shapes: object, parts: Mapping[str, Part] | None = None, alt: str = "A drawing.") -> Figure:
    mapping = {"id": "test", "title": "Test", "alt": alt, "width": 100, "height": 50, "shapes": list(shapes)}
    return parse_figure(mapping, "f.yml", at, {"a": "number", "b": "number", "kind": "text"}, parts or {})


def faults_of(*shapes: object) -> list[str]:
    with pytest.raises(InputFaults) as caught:
        figure(*shapes)
    return [str(fault) for fault in caught.value.faults]


def drawn(*shapes: object, scope: Mapping[str, Value] | None = None) -> str:
    return draw(figure(*shapes), {"a": None, "b": None, "kind": None} | dict(scope or {}))


def points_of(svg: str, tag: str) -> list[list[tuple[float, float]]]:
    """The points of every polygon or polyline."""
    return [
        [(float(x), float(y)) for x, y in (pair.split(",") for pair in words.split())]
        for words in re.findall(rf'<{tag} [^>]*points="([^"]*)"', svg)
    ]


def segments_of(svg: str) -> list[tuple[float, float, float, float]]:
    found = re.findall(rf"M ({NUMBER}) ({NUMBER}) L ({NUMBER}) ({NUMBER})", svg)
    return [(float(a), float(b), float(c), float(d)) for a, b, c, d in found]


RECT = {"rect": {"x": 1, "y": "a * 2", "width": 10, "height": 5}, "class": "board"}


# What is drawn


def test_numbers_come_from_expressions_with_two_decimals() -> None:
    """An attribute may be a number or an expression, and the drawing holds its value."""
    assert '<rect class="f-board" x="1.00" y="6.00" width="10.00" height="5.00" rx="0.00"/>' in drawn(
        RECT, scope={"a": 3.0}
    )


@pytest.mark.parametrize("value", [None, 1e9])
def test_a_shape_without_a_drawable_number_is_left_out(value: Value) -> None:
    """Where a number is unknown or absurdly large, its shape is missing and the rest of the drawing stands."""
    svg = drawn(RECT, {"circle": {"cx": 5, "cy": 5, "r": 2}, "class": "ok"}, scope={"a": value})
    assert "<rect" not in svg
    assert "<circle" in svg


def test_a_negative_size_is_left_out() -> None:
    """A rectangle that would have a negative height is not drawn."""
    shape = {"rect": {"x": 0, "y": 0, "width": 5, "height": "a"}, "class": "cut"}
    assert "<rect" in drawn(shape, scope={"a": 0.0})
    assert "<rect" not in drawn(shape, scope={"a": -1.0})


def test_a_label_shows_values_with_units_and_a_question_mark_for_the_unknown() -> None:
    """Labels carry the unit of their value; what is not known is a question mark, never a number."""
    shape = {"text": {"x": 0, "y": 0}, "say": "cut {{ a : mm }}"}
    assert ">cut 2.5\u00a0mm<" in drawn(shape, scope={"a": 2.5})
    assert ">cut ?<" in drawn(shape)


def test_text_cannot_break_out_of_the_drawing() -> None:
    """Markup in a label, a value or the alternative text is shown as text."""
    shape = {"text": {"x": 0, "y": 0}, "say": "<b> & {{ kind : name }}"}
    svg = draw(figure(shape, alt='say "{{ kind : name }}"'), {"kind": '"/><script>'})
    ElementTree.fromstring(svg)
    assert "<script" not in svg
    assert "<b>" not in svg


def test_lines_of_a_label_stand_below_each_other() -> None:
    """A line break in a label starts a new line at the same x."""
    root = ElementTree.fromstring(drawn({"text": {"x": 7, "y": 9}, "say": "one\ntwo"}))
    text = root.find("text")
    assert text is not None
    assert text.text == "one"
    assert [(span.get("x"), span.text) for span in text] == [("7.00", "two")]


@pytest.mark.parametrize(("count", "times"), [(0.0, 0), (2.0, 2), (2.9999999999, 3), (99.0, 4), (-1.0, 0), (None, 0)])
def test_a_repeat_draws_whole_times_up_to_its_limit(count: Value, times: int) -> None:
    """A repeat draws as often as its count says, at most its limit, and never for an unknown count."""
    shape = {"repeat": {"name": "i", "count": "a", "most": 4}, "shapes": [{**RECT, "rect": {**RECT["rect"], "y": "i"}}]}
    svg = drawn(shape, scope={"a": count})
    assert re.findall(r'<rect [^>]*y="([^"]*)"', svg) == [f"{i}.00" for i in range(times)]


def test_a_condition_draws_only_when_true() -> None:
    """False and unknown draw nothing."""
    shape = {"when": "a > 1", "shapes": [{"circle": {"cx": 0, "cy": 0, "r": 1}, "class": "ok"}]}
    assert ["<circle" in drawn(shape, scope={"a": value}) for value in (2.0, 0.0, None)] == [True, False, False]


def test_later_settings_use_earlier_ones() -> None:
    """Names set for a group of shapes are worked out in order."""
    shape = {"set": {"k": "a * 2", "m": "k + 1"}, "shapes": [{**RECT, "rect": {**RECT["rect"], "y": "m"}}]}
    assert 'y="7.00"' in drawn(shape, scope={"a": 3.0})


def test_a_part_sees_only_what_it_is_given() -> None:
    """A part is drawn from the values it takes; the figure's own names do not leak into it."""
    place = {"id": "dot", "takes": {"x": "number", "a": "number"}}
    dot = parse_part({**place, "shapes": [{"circle": {"cx": "x", "cy": "a", "r": 1}, "class": "ok"}]}, "p.yml", at, {})
    used = figure({"use": "dot", "with": {"x": "a + 1", "a": 5}}, parts={"dot": dot})
    assert '<circle class="f-ok" cx="3.00" cy="5.00" r="1.00"/>' in draw(used, {"a": 2.0})
    with pytest.raises(InputFaults, match="'b' is not known here"):
        parse_part({**place, "shapes": [{"circle": {"cx": "b", "cy": 1, "r": 1}, "class": "ok"}]}, "p.yml", at, {})


def test_a_path_keeps_its_flags_whole() -> None:
    """The two flags of an arc are written 0 or 1, as the SVG grammar wants them."""
    svg = drawn({"path": [{"M": [0, 0]}, {"A": [5, 5, 0, 1, 10, "a"]}, {"Z": []}], "class": "cut"}, scope={"a": 4.0})
    assert 'd="M 0.00 0.00 A 5.00 5.00 0 0 1 10.00 4.00 Z"' in svg


def test_names_are_those_taken_from_outside() -> None:
    """Counters and settings are not names of the figure; those of the alternative text are."""
    shapes = (
        {"repeat": {"name": "i", "count": "a", "most": 3}, "shapes": [{**RECT, "rect": {**RECT["rect"], "y": "i"}}]},
        {"set": {"k": 1}, "shapes": [{**RECT, "rect": {**RECT["rect"], "y": "k"}}]},
    )
    assert names(figure(*shapes, alt="{{ kind }}")) == {"a", "kind"}


# Arrows, dimensions, hatches: geometry


LENGTHS = st.floats(-40, 40).filter(lambda value: abs(value) > 1)


@given(LENGTHS, LENGTHS)
def test_an_arrow_points_at_its_end(x: float, y: float) -> None:
    """The tip of the head is the end of the arrow, and its base lies behind, at equal distance from the shaft."""
    svg = drawn({"arrow": {"x1": 0, "y1": 0, "x2": "a", "y2": "b"}}, scope={"a": x, "b": y})
    tip, left, right = points_of(svg, "polygon")[0]
    assert tip == pytest.approx((x, y), abs=0.006)
    assert math.dist(tip, left) == pytest.approx(math.dist(tip, right), abs=0.03)
    assert math.hypot((left[0] + right[0]) / 2, (left[1] + right[1]) / 2) < math.hypot(x, y)


def test_an_arrow_without_length_is_not_drawn() -> None:
    """No direction, no arrow."""
    assert "<path" not in drawn({"arrow": {"x1": 1, "y1": 1, "x2": 1, "y2": 1}})


@pytest.mark.parametrize(("length", "inside"), [(60.0, True), (6.0, False)])
def test_a_short_dimension_is_pointed_at_from_outside(length: float, inside: bool) -> None:
    """Heads stand between the ends where there is room, else outside them; their tips are always the two ends."""
    heads = points_of(drawn({"dim": {"x1": 0, "y1": 0, "x2": "a", "y2": 0}}, scope={"a": length}), "polygon")
    assert sorted(head[0] for head in heads) == [(0.0, 0.0), (length, 0.0)]
    assert all((0 <= x <= length) is inside for head in heads for x, _ in head[1:])


@given(st.floats(5, 200), st.floats(5, 200), st.sampled_from(["right", "left", "level"]))
def test_hatch_lines_stay_in_their_box(width: float, height: float, lean: str) -> None:
    """No hatch line leaves the rectangle it fills; leaning lines run at 45 degrees."""
    shape = {"hatch": {"x": 10, "y": 20, "width": "a", "height": "b", "lean": lean}}
    for x1, y1, x2, y2 in segments_of(drawn(shape, scope={"a": width, "b": height})):
        assert all(9.99 <= x <= 10.01 + width for x in (x1, x2))
        assert all(19.99 <= y <= 20.01 + height for y in (y1, y2))
        assert abs(abs(x2 - x1) - (0 if lean == "level" else abs(y2 - y1))) < (width + 1 if lean == "level" else 0.03)


def test_a_turn_ends_with_a_head_along_the_circle() -> None:
    """From east clockwise to south: the arc ends below the centre and its head points west."""
    svg = drawn({"turn": {"cx": 0, "cy": 0, "r": 10, "from": 0, "to": 90}})
    assert "M 10.00 0.00 A 10.00 10.00 0 0 1 0.00 10.00" in svg
    tip = points_of(svg, "polygon")[0][0]
    assert tip == pytest.approx((-6.4, 10.0), abs=0.01)


# Faults


@pytest.mark.parametrize(
    ("shape", "says"),
    [
        ({"rekt": {"x": 1}}, "'rekt' is not a shape; did you mean 'rect'?"),
        ({"rect": {"x": 1, "y": 1, "widht": 1, "height": 1}, "class": "cut"}, "did you mean 'width'?"),
        ({"rect": {"x": 1, "y": 1, "height": 1}, "class": "cut"}, "missing: width"),
        ({"rect": {"x": 1, "y": 1, "width": 1, "height": 1}}, "missing: class"),
        ({"rect": {"x": 1, "y": 1, "width": 1, "height": 1}, "class": "bord"}, "did you mean 'board'?"),
        ({"text": {"x": 1, "y": 1}}, "missing: say"),
        ({"text": {"x": 1, "y": 1, "anchor": "midle"}, "say": "x"}, "did you mean 'middle'?"),
        ({"text": {"x": 1, "y": 1}, "say": "{{ a : furlong }}"}, "'furlong' is not a unit tag"),
        ({"text": {"x": 1, "y": 1}, "say": "{{ c }}"}, "'c' is not known here"),
        ({"circle": {"cx": "kind", "cy": 1, "r": 1}, "class": "ok"}, "gives a text where a number is wanted"),
        ({"circle": {"cx": "a +", "cy": 1, "r": 1}, "class": "ok"}, "not an expression"),
        ({"circle": {"cx": [1], "cy": 1, "r": 1}, "class": "ok"}, "a number or an expression is wanted"),
        ({"when": "a", "shapes": []}, "gives a number where a bool is wanted"),
        ({"path": [{"L": [1]}], "class": "cut"}, "L takes 2 numbers, found 1"),
        ({"path": [[1, 2]], "class": "cut"}, "one path command is wanted"),
        ({"polygon": [[1, 2, 3]], "class": "cut"}, "a point is two numbers, found 3"),
        ({"repeat": {"name": "i", "count": 1, "most": 5000}, "shapes": []}, "at most 200"),
        ({"repeat": {"name": "2i", "count": 1, "most": 5}, "shapes": []}, "is not a name"),
        ({"use": "dot", "with": {}}, "'dot' is not a part"),
        ({"set": [1], "shapes": []}, "a mapping of names and expressions is wanted"),
        ({"group": {"x": 1, "y": 1}, "rect": {}, "shapes": []}, "one shape at a time"),
        ("rect", "a shape is wanted here"),
    ],
)
def test_a_wrong_shape_is_named_with_its_mend(shape: object, says: str) -> None:
    """Each mistake gives one line with file and place that says what is wrong."""
    faults = faults_of(shape)
    assert any(says in fault for fault in faults), faults
    assert all(re.match(r"f\.yml:\d+:\d+: ", fault) for fault in faults)


def test_all_faults_come_at_once() -> None:
    """Two wrong shapes give two faults, each at its own place."""
    wrong = {"rect": {"x": "c", "y": 1, "width": 1, "height": 1}, "class": "cut"}
    assert faults_of(wrong, RECT, wrong) == [
        "f.yml:5:1: in 'c': 'c' is not known here",
        "f.yml:5:3: in 'c': 'c' is not known here",
    ]


def test_a_figure_says_what_it_lacks() -> None:
    """A figure without size or alternative text is refused."""
    with pytest.raises(InputFaults, match="missing: title, alt, width, height"):
        parse_figure({"id": "x", "shapes": []}, "f.yml", at, {}, {})


# The figures of the course


def test_every_figure_is_sound_for_every_machine_and_draw(course: Course) -> None:
    """Each figure is well-formed SVG of known classes for the demo machines, for unknowns and for random inputs."""
    for item in course.library.figures.values():
        for name, scope in all_cases(item, course, 40):
            svg = draw(item, scope)
            root = ElementTree.fromstring(svg)
            assert root.get("role") == "img"
            assert root[0].tag == "title"
            looks = {look for node in root.iter() for look in (node.get("class") or "").split()}
            assert looks - {"onionskin-figure", "f-head"} <= {"f-" + look for look in LOOKS}, (item.id, name)
            assert not re.search(r"\b(nan|inf|None|no answer|not known yet)\b", svg.split("<title>")[1]), (
                item.id,
                name,
            )


def test_no_figure_is_empty_where_nothing_is_known(course: Course) -> None:
    """A machine about which nothing is known still gets a drawing with shapes and words."""
    for item in course.library.figures.values():
        root = ElementTree.fromstring(draw(item, {}))
        assert len(list(root.iter())) > 4, item.id


def test_every_figure_tells_in_words_what_it_shows(course: Course) -> None:
    """The alternative text is a sentence of its own, longer than the title."""
    for item in course.library.figures.values():
        label = ElementTree.fromstring(draw(item, course.view.facts)).get("aria-label") or ""
        assert label.endswith("."), item.id
        assert len(label) > len(item.title), item.id


def test_labels_stay_readable_on_a_phone(course: Course) -> None:
    """On a page 390 px wide the smallest label is at least 11 px high (house rule)."""
    smallest = min(float(size) for size in re.findall(r"font-size: ([\d.]+)px", CSS))
    for item in course.library.figures.values():
        assert smallest * min(1, PHONE / item.width) >= 11, item.id


def test_every_part_and_every_look_is_used(course: Course) -> None:
    """No part lies about unused, and every class has its line in the stylesheet."""
    assert set(course.library.parts) == parts_of(course.library.figures.values(), course.library.parts)
    assert [look for look in LOOKS if f".f-{look}" not in CSS and look not in ("label",)] == []


# Colours


def colours(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{3,6})\b", block))


def channels(colour: str) -> list[float]:
    digits = colour[1:] if len(colour) == 7 else "".join(c * 2 for c in colour[1:])
    return [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it (W3C Recommendation, 2023)."""
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels(colour))
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, two: str) -> float:
    light, dark = sorted((luminance(one), luminance(two)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


LIGHT, DARK = CSS.split("@media screen")[0], CSS.split("@media screen")[1].split("}")[0]
PRINT = CSS.split("@media print")[1]
FILL_OF = {"wood-line": "wood", "bed-line": "bed", "steel-line": "steel", "clamp-line": "clamp", "bad": "bad-wash",
           "good": "good-wash"}  # fmt: skip


@pytest.mark.parametrize(("block", "paper"), [(LIGHT, "#ffffff"), (DARK, "#1e2129"), (PRINT, "#ffffff")])
def test_lines_and_words_stand_out(block: str, paper: str) -> None:
    """Lines have 3:1 against the page and against their own fill, words 4.5:1 (WCAG 2.2, 1.4.11 and 1.4.3)."""
    found = colours(block)
    for word in ("ink", "quiet", "bad", "good", "wind"):
        assert contrast(found[word], paper) >= 4.5, word
    for line in ("way", *FILL_OF):
        assert contrast(found[line], paper) >= 3, line
    for line, fill in FILL_OF.items():
        assert contrast(found[line], found[fill]) >= 3, line


def test_print_needs_no_colour() -> None:
    """On paper every colour is a grey, so a drawing loses nothing on a black printer."""
    assert len(colours(PRINT)) > 15
    assert all(max(channels(value)) == min(channels(value)) for value in colours(PRINT).values())
