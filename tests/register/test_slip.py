"""Slips: what is read, and what is refused with all its faults."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from generator.errors import InputFaults
from generator.register.slip import LARGEST_BYTES, read_slip, unknown_parts
from tests.register.slips import TODAY, as_file, one_slip, slips, whole_line

QR_SIGNS = set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")  # ISO/IEC 18004:2015, table 5


def faults(given: str) -> list[str]:
    with pytest.raises(InputFaults) as caught:
        read_slip(given, TODAY)
    return [str(fault) for fault in caught.value.faults]


def in_file(folder: Path, data: Any) -> str:
    path = folder / "slip.json"
    path.write_text(data if isinstance(data, str) else as_file(data), encoding="utf-8")
    return str(path)


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=slips())
def test_a_slip_reads_the_same_from_file_and_from_line(data: dict[str, Any], tmp_path: Path) -> None:
    """The line holds all the file holds but the name, in signs a QR code packs tightly."""
    named = data | {"name": "Ash"}
    line = whole_line(data)
    from_file, from_line = read_slip(in_file(tmp_path, named), TODAY), read_slip(line, TODAY)
    assert set(line) <= QR_SIGNS
    assert from_file.name == "Ash"
    assert from_line == from_file.model_copy(update={"name": None})


@settings(deadline=None)
@given(data=slips(), place=st.integers(0), sign=st.sampled_from(sorted(QR_SIGNS - {" "})))
def test_no_line_with_one_wrong_sign_is_taken(data: dict[str, Any], place: int, sign: str) -> None:
    """A sign misread anywhere is refused, by its form or by the digest."""
    line = whole_line(data)
    at = place % len(line)
    wrong = line[:at] + sign + line[at + 1 :]
    if wrong == line:
        assert read_slip(wrong, TODAY)
    else:
        assert faults(wrong)


@settings(deadline=None)
@given(data=slips(), keep=st.integers(0))
def test_no_line_that_was_cut_off_is_taken(data: dict[str, Any], keep: int) -> None:
    """Half a scan is no slip."""
    line = whole_line(data)
    assert faults(line[: keep % len(line)] or "x")


@settings(deadline=None)
@given(st.text(max_size=200) | st.text(max_size=200).map(lambda text: f"ONIONSKIN1/{text}"))
def test_no_text_makes_the_reading_fall_over(text: str) -> None:
    """Nonsense is refused in words."""
    assert faults(text)


def test_small_letters_and_line_breaks_do_not_matter() -> None:
    """A line pasted from paper or a mail reads as scanned."""
    line = whole_line(one_slip())
    assert read_slip(f"  {line[:40].lower()}\n {line[40:]}\n", TODAY) == read_slip(line, TODAY)


def test_the_line_is_as_it_was_agreed() -> None:
    """The form of the line is kept by the page in the browser too, so it is written out here once."""
    line, digest = whole_line(one_slip()).rsplit("/", 1)
    assert line == "ONIONSKIN1/20261125/3F2A9B1C/Q.CHIP-LOAD.HERON.A.5.5.0.P.20261124/D.WORK-SHIFTS.20261125"
    # The digest worked out apart: printf '%s' LINE | sha256sum
    assert digest == "27D152138B51563E"
    asked = one_slip()["results"][0] | {"questions": "0c11d8"}
    assert ".P.20261124.0C11D8/D.WORK-SHIFTS" in whole_line(one_slip(results=[asked]))


def test_all_faults_of_a_file_are_named_at_their_lines(tmp_path: Path) -> None:
    """A learner who edits the file gets every fault back, with its line."""
    data = one_slip() | {"made": "25.11.2026", "course": "zzz", "extra": 1}
    data["results"][0] |= {"right": "five", "form": "G", "passed": 1}
    text = json.dumps(data, indent=1)
    found = faults(in_file(tmp_path, text))
    for word in ("made:", "course:", "extra:", "results[1].right:", "results[1].form:", "results[1].passed:"):
        assert any(word in fault for fault in found), (word, found)
    assert all(fault.split(":")[1].isdigit() for fault in found)


@pytest.mark.parametrize(("change", "says"), [
    ({"right": 6}, "6 right of 5 cannot be"),
    ({"right": 0, "of": 0}, "0 right of 0 cannot be"),
    ({"right": 4, "missed": 2, "passed": False}, "missed must-knows: 2 does not fit"),
    ({"right": 4, "missed": 1, "passed": True}, "missed must-knows: 1 does not fit"),
    ({"date": "2026-11-26"}, "after the slip was made"),
])  # fmt: skip
def test_marks_that_cannot_be_are_refused(change: dict[str, Any], says: str, tmp_path: Path) -> None:
    """Numbers are held against each other, in file and line."""
    data = one_slip()
    data = one_slip(results=[data["results"][0] | change])
    for given_ in (in_file(tmp_path, data), whole_line(data)):
        found = faults(given_)
        assert len(found) == 1
        assert says in found[0]


def test_a_slip_with_another_s_digest_is_refused(tmp_path: Path) -> None:
    """A mark improved by hand no longer fits."""
    data = one_slip(results=[one_slip()["results"][0] | {"right": 4}])
    better = data | {"results": one_slip()["results"]}
    assert "does not fit the rest" in faults(in_file(tmp_path, better))[0]


def test_a_slip_from_tomorrow_is_let_through_and_a_later_one_not() -> None:
    """Clocks on both sides of a date line may differ by a day."""
    soon = {"results": [], "drills": []}
    assert read_slip(whole_line(one_slip(made=(TODAY + timedelta(1)).isoformat(), **soon)), TODAY)
    assert "still to come" in faults(whole_line(one_slip(made=(TODAY + timedelta(2)).isoformat(), **soon)))[0]


def test_the_same_quiz_twice_is_refused() -> None:
    """One lesson has one last result."""
    quiz = one_slip()["results"][0]
    assert "is there twice" in faults(whole_line(one_slip(results=[quiz, quiz])))[0]


def test_a_file_that_is_too_large_or_no_json_is_refused_unread(tmp_path: Path) -> None:
    """Size comes first, then form; folders, missing files and other endings have their own line."""
    big = tmp_path / "big.json"
    big.write_text("[" + " " * LARGEST_BYTES + "]")
    assert "a slip at most" in faults(str(big))[0]
    assert "this is not JSON" in faults(in_file(tmp_path, "{nonsense"))[0]
    assert "no such file" in faults(str(tmp_path / "none.json"))[0]
    assert "neither a slip's file" in faults(str(tmp_path))[0]
    assert "neither a slip's file" in faults("slip.txt")[0]
    assert "signs long" in faults("ONIONSKIN1/" + "A/" * 3000)[0]


def test_names_of_what_the_course_does_not_have_are_given_back() -> None:
    """Lessons and drills of another course are told apart from ours."""
    slip = read_slip(whole_line(one_slip()), TODAY)
    assert unknown_parts(slip, {"chip-load"}, set()) == ["work-shifts"]
    assert unknown_parts(slip, {"chip-load"}, {"work-shifts"}) == []
