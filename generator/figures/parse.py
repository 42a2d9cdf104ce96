"""From content to figures and parts, with every fault at its place; shapes.py shows the shapes by example."""

from __future__ import annotations

from collections.abc import Mapping

from generator.expr import Kind
from generator.figures.model import Figure, Part
from generator.figures.reader import At, Kinds, Reader
from generator.figures.shapes import Parts, read_shapes

WIDEST = 1000
_VALUE_KINDS: Mapping[str, Kind] = {
    "number": "number",
    "text": "text",
    "bool": "bool",
    "numbers": "numbers",
    "texts": "texts",
}


def parse_figure(mapping: Mapping[str, object], file: str, at: At, kinds: Kinds, parts: Parts) -> Figure:
    """The figure `{id, title, alt, width, height, shapes}`.

    `at` gives (line, column) of a path into the mapping, `kinds` are the names the figure may use, `parts` the
    parts it may draw. Raises InputFaults with all faults.
    """
    read = Reader(file, at)
    fields = read.mapping(mapping, (), ("id", "title", "alt", "width", "height", "shapes"))
    figure = Figure(
        id=str(fields.get("id")),
        title=str(fields.get("title")),
        alt=read.text(fields.get("alt", ""), ("alt",), kinds),
        width=read.size(fields.get("width", 1), ("width",), WIDEST),
        height=read.size(fields.get("height", 1), ("height",), WIDEST),
        shapes=read_shapes(read, fields.get("shapes", ()), ("shapes",), kinds, parts),
    )
    read.finish()
    return figure


def parse_part(mapping: Mapping[str, object], file: str, at: At, parts: Parts) -> Part:
    """The part `{id, takes: {name: kind}, shapes}`; it may use `parts` read before it. Raises InputFaults."""
    read = Reader(file, at)
    fields = read.mapping(mapping, (), ("id", "takes", "shapes"))
    takes = _takes(read, fields.get("takes", {}))
    part = Part(
        id=str(fields.get("id")),
        takes=takes,
        shapes=read_shapes(read, fields.get("shapes", ()), ("shapes",), takes, parts),
    )
    read.finish()
    return part


def _takes(read: Reader, value: object) -> Kinds:
    if not isinstance(value, Mapping):
        read.fault(("takes",), "a mapping of names and kinds is wanted here, such as {x: number}")
        return {}
    words = {name: read.word(kind, ("takes", name), _VALUE_KINDS) for name, kind in value.items()}
    return {read.name(name, ("takes", name)): _VALUE_KINDS[word] for name, word in words.items()}
