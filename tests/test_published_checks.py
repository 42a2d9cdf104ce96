"""Formulas and figures of the course against what sources outside it print.

Every check value carries its source and how far it was read; see tests/data/published_checks.yml.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from generator.calc import Answer, input_named, solve
from generator.expr import Value
from generator.facts import FACTS
from generator.library import Library
from generator.load_content import content_folder, load_some
from generator.model.calculator import Calculator, Example
from generator.units import read_quantity
from generator.yamlread import read_document

CHECKS: dict[str, list[dict[str, Any]]] = read_document(Path(__file__).parent / "data" / "published_checks.yml").data
NOTHING_KNOWN: dict[str, Value] = dict.fromkeys(FACTS)


@cache
def library() -> Library:
    return load_some([content_folder()], ["calculators", "materials"])


def answer(calculator: str, inputs: dict[str, Any]) -> Answer:
    """The calculator's answer where nothing is known of the machine but `inputs`."""
    chosen = library().calculators[calculator]
    return solve(chosen, NOTHING_KNOWN, {name: entered(chosen, name, value) for name, value in inputs.items()})


def entered(calculator: Calculator, name: str, value: object) -> Value:
    field = input_named(calculator, name)
    if field.choices or not isinstance(value, str):
        return value if isinstance(value, str) else float(value)  # type: ignore[arg-type]
    return read_quantity(value, field.unit)


def number(calculator: str, output: str, inputs: dict[str, Any], band: str | None = None) -> float:
    found = answer(calculator, inputs)
    value = found[output] if band is None else found.bands[output][band == "high"]
    assert isinstance(value, float)
    return value


def near(check: dict[str, Any]) -> Any:
    return pytest.approx(check["expect"], rel=check.get("relative", 0), abs=check.get("absolute", 0))


def named(checks: list[dict[str, Any]], *keys: str) -> list[Any]:
    return [pytest.param(check, id=" ".join(str(check[key]) for key in keys)) for check in checks]


@pytest.mark.parametrize("check", named(CHECKS["values"], "id"))
def test_calculator_agrees_with_its_source(check: dict[str, Any]) -> None:
    """A calculator gives the value its source prints, or that follows from the formula the source prints."""
    found = number(check["calculator"], check["output"], check["inputs"], check.get("band"))
    assert found / check.get("one_is", 1) == near(check), f"{check['source']} ({check['mark']})"


@pytest.mark.parametrize("check", named([c for c in CHECKS["values"] if "prints" in c], "id"))
def test_calculator_is_within_the_rounding_of_print(check: dict[str, Any]) -> None:
    """What a source prints rounded is met within 6 %, the coarsest rounding among these tables."""
    found = number(check["calculator"], check["output"], check["inputs"], check.get("band"))
    assert found / check.get("one_is", 1) == pytest.approx(check["prints"], rel=0.06), check["source"]


@pytest.mark.parametrize("check", named(CHECKS["ratios"], "id"))
def test_output_scales_as_its_source_says(check: dict[str, Any]) -> None:
    """Changing one input changes the output by the factor its source states."""
    above, below = (number(check["calculator"], check["output"], check[key]) for key in ("inputs", "over"))
    assert above / below / check.get("one_is", 1) == near(check), f"{check['source']} ({check['mark']})"


@pytest.mark.parametrize("check", named(CHECKS["constants"], "calculator", "constant"))
def test_constant_is_the_printed_one(check: dict[str, Any]) -> None:
    """A constant kept in our units is the number its source prints in other units."""
    constants = {constant.name: constant.value for constant in library().calculators[check["calculator"]].constants}
    wanted = pytest.approx(check["printed"] * check["one_is"], rel=check["relative"])
    assert constants[check["constant"]] == wanted, f"{check['source']} ({check['mark']})"


@pytest.mark.parametrize("check", named(CHECKS["materials"], "id"))
def test_material_agrees_with_the_other_table(check: dict[str, Any]) -> None:
    """A material's figure, taken from a metric table, agrees with the inch table of the same book."""
    figure = getattr(library().materials[check["material"]], check["field"])
    assert figure.value == pytest.approx(check["printed"] * check["one_is"], rel=check["relative"]), check["source"]


@pytest.mark.parametrize("check", named(CHECKS["sheets"], "material", "nominal", "end"))
def test_sheet_limits_are_the_printed_ones(check: dict[str, Any]) -> None:
    """The thickest or thinnest a sheet of a trade size may be is what the mill's table says."""
    rows = library().materials[check["material"]].thickness_tolerance
    row = next(row for row in rows if row.nominal == check["nominal"])
    limit = row.nominal + (row.plus if check["end"] == "plus" else -row.minus)
    assert limit == pytest.approx(check["limit"], abs=0.001), check["source"]


EXAMPLES = [
    pytest.param(calculator, example, id=f"{calculator.id} {index}")
    for calculator in library().calculators.values()
    for index, example in enumerate(calculator.examples, 1)
]


@pytest.mark.parametrize(("calculator", "example"), EXAMPLES)
def test_worked_example_comes_out(calculator: Calculator, example: Example) -> None:
    """Every worked example of a calculator is covered by its model and gives what it promises."""
    found = solve(calculator, NOTHING_KNOWN, dict(example.inputs))
    assert found.covered
    for name, wanted in example.expect.items():
        close = pytest.approx(wanted, rel=example.tolerance) if isinstance(wanted, float) else wanted
        assert found[name] == close, f"{name}: {example.source} ({example.mark})"


