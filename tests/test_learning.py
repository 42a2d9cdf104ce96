"""Drills, hazards, countries, stop maps, papers and reviews: whole, linked and told without a guess."""

from __future__ import annotations

import itertools
import re
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import yaml
from msgspec.structs import replace

from generator.content_checks_learning import best_path
from generator.course import Course, demo_folder, load_course
from generator.errors import InputFaults
from generator.facts import FACTS
from generator.lint.flaw import typed
from generator.load_content import content_folder, load_library
from generator.model.learning import CONTROL_LEVELS, DEBRIEF
from generator.model.lesson import Prose
from generator.model.machine import Machine
from generator.pages.build import build_site
from generator.pages.hazards import by_strongest, strongest_first
from generator.pages.legal import NOT_READ, figure, strictest
from generator.pages.paper import FINAL, FINAL_CRITICAL, FINAL_ITEMS, ITEMS, SHEETS, askable, papers, questions_for
from generator.pages.stop_map import stop_map_block
from generator.quiz import REVIEW_DAYS, can_be_asked, choose, guessing, needed, put
from generator.stop_map import GOES_ON, KEPT, LOST, NONE_HERE, STOPS, UNKNOWN, stop_map_of
from tests.html import Read

COVERAGE = yaml.safe_load((Path(__file__).parent / "data" / "coverage.yml").read_text(encoding="utf-8"))
SOUND: dict[str, Any] = {
    "id": "odd",
    "title": "Odd",
    "hazard": "work-thrown",
    "lessons": ["know-every-stop"],
    "scene": "s",
    "debrief": "d",
    "solved": {"scene": "s", "act": "a", "because": "b"},
    "nodes": [
        {
            "id": "start",
            "says": "s",
            "choices": [
                {"says": "a", "to": "second", "best": True, "outcome": "o"},
                {"says": "b", "to": "third", "best": False, "outcome": "o"},
            ],
        },
        {
            "id": "second",
            "says": "s",
            "choices": [
                {"says": "a", "to": "debrief", "best": True, "outcome": "o"},
                {"says": "b", "to": "third", "best": False, "outcome": "o"},
            ],
        },
        {
            "id": "third",
            "says": "s",
            "choices": [
                {"says": "a", "to": "debrief", "best": True, "outcome": "o"},
                {"says": "b", "to": "debrief", "best": False, "outcome": "o"},
            ],
        },
    ],
}


def faults_of(kind: str, item: dict[str, Any], tmp_path: Path) -> list[str]:
    """What loading the item as a workshop's own content complains of."""
    folder = tmp_path / "content" / kind
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "odd.yml").write_text(yaml.safe_dump([item]), encoding="utf-8")
    try:
        load_library([content_folder(), tmp_path / "content"])
    except InputFaults as refused:
        return [fault.says for fault in refused.faults if fault.file.endswith("odd.yml") and fault.line >= 1]
    return []


def changed(where: list[str | int], value: Any) -> dict[str, Any]:
    """The sound drill with one thing changed."""
    drill: dict[str, Any] = yaml.safe_load(yaml.safe_dump(SOUND))
    place: Any = drill
    for step in where[:-1]:
        place = place[step]
    place[where[-1]] = value
    return drill


def test_a_sound_drill_is_taken(tmp_path: Path) -> None:
    """The drill the faulty ones are made from has no fault itself."""
    assert faults_of("drills", SOUND, tmp_path) == []


@pytest.mark.parametrize(
    ("where", "value", "says"),
    [
        (["nodes", 0, "choices", 0, "to"], "secund", "did you mean 'second'"),
        (["nodes", 2, "choices", 0, "to"], "start", "leads back to itself"),
        (["nodes", 0, "choices", 1, "best"], True, "one choice is best, here 2 are"),
        (["nodes", 0, "choices", 0, "best"], False, "one choice is best, here 0 are"),
        (["nodes", 0, "choices", 1, "to"], "second", ""),
        (["nodes", 0, "choices"], SOUND["nodes"][0]["choices"][:1], "no decision"),
        (["nodes"], SOUND["nodes"][2:], "needs 3 nodes"),
        (["nodes", 0, "says"], "word " * 61, "61 words"),
        (["nodes", 1, "id"], "start", "same id"),
        (["lessons"], [], "belongs to a lesson"),
        (["lessons"], ["know-evry-stop"], "did you mean 'know-every-stop'"),
        (["hazard"], "work-throwm", "did you mean 'work-thrown'"),
        (["scene"], "{{ spindle.powr }}", "did you mean 'spindle.power'"),
        (["here"], [{"says": "x"}], "needs one of 'rule' and 'unless'"),
        (["rule"], "has-extracton", "did you mean 'has-extraction'"),
    ],
)
def test_a_maze_is_refused_with_its_fault(where: list[str | int], value: Any, says: str, tmp_path: Path) -> None:
    """Dead ends, circles, two best acts, long moments and broken links are told; what is sound is not."""
    found = faults_of("drills", changed(where, value), tmp_path)
    assert any(says in fault for fault in found) if says else not found, found


