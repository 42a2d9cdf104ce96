"""A new workshop folder: complete, commented, loadable as it is, and never over anything."""

from __future__ import annotations

import os
from datetime import date
from itertools import takewhile
from pathlib import Path

import pytest

from generator.errors import OnionskinError
from generator.facts import facts_of
from generator.load_content import content_folder, load_some
from generator.load_workshop import load_job, load_workshop
from generator.model.schema import schemas
from generator.new import new_workshop
from generator.yamlread import read_document
from tests.test_model import complaints

TODAY = date(2026, 4, 1)


def test_a_new_workshop_loads_without_fault(tmp_path: Path) -> None:
    """It can be built before a single answer is filled in."""
    files = new_workshop(tmp_path / "shop", TODAY)
    home = load_workshop(tmp_path / "shop")
    assert all(path.is_file() for path in files)
    assert home.default_machine.name == "My router"
    assert load_job(tmp_path / "shop" / "jobs" / "first-job.yml").job.operations[0].depth == 2
    assert home.workshop.rules[0].review == "2027-04-01"


def test_the_job_file_lists_the_materials_and_cutters_it_may_name(tmp_path: Path) -> None:
    """Nobody has to guess an id: all of the course stand in the comments above the setting, each whole."""
    new_workshop(tmp_path / "shop", TODAY)
    known = load_some([content_folder()], ("materials", "cutters"))
    lines = (tmp_path / "shop" / "jobs" / "first-job.yml").read_text("utf-8").splitlines()
    for setting, ids in (("material", known.materials), ("kind", known.cutters)):
        place = next(number for number, line in enumerate(lines) if line.strip() == f"{setting}: unknown")
        above = list(takewhile(lambda line: line.lstrip().startswith("#"), reversed(lines[:place])))
        words = {word.strip(" ,.") for line in above for word in line.split()}
        assert set(ids) <= words, setting


def test_a_new_machine_claims_nothing(tmp_path: Path) -> None:
    """Whatever must be looked at stands at unknown."""
    new_workshop(tmp_path / "shop", TODAY)
    facts = facts_of(load_workshop(tmp_path / "shop").default_machine)
    assert {name for name, value in facts.items() if value not in (None, [])} == {"machine.id", "machine.name"}


def test_the_machine_file_offers_every_setting_with_a_note(tmp_path: Path) -> None:
    """No setting has to be found elsewhere, and each follows a comment that says what it is."""
    new_workshop(tmp_path / "shop", TODAY)
    path = tmp_path / "shop" / "machines" / "my-router.yml"
    lines = path.read_text("utf-8").splitlines()
    settings = [number for number, line in enumerate(lines) if line.endswith(": unknown")]
    assert len(settings) > 100
    assert all(lines[number - 1].lstrip().startswith("#") for number in settings)
    properties = schemas()["machine"]["$defs"]
    offered = read_document(path).data
    for section, name in [("spindle", "Spindle"), ("bed", "Bed"), ("calibration", "Calibration"), ("room", "Room")]:
        assert offered[section].keys() == properties[name]["properties"].keys(), section


@pytest.mark.parametrize("example", ["stop", "tooling"])
def test_the_examples_in_the_machine_file_can_be_taken_as_they_are(tmp_path: Path, example: str) -> None:
    """Taking away the # of an example leaves a file without fault."""
    new_workshop(tmp_path / "shop", TODAY)
    path = tmp_path / "shop" / "machines" / "my-router.yml"
    text = path.read_text("utf-8")
    starts = {"stop": ("  # controls:", "  #   - "), "tooling": ("# tooling:", "#   - ")}[example]
    lines = [line.replace("# ", "", 1) if line.startswith(starts) else line for line in text.splitlines()]
    path.write_text("\n".join(lines), encoding="utf-8")
    made = load_workshop(tmp_path / "shop").default_machine
    assert made.stop.controls if example == "stop" else made.tooling


def test_every_new_file_keeps_to_the_schema_it_points_to(tmp_path: Path) -> None:
    """The schema lies in the folder, the first line leads to it, and an editor has nothing to underline."""
    for path in new_workshop(tmp_path / "shop", TODAY):
        first = path.read_text("utf-8").partition("\n")[0]
        schema = read_document((path.parent / first.partition("$schema=")[2]).resolve()).data
        assert schema in schemas().values()
        assert complaints(schema, read_document(path).data, schema) == []


def test_an_empty_folder_is_filled_and_parents_are_made(tmp_path: Path) -> None:
    """The folder may exist if nothing is in it; what leads to it need not exist."""
    (tmp_path / "empty").mkdir()
    for folder in (tmp_path / "empty", tmp_path / "a" / "b"):
        new_workshop(folder, TODAY)
        assert load_workshop(folder).jobs


def test_nothing_of_the_owners_is_ever_overwritten(tmp_path: Path) -> None:
    """A folder with anything in it, a file, or a link that leads nowhere is refused and left as it was."""
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "workshop.yml").write_text("name: Mine\n")
    (tmp_path / "file").write_text("x")
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    for name, says in [("mine", "is not empty"), ("file", "is no folder"), ("link", "is no folder")]:
        with pytest.raises(OnionskinError, match=says):
            new_workshop(tmp_path / name, TODAY)
    assert os.listdir(tmp_path / "mine") == ["workshop.yml"]
    assert sorted(os.listdir(tmp_path)) == ["file", "link", "mine"]


def test_a_place_that_cannot_be_written_is_said_and_leaves_nothing(tmp_path: Path) -> None:
    """A file in the way of the path is an error in words, not a traceback."""
    (tmp_path / "file").write_text("x")
    with pytest.raises(OnionskinError, match="cannot be made"):
        new_workshop(tmp_path / "file" / "shop", TODAY)
    assert os.listdir(tmp_path) == ["file"]
