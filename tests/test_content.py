"""What authors live by: every file of content loads, every condition has two sides, every example comes out."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path

import pytest

from generator.calc import solve
from generator.content_names import figure_kinds
from generator.course import Course, content_folders, demo_folder, load_course
from generator.errors import InputFaults
from generator.expr import Value, evaluate, names
from generator.facts import FACTS
from generator.load_content import content_folder, load_library
from generator.model.content import Rule

COURSE = load_course()
RULES = COURSE.library.rules


def candidates(name: str) -> list[Value]:
    """Values of a fact worth trying: what the demo machines have, every choice, both ends of a range."""
    spec = FACTS[name]
    found: list[Value] = [view.facts[name] for view in COURSE.views.values()]
    if spec.kind == "bool":
        found += [True, False]
    if spec.kind == "text":
        kinds = {"cutter.kind": COURSE.library.cutters, "stock.material": COURSE.library.materials}
        found += [*spec.choices, *kinds.get(name, ())] or ["anything"]
    if spec.kind == "number":
        found += [float(value) for value in (spec.low, spec.high) if value is not None]
    if spec.kind == "texts":
        found += [[choice] for choice in spec.choices] + [list(spec.choices), []]
    if spec.kind == "numbers":
        found += [[], [6.0]]
    return found


def machines_around(rule: Rule) -> Iterator[tuple[str, dict[str, Value]]]:
    """The demo machines, then each of them with the rule's facts changed, and a word on what was changed."""
    for id_, view in COURSE.views.items():
        yield id_, dict(view.facts)
    used = sorted({name.id for name in names(rule.when)})
    for id_, view in COURSE.views.items():
        for values in itertools.islice(itertools.product(*(candidates(name) for name in used)), 5000):
            changed = dict(zip(used, values, strict=True))
            yield f"{id_} with {changed}", {**view.facts, **changed}


@pytest.mark.parametrize("id_", sorted(RULES))
def test_every_condition_has_a_machine_that_shows_it_and_one_that_does_not(id_: str) -> None:
    """A condition that no machine can meet, or that every machine meets, is not a condition."""
    rule = RULES[id_]
    shows = next((who for who, facts in machines_around(rule) if evaluate(rule.when, facts) is True), None)
    hides = next((who for who, facts in machines_around(rule) if evaluate(rule.when, facts) is False), None)
    assert shows is not None, "no machine shows it"
    assert hides is not None, "no machine hides it"


@pytest.mark.parametrize("id_", sorted(RULES))
def test_a_machine_nobody_knows_hides_nothing_that_a_condition_guards(id_: str) -> None:
    """With every fact unknown a condition is never a plain no, so its careful side is shown."""
    nothing: dict[str, Value] = dict.fromkeys(FACTS)
    assert evaluate(RULES[id_].when, nothing) is not False


@pytest.mark.parametrize("id_", sorted(RULES))
def test_every_condition_is_used(id_: str) -> None:
    """A condition nothing refers to is dead."""
    text = "".join(path.read_text(encoding="utf-8") for path in sorted(content_folder().rglob("*"))
                   if path.suffix in {".yml", ".md"} and path.parent.name != "rules")  # fmt: skip
    assert any(f"{mark}{id_}" in text for mark in ("rule: ", "when: ", "unless: ")), f"nothing uses {id_}"


@pytest.mark.parametrize("id_", sorted(COURSE.library.calculators))
def test_every_worked_example_comes_out(id_: str) -> None:
    """Each example's inputs give its results, to the tolerance it states."""
    calculator = COURSE.library.calculators[id_]
    for example in calculator.examples:
        answer = solve(calculator, dict.fromkeys(FACTS), dict(example.inputs))
        for name, wanted in example.expect.items():
            found = answer[name]
            if isinstance(wanted, float):
                assert found == pytest.approx(wanted, rel=example.tolerance, abs=1e-9), (name, example)
            else:
                assert found == wanted, (name, example)