@pytest.mark.parametrize("calculator", [pytest.param(c, id=c.id) for c in library().calculators.values()])
def test_band_holds_its_middle(calculator: Calculator) -> None:
    """In every worked example a band's low end is not above, and its high end not below, the value it belongs to."""
    for example in calculator.examples:
        found = solve(calculator, NOTHING_KNOWN, dict(example.inputs))
        for name, (low, high) in found.bands.items():
            in_order = [low, found[name], high]
            assert all(isinstance(value, float) for value in in_order), name
            assert in_order == pytest.approx(sorted(in_order), abs=1e-9), name  # type: ignore[type-var]


def test_peak_of_a_tooth_is_far_above_the_mean() -> None:
    """In a slot with two edges one tooth peaks at pi/2 of the mean force, so power says too little for holding.

    Mechanics. At a chip of 0.1 mm and 650 kg/m3 the force model has the 40 N/mm2 that the power sum is given.
    """
    slot = {"depth": 3, "stepover": 6, "diameter": 6, "feed": 3600, "speed": 18000, "edge": "sharp"}
    peak = number("cutting-force", "tooth_force", slot | {"density": 650, "flutes": 2, "pull": "none", "helix": 0})
    mean = number("removal-and-power", "force_mean", slot | {"specific_force": 40})
    assert peak / mean == pytest.approx(math.pi / 2, rel=1e-4)


def test_knob_torques_are_within_a_weak_hand() -> None:
    """The torque taken for a small knob is no more than what a weak hand was measured to give.

    Kreifeldt 1985 (abstract, read): mean 36 in lb, standard deviation 7.2; times 0.40, women to men,
    from 'Hand Torque Strength with Cylindrical Handles', 1983 (abstract, read): 1.09 N m at the 5th percentile.
    """
    weak = (36 - 1.645 * 7.2) * 0.40 * 0.1129848290276
    assert weak == pytest.approx(1.0917, rel=1e-3)
    constants = {constant.name: constant.value for constant in library().calculators["bolt-preload"].constants}
    assert constants["torque_wing"] < constants["torque_small"] <= weak


def test_side_cut_is_not_a_centred_cut() -> None:
    """At half the diameter the mean chip is that of a side cut, not the larger one of a centred strip.

    The centred formula is printed in a cutter maker's catalogue of 2018, page F008 (read); it would give 0.0955.
    """
    mean = number("chip-thinning", "chip_mean", {"diameter": 6, "stepover": 3, "chip_load": 0.1})
    assert mean == pytest.approx(0.2 / math.pi, rel=1e-6)
    assert 3 * 0.1 / (6 * math.asin(0.5)) == pytest.approx(0.095493, rel=1e-4)


def test_both_clamp_pages_say_the_same() -> None:
    """The clamp count and the page with and without stops ask for the same clamp force."""
    shared = {"friction_bed": 0.25, "friction_clamp": 0.1}
    counted = number("clamp-count", "needed", shared | {"force_high": 40, "lift_high": 12})
    compared = number("needed-preload", "by_friction", shared | {"force_xy": 40, "lift": 12, "safety": 2})
    assert counted == pytest.approx(compared)


def test_dial_machine_gets_one_of_its_positions() -> None:
    """With a dial, the speed is one of its positions, the largest at or below the wanted one."""
    facts = NOTHING_KNOWN | {
        "spindle.dial_speeds": [10_000.0, 12_000.0, 17_000.0, 22_000.0], "spindle.dial_positions": ["1", "2", "3", "4"],
        "feed.max_xy": 1500.0, "cutter.max_speed": 24_000.0,
    }  # fmt: skip
    found = solve(library().calculators["chip-load"], facts, {"diameter": 6.0, "flutes": 2.0, "stiffness": "light"})
    assert (found["speed"], found["dial"]) == (12_000.0, "2")
    assert found["feed"] == pytest.approx(0.0607 * 2 * 12_000, rel=1e-3)


def test_unknown_cutter_limit_stops() -> None:
    """Where nobody knows how fast a cutter may turn, the speed pages say stop, and any number entered ends that."""
    for page in ("chip-load", "cutting-speed"):
        unknown, known = answer(page, {}), answer(page, {"cutter_max_speed": 24_000})
        assert [advised.severity for advised in unknown.advice].count("stop") == 1
        assert "stop" not in [advised.severity for advised in known.advice]


def test_cutter_slower_than_the_dial_stops() -> None:
    """A cutter whose limit lies below the slowest dial position is refused, not run at that position."""
    facts = NOTHING_KNOWN | {"spindle.dial_speeds": [10_000.0, 12_000.0], "cutter.max_speed": 8_000.0}
    found = solve(library().calculators["chip-load"], facts)
    assert any(advised.severity == "stop" and "Do not use" in advised.says for advised in found.advice)


def test_never_fewer_than_two_clamps() -> None:
    """However small the force and strong the clamp, two clamps are the least."""
    tiny = {"force_low": 0.1, "force_expected": 0.1, "force_high": 0.1, "lift_high": 0, "preload_guaranteed": 20000}
    assert number("clamp-count", "clamps", tiny) == 2


@pytest.mark.parametrize("gap", [0.0, -0.3])
def test_tabs_that_vanish_on_a_thin_sheet_stop_the_job(gap: float) -> None:
    """A tab whose height is used up by the cut below the thinnest place is a stop, not a small number."""
    found = answer("tabs", {"z_zero": "stock-top", "depth": 12.3, "thickness_min": 11.6, "thickness_max": 12.0,
                            "tab_height": 0.7 + gap})  # fmt: skip
    assert found["enough"] is False
    assert any(advised.severity == "stop" for advised in found.advice)
