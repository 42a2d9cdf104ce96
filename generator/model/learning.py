"""Content for deciding and for looking up: the hazard register, the drills, and what a few countries say."""

from __future__ import annotations

from typing import Literal, get_args

from generator.model.base import Date, Many
from generator.model.base import Slug as Id
from generator.model.content import Content, Mark, Number, UnitTag, Words

ControlLevel = Literal["eliminate", "substitute", "engineer", "administer", "protect"]
# The hierarchy of controls, strongest first, as ISO 45001:2018, 8.1.2 orders it (from memory).
CONTROL_LEVELS: tuple[ControlLevel, ...] = get_args(ControlLevel)
DEBRIEF = "debrief"


class Control(Content):
    """One thing that makes a hazard smaller, and how strong a kind of thing it is."""

    level: ControlLevel
    says: str


class Hazard(Content):
    """One line of the hazard register; `residual` is the question that is left when the controls are there."""

    id: Id
    title: str
    harm: str
    causes: Many[str]
    controls: Many[Control]
    residual: str
    lessons: Many[Id] = ()
    checks: Many[Id] = ()
    sources: Many[Id] = ()


class Choice(Content):
    """One act to choose in a drill: what comes of it, and the node it leads to."""

    says: Words
    to: Id
    best: bool
    outcome: Words


class Node(Content):
    """One moment of a drill."""

    id: Id
    says: Words
    choices: Many[Choice]


class Solved(Content):
    """The case a drill opens with, decided and explained."""

    scene: Words
    act: Words
    because: Words


class Note(Content):
    """A sentence shown where its rule holds, or with `unless` where it does not."""

    rule: Id | None = None
    unless: Id | None = None
    says: Words


class Drill(Content):
    """A branching scene. It begins at its first node; every way through it ends in the debrief.

    With `rule` the scene is for machines that have what it needs; `here` says what is special on this machine.
    """

    id: Id
    title: str
    hazard: Id
    lessons: Many[Id]
    rule: Id | None = None
    scene: Words
    here: Many[Note] = ()
    solved: Solved
    nodes: Many[Node]
    debrief: Words


class LegalRow(Content):
    """One figure or duty of a country. Without `value` the text was not read, and no number may be shown."""

    topic: str
    what: str
    value: Number | str | None = None
    unit: UnitTag | Literal[""] = ""
    source: Id
    mark: Mark
    look_up: str
    note: str = ""


class Overlay(Content):
    """What one country says, as read on or before a date."""

    id: Id
    name: str
    as_of: Date
    rows: Many[LegalRow]
