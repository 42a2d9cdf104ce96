"""Rules of running text: lessons short and easy, numbers with a source, nothing orphaned, one word for one thing.

Limits for reading: 15 to 20 words a sentence is the Plain English Campaign's advice, 25 a hard limit of GOV.UK
(second-hand); the grades and ease wanted are our own. Length and steps of a lesson: our own, from Mayer's
segmenting, Journal of Computer Assisted Learning, 2017 (abstract).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from msgspec import Struct
from pydantic import BaseModel

from generator.content_checks import LINK
from generator.course import Course
from generator.errors import Fault
from generator.expr import Node, Template, evaluate, names
from generator.expr.nodes import Cond, Str
from generator.expr.template import Hole
from generator.facts import FACTS
from generator.lint.flaw import Facts, Flaw, error, machines, shown_items, told, typed, warning, without_markdown
from generator.lint.readability import Counts, count
from generator.model.lesson import Lesson, Prose

MOST_WORDS = 600
# Two to four steps, and a heading each for the worked example and for what follows it.
HEADINGS = (2, 6)
FEWEST_QUESTIONS = 5
# Kinds whose texts a learner reads for any machine; those of checks and faults are told where their facts are known.
READ = ("acts", "calculators", "checklists", "drills", "figures", "hazards", "questions", "sheets")
NOTHING: Facts = dict.fromkeys(FACTS)
FEWEST_IN_A_MODULE = 10
NUMBER_WITH_UNIT = re.compile(
    r"\d[\d.,]*\s?(mm|cm|km|m|s|min|h|seconds?|minutes?|hours?|days?|rpm|kPa|bar|N|A|V|W|kW|Hz|°|%|dB|kg|mg|inch(es)?)\b|\d\s?%"
)


class Limits(Struct, frozen=True, kw_only=True):
    """What a kind of text may be: the highest grade, the lowest ease, words a sentence on average and at most."""

    grade: float
    ease: float
    mean: float
    longest: int


LESSON = Limits(grade=7, ease=65, mean=15, longest=25)
STEMS = Limits(grade=8, ease=60, mean=15, longest=20)
CARD = Limits(grade=4, ease=85, mean=9, longest=12)
DRILL = Limits(grade=7, ease=65, mean=15, longest=25)


def too_hard(counts: Counts, limits: Limits) -> Iterator[str]:
    """What of a text is harder than it may be. Grade and ease are noisy below a hundred words and left out there."""
    if counts.words >= 100 and counts.grade > limits.grade:
        yield f"reads at grade {counts.grade:.1f}; {limits.grade:g} at most"
    if counts.words >= 100 and counts.ease < limits.ease:
        yield f"has a reading ease of {counts.ease:.0f}; {limits.ease:g} at least"
    if counts.mean > limits.mean:
        yield f"has {counts.mean:.1f} words a sentence; {limits.mean:g} at most"
    if counts.longest > limits.longest:
        yield f"has a sentence of {counts.longest} words; {limits.longest} at most"


def taught(course: Course) -> set[str]:
    """Words of the glossary, which a reader has learnt."""
    words = {word for term in course.library.glossary.values() for word in term.term.lower().split()}
    return words | {f"{word}s" for word in words}


def easy_lessons(course: Course) -> Iterator[Flaw]:
    """L01, L02, L03: a lesson is short, has a few steps, and reads easily."""
    for id_, lesson in course.library.lessons.items():
        at, counts = course.library.placed["lessons", id_], count(prose_of(lesson), taught(course))
        if counts.words > MOST_WORDS:
            yield error("L01", at, (), f"has {counts.words} words; {MOST_WORDS} are the most one sitting takes")
        headings = sum(len(re.findall(r"^## ", typed(block.text), re.MULTILINE)) for block in _prose(lesson))
        if not HEADINGS[0] <= headings <= HEADINGS[1]:
            yield error(
                "L02", at, (), f"has {headings} headings; {HEADINGS[0]} to {HEADINGS[1]} make steps one can keep"
            )
        for says in too_hard(counts, LESSON):
            yield error("L03", at, (), says)


def easy_questions(course: Course) -> Iterator[Flaw]:
    """Q16: the stems of a lesson together read easily."""
    for id_ in course.library.lessons:
        asked = course.library.questions_of(id_)
        counts = count("\n".join(typed(question.stem) for question in asked), taught(course))
        for says in too_hard(counts, STEMS) if asked else ():
            yield error(
                "Q16", course.library.placed["questions", asked[0].id], ("stem",), f"the quiz of '{id_}' {says}"
            )


def easy_card(course: Course) -> Iterator[Flaw]:
    """R01: the emergency card can be read by somebody who is shaking."""
    card = course.library.checklists.get("emergency-card")
    for machine, facts in machines(course).items() if card else ():
        items = [item for point in card.points for _, item in shown_items(point, course.library, facts)]  # type: ignore[union-attr]
        counts = count(
            "\n".join(f"{told(item.check, facts)}.\n{told(item.want, facts)}." for item in items), taught(course)
        )
        for says in too_hard(counts, CARD):
            yield error("R01", course.library.placed["checklists", "emergency-card"], (), f"{says}, on {machine}")


def easy_drills(course: Course) -> Iterator[Flaw]:
    """R02: a drill reads as fast as it happens."""
    for drill in course.library.drills.values():
        texts: list[Template] = [drill.scene, drill.debrief, drill.solved.scene, drill.solved.act, drill.solved.because]
        texts += [
            text for node in drill.nodes for choice in node.choices for text in (node.says, choice.says, choice.outcome)
        ]
        for machine, facts in machines(course).items():
            counts = count("\n".join(_plain(text, facts) for text in texts), taught(course))
            for says in too_hard(counts, DRILL):
                yield error("R02", course.library.placed["drills", drill.id], (), f"{says}, on {machine}")


def numbers_sourced(course: Course) -> Iterator[Flaw]:
    """L04: a number typed into a lesson needs a source in its front matter; a machine's number is a value in {{ }}."""
    for lesson in course.library.lessons.values():
        for block in _prose(lesson) if not lesson.head.sources else ():
            if found := NUMBER_WITH_UNIT.search(typed(block.text)):
                says = f"'{found.group()}' has no source; name one in the front matter, or write the value in {{{{ }}}}"
                yield Flaw(Fault(lesson.body.file, block.line, 1, says), "L04", "error")


