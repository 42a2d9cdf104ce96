"""The whole course read as each machine's learner reads it, and as the learner of a machine nobody knows.

No step for a thing the machine lacks, no number without a unit, no value left open, and wherever a condition has no
answer, the words "If ..." in front of what it guards.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from generator.course import Course, demo_folder, load_course
from generator.expr import evaluate, parse
from generator.facts import FACTS
from generator.pages.build import build_site
from tests.visible import Visible, read

NOBODY = "a machine nobody knows"
DEMO = load_course(demo_folder())

# A sentence that stands on the page only for a machine that has what it speaks of: the condition over the facts,
# where it is looked for, and the sentence. A machine for which the condition is a plain no must not see it.
ONLY_WITH: list[tuple[str, str, str]] = [
    ("homing.kind != 'none'", "checklists/", r"\bHome the machine"),
    ("homing.kind == 'none'", "checklists/", "Point to the zero mark on the bed"),
    ("homing.kind != 'none'", "lessons/homing", "On this machine that corner is"),
    ("probe.kind != 'none'", "checklists/", "Remove the touch plate"),
    ("'vacuum' in hold_down.kinds", "checklists/", "vacuum (gauge|pump)"),
    ("'vacuum' in hold_down.kinds", "lessons/", "On this machine the gauge line"),
    (
        "'t-slots' in hold_down.kinds or 'threaded-inserts' in hold_down.kinds",
        "checklists/pre-run",
        "Measure the tallest clamp",
    ),
    ("spindle.switching == 'by-hand'", "checklists/", "Pull the spindle's plug"),
    ("spindle.switching == 'by-hand'", "lessons/", "the spindle is switched on by hand, just before"),
    ("spindle.switching == 'by-drive-panel'", "checklists/", "drive panel"),
    ("spindle.switching == 'by-drive-panel'", "lessons/first-start", "Press run on the drive panel"),
    ("spindle.switching != 'by-hand'", "checklists/", "Read the spindle start line"),
    (
        "spindle.switching == 'by-program' or spindle.switching == 'by-program-with-speed'",
        "lessons/first-start",
        "The program starts the spindle",
    ),
    ("stop.kind == 'none'", "lessons/", "This machine has no stop button"),
    (
        "stop.kind == 'motors-only' or stop.kind == 'none' or stop.kind == 'software-only'",
        "lessons/",
        "Your stop does not cut the spindle",
    ),
    (
        "stop.kind == 'motors-only' or stop.kind == 'none' or stop.kind == 'software-only'",
        "checklists/emergency",
        "Switch the spindle off as well",
    ),
    ("gantry.motors == 'two-not-squared'", "checklists/", "Measure the gantry gap"),
    ("limits.kind == 'none'", "lessons/", "Nothing stops this machine at its ends"),
    ("limits.kind != 'none'", "lessons/parts-and-axes", "Limits guard the ends"),
    ("controller.kind == 'hand-controller'", "lessons/", "runs from a hand controller"),
    (
        "controller.kind == 'streaming' or controller.kind == 'computer'",
        "checklists/",
        "Switch the computer's sleep off",
    ),
    (
        "tool_change.kind == 'skipped' or tool_change.kind == 'first-only'",
        "lessons/",
        "This controller skips tool changes",
    ),
    ("people.mode != 'alone'", "checklists/", "Say who keeps a hand at the stop"),
    ("people.mode == 'alone'", "checklists/", "Say your call time"),
    ("drive.z_falls", "lessons/recovery", "Z sinks here"),
    ("length(supply.shared_with) > 0", "lessons/recovery", "This machine shares its circuit"),
]


@pytest.fixture(scope="module")
def courses(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Course]:
    """The demo with each of its machines picked, and a workshop whose machine has a name and nothing else."""
    shop = tmp_path_factory.mktemp("shop")
    (shop / "machines").mkdir()
    (shop / "workshop.yml").write_text("name: Shed\n", encoding="utf-8")
    (shop / "machines" / "m.yml").write_text("id: m\nname: Nameless\n", encoding="utf-8")
    picked = {id_: replace(DEMO, default=id_) for id_ in DEMO.views}
    return picked | {NOBODY: load_course(shop)}


@pytest.fixture(scope="module")
def seen(courses: dict[str, Course]) -> dict[str, dict[str, Visible]]:
    """Every page of every course as its reader sees it."""
    return {who: {page.path: read(page.html) for page in build_site(course)[0]} for who, course in courses.items()}


WHO = [*sorted(DEMO.views), NOBODY]


@pytest.mark.parametrize("who", WHO)
def test_no_step_speaks_of_what_the_machine_lacks(
    who: str, courses: dict[str, Course], seen: dict[str, dict[str, Visible]]
) -> None:
    """Sentences about a part are seen only where the machine has the part, or where nobody knows."""
    facts = courses[who].view.facts
    for condition, where, sentence in ONLY_WITH:
        if evaluate(parse(condition), facts) is False:
            for path, page in seen[who].items():
                if path.startswith(where):
                    assert not re.search(sentence, page.text), (path, sentence, condition)


@pytest.mark.parametrize("case", ONLY_WITH, ids=[f"{n}-{case[2][:30]}" for n, case in enumerate(ONLY_WITH)])
def test_each_such_sentence_is_seen_by_some_machine(
    case: tuple[str, str, str], seen: dict[str, dict[str, Visible]]
) -> None:
    """The sentences looked for above exist; the machine nobody knows sees them all."""
    _, where, sentence = case
    text = " ".join(page.text for path, page in seen[NOBODY].items() if path.startswith(where))
    assert re.search(sentence, text)


@pytest.mark.parametrize("who", WHO)
def test_what_is_unknown_is_seen_behind_its_if(
    who: str, courses: dict[str, Course], seen: dict[str, dict[str, Visible]]
) -> None:
    """A block without an answer is shown with "If ..." or "Unless ..."; one with an answer has no lead."""
    facts, rules = courses[who].view.facts, courses[who].library.rules
    for path, page in seen[who].items():
        for block in page.blocks:
            answer = evaluate(rules[block.rule].when, facts)
            assert block.state == {True: "yes", False: "no", None: "unknown"}[answer], (path, block.rule)  # type: ignore[index]
            if answer is None and block.seen:
                word = "Unless" if block.unless else "If"
                assert block.lead.strip() == f"{word} {rules[block.rule].words}:", (path, block.rule, block.lead)
            if answer is not None and block.seen:
                assert answer is not block.unless, (path, block.rule)
                assert not block.lead.strip(), (path, block.rule)


def test_a_machine_nobody_knows_reads_more_than_any_other(seen: dict[str, dict[str, Visible]]) -> None:
    """Not knowing adds lines to the lists and never takes one away."""

    def items(who: str) -> int:
        return sum(
            block.seen for path, page in seen[who].items() if path.startswith("checklists/") for block in page.blocks
        )

    assert all(items(NOBODY) > items(who) for who in WHO if who != NOBODY)


@pytest.mark.parametrize("who", WHO)
def test_no_value_is_left_open(who: str, seen: dict[str, dict[str, Visible]]) -> None:
    """No hole, no None, no NaN, and no empty brackets where a value should stand."""
    for path, page in seen[who].items():
        text = page.marked
        found = re.search(
            r"\{\{|\}\}|\x01 ?None\b|\bnan\b|\bNaN\b|\bundefined\b|\bnull\b|\(\s*\)|\bTrue\b|\bFalse\b", text
        )
        assert not found, (path, text[max(0, found.start() - 60) : found.end() + 40])


@pytest.mark.parametrize("who", WHO)
def test_every_number_has_its_unit(who: str, seen: dict[str, dict[str, Visible]]) -> None:
    """A value that is a number alone is followed by the thing it counts or the unit it is in."""
    for path, page in seen[who].items():
        for found, after in page.bare_numbers:
            assert re.match(
                r"(inch|inches|flutes?|teeth|tooth|turns?|passes|pass|straps?|clamps?|tabs?|screws?|times|×|of|points?|"
                r"cutters?|steps?|presses|metres|notes?|millimetres?|holes?|people|motors?|marks?)\b",
                after,
            ), (path, found)


@pytest.mark.parametrize("who", sorted(DEMO.views))
def test_a_demo_machine_knows_what_its_lists_ask(who: str, seen: dict[str, dict[str, Visible]]) -> None:
    """The demo's machines and jobs are filled in: no list at the machine shows an unknown value."""
    for path, page in seen[who].items():
        if path.startswith("checklists/"):
            assert "not known yet" not in page.text, path


