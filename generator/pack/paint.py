"""Drawings painted for WeasyPrint, which gives pictures in a page no page style and knows no variables in them.

The site's own print rules are worked out for each element of a drawing and written as its attributes, so that the
look of a drawing is said once, in the style sheets of the site.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from typing import Any

import cssselect2
import tinycss2

SVG = "{http://www.w3.org/2000/svg}"
PAINT = {"fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linecap", "stroke-linejoin", "opacity",
         "font-size", "font-weight", "font-family", "text-anchor", "paint-order"}  # fmt: skip
_VAR = re.compile(r"var\((--[\w-]+)\s*(?:,\s*((?:[^()]|\([^()]*\))*))?\)")
Declarations = Sequence[tuple[str, str]]


def print_rules(style: str) -> Any:
    """What a style sheet says of paper, ready to be matched with elements."""
    matcher = cssselect2.Matcher()
    for selectors, declarations in _rules(tinycss2.parse_stylesheet(style, True, True)):
        for selector in selectors:
            matcher.add_selector(selector, declarations)
    return matcher


def paint(page: Any, rules: Any) -> None:
    """Sets the attributes of every drawing in `page`, a cssselect2 wrapper of the HTML's root."""
    for element in page.iter_subtree():
        if element.etree_element.tag == f"{SVG}svg":
            _paint(element, rules, {})
            _lay_halos_beneath(element.etree_element)


def _lay_halos_beneath(drawing: Any) -> None:
    """WeasyPrint knows no `paint-order`: its strokes would cover the letters they are to lift off the ground."""
    for parent in list(drawing.iter()):
        for place, child in reversed(list(enumerate(parent))):
            if child.attrib.pop("paint-order", None) == "stroke":
                halo = deepcopy(child)
                halo.tail = None
                parent.insert(place, halo)
                child.set("stroke", "none")


def _rules(nodes: Sequence[Any]) -> Iterator[tuple[Any, Declarations]]:
    """Selectors and declarations of what holds on paper."""
    for node in nodes:
        if node.type == "at-rule" and node.lower_at_keyword == "media" and _is_print(node.prelude):
            yield from _rules(tinycss2.parse_rule_list(node.content, True, True))
        elif node.type == "qualified-rule":
            selectors = _selectors(node.prelude)
            found = [
                item for item in tinycss2.parse_blocks_contents(node.content, True, True) if item.type == "declaration"
            ]
            yield selectors, [(item.name, tinycss2.serialize(item.value).strip()) for item in found]


def _is_print(prelude: Sequence[Any]) -> bool:
    return bool(tinycss2.serialize(prelude).strip() == "print")


def _selectors(prelude: Sequence[Any]) -> Any:
    """Those the library understands; what is too new for it is for browsers."""
    try:
        return [selector for selector in cssselect2.compile_selector_list(prelude) if selector.pseudo_element is None]
    except cssselect2.SelectorError:
        return []


def _paint(element: Any, matcher: Any, above: Mapping[str, str]) -> None:
    declared: dict[str, str] = {}
    for *_, declarations in matcher.match(element):
        declared |= dict(declarations)
    own = dict(above) | {name: value for name, value in declared.items() if name.startswith("--")}
    for name in PAINT & declared.keys():
        value = resolved(declared[name], own)
        if value is not None:
            element.etree_element.set(name, "currentColor" if value == "currentcolor" else value)
    for child in element.iter_children():
        _paint(child, matcher, own)


def resolved(value: str, names: Mapping[str, str]) -> str | None:
    """A value with its variables filled in; None where one has neither a value nor a fallback."""
    for _ in range(10):
        match = _VAR.search(value)
        if match is None:
            return value
        found = names.get(match.group(1), match.group(2))
        if found is None:
            return None
        value = value[: match.start()] + found.strip() + value[match.end() :]
    return None
