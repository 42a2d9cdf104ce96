"""Which names a figure needs from the scope it is drawn with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from generator.expr import Node, Template, template_names
from generator.expr import names as node_names
from generator.figures.model import Bind, Figure, Group, Mark, Part, Path, Points, Repeat, Run, Shape, Use, When


def names(figure: Figure) -> set[str]:
    """Every name the figure takes from outside, in its shapes and its alternative text."""
    return _template(figure.alt) | _free(figure.shapes)


def _free(shapes: Sequence[Shape]) -> set[str]:
    return set().union(*(_shape(shape) for shape in shapes))


def _shape(shape: Shape) -> set[str]:
    match shape:
        case Mark():
            return _nodes(shape.numbers.values()) | _template(shape.say or ())
        case Path():
            return _nodes(node for _, nodes in shape.commands for node in nodes)
        case Points():
            return set().union(*(_run(item) if isinstance(item, Run) else _nodes(item) for item in shape.points))
        case Group():
            return _nodes((shape.x, shape.y, shape.turn)) | _free(shape.shapes)
        case Repeat():
            return _nodes((shape.count,)) | (_free(shape.shapes) - {shape.name})
        case When():
            return _nodes((shape.when,)) | _free(shape.shapes)
        case Bind():
            return _nodes((shape.value,)) | (_free(shape.shapes) - {shape.name})
        case Use():
            return _nodes(shape.values.values())


def _run(run: Run) -> set[str]:
    return _nodes((run.count,)) | (_nodes(run.point) - {run.name})


def _nodes(nodes: Iterable[Node]) -> set[str]:
    return {name.id for node in nodes for name in node_names(node)}


def _template(template: Template) -> set[str]:
    return {name.id for name in template_names(template)}


def parts_of(figures: Iterable[Figure], parts: Mapping[str, Part]) -> set[str]:
    """Ids of every part the figures use, parts inside parts too."""
    found: set[str] = set()
    pending = [use for figure in figures for use in _uses(figure.shapes)]
    while pending:
        id_ = pending.pop()
        if id_ not in found:
            found.add(id_)
            pending += _uses(parts[id_].shapes)
    return found


def _uses(shapes: Sequence[Shape]) -> list[str]:
    found: list[str] = []
    for shape in shapes:
        if isinstance(shape, Use):
            found.append(shape.part.id)
        elif isinstance(shape, Group | Repeat | When | Bind):
            found += _uses(shape.shapes)
    return found
