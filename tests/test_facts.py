"""The flat facts: every name there is, its words and bounds, and what machine, job and workshop make of it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from generator.facts import FACTS, GROUPS, facts_of
from generator.load_workshop import load_workshop
from generator.model import Job, Machine
from generator.model.faults import read_model
from generator.model.material import Graded, Material
from generator.units import UNITS
from generator.yamlread import read_yaml

DEMO = Path(__file__).parent.parent / "content" / "demo" / "millrace"

# Names that content is written against; taking one away or renaming it breaks lessons and rules.
PROMISED = """
machine.name
spindle.switching spindle.speed_control spindle.power spindle.min_speed spindle.max_speed spindle.dial_positions
spindle.dial_speeds spindle.run_up spindle.run_down spindle.collets spindle.nut_diameter spindle.nut_length
spindle.on_pause spindle.on_disconnect spindle.on_alarm
stop.kind stop.position_kept stop.reach pause.behaviour homing.kind homing.corner homing.signs limits.kind
travel.x travel.y travel.z travel.z_clear drive.xy drive.z frame.stiffness frame.flexibility
feed.max_xy feed.max_z feed.rapid feed.acceleration gantry.motors
hold_down.kinds hold_down.bolt_diameter hold_down.knob hold_down.vacuum_pressure
bed.thickness bed.material bed.metal_below bed.last_surfaced bed.size_x bed.size_y bed.flatness
probe.kind probe.plate_thickness tool_change.kind controller.kind controller.units_default controller.dialect
computer.kind sender.features supply.voltage supply.breaker supply.shared_with
extraction.kind extraction.hose extraction.earthed enclosure.kind room.kind people.mode
stock.material stock.thickness_min stock.thickness_max stock.thickness_nominal stock.thickness_measured
stock.size_x stock.size_y stock.density
cutter.kind cutter.diameter cutter.shank cutter.flutes cutter.flute_length cutter.stick_out cutter.max_speed
cutter.helix cutter.material
job.name job.zero_corner job.z_zero job.safe_height job.through job.depth job.clamp_height
"""

JOB = """\
name: j
machine: m
stock: {{material: plain-board, thickness_nominal: 12 mm{measured}}}
cutters: [{{id: c, diameter: 6 mm}}, {{id: d, diameter: 3 mm}}]
operations:
  - {{name: a, cutter: c, kind: pocket, depth: 4 mm, shape: {{form: circle, x: 0 mm, y: 0 mm, diameter: 20 mm}}}}
  - {{name: b, cutter: c, kind: on-line, {cut}, shape: {{form: circle, x: 0 mm, y: 0 mm, diameter: 20 mm}}}}
