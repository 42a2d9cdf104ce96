"""Quizzes: every question with its options, an explanation for each, and parallel forms."""

from __future__ import annotations

from collections.abc import Mapping

from markupsafe import Markup
from msgspec import Struct

from generator.expr import Node
from generator.expr.nodes import Name
from generator.expr.substitute import substitute
from generator.expr.template import Hole
from generator.model.question import Option, Question
from generator.pages.live import Live, shows
from generator.pages.page import link, render
from generator.quiz import APART, FORMS, PASS_SHARE, apart, local_names, numbers_of, questions_digest


class Shown(Struct, frozen=True):
    """One option as shown: `key` is right, wrong, or the id of the live value that decides it."""

    text: Markup
    why: Markup
    right: bool
    decides: str = ""
    number: str = ""
    order: float = 0.0
    hidden: bool = False


class Asked(Struct, frozen=True):
    """One question in one form: its stem and options, and whether this machine is asked it at all."""

    question: Question
    stem: Markup
    options: tuple[Shown, ...]
    why: Markup
    state: str
    form: str
    if_words: str


def quiz(lesson: str, live: Live, path: str) -> Markup:
    """A lesson's quiz, empty where it has no questions."""
    course = live.course
    questions = course.library.questions_of(lesson)
    if not questions:
        return Markup("")
    forms = max((len(question.forms) for question in questions), default=0) + 1
    asked = [[_asked(question, form, live) for question in questions] for form in range(min(forms, len(FORMS)))]
    return render("quiz.html.j2", lesson=lesson, forms=asked, path=path, link=link, shows=shows, share=PASS_SHARE,
                  apart=APART, digest=questions_digest(questions),
                  titles={id_: item.head.title for id_, item in course.library.lessons.items()})  # fmt: skip


def _asked(question: Question, form: int, live: Live) -> Asked:
    local = local_names(question, form)
    state = live.state(question.rule) if question.rule else "yes"
    if_words = f"If {live.course.library.rules[question.rule].words}:" if question.rule else ""
    why = live.words(question.why or (), local)
    return Asked(question, live.words(question.stem, local), _options(question, form, local, live), why, state,
                 FORMS[form], if_words)  # fmt: skip


def _options(question: Question, form: int, local: Mapping[str, Node], live: Live) -> tuple[Shown, ...]:
    if question.kind == "choice":
        return tuple(_choice(option, local, live) for option in question.options)
    if question.kind == "numeric":
        return _numbers(question, form, local, live)
    return ()


def _choice(option: Option, local: Mapping[str, Node], live: Live) -> Shown:
    text, why = live.words(option.text, local), live.words(option.why, local)
    if option.correct_when is None:
        return Shown(text, why, option.correct)
    decides = live.id_of(substitute(option.correct_when, local), None, None)
    return Shown(text, why, live.now(option.correct_when, local) is True, decides)


def _numbers(question: Question, form: int, local: Mapping[str, Node], live: Live) -> tuple[Shown, ...]:
    """The answer and what the slips give, in rising order; a slip too near to another number is not seen. The browser
    does both again when the machine changes."""
    near = set(range(len(question.slips))) - set(apart(question, *numbers_of(question, live.facts, form)))
    options = [_number(question, Name("answer"), live.words(question.why or (), local), local, live, right=True)]
    for at, slip in enumerate(question.slips):
        why = live.words(slip.why, local)
        options.append(_number(question, slip.expr, why, local, live, hidden=at in near))
    return tuple(sorted(options, key=lambda option: option.order))


def _number(question: Question, node: Node, why: Markup, local: Mapping[str, Node], live: Live, *,
            right: bool = False, hidden: bool = False) -> Shown:  # fmt: skip
    hole = Hole(node, question.unit, question.digits)
    value = live.now(node, local)
    id_ = live.id_of(substitute(node, local), question.unit, question.digits)
    return Shown(live.value(hole, local), why, right, number=id_, order=float(value or 0.0), hidden=hidden)  # type: ignore[arg-type]
