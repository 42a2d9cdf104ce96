"""Names replaced by expressions, so that a value with local names becomes one over the facts alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace

from generator.expr.nodes import Name, Node


def substitute(node: Node, local: Mapping[str, Node]) -> Node:
    """`node` with every name in `local` replaced."""
    if isinstance(node, Name):
        return local.get(node.id, node)
    changed = {}
    for part in fields(node):
        value = getattr(node, part.name)
        if isinstance(value, Node):
            changed[part.name] = substitute(value, local)
        elif isinstance(value, tuple):
            changed[part.name] = tuple(substitute(item, local) for item in value)
    return replace(node, **changed) if changed else node
