"""What a figure is: a tree of shapes whose numbers are expressions over named values.

Lengths in a drawing are view-box units, about one CSS pixel on a phone; angles are degrees, clockwise as seen.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from generator.expr import Kind as ValueKind
from generator.expr import Node, Template

LOOKS = (
    "board", "bed", "cutter", "holder", "cut", "path", "clamp", "danger", "ok", "dim", "label", "faint", "arrow",
    "air", "dust", "hand", "chip", "hatch", "small", "strong", "rapid",
)  # fmt: skip


class Kind(Struct, frozen=True, kw_only=True):
    """One kind of mark: the numbers it needs, those it may have, the words it knows, and its usual look."""

    needs: tuple[str, ...]
    may: Mapping[str, float] = {}
    word: str = ""
    choices: tuple[str, ...] = ()
    says: bool = False
    look: str = ""


_ENDS = ("x1", "y1", "x2", "y2")
_BOX = ("x", "y", "width", "height")
_SIDES = ("above", "below", "left", "right")

KINDS: Mapping[str, Kind] = {
    "rect": Kind(needs=_BOX, may={"rx": 0.0}),
    "line": Kind(needs=_ENDS),
    "circle": Kind(needs=("cx", "cy", "r")),
    "ellipse": Kind(needs=("cx", "cy", "rx", "ry")),
    "text": Kind(needs=("x", "y"), word="anchor", choices=("start", "middle", "end"), says=True, look="label"),
    "arrow": Kind(needs=_ENDS, look="arrow"),
    "dim": Kind(needs=_ENDS, word="at", choices=_SIDES, says=True, look="dim"),
    "turn": Kind(needs=("cx", "cy", "r", "from", "to"), look="arrow"),
    "hatch": Kind(needs=_BOX, may={"gap": 8.0}, word="lean", choices=("right", "left", "level"), look="hatch"),
}

# How many numbers each path command takes; A is rx, ry, large (0 or 1), clockwise (0 or 1), x, y.
COMMANDS: Mapping[str, int] = {"M": 2, "L": 2, "Q": 4, "C": 6, "A": 6, "Z": 0}


class Mark(Struct, frozen=True, kw_only=True):
    """One mark of a kind in `KINDS`; `say` is its text, for kinds that speak."""

    kind: str
    numbers: Mapping[str, Node]
    look: str
    word: str = ""
    say: Template | None = None


class Path(Struct, frozen=True, kw_only=True):
    """A free outline of path commands in absolute coordinates."""

    commands: tuple[tuple[str, tuple[Node, ...]], ...]
    look: str


Pair = tuple[Node, Node]


class Run(Struct, frozen=True, kw_only=True):
    """A run of points: `name` counts 0, 1, ... up to `count`, at most `most`."""

    name: str
    count: Node
    most: int
    point: Pair


class Points(Struct, frozen=True, kw_only=True):
    """A polyline, or a polygon where `closed`."""

    points: tuple[Pair | Run, ...]
    closed: bool
    look: str


class Group(Struct, frozen=True, kw_only=True):
    """Shapes moved by x, y and then turned about that point."""

    x: Node
    y: Node
    turn: Node
    shapes: tuple[Shape, ...]


class Repeat(Struct, frozen=True, kw_only=True):
    """Shapes drawn `count` times, at most `most`, with `name` counting from 0."""

    name: str
    count: Node
    most: int
    shapes: tuple[Shape, ...]


class When(Struct, frozen=True, kw_only=True):
    """Shapes drawn only where the condition is true; unknown draws nothing."""

    when: Node
    shapes: tuple[Shape, ...]


class Bind(Struct, frozen=True, kw_only=True):
    """Shapes that see one more name."""

    name: str
    value: Node
    shapes: tuple[Shape, ...]


class Part(Struct, frozen=True, kw_only=True):
    """A drawing used inside figures; it sees only the names it takes."""

    id: str
    takes: Mapping[str, ValueKind]
    shapes: tuple[Shape, ...]


class Use(Struct, frozen=True, kw_only=True):
    """A part drawn with values for all the names it takes."""

    part: Part
    values: Mapping[str, Node]


Shape = Mark | Path | Points | Group | Repeat | When | Bind | Use


class Figure(Struct, frozen=True, kw_only=True):
    """One drawing: `alt` tells in words what it shows, `shapes` are drawn in order, later ones on top."""

    id: str
    title: str
    alt: Template
    width: float
    height: float
    shapes: tuple[Shape, ...]
