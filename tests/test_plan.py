"""`onionskin plan`: a careful first plan from real files, and its refusals."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.calc import solve
from generator.cli import main
from generator.course import Course, demo_folder, load_course
from generator.facts import FACTS
from generator.pages.build import build_site

COURSE = load_course()
NOTHING = dict.fromkeys(FACTS)


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the demo workshop to spoil."""
    shutil.copytree(demo_folder(), tmp_path / "w")
    return tmp_path / "w"


def change(folder: Path, job: str, pattern: str, to: str) -> Path:
    path = folder / "jobs" / job
    text = path.read_text()
    changed = re.sub(pattern, to, text, flags=re.MULTILINE)
    assert changed != text
    path.write_text(changed)
    return path


def test_the_demo_job_has_a_plan_with_every_number_of_the_contract(folder: Path) -> None:
    """The JSON document carries the promised keys with sensible kinds and nothing else is printed."""
    result = run("plan", str(folder / "jobs" / "dibber-board.yml"), "--json")
    document = json.loads(result.stdout)
    assert result.exit_code == 0
    for key in ("feed_mm_min", "rpm", "chip_load_mm", "stepdown_mm", "passes"):
        assert document[key] > 0, key
    for key in ("force_xy_n", "lift_n"):
        assert 0 <= document[key]["low"] <= document[key]["expected"] <= document[key]["high"]
    assert document["tabs"]["enough"] is True
    assert all(finding["says"] and finding["mend"] for finding in document["warnings"])


def test_the_feed_is_what_the_chip_load_says(folder: Path) -> None:
    """Feed, speed, flutes and chip load of one plan belong together: v_f = f_z z n (milling kinematics)."""
    document = json.loads(run("plan", str(folder / "jobs" / "dibber-board.yml"), "--json").stdout)
    assert document["feed_mm_min"] == pytest.approx(document["chip_load_mm"] * 2 * document["rpm"], rel=1e-9)


def test_passes_reach_the_thickest_place(folder: Path) -> None:
    """Stepdown times passes is the depth of the last pass, below the thickest place measured."""
    document = json.loads(run("plan", str(folder / "jobs" / "dibber-board.yml"), "--json").stdout)
    assert document["stepdown_mm"] * document["passes"] == pytest.approx(document["through_mm"])
    assert document["through_mm"] > 12.0


@pytest.mark.parametrize(
    ("pattern", "to", "finding"),
    [
        (r"^    max_speed: .*\n", "", "cutter-speed-unknown"),
        (r"^    shank: 6 mm", "    shank: 7 mm", "no-collet-fits"),
        (r"^    shank: .*\n", "", "shank-unknown"),
        (r"^  thicknesses: .*\n", "", "thickness-not-measured"),
        (r"^    flutes: .*\n", "", "flutes-unknown"),
        (r"^    max_speed: .*", "    max_speed: 5000 rpm", "too-fast-for-the-cutter"),
    ],
)
def test_a_missing_fact_refuses_the_plan_with_words(pattern: str, to: str, finding: str, folder: Path) -> None:
    """No figure is given, the finding says which fact is missing and how to mend it, and the exit code is 1."""
    path = change(folder, "dibber-board.yml", pattern, to)
    result = run("plan", str(path), "--json")
    document = json.loads(result.stdout)
    assert result.exit_code == 1
    assert finding in [warning["id"] for warning in document["warnings"]]
    assert document["refused"] is True
    assert document["feed_mm_min"] is None
    assert document["rpm"] is None


def test_a_part_that_nothing_holds_stops_but_still_shows_its_numbers(folder: Path) -> None:
    """Taking the tabs away is a finding of severity stop; the figures stay readable."""
    path = change(folder, "dibber-board.yml", r"^    tabs: .*\n", "")
    result = run("plan", str(path), "--json")
    document = json.loads(result.stdout)
    assert result.exit_code == 1
    assert "freed-part" in [warning["id"] for warning in document["warnings"]]
    assert document["feed_mm_min"] > 0


def test_an_unknown_machine_gets_the_most_careful_plan(folder: Path) -> None:
    """With nothing known of the machine but its collets, the plan is slower and says what it assumed."""
    careful = folder / "machines" / "heron.yml"
    careful.write_text("id: heron\nname: Heron\nspindle: {collets: [6 mm]}\n")
    unknown = json.loads(run("plan", str(folder / "jobs" / "dibber-board.yml"), "--json").stdout)
    known = json.loads(run("plan", str(demo_folder() / "jobs" / "dibber-board.yml"), "--json").stdout)
    assert unknown["feed_mm_min"] < known["feed_mm_min"]
    assert unknown["stepdown_mm"] <= known["stepdown_mm"]
    assert unknown["assumed"]


