"""Machine, job and workshop: what is accepted, what it becomes, and how every fault is worded."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ValidationError

from generator.errors import InputFaults
from generator.factspec import is_part
from generator.model import Job, Machine, Workshop, quantity
from generator.model.base import Part
from generator.model.faults import read_model, wanted
from generator.model.schema import schemas, write_schemas
from generator.units import read_quantity
from generator.yamlread import read_document, read_yaml

ROOT = Path(__file__).parent.parent
DEMO = ROOT / "content" / "demo" / "millrace"
DEMO_FILES = [
    *[("machine", path) for path in sorted(DEMO.glob("machines/*"))],
    *[("job", path) for path in sorted(DEMO.glob("jobs/*"))],
    ("workshop", DEMO / "workshop.yml"),
]
CUT = "name: a\nmachine: m\ncutters: [{id: c}]\noperations:\n  - "
ROUND = "shape: {form: circle, x: 0 mm, y: 0 mm, diameter: 20 mm}"
SQUARE = "shape: {form: rectangle, x: 0 mm, y: 0 mm, size_x: 9 mm, size_y: 9 mm}"


def faults(model: type[BaseModel], text: str) -> list[str]:
    with pytest.raises(InputFaults) as caught:
        read_model(model, read_yaml(text, "f.yml"))
    return [str(fault) for fault in caught.value.faults]


def machine(text: str) -> Machine:
    return read_model(Machine, read_yaml(f"id: m\nname: M\n{text}", "f.yml"))


def sections() -> list[tuple[str, type[Part]]]:
    return [(name, field.annotation) for name, field in Machine.model_fields.items() if is_part(field.annotation)]


def test_a_machine_with_a_name_only_is_legal_and_knows_nothing() -> None:
    """Id and name are all a machine must have; everything else is then unknown."""
    bare = machine("")
    values = [getattr(getattr(bare, section), name) for section, part in sections() for name in part.model_fields]
    assert len(values) > 100
    assert set(values) == {None}


@pytest.mark.parametrize("word", ["unknown", "Unknown", "", "~", "null"])
def test_unknown_is_legal_everywhere(word: str) -> None:
    """Every setting and every group of settings may say unknown, or nothing at all."""
    groups = "".join(f"{name}: {word}\n" for name, _ in sections())
    each = "".join(
        f"{name}:\n" + "".join(f"  {field}: {word}\n" for field in part.model_fields) for name, part in sections()
    )
    assert machine(groups) == machine(each) == machine("")


def test_quantities_are_kept_in_the_unit_of_the_field() -> None:
    """Inches, kilowatts and millibars become mm, W and kPa."""
    made = machine(
        "spindle: {power: 1.1 kW, collets: [1/4 in, 6 mm], max_speed: 24000 rpm}\n"
        "hold_down: {vacuum_pressure: 200 mbar}\nfeed: {rapid: 100 mm/s}"
    )
    assert made.spindle.power == 1100
    assert made.spindle.collets == pytest.approx((6.35, 6.0))
    assert made.hold_down.vacuum_pressure == pytest.approx(20)
    assert made.feed.rapid == 6000


@pytest.mark.parametrize(
    ("word", "value"), [("yes", True), ("On", True), ("true", True), ("no", False), ("off", False)]
)
def test_yes_and_no_are_said_as_people_say_them(word: str, value: bool) -> None:
    """yes, on and true are one answer, no, off and false the other."""
    assert machine(f"bed: {{metal_below: {word}}}").bed.metal_below is value


def test_models_are_frozen() -> None:
    """A machine that has been read cannot be changed behind anyone's back."""
    made = machine("travel: {x: 400 mm}")
    with pytest.raises(ValidationError):
        made.travel.x = 500.0  # type: ignore[misc]


def test_a_machine_written_as_json_reads_back_the_same() -> None:
    """What the browser exports, quantities with their unit again, is accepted and loses nothing."""
    for _, path in DEMO_FILES[:3]:
        made = read_model(Machine, read_document(path))
        text = made.model_dump_json(exclude_none=True)
        assert read_model(Machine, read_yaml(text, "f.json")) == made


