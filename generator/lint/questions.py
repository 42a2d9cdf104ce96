"""Rules of a good question, one by one, on every machine.

After Haladyna, Downing and Rodriguez, "A review of multiple-choice item-writing guidelines", Applied Measurement in
Education 15(3), 2002 (first page read), Rodriguez, Educational Measurement 24(2), 2005 (abstract) and the list of
flaws in BMC Medical Education, 2016, s12909-016-0559-7 (table read); the limits in numbers are our own.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from generator.course import Course
from generator.expr import Template, evaluate
from generator.lint.flaw import Flaw, asked, choices, error, fixed, machines, typed, warning
from generator.lint.readability import sentences_of, words_of
from generator.model.question import Question

OPTIONS = (3, 4)
FEWEST_STEM_WORDS = 6
WHY_WORDS = (8, 40)
LONGEST_TO_SHORTEST, SHORT_OPTION = 1.5, 12
ALL_OF_THESE = re.compile(r"\b(all|none|both|neither|any) of (the above|these|them)\b|\bA and B\b", re.IGNORECASE)
NEGATIVE = re.compile(r"\b(not|except|never|least|incorrect)\b|n't\b", re.IGNORECASE)
ABSOLUTE = re.compile(r"\b(always|never|only|every|completely)\b", re.IGNORECASE)
NAME = re.compile(r"[A-Z][a-z]+")
MOMENT = re.compile(r"\b(while|when|during|before|after|state|first)\b", re.IGNORECASE)
VAGUE = re.compile(r"\b(usually|often|sometimes)\b", re.IGNORECASE)
FUNCTION_WORDS = {
    "about",
    "after",
    "again",
    "before",
    "first",
    "still",
    "their",
    "there",
    "these",
    "which",
    "while",
    "would",
}


def option_count(course: Course) -> Iterator[Flaw]:
    """Q01: three options, four at most."""
    for at, question in choices(course):
        if len(question.options) not in OPTIONS:
            yield error(
                "Q01", at, ("options",), f"has {len(question.options)} options; three are enough, four the most"
            )


def one_key(course: Course) -> Iterator[Flaw]:
    """Q02: never two right answers on one machine."""
    for at, question in choices(course):
        for machine, facts in machines(course).items():
            truths = [option.correct if option.correct_when is None else evaluate(option.correct_when, facts) is True
                      for option in question.options]  # fmt: skip
            if sum(truths) > 1:
                yield error("Q02", at, ("options",), f"has {sum(truths)} right answers on {machine}; one is right")


def no_all_of_these(course: Course) -> Iterator[Flaw]:
    """Q03: no option about other options."""
    for at, question in choices(course):
        for index, option in enumerate(question.options):
            if ALL_OF_THESE.search(typed(option.text)):
                yield error("Q03", at, ("options", index, "text"), "speaks of other options; say what it claims itself")


def asked_plainly(course: Course) -> Iterator[Flaw]:
    """Q04: the asking sentence has no "not"; where it must, the reason is given, and never in a must-know question."""
    for at, question in asked(course):
        asking = (sentences_of(typed(question.stem)) or [""])[-1]
        found = NEGATIVE.search(re.sub(r"\bat least\b", "", asking))
        if found and (question.critical or not question.negative):
            yield error(
                "Q04", at, ("stem",), f"asks with '{found.group()}'; turn it round, or give the reason as 'negative'"
            )


def whole_question(course: Course) -> Iterator[Flaw]:
    """Q05: the stem is a whole question or instruction."""
    for at, question in asked(course):
        stem = typed(question.stem).strip()
        if not stem.endswith(("?", ".")) or len(words_of(stem)) < FEWEST_STEM_WORDS:
            yield error(
                "Q05",
                at,
                ("stem",),
                f"is no whole question; end it with '?' and give it {FEWEST_STEM_WORDS} words at least",
            )


def alike_in_length(course: Course) -> Iterator[Flaw]:
    """Q06: length gives nothing away."""
    for at, question in choices(course):
        sizes = [len(typed(option.text)) for option in question.options if len(typed(option.text)) >= SHORT_OPTION]
        if len(sizes) > 1 and max(sizes) > LONGEST_TO_SHORTEST * min(sizes):
            yield warning(
                "Q06", at, ("options",), f"its options have {min(sizes)} to {max(sizes)} letters; make them alike"
            )


def no_absolutes(course: Course) -> Iterator[Flaw]:
    """Q10: no "always" in a wrong option alone, no "usually" anywhere."""
    for at, question in choices(course):
        keys = " ".join(typed(option.text) for option in question.options if option.correct)
        for index, option in enumerate(question.options):
            text = typed(option.text)
            if VAGUE.search(text):
                yield error("Q10", at, ("options", index, "text"), "is vague about how often; say when")
            if not option.correct and ABSOLUTE.search(text) and not ABSOLUTE.search(keys):
                yield error(
                    "Q10", at, ("options", index, "text"), "claims it for every case, which gives it away as wrong"
                )


def no_echo(course: Course) -> Iterator[Flaw]:
    """Q11: no long word of the stem in the key alone."""
    for at, question in fixed(course):
        stem = _long_words(typed(question.stem))
        key = set[str]().union(*(_long_words(typed(option.text)) for option in question.options if option.correct))
        others = set[str]().union(
            *(_long_words(typed(option.text)) for option in question.options if not option.correct)
        )
        for word in sorted((stem & key) - others):
            yield warning(
                "Q11",
                at,
                ("options",),
                f"'{word}' stands in the stem and in the right option alone; it gives the key away",
            )


def explained(course: Course) -> Iterator[Flaw]:
    """Q12: every option has its why, and a wrong one names the slip behind it and where to read on."""
    for at, question in asked(course):
        for where, why in _whys(question):
            if not WHY_WORDS[0] <= (count := len(words_of(typed(why)))) <= WHY_WORDS[1]:
                yield error("Q12", at, where, f"has {count} words; a reason takes {WHY_WORDS[0]} to {WHY_WORDS[1]}")
        for index, option in enumerate(question.options):
            if not option.correct and (not option.slip or not option.lesson):
                yield error("Q12", at, ("options", index), "a wrong option names its slip and the lesson that mends it")


def _whys(question: Question) -> Iterator[tuple[tuple[str | int, ...], Template]]:
    yield from ((("options", index, "why"), option.why) for index, option in enumerate(question.options))
    yield from ((("slips", index, "why"), slip.why) for index, slip in enumerate(question.slips))
    if question.why:
        yield ("why",), question.why


def same_form(course: Course) -> Iterator[Flaw]:
    """Q14: options look alike: all or none begin with a small letter, with a number, and end with a full stop."""
    looks: tuple[Callable[[str], bool], ...] = (
        lambda text: text.endswith("."),
        lambda text: text[:1].islower(),
        lambda text: text[:1].isdigit(),
    )
    for at, question in choices(course):
        texts = [typed(option.text) for option in question.options]
        if any(len({look(text) for text in texts}) > 1 for look in looks):
            yield error("Q14", at, ("options",), "one option looks unlike the others; give all the same form")


def critical_has_hazard(course: Course) -> Iterator[Flaw]:
    """Q15: a must-know question is about a hazard of the register."""
    for at, question in asked(course):
        if question.critical and question.hazard is None:
            yield error("Q15", at, (), "is a must-know and names no hazard; link one, or take 'critical' away")


def no_names(course: Course) -> Iterator[Flaw]:
    """Q19: no name of a person or a maker. A word with a capital inside a sentence is taken for one; quoted words, as
    on a key or a list, are not."""
    for at, question in asked(course):
        for text in (question.stem, *(option.text for option in question.options)):
            for sentence in sentences_of(re.sub(r'"[^"]*"', "", typed(text))):
                for word in words_of(sentence)[1:]:
                    if NAME.fullmatch(word):
                        yield warning("Q19", at, (), f"'{word}' looks like a name; say the role, or what the thing is")


def tells_the_moment(course: Course) -> Iterator[Flaw]:
    """Q21: a must-know question tells the scene before it asks, or the moment in the same sentence."""
    for at, question in choices(course):
        stem = typed(question.stem)
        if question.critical and len(sentences_of(stem)) < 2 and not MOMENT.search(stem):
            yield error("Q21", at, ("stem",), "asks without a scene; say first what happens, or when")


def _long_words(text: str) -> set[str]:
    return {word.lower() for word in words_of(text) if len(word) >= 5} - FUNCTION_WORDS


RULES: tuple[Callable[[Course], Iterator[Flaw]], ...] = (
    option_count, one_key, no_all_of_these, asked_plainly, whole_question, alike_in_length, no_absolutes, no_echo,
    explained, same_form, critical_has_hazard, no_names, tells_the_moment,
)  # fmt: skip
