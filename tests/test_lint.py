"""Every rule of content: it fires on a flaw, is silent beside it, and the course as it stands has none."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from msgspec.structs import replace

from generator.cli import main
from generator.course import Course, load_course
from generator.lint import bank, checklists, numbers, questions, texts
from generator.lint.flaw import Flaw, without_markdown
from generator.lint.readability import count, flesch_ease, flesch_grade, syllables_of
from generator.lint.run import FAMILIES, lint, lint_folder
from generator.load_content import model_of
from generator.model.lesson import Lesson, LessonHead, parse_body

COURSE = load_course()
Rule = Callable[[Course], Iterator[Flaw]]
Path_ = tuple[str | int, ...]


def with_library(**kinds: Any) -> Course:
    """The demo course with some kinds of content replaced."""
    return replace(COURSE, library=replace(COURSE.library, **kinds))


def changed(data: Any, where: Path_, value: Any) -> Any:
    """A copy of plain data with one value changed, added, or with `...` taken out."""
    fresh = copy.deepcopy(data)
    place = fresh
    for step in where[:-1]:
        place = place[step]
    if value is ...:
        del place[where[-1]]
    else:
        place[where[-1]] = value
    return fresh


def with_item(kind: str, id_: str, *changes: tuple[Path_, Any]) -> Course:
    """The demo course with one item of content changed, validated as if it had been read."""
    data = COURSE.library.placed[kind, id_].item
    for where, value in changes:
        data = changed(data, where, value)
    item = model_of(kind).model_validate(data)
    return with_library(**{kind: {**getattr(COURSE.library, kind), id_: item}})


def with_lesson(id_: str, body: str, **head: Any) -> Course:
    """The demo course with one lesson's text and front matter changed."""
    data = {**COURSE.library.placed["lessons", id_].item, **head}
    parsed, faults = parse_body(body, "odd.md", 1)
    assert not faults
    lesson = Lesson(LessonHead.model_validate(data), parsed)
    return with_library(lessons={**COURSE.library.lessons, id_: lesson})


ITEM: Path_ = ("points", 0, "items", 0)
EASY = "You look at it. You say what you see. "


def check(text: str) -> Course:
    """The first line of the end-of-job list with other words to do."""
    return with_item("checklists", "end-of-job", ((*ITEM, "check"), text))


def want(text: str) -> Course:
    """The same with another state to see."""
    return with_item("checklists", "end-of-job", ((*ITEM, "want"), text))


def longer(count_: int, *rules: str) -> Course:
    """The first pause with so many lines, the last of them under these rules."""
    first = COURSE.library.placed["checklists", "end-of-job"].item["points"][0]["items"][0]
    items = [
        {**first, "id": f"line-{number}", "check": f"Press knob {'abcdefghijkl'[number]}"} for number in range(count_)
    ]
    for item, rule in zip(reversed(items), rules, strict=False):
        item["rule"] = rule
    return with_item("checklists", "end-of-job", (("points", 0, "items"), items))


def places(*names: str) -> Course:
    """The first pause with its lines at these places."""
    first = COURSE.library.placed["checklists", "end-of-job"].item["points"][0]["items"][0]
    items = [
        {**first, "id": f"line-{number}", "check": f"Press knob {'abcdefghijkl'[number]}", "place": name}
        for number, name in enumerate(names)
    ]
    return with_item("checklists", "end-of-job", (("points", 0, "items"), items))


def twice(check_: str, repeat_of: str | None) -> Course:
    """The second pause beginning with a line, said to be a repeat or not, after a first pause that has it."""
    first = COURSE.library.placed["checklists", "end-of-job"].item["points"][0]["items"][0]
    line = {**first, "id": "again", "check": check_} | ({"repeat_of": repeat_of} if repeat_of else {})
    return with_item("checklists", "end-of-job", (("points", 1, "items", 0), line))


QUESTION = "board-unknown"


def asked(*changes: tuple[Path_, Any]) -> Course:
    """One must-know question with three options, changed."""
    return with_item("questions", QUESTION, *changes)


def option(place: int, key: str, value: Any) -> Course:
    """The same with one option changed; the second is right."""
    return asked((("options", place, key), value))


