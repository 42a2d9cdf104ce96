"""All content of a course in one frozen value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

# Only the kinds a command reads are worth the time their models take to make.
if TYPE_CHECKING:
    from generator.content_places import Placed
    from generator.figures.model import Figure, Part
    from generator.model.check import Check, NotChecked
    from generator.model.content import Act, Calculator, Checklist, CutterKind, Material, Question, Rule, Source, Term
    from generator.model.exam import FaultClass
    from generator.model.learning import Drill, Hazard, Overlay
    from generator.model.lesson import Body, Lesson
    from generator.model.mistake import Effect, Mistake
    from generator.model.plan import Plan
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Library:
    """Content by kind and id, lessons in course order; `pages` are the texts of the start page and its like.

    `placed` says where each item was read, by kind and id.
    """

    sources: Mapping[str, Source] = field(default_factory=dict)
    rules: Mapping[str, Rule] = field(default_factory=dict)
    glossary: Mapping[str, Term] = field(default_factory=dict)
    calculators: Mapping[str, Calculator] = field(default_factory=dict)
    materials: Mapping[str, Material] = field(default_factory=dict)
    cutters: Mapping[str, CutterKind] = field(default_factory=dict)
    checklists: Mapping[str, Checklist] = field(default_factory=dict)
    acts: Mapping[str, Act] = field(default_factory=dict)
    questions: Mapping[str, Question] = field(default_factory=dict)
    lessons: Mapping[str, Lesson] = field(default_factory=dict)
    figures: Mapping[str, Figure] = field(default_factory=dict)
    parts: Mapping[str, Part] = field(default_factory=dict)
    plans: Mapping[str, Plan] = field(default_factory=dict)
    pages: Mapping[str, Body] = field(default_factory=dict)
    hazards: Mapping[str, Hazard] = field(default_factory=dict)
    drills: Mapping[str, Drill] = field(default_factory=dict)
    overlays: Mapping[str, Overlay] = field(default_factory=dict)
    checks: Mapping[str, Check] = field(default_factory=dict)
    unchecked: Mapping[str, NotChecked] = field(default_factory=dict)
    mistakes: Mapping[str, Mistake] = field(default_factory=dict)
    sheets: Mapping[str, Sheet] = field(default_factory=dict)
    faults: Mapping[str, FaultClass] = field(default_factory=dict)
    effects: Mapping[str, Effect] = field(default_factory=dict)
    placed: Mapping[tuple[str, str], Placed] = field(default_factory=dict)

    def questions_of(self, lesson: str) -> list[Question]:
        """The questions that belong to a lesson, in file order."""
        return [question for question in self.questions.values() if question.lesson == lesson]