def test_markup_in_a_name_is_kept_as_text() -> None:
    """A name is text, whatever it looks like; escaping is the page's business."""
    assert read_model(Machine, read_yaml("id: m\nname: <script>alert(1)</script>", "f.yml")).name.startswith("<script>")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("travel: {x: 400}", "travel.x: found 400 without a unit; write '400 mm'"),
        ("travel: {x: 0 mm}", "travel.x: found '0 mm', wanted 10 mm to 10000 mm; check the number and its unit"),
        ("travel: {x: -400 mm}", "travel.x: found '-400 mm', wanted 10 mm to 10000 mm"),
        ("travel: {x: 1e308 mm}", "travel.x: found '1e308 mm', wanted 10 mm to 10000 mm"),
        ("travel: {x: 1e999 mm}", "travel.x: '1e999 mm'"),
        ("travel: {x: nan mm}", "travel.x: 'nan mm' is not a number with a unit"),
        ("travel: {x: .nan}", "'.nan' is not a number anything can have"),
        ("travel: {x: 400 kg}", "travel.x: 'kg' is not a unit of length; wanted mm"),
        ("travel: {x: [400 mm]}", "travel.x: wanted a number with its unit"),
        ("travel: {x: true}", "travel.x: wanted a number with its unit"),
        ("travel: {x: 1 500 mm}", "travel.x: '1 500 mm' has a space inside the number; write '1500 mm' in one piece"),
        ("travel: {x: '1 5 3/4 in'}", "has a space inside the number; write a fraction as in '1 1/2 in'"),
        ("travel: {x: '1,500 mm'}", "has a comma; write '1.500 mm' with a point or '1500 mm' in one piece, whichever"),
        ("travel: {x: '1,25 in'}", "travel.x: '1,25 in' has a comma; write '1.25 in' with a point"),
        ("travel: {x: '1.250,5 mm'}", "travel.x: '1.250,5 mm' has a comma; write '1250.5 mm' with a point"),
        ("travel: {x: '1,250.5 mm'}", "travel.x: '1,250.5 mm' has a comma; write '1250.5 mm' in one piece"),
        ("travel: {x: 12}", "travel.x: found 12 without a unit; write '12 mm' or '12 in'"),
        ("travel: {x: '12'}", "travel.x: '12' has no unit; write '12 mm' or '12 in'"),
        ("travel: {x: 3/4}", "travel.x: '3/4' has no unit; write '3/4 mm' or '3/4 in'"),
        ("feed: {max_xy: 900}", "feed.max_xy: found 900 without a unit; write '900 mm/min' or '900 in/min'"),
        ("spindle: {max_speed: 900}", "spindle.max_speed: found 900 without a unit; write '900 rpm'"),
        ("homing: {corner: lower-left}", "homing.corner: found 'lower-left', wanted 'front-left', 'front-right', "
         "'rear-left' or 'rear-right'"),
        ("hold_down: {kinds: [clamps]}", "hold_down.kinds[1]: found 'clamps', wanted 't-slots', 'threaded-inserts'"),
        ("travel: {x: '٥٠٠ mm'}", "is not a number with a unit; write it in plain figures"),
        ("travel: {x: " + "9" * 5000 + " mm}", "is not a number with a unit; write it in plain figures"),
        ("travel: {x: 1/" + "9" * 5000 + " in}", "is not a number with a unit; write it in plain figures"),
        ("travel: {x: 1/0 in}", "travel.x: '1/0 in' divides by zero"),
        ("travel: long", "travel: found 'long', wanted a group of settings"),
        ("hold_down: {vacuum_pressure: 1.5 bar}", "wanted 0.1 kPa to 101.325 kPa"),
        ("spindle: {collets: 6 mm}", "spindle.collets: found '6 mm', wanted a list; write it as [6 mm]"),
        ("spindle: {collets: [6 mm, 8]}", "spindle.collets[2]: found 8 without a unit; write '8 mm'"),
        ("spindle: {spanners: 2.0}", "spindle.spanners: wanted a whole number from 0 to 2"),
        ("spindle: {spanners: yes}", "spindle.spanners: wanted a whole number from 0 to 2"),
        ("spindle: {spanners: 7}", "spindle.spanners: found 7, wanted a whole number from 0 to 2"),
        ("spindle: {switching: by hand}", "found 'by hand', wanted 'by-hand', 'by-program', 'by-program-with-speed' or "
         "'by-drive-panel' (did you mean 'by-hand'?)"),
        ("spindle: {swiching: by-hand}", "spindle.swiching: there is no such setting; did you mean 'switching'?"),
        ("spindel: {}", "spindel: there is no such setting; did you mean 'spindle'?"),
        ("hold_down: {kinds: [t-slot]}", "hold_down.kinds[1]: found 't-slot', wanted 't-slots'"),
        ("bed: {metal_below: perhaps}", "bed.metal_below: found 'perhaps', wanted yes or no"),
        ("bed: {last_surfaced: last week}", "bed.last_surfaced: found 'last week', wanted a date that exists"),
        ("bed: {last_surfaced: 2026-02-30}", "wanted a date that exists"),
        ("note: 12", "note: found '12', wanted text; put it in quotes"),
        ("room: {hours: '   '}", "room.hours: is empty; write something"),
        ("controller: {messages: a, b c}", "inside { } a comma starts a new setting, so quote text that has one"),
        ("spindle: {dial_positions: [1, 2], dial_speeds: [9000 rpm]}", "the dial has 2 marks but 1 speeds"),
        ("spindle: {dial_speeds: [9000 rpm, 8000 rpm]}", "dial_speeds must rise"),
        ("spindle: {min_speed: 9000 rpm, max_speed: 8000 rpm}", "min_speed is above max_speed; swap them"),
        ("tooling: [{id: a, overall: 40 mm, stick_out: 45 mm}]", "tooling[1]: flute_length and stick_out cannot be"),
    ],
)  # fmt: skip
def test_faults_of_a_machine_are_said_in_words(text: str, says: str) -> None:
    """Each fault says what was found, what is wanted and, where it can, how to mend it."""
    assert says in "\n".join(faults(Machine, f"id: m\nname: M\n{text}"))