def enough_questions(course: Course) -> Iterator[Flaw]:
    """L05, Q24: five questions for a lesson, must-knows where it is one, and enough in a module for two papers."""
    modules: dict[str, int] = {}
    for id_, lesson in course.library.lessons.items():
        at, asked = course.library.placed["lessons", id_], course.library.questions_of(id_)
        modules[lesson.head.module] = modules.get(lesson.head.module, 0) + len(asked)
        if len(asked) < FEWEST_QUESTIONS:
            yield error("L05", at, (), f"has {len(asked)} questions; {FEWEST_QUESTIONS} at least")
        if lesson.head.critical and not any(question.critical for question in asked):
            yield error("L05", at, ("critical",), "is critical, and no question of it is a must-know")
    for module, total in modules.items():
        if total < FEWEST_IN_A_MODULE:
            first = next(id_ for id_, lesson in course.library.lessons.items() if lesson.head.module == module)
            says = f"the module '{module}' has {total} questions; two papers that differ need {FEWEST_IN_A_MODULE}"
            yield warning("Q24", course.library.placed["lessons", first], ("module",), says)


def no_orphans(course: Course) -> Iterator[Flaw]:
    """L06: every lesson is led to by another lesson, a checklist, a hazard, a drill or a calculator."""
    library = course.library
    led = {id_ for lesson in library.lessons.values() for id_ in lesson.head.needs}
    led |= {
        item.lesson or ""
        for checklist in library.checklists.values()
        for point in checklist.points
        for item in point.items
    }
    led |= {id_ for hazard in library.hazards.values() for id_ in hazard.lessons}
    led |= {id_ for drill in library.drills.values() for id_ in drill.lessons}
    led |= {calculator.lesson or "" for calculator in library.calculators.values()}
    led |= {id_ for _, text in _bodies(course) for kind, id_ in LINK.findall(text) if kind == "lesson"}
    for id_ in library.lessons:
        if id_ not in led:
            yield error(
                "L06", library.placed["lessons", id_], ("id",), "nothing leads here; link it from where it is needed"
            )


def terms_used(course: Course) -> Iterator[Flaw]:
    """G01: a word that is explained is a word that is used."""
    said = "\n".join([*(text for _, text in _bodies(course)), *_other_kinds(course)]).lower()
    for term in course.library.glossary.values():
        stem = re.escape(term.term.lower().removesuffix("e"))
        if not re.search(rf"\b{stem}", said) and f"glossary:{term.id})" not in said:
            yield error(
                "G01",
                course.library.placed["glossary", term.id],
                ("term",),
                f"'{term.term}' is explained and never used",
            )