def test_the_set_up_sheet_shows_the_same_numbers(course: Course) -> None:
    """What the terminal says stands on the job's sheet, word for word."""
    lines = run("plan", str(demo_folder() / "jobs" / "dibber-board.yml")).stdout
    sheet = next(page.html for page in build_site(course)[0] if page.path == "sheets/dibber-board.html")
    values = re.findall(r": ([\d.\u202f]+\u00a0(?:mm/min|mm|N|W|rpm))\b", lines)
    assert len(values) > 3
    for value in values:
        assert value in sheet, value


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is empty"),
        ("{", "bracket"),
        ("name: x\nmachine: nobody\n", "nobody"),
        ("name: x\nmachine: heron\nstock: {thicknesses: [12]}\n", "unit"),
        ("name: x\nmachine: heron\nstock: {thicknesses: [0 mm]}\n", "wanted"),
        ("name: x\nmachine: heron\nstock: {thicknesses: [-3 mm]}\n", "wanted"),
        ("name: x\nmachine: heron\nstock: {thicknesses: [1e308 mm]}\n", "wanted"),
        ("name: x\nmachine: heron\nstock: {material: birch-plywod}\n", "did you mean"),
    ],
)
def test_a_bad_job_file_is_answered_with_its_place_and_exit_code_2(text: str, says: str, folder: Path) -> None:
    """Each fault has file, line and mend on stderr; stdout stays empty."""
    path = folder / "jobs" / "bad.yml"
    path.write_text(text)
    result = run("plan", str(path), "--json")
    assert result.exit_code == 2
    assert says in result.stderr
    assert str(path) in result.stderr
    assert result.stdout == ""
    assert "Traceback" not in result.output


CALCULATORS = COURSE.library.calculators
forces = st.floats(1, 300)
shares = st.floats(0.05, 0.8)


@given(force=forces, lift=st.floats(0, 100), friction=shares, press=st.floats(20, 2000), more=st.floats(1.01, 3))
@settings(max_examples=300, deadline=None)
def test_a_stronger_clamp_never_asks_for_more_clamps(
    force: float, lift: float, friction: float, press: float, more: float
) -> None:
    """More clamp force never holds less, and less friction never needs fewer clamps."""
    calculator = CALCULATORS["clamp-count"]
    given_ = {"force_low": force / 4, "force_expected": force / 2, "force_high": force, "lift_high": lift,
              "friction_bed": friction, "preload_guaranteed": press}  # fmt: skip
    weak = solve(calculator, NOTHING, given_)["clamps"]
    strong = solve(calculator, NOTHING, {**given_, "preload_guaranteed": press * more})["clamps"]
    slippery = solve(calculator, NOTHING, {**given_, "friction_bed": max(0.05, friction / more)})["clamps"]
    assert isinstance(weak, float)
    assert strong <= weak <= slippery  # type: ignore[operator]
    assert weak >= 2


@given(fitted=st.integers(2, 19))
@settings(max_examples=30, deadline=None)
def test_more_clamps_never_hold_less(fitted: int) -> None:
    """One clamp more never lowers what is held."""
    calculator = CALCULATORS["clamp-count"]
    one, two = (solve(calculator, NOTHING, {"fitted": float(count)})["held"] for count in (fitted, fitted + 1))
    assert one <= two  # type: ignore[operator]


@given(depth=st.floats(0.5, 6), diameter=st.floats(2, 12), feed=st.floats(300, 4000), density=st.floats(350, 900))
@settings(max_examples=200, deadline=None)
def test_a_duller_cutter_never_needs_less_force(depth: float, diameter: float, feed: float, density: float) -> None:
    """Sharp, used and dull edges push in rising order."""
    calculator = CALCULATORS["cutting-force"]
    given_ = {
        "depth": depth,
        "diameter": diameter,
        "feed": feed,
        "density": density,
        "speed": 18000.0,
        "stepover": diameter,
    }
    pushes = [solve(calculator, NOTHING, {**given_, "edge": edge})["force_high"] for edge in ("sharp", "used", "dull")]
    known = [push for push in pushes if isinstance(push, float)]
    assert known == sorted(known)


@given(thin=st.floats(3, 40), more=st.floats(0, 10), diameter=st.floats(1, 12))
@settings(max_examples=200, deadline=None)
def test_a_thicker_sheet_never_takes_fewer_passes(thin: float, more: float, diameter: float) -> None:
    """Passes rise with thickness and never exceed the deepest pass allowed."""
    calculator = CALCULATORS["stepdown"]
    given_ = {"cut": "through", "thickness_basis": "measured", "diameter": diameter, "flute_length": 60.0}
    answers = [
        solve(calculator, NOTHING, {**given_, "thickness_min": thin, "thickness_max": thick})
        for thick in (thin, thin + more)
    ]
    assert answers[0]["passes_needed"] <= answers[1]["passes_needed"]  # type: ignore[operator]
    assert answers[1]["stepdown"] <= answers[1]["stepdown_most"] * (1 + 1e-9)  # type: ignore[operator]


@pytest.mark.parametrize("id_", sorted(CALCULATORS))
def test_extreme_but_legal_fields_give_a_number_or_no_answer(id_: str) -> None:
    """Every combination of range ends computes: a finite number, 'no answer' or 'not covered', never a crash."""
    import itertools

    calculator = CALCULATORS[id_]
    numbers = [field for field in calculator.inputs if field.kind == "number"]
    ends = [(field.min, field.max) for field in numbers]
    for values in itertools.islice(itertools.product(*ends), 4096):
        entered = dict(zip((field.name for field in numbers), values, strict=True))
        answer = solve(calculator, NOTHING, entered)  # type: ignore[arg-type]
        for output in calculator.outputs:
            found = answer[output.name]
            assert found is None or isinstance(found, bool | str) or abs(float(found)) < 1e15  # type: ignore[arg-type]