"""


def machine(settings: str = "") -> Machine:
    return read_model(Machine, read_yaml(f"id: m\nname: M\n{settings}", "f"))


def job(cut: str = "depth: 3 mm", measured: str = "", more: str = "") -> Job:
    return read_model(Job, read_yaml(JOB.format(cut=cut, measured=measured) + more, "f"))


def board() -> Material:
    return Material.model_validate(
        {
            "id": "plain-board", "name": "Plain board", "density": {"value": 700, "mark": "our-proposal"},
            "thickness_tolerance": [{"nominal": 12, "plus": 0.2, "minus": 0.5, "mark": "our-proposal"}],
            "dust_class": "board", "dust_note": "x", "caution": "x", "first_job": "good",
        }
    )  # fmt: skip


def test_every_promised_name_is_a_fact() -> None:
    """Content may rely on these names."""
    assert [name for name in PROMISED.split() if name not in FACTS] == []


def test_every_fact_says_what_it_is() -> None:
    """A fact has a label, a group with a title, a unit if it is a number, and choices that are hyphened words."""
    for name, spec in FACTS.items():
        assert re.fullmatch(r"[a-z]+(_[a-z]+)*\.[a-z]+(_[a-z]+)*", name)
        assert spec.name == name
        assert spec.label
        assert spec.group in GROUPS
        assert (spec.unit in UNITS) == (spec.kind in ("number", "numbers")), name
        assert all(re.fullmatch(r"[a-z]+(-[a-z]+)*", choice) for choice in spec.choices), name


def test_every_number_is_bounded() -> None:
    """A page can offer an input for every number that a person enters."""
    unbounded = [
        name for name, spec in FACTS.items() if spec.kind == "number" and (spec.low is None or spec.high is None)
    ]
    assert unbounded == []
    assert all(spec.low < spec.high for spec in FACTS.values() if spec.low is not None and spec.high is not None)


@pytest.mark.parametrize("given", ["machine", "machine and job", "all"])
def test_unknown_facts_are_none_and_never_left_out(given: str) -> None:
    """Whatever is handed in, every name has an answer, if only that it is unknown."""
    home = load_workshop(DEMO)
    made = home.jobs["dibber-board"] if "machine" not in given or "job" in given else None
    facts = facts_of(home.default_machine, made, home.workshop if given == "all" else None)
    assert facts.keys() == FACTS.keys()
    assert (facts["job.name"] is None) == (made is None)


def test_every_value_has_the_kind_its_fact_promises() -> None:
    """Numbers are numbers, lists are lists of one kind, and words are among the choices."""
    kinds: dict[str, Any] = {"number": (int, float), "text": str, "bool": bool, "numbers": list, "texts": list}
    home = load_workshop(DEMO)
    for made in home.jobs.values():
        for name, value in facts_of(home.machines[made.machine], made, home.workshop).items():
            spec = FACTS[name]
            if value is None:
                continue
            assert isinstance(value, kinds[spec.kind]), name
            assert spec.kind == "bool" or not isinstance(value, bool), name
            words = value if isinstance(value, list) else [value]
            assert not spec.choices or set(words) <= set(spec.choices), name


def test_a_bare_machine_claims_nothing() -> None:
    """Of a machine with a name only, nothing but id, name and the absence of local rules is known."""
    known = {name: value for name, value in facts_of(machine()).items() if value is not None}
    assert known == {"machine.id": "m", "machine.name": "M", "machine.local_rules": []}


def test_measured_thickness_wins_over_the_label() -> None:
    """Thinnest and thickest are those of the callipers."""
    facts = facts_of(
        machine(), job(measured=", thicknesses: [11.7 mm, 11.4 mm, 11.9 mm]"), None, {"plain-board": board()}
    )
    assert (facts["stock.thickness_min"], facts["stock.thickness_max"]) == (11.4, 11.9)
    assert facts["stock.thickness_measured"] is True


def test_an_unmeasured_sheet_may_be_all_its_material_allows() -> None:
    """Without callipers the tolerance of the material is assumed; without that, nothing is."""
    facts = facts_of(machine(), job(), None, {"plain-board": board()})
    assert (facts["stock.thickness_min"], facts["stock.thickness_max"]) == (11.5, 12.2)
    assert facts["stock.thickness_measured"] is False
    assert facts_of(machine(), job())["stock.thickness_max"] is None


def test_the_material_gives_its_figures() -> None:
    """Density and dust come from the course; a figure the course does not have stays unknown."""
    facts = facts_of(machine(), job(), None, {"plain-board": board()})
    assert (facts["stock.density"], facts["stock.dust_class"], facts["stock.first_job"]) == (700, "board", "good")
    assert facts["stock.shear_strength"] is None
    assert facts_of(machine(), job(), None, {})["stock.density"] is None
    assert isinstance(board().density, Graded)


def test_a_cut_right_through_is_as_deep_as_the_sheet_is_thick() -> None:
    """The deepest cut is known if every cut is; through an unmeasured sheet it is not."""
    assert facts_of(machine(), job("depth: 9 mm"))["job.depth"] == 9
    assert facts_of(machine(), job("through: yes", ", thicknesses: [12.1 mm]"))["job.depth"] == 12.1
    assert facts_of(machine(), job("through: yes"))["job.depth"] is None


def test_the_weakest_tab_of_the_job_is_the_one_that_counts() -> None:
    """Of several parts, the fewest, the narrowest and the lowest tabs are told; without tabs nothing is."""
    two = job(
        "through: yes, tabs: {count: 3, width: 9 mm, height: 2 mm}",
        more="  - {name: c, cutter: c, kind: on-line, through: yes, tabs: {count: 5, width: 6 mm, height: 4 mm},"
        " shape: {form: circle, x: 0 mm, y: 0 mm, diameter: 9 mm}}\n",
    )
    facts = facts_of(machine(), two)
    assert (facts["job.tab_count"], facts["job.tab_width"], facts["job.tab_height"]) == (3, 6, 2)
    assert facts_of(machine(), job("through: yes, skin: 0.4 mm"))["job.skin_thickness"] == 0.4
    assert facts_of(machine(), job())["job.tab_count"] is None


@pytest.mark.parametrize(
    ("heights", "highest"),
    [(["12 mm", "30 mm"], 30), (["-2 mm"], -2), (["12 mm", "unknown"], None), ([], 0)],
)
def test_the_highest_hold_down_is_known_only_if_all_are(heights: list[str], highest: float | None) -> None:
    """One clamp of unknown height makes the highest unknown; no clamp at all makes it none."""
    spots = ", ".join(f"{{kind: t-slots, x: 0 mm, y: 0 mm, height: {height}}}" for height in heights)
    assert facts_of(machine(), job(more=f"hold_downs: [{spots}]"))["job.clamp_height"] == highest


def test_hold_downs_not_asked_for_are_not_no_hold_downs() -> None:
    """A job that does not speak of hold-downs leaves them unknown; an empty list says there are none."""
    assert facts_of(machine(), job())["job.hold_downs"] is None
    assert facts_of(machine(), job(more="hold_downs: []"))["job.hold_downs"] == []


def test_the_first_cutter_is_the_main_one() -> None:
    """Cutter facts are those of the first cutter listed."""
    facts = facts_of(machine(), job())
    assert (facts["cutter.diameter"], facts["job.cutter_count"]) == (6, 2)


@pytest.mark.parametrize(
    ("controls", "tested"),
    [("2026-01-01", True), ("never", False), ("unknown", False)],
)
def test_a_stop_control_counts_as_tested_when_it_has_a_date(controls: str, tested: bool) -> None:
    """Never and unknown are both no; without any control listed it is unknown."""
    made = machine(f"stop: {{controls: [{{name: a, tested: 2026-02-02}}, {{name: b, tested: {controls}}}]}}")
    assert facts_of(made)["stop.controls_tested"] is tested
    assert facts_of(machine())["stop.controls_tested"] is None


@pytest.mark.parametrize("untested", ["tested: never", "tested: unknown", "place: front"])
def test_the_control_to_hit_first_is_one_that_was_tested(untested: str) -> None:
    """A button nobody has pressed is not named first, however high it stands; where none was tested none is named."""
    stops = "stops: [axes, spindle]"
    hoped = f"{{name: red button, {stops}, {untested}}}"
    proved = f"{{name: main switch, {stops}, tested: 2026-02-02}}"
    both = facts_of(machine(f"stop: {{controls: [{hoped}, {proved}]}}"))
    assert (both["stop.main_control"], both["stop.spindle_control"]) == ("main switch", "main switch")
    alone = facts_of(machine(f"stop: {{controls: [{hoped}]}}"))
    assert (alone["stop.main_control"], alone["stop.spindle_control"]) == (None, None)


def test_rules_for_other_machines_are_left_out() -> None:
    """Only Bittern is told about screws in its loose board."""
    home = load_workshop(DEMO)
    told = {name: facts_of(made, None, home.workshop)["workshop.rules"] for name, made in home.machines.items()}
    assert len(told["bittern"]) == len(told["heron"]) + 1  # type: ignore[arg-type]