def test_a_node_nobody_reaches_is_told(tmp_path: Path) -> None:
    """A moment that no choice leads to is dead."""
    drill = changed(["nodes", 1, "choices", 1, "to"], "debrief")
    drill["nodes"][0]["choices"][1]["to"] = "second"
    assert any("no choice leads to 'third'" in says for says in faults_of("drills", drill, tmp_path))


def test_a_drill_of_one_decision_is_refused(tmp_path: Path) -> None:
    """The best way through has two decisions at least."""
    drill = changed(["nodes", 0, "choices", 0, "to"], "debrief")
    drill["nodes"][0]["choices"].append({"says": "c", "to": "second", "best": False, "outcome": "o"})
    assert any("needs 2" in says for says in faults_of("drills", drill, tmp_path))


def test_there_are_enough_drills_and_each_has_a_safe_way_out(course: Course) -> None:
    """Fourteen scenes or more; from any choice the best acts lead on to the debrief."""
    drills = course.library.drills
    assert len(drills) >= 14
    for drill in drills.values():
        assert len(best_path(drill)) >= 2, drill.id
        nodes = {node.id: node for node in drill.nodes}
        for node in drill.nodes:
            here, steps = node.id, 0
            while here != DEBRIEF and steps <= len(nodes):
                here = next(choice.to for choice in nodes[here].choices if choice.best)
                steps += 1
            assert here == DEBRIEF, (drill.id, node.id)


def test_the_best_act_is_not_always_in_the_same_place(course: Course) -> None:
    """Without script, too, the place of an act says nothing: none holds half of the best ones."""
    nodes = [node for drill in course.library.drills.values() for node in drill.nodes]
    for place in range(3):
        share = sum(node.choices[place].best for node in nodes) / len(nodes)
        assert 0.2 <= share <= 0.5, place


def test_the_hazards_of_the_drills_are_asked_about(course: Course) -> None:
    """Each drill's hazard has a question, so that the last paper can touch them all."""
    asked = {question.hazard for question in course.library.questions.values()}
    assert {drill.hazard for drill in course.library.drills.values()} <= asked


def test_the_register_is_long_and_every_line_has_a_source_and_an_answer(course: Course) -> None:
    """38 hazards or more, each with harm, causes, controls, a question left over, a lesson and a source."""
    hazards = course.library.hazards
    assert len(hazards) >= 38
    for hazard in hazards.values():
        assert hazard.harm, hazard.id
        assert hazard.causes, hazard.id
        assert hazard.residual.endswith(("?", ".")), hazard.id
        assert hazard.lessons, hazard.id
        assert hazard.sources, hazard.id


def test_controls_stand_from_strong_to_weak(course: Course) -> None:
    """On the page every hazard's controls follow the hierarchy, and so do the groups of hazards."""
    groups = by_strongest(list(course.library.hazards.values()))
    assert [level for level in CONTROL_LEVELS if level in groups] == list(groups)
    assert sum(len(found) for found in groups.values()) == len(course.library.hazards)
    for found in groups.values():
        for hazard in found:
            levels = [CONTROL_LEVELS.index(control.level) for control in strongest_first(hazard)]
            assert levels == sorted(levels), hazard.id


def test_a_hazard_is_held_to_its_links(tmp_path: Path) -> None:
    """A check that no list has, and a hazard without controls or lessons, are faults."""
    hazard = {
        "id": "odd",
        "title": "t",
        "harm": "h",
        "causes": ["c"],
        "controls": [],
        "residual": "r?",
        "checks": ["bed-bear"],
    }
    found = faults_of("hazards", hazard, tmp_path)
    assert any("did you mean 'bed-bare'" in says for says in found)
    assert any("without a control" in says for says in found)
    assert any("no lesson teaches it" in says for says in found)