def test_a_field_out_of_range_is_refused_in_the_words_of_the_page() -> None:
    """Python and page share one sentence for a field's range."""
    calculator = CALCULATORS["chip-load"]
    field = calculator.inputs[0]
    with pytest.raises(ValueError, match=re.escape(field.range_words)):
        solve(calculator, NOTHING, {field.name: 1e6})


def test_a_tip_below_the_clamps_is_said_to_be_too_low(folder: Path) -> None:
    """No air of less than nothing: how much is missing is told as a length."""
    job = folder / "jobs" / "dibber-board-wren.yml"
    job.write_text(re.sub(r"safe_height: .*", "safe_height: 2 mm", job.read_text()))
    said = run("plan", str(job)).stdout.replace("\u00a0", " ")
    assert "12 mm too low to pass the highest clamp" in said
    assert "-12 mm" not in said


@pytest.mark.parametrize(
    ("pattern", "to", "says"),
    [
        ("diameter: 6 mm", "diameter: 50 mm", "cutter diameter is 50 mm, and it takes 0.5 mm to 30 mm"),
        ("flutes: 2", "flutes: 12", "cutting edges (flutes) is 12, and it takes 1 to 4"),
    ],
)
def test_a_known_number_outside_a_calculator_stops_the_plan(folder: Path, pattern: str, to: str, says: str) -> None:
    """No careful value stands in for what is known: the figures it bears on are left out, and the range is said."""
    change(folder, "dibber-board.yml", r"(?s)  - name: (sowing|finger).*?(?=  - name: outline)", "")
    result = run("plan", str(change(folder, "dibber-board.yml", pattern, to)), "--json")
    document = json.loads(result.stdout)
    assert result.exit_code == 1
    assert document["feed_mm_min"] is None
    told = {found["says"].replace("\xa0", " "): found["severity"] for found in document["warnings"]}
    assert [severity for words, severity in told.items() if says in words][:1] == ["stop"]
    assert not [name for name in document["assumed"] if name.endswith((".diameter", ".flutes", ".thickness_max"))]


def test_where_no_model_reaches_the_plan_says_what_each_covers(folder: Path) -> None:
    """A cutter of 20 mm is no mistake, only beyond the estimate: no figure, and the words of its range."""
    change(folder, "dibber-board.yml", r"(?s)  - name: (sowing|finger).*?(?=  - name: outline)", "")
    result = run("plan", str(change(folder, "dibber-board.yml", "diameter: 6 mm", "diameter: 20 mm")))
    assert "Feed:" not in result.output
    assert "gives no figure: it covers cutters up to 12.7 mm" in result.output


SECOND = """  - {id: three-up, name: three, number: 2, kind: upcut-spiral, diameter: 3 mm, shank: 6 mm, flutes: 2,
     flute_length: 10 mm, stick_out: 25 mm, max_speed: 24000 rpm, helix: 30 deg, worn: sharp}

operations:"""


def test_every_cutter_of_the_operations_has_numbers_of_its_own(folder: Path) -> None:
    """They are the ones a job with that cutter alone and its operations has, and what is found about it names it."""
    change(folder, "dibber-board.yml", "\noperations:", SECOND)
    both = change(folder, "dibber-board.yml", r"cutter: six-up\n    kind: pocket", "cutter: three-up\n    kind: pocket")
    text = both.read_text()
    alone = folder / "jobs" / "alone.yml"
    alone.write_text(
        re.sub(
            r"(?s)  - id: six-up.*?(?=  - \{id: three)",
            "",
            re.sub(r"(?s)  - name: (sowing|outline).*?(?=\n  - |\n\n)", "", text),
        )
    )
    document, own = (json.loads(run("plan", str(path), "--json").stdout) for path in (both, alone))
    second = document["other_cutters"]["three-up"]
    assert (document["cutter"], own["cutter"]) == ("six-up", "three-up")
    assert second == {name: own[name] for name in second}
    assert set(second) >= {"feed_mm_min", "chip_load_mm", "stepdown_mm", "plunge_mm_min", "force_xy_n"}
    assert any(found["says"].startswith("three (T2): ") for found in document["warnings"])
    assert "With three (T2)" in run("plan", str(both)).output


def test_a_second_cutter_of_unknown_speed_stops_the_plan_too(folder: Path) -> None:
    """What refuses a plan for the main cutter refuses it for every other, by its name."""
    change(folder, "dibber-board.yml", "\noperations:", SECOND.replace("max_speed: 24000 rpm, ", ""))
    both = change(folder, "dibber-board.yml", r"cutter: six-up\n    kind: pocket", "cutter: three-up\n    kind: pocket")
    result = run("plan", str(both))
    assert result.exit_code == 1
    assert "three (T2): Nobody has entered how fast this cutter may turn" in result.output
