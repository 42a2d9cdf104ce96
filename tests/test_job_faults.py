"""Sizes in a job that cannot be true together: refused with file and line, all at once, and silent where unknown."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from generator.course import demo_folder
from generator.errors import InputFaults
from generator.lint.run import lint_folder
from generator.load_content import content_folder, load_some
from generator.load_workshop import Known, load_workshop

JOB = "jobs/dibber-board.yml"
LIBRARY = load_some([content_folder()], ["materials", "cutters"])


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the demo workshop to spoil."""
    shutil.copytree(demo_folder(), tmp_path / "w")
    return tmp_path / "w"


def change(folder: Path, pattern: str, to: str) -> None:
    path = folder / JOB
    text = path.read_text("utf-8")
    new = re.sub(pattern, to, text, flags=re.MULTILINE)
    assert new != text
    path.write_text(new, "utf-8")


def told(folder: Path) -> list[str]:
    """The faults of the workshop, from the job's name on; none where it loads."""
    try:
        load_workshop(folder, Known(materials=LIBRARY.materials, cutters=LIBRARY.cutters))
    except InputFaults as refused:
        return [str(fault).partition("jobs/")[2].replace("\u00a0", " ") for fault in refused.faults]
    return []


SLIPS = [
    (r"depth: 5 mm", "depth: 50 mm", "41:12", "finger recess: 50 mm deep in a sheet of 12 mm at most"),
    (r"depth: 5 mm", "depth: 12.1 mm", "41:12", "finger recess: 12.1 mm deep in a sheet of 12 mm at most"),
    (r"flute_length: 22 mm", "flute_length: 4 mm", "41:12", "finger recess: cuts 5 mm deep, and the edges of its cutter "
     "'six-up' are 4 mm long"),
    (r"flute_length: 22 mm", "flute_length: 11 mm", "36:14", "sowing holes: cuts 12 mm deep, and the edges of"),
    (r"thicknesses: .*", "thicknesses: [18 in]", "11:17", "stock.thicknesses[1]: 457.2 mm was measured where the label says "
     "12 mm; one is 38.1 times the other"),
    (r"thickness_nominal: 12 mm\n  thicknesses: .*", "thickness_nominal: 3/4 in\n  thicknesses: [18 in, 18 in]", "11:17",
     "one is 24 times the other; an inch is 25.4 mm, so one unit is wrong"),
    (r"thicknesses: .*", "thicknesses: [11.6 mm, 11.8 mm, 0.46 mm]", "11:35", "stock.thicknesses[3]: 0.46 mm was measured"),
    (r"thickness_nominal: 12 mm\n  thicknesses: .*", "thicknesses: [0.71 in, 2 mm, 0.71 in]", "10:26",
     "stock.thicknesses[2]: readings of one sheet run from 2 mm to 18.03 mm, a spread of 16.03 mm"),
]  # fmt: skip


@pytest.mark.parametrize(("pattern", "to", "place", "says"), SLIPS)
def test_sizes_that_cannot_be_are_refused_at_their_line(
    pattern: str, to: str, place: str, says: str, folder: Path
) -> None:
    """Cuts deeper than the sheet or than their cutter's edges, and readings no sheet can have."""
    change(folder, pattern, to)
    lines = [line for line in told(folder) if says in line]
    assert len(lines) == 1
    assert lines[0].startswith(f"dibber-board.yml:{place}:")


def test_every_cut_is_held_to_its_own_cutter(folder: Path) -> None:
    """A second cutter with short edges is told of its own operation, although the main one's are long enough."""
    second = "  - {id: short, kind: upcut-spiral, diameter: 6 mm, flute_length: 4 mm}\n\noperations:"
    change(folder, r"^operations:", second)
    change(folder, r"cutter: six-up\n    kind: pocket", "cutter: short\n    kind: pocket")
    (line,) = told(folder)
    assert "finger recess" in line
    assert "'short' are 4 mm" in line


def test_lint_tells_all_at_once(folder: Path) -> None:
    """A pocket too deep for sheet and cutter, and holes and outline too deep for the cutter, are four faults."""
    change(folder, r"depth: 5 mm", "depth: 50 mm")
    change(folder, r"flute_length: 22 mm", "flute_length: 10 mm")
    assert len(lint_folder(folder)) == len(told(folder)) == 4


def test_the_label_and_its_tolerance_stand_in_for_readings(folder: Path) -> None:
    """Birch plywood sold as 12 mm is 12.5 mm at most, by the mill's own tolerance: a pocket of 12.6 mm is refused."""
    change(folder, r"^  thicknesses: .*\n", "")
    change(folder, r"depth: 5 mm", "depth: 12.4 mm")
    assert told(folder) == []
    change(folder, r"depth: 12.4 mm", "depth: 12.6 mm")
    (line,) = told(folder)
    assert "in a sheet of 12.5 mm at most" in line


def test_of_a_board_without_tolerance_only_what_no_board_can_be_is_refused(folder: Path) -> None:
    """Where nobody says what MDF may measure, a pocket of 15 mm in 12 mm MDF is left open and one of 50 mm refused."""
    change(folder, r"^  thicknesses: .*\n", "")
    change(folder, r"material: birch-plywood", "material: mdf")
    change(folder, r"depth: 5 mm", "depth: 15 mm")
    assert told(folder) == []
    change(folder, r"depth: 15 mm", "depth: 50 mm")
    assert len(told(folder)) == 2


@pytest.mark.parametrize(
    ("pattern", "to"),
    [
        (r"^  thickness_nominal: .*\n  thicknesses: .*\n", ""),
        (r"flute_length: 22 mm", "flute_length: unknown"),
        (r"thicknesses: .*", "thicknesses: unknown"),
        (r"thickness_nominal: 12 mm", "thickness_nominal: unknown"),
        # a board sold as 1 in is planed to 3/4 in, and is sold so everywhere (PS 20, from memory)
        (r"thickness_nominal: 12 mm\n  thicknesses: .*", "thickness_nominal: 1 in\n  thicknesses: [3/4 in, 0.74 in]"),
        (r"flute_length: 22 mm", "flute_length: 12 mm"),
        (r"depth: 5 mm", "depth: 12 mm"),
    ],
)
def test_what_is_unknown_or_may_be_is_no_fault(pattern: str, to: str, folder: Path) -> None:
    """Nothing is refused for want of a number, nor for a size that just fits."""
    change(folder, pattern, to)
    assert told(folder) == []
