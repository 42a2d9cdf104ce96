"""What lists, drawings and sheets say to machines of different kinds, where a wrong word could hurt."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from generator.course import Course
from generator.expr import evaluate
from generator.facts import FACTS
from generator.figures import draw
from generator.lint.flaw import NOBODY_KNOWS, machines, shown_items
from generator.pages.build import build_site
from generator.pages.words import kind_words


@pytest.mark.parametrize(("kind", "asked"), [("full", True), ("interlocked", True), (None, True), ("none", False)])
def test_a_machine_with_a_door_is_asked_to_close_it_before_the_start(
    kind: str | None, asked: bool, course: Course
) -> None:
    """The line stands right before the hand goes to the stop, also where nobody knows whether there is a door."""
    point = next(p for p in course.library.checklists["pre-run"].points if p.id == "before-first-plunge")
    facts = {**dict.fromkeys(FACTS), "enclosure.kind": kind}
    ids = [item.id for _, item in shown_items(point, course.library, facts)]
    assert ("door-closed" in ids) is asked
    assert ids[-1] == "hand-on-stop"
    assert not asked or ids[-2] == "door-closed"


def test_the_stop_map_page_warns_of_a_loose_nut(course: Course) -> None:
    """Who reads only the page, and not the lesson, is told what to do with nut and collet before the air test."""
    page = next(page for page in build_site(course)[0] if page.path == "stop-map.html")
    assert "loose nut comes off" in page.html
    assert "plain pin" in page.html


def test_the_stop_map_drawing_speaks_in_sentences_on_every_machine(course: Course) -> None:
    """Its alternative text has no bare settings in it, and an unknown machine is told that it is unknown."""
    figure = course.library.figures["stop-map"]
    for machine, facts in machines(course).items():
        alt = draw(figure, facts).partition('aria-label="')[2].partition('"')[0]
        assert "pause is" not in alt
        assert not any(word in alt for word in ("motion-only", "motion only", "software only", " lifts."))
        assert ("stops is not known" in alt) is (machine == NOBODY_KNOWS)


def test_jogging_is_taught_as_the_isolator_of_the_machine_allows(course: Course) -> None:
    """Own isolator, one for all, or nobody knows: then both are shown, each with its If."""
    rules = course.library.rules
    for known, both in ((True, (True, False)), (False, (False, True)), (None, (None, None))):
        facts = {**dict.fromkeys(FACTS), "spindle.isolates_alone": known}
        assert (evaluate(rules["isolates-alone"].when, facts), evaluate(rules["one-isolator"].when, facts)) == both
    pages = {machine: build_site(replace(course, default=machine))[0] for machine in ("wren", "heron")}
    texts = {m: next(p.html for p in found if p.path == "lessons/zero-in-x-and-y.html") for m, found in pages.items()}
    assert 'data-when="one-isolator" data-state="no" hidden' in texts["wren"]
    assert 'data-when="isolates-alone" data-state="no" hidden' in texts["heron"]


def test_kinds_of_cutter_are_spelt_one_way() -> None:
    """Sheets write up-cut and down-cut as the lessons do, and say where a kind is not known."""
    assert kind_words("upcut-spiral") == "up-cut spiral"
    assert kind_words("downcut-spiral") == "down-cut spiral"
    assert kind_words("ball-nose") == "ball nose"
    assert kind_words(None) == "not known"
