"""All content of a course in one frozen value."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from msgspec import Struct

# Only the kinds a command reads are worth the time their models take to make.
if TYPE_CHECKING:
    from generator.content_places import Placed
    from generator.figures.model import Figure, Part
    from generator.model.calculator import Calculator
    from generator.model.check import Check, NotChecked
    from generator.model.checklist import Act, Checklist
    from generator.model.content import Rule, Source, Term
    from generator.model.exam import FaultClass
    from generator.model.learning import Drill, Hazard, Overlay
    from generator.model.lesson import Body, Lesson
    from generator.model.material import CutterKind, Material
    from generator.model.mistake import Effect, Mistake
    from generator.model.plan import Plan
    from generator.model.question import Question
    from generator.model.sheet import Sheet

MODULES: dict[str, str] = {
    "start": "Start here",
    "machine": "The machine",
    "room": "You and the room",
    "board-and-bit": "Board and bit",
    "numbers": "Numbers",
    "holding": "Holding the work",
    "zero": "Zero and proof",
    "first-job": "The first job",
    "afterwards": "Afterwards",
}

# Pages the generator makes by itself, which texts may link to as page:name.
MADE_PAGES = frozenset({
    "all-sheets", "clamp-bench", "cutters", "drills", "glossary", "hazards", "legal", "materials", "my-machine",
    "papers", "reviews", "rules", "sources", "stop-map",
})  # fmt: skip


class Library(Struct, frozen=True, kw_only=True):
    """Content by kind and id, lessons in course order; `pages` are the texts of the start page and its like.

    `placed` says where each item was read, by kind and id.
    """

    sources: Mapping[str, Source] = {}
    rules: Mapping[str, Rule] = {}
    glossary: Mapping[str, Term] = {}
    calculators: Mapping[str, Calculator] = {}
    materials: Mapping[str, Material] = {}
    cutters: Mapping[str, CutterKind] = {}
    checklists: Mapping[str, Checklist] = {}
    acts: Mapping[str, Act] = {}
    questions: Mapping[str, Question] = {}
    lessons: Mapping[str, Lesson] = {}
    figures: Mapping[str, Figure] = {}
    parts: Mapping[str, Part] = {}
    plans: Mapping[str, Plan] = {}
    pages: Mapping[str, Body] = {}
    hazards: Mapping[str, Hazard] = {}
    drills: Mapping[str, Drill] = {}
    overlays: Mapping[str, Overlay] = {}
    checks: Mapping[str, Check] = {}
    unchecked: Mapping[str, NotChecked] = {}
    mistakes: Mapping[str, Mistake] = {}
    sheets: Mapping[str, Sheet] = {}
    faults: Mapping[str, FaultClass] = {}
    effects: Mapping[str, Effect] = {}
    placed: Mapping[tuple[str, str], Placed] = {}

    def questions_of(self, lesson: str) -> list[Question]:
        """The questions that belong to a lesson, in file order."""
        return [question for question in self.questions.values() if question.lesson == lesson]
