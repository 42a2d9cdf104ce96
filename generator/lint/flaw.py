"""What the rules of content return and share: a flaw with its place, machines to try, and texts as plain words."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Literal

from msgspec import Struct
from msgspec.structs import asdict, replace

from generator.content_places import Placed
from generator.course import Course
from generator.errors import Fault
from generator.expr import Template, Value, evaluate
from generator.expr.template import UNKNOWN_WORDS
from generator.facts import FACTS, say
from generator.library import Library
from generator.model.checklist import Item, Point
from generator.model.question import Question

NOBODY_KNOWS = "a machine nobody knows"
Severity = Literal["error", "warning"]
Facts = Mapping[str, Value]


class Flaw(Struct, frozen=True, order=True):
    """One place where content breaks a rule; errors forbid, warnings ask."""

    fault: Fault
    rule: str
    severity: Severity

    def __str__(self) -> str:
        words = [*(["warning"] if self.severity == "warning" else []), *([self.rule] if self.rule else [])]
        return str(replace(self.fault, says=": ".join([*words, self.fault.says])))

    def as_json(self) -> dict[str, object]:
        """Plain data for `--json`; `rule` is empty for what keeps the content from being read at all."""
        return asdict(self.fault) | {"rule": self.rule}


def error(rule: str, at: Placed, where: tuple[str | int, ...], says: str) -> Flaw:
    """A flaw that must be mended."""
    return Flaw(at.fault(where, says), rule, "error")


def warning(rule: str, at: Placed, where: tuple[str | int, ...], says: str) -> Flaw:
    """A flaw to think about."""
    return Flaw(at.fault(where, says), rule, "warning")


def machines(course: Course) -> dict[str, Facts]:
    """The facts of every machine of the workshop, and of one of which nothing is known."""
    known: dict[str, Facts] = {view.machine.name: view.facts for view in course.views.values()}
    return known | {NOBODY_KNOWS: dict.fromkeys(FACTS)}


def points(library: Library) -> Iterator[tuple[Placed, tuple[str | int, ...], str, Point]]:
    """Every pause point with its place and its checklist's id."""
    for checklist in library.checklists.values():
        for index, point in enumerate(checklist.points):
            yield library.placed["checklists", checklist.id], ("points", index), checklist.id, point


def shown_items(point: Point, library: Library, facts: Facts, certain: bool = False) -> list[tuple[int, Item]]:
    """The items of a point this machine shows, with their places. An unknown condition shows its item; with
    `certain` only items whose condition is known to hold count.
    """
    return [(index, item) for index, item in enumerate(point.items) if _shown(item, library, facts, certain)]


def _shown(item: Item, library: Library, facts: Facts, certain: bool) -> bool:
    rule = item.rule or item.unless
    if rule is None:
        return True
    state = evaluate(library.rules[rule].when, facts)
    return not certain if state is None else state is (item.rule is not None)


def typed(template: Template) -> str:
    """A text as its author typed it, each value standing as one word without digits."""
    return "".join(part if isinstance(part, str) else "value" for part in template)


def told(template: Template, facts: Facts) -> str:
    """A text as a machine's reader sees it; an unknown value counts as one word."""
    return say(template, facts).replace(UNKNOWN_WORDS, "unknown")


def without_markdown(text: str) -> str:
    """Running text without headings, tables and marks; a wrapped line is joined to the one before."""
    text = re.sub(r"^(#|\|).*$", "", text, flags=re.MULTILINE)
    text = re.sub(r"\n(?![\n]|\s*([-*]|\d+\.)\s)", " ", text.replace("\n\n", "\n\n\0"))
    text = re.sub(r"^[\s\0]*([-*]|\d+\.)\s+", "", text.replace("\0", ""), flags=re.MULTILINE)
    return re.sub(r"\]\([^)]*\)|[\[*`]", "", text)


def asked(course: Course, kind: str = "") -> Iterator[tuple[Placed, Question]]:
    """Every question with its place, of one kind if one is named."""
    for question in course.library.questions.values():
        if kind in ("", question.kind):
            yield course.library.placed["questions", question.id], question


def choices(course: Course) -> Iterator[tuple[Placed, Question]]:
    """Questions with options to choose from."""
    return asked(course, "choice")


def fixed(course: Course) -> Iterator[tuple[Placed, Question]]:
    """Choices with the same key on every machine."""
    return ((at, question) for at, question in choices(course) if any(option.correct for option in question.options))
