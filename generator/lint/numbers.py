"""Rules of questions with this machine's numbers: readable, told apart, and not given away, on every machine.

The tenth by which numbers differ and the words of a stem are our own limits.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from generator.course import Course
from generator.expr import evaluate
from generator.expr.template import show_value
from generator.lint.flaw import Facts, Flaw, asked, error, machines, told
from generator.lint.readability import sentences_of, words_of
from generator.model.question import Question
from generator.quiz import APART, FORMS, local_names, numbers_of

STEM_WORDS, SENTENCE_WORDS = 45, 20


def short_stem(course: Course) -> Iterator[Flaw]:
    """Q16: a stem one can hold in mind. Grades are taken over lessons: a single stem is too short for the formula."""
    for at, question in asked(course):
        for machine, facts in machines(course).items():
            stem = _stem(question, facts)
            words, longest = len(words_of(stem)), max((len(words_of(part)) for part in sentences_of(stem)), default=0)
            if words > STEM_WORDS or longest > SENTENCE_WORDS:
                says = f"has {words} words, {longest} in one sentence, on {machine}"
                yield error("Q16", at, ("stem",), f"{says}; {STEM_WORDS} and {SENTENCE_WORDS} are the most")


def numbers_apart(course: Course) -> Iterator[Flaw]:
    """Q09, Q17, Q22: in every form on every machine the numbers can be told apart; they are shown in rising order."""
    for at, question in asked(course, "numeric"):
        for machine, facts in machines(course).items():
            for form in range(min(len(question.forms) + 1, len(FORMS))):
                for says in _too_near(question, facts, form):
                    yield error("Q17", at, ("slips",), f"{says} on {machine}, form {FORMS[form]}")


def forms_differ(course: Course) -> Iterator[Flaw]:
    """Q24: the other form asks for another number."""
    for at, question in asked(course, "numeric"):
        for machine, facts in machines(course).items():
            first, second = (
                [evaluate(node, facts) for node in local_names(question, form).values()] for form in (0, 1)
            )
            if first == second:
                yield error(
                    "Q24", at, ("forms",), f"the first two forms have the same numbers on {machine}; swap or change one"
                )


def gives_nothing_away(course: Course) -> Iterator[Flaw]:
    """Q18: no stem of the same lesson tells another's number."""
    for machine, facts in machines(course).items():
        for at, question in asked(course, "numeric"):
            shown = _shown(question, numbers_of(question, facts, 0)[0])
            told_in = re.compile(rf"(?<![\d.]){re.escape(shown)}\b")
            for other in course.library.questions_of(question.lesson):
                if other.id != question.id and question.unit != "1" and told_in.search(_stem(other, facts)):
                    yield error("Q18", at, ("answer",), f"{shown} stands in the stem of '{other.id}' on {machine}")


def _stem(question: Question, facts: Facts) -> str:
    """The stem with its own given numbers where they are known."""
    own = {name: evaluate(given.value, facts) for name, given in question.given.items()}
    filled = {name: question.given[name].fallback if value is None else value for name, value in own.items()}
    return _plain_spaces(told(question.stem, {**facts, **filled, "answer": None}))


def _plain_spaces(text: str) -> str:
    """Text whose kinds of space are all one, since an author types another than a page shows."""
    return re.sub(r"\s", " ", text)


def _shown(question: Question, value: object) -> str:
    shown = show_value(float(value) if isinstance(value, float) else None, question.unit, question.digits)
    return _plain_spaces(shown)


def _too_near(question: Question, facts: Facts, form: int) -> Iterator[str]:
    """Pairs of the answer and the slips that a reader could take for each other; two slips may show the same."""
    answer, slips = numbers_of(question, facts, form)
    values = [float(value) for value in (answer, *slips) if isinstance(value, float)]
    if len(values) <= len(slips):
        yield "a number has no answer"
        return
    for place, one in enumerate(values):
        for other in values[place + 1 :]:
            same = _shown(question, one) == _shown(question, other)
            near = same or abs(one - other) < APART * max(abs(one), abs(other))
            if near and not (same and place > 0):
                yield f"{_shown(question, one)} and {_shown(question, other)} are nearly the same"


RULES: tuple[Callable[[Course], Iterator[Flaw]], ...] = (
    short_stem,
    numbers_apart,
    forms_differ,
    gives_nothing_away,
)