@pytest.mark.parametrize("text", ["homing: {corner: lower-left}", "hold_down: {kinds: [clamps]}", "zzz: 1"])
def test_no_guess_is_made_where_none_is_close(text: str) -> None:
    """A wrong guess sends people the wrong way; the choices are all there instead."""
    (fault,) = faults(Machine, f"id: m\nname: M\n{text}")
    assert "did you mean" not in fault
    assert "..." not in fault


def test_up_to_24_choices_are_listed_whole_and_more_are_counted() -> None:
    """A list that is cut off hides the very word somebody looks for."""
    words = [f"word-{chr(97 + index)}" for index in range(26)]
    assert wanted(words[:24], "x").endswith("'word-w' or 'word-x'")
    assert wanted(words, "x").endswith("'word-x' or one of 2 more")


def test_all_faults_come_at_once_each_at_its_place() -> None:
    """Bad values are pointed at themselves, stray keys at the key, missing ones at what should hold them."""
    text = "id: A B\ntravel:\n  x: 0 mm\n  q: 1\n  y: 12\ntooling:\n  - {name: a}\n"
    assert [fault.split(": ")[0] for fault in faults(Machine, text)] == [
        "f.yml:1:1", "f.yml:1:5", "f.yml:3:6", "f.yml:4:3", "f.yml:5:6", "f.yml:7:5"
    ]  # fmt: skip


@pytest.mark.parametrize("text", ["[1, 2]", "just words", "12"])
def test_a_file_that_is_no_group_of_settings_is_one_fault(text: str) -> None:
    """A list or a word where settings belong is said once."""
    (fault,) = faults(Machine, text)
    assert "wanted settings such as 'name: value'" in fault