def test_every_country_has_its_topics_with_source_and_address(course: Course) -> None:
    """Five countries; dust, noise and young people in each, every row with a place to look it up."""
    overlays = course.library.overlays
    assert set(overlays) >= {"uk", "eu", "us-federal", "ontario", "australia"}
    for overlay in overlays.values():
        assert {"regulator", "wood dust", "noise", "young persons"} <= {row.topic for row in overlay.rows}, overlay.id
        for row in overlay.rows:
            assert row.look_up.startswith("https://"), (overlay.id, row.what)
            assert row.source in course.library.sources


def test_a_figure_that_was_not_read_gives_no_number(course: Course) -> None:
    """An empty value says so, and shows nothing that looks like a limit."""
    rows = [row for overlay in course.library.overlays.values() for row in overlay.rows if row.value is None]
    assert rows
    assert {figure(row) for row in rows} == {NOT_READ}


def test_the_strictest_figure_is_the_lowest_of_its_kind(course: Course) -> None:
    """No country has a lower number of the same topic and unit than the one shown as target."""
    found = {(row.topic, row.unit): row.value for _, row in strictest(course.library.overlays.values())}
    assert found["wood dust", "mg/m3"] == 0.5
    assert found["noise", "dB"] == 80
    for overlay in course.library.overlays.values():
        for row in overlay.rows:
            if isinstance(row.value, float):
                assert row.value >= float(found[row.topic, row.unit] or 0), (overlay.id, row.what)  # type: ignore[arg-type]


def pages(course: Course) -> dict[str, Read]:
    return {page.path: Read(page.html) for page in build_site(course)[0]}


@pytest.fixture(scope="module")
def built(course: Course) -> dict[str, Read]:
    """Every page of the demo, as text."""
    return pages(course)


def test_the_workshops_own_country_is_marked_and_without_one_the_strictest_is_the_target(
    built: dict[str, Read], course: Course
) -> None:
    """The demo follows the United Kingdom; a workshop with no country is told to take the lowest figure."""
    assert "follows United Kingdom" in built["legal.html"].text
    assert "follows this page" in built["legal/uk.html"].text
    assert "follows this page" not in built["legal/eu.html"].text

    nowhere = course.home.workshop.model_copy(update={"country": None})
    homeless = replace(course, home=replace(course.home, workshop=nowhere))
    text = pages(homeless)["legal.html"].text
    assert "No country is set" in text
    assert "your target" in text


def test_every_page_with_a_legal_figure_defers(built: dict[str, Read]) -> None:
    """Whoever reads a legal figure also reads that the law and the workshop's rules come first."""
    legal = {path: page.text for path, page in built.items() if path.startswith("legal")}
    assert len(legal) > 1
    for path, text in legal.items():
        assert "come first" in text, path
        assert "legal advice" in text, path


def test_a_country_nobody_has_written_down_is_told(tmp_path: Path) -> None:
    """A misspelt country is a fault with a hint, since its figures would silently be missing."""
    folder = tmp_path / "shop"
    (folder / "machines").mkdir(parents=True)
    (folder / "workshop.yml").write_text("name: Shop\ncountry: ukk\n", encoding="utf-8")
    (folder / "machines" / "m.yml").write_text("id: m\nname: M\n", encoding="utf-8")
    with pytest.raises(InputFaults, match="ukk"):
        load_course(folder)


@pytest.mark.parametrize("entry", COVERAGE, ids=lambda entry: entry["item"].replace(" ", "-"))
def test_everything_published_procedures_ask_for_has_a_place(entry: dict[str, Any], course: Course) -> None:
    """Each item lives in a line of a checklist, a lesson that says it, or a rule the workshop wrote."""
    library = course.library
    known = {
        "check": {
            item.id for checklist in library.checklists.values() for point in checklist.points for item in point.items
        },
        "checklist": set(library.checklists),
        "lesson": set(library.lessons),
        "hazard": set(library.hazards),
        "calculator": set(library.calculators),
        "rule": {rule.id for rule in course.home.workshop.rules},
        "page": {"papers", "stop-map", "hazards", "rules"},
    }
    assert entry["place"]
    for place in entry["place"]:
        kind = next(iter(place))
        assert place[kind] in known[kind], place
        if kind == "lesson":
            body = library.lessons[place[kind]].body
            text = "\n".join(typed(block.text) for block in body.every() if isinstance(block, Prose))
            assert re.search(place["says"], text), place


