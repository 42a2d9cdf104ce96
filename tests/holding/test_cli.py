"""`onionskin plan`: what it says of holding, judges of a given layout, and draws into a file."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from generator.course import load_course
from generator.pages.build import build_site
from tests.holding.make import changed, document, job_path, run

SVG = "{http://www.w3.org/2000/svg}"


def test_the_document_carries_every_promised_key(folder: Path) -> None:
    """hold, clamps, freed and bending stand in the document with their keys, sensible and in order."""
    found = document(job_path(folder))
    hold, clamps = found["hold"], found["clamps"]
    assert 0 < hold["margin"] <= hold["margin_expected"] <= hold["margin_high"]
    assert hold["holds"] is (hold["margin"] >= hold["needed"])
    assert hold["rules"] in {"sliding", "turning", "lift", "tipping"}
    assert hold["pivot"] is None or len(hold["pivot"]) == 2
    assert len(hold["worst_point"]) == len(hold["worst_direction"]) == 2
    assert clamps["count"] == len(clamps["positions"]) == len(clamps["bolts"]) == clamps["bound"]
    assert clamps["exact"] is True
    assert [piece["name"] for piece in found["freed"]] == ["outline"]
    assert found["freed"][0]["held_by"] == ["tab"]
    assert found["bending"]["lift_mm"]["high"] <= found["bending"]["limit_mm"]
    assert found["bending"]["by_cutter"]["down"] == 0
    assert "hold-too-weak" not in [warning["id"] for warning in found["warnings"]]


def test_a_job_that_does_not_hold_leaves_with_1(folder: Path) -> None:
    """Exit code 1, a stop in the warnings, and the way out in the words for people."""
    changed(folder, "jobs/dibber-board.yml", r"^  - .*name: (left|rear),.*\n", "")
    result = run("plan", str(job_path(folder)))
    assert result.exit_code == 1
    assert "Will it hold?" in result.stdout
    assert "STOP" in result.stdout
    assert "clamps hold, as few as will do" in result.stdout


def test_a_given_layout_is_judged_in_place_of_the_job_s(folder: Path) -> None:
    """--layout judges clamps at the places given: two on one side fail, turning about one of them."""
    result = run("plan", str(job_path(folder)), "--json", "--layout", "8,50;8,200")
    hold = json.loads(result.stdout)["hold"]
    assert result.exit_code == 1
    assert hold["positions"] == [[8.0, 50.0], [8.0, 200.0]]
    assert hold["margin"] < 1
    assert hold["pivot"] == pytest.approx([8, 50], abs=2)


def test_the_clamps_it_names_pass_when_given_back(folder: Path) -> None:
    """The positions of the document, given as --layout, hold."""
    places = document(job_path(folder))["clamps"]["positions"]
    result = run("plan", str(job_path(folder)), "--json", "--layout", ";".join(f"{x},{y}" for x, y in places))
    assert result.exit_code == 0
    assert json.loads(result.stdout)["hold"]["holds"] is True


def test_a_layout_beside_the_board_is_a_finding(folder: Path) -> None:
    """A place off the board is no crash but a stop."""
    result = run("plan", str(job_path(folder)), "--json", "--layout", "-40,50;8,200")
    assert result.exit_code == 1
    assert "hold-clamp-off-board" in [warning["id"] for warning in json.loads(result.stdout)["warnings"]]


@pytest.mark.parametrize("text", ["", "10", "10,20,30", "a,b", "10;20", "nan,1", "inf,1", "10,20;;30,40"])
def test_a_layout_that_is_none_is_refused(text: str, folder: Path) -> None:
    """Exit code 2 with one line that says how to write it; nothing on stdout."""
    result = run("plan", str(job_path(folder)), "--json", "--layout", text)
    assert result.exit_code == 2
    assert "10,50;350,200" in result.stderr
    assert result.stdout == ""


def test_a_refused_plan_says_nothing_of_holding(folder: Path) -> None:
    """Where no figure may be given, hold and clamps are null."""
    changed(folder, "jobs/dibber-board.yml", r"^    max_speed: .*\n", "")
    found = document(job_path(folder))
    assert found["refused"] is True
    assert found["hold"] is None
    assert found["clamps"] is None


def test_the_picture_is_written_as_a_drawing_that_stands_alone(folder: Path, tmp_path: Path) -> None:
    """FILE.svg is well-formed, carries its own look and its words, and asks for nothing outside."""
    target = tmp_path / "bed.svg"
    assert run("plan", str(job_path(folder)), "-o", str(target)).exit_code == 0
    text = target.read_text("utf-8")
    root = ET.fromstring(text)
    assert root.tag == f"{SVG}svg"
    assert "The bed from above" in (root.get("aria-label") or "")
    assert root.find(f"{SVG}style") is not None
    assert "url(" not in text
    assert "href" not in text


def test_the_picture_is_written_as_a_page_with_its_words(folder: Path, tmp_path: Path) -> None:
    """FILE.html has the layout as planned, the fewest clamps, and the findings."""
    target = tmp_path / "bed.html"
    run("plan", str(job_path(folder)), "-o", str(target), "--layout", "8,50;8,200")
    text = target.read_text("utf-8")
    assert text.count("<svg") == 2
    assert "The bed with the fewest clamps that hold" in text
    assert "are wanted" in text
    assert "http" not in text.replace("http://www.w3.org", "")


@pytest.mark.parametrize(
    ("name", "says"),
    [("bed.png", "FILE.svg or FILE.html"), ("no/such/folder/bed.svg", "there is no such folder; make it first")],
)
def test_a_picture_that_cannot_be_written_is_refused(name: str, says: str, folder: Path, tmp_path: Path) -> None:
    """Exit code 2 with the reason."""
    result = run("plan", str(job_path(folder)), "-o", str(tmp_path / name))
    assert result.exit_code == 2
    assert says in result.stderr


def test_a_bed_that_cannot_be_drawn_says_why(folder: Path, tmp_path: Path) -> None:
    """Without the board's size there is no picture, and the missing fact is named."""
    changed(folder, "jobs/dibber-board.yml", r"^  size_x: 360 mm\n", "")
    result = run("plan", str(job_path(folder)), "-o", str(tmp_path / "bed.svg"))
    assert result.exit_code == 2
    assert "size of the board" in result.stderr


