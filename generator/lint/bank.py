"""Rules over the whole bank of questions: where the right answers stand, how long they are, what they ask of the mind.

After the same guidelines as questions.py; the limits in numbers are our own.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator

from generator.course import Course
from generator.lint.flaw import Flaw, asked, error, fixed, typed
from generator.model.question import Question
from generator.quiz import guessing

OPTIONS = 3
KEY_LONGEST_SHARE = 0.40
UNLIKELY = 0.01
REMEMBER_SHARE = 0.40
BLOOM = {"remember", "understand", "apply", "analyse", "evaluate", "create"}


def key_not_longest(course: Course) -> Iterator[Flaw]:
    """Q07: over the bank the longest option is right no more often than chance would have it."""
    found = _of_three(course)
    longest = sum(question.options[_longest(question)].correct for question in found)
    often = longest > KEY_LONGEST_SHARE * len(found) or guessing(len(found), longest, OPTIONS) < UNLIKELY
    if found and often:
        at = course.library.placed["questions", found[0].id]
        says = f"in the bank the longest option is right in {longest} of {len(found)} questions; chance is a third"
        yield error("Q07", at, (), says)


def key_anywhere(course: Course) -> Iterator[Flaw]:
    """Q08: over the bank the key stands at each place equally often, by chi-square with two degrees of freedom."""
    found = _of_three(course)
    places = Counter(next(n for n, option in enumerate(q.options) if option.correct) for q in found)
    fair = len(found) / OPTIONS
    square = sum((places[place] - fair) ** 2 / fair for place in range(OPTIONS)) if found else 0.0
    if math.exp(-square / 2) < UNLIKELY:
        at = course.library.placed["questions", found[0].id]
        says = f"in the bank the key stands {places[0]}, {places[1]} and {places[2]} times at its places; move some"
        yield error("Q08", at, (), says)


def levels(course: Course) -> Iterator[Flaw]:
    """Q20: what is asked of the mind is declared, and little of it is remembering."""
    modules: dict[str, list[Question]] = {}
    for at, question in asked(course):
        modules.setdefault(course.library.lessons[question.lesson].head.module, []).append(question)
        if question.bloom not in BLOOM:
            yield error("Q20", at, ("bloom",), f"'{question.bloom}' is none of {', '.join(sorted(BLOOM))}")
    for module, questions in modules.items():
        remembered = sum(question.bloom == "remember" for question in questions)
        if remembered > REMEMBER_SHARE * len(questions):
            at = course.library.placed["questions", questions[0].id]
            says = f"{remembered} of {len(questions)} questions of '{module}' only ask to remember"
            yield error("Q20", at, ("bloom",), says)


def calculating_lessons_apply(course: Course) -> Iterator[Flaw]:
    """Q20: a lesson with a calculator asks for a calculation."""
    for id_, lesson in course.library.lessons.items():
        questions = course.library.questions_of(id_)
        if lesson.head.calculator and questions and not any(question.bloom == "apply" for question in questions):
            at = course.library.placed["lessons", id_]
            yield error("Q20", at, ("calculator",), "calculates, and no question applies it")


def _of_three(course: Course) -> list[Question]:
    return [question for _, question in fixed(course) if len(question.options) == OPTIONS]


def _longest(question: Question) -> int:
    return max(range(OPTIONS), key=lambda place: len(typed(question.options[place].text)))


RULES: tuple[Callable[[Course], Iterator[Flaw]], ...] = (
    key_not_longest,
    key_anywhere,
    levels,
    calculating_lessons_apply,
)