def test_the_coverage_list_is_whole() -> None:
    """83 items found in documents, 19 found in none."""
    assert sum(entry["seen"] > 0 for entry in COVERAGE) == 83
    assert sum(entry["seen"] == 0 for entry in COVERAGE) == 19


def machine(**stop: Any) -> Machine:
    """A machine with one stop control as given, and extraction."""
    return Machine.model_validate(
        {
            "id": "m",
            "name": "M",
            "stop": {"controls": [{"name": "red button", **stop}]},
            "extraction": {"kind": "by-hand"},
        }
    )


def test_a_square_is_known_only_by_a_test_with_a_date() -> None:
    """What a profile says without a date is unknown; with one it stops what it names and lets the rest go on."""
    said = stop_map_of(machine(stops=["axes"], position_kept=True, tested="never")).rows[0].squares
    seen = stop_map_of(machine(stops=["axes"], position_kept=False, tested="2026-03-07")).rows[0].squares
    assert set(said.values()) == {UNKNOWN}
    assert seen == {"axes": STOPS, "spindle": GOES_ON, "extraction": GOES_ON, "position": LOST}


def test_a_map_is_ready_only_when_everything_that_moves_has_a_stop() -> None:
    """One button that stops the axes alone leaves spindle and extraction without a stop."""
    half = stop_map_of(machine(stops=["axes"], position_kept=True, tested="2026-03-07"))
    whole = stop_map_of(machine(stops=["axes", "spindle", "extraction"], position_kept=True, tested="2026-03-07"))
    assert half.unknown == 0
    assert half.never_stopped == ("spindle", "extraction")
    assert not half.ready
    assert whole.ready
    assert whole.rows[0].squares["position"] == KEPT


def test_a_machine_without_controls_gets_the_usual_ones_all_unknown() -> None:
    """Nobody named a stop: the map asks for all of them and is not ready."""
    found = stop_map_of(Machine(id="m", name="M"))
    assert not found.named
    assert not found.ready
    assert found.unknown == 4 * len(found.rows)


def test_a_machine_without_extraction_is_not_asked_about_it() -> None:
    """Where there is none, its squares are neither unknown nor missing."""
    bare = Machine.model_validate(
        {
            "id": "m",
            "name": "M",
            "extraction": {"kind": "none"},
            "stop": {
                "controls": [{"name": "b", "stops": ["axes", "spindle"], "position_kept": True, "tested": "2026-03-07"}]
            },
        }
    )
    found = stop_map_of(bare)
    assert found.rows[0].squares["extraction"] == NONE_HERE
    assert found.ready


def test_the_stop_map_stands_on_every_set_up_sheet_and_list(built: dict[str, Read], course: Course) -> None:
    """Each sheet that goes to the machine carries the machine's own grid."""
    for id_, view in course.jobs.items():
        assert f"Stop map of {view.machine.name}" in built[f"sheets/{id_}.html"].text
        assert "data-stop-map" in stop_map_block(view)
    for id_ in course.library.checklists:
        assert all(
            f"Stop map of {view.machine.name}" in built[f"checklists/{id_}.html"].text for view in course.views.values()
        )


def test_unknown_squares_are_marked_and_the_sheet_says_not_ready() -> None:
    """A map with unknown squares shows each of them and the word for it."""
    view = SimpleNamespace(machine=Machine(id="m", name="M"))
    html = stop_map_block(view)
    assert html.count('data-square="unknown"') == 20
    assert "Not ready" in Read(html).text


# The chance to pass by guessing: binomial tails, worked out beforehand for three and four options; the pass counts
# are 80 % rounded up.
@pytest.mark.parametrize(
    ("items", "enough", "three", "four"),
    [
        (4, 4, 0.012346, 0.003906),
        (5, 4, 0.045267, 0.015625),
        (5, 5, 0.004115, 0.000977),
        (6, 5, 0.017833, 0.004639),
        (8, 7, 0.002591, 0.000381),
        (10, 8, 0.003404, 0.000416),
        (12, 10, 0.000544, 0.000038),
    ],
)
def test_guessing_passes_as_seldom_as_the_binomial_says(items: int, enough: int, three: float, four: float) -> None:
    """Odds agree with the binomial distribution to six decimals."""
    assert guessing(items, enough, 3) == pytest.approx(three, abs=5e-7)
    assert guessing(items, enough, 4) == pytest.approx(four, abs=5e-7)


@pytest.mark.parametrize(("items", "right"), [(5, 4), (6, 5), (10, 8), (12, 10), (24, 20)])
def test_four_in_five_pass(items: int, right: int) -> None:
    """80 % rounded up, without the noise of 0.8 times five."""
    assert needed(items) == right