def test_every_finding_of_the_holding_points_to_a_lesson(folder: Path) -> None:
    """In the lines and in the document a finding about holding names a lesson of the course."""
    lessons = load_course().library.lessons
    weak = document(job_path(folder), "--layout", "10,10;10,60;-40,20")["warnings"]
    of_holding = [finding for finding in weak if finding["id"].startswith("hold-")]
    assert len(of_holding) >= 3
    assert all(finding["lesson"] in lessons for finding in of_holding)
    assert "See the lesson clamps-and-pivots." in run("plan", str(job_path(folder)), "--layout", "10,10;10,60").stdout


@pytest.mark.parametrize(
    ("pattern", "to"), [(r"^  size_x: 360 mm\n", ""), (r"^  - \{kind: threaded-inserts, name: (left|rear),.*\n", "")]
)
def test_a_bench_that_cannot_say_yes_says_why_with_a_lesson(pattern: str, to: str, folder: Path) -> None:
    """Where the board's size is not known, or the clamps do not hold it, the bench's page says so and links a lesson."""
    changed(folder, "jobs/dibber-board.yml", pattern, to)
    pages = {page.path: page for page in build_site(load_course(folder))[0]}
    stops = [line for line in pages["bench/dibber-board.html"].html.splitlines() if "os-advice--stop" in line]
    assert stops
    assert all("lessons/clamps-and-pivots.html" in line for line in stops)