@pytest.mark.parametrize(
    ("operation", "says"),
    [
        (f"kind: pocket, {ROUND}", "operations[1]: needs a depth, or 'through: yes'"),
        (f"kind: pocket, depth: 2 mm, through: yes, {ROUND}", "operations[1]: has both a depth and through; keep one"),
        (f"kind: bore, depth: 2 mm, {SQUARE}", "a bore or drill needs a circle"),
        (f"kind: surface, depth: 2 mm, {ROUND}", "surfacing needs a rectangle"),
        (f"kind: surface, through: yes, {SQUARE}", "surfacing needs a rectangle as its shape, and a depth"),
        (f"kind: pocket, depth: 2 mm, skin: 1 mm, {ROUND}", "tabs and skin are for outlines cut right through"),
        ("kind: pocket, depth: 2 mm, shape: {form: circl}",
         "operations[1].shape: 'circl' is no kind of this; wanted 'rectangle', 'circle', 'polygon' or "
         "'grid-of-circles' (did you mean 'circle'?)"),
        ("kind: pocket, depth: 2 mm, shape: {x: 0 mm}", "operations[1].shape: 'form' is missing"),
        ("kind: pocket, depth: 2 mm, shape: {form: circle, x: 0 mm, y: 0 mm, diametre: 9 mm}",
         "operations[1].shape.diametre: there is no such setting; wanted 'form', 'x', 'y' or 'diameter' (did you mean "
         "'diameter'?)"),
        ("kind: pocket, depth: 2 mm, shape: {form: polygon, points: [[0 mm, 0 mm], [1 mm], [0 mm, 3 mm]]}",
         "operations[1].shape.points[2][2]: is missing; add it"),
        ("kind: pocket, depth: 2 mm, shape: {form: polygon, points: [[0 mm, 0 mm], [1 mm, 2 mm]]}",
         "operations[1].shape.points: holds 2, wanted at least 3"),
        (f"kind: on-line, through: yes, tabs: {{count: 0, width: 9 mm, height: 3 mm}}, {ROUND}",
         "operations[1].tabs.count: found 0, wanted a whole number from 1 to 100"),
    ],
)  # fmt: skip
def test_faults_of_an_operation_are_said_in_words(operation: str, says: str) -> None:
    """An operation that contradicts itself, or whose shape cannot be, is refused with the reason."""
    assert says in "\n".join(faults(Job, f"{CUT}{{name: a, cutter: c, {operation}}}"))


@pytest.mark.parametrize("program", ["/etc/passwd", "../x.nc", "programs/../../x.nc", "a//b.nc", "C:\\x.nc", ""])
def test_a_program_stays_inside_its_workshop(program: str) -> None:
    """No path leads out of the workshop folder."""
    assert "wanted a file inside the workshop folder" in "\n".join(
        faults(Job, f"name: a\nmachine: m\ncutters: [{{id: c}}]\nprogram: '{program}'")
    )


def test_the_zero_corner_is_found_in_the_stock() -> None:
    """Corners and centre of a 300 x 200 piece, from its front-left corner."""
    wanted = {"front-left": (0, 0), "front-right": (300, 0), "rear-left": (0, 200), "rear-right": (300, 200)}
    wanted["centre"] = (150, 100)
    text = "name: a\nmachine: m\ncutters: [{{id: c}}]\nstock: {{size_x: 300 mm, size_y: 200 mm}}\nzero: {{corner: {}}}"
    found = {corner: read_model(Job, read_yaml(text.format(corner), "f")).zero_in_stock() for corner in wanted}
    assert found == wanted


