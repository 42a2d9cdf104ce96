"""Machines nobody foresaw: legal profiles of extreme, missing and odd values. Our own content must bear with each."""

from __future__ import annotations

import json
import random
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from generator.course import Course, load_course
from generator.errors import InputFaults
from generator.expr.template import show_value
from generator.facts import FACTS
from generator.lint.run import lint_folder
from generator.model.question import Question
from generator.pages.build import build_site
from generator.quiz import APART, apart, can_be_asked, numbers_of, put
from tests.draws import number_between
from tests.visible import read

# Settings read from the machine's file as they are; the others are made from these, or are free words.
SECTIONS = [
    "spindle",
    "stop",
    "pause",
    "homing",
    "limits",
    "travel",
    "drive",
    "frame",
    "feed",
    "gantry",
    "hold_down",
    "bed",
    "probe",
    "tool_change",
    "controller",
    "supply",
    "extraction",
    "enclosure",
    "room",
    "people",
]
MADE = {"stop.controls", "stop.main_control", "stop.spindle_control", "stop.controls_tested"}
LISTS: dict[str, list[Any]] = {
    "spindle.dial_speeds": ["9000 rpm", "9100 rpm", "60000 rpm"],
    "spindle.dial_positions": ["A", "B", "C"],
    "spindle.collets": ["3 mm", "1/4 in"],
    "hold_down.kinds": ["vacuum", "tape", "threaded-inserts", "side-clamps"],
    "supply.shared_with": ["a kettle"],
}
SEEDS = range(12)


def drawn(chance: random.Random) -> dict[str, Any]:
    """A profile as its file would have it: a third of the settings missing, numbers at their ends as often as between."""
    data: dict[str, Any] = {"id": "odd", "name": "Odd"}
    for name in FACTS:
        section, _, key = name.partition(".")
        value = _value(name, chance) if section in SECTIONS and name not in MADE and "." not in key else None
        if value is not None and chance.random() > 1 / 3:
            data.setdefault(section, {})[key] = value
    return data


def _value(name: str, chance: random.Random) -> Any:
    spec = FACTS[name]
    if name in LISTS:
        return LISTS[name]
    if spec.choices and spec.kind == "text":
        return chance.choice(spec.choices)
    if spec.kind == "bool":
        return chance.random() < 0.5
    if spec.kind != "number":
        return None
    value = number_between(spec.low or 0.0, spec.high or 100.0, 0.0, chance)
    return round(value) or 1 if spec.unit in ("1", "") else f"{value:.6f} {spec.unit}"


def accepted(folder: Path, seed: int) -> Course:
    """The first profile of the seed that the model takes: settings may contradict each other, and then it is refused."""
    chance = random.Random(seed)
    (folder / "machines").mkdir()
    (folder / "workshop.yml").write_text("name: Shed\n", encoding="utf-8")
    for _ in range(2000):
        (folder / "machines" / "odd.yml").write_text(json.dumps(drawn(chance)), encoding="utf-8")
        try:
            return load_course(folder)
        except InputFaults:
            continue
    raise AssertionError("no profile was accepted")


@pytest.mark.parametrize("seed", SEEDS)
def test_an_odd_machine_has_no_fault_to_mend_in_our_content(seed: int, tmp_path: Path) -> None:
    """Whatever the profile, `lint` tells its people nothing about files they did not write."""
    course = accepted(tmp_path, seed)
    assert len(course.view.document) > 3
    assert [str(flaw) for flaw in lint_folder(tmp_path)] == []


@pytest.mark.parametrize("seed", SEEDS)
def test_an_odd_machine_is_asked_nothing_ambiguous(seed: int, tmp_path: Path) -> None:
    """Every question put to it has one key, two answers at least, and no two numbers nearer than a tenth."""
    course = accepted(tmp_path, seed)
    facts, rules = course.view.facts, course.library.rules
    asked = [question for question in course.library.questions.values() if can_be_asked(question, rules, facts)]
    assert len(asked) > 100
    for question in asked:
        for form in range(len(question.forms) + 1):
            on_paper = put(question, form, facts, "seed")
            assert len(set(on_paper.options)) == len(on_paper.options) >= 2, question.id
            if question.kind == "numeric":
                _stand_apart(question, course, form)


def _stand_apart(question: Question, course: Course, form: int) -> None:
    answer, slips = numbers_of(question, course.view.facts, form)
    values = sorted(float(value) for value in (answer, *(slips[at] for at in apart(question, answer, slips))))  # type: ignore[arg-type]
    for low, high in pairwise(values):
        assert high - low >= APART * max(abs(low), abs(high)), question.id
        assert show_value(low, question.unit, question.digits) != show_value(high, question.unit, question.digits)


@pytest.mark.parametrize("seed", list(SEEDS)[:3])
def test_an_odd_machine_gets_its_whole_course(seed: int, tmp_path: Path) -> None:
    """All pages are built, and none of them shows a hole where a value should stand."""
    pages, _ = build_site(accepted(tmp_path, seed))
    for page in pages:
        text = read(page.html).marked
        found = re.search(r"\{\{|\}\}|\x01 ?None\b|\bnan\b|\bNaN\b|\binf\b|\bundefined\b", text)
        assert not found, (page.path, text[max(0, found.start() - 60) : found.end() + 40])
