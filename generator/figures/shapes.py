"""The shapes of a figure, read from content. A shape is one of

{rect: {x: 10, y: 20, width: "depth * 4", height: 8}, class: board}      any kind in `KINDS`; `say:` for its text
{path: [{M: [0, 0]}, {L: [10, "depth"]}, {Z: []}], class: cut}
{polyline: [[0, 0], {repeat: i, count: 20, most: 20, point: ["i * 5", "sin(i)"]}], class: path}   or polygon
{group: {x: 50, y: 60, turn: 30}, shapes: [...]}
{repeat: {name: i, count: passes, most: 12}, shapes: [...]}
{when: "passes > 1", shapes: [...]}
{set: {scale: "100 / depth"}, shapes: [...]}          later names may use earlier ones
{use: part-id, with: {x: 10, y: "depth"}}
"""

from __future__ import annotations

from collections.abc import Mapping

from generator.errors import near
from generator.expr import Node
from generator.expr.nodes import Num
from generator.figures.model import (
    COMMANDS,
    KINDS,
    LOOKS,
    Bind,
    Group,
    Mark,
    Pair,
    Part,
    Path,
    Points,
    Repeat,
    Run,
    Shape,
    Use,
    When,
)
from generator.figures.reader import Kinds, Reader, Where

Parts = Mapping[str, Part]
Fields = Mapping[str, object]
Shapes = tuple[Shape, ...]

MOST = 200  # a repeat draws no more than this, whatever the content says
_NESTING = ("group", "repeat", "when", "set")
_DRAWN = (*KINDS, "path", "polyline", "polygon")
_HEADS = (*_DRAWN, *_NESTING, "use")


def read_shapes(read: Reader, value: object, where: Where, kinds: Kinds, parts: Parts) -> Shapes:
    """The list of shapes at `where`; wrong ones leave a fault and are left out."""
    items = enumerate(read.sequence(value, where, "shapes"))
    return tuple(shape for i, item in items for shape in _shape(read, item, (*where, i), kinds, parts))


def _shape(read: Reader, value: object, where: Where, kinds: Kinds, parts: Parts) -> Shapes:
    head = _head(read, value, where)
    if head is None or not isinstance(value, Mapping):
        return ()
    if head in KINDS:
        return (_mark(read, head, value, where, kinds),)
    if head == "path":
        return (_path(read, value, where, kinds),)
    if head in ("polyline", "polygon"):
        return (_points(read, head, value, where, kinds),)
    if head == "use":
        return _use(read, value, where, kinds, parts)
    return _nested(read, head, value, where, kinds, parts)


def _head(read: Reader, value: object, where: Where) -> str | None:
    """Which key says what the shape is."""
    keys = [str(key) for key in value] if isinstance(value, Mapping) else []
    heads = [key for key in keys if key in _HEADS]
    if len(heads) == 1:
        return heads[0]
    odd = next((key for key in keys if key not in ("class", "say", "shapes", "with")), "")
    if len(heads) > 1:
        read.fault(where, f"one shape at a time: {' and '.join(heads)} cannot stand together")
    elif odd:
        read.fault((*where, odd), f"'{odd}' is not a shape{near(odd, _HEADS)}")
    else:
        read.fault(where, f"a shape is wanted here: one of {', '.join(_HEADS)}")
    return None


def _mark(read: Reader, kind: str, value: Fields, where: Where, kinds: Kinds) -> Mark:
    form = KINDS[kind]
    says = ("say",) if form.says else ()
    fields = read.mapping(value, where, (kind, *(says if kind == "text" else ())), ("class", *says))
    inner = (*where, kind)
    word = (form.word,) if form.word else ()
    given = read.mapping(fields.get(kind), inner, form.needs, (*form.may, *word))
    numbers = {name: given.get(name, form.may.get(name, 0.0)) for name in (*form.needs, *form.may)}
    return Mark(
        kind=kind,
        numbers={name: read.node(number, (*inner, name), kinds) for name, number in numbers.items()},
        look=_look(read, fields, where, form.look),
        word=read.word(given.get(form.word, form.choices[0]), (*inner, form.word), form.choices) if form.word else "",
        say=read.text(fields["say"], (*where, "say"), kinds) if "say" in fields else None,
    )


def _look(read: Reader, fields: Fields, where: Where, usual: str) -> str:
    """The class names of a shape, prefixed so that no page style catches them by chance."""
    words = str(fields.get("class", usual)).split()
    if not words:
        read.fault(where, f"missing: class, one of {', '.join(LOOKS)}")
    return " ".join("f-" + read.word(word, (*where, "class"), LOOKS) for word in words)


def _path(read: Reader, value: Fields, where: Where, kinds: Kinds) -> Path:
    fields = read.mapping(value, where, ("path",), ("class",))
    items = enumerate(read.sequence(fields.get("path"), (*where, "path"), "path commands"))
    commands = tuple(_command(read, item, (*where, "path", i), kinds) for i, item in items)
    return Path(commands=tuple(command for command in commands if command), look=_look(read, fields, where, ""))


