"""The question bank for one machine in plain words: every question that machine can be asked, in all its forms."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from generator.course import Course
from generator.expr import Value, evaluate
from generator.expr.template import show_value
from generator.facts import say
from generator.model.question import Option, Question
from generator.quiz import FORMS, apart, can_be_asked, local_names, numbers_of, seeded

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
Scope = Mapping[str, Value]


class Choice(Struct, frozen=True, kw_only=True):
    """One answer or step: a letter that stays the same from export to export, its words, and why."""

    id: str
    text: str
    why: str = ""
    right: bool = False


class Item(Struct, frozen=True, kw_only=True):
    """One question in one form. The choices of an order stand as shown; `order` has their letters as they belong."""

    id: str
    title: str
    form: str
    critical: bool
    stem: str
    choices: tuple[Choice, ...]
    order: tuple[str, ...] = ()
    why: str = ""
    shuffled: bool = False


class Section(Struct, frozen=True, kw_only=True):
    """The questions of one lesson."""

    id: str
    title: str
    items: tuple[Item, ...]


def bank(course: Course) -> list[Section]:
    """Every lesson's questions for the default machine, without those whose rule or key is not certain for it."""
    sections = [_section(id_, course) for id_ in course.library.lessons]
    return [section for section in sections if section.items]


def _section(lesson: str, course: Course) -> Section:
    title = course.library.lessons[lesson].head.title
    facts = course.view.facts
    asked = [q for q in course.library.questions_of(lesson) if can_be_asked(q, course.library.rules, facts)]
    items = [_item(question, form, f"{title}, question {number}", facts)
             for number, question in enumerate(asked, 1) for form in range(len(question.forms) + 1)]  # fmt: skip
    return Section(id=lesson, title=title, items=tuple(items))


def _item(question: Question, form: int, title: str, facts: Scope) -> Item:
    scope = {**facts, **{name: evaluate(node, facts) for name, node in local_names(question, form).items()}}
    letter = FORMS[form]
    order = _order(question) if question.kind == "order" else ()
    return Item(id=question.id if form == 0 else f"{question.id}-{letter.lower()}", form=letter,
                title=title if form == 0 else f"{title}, form {letter}", critical=question.critical,
                stem=say(question.stem, scope), choices=_choices(question, form, scope), order=order,
                why=say(question.why, scope) if order and question.why else "",
                shuffled=question.kind == "choice")  # fmt: skip


def _choices(question: Question, form: int, scope: Scope) -> tuple[Choice, ...]:
    if question.kind == "order":
        steps = zip(_order(question), question.steps, strict=True)
        return tuple(sorted((Choice(id=letter, text=step) for letter, step in steps), key=lambda choice: choice.id))
    if question.kind == "numeric":
        return _numbers(question, form, scope)
    return tuple(_choice(LETTERS[at], option, scope) for at, option in enumerate(question.options))


def _choice(letter: str, option: Option, scope: Scope) -> Choice:
    right = option.correct if option.correct_when is None else evaluate(option.correct_when, scope) is True
    return Choice(id=letter, text=say(option.text, scope), why=say(option.why, scope), right=right)


def _order(question: Question) -> tuple[str, ...]:
    """The letters of the steps as they belong; letters follow a seed, so that they do not tell the order."""
    shown = seeded(range(len(question.steps)), question.id)
    if shown == sorted(shown):
        shown = shown[1:] + shown[:1]
    return tuple(LETTERS[shown.index(step)] for step in range(len(question.steps)))


def _numbers(question: Question, form: int, scope: Scope) -> tuple[Choice, ...]:
    """The answer and what the slips give, in rising order; a slip too near to another number is left out."""
    answer, slips = numbers_of(question, scope, form)
    kept = [
        (answer, question.why or ()),
        *((slips[at], question.slips[at].why) for at in apart(question, answer, slips)),
    ]
    ordered = sorted(kept, key=lambda item: float(item[0]))  # type: ignore[arg-type]
    return tuple(Choice(id=LETTERS[at], text=show_value(value, question.unit, question.digits), why=say(why, scope),
                        right=value == answer) for at, (value, why) in enumerate(ordered))  # fmt: skip
