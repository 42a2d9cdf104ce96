"""Figures as JavaScript source: the same trees, constants as numbers and expressions as functions of the scope."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence

from generator.expr import Node, Template, evaluate, template_to_js, to_js_function
from generator.expr import names as node_names
from generator.figures.model import (
    Bind,
    Figure,
    Group,
    Mark,
    Part,
    Path,
    Points,
    Repeat,
    Run,
    Shape,
    Use,
    When,
)
from generator.figures.names import names


def part_js(part: Part) -> str:
    """A part's shapes as a JavaScript list."""
    return _list(part.shapes)


def figure_js(figure: Figure) -> str:
    """One figure as a JavaScript object expression; `X` inside it is `window.OnionskinX`."""
    return _object(
        (
            ("id", _json(figure.id)),
            ("title", _json(figure.title)),
            ("width", str(figure.width)),
            ("height", str(figure.height)),
            ("names", _json(sorted(names(figure)))),
            ("alt", _text(figure.alt)),
            ("shapes", _list(figure.shapes)),
        )
    )


def _list(shapes: Sequence[Shape]) -> str:
    return f"[{','.join(_shape(shape) for shape in shapes)}]"


def _shape(shape: Shape) -> str:
    match shape:
        case Mark():
            return _mark(shape)
        case Path():
            commands = (f"[{_json(letter)},{_array(nodes)}]" for letter, nodes in shape.commands)
            return _tree("path", look=_json(shape.look), commands=f"[{','.join(commands)}]")
        case Points():
            points = ",".join(_point(item) for item in shape.points)
            return _tree("points", look=_json(shape.look), closed=_json(shape.closed), points=f"[{points}]")
        case Group():
            return _tree("group", at=_array((shape.x, shape.y, shape.turn)), shapes=_list(shape.shapes))
        case Repeat():
            return _tree("repeat", **_counting(shape), shapes=_list(shape.shapes))
        case When():
            return _tree("when", when=_number(shape.when), shapes=_list(shape.shapes))
        case Bind():
            return _tree("bind", name=_json(shape.name), value=_number(shape.value), shapes=_list(shape.shapes))
        case Use():
            values = _object((name, _number(node)) for name, node in shape.values.items())
            return _tree("use", part=_json(shape.part.id), values=values)


def _mark(mark: Mark) -> str:
    numbers = _object((name, _number(node)) for name, node in mark.numbers.items())
    more = {"word": _json(mark.word)} if mark.word else {}
    more |= {"say": _text(mark.say)} if mark.say else {}
    return _tree(mark.kind, look=_json(mark.look), numbers=numbers, **more)


def _point(item: tuple[Node, Node] | Run) -> str:
    return _object([*_counting(item).items(), ("point", _array(item.point))]) if isinstance(item, Run) else _array(item)


def _counting(item: Run | Repeat) -> dict[str, str]:
    return {"name": _json(item.name), "count": _number(item.count), "most": str(item.most)}


def _array(nodes: Iterable[Node]) -> str:
    return f"[{','.join(_number(node) for node in nodes)}]"


def _number(node: Node) -> str:
    """A constant is worked out here, so that most of a drawing reaches the browser as plain numbers."""
    return to_js_function(node) if node_names(node) else _json(evaluate(node, {}))


def _text(template: Template) -> str:
    """Text without values goes over as text."""
    plain = [part for part in template if isinstance(part, str)]
    return _json("".join(plain)) if len(plain) == len(template) else template_to_js(template)


def _json(value: object) -> str:
    """JSON that cannot end a script element."""
    return json.dumps(value).replace("<", "\\u003c")


def _tree(kind: str, **entries: str) -> str:
    return _object([("kind", _json(kind)), *entries.items()])


def _object(entries: Iterable[tuple[str, str]]) -> str:
    return "{" + ",".join(f"{_json(name)}:{text}" for name, text in entries) + "}"