def _command(read: Reader, value: object, where: Where, kinds: Kinds) -> tuple[str, tuple[Node, ...]] | None:
    if not isinstance(value, Mapping) or len(value) != 1:
        read.fault(where, "one path command is wanted here, such as {L: [10, 20]}")
        return None
    letter = read.word(next(iter(value)), where, COMMANDS)
    numbers = read.sequence(value[next(iter(value))], (*where, letter), "numbers")
    if len(numbers) != COMMANDS[letter]:
        read.fault((*where, letter), f"{letter} takes {COMMANDS[letter]} numbers, found {len(numbers)}")
    return letter, tuple(read.node(number, (*where, letter, i), kinds) for i, number in enumerate(numbers))


def _points(read: Reader, head: str, value: Fields, where: Where, kinds: Kinds) -> Points:
    fields = read.mapping(value, where, (head,), ("class",))
    items = enumerate(read.sequence(fields.get(head), (*where, head), "points"))
    points = tuple(_point_or_run(read, item, (*where, head, i), kinds) for i, item in items)
    return Points(points=points, closed=head == "polygon", look=_look(read, fields, where, ""))


def _point_or_run(read: Reader, value: object, where: Where, kinds: Kinds) -> Pair | Run:
    if not isinstance(value, Mapping):
        return _point(read, value, where, kinds)
    fields = read.mapping(value, where, ("repeat", "count", "most", "point"))
    name = read.name(fields.get("repeat"), (*where, "repeat"))
    return Run(
        name=name,
        count=read.node(fields.get("count"), (*where, "count"), kinds),
        most=int(read.size(fields.get("most"), (*where, "most"), MOST)),
        point=_point(read, fields.get("point"), (*where, "point"), {**kinds, name: "number"}),
    )


def _point(read: Reader, value: object, where: Where, kinds: Kinds) -> Pair:
    numbers = read.sequence(value, where, "two numbers")
    if len(numbers) != 2:
        read.fault(where, f"a point is two numbers, found {len(numbers)}")
        return Num(0.0), Num(0.0)
    return read.node(numbers[0], (*where, 0), kinds), read.node(numbers[1], (*where, 1), kinds)


def _use(read: Reader, value: Fields, where: Where, kinds: Kinds, parts: Parts) -> Shapes:
    fields = read.mapping(value, where, ("use", "with"))
    part = parts.get(str(fields.get("use")))
    if part is None:
        read.fault((*where, "use"), f"'{fields.get('use')}' is not a part{near(str(fields.get('use')), parts)}")
        return ()
    given = read.mapping(fields.get("with"), (*where, "with"), tuple(part.takes))
    values = {
        name: read.node(given[name], (*where, "with", name), kinds, kind)
        for name, kind in part.takes.items()
        if name in given
    }
    return (Use(part=part, values=values),)


def _nested(read: Reader, head: str, value: Fields, where: Where, kinds: Kinds, parts: Parts) -> Shapes:
    fields = read.mapping(value, where, (head, "shapes"))
    inner, own = fields.get(head), (*where, head)
    if head == "set":
        return _set(read, fields, where, kinds, parts)
    if head == "repeat":
        return (_repeat(read, fields, where, kinds, parts),)
    shapes = read_shapes(read, fields.get("shapes"), (*where, "shapes"), kinds, parts)
    if head == "when":
        return (When(when=read.node(inner, own, kinds, "bool"), shapes=shapes),)
    given = read.mapping(inner, own, ("x", "y"), ("turn",))
    x, y, turn = (read.node(given.get(name, 0), (*own, name), kinds) for name in ("x", "y", "turn"))
    return (Group(x=x, y=y, turn=turn, shapes=shapes),)


def _repeat(read: Reader, fields: Fields, where: Where, kinds: Kinds, parts: Parts) -> Repeat:
    own = (*where, "repeat")
    given = read.mapping(fields.get("repeat"), own, ("name", "count", "most"))
    name = read.name(given.get("name"), (*own, "name"))
    return Repeat(
        name=name,
        count=read.node(given.get("count"), (*own, "count"), kinds),
        most=int(read.size(given.get("most"), (*own, "most"), MOST)),
        shapes=read_shapes(read, fields.get("shapes"), (*where, "shapes"), {**kinds, name: "number"}, parts),
    )


def _set(read: Reader, fields: Fields, where: Where, kinds: Kinds, parts: Parts) -> Shapes:
    """One `Bind` inside the other, so that later names may use earlier ones."""
    own = (*where, "set")
    names = fields.get("set")
    if not isinstance(names, Mapping):
        read.fault(own, "a mapping of names and expressions is wanted here")
        return ()
    bound = []
    for key, value in names.items():
        name = read.name(key, (*own, key))
        found = read.any_node(value, (*own, key), kinds) or (Num(0.0), "number")
        kinds = {**kinds, name: found[1]}
        bound.append((name, found[0]))
    shapes = read_shapes(read, fields.get("shapes"), (*where, "shapes"), kinds, parts)
    for name, node in reversed(bound):
        shapes = (Bind(name=name, value=node, shapes=shapes),)
    return shapes
