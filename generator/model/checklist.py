"""Checklists with their pause points and items, and the acts of the practical."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from generator.model.base import Many
from generator.model.base import Slug as Id
from generator.model.content import Content, Number, Words
from generator.model.workshop import Gate


class Item(Content):
    """One line of a checklist: what to do, and the state that answers it."""

    id: Id
    check: Words
    want: Words
    killer: bool = False
    rule: Id | None = None
    unless: Id | None = None
    place: str = ""
    lesson: Id | None = None
    reason: str = ""
    hold: Number | None = None
    repeat_of: Id | None = None


class Point(Content):
    """A pause point: the moment it belongs to and its few items. The workshop's rules with one of its `gates` are
    asked before them."""

    id: Id
    title: str
    trigger: str
    items: Many[Item]
    done: str
    order_reason: str = ""
    rule: Id | None = None
    gates: Many[Gate] = ()


class Checklist(Content):
    """A list with its pause points. The workshop's rules come first, but last where the first words must be an act."""

    id: Id
    title: str
    style: Literal["read-do", "do-confirm"]
    intro: str
    points: Many[Point]
    local_rules: Literal["first", "last"] = "first"


class Act(Content):
    """One act of the practical: what the learner does while the one who signs looks on."""

    id: Id
    title: str
    does: Words
    critical: bool = False
    rule: Id | None = None
    lessons: Many[Id] = Field(min_length=1)
