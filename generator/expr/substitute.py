"""Names replaced by expressions, so that a value with local names becomes one over the facts alone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from msgspec.structs import replace

from generator.expr.nodes import PARTS, Name, Node


def substitute(node: Node, local: Mapping[str, Node]) -> Node:
    """`node` with every name in `local` replaced."""
    if isinstance(node, Name):
        return local.get(node.id, node)
    changed: dict[str, Any] = {}
    for part in PARTS[type(node)]:
        value = getattr(node, part)
        if isinstance(value, Node):
            changed[part] = substitute(value, local)
        elif isinstance(value, tuple):
            changed[part] = tuple(substitute(item, local) for item in value)
    return replace(node, **changed)