def keyed(pattern: Callable[[int], int]) -> Course:
    """The whole bank with the key of the n-th fixed question moved to a place."""
    moved = {}
    for number, question in enumerate(q for q in COURSE.library.questions.values() if q.kind == "choice"):
        if sum(o.correct for o in question.options) != 1:
            continue
        options = sorted(question.options, key=lambda o: not o.correct)
        place = pattern(number)
        moved[question.id] = question.model_copy(
            update={"options": (*options[1 : place + 1], options[0], *options[place + 1 :])}
        )
    return with_library(questions={**COURSE.library.questions, **moved})


def long_keys(share: float) -> Course:
    """The whole bank with the right option longest in a share of its questions, and shortest in the rest."""
    from generator.expr import parse_template

    made = {}
    for number, question in enumerate(q for q in COURSE.library.questions.values() if q.kind == "choice"):
        word = "a very long answer indeed, it is" if number % 10 < 10 * share else "short"
        options = tuple(
            o.model_copy(update={"text": parse_template(word if o.correct else "an answer of some length")})
            for o in question.options
        )
        made[question.id] = question.model_copy(update={"options": options})
    return with_library(questions={**COURSE.library.questions, **made})


def bloom(word: str, most: int = 1000) -> Course:
    """The questions of one module with another level asked for."""
    made = {}
    for question in COURSE.library.questions.values():
        if COURSE.library.lessons[question.lesson].head.module == "numbers" and len(made) < most:
            made[question.id] = question.model_copy(update={"bloom": word})
    return with_library(questions={**COURSE.library.questions, **made})


def without_questions(lesson: str, left: int) -> Course:
    """The bank with only so many questions of a lesson."""
    keep = {question.id for question in COURSE.library.questions_of(lesson)[:left]}
    kept = {id_: q for id_, q in COURSE.library.questions.items() if q.lesson != lesson or id_ in keep}
    return with_library(questions=kept)


NUMERIC = "units-quarter-radius"


def numeric(*changes: tuple[Path_, Any]) -> Course:
    """One question with a number to work out, changed."""
    return with_item("questions", NUMERIC, *changes)


def term(*changes: tuple[Path_, Any]) -> Course:
    """The glossary with its word for the cutter changed."""
    return with_item("glossary", "cutter", *changes)


def orphan() -> Course:
    """A course in which one lesson is named by nothing else."""
    library = COURSE.library
    lesson = library.lessons["start-here"]
    alone = Lesson(lesson.head.model_copy(update={"id": "nobody-comes"}), lesson.body)
    placed = {**library.placed, ("lessons", "nobody-comes"): library.placed["lessons", "start-here"]}
    return with_library(lessons={**library.lessons, "nobody-comes": alone}, placed=placed)


def source(**changes: Any) -> Course:
    """The sources with one changed."""
    return with_item("sources", "hse-wis22", *(((key,), value) for key, value in changes.items()))


def card(check_: str) -> Course:
    """The emergency card with another first line."""
    return with_item("checklists", "emergency-card", ((*ITEM, "check"), check_))


def drill(outcome: str) -> Course:
    """A drill with another outcome of its first act."""
    return with_item("drills", "work-shifts", (("nodes", 0, "choices", 0, "outcome"), outcome))


