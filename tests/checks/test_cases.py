"""Every check of the content on its own two cases, and what an author of checks can rely on."""

from __future__ import annotations

from collections import Counter

import pytest
from msgspec.structs import replace

from generator.content_checks_program import program_check_faults, undeclared
from generator.content_places import Placed
from generator.course import Course
from generator.expr import parse, parse_template
from generator.finding import Severity
from generator.model.check import Case, Check
from generator.program_check.cases import bench, run_case

CHECKS = bench().library.checks


def found(case: Case) -> set[str]:
    return {finding.id for finding in run_case(case).judged.findings}


@pytest.mark.parametrize("id_", CHECKS)
def test_a_check_fires_in_its_firing_case(id_: str) -> None:
    """The finding is there, with its severity, words without holes, a mend and, where it cites lines, a line."""
    checked = run_case(CHECKS[id_].firing)
    finding = next((finding for finding in checked.judged.findings if finding.id == id_), None)
    assert finding is not None, [finding.id for finding in checked.judged.findings]
    assert finding.severity == CHECKS[id_].severity
    assert finding.mend
    assert not {"{", "}"} & set(finding.says + finding.mend)
    if CHECKS[id_].lines is not None and finding.line is not None:
        assert finding.text
    if CHECKS[id_].severity == "stop":
        assert checked.judged.verdict == ("wrong-kind" if CHECKS[id_].wrong_kind else "stop")


@pytest.mark.parametrize("id_", CHECKS)
def test_a_check_is_silent_in_its_silent_case(id_: str) -> None:
    """The harmless twin has no such finding."""
    assert id_ not in found(CHECKS[id_].silent)


def test_there_are_many_checks_of_every_severity() -> None:
    """The list is long, and most of it warns rather than stops."""
    counts = Counter(check.severity for check in CHECKS.values())
    assert len(CHECKS) > 45
    assert all(counts[severity.value] >= 10 for severity in Severity)


def test_silent_cases_are_ordinary_programs() -> None:
    """Whole and harmless programs bring no stop, whichever check they are the silent case of."""
    ordinary = [check for check in CHECKS.values() if check.silent.program is None and not check.silent.job]
    stops = {
        check.id: [finding.id for finding in run_case(check.silent).judged.findings if finding.severity == "stop"]
        for check in ordinary
    }
    assert {id_: ids for id_, ids in stops.items() if ids} == {}


def faults_of(check: Check, course: Course) -> list[str]:
    """What the linter says about one changed check among our content."""
    library = replace(course.library, checks={check.id: check})
    placed: dict[tuple[str, str], Placed] = dict(course.library.placed)
    return [fault.says for fault in program_check_faults(library, placed)]


def test_the_linter_names_what_is_wrong_with_a_check(course: Course) -> None:
    """Unknown names, needs left out, causes and lessons that do not exist: each at once, with a hint."""
    check = CHECKS["bed-through"]
    assert faults_of(check, course) == []
    wrong = {
        "when": parse("program.cut_min_zz < 0"), "says": parse_template("{{ bed.thicknes }}"), "needs": ("bed.depth",),
        "lesson": "measure-the-sheets", "covers": ("no-such-cause",), "lines": "program.units",
    }  # fmt: skip
    for field, value in wrong.items():
        says = faults_of(check.model_copy(update={field: value}), course)
        assert says, field
        assert any("not known here" in text or "no fact that holds line numbers" in text for text in says), says


def test_a_condition_declares_the_facts_it_hangs_on() -> None:
    """Whoever uses a fact of machine or job says so, so that the check can ask for it instead of falling silent."""
    check = CHECKS["bed-through"]
    assert undeclared(check) == []
    assert undeclared(check.model_copy(update={"needs": ()})) == ["bed.thickness"]
    asking = check.model_copy(update={"needs": (), "when": parse("known(bed.thickness) and bed.thickness < 1")})
    assert undeclared(asking) == []
