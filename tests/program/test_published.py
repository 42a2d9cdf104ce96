"""The published language: every entry of tests/data/rs274_checks.yml.

Most programs and values come from T. R. Kramer, F. M. Proctor and E. Messina, The NIST RS274NGC Interpreter -
Version 3, NISTIR 6556, National Institute of Standards and Technology, 2000; each entry names its own source and
says whether the passage was read. Values marked ours are plane geometry or follow from the cited rule.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from generator.finding import Severity
from tests.program.make import ids
from tests.program.published import ANSWERS, ERRORS, ERRORS_BY_ID, IN_WORDS, NOT_AN_ERROR, OF_FRAGMENTS, Case
from tests.program.published_facts import FACTS

CHECKS: list[dict[str, Any]] = yaml.safe_load(
    (Path(__file__).parent.parent / "data" / "rs274_checks.yml").read_text(encoding="utf-8")
)["checks"]
BY_ID = [pytest.param(entry, id=entry["id"]) for entry in CHECKS]


def same(found: Any, wanted: Any, tolerance: float) -> bool:
    """Equal text, or equal numbers within the tolerance, however nested; a dict is asked only what it is wanted for."""
    if isinstance(wanted, dict):
        return all(same(found[key], value, tolerance) for key, value in wanted.items() if key not in IN_WORDS)
    if isinstance(wanted, list):
        return len(found) == len(wanted) and all(
            same(one, two, tolerance) for one, two in zip(found, wanted, strict=True)
        )
    if isinstance(wanted, (int, float)) and not isinstance(wanted, bool):
        return bool(abs(found - wanted) <= tolerance)
    return bool(found == wanted)


def test_all_entries_are_there() -> None:
    """The table is whole: 124 entries, each with a source and a mark of whether it was read."""
    assert len(CHECKS) == 124
    assert all(entry["source"] and "read" in entry and entry["origin"] for entry in CHECKS)


@pytest.mark.parametrize("entry", BY_ID)
def test_values(entry: dict[str, Any]) -> None:
    """Every number of an entry comes out of the reader, within the entry's tolerance."""
    case, expected = Case(entry), entry["expected"]
    if expected.get("error", "none") not in NOT_AN_ERROR:
        expected = {key: value for key, value in expected.items() if key in IN_WORDS}
    tolerance = expected.get("tolerance", 0.001)
    for key, wanted in expected.items():
        if key not in IN_WORDS:
            found = ANSWERS[key](case)
            assert same(found, wanted, tolerance), f"{key}: found {found}, wanted {wanted} ({entry['source']})"


@pytest.mark.parametrize("entry", BY_ID)
def test_errors(entry: dict[str, Any]) -> None:
    """What the published interpreter refuses is a stop on that line; what it accepts is none."""
    error = entry["expected"].get("error", "none")
    stops = {
        finding.id: finding
        for finding in Case(entry).program.findings
        if finding.severity is Severity.STOP and not finding.id.startswith("cannot-judge")
    }
    if error in NOT_AN_ERROR:
        assert set(stops) <= OF_FRAGMENTS
        return
    wanted = ERRORS_BY_ID.get(entry["id"], ERRORS[error])
    assert wanted in stops
    assert set(stops) <= {wanted, "unknown-m-code"} | OF_FRAGMENTS
    if "error_line" in entry["expected"]:
        assert stops[wanted].line == entry["expected"]["error_line"]
        assert stops[wanted].text
        assert stops[wanted].text in entry["program"]
    for key in ("radius_start", "radius_end", "half_chord", "radius"):
        if key in entry["expected"]:
            assert f"{entry['expected'][key]:.4f}" in stops[wanted].says


@pytest.mark.parametrize("entry", [entry for entry in BY_ID if entry.values[0]["expected"].get("findings") is not None])
def test_facts_behind_findings(entry: dict[str, Any]) -> None:
    """Every finding an entry wants rests on facts that come out as they must."""
    case = Case(entry)
    for name, wanted in FACTS[entry["id"]].items():
        if name == "ids":
            assert set(wanted) <= ids(case.program)
        elif name == "not-ids":
            assert not set(wanted) & ids(case.program)
        elif name == "relies_on":
            assert set(wanted) <= set(case.program.relies)
        else:
            assert same(case.facts[name], wanted, 1e-4), f"{name}: {case.facts[name]}, wanted {wanted}"


def test_no_finding_is_forgotten() -> None:
    """The table of facts covers exactly the entries that want findings."""
    assert set(FACTS) == {entry["id"] for entry in CHECKS if entry["expected"].get("findings") is not None}