# Rule, what makes it fire, what stands right beside that and is fine.
CASES: list[tuple[str, Rule, Course, Course]] = [
    ("CL01", checklists.length, longer(10), longer(9)),
    ("CL01", checklists.length, longer(4), longer(5)),
    ("CL01", checklists.length, longer(10, "has-clamps", "vacuum-bed"), longer(10, "hand-switched", "drive-panel")),
    ("CL01", checklists.length, longer(10, "hand-switched", "started-by-you"), longer(10, "has-door", "no-enclosure")),
    ("CL03", checklists.wanted_state, want("Checked"), want("checked, and the date written")),
    (
        "CL04",
        checklists.killers_first,
        with_item("checklists", "end-of-job", ((*ITEM, "killer"), False)),
        with_item("checklists", "end-of-job", ((*ITEM, "killer"), False), (("points", 0, "order_reason"), "by place")),
    ),
    (
        "CL05",
        checklists.a_killer_each,
        with_item("checklists", "hand-over", *(((*("points", 1, "items", n), "killer"), False) for n in range(7))),
        with_item("checklists", "hand-over", *(((*("points", 1, "items", n), "killer"), n == 0) for n in range(7))),
    ),
    ("CL06", checklists.starts_with_an_act, check("The spindle stands still"), check("Touch the stop")),
    (
        "CL07",
        checklists.starts_with_an_act,
        with_item(
            "checklists",
            "end-of-job",
            *(((*("points", 0, "items", n), "check"), f"Check part {'abcd'[n]}") for n in range(4)),
        ),
        with_item(
            "checklists",
            "end-of-job",
            *(((*("points", 0, "items", n), "check"), f"Check part {'abcd'[n]}") for n in range(3)),
        ),
    ),
    ("CL08", checklists.one_act, check("Press the stop and pull the plug"), check('Read "stop and wait" aloud')),
    (
        "CL09",
        checklists.short,
        check("Look at one two three four five six seven eight nine ten eleven"),
        check("Look at one two three four five six seven eight nine ten"),
    ),
    ("CL09", checklists.short, want("one two three four five six"), want("one two three four five")),
    ("CL10", checklists.says_what_to_do, check("Never touch the cutter"), check("Touch nothing that turns")),
    ("CL11", checklists.numbers_have_units, check("Jog to 10 above the board"), check("Jog to 10 mm above the board")),
    (
        "CL12",
        checklists.begins_and_ends,
        with_item("checklists", "end-of-job", (("points", 0, "done"), " ")),
        with_item("checklists", "end-of-job", (("points", 0, "done"), "Say done")),
    ),
    (
        "CL13",
        checklists.begins_and_ends,
        with_item("checklists", "end-of-job", ((*ITEM, "lesson"), ...)),
        with_item("checklists", "end-of-job", ((*ITEM, "lesson"), "recovery")),
    ),
    (
        "CL14",
        checklists.quick,
        with_item("checklists", "end-of-job", ((*ITEM, "hold"), 60)),
        with_item("checklists", "end-of-job", ((*ITEM, "hold"), 30)),
    ),
    (
        "CL15",
        checklists.said_once,
        with_item("checklists", "end-of-job", (("points", 0, "items", 1, "check"), "Look at the flutes")),
        with_item("checklists", "end-of-job", (("points", 0, "items", 1, "check"), "Look at the flutes again")),
    ),
    ("CL15", checklists.said_once, twice("Look at the flutes", None), twice("Look at the flutes", "end-spindle")),
    (
        "CL16",
        checklists.in_one_flow,
        places("bed", "panel", "bed", "panel", "bed"),
        places("bed", "bed", "panel", "panel", "bed"),
    ),
    (
        "CL17",
        checklists.taught_and_tested,
        with_item("checklists", "end-of-job", ((*ITEM, "lesson"), "chip-load")),
        with_item("checklists", "end-of-job", ((*ITEM, "lesson"), "know-every-stop")),
    ),
    (
        "CL18",
        checklists.words_of_the_glossary,
        with_item("glossary", "spindle", (("not_called",), ["flute"])),
        with_item("glossary", "spindle", (("not_called",), ["mandrel"])),
    ),
    ("CL19", checklists.plain_letters, check("Press THE RED STOP"), check("Press RED")),
    ("CL20", checklists.card_is_short, card("Look round"), card("Press stop")),
    ("CL21", checklists.by_hand, check("Look at the clamps"), check("Pull each of the clamps")),
    ("CL21", checklists.by_hand, check("Check the plug"), check("Look at the flutes")),
    (
        "Q01",
        questions.option_count,
        asked((("options",), [*COURSE.library.placed["questions", QUESTION].item["options"]] * 2)),
        COURSE,
    ),
    (
        "Q02",
        questions.one_key,
        asked(
            (("options", 0), {"text": "One", "correct_when": "true", "why": "w"}),
            (("options", 1), {"text": "Two", "correct_when": "true", "why": "w"}),
        ),
        asked(
            (("options", 0), {"text": "One", "correct_when": "true", "why": "w"}),
            (("options", 1), {"text": "Two", "correct_when": "false", "why": "w"}),
        ),
    ),
    ("Q03", questions.no_all_of_these, option(0, "text", "All of the above"), option(0, "text", "All of it, sanded")),
    (
        "Q04",
        questions.asked_plainly,
        asked((("stem",), "A board is old. Which of these is not right for it here?")),
        asked((("stem",), "A board is not new. Which of these is right for it?")),
    ),
    (
        "Q05",
        questions.whole_question,
        asked((("stem",), "An old board")),
        asked((("stem",), "What do you do with an old board?")),
    ),
    (
        "Q06",
        questions.alike_in_length,
        option(0, "text", "Sand it off with a very fine paper and then cut it slowly"),
        COURSE,
    ),
    ("Q07", bank.key_not_longest, long_keys(0.6), long_keys(0.3)),
    ("Q08", bank.key_anywhere, keyed(lambda n: 0 if n % 2 else 1), keyed(lambda n: n % 3)),
    (
        "Q10",
        questions.no_absolutes,
        option(0, "text", "Sand it always, then cut"),
        option(1, "text", "Refuse it always, here"),
    ),
    ("Q10", questions.no_absolutes, option(0, "text", "Usually sand it, then cut"), COURSE),
    (
        "Q11",
        questions.no_echo,
        option(1, "text", "Refuse the painted board, somebody says"),
        option(1, "text", "Refuse it for this one"),
    ),
    (
        "Q12",
        questions.explained,
        option(0, "why", "It is wrong."),
        option(0, "why", "It is wrong because the dust of old paint is breathed."),
    ),
    ("Q12", questions.explained, option(0, "slip", ...), COURSE),
    ("Q14", questions.same_form, option(0, "text", "sand the paint off, then cut"), COURSE),
    ("Q14", questions.same_form, option(0, "text", "3 coats of it come off first"), COURSE),
    (
        "Q19",
        questions.no_names,
        asked((("stem",), "Your friend Robur gives you an old board. What do you do with it?")),
        asked((("stem",), 'The key "Robur" is red. What do you do with the MDF on axis X?')),
    ),
    (
        "Q21",
        questions.tells_the_moment,
        asked((("stem",), "What do you do with an old board?")),
        asked((("stem",), "What do you do with an old board before you cut?")),
    ),
    (
        "Q15",
        questions.critical_has_hazard,
        asked((("hazard",), ...)),
        asked((("hazard",), ...), (("critical",), False)),
    ),
    (
        "Q16",
        numbers.short_stem,
        asked((("stem",), "What " + "old " * 20 + "board?")),
        asked((("stem",), "What " + "old " * 15 + "board?")),
    ),
    (
        "Q17",
        numbers.numbers_apart,
        numeric((("slips", 0, "expr"), "answer * 1.05")),
        numeric((("slips", 0, "expr"), "answer * 1.2")),
    ),
    (
        "Q18",
        numbers.gives_nothing_away,
        with_item(
            "questions", "units-ratio", (("stem",), "The shank is 3.175 mm thick. What has most likely happened here?")
        ),
        with_item(
            "questions", "units-ratio", (("stem",), "The shank is 13.175 mm thick. What has most likely happened here?")
        ),
    ),
    (
        "Q24",
        numbers.forms_differ,
        numeric((("forms",), [{"inch": 0.25}, {"inch": 0.5}])),
        numeric((("forms",), [{"inch": 0.5}, {"inch": 0.25}])),
    ),
    ("Q20", bank.levels, bloom("recall", 1), bloom("apply", 1)),
    ("Q20", bank.levels, bloom("remember"), bloom("remember", 3)),
    ("Q20", bank.calculating_lessons_apply, bloom("understand"), bloom("apply")),
    (
        "L01",
        texts.easy_lessons,
        with_lesson("air-run", "## A\n\n## B\n" + EASY * 80),
        with_lesson("air-run", "## A\n\n## B\n" + EASY * 60),
    ),
    (
        "L02",
        texts.easy_lessons,
        with_lesson("air-run", "## A\n\n" + EASY),
        with_lesson("air-run", "## A\n\n## B\n\n" + EASY),
    ),
    (
        "L03",
        texts.easy_lessons,
        with_lesson("air-run", "## A\n\n## B\n\n" + "word " * 26 + "."),
        with_lesson("air-run", "## A\n\n## B\n\n" + "word " * 15 + "."),
    ),
    (
        "Q16",
        texts.easy_questions,
        asked((("stem",), "What " + "old " * 25 + "board?")),
        asked((("stem",), "What old board is that?")),
    ),
    (
        "R01",
        texts.easy_card,
        card("Press the stop with one hand while the other hand holds on to nothing at all"),
        card("Press stop"),
    ),
    (
        "T01",
        texts.worded_for_the_unknown,
        drill("It {{ 'stops' if stop.kind == 'everything' else 'goes on' : name }}."),
        drill("It {{ 'stops' if known(stop.kind) and stop.kind == 'everything' else 'goes on' : name }}."),
    ),
    ("R02", texts.easy_drills, drill("It " + "stops and " * 14 + "waits."), drill("It stops. It waits.")),
    (
        "L04",
        texts.numbers_sourced,
        with_lesson("air-run", "Raise it by 37 mm.", sources=[]),
        with_lesson("air-run", "Raise it by {{ job.depth : mm }}.", sources=[]),
    ),
    ("L05", texts.enough_questions, without_questions("air-run", 4), without_questions("air-run", 5)),
    ("Q24", texts.enough_questions, without_questions("start-here", 1), COURSE),
    ("L06", texts.no_orphans, orphan(), COURSE),
    ("G01", texts.terms_used, term((("term",), "zyzzyva")), term((("term",), "collet"))),
    ("G02", texts.one_word_for_one_thing, term((("not_called",), ["gantry"])), term((("not_called",), ["zyzzyva"]))),
    ("S01", texts.whole_sources, source(publisher=""), source(publisher="HSE")),
    (
        "S02",
        texts.whole_sources,
        with_library(
            sources={
                **COURSE.library.sources,
                "unread": COURSE.library.sources["hse-wis22"].model_copy(update={"id": "unread"}),
            },
            placed={**COURSE.library.placed, ("sources", "unread"): COURSE.library.placed["sources", "hse-wis22"]},
        ),
        COURSE,
    ),
]


