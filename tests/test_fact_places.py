"""Every fact a check may ask for is sent to a setting that is really there."""

from __future__ import annotations

import re

import pytest

from generator.fact_places import place_of
from generator.facts import FACTS
from generator.load_content import content_folder, load_some
from generator.model import Job, Machine
from generator.model.schema import schemas

ASKED = sorted({name for check in load_some([content_folder()], ("checks",)).checks.values() for name in check.needs})


@pytest.mark.parametrize("fact", [name for name in FACTS if not name.startswith("workshop.")])
def test_a_setting_that_is_named_is_one_of_its_file(fact: str) -> None:
    """Each step of the way is a property of the schema an editor goes by."""
    place = place_of(fact, "six-up")
    schema = schemas()[place.file]
    here = schema
    for step in re.sub(r" of .*", "", place.setting).split(": "):
        assert step in here["properties"], place.setting
        inside = re.findall(r"#/\$defs/(\w+)", str(here["properties"][step]))
        here = schema["$defs"][inside[0]] if inside else {"properties": {}}


@pytest.mark.parametrize("fact", ASKED)
def test_whatever_a_check_asks_for_has_a_place_and_words(fact: str) -> None:
    """Nothing is asked that the reader has nowhere to write down."""
    place = place_of(fact, "six-up")
    model = Job if place.file == "job" else Machine
    assert place.setting.partition(":")[0] in model.model_fields
    assert place.label[0].isupper()


@pytest.mark.parametrize(
    ("fact", "file", "setting"),
    [
        ("job.zero_bed_x", "job", "zero: bed_x"),
        ("cutter.diameter", "job", "cutters: diameter of six-up"),
        ("stock.thickness_min", "job", "stock: thicknesses"),
        ("job.clamp_height", "job", "hold_downs: height of each"),
        ("bed.insert_depth", "machine", "bed: insert_depth"),
        ("machine.name", "machine", "name"),
    ],
)
def test_a_setting_is_named_as_it_stands_in_the_file(fact: str, file: str, setting: str) -> None:
    """With its group before it, and in a list with the entry it belongs to."""
    place = place_of(fact, "six-up")
    assert (place.file, place.setting) == (file, setting)
