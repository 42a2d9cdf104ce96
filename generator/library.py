"""All content of a course in one frozen value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from generator.figures.model import Figure, Part
from generator.model.content import Calculator, Checklist, CutterKind, Material, Question, Rule, Source, Term
from generator.model.lesson import Body, Lesson
from generator.model.plan import Plan

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Library:
    """Content by kind and id; `pages` are the texts of the start page and its like, `order` the lessons in sequence."""

    sources: Mapping[str, Source] = field(default_factory=dict)
    rules: Mapping[str, Rule] = field(default_factory=dict)
    glossary: Mapping[str, Term] = field(default_factory=dict)
    calculators: Mapping[str, Calculator] = field(default_factory=dict)
    materials: Mapping[str, Material] = field(default_factory=dict)
    cutters: Mapping[str, CutterKind] = field(default_factory=dict)
    checklists: Mapping[str, Checklist] = field(default_factory=dict)
    questions: Mapping[str, Question] = field(default_factory=dict)
    lessons: Mapping[str, Lesson] = field(default_factory=dict)
    figures: Mapping[str, Figure] = field(default_factory=dict)
    parts: Mapping[str, Part] = field(default_factory=dict)
    plans: Mapping[str, Plan] = field(default_factory=dict)
    pages: Mapping[str, Body] = field(default_factory=dict)

    def questions_of(self, lesson: str) -> list[Question]:
        """The questions that belong to a lesson, in file order."""
        return [question for question in self.questions.values() if question.lesson == lesson]
