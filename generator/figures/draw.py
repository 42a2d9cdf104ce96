"""Figure and values in, SVG text out; `figures.js` says the same in the browser, character for character."""

from __future__ import annotations

import html
import math
from collections.abc import Iterable, Sequence

from generator.expr import Node, Scope, Template, evaluate, render_template
from generator.expr.template import UNKNOWN_WORDS
from generator.figures.marks import MARKS, element, polyline
from generator.figures.model import Bind, Figure, Group, Mark, Path, Points, Repeat, Run, Shape, Use, When
from generator.figures.names import names
from generator.units import fixed

NUMBER_LIMIT = 100_000.0  # a shape farther out than this is left out: it says nothing and strains the renderer


def draw(figure: Figure, scope: Scope) -> str:
    """The figure as one inline SVG element; names absent from `scope` count as unknown.

    A shape with a number that has no answer is left out; a label shows a question mark for what is not known.
    """
    scope = {**dict.fromkeys(names(figure)), **scope}
    head = (
        f'<svg class="onionskin-figure" data-figure="{figure.id}" role="img" aria-label="{_say(figure.alt, scope)}"'
        f' viewBox="0 0 {fixed(figure.width, 0)} {fixed(figure.height, 0)}">'
    )
    return head + f"<title>{_escape(figure.title)}</title>" + _all(figure.shapes, scope) + "</svg>"


def _all(shapes: Sequence[Shape], scope: Scope) -> str:
    return "".join(_shape(shape, scope) for shape in shapes)


def _shape(shape: Shape, scope: Scope) -> str:
    match shape:
        case Mark():
            return _mark(shape, scope)
        case Path():
            return _path(shape, scope)
        case Points():
            return _points(shape, scope)
        case Group():
            return _group(shape, scope)
        case Repeat():
            times = _times(shape.count, shape.most, scope)
            return "".join(_all(shape.shapes, {**scope, shape.name: float(i)}) for i in range(times))
        case When():
            return _all(shape.shapes, scope) if evaluate(shape.when, scope) is True else ""
        case Bind():
            return _all(shape.shapes, {**scope, shape.name: evaluate(shape.value, scope)})
        case Use():
            return _all(shape.part.shapes, {name: evaluate(value, scope) for name, value in shape.values.items()})


def _mark(mark: Mark, scope: Scope) -> str:
    numbers = {name: _number(node, scope) for name, node in mark.numbers.items()}
    sizes = (numbers[name] for name in ("width", "height", "r", "rx", "ry") if name in numbers)
    if not _drawable(numbers.values()) or any(size < 0 for size in sizes):
        return ""
    return MARKS[mark.kind](numbers, mark.look, mark.word, _label(mark.say, scope) if mark.say else "")


def _path(path: Path, scope: Scope) -> str:
    words: list[str] = []
    for letter, nodes in path.commands:
        numbers = [_number(node, scope) for node in nodes]
        if not _drawable(numbers):
            return ""
        words.append(_command(letter, numbers))
    return element("path", path.look, d=" ".join(words))


def _command(letter: str, numbers: list[float]) -> str:
    texts = [fixed(number, 2) for number in numbers]
    if letter == "A":
        flags = ["1" if number > 0.5 else "0" for number in numbers[2:4]]
        texts = [texts[0], texts[1], "0", *flags, texts[4], texts[5]]
    return " ".join([letter, *texts])


def _points(shape: Points, scope: Scope) -> str:
    points: list[tuple[float, float]] = []
    for item in shape.points:
        points += _run(item, scope) if isinstance(item, Run) else [_point(item, scope)]
    if len(points) < 2 or not all(_drawable(point) for point in points):
        return ""
    return polyline(points, shape.look, closed=shape.closed)


def _run(run: Run, scope: Scope) -> list[tuple[float, float]]:
    times = _times(run.count, run.most, scope)
    return [_point(run.point, {**scope, run.name: float(i)}) for i in range(times)]


def _point(point: tuple[Node, Node], scope: Scope) -> tuple[float, float]:
    return _number(point[0], scope), _number(point[1], scope)


def _group(group: Group, scope: Scope) -> str:
    x, y, turn = (_number(node, scope) for node in (group.x, group.y, group.turn))
    if not _drawable((x, y, turn)):
        return ""
    moved = f"translate({fixed(x, 2)} {fixed(y, 2)}) rotate({fixed(turn, 2)})"
    return f'<g transform="{moved}">{_all(group.shapes, scope)}</g>'


def _times(count: Node, most: int, scope: Scope) -> int:
    """Whole repeats from 0 to `most`; the small allowance keeps 2.9999999999 at three."""
    number = _number(count, scope)
    return 0 if math.isnan(number) else max(0, min(most, math.floor(number + 1e-9)))


def _number(node: Node, scope: Scope) -> float:
    value = evaluate(node, scope)
    return math.nan if isinstance(value, bool) or not isinstance(value, (int, float)) else float(value)


def _drawable(numbers: Iterable[float]) -> bool:
    return all(abs(number) <= NUMBER_LIMIT for number in numbers)


def _say(template: Template, scope: Scope) -> str:
    return _escape(render_template(template, scope))


def _label(template: Template, scope: Scope) -> str:
    """A label has no room for a sentence: what is not known is a question mark."""
    return _escape(render_template(template, scope).replace(UNKNOWN_WORDS, "?"))


def _escape(text: str) -> str:
    return html.escape(text, quote=True)