def one_word_for_one_thing(course: Course) -> Iterator[Flaw]:
    """G02: lessons and questions say a thing with the glossary's word."""
    banned = {word.lower(): term for term in course.library.glossary.values() for word in term.not_called}
    for word, term in banned.items():
        pattern = re.compile(rf"\b{re.escape(word)}s?\b", re.IGNORECASE)
        for lesson in course.library.lessons.values():
            for block in _prose(lesson):
                if pattern.search(typed(block.text)):
                    says = f"says '{word}'; the word of this course is '{term.term}'"
                    yield Flaw(Fault(lesson.body.file, block.line, 1, says), "G02", "error")
        for question in course.library.questions.values():
            if pattern.search(
                " ".join(typed(text) for text in (question.stem, *(option.text for option in question.options)))
            ):
                at = course.library.placed["questions", question.id]
                yield error("G02", at, ("stem",), f"says '{word}'; the word of this course is '{term.term}'")


def worded_for_the_unknown(course: Course) -> Iterator[Flaw]:
    """T01: words chosen by a fact have words for the day when nobody knows the fact."""
    for kind in READ:
        for id_, item in getattr(course.library, kind).items():
            for node in (node for text in _templates(item) for node in _wordings(text)):
                if evaluate(node, NOTHING) is None:
                    facts = ", ".join(sorted({name.id for name in names(node)}))
                    says = f"has no words for where {facts} is unknown; begin with known(...)"
                    yield error("T01", course.library.placed[kind, id_], (), says)


def _templates(value: object) -> Iterator[Template]:
    """Every text with values in it, anywhere inside an item of content."""
    if isinstance(value, tuple) and any(isinstance(part, Hole) for part in value):
        yield value
    elif isinstance(value, BaseModel):
        yield from _templates(tuple(value.__dict__.values()))
    elif isinstance(value, Struct):
        yield from _templates(tuple(getattr(value, name) for name in value.__struct_fields__))
    elif isinstance(value, (tuple, dict)):
        for part in value.values() if isinstance(value, dict) else value:
            yield from _templates(part)


def _wordings(template: Template) -> Iterator[Cond]:
    """Holes that choose between words by facts alone."""
    for part in template:
        node = None if isinstance(part, str) else part.node
        if isinstance(node, Cond) and _is_words(node) and all(name.id in FACTS for name in names(node)):
            yield node


def _is_words(node: Node) -> bool:
    return isinstance(node, Str) or (isinstance(node, Cond) and _is_words(node.then) and _is_words(node.other))


def whole_sources(course: Course) -> Iterator[Flaw]:
    """S01, S02: who published it, when, and what of it was seen; and a source nobody cites is told."""
    cited = _cited(course)
    for source in course.library.sources.values():
        at = course.library.placed["sources", source.id]
        for key in ("title", "publisher", "year", "seen"):
            if not getattr(source, key):
                yield error(
                    "S01", at, (), f"has no {key}; a source names title, publisher, year and what was seen of it"
                )
        if source.id not in cited:
            yield warning("S02", at, ("id",), f"nothing cites '{source.id}'")


def prose_of(lesson: Lesson) -> str:
    """A lesson's running text, all variants, as plain words."""
    return "\n".join(without_markdown(typed(block.text)) for block in _prose(lesson))


def _prose(lesson: Lesson) -> list[Prose]:
    return [block for block in lesson.body.every() if isinstance(block, Prose)]


def _plain(text: Template, facts: Facts) -> str:
    return told(text, facts)


def _bodies(course: Course) -> Iterator[tuple[str, str]]:
    bodies = {id_: lesson.body for id_, lesson in course.library.lessons.items()} | dict(course.library.pages)
    for name, body in bodies.items():
        for block in body.every():
            if isinstance(block, Prose):
                yield name, typed(block.text)


def _other_kinds(course: Course) -> Iterator[str]:
    """Every text of the kinds a reader meets besides lessons, as its file has it."""
    kinds = {"calculators", "checklists", "cutters", "drills", "hazards", "materials", "plans", "questions"}
    for (kind, _), placed in course.library.placed.items():
        if kind in kinds:
            yield from _texts(placed.item)


def _cited(course: Course) -> set[str]:
    """Ids of sources that some other item of content names, wherever it does."""
    found: set[str] = set()
    for (kind, _), placed in course.library.placed.items():
        if kind != "sources":
            found |= _texts(placed.item)
    return found | {id_ for _, text in _bodies(course) for kind, id_ in LINK.findall(text) if kind == "source"}


def _texts(data: object) -> set[str]:
    if isinstance(data, dict):
        return set[str]().union(*(_texts(value) for value in data.values()))
    if isinstance(data, list):
        return set[str]().union(*(_texts(value) for value in data))
    return {data} if isinstance(data, str) else set()


RULES: tuple[Callable[[Course], Iterator[Flaw]], ...] = (
    easy_lessons, easy_questions, easy_card, easy_drills, numbers_sourced, enough_questions, no_orphans, terms_used,
    one_word_for_one_thing, worded_for_the_unknown, whole_sources,
)  # fmt: skip