def fired(rule: Rule, course: Course, code: str) -> list[Flaw]:
    """What one rule says of a course under one of its codes."""
    return [flaw for flaw in rule(course) if flaw.rule == code]


@pytest.mark.parametrize(
    ("code", "rule", "bad", "good"), CASES, ids=[f"{case[0]}-{case[1].__name__}-{n}" for n, case in enumerate(CASES)]
)
def test_a_rule_fires_on_its_flaw_and_is_silent_beside_it(code: str, rule: Rule, bad: Course, good: Course) -> None:
    """The flaw is told with file and line; the near miss is not."""
    found = fired(rule, bad, code)
    assert found
    assert all(flaw.fault.file and flaw.fault.line >= 1 for flaw in found)
    assert not fired(rule, good, code)


def test_every_rule_has_a_case() -> None:
    """A rule nobody has seen fire may be no rule."""
    assert {rule for family in FAMILIES for rule in family.RULES} == {case[1] for case in CASES}


def test_the_course_keeps_all_its_rules() -> None:
    """The content as it stands has neither errors nor warnings."""
    assert [str(flaw) for flaw in lint(COURSE)] == []


def odd_workshop(tmp_path: Path, term_: str) -> Path:
    """A workshop with one machine and content of its own."""
    (tmp_path / "machines").mkdir()
    (tmp_path / "workshop.yml").write_text("name: Shop\n", encoding="utf-8")
    (tmp_path / "machines" / "m.yml").write_text("id: m\nname: M\n", encoding="utf-8")
    (tmp_path / "content" / "glossary").mkdir(parents=True)
    (tmp_path / "content" / "glossary" / "own.yml").write_text(term_, encoding="utf-8")
    return tmp_path