def test_reviews_come_after_growing_gaps() -> None:
    """Two days, a week, three weeks, two months, five months."""
    assert REVIEW_DAYS == (2, 7, 21, 60, 150)
    gaps = [after - before for before, after in itertools.pairwise(REVIEW_DAYS)]
    assert gaps == sorted(gaps)


def test_a_paper_has_as_many_must_knows_as_asked_for(course: Course) -> None:
    """Of a pool that is mostly not critical, as many critical ones come as are wanted, and never more are made up."""
    pool = list(course.library.questions.values())
    must = [question for question in pool if question.critical][:6]
    mixed = [*[question for question in pool if not question.critical][:60], *must]
    for wanted in (0, 3, 6, 9):
        chosen = choose(mixed, 12, f"seed-{wanted}", group=lambda question: "one", critical=wanted)
        assert len(chosen) == 12
        assert sum(question.critical for question in chosen) >= min(wanted, len(must))
    few = choose(mixed, 4, "seed", group=lambda question: "one", critical=4)
    assert all(question.critical for question in few)


def test_the_same_seed_gives_the_same_paper(course: Course) -> None:
    """Questions, order and numbers of every paper are the same in a second reading of the same content."""
    again = load_course(demo_folder())
    for paper in papers(course):
        first = [
            put(q, 0, course.view.facts, paper.form)
            for q in questions_for(paper, course, askable(course, course.view.facts))
        ]
        second = [
            put(q, 0, again.view.facts, paper.form)
            for q in questions_for(paper, again, askable(again, again.view.facts))
        ]
        assert [(p.stem, p.options, p.key) for p in first] == [(p.stem, p.options, p.key) for p in second]


def test_a_paper_has_its_number_of_questions_and_differs_from_its_twin(course: Course) -> None:
    """Ten for a module, 24 at the end with ten must-knows and every drill's hazard; a twin shares a third at most."""
    hazards = {drill.hazard for drill in course.library.drills.values()}
    for view in course.views.values():
        by_id: dict[str, list[set[str]]] = {}
        for paper in papers(course):
            chosen = questions_for(paper, course, askable(course, view.facts))
            by_id.setdefault(paper.id, []).append({question.id for question in chosen})
            if paper.id == FINAL:
                assert len(chosen) == FINAL_ITEMS
                assert sum(question.critical for question in chosen) >= FINAL_CRITICAL
                assert hazards <= {question.hazard for question in chosen}, view.id
            else:
                assert ITEMS - 4 <= len(chosen) <= ITEMS, (view.id, paper.id)
        for id_, (one, other) in by_id.items():
            assert len(one & other) <= len(one) / 3, (view.id, id_)


def test_a_form_gives_no_answer_and_its_key_agrees_with_it(course: Course) -> None:
    """The form has no why and no mark of the right option; the key's letter names an option of the form."""
    found = {page.path: page for page in build_site(course)[0]}
    for paper in papers(course):
        form, key = found[paper.form], found[paper.key]
        assert not key.in_menu
        assert not key.in_search
        assert paper.key.rpartition("/")[2] not in form.html
        assert "data-right" not in form.html
        for id_, view in course.views.items():
            for question in questions_for(paper, course, askable(course, view.facts)):
                item = put(question, SHEETS.index(paper.sheet), view.facts, paper.form)
                assert str(item.why) not in Read(form.html).text, (paper.id, question.id, id_)
                assert sorted(item.key) == list(range(len(item.options))) or item.key[0] < len(item.options)


def test_a_paper_asks_only_what_is_certain_for_the_machine(course: Course) -> None:
    """Nothing about a part the machine lacks, and nothing whose key depends on what nobody knows."""
    nothing = dict.fromkeys(FACTS)
    for facts in [*(view.facts for view in course.views.values()), nothing]:
        for paper in papers(course):
            for question in questions_for(paper, course, askable(course, facts)):
                assert can_be_asked(question, course.library.rules, facts), (paper.id, question.id)


def test_sign_and_order_of_steps_survive_the_shuffle(course: Course) -> None:
    """An order question is never shown in its right order, and its key puts it there."""
    for question in course.library.questions.values():
        if question.kind == "order":
            item = put(question, 0, course.view.facts, "any seed")
            assert item.options != question.steps
            assert tuple(item.options[place] for place in item.key) == question.steps