def test_a_grid_counts_its_centres_row_by_row() -> None:
    """3 columns 10 mm apart and 2 rows 20 mm apart make six centres."""
    text = CUT + (
        "{name: a, cutter: c, kind: drill, depth: 2 mm, shape: {form: grid-of-circles, x: 5 mm, y: 7 mm,"
        " pitch_x: 10 mm, pitch_y: 20 mm, columns: 3, rows: 2, diameter: 3 mm}}"
    )
    shape = read_model(Job, read_yaml(text, "f")).operations[0].shape
    assert shape.centres() == ((5, 7), (15, 7), (25, 7), (5, 27), (15, 27), (25, 27))  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("size", "box"),
    [
        ("size_x: 40 mm, size_y: 20 mm", (80, 40, 120, 60)),
        ("size_x: 40 mm", (80, 30, 120, 70)),
        ("size_x: 40 mm, size_y: 20 mm, angle: 90 deg", (90, 30, 110, 70)),
        ("size_x: 20 mm, angle: 45 deg", (100 - 200**0.5, 50 - 200**0.5, 100 + 200**0.5, 50 + 200**0.5)),
        ("height: 3 mm", None),
    ],
)
def test_a_hold_down_takes_its_place_on_the_bed(size: str, box: tuple[float, ...] | None) -> None:
    """Its box follows its size and turn; without a size there is no box to trust."""
    spot = f"hold_downs: [{{kind: t-slots, x: 100 mm, y: 50 mm, {size}}}]"
    made = read_model(Job, read_yaml(f"name: a\nmachine: m\ncutters: [{{id: c}}]\n{spot}", "f"))
    outline = (made.hold_downs or ())[0].outline()
    assert outline is None if box is None else outline == pytest.approx(box)


@pytest.mark.parametrize(
    ("cut", "frees"),
    [
        ("kind: profile-outside, through: yes", True),
        ("kind: profile-outside, through: yes, skin: 0.5 mm", False),
        ("kind: profile-outside, through: yes, tabs: {count: 3, width: 6 mm, height: 2 mm}", False),
        ("kind: profile-inside, through: yes", True),
        ("kind: pocket, through: yes", False),
        ("kind: profile-outside, depth: 5 mm", False),
    ],
)
def test_a_part_comes_free_when_its_outline_is_cut_through(cut: str, frees: bool) -> None:
    """Tabs or a skin keep it; a pocket leaves nothing to come free."""
    text = f"{CUT}{{name: a, cutter: c, {cut}, {ROUND}}}"
    assert read_model(Job, read_yaml(text, "f")).operations[0].frees_part is frees


def test_rules_have_an_owner_a_reason_and_a_review_date() -> None:
    """A local rule without any of them is refused."""
    told = "\n".join(faults(Workshop, "name: w\nrules: [{id: a, text: Be kind.}]"))
    assert all(f"rules[1].{name}: is missing" in told for name in ("owner", "reason", "review"))


def test_levels_last_longer_the_later_their_limit() -> None:
    """Idle, full and cap must rise."""
    told = faults(Workshop, "name: w\nlevels: [{id: a, name: A, idle: 90 days, full: 30 days}]")
    assert "wanted idle, full and cap to rise" in told[0]


def test_every_setting_has_a_label() -> None:
    """Pages and editors name each setting of the machine in words."""
    for _, part in sections():
        assert all(field.title for field in part.model_fields.values()), part


def test_the_schemas_in_the_repository_are_current(tmp_path: Path) -> None:
    """content/schemas is what write_schemas writes; to renew it call write_schemas(Path('content/schemas'))."""
    write_schemas(tmp_path)
    for name in schemas():
        made, kept = (folder / f"{name}.schema.json" for folder in (tmp_path, ROOT / "content" / "schemas"))
        assert kept.read_text("utf-8") == made.read_text("utf-8"), name