@pytest.mark.parametrize("id_", sorted(COURSE.library.questions))
def test_every_question_has_one_right_answer_on_every_demo_machine(id_: str) -> None:
    """Machine-dependent keys hold for exactly one option, and no slip gives the number that is right."""
    from generator.expr.substitute import substitute
    from generator.quiz import FORMS, local_names

    question = COURSE.library.questions[id_]
    for view in COURSE.views.values():
        if question.rule and evaluate(RULES[question.rule].when, view.facts) is False:
            continue
        if any(option.correct_when is not None for option in question.options):
            truths = [evaluate(option.correct_when, view.facts) if option.correct_when is not None else option.correct
                      for option in question.options]  # fmt: skip
            assert truths.count(True) <= 1, (view.id, truths)
            assert truths.count(True) == 1 or None in truths, (view.id, truths)
        for form in range(min(len(question.forms) + 1, len(FORMS))) if question.answer is not None else ():
            local = local_names(question, form)
            answer = evaluate(local["answer"], view.facts)
            assert isinstance(answer, float), (view.id, form)
            slips = [evaluate(substitute(slip.expr, local), view.facts) for slip in question.slips]
            for slip in slips:
                assert isinstance(slip, float), (view.id, form, slips)
                assert abs(slip - answer) > 0.05 * abs(answer), (view.id, form, answer, slips)


def test_no_lesson_needs_one_that_comes_later(course: Course) -> None:
    """The order of the files is an order in which the course can be taken."""
    seen: set[str] = set()
    for id_, lesson in course.library.lessons.items():
        assert set(lesson.head.needs) <= seen, f"{id_} needs {set(lesson.head.needs) - seen}"
        seen.add(id_)


def test_every_figure_is_shown_somewhere(course: Course) -> None:
    """A drawing that no page shows is dead."""
    library = course.library
    used = {calculator.figure for calculator in library.calculators.values()}
    used |= {lesson.head.figure for lesson in library.lessons.values()}
    bodies = [lesson.body for lesson in library.lessons.values()] + list(library.pages.values())
    used |= {block.id for body in bodies for block in body.every() if getattr(block, "kind", "") == "figure"}
    assert set(library.figures) <= used


def test_a_figure_may_use_what_its_calculator_gives(course: Course) -> None:
    """The names of a calculator are known in its own drawing and in no other."""
    assert "feed" in figure_kinds("chip-load", course.library.calculators)
    assert "feed" not in figure_kinds("no-such-figure", course.library.calculators)


@pytest.mark.parametrize(
    ("kind", "text", "says"),
    [
        ("rules", "- {id: odd, when: spindle.switchin == 'x', words: w, reason: r}", "did you mean 'spindle.switching'"),
        ("rules", "- {id: odd, when: spindle.power, words: w, reason: r}", "gives a number where a bool is wanted"),
        ("rules", "- {id: odd, when: 'a % 2', words: w, reason: r}", "not part of the expression language"),
        ("rules", "- {id: Odd Id, when: 'true', words: w, reason: r}", "small letters, digits"),
        ("rules", "- {id: a, when: 'true', words: w, reason: r}\n- {id: a, when: 'true', words: w, reason: r}", "already used"),
        ("glossary", "- {id: w, term: t, means: m, lesson: chip-lode}", "did you mean 'chip-load'"),
        ("glossary", "- {id: w, term: t, meens: m}", "did you mean 'means'"),
        ("lessons", "no front matter", "starts with '---'"),
        ("lessons", "---\nid: x\n---\ntext\n<!-- when: no-such-rule -->\nmore\n", "never ended"),
        ("questions", "- {id: q, lesson: chip-load, kind: choice, bloom: recall, stem: A?, options: []}", "three options"),
    ],
)  # fmt: skip
def test_a_fault_in_content_is_told_with_its_file_and_the_mend(kind: str, text: str, says: str, tmp_path: Path) -> None:
    """A workshop's own content is held to the same rules, and the fault names the file and line."""
    folder = tmp_path / "content" / kind
    folder.mkdir(parents=True)
    file = folder / ("odd.md" if kind == "lessons" else "odd.yml")
    file.write_text(text)

    with pytest.raises(InputFaults) as refused:
        load_library([content_folder(), tmp_path / "content"])

    assert any(says in fault.says and fault.file == str(file) and fault.line >= 1 for fault in refused.value.faults), (
        refused.value.faults
    )


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    """Faults in three files come in one reading."""
    for name in ("a", "b", "c"):
        folder = tmp_path / "content" / "rules"
        folder.mkdir(parents=True, exist_ok=True)
        (folder / f"{name}.yml").write_text(f"id: {name}\nwhen: nonsense.{name}\nwords: w\nreason: r\n")
    with pytest.raises(InputFaults) as refused:
        load_library([content_folder(), tmp_path / "content"])
    assert len({fault.file for fault in refused.value.faults}) == 3


def test_the_demo_has_no_content_of_its_own() -> None:
    """The demo shows what the package gives, nothing more."""
    assert list(content_folders(demo_folder())) == [content_folder()]