def test_the_machine_nobody_knows_really_has_no_facts(courses: dict[str, Course]) -> None:
    """Its name and id are all there is, besides the workshop's."""
    facts = courses[NOBODY].view.facts
    known = {name for name in FACTS if facts[name] not in (None, [])}
    assert known == {"machine.id", "machine.name", "workshop.name"}


@pytest.mark.parametrize("who", WHO)
def test_no_two_variants_contradict_each_other(
    who: str, courses: dict[str, Course], seen: dict[str, dict[str, Visible]]
) -> None:
    """Where the answer is known, a rule's yes side and its no side are never seen together."""
    facts, rules = courses[who].view.facts, courses[who].library.rules
    for path, page in seen[who].items():
        sides = {(block.rule, block.unless) for block in page.blocks if block.seen}
        for rule in {rule for rule, _ in sides}:
            both = (rule, True) in sides and (rule, False) in sides
            assert not both or evaluate(rules[rule].when, facts) is None, (path, rule)


def test_the_reader_sees_what_a_person_sees(tmp_path: Path) -> None:
    """Hidden parts are not read, conditional parts and values are found."""
    found = read(
        '<p>A <span class="os-value">12</span> flutes</p><p hidden>no</p>'
        '<div data-when="r" data-state="unknown"><p class="os-if">If so:</p>yes</div>'
        '<div data-when="s" data-state="no" hidden>never</div><svg><text>x</text></svg>'
    )
    assert found.text == "A 12 flutes If so: yes"
    assert [(b.rule, b.seen, b.lead) for b in found.blocks] == [("r", True, "If so:"), ("s", False, "")]
    assert len(found.bare_numbers) == 1
