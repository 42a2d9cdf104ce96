"""A lesson: its front matter, and its body, which is Markdown between directives, each on a line of its own.

<!-- when: rule-id -->  ...  <!-- end -->       shown where the rule holds
<!-- unless: rule-id -->  ...  <!-- end -->     shown where it does not
<!-- figure: id -->  <!-- calculator: id -->
<!-- worked: calculator-id feed speed -->        the steps to the outputs named (all, if none is) on this machine
<!-- faded: calculator-id feed speed blank=1 flutes=1 -->  the same with other inputs, the last steps left to do
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from msgspec import Struct
from pydantic import Field

from generator.errors import Fault
from generator.expr import ExprError, Template, parse_template
from generator.model.base import Many
from generator.model.base import Slug as Id
from generator.model.content import Content, Words

_DIRECTIVE = re.compile(r"<!--\s*(when|unless|end|figure|calculator|worked|faded)\b:?\s*(.*?)\s*-->\s*")


class Prose(Struct, frozen=True):
    """Markdown with values in it; `line` is where it starts in its file."""

    text: Template
    line: int


class Place(Struct, frozen=True):
    """Where a figure, calculator or worked example stands; `given` are a faded example's own inputs.

    `only` names the outputs whose steps are shown, all of them if it is empty.
    """

    kind: str
    id: str
    line: int
    blank: int = 0
    only: tuple[str, ...] = ()
    given: dict[str, float] = {}


class Variant(Struct, frozen=True):
    """Blocks that one rule shows, or with `unless` hides."""

    rule: str
    unless: bool
    blocks: tuple[Block, ...]
    line: int


Block = Prose | Place | Variant


class Body(Struct, frozen=True):
    """Parsed text with directives: its blocks, and the file they came from."""

    blocks: tuple[Block, ...]
    file: str

    def every(self) -> Iterator[Block]:
        """All blocks, those inside variants too."""
        pending = list(self.blocks)
        while pending:
            block = pending.pop(0)
            yield block
            if isinstance(block, Variant):
                pending = [*block.blocks, *pending]


class LessonHead(Content):
    """The front matter of a lesson file."""

    id: Id
    title: str
    module: str
    minutes: int = Field(ge=2, le=30)
    objective: str
    needs: Many[Id] = ()
    figure: Id | None = None
    calculator: Id | None = None
    at_the_machine: Words
    caution: Words
    sources: Many[Id] = ()
    critical: bool = False


class Lesson(Struct, frozen=True):
    """A lesson: its front matter and its body."""

    head: LessonHead
    body: Body


def parse_body(text: str, file: str, first_line: int) -> tuple[Body, list[Fault]]:
    """The body in `text`, whose first line is `first_line` of `file`, and every fault in it."""
    reading = _Reading(file)
    for number, line in enumerate(text.splitlines(), first_line):
        reading.take(line, number)
    reading.close()
    return Body(tuple(reading.open[0].blocks), file), reading.faults


class _Open(Struct):
    rule: str
    unless: bool
    line: int
    blocks: list[Block] = []


class _Reading:
    """The state of reading one body: variants still open, and prose gathered so far."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.open = [_Open("", False, 0)]
        self.prose: list[str] = []
        self.prose_line = 1
        self.faults: list[Fault] = []

    def take(self, line: str, number: int) -> None:
        match = _DIRECTIVE.fullmatch(line.strip())
        if not match:
            if not self.prose:
                self.prose_line = number
            self.prose.append(line)
            return
        self.flush()
        kind, rest = match.groups()
        if kind in {"when", "unless"}:
            self.open.append(_Open(rest, kind == "unless", number))
        elif kind == "end":
            self.end(number)
        else:
            self.place(kind, rest, number)

    def flush(self) -> None:
        text = "\n".join(self.prose).strip("\n")
        self.prose = []
        if not text.strip():
            return
        try:
            self.open[-1].blocks.append(Prose(parse_template(text), self.prose_line))
        except ExprError as fault:
            line = self.prose_line + text[: fault.column].count("\n")
            self.faults.append(Fault(self.file, line, 1, str(fault)))

    def end(self, number: int) -> None:
        if len(self.open) == 1:
            self.faults.append(Fault(self.file, number, 1, "an 'end' without a 'when' or 'unless' above it"))
            return
        done = self.open.pop()
        self.open[-1].blocks.append(Variant(done.rule, done.unless, tuple(done.blocks), done.line))

    def place(self, kind: str, rest: str, number: int) -> None:
        name, *settings = rest.split() or [""]
        given = dict(setting.split("=", 1) for setting in settings if "=" in setting)
        try:
            numbers = {key: float(value) for key, value in given.items()}
        except ValueError:
            self.faults.append(Fault(self.file, number, 1, f"'{rest}' has a setting that is not a number"))
            return
        blank = int(numbers.pop("blank", 0))
        only = tuple(setting for setting in settings if "=" not in setting)
        self.open[-1].blocks.append(Place(kind, name, number, blank, only, numbers))

    def close(self) -> None:
        self.flush()
        while len(self.open) > 1:
            self.faults.append(Fault(self.file, self.open[-1].line, 1, "this variant is never ended; add <!-- end -->"))
            self.end(self.open[-1].line)