def test_lint_tells_errors_with_their_place_and_exits_1(tmp_path: Path) -> None:
    """A workshop's own content is held to the rules as well."""
    shop = odd_workshop(tmp_path, "- {id: odd, term: zyzzyva, means: A word nobody uses here.}\n")
    result = CliRunner().invoke(main, ["lint", str(shop), "--json"])
    said = json.loads(result.stdout)
    assert result.exit_code == 1
    assert [(fault["rule"], fault["line"]) for fault in said["faults"]] == [("G01", 1)]
    assert said["faults"][0]["file"].endswith("own.yml")


def test_warnings_are_told_and_forbid_nothing(tmp_path: Path) -> None:
    """A source nobody cites is printed, and the exit code stays 0."""
    shop = odd_workshop(tmp_path, "- {id: odd, term: zero, means: The place all numbers count from.}\n")
    (shop / "content" / "sources").mkdir()
    (shop / "content" / "sources" / "own.yml").write_text(
        "- {id: own, title: T, publisher: P, year: 2026, seen: all of it, mark: read}\n", encoding="utf-8"
    )
    result = CliRunner().invoke(main, ["lint", str(shop)])
    assert result.exit_code == 0
    assert "warning: S02" in result.stderr
    assert "No faults. 1 warning." in result.stdout


