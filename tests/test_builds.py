"""Large workshops and several at once: each its own site, faults of all told together, menus kept short."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from benchmarks.scale import write_workshop
from generator.builds import build_all
from generator.cli import main
from generator.course import demo_folder, load_course
from generator.errors import OnionskinError
from generator.pages.build import build_site, menu
from generator.pages.sheets import FEW
from generator.site import MARKER


@pytest.fixture
def two(tmp_path: Path) -> list[Path]:
    """Two workshops."""
    return [Path(shutil.copytree(demo_folder(), tmp_path / "in" / name)) for name in ("east", "west")]


def test_several_workshops_are_built_side_by_side(two: list[Path], tmp_path: Path) -> None:
    """Each gets a folder of its name, and the site there is the one it gets alone."""
    (two[1] / "workshop.yml").write_text((two[1] / "workshop.yml").read_text().replace("Millrace", "Westbank"))
    arguments = ["build", "--jobs", "2", "-o", str(tmp_path / "out"), "--json", *map(str, two)]
    done = CliRunner().invoke(main, arguments)
    assert done.exit_code == 0, done.output
    assert json.loads(done.output)["sites"] == [str(tmp_path / "out" / name) for name in ("east", "west")]
    assert "Westbank" in (tmp_path / "out" / "west" / "index.html").read_text()
    assert "Westbank" not in (tmp_path / "out" / "east" / "index.html").read_text()


def test_the_faults_of_all_workshops_are_told_together(two: list[Path], tmp_path: Path) -> None:
    """One broken workshop does not keep the others from being built, and two are both named."""
    broken = Path(shutil.copytree(two[0], tmp_path / "in" / "north"))
    for folder, word in ((two[0], "tavel"), (broken, "spindel")):
        (folder / "machines" / "wren.yml").write_text(f"id: wren\nname: Wren\n{word}: {{}}\n")

    with pytest.raises(OnionskinError) as refused:
        build_all([*two, broken], tmp_path / "out", 2)

    assert "tavel" in str(refused.value)
    assert "spindel" in str(refused.value)
    assert [path.name for path in (tmp_path / "out").iterdir() if not path.name.startswith(".")] == ["west"]


def test_two_workshops_of_one_name_are_refused(two: list[Path], tmp_path: Path) -> None:
    """Neither site may overwrite the other."""
    twin = Path(shutil.copytree(two[0], tmp_path / "elsewhere" / "east"))
    with pytest.raises(OnionskinError, match="east: two workshops"):
        build_all([two[0], twin], tmp_path / "out", 2)


def test_a_site_of_one_workshop_is_not_filled_with_others(two: list[Path], tmp_path: Path) -> None:
    """Sites are not built into a site, whose next build would take them away."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / MARKER).touch()
    with pytest.raises(OnionskinError, match="holds the site of one workshop"):
        build_all(two, tmp_path / "out", 2)


def test_one_file_takes_one_workshop(two: list[Path], tmp_path: Path) -> None:
    """Two workshops and one file is a wrong use, and says so."""
    done = CliRunner().invoke(main, ["build", "--one-file", str(tmp_path / "one.html"), *map(str, two)])
    assert done.exit_code == 2
    assert "one workshop at a time" in done.output


def test_one_file_is_written_and_nothing_else(tmp_path: Path) -> None:
    """The command writes the file and no site; the folder has to be there, as for every file."""
    none = CliRunner().invoke(main, ["build", "--one-file", str(tmp_path / "new" / "one.html")])
    assert (none.exit_code, (tmp_path / "new").exists()) == (2, False)
    (tmp_path / "new").mkdir()
    done = CliRunner().invoke(main, ["build", "--one-file", str(tmp_path / "new" / "one.html"), "--json"])
    assert done.exit_code == 0, done.output
    assert [path.name for path in (tmp_path / "new").iterdir()] == ["one.html"]
    assert json.loads(done.output)["bytes"] == (tmp_path / "new" / "one.html").stat().st_size


def test_the_menu_of_a_large_workshop_stays_short(tmp_path: Path) -> None:
    """Twice the jobs add no line to the menu; every sheet is still made and listed."""
    small = build_site(load_course(write_workshop(tmp_path / "small", 3, FEW + 2)))[0]
    large = build_site(load_course(write_workshop(tmp_path / "large", 3, 2 * FEW + 4)))[0]

    assert sum(map(len, menu(small).values())) == sum(map(len, menu(large).values()))
    jobs = {page.path for page in large if page.path.startswith("sheets/job-")}
    assert len(jobs) == 2 * FEW + 4 - 3
    listed = next(page.html for page in large if page.path == "all-sheets.html")
    assert all(f'href="{path}"' in listed for path in jobs)