def complaints(schema: dict[str, Any], value: Any, root: dict[str, Any], where: str = "") -> list[str]:
    """A small reading of JSON Schema (draft 2020-12), independent of pydantic: the keywords our schemas use."""
    if "$ref" in schema:
        schema = root["$defs"][schema["$ref"].rpartition("/")[2]] | {k: v for k, v in schema.items() if k != "$ref"}
    if choices := schema.get("anyOf") or schema.get("oneOf"):
        tried = [complaints(choice, value, root, where) for choice in choices]
        return [] if [] in tried else [f"{where}: fits none of {len(tried)}"]
    if value not in schema.get("enum", [schema.get("const", value)]):
        return [f"{where}: {value!r}"]
    kinds = {"object": dict, "array": list, "string": str, "integer": int, "number": (int, float), "null": type(None)}
    wanted = schema.get("type", [])
    wanted = [wanted] if isinstance(wanted, str) else wanted
    if wanted and not any(isinstance(value, kinds[kind]) for kind in wanted):  # type: ignore[arg-type]
        return [f"{where}: {value!r} is no {wanted}"]
    found: list[str] = []
    if isinstance(value, str) and "pattern" in schema and not re.search(schema["pattern"], value):
        found.append(f"{where}: {value!r} is not {schema['pattern']}")
    if isinstance(value, int) and not schema.get("minimum", value) <= value <= schema.get("maximum", value):
        found.append(f"{where}: {value!r} out of range")
    if isinstance(value, dict):
        properties = schema.get("properties", {})
        found += [f"{where}: lacks {name}" for name in schema.get("required", []) if name not in value]
        found += [f"{where}: stray {name}" for name in value if name not in properties]
        for name in value.keys() & properties.keys():
            found += complaints(properties[name], value[name], root, f"{where}.{name}")
    if isinstance(value, list):
        inner = schema.get("prefixItems") or [schema["items"]] * len(value)
        for index, (part, item) in enumerate(zip(inner, value, strict=False)):
            found += complaints(part, item, root, f"{where}[{index}]")
    return found


@pytest.mark.parametrize(("kind", "path"), DEMO_FILES, ids=lambda value: getattr(value, "name", value))
def test_the_demo_files_keep_to_their_schema_and_point_to_it(kind: str, path: Path) -> None:
    """An editor finds nothing to underline, and the first line leads to the schema."""
    schema = schemas()[kind]
    assert complaints(schema, read_document(path).data, schema) == []
    first = path.read_text("utf-8").partition("\n")[0]
    prefix = "# yaml-language-server: $schema="
    assert first.startswith(prefix)
    assert json.loads((path.parent / first.removeprefix(prefix)).read_text("utf-8")) == schema


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ({"id": "m"}, "lacks name"),
        ({"id": "M m", "name": "m"}, ".id"),
        ({"id": "m", "name": "m", "travel": {"x": 400}}, ".travel"),
        ({"id": "m", "name": "m", "travle": {}}, "stray travle"),
        ({"id": "m", "name": "m", "spindle": {"switching": "by hand"}}, ".spindle"),
    ],
)
def test_the_schema_refuses_what_the_model_refuses(data: dict[str, Any], says: str) -> None:
    """An editor underlines what lint would complain about."""
    schema = schemas()["machine"]
    assert says in "\n".join(complaints(schema, data, schema))


@pytest.mark.parametrize("text", ["6 mm", "6.5mm", "1/4 in", "1 1/2 in", '0.5"', ".5 in", "1e2 mm", " 3 cm ", "0.1 m"])
def test_the_schema_accepts_a_length_however_it_is_written(text: str) -> None:
    """Whatever read_quantity takes for a length, the editor takes too."""
    assert read_quantity(text, "mm") > 0
    schema = schemas()["machine"]
    assert complaints(schema, {"id": "m", "name": "m", "bed": {"thickness": text}}, schema) == []


@pytest.mark.parametrize("name", [name for name in dir(quantity) if hasattr(getattr(quantity, name), "__metadata__")])
def test_each_range_can_be_copied_back_into_the_file(name: str) -> None:
    """Both ends of every range are written so that they read back as themselves, and both are allowed."""
    (kind,) = getattr(quantity, name).__metadata__
    low, high = kind.range_words.split(" to ")
    assert (kind.read(low), kind.read(high)) == (kind.low, kind.high)


@settings(max_examples=200, deadline=None)
@given(st.floats(-10_000, 10_000))
def test_a_written_quantity_reads_back_as_the_very_same_number(value: float) -> None:
    """Writing a profile and reading it again moves nothing, not by the last bit."""
    kind = quantity.Quantity("mm", -10_000, 10_000)
    assert kind.read(kind.write(value)) == value
