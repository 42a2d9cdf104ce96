"""Quizzes as numbers: what passes, when to come back, and which questions make a paper.

All choices follow a seed, so that the same seed gives the same paper on every machine and in every year.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from typing import TypeVar

from msgspec import Struct

from generator.expr import Node, Scope, Value, evaluate
from generator.expr.nodes import Call, Cond, Name, Num
from generator.expr.substitute import substitute
from generator.expr.template import show_value
from generator.facts import say
from generator.library import Library
from generator.model.content import Rule
from generator.model.question import Option, Question

# 80 % of all and every critical one: mastery levels of 80 to 90 % are the common example (Bloom, 1968, from memory).
PASS_SHARE = 0.8
# Days after a pass. Gaps grow from 20-40 % of the wanted span at a week to 5-10 % at a year
# (Cepeda et al., Psychological Science 19, 2008, second-hand); the five days themselves are our proposal.
REVIEW_DAYS = (2, 7, 21, 60, 150)
FORMS = "ABCDEF"
DIGEST_DIGITS = 6
# Numbers nearer than a tenth of the larger are too alike to choose between (our own limit). A hair less than a tenth,
# so that 4 and 3.6 count as a tenth apart.
APART = 0.10 - 1e-9
T = TypeVar("T")


def needed(items: int) -> int:
    """How many right answers pass a quiz of `items`; the small term keeps 0.8 x 5 from becoming 5."""
    return math.ceil(PASS_SHARE * items - 1e-9)


def guessing(items: int, enough: int, options: int) -> float:
    """The chance to get `enough` or more of `items` right by guessing among `options`: a binomial tail."""
    share = 1 / options
    return sum(math.comb(items, k) * share**k * (1 - share) ** (items - k) for k in range(enough, items + 1))


def local_names(question: Question, form: int) -> dict[str, Node]:
    """What the question's own names stand for, as expressions over the facts; form 0 has this machine's numbers."""
    numbers = question.forms[form - 1] if 0 < form <= len(question.forms) else {}
    local: dict[str, Node] = {}
    for name, given in question.given.items():
        known = Cond(Call("known", (given.value,)), given.value, Num(given.fallback))
        local[name] = Num(numbers[name]) if name in numbers else known
    if question.answer is not None:
        local["answer"] = substitute(question.answer, local)
    return local


def seeded(items: Iterable[T], seed: str, name: Callable[[T], str] = str) -> list[T]:
    """The items in an order that looks random and depends on `seed` and their names alone."""
    return sorted(items, key=lambda item: hashlib.sha256(f"{seed}\0{name(item)}".encode()).digest())


def questions_digest(questions: Sequence[Question]) -> str:
    """A short hash of what is asked and which answers are right, so that a result can be told from one of older
    questions. Reasons are left out: a clearer one asks nothing new."""
    asked = [
        (q.id, q.kind, q.critical, q.rule, q.stem, q.given, q.forms, q.answer, q.unit, q.digits, q.steps,
         [slip.expr for slip in q.slips], [(o.text, o.correct, o.correct_when) for o in q.options])
        for q in questions
    ]  # fmt: skip
    return hashlib.sha256(repr(asked).encode()).hexdigest()[:DIGEST_DIGITS]


def quiz_digests(library: Library) -> dict[str, str]:
    """Today's digest of each lesson's quiz."""
    return {id_: questions_digest(library.questions_of(id_)) for id_ in library.lessons}


def can_be_asked(question: Question, rules: Mapping[str, Rule], facts: Scope) -> bool:
    """Whether a paper for this machine may ask it: its rule holds, its key is certain and stands apart from a slip."""
    if question.rule is not None and evaluate(rules[question.rule].when, facts) is not True:
        return False
    if question.kind == "numeric":
        return all(apart(question, *numbers_of(question, facts, form)) for form in range(len(question.forms) + 1))
    if question.kind == "order":
        return True
    return sum(_is_right(option, facts) for option in question.options) == 1


def choose(
    pool: Sequence[Question],
    count: int,
    seed: str,
    *,
    group: Callable[[Question], str],
    hazards: Collection[str] = (),
    critical: int = 0,
    avoid: Collection[str] = (),
) -> list[Question]:
    """`count` questions of `pool`, fewer where it is smaller, in the order of the pool.

    First one question for each of `hazards`, then critical ones until there are `critical`, then from each
    `group` in turn. Critical ones come before others, and those in `avoid` only where nothing else is left.
    """
    order = sorted(seeded(pool, seed, _id), key=lambda question: question.id in avoid)
    chosen: dict[str, Question] = {}
    for hazard in seeded(hazards, seed):
        about = [question for question in order if question.hazard == hazard and question.id not in chosen]
        chosen |= {question.id: question for question in sorted(about, key=lambda q: not q.critical)[:1]}
    urgent = [question for question in order if question.critical and question.id not in chosen]
    missing = critical - sum(question.critical for question in chosen.values())
    chosen |= {question.id: question for question in _in_turn(urgent, group)[: max(0, missing)]}
    rest = [question for question in order if question.id not in chosen]
    chosen |= {question.id: question for question in _in_turn(rest, group)[: max(0, count - len(chosen))]}
    kept = list(chosen)[:count]
    return [question for question in pool if question.id in kept]


def _id(question: Question) -> str:
    return question.id


def _in_turn(questions: Sequence[Question], group: Callable[[Question], str]) -> list[Question]:
    """One of each group, then the next of each, until none is left."""
    seen: dict[str, int] = {}
    turns: list[tuple[int, int, Question]] = []
    for place, question in enumerate(questions):
        turn = seen[group(question)] = seen.get(group(question), 0) + 1
        turns.append((turn, place, question))
    return [question for _, _, question in sorted(turns, key=lambda item: item[:2])]


class Put(Struct, frozen=True, kw_only=True):
    """A question as it stands on paper. `key` are places in `options`: one for a choice, all in turn for an order."""

    question: Question
    stem: str
    options: tuple[str, ...]
    key: tuple[int, ...]
    why: str


def put(question: Question, form: int, facts: Scope, seed: str) -> Put:
    """The question with this machine's numbers, or those of a parallel form, and its options in the seed's order."""
    local = local_names(question, form)
    scope = {**facts, **{name: evaluate(node, facts) for name, node in local.items()}}
    if question.kind == "numeric":
        options, key = _numbers(question, scope)
        why = say(question.why or (), scope)
    elif question.kind == "order":
        steps = _out_of_order(question, seed)
        options, key = tuple(question.steps[step] for step in steps), tuple(steps.index(n) for n in range(len(steps)))
        why = say(question.why or (), scope)
    else:
        shown = seeded(question.options, f"{seed}:{question.id}", lambda option: say(option.text, scope))
        options = tuple(say(option.text, scope) for option in shown)
        right = next(option for option in shown if _is_right(option, facts))
        key, why = (shown.index(right),), say(right.why, scope)
    return Put(question=question, stem=say(question.stem, scope), options=options, key=key, why=why)


def _is_right(option: Option, facts: Scope) -> bool:
    return option.correct if option.correct_when is None else evaluate(option.correct_when, facts) is True


def numbers_of(question: Question, facts: Scope, form: int) -> tuple[Value, list[Value]]:
    """The right number and what each slip gives, None where it has no answer."""
    local = local_names(question, form)
    slips = [evaluate(substitute(slip.expr, local), facts) for slip in question.slips]
    return evaluate(local["answer"], facts), slips


def apart(question: Question, answer: Value, slips: Sequence[Value]) -> list[int]:
    """Places of the slips, in rising order, that can be told from the answer and from each other.

    On an unusual machine a slip may come out right: with one flute, who forgets the flutes has the feed.
    """
    kept, places = [answer], []
    known = sorted((value, place) for place, value in enumerate(slips) if isinstance(value, float))
    for value, place in known if isinstance(answer, float) else []:
        if all(_differ(question, value, other) for other in kept):
            kept.append(value)
            places.append(place)
    return places


def _differ(question: Question, one: float, other: Value) -> bool:
    far = isinstance(other, float) and abs(one - other) >= APART * max(abs(one), abs(other))
    return far and _shown(question, one) != _shown(question, other)


def _shown(question: Question, value: Value) -> str:
    return show_value(value, question.unit, question.digits)


def _numbers(question: Question, scope: Mapping[str, Value]) -> tuple[tuple[str, ...], tuple[int, ...]]:
    """The answer and the slips that stand apart, in rising order."""
    answer = evaluate(Name("answer"), scope)
    slips = [evaluate(slip.expr, scope) for slip in question.slips]
    values = [answer, *(slips[place] for place in apart(question, answer, slips))]
    options = [_shown(question, value) for value in sorted(values, key=float)]  # type: ignore[arg-type]
    return tuple(options), (options.index(_shown(question, answer)),)


def _out_of_order(question: Question, seed: str) -> list[int]:
    """The steps shuffled, and never as they belong."""
    steps = seeded(range(len(question.steps)), f"{seed}:{question.id}")
    return steps[1:] + steps[:1] if steps == sorted(steps) else steps