def test_a_workshops_word_that_our_lessons_do_not_use_is_told_at_our_lessons(tmp_path: Path) -> None:
    """What a workshop's own content brings about in our files is its to mend, and is told there."""
    shop = odd_workshop(
        tmp_path, "- {id: spindle, term: spindle, means: What turns., lesson: parts-and-axes, not_called: [fence]}\n"
    )
    found = lint_folder(shop)
    assert {flaw.rule for flaw in found} >= {"G02"}
    assert any("19-clamps-and-pivots" in flaw.fault.file for flaw in found)


def test_what_cannot_be_read_is_told_before_any_rule(tmp_path: Path) -> None:
    """A misspelt key comes with its file and line, and no rule is tried on half a course."""
    shop = odd_workshop(tmp_path, "- {id: odd, term: zyzzyva, meens: m}\n")
    result = CliRunner().invoke(main, ["lint", str(shop)])
    assert result.exit_code == 1
    assert "own.yml:1:" in result.stderr
    assert "did you mean 'means'" in result.stderr
    assert "G01" not in result.stderr


# Words, sentences, syllables, ease, grade: the two formulas as given by the US Department of Veterans Affairs (read in
# the UNT web archive), worked out beforehand; the first two lines are the texts counted below.
@pytest.mark.parametrize(
    ("words", "sentences", "syllables", "ease", "grade"),
    [
        (6, 1, 6, 116.145, -1.45),
        (11, 3, 13, 103.132, -0.215),
        (100, 10, 120, 95.165, 2.47),
        (100, 5, 130, 76.555, 7.55),
        (117, 7, 175, 63.332, 8.578),
        (20, 1, 30, 59.635, 9.91),
    ],
)
def test_ease_and_grade_follow_the_published_formulas(
    words: int, sentences: int, syllables: int, ease: float, grade: float
) -> None:
    """Both agree with values worked out by hand to a thousandth."""
    assert flesch_ease(words, sentences, syllables) == pytest.approx(ease, abs=0.001)
    assert flesch_grade(words, sentences, syllables) == pytest.approx(grade, abs=0.001)


@pytest.mark.parametrize(
    ("text", "words", "sentences", "syllables"),
    [
        ("The cat sat on the mat.", 6, 1, 6),
        ("Stop the spindle. Wait until it stops. Then lift the guard.", 11, 3, 13),
        ("", 0, 0, 0),
    ],
)
def test_a_text_is_counted_as_a_person_counts_it(text: str, words: int, sentences: int, syllables: int) -> None:
    """Words, sentences and syllables of two sample texts, counted by hand."""
    counts = count(text)
    assert (counts.words, counts.sentences, counts.syllables) == (words, sentences, syllables)


# Syllables as an English dictionary gives them (from memory).
@pytest.mark.parametrize(
    ("word", "syllables"),
    [
        ("spindle", 2),
        ("cutter", 2),
        ("machine", 2),
        ("stopped", 1),
        ("moves", 1),
        ("changes", 2),
        ("table", 2),
        ("whole", 1),
        ("millimetres", 4),
        ("extraction", 3),
        ("isolator", 4),
        ("diameter", 4),
        ("radius", 3),
        ("material", 4),
        ("needed", 2),
        ("used", 1),
        ("vacuum", 3),
        ("usual", 3),
        ("reaction", 3),
        ("previous", 3),
        ("friction", 2),
        ("pieces", 2),
        ("axes", 2),
        ("flutes", 1),
        ("edges", 2),
        ("stick-out", 2),
        ("visible", 3),
        ("handled", 2),
        ("trying", 2),
        ("gauge", 1),
        ("12", 1),
    ],
)
def test_syllables_are_counted_as_they_are_spoken(word: str, syllables: int) -> None:
    """Silent endings and split vowels come out right for words of this course."""
    assert syllables_of(word) == syllables


def test_markdown_is_no_text() -> None:
    """Headings, tables and marks do not count; a wrapped line belongs to the sentence before it."""
    text = "# Head\n\nOne **two** [three](lesson:x)\nfour.\n\n| a | b |\n\n- five\n- six\n"
    assert without_markdown(text).split() == ["One", "two", "three", "four.", "five", "six"]
    assert count(without_markdown(text)).sentences == 3
