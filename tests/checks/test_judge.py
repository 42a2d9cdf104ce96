"""The judge of checks on checks made up for the purpose: it knows none of ours."""

from __future__ import annotations

from typing import Any

import pytest

from generator.checks import Judged, Sight, judge, unchecked
from generator.expr import Scope, Value, render_template
from generator.finding import Finding, Severity
from generator.model.check import Check, NotChecked

FACTS: dict[str, Value] = {"depth": 3.0, "thickness": None, "wide": True, "lines": [7, 3], "line": 5}


def check(id_: str, severity: str, when: str, **more: Any) -> Check:
    case = {"body": "G0 X1\n"}
    data = {"id": id_, "title": id_.title(), "severity": severity, "when": when, "says": f"{id_} says", "mend": "mend",
            "firing": case, "silent": case}  # fmt: skip
    return Check.model_validate(data | more)


def judged(*checks: Check, read: tuple[Finding, ...] = (), facts: Scope | None = None) -> Judged:
    sight = Sight(facts or FACTS)
    return judge([(check, sight) for check in checks], read, render_template)


def ids(result: Judged) -> list[str]:
    return [finding.id for finding in result.findings]


def test_a_true_condition_is_a_finding_and_a_false_one_is_none() -> None:
    """Nothing else decides."""
    assert ids(judged(check("one", "warn", "depth > 2"), check("two", "warn", "depth > 4"))) == ["one"]


def test_findings_come_gravest_first_then_by_line() -> None:
    """A stop stands above every warning, whatever the order of the files."""
    result = judged(
        check("note", "note", "wide"), check("late", "warn", "wide", lines="lines"), check("early", "warn", "wide"),
        check("stop", "stop", "wide"),
    )  # fmt: skip
    assert ids(result) == ["stop", "early", "late", "note"]


def test_of_a_group_the_gravest_speaks_with_all_lines() -> None:
    """Findings of one cause are one finding that cites the lines of all."""
    result = judged(
        check("mild", "note", "wide", group="cause", lines="lines"),
        check("grave", "stop", "wide", group="cause", lines="line"),
    )
    assert ids(result) == ["grave"]
    assert result.findings[0].line == 5
    assert result.findings[0].lines == (3, 5, 7)


def test_in_a_group_of_equals_the_first_of_the_file_speaks() -> None:
    """The author decides by order which words are better."""
    one, two = check("one", "warn", "wide", group="g"), check("two", "warn", "wide", group="g")
    assert ids(judged(one, two)) == ["one"]
    assert ids(judged(two, one)) == ["two"]


def test_a_check_speaks_for_what_it_covers() -> None:
    """Checks and findings of the reader with the same cause keep quiet, and ask nothing, once it has fired."""
    said = Finding(id="reader-says", severity=Severity.STOP, says="a fault", mend="mend")
    covering = check("cause", "warn", "wide", covers=["effect", "reader-says"])
    effect = check("effect", "stop", "wide")
    assert ids(judged(covering, effect, read=(said,))) == ["cause"]
    quiet = check("cause", "warn", "not wide", covers=["effect", "reader-says"])
    assert set(ids(judged(quiet, effect, read=(said,)))) == {"effect", "reader-says"}


def test_a_covered_check_does_not_take_its_groups_place() -> None:
    """The next of the group speaks instead."""
    result = judged(
        check("cause", "warn", "wide", covers=["first"]), check("first", "stop", "wide", group="g"),
        check("second", "warn", "wide", group="g"),
    )  # fmt: skip
    assert ids(result) == ["cause", "second"]


def test_a_file_of_the_wrong_kind_hears_one_thing_only() -> None:
    """Everything else would be noise."""
    said = Finding(id="reader-says", severity=Severity.STOP, says="a fault", mend="mend")
    result = judged(check("warn", "warn", "wide"), check("kind", "stop", "wide", wrong_kind=True), read=(said,))
    assert ids(result) == ["kind"]
    assert result.verdict == "wrong-kind"


@pytest.mark.parametrize(
    ("checks", "verdict"),
    [
        ([("stop", "wide")], "stop"),
        ([("warn", "depth > 2")], "ask"),
        ([("note", "depth > 2")], "pass"),
        ([("warn", "thickness > 2")], "ask"),
        ([("warn", "depth > 4")], "pass"),
        ([("note", "thickness > 2")], "pass"),
        ([("stop", "wide"), ("warn", "thickness > 2")], "stop"),
        ([("stop", "thickness > 2")], "ask"),
        ([], "pass"),
    ],
)
def test_the_verdict(checks: list[tuple[str, str]], verdict: str) -> None:
    """A stop forbids, an open question asks, warnings and notes let pass; nobody is asked for the sake of a note."""
    made = [check(f"c{n}", severity, when, needs=["thickness"]) for n, (severity, when) in enumerate(checks)]
    assert judged(*made).verdict == verdict


def test_a_question_names_the_fact_and_every_check_it_settles() -> None:
    """One fact is asked for once, and two checks of one title are named once."""
    result = judged(
        check("one", "warn", "depth > thickness", needs=["thickness"]),
        check("two", "warn", "depth > thickness", needs=["thickness"]),
        check("two", "stop", "depth > 2 * thickness", needs=["thickness"]),
    )
    assert [(asked.fact, asked.checks) for asked in result.asked] == [("thickness", ("One", "Two"))]


def test_a_finding_asks_for_what_would_settle_it() -> None:
    """A sheet that is not measured is a warning, and the measurement is asked for."""
    result = judged(check("label", "warn", "not known(thickness)", needs=["thickness"]))
    assert ids(result) == ["label"]
    assert result.verdict == "ask"


def test_what_is_settled_without_a_fact_does_not_ask_for_it() -> None:
    """'depth > 4 and thickness > 2' is false for a shallow cut, however thick the sheet."""
    assert judged(check("one", "stop", "depth > 4 and thickness > 2", needs=["thickness"])).verdict == "pass"


def test_a_finding_of_the_reader_counts_like_any_other() -> None:
    """Its stop is a stop."""
    said = Finding(id="reader-says", severity=Severity.STOP, says="a fault", mend="mend", line=3)
    assert judged(read=(said,)).verdict == "stop"


def test_what_is_not_checked_is_listed_unless_surely_out_of_place() -> None:
    """An unknown condition lists its item: the list may be too long, never too short."""
    items = [
        NotChecked.model_validate({"id": f"n{n}", "says": "x"} | ({} if when is None else {"when": when}))
        for n, when in enumerate([None, "wide", "not wide", "thickness > 2"])
    ]
    assert [item.id for item in unchecked(items, FACTS)] == ["n0", "n1", "n3"]


def test_a_case_has_one_text() -> None:
    """A body between head and tail, or a whole program, and not both."""
    with pytest.raises(ValueError, match="body or a program"):
        check("one", "warn", "wide", firing={"body": "x", "program": "y"})
