"""Rules of a good checklist, for every machine of the workshop and for one nobody knows.

From "A checklist for checklists" (Gawande and co-workers, read in a copy), Degani and Wiener, "Cockpit checklists",
Human Factors 35(2), 1993 (single pages read), and summaries of "The Checklist Manifesto", 2009; seconds for an
item and the list of verbs are our own. That a list fits its page is measured in a browser by the tests.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence

from generator.content_places import Placed
from generator.course import Course
from generator.expr import Node, evaluate, names
from generator.facts import FACTS
from generator.library import Library
from generator.lint.flaw import Facts, Flaw, error, machines, points, shown_items, told, typed, warning
from generator.lint.readability import words_of
from generator.model.checklist import Item, Point

FEWEST, MOST = 5, 9
CARD_MOST = 7
SECONDS_AN_ITEM, SECONDS_A_POINT = 6, 90
WORDS_CHECK, WORDS_WANT, LETTERS_CHECK = 12, 5, 70
MOST_RETURNS = 2
CARD = "emergency-card"
EMPTY_ANSWERS = {"checked", "set", "ok", "okay", "done", "yes", "fine", "good", "complete", "completed"}
VERBS = {
    "Check", "Clear", "Close", "Count", "Home", "Jog", "Lift", "Listen", "Look", "Look,", "Measure", "Open", "Point",
    "Press", "Pull", "Read", "Remove", "Run", "Say", "Switch", "Tighten", "Touch", "Turn", "Wait", "Wear", "Write",
    "Zero",
}  # fmt: skip
EYES_ONLY = ("Look", "Check")
IN_REACH = {"board", "clamp", "clamps", "guard", "guards", "lead", "nut", "plug", "stop", "switch", "work"}
VAGUE_VERBS = {"Check", "Verify", "Ensure", "Confirm"}
NUMBER = re.compile(r"\d[\d.,]*")
UNIT_AFTER = re.compile(r"\d[\d.,]*(\s| )?(mm|cm|m|s|min|h|rpm|kPa|N|A|V|%|°|dB|kg|W)\b|\d\s?%")


def length(course: Course) -> Iterator[Flaw]:
    """CL01: five to nine items at a pause, on every machine; of lines that exclude each other a machine has one."""
    for at, where, list_, point in points(course.library):
        for machine, facts in machines(course).items():
            shown = len(shown_items(point, course.library, facts))
            if (together := at_once(point, course.library, facts)) > MOST:
                says = f"'{point.title}' has {together} items on {machine}; {MOST} are the most a person works through"
                yield error("CL01", at, (*where, "items"), says)
            elif shown < FEWEST and list_ != CARD:
                says = f"'{point.title}' has {shown} items on {machine}; join it with another below {FEWEST}"
                yield warning("CL01", at, (*where, "items"), says)


def at_once(point: Point, library: Library, facts: Facts) -> int:
    """The most items of a point that one machine can have at once, where `facts` leave conditions unknown.

    Conditions on one and the same fact are tried with each of its words; all others may hold together.
    """
    free, by_fact = 0, defaultdict[str, list[Node]](list)
    for _, item in shown_items(point, library, facts):
        when = library.rules[item.rule].when if item.rule else None
        if when is not None and (fact := _only_fact(when)) and facts[fact] is None:
            by_fact[fact].append(when)
        else:
            free += 1
    return free + sum(_most_true(whens, fact) for fact, whens in by_fact.items())


def _only_fact(when: Node) -> str:
    """The one fact a condition asks for, if that takes one of a few words; else nothing."""
    asked = {name.id for name in names(when)}
    spec = FACTS[min(asked)] if len(asked) == 1 else None
    return spec.name if spec is not None and spec.kind == "text" and spec.choices else ""


def _most_true(whens: Sequence[Node], fact: str) -> int:
    """How many of the conditions hold together for the word of `fact` that suits them best."""
    return max(sum(evaluate(when, {fact: word}) is True for when in whens) for word in FACTS[fact].choices)


def wanted_state(course: Course) -> Iterator[Flaw]:
    """CL03: the answer is a state or a value, never "checked"."""
    for at, where, item in _items(course):
        if not typed(item.check).strip() or typed(item.want).strip(" .").lower() in {"", *EMPTY_ANSWERS}:
            yield error("CL03", at, (*where, "want"), "say the state or value wanted, such as 'flutes stand still'")


def killers_first(course: Course) -> Iterator[Flaw]:
    """CL04: killer items come first, unless the order has a reason."""
    for at, where, _, point in points(course.library):
        killers = [item.killer for item in point.items]
        if killers != sorted(killers, reverse=True) and not point.order_reason:
            yield error(
                "CL04",
                at,
                (*where, "items"),
                "a killer item stands after one that is none; put it first, or give order_reason",
            )


def a_killer_each(course: Course) -> Iterator[Flaw]:
    """CL05: a pause where nothing can kill is no pause."""
    for at, where, _, point in points(course.library):
        for machine, facts in machines(course).items():
            if not any(item.killer for _, item in shown_items(point, course.library, facts)):
                yield error(
                    "CL05",
                    at,
                    (*where, "items"),
                    f"'{point.title}' has no killer item on {machine}; drop the pause or mark one",
                )


def starts_with_an_act(course: Course) -> Iterator[Flaw]:
    """CL06, CL07: an item begins with something a hand, an eye or a voice does."""
    for at, where, _, point in points(course.library):
        firsts = [typed(item.check).split()[0] for item in point.items]
        for index, first in enumerate(firsts):
            if first not in VERBS:
                yield error(
                    "CL06",
                    at,
                    (*where, "items", index, "check"),
                    f"begins with '{first}'; begin with an act: {', '.join(sorted(VERBS))}",
                )
        if sum(first in VAGUE_VERBS for first in firsts) * 3 > len(firsts):
            yield warning(
                "CL07",
                at,
                (*where, "items"),
                "more than a third of the items say 'check'; say how: measure, point, pull",
            )


def one_act(course: Course) -> Iterator[Flaw]:
    """CL08: one act for each item."""
    for at, where, item in _items(course):
        found = re.search(r" and | or | then |;", re.sub(r'"[^"]*"', "", typed(item.check)))
        if found:
            yield error(
                "CL08", at, (*where, "check"), f"'{found.group().strip()}' joins two acts; make two items of them"
            )


def short(course: Course) -> Iterator[Flaw]:
    """CL09: twelve words to read, a few to answer."""
    for at, where, item in _items(course):
        for machine, facts in machines(course).items():
            check, want = told(item.check, facts), told(item.want, facts)
            if len(words_of(check)) > WORDS_CHECK or len(check) > LETTERS_CHECK:
                yield warning(
                    "CL09", at, (*where, "check"), f"is long on {machine}: '{check}'; {WORDS_CHECK} words are enough"
                )
            if len(words_of(want)) > WORDS_WANT:
                yield warning(
                    "CL09", at, (*where, "want"), f"is long on {machine}: '{want}'; {WORDS_WANT} words are enough"
                )


def says_what_to_do(course: Course) -> Iterator[Flaw]:
    """CL10: an item says what to do, not what to leave."""
    for at, where, item in _items(course):
        if re.match(r"(do not|don't|never|avoid|not)\b", typed(item.check), re.IGNORECASE):
            yield error("CL10", at, (*where, "check"), "says what not to do; say the act that keeps it from happening")


def numbers_have_units(course: Course) -> Iterator[Flaw]:
    """CL11: a typed number has its unit."""
    for at, where, item in _items(course):
        for key in ("check", "want"):
            text = re.sub(UNIT_AFTER, "", typed(getattr(item, key)))
            if NUMBER.search(text):
                yield error(
                    "CL11", at, (*where, key), "has a number without a unit; write the unit, or a value in {{ }}"
                )


def begins_and_ends(course: Course) -> Iterator[Flaw]:
    """CL12, CL13: a moment one can see, words that end it, and lessons behind its items."""
    for at, where, _, point in points(course.library):
        if not point.trigger.strip() or not point.done.strip():
            yield error("CL12", at, where, "a pause needs a trigger one can see, and words that end it")
    for at, where, item in _items(course):
        if item.lesson is None:
            yield error("CL13", at, where, "names no lesson; link the one that teaches it")


def quick(course: Course) -> Iterator[Flaw]:
    """CL14: a minute and a half at most; after that people cut corners."""
    for at, where, _, point in points(course.library):
        for machine, facts in machines(course).items():
            seconds = sum(SECONDS_AN_ITEM + (item.hold or 0) for _, item in shown_items(point, course.library, facts))
            if seconds > SECONDS_A_POINT:
                yield warning(
                    "CL14", at, where, f"takes about {seconds:.0f} s on {machine}; {SECONDS_A_POINT} s are the most"
                )


def said_once(course: Course) -> Iterator[Flaw]:
    """CL15: nothing twice at a pause, and nothing twice in a row of pauses without saying that it is a repeat."""
    for at, where, _, point in points(course.library):
        seen: set[str] = set()
        for index, item in enumerate(point.items):
            both = f"{typed(item.check)}|{item.rule}|{item.unless}"
            if both in seen:
                yield error("CL15", at, (*where, "items", index, "check"), "is asked twice at this pause")
            seen.add(both)
    for checklist in course.library.checklists.values():
        for number, (before, after) in enumerate(zip(checklist.points, checklist.points[1:], strict=False), 1):
            earlier = {typed(item.check): item.id for item in before.items}
            for index, item in enumerate(after.items):
                if item.repeat_of is None and (typed(item.check) in earlier):
                    place = ("points", number, "items", index, "check")
                    says = f"repeats '{earlier[typed(item.check)]}' of the pause before; say so with repeat_of"
                    yield error("CL15", course.library.placed["checklists", checklist.id], place, says)


def in_one_flow(course: Course) -> Iterator[Flaw]:
    """CL16: killer items, and then the others, follow the places of the machine without running to and fro."""
    for at, where, _, point in points(course.library):
        for machine, facts in machines(course).items():
            items = [item for _, item in shown_items(point, course.library, facts, certain=True)]
            returns = _returns([item for item in items if item.killer]) + _returns([i for i in items if not i.killer])
            if returns > MOST_RETURNS:
                says = f"goes back {returns} times to a place already left on {machine}; order by place"
                yield warning("CL16", at, (*where, "items"), says)


def _returns(items: list[Item]) -> int:
    """How often a walk along the items comes back to a place it has left."""
    places = [item.place for item in items if item.place]
    path = [place for place, before in zip(places, ["", *places], strict=False) if place != before]
    return len(path) - len(set(path))


def taught_and_tested(course: Course) -> Iterator[Flaw]:
    """CL17: what can kill is taught, and asked in a quiz that must be passed."""
    for at, where, item in _items(course):
        asked = course.library.questions_of(item.lesson or "")
        if item.killer and not any(question.critical for question in asked):
            yield error(
                "CL17",
                at,
                (*where, "lesson"),
                f"'{item.lesson}' asks no must-know question, so '{item.id}' is never tested",
            )


def words_of_the_glossary(course: Course) -> Iterator[Flaw]:
    """CL18: one thing, one word."""
    banned = {word.lower(): term.term for term in course.library.glossary.values() for word in term.not_called}
    for at, where, item in _items(course):
        for word, right in banned.items():
            if re.search(rf"\b{re.escape(word)}s?\b", typed(item.check) + " " + typed(item.want), re.IGNORECASE):
                yield error("CL18", at, (*where, "check"), f"says '{word}'; the word of this course is '{right}'")


def plain_letters(course: Course) -> Iterator[Flaw]:
    """CL19: no shouting and no slanted letters."""
    for at, where, item in _items(course):
        text = typed(item.check) + " " + typed(item.want)
        if re.search(r"(\b[A-Z]{2,}\b\s*){3,}|\*[^*]+\*|(^|\s)_[^_]+_", text):
            yield error(
                "CL19", at, (*where, "check"), "is set in capitals or italics; small upright letters read faster"
            )


def card_is_short(course: Course) -> Iterator[Flaw]:
    """CL20: the emergency card begins with the act to know by heart and has seven lines at most."""
    card = course.library.checklists.get(CARD)
    if card is None:
        return
    at = course.library.placed["checklists", CARD]
    first = typed(card.points[0].items[0].check)
    if not first.startswith("Press"):
        yield error(
            "CL20", at, ("points", 0, "items", 0, "check"), "the first line of the card is the stop; begin with 'Press'"
        )
    for machine, facts in machines(course).items():
        lines = sum(len(shown_items(point, course.library, facts)) for point in card.points)
        if lines > CARD_MOST:
            yield error("CL20", at, ("points",), f"the card has {lines} lines on {machine}; {CARD_MOST} at most")


def by_hand(course: Course) -> Iterator[Flaw]:
    """CL21: what a hand can test is not left to the eyes."""
    for at, where, item in _items(course):
        first, *rest = words_of(typed(item.check).lower())
        found = IN_REACH & set(rest)
        if first.capitalize() in EYES_ONLY and found:
            says = f"trusts the eyes with the {min(found)}; touch it, pull it or press it"
            yield warning("CL21", at, (*where, "check"), says)


def _items(course: Course) -> Iterator[tuple[Placed, tuple[str | int, ...], Item]]:
    for at, where, _, point in points(course.library):
        for index, item in enumerate(point.items):
            yield at, (*where, "items", index), item


RULES: tuple[Callable[[Course], Iterator[Flaw]], ...] = (
    length, wanted_state, killers_first, a_killer_each, starts_with_an_act, one_act, short, says_what_to_do,
    numbers_have_units, begins_and_ends, quick, said_once, in_one_flow, taught_and_tested, words_of_the_glossary,
    plain_letters, card_is_short, by_hand,
)  # fmt: skip
