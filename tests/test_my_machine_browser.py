"""The page 'My machine' in real Chromium from file://: empty at first, held to the rules of a machine's file."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect
from pydantic import ValidationError
from pydantic_core import PydanticCustomError

from generator.course import Course, load_course
from generator.errors import InputFaults
from generator.facts import FACTS
from generator.model import Machine
from generator.model.quantity import Quantity
from generator.pages.machine_facts import is_asked, machine_specs, may_be_copied
from tests.barriers import barriers
from tests.conftest import Visit

pytestmark = pytest.mark.browser
MACHINES = ("wren", "heron", "bittern")
# Every field with something in it.
FILLED = """() => [...document.forms].flatMap(form => form.matches('[data-profile]') ? [...form.elements] : [])
  .filter(field => field.name && (field.type === 'checkbox' ? field.checked : field.value !== ''))
  .map(field => field.name)"""


def keep(page: Page) -> str:
    """What the page says when the machine is to be kept."""
    page.click("form[data-profile] button[type=submit]")
    return page.inner_text("[data-profile-status]")


def faults(page: Page) -> list[str]:
    return page.locator("[data-profile-faults] li").all_inner_texts()


def start_from(page: Page, machine: str, sure: bool = True) -> None:
    """Chooses a machine to start from and answers the question that follows."""
    page.once("dialog", lambda dialog: dialog.accept() if sure else dialog.dismiss())
    page.select_option("[data-start-from]", machine)
    page.click("[data-start]")


def saved(page: Page) -> dict[str, Any]:
    """The machine as the page writes it into a file."""
    with page.expect_download() as download:
        page.click("[data-export]")
    found: dict[str, Any] = json.loads(Path(download.value.path()).read_text(encoding="utf-8"))
    return found


def keep_as_before(visit: Visit, kept: object) -> Page:
    """The page, where an older one has kept a machine."""
    page = visit.open("index.html")
    page.evaluate(
        "kept => { localStorage.setItem('onionskin.1.mine', JSON.stringify(kept));"
        " localStorage.setItem('onionskin.1.machine', '\"mine\"'); }",
        kept,
    )
    return visit.open("my-machine.html")


def facts_followed(page: Page) -> dict[str, Any]:
    found: dict[str, Any] = page.evaluate("OnionskinMachine.current().facts")
    return found


@pytest.mark.parametrize("machine", MACHINES)
def test_the_form_starts_empty_whatever_machine_is_picked(machine: str, visit: Visit) -> None:
    """Nothing of the machine picked stands in the form: what nobody has said is not known."""
    page = visit.open("my-machine.html")
    page.select_option("[data-machine-picker]", machine)
    page.reload()
    assert page.evaluate(FILLED) == []
    assert "Kept" in keep(page)
    facts = facts_followed(page)
    assert [name for name, spec in FACTS.items() if is_asked(spec) and facts[name] is not None] == ["machine.name"]


def test_without_script_the_form_is_empty_too(browser: Browser, site: Path) -> None:
    """The page as it lies on the disk holds no value of any machine, and says what to do without script."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((site / "my-machine.html").as_uri())
    form = page.locator("form[data-profile]")
    assert form.locator("input:not([type=checkbox])").count() > 50
    assert form.locator("option[selected], input[checked], input[value]:not([type=checkbox])").count() == 0
    assert page.locator(".os-without-script").first.is_visible()
    assert not page.locator("[data-start]").is_visible()
    context.close()


def test_values_come_from_another_machine_only_when_asked_for(visit: Visit, course: Course) -> None:
    """The button names the machine; one 'no' changes nothing, a 'yes' fills the fields and keeps nothing yet."""
    page = visit.open("my-machine.html")
    page.select_option("[data-start-from]", "heron")
    assert page.inner_text("[data-start]") == "Start from Heron"
    start_from(page, "heron", sure=False)
    assert page.evaluate(FILLED) == []

    page.fill('[name="machine.name"]', "Finch")
    start_from(page, "heron")
    heron = course.views["heron"].facts
    assert page.input_value('[name="spindle.switching"]') == heron["spindle.switching"]
    assert float(page.input_value('[name="travel.x"]')) == heron["travel.x"]
    assert page.input_value('[name="machine.name"]') == "Finch"
    assert page.input_value("[data-machine-picker]") != "mine"
    assert page.evaluate("localStorage.getItem('onionskin.1.mine')") is None


@pytest.mark.parametrize("machine", MACHINES)
def test_what_belongs_to_one_machine_alone_is_never_taken_over(machine: str, visit: Visit, course: Course) -> None:
    """No date, no test of a stop, no manual, note, name or rule of the other machine comes along, not in the file."""
    page = visit.open("my-machine.html")
    start_from(page, machine)
    filled = set(page.evaluate(FILLED))
    assert len(filled) > 20
    assert filled <= {name for name, spec in FACTS.items() if may_be_copied(spec)}
    assert not {"machine.name", "machine.manual", "machine.note", "bed.last_surfaced", "tool_change.tested",
                "spindle.run_down", "probe.plate_thickness", "bed.insert_depth"} & filled  # fmt: skip
    assert not {name for name in filled if name.startswith(("stop.", "calibration."))}

    page.fill('[name="machine.name"]', "Finch")
    doc = saved(page)
    assert not {"stop", "calibration", "tooling", "local_rules", "manual", "note"} & set(doc)
    assert doc["id"] == "finch"
    assert "2026" not in json.dumps(doc)
    other = json.dumps(course.views[machine].document)
    assert "2026" in other  # so that the line above can fail


def test_a_machine_started_from_a_tested_one_counts_as_untested(visit: Visit, course: Course, tmp_path: Path) -> None:
    """Laid into a workshop, the saved file leaves every stop control unknown."""
    page = visit.open("my-machine.html")
    start_from(page, "heron")
    page.fill('[name="machine.name"]', "Finch")
    (tmp_path / "machines").mkdir()
    (tmp_path / "machines" / "finch.json").write_text(json.dumps(saved(page)))
    (tmp_path / "workshop.yml").write_text("name: My garage\n")
    facts = load_course(tmp_path).view.facts
    assert facts["stop.controls"] is facts["stop.controls_tested"] is facts["stop.main_control"] is None
    assert facts["calibration.stop_test"] is None
    assert facts["spindle.switching"] == course.views["heron"].facts["spindle.switching"]


def test_no_file_is_written_without_a_name(visit: Visit) -> None:
    """A machine's file needs a name, and the page says so."""
    page = visit.open("my-machine.html")
    page.click("[data-export]")
    assert "No file written" in page.inner_text("[data-profile-status]")
    assert "needs the machine's name" in faults(page)[0]


SLIPS = [
    ("spindle.collets", "6,35", "Collet sizes: '6,35' has a comma; write '6.35' with a point."),
    ("spindle.collets", "6,35; 8", "Collet sizes: '6,35' has a comma; write '6.35' with a point."),
    ("spindle.collets", "6, 8", "Collet sizes: '6, 8' has a comma; write '6; 8'."),
    ("spindle.collets", "6.35 mm", "is not a number; write plain figures, without the unit."),
    ("spindle.dial_speeds", "10000 12000", "write '10000; 12000' for several, or '1000012000' in one piece."),
    ("spindle.dial_speeds", "12000; 10000", "Speed at each mark must rise from one mark to the next"),
    ("spindle.dial_positions", "1, 2, 3", "has a comma; write '1; 2; 3', or end it with a semicolon if it is one."),
    ("spindle.max_speed", "24,000", "write '24.000' with a point or '24000' in one piece, whichever you mean."),
    ("spindle.max_speed", "24 000", "has a space inside the number; write '24000' in one piece."),
    ("travel.x", "wide", "is not a number"),
    ("travel.x", "2", "is less than 10"),
    ("spindle.poles", "2.5", "Poles of the motor is not a whole number."),
    ("bed.last_surfaced", "yesterday", "is 'yesterday', wanted a date that exists, as year-month-day, such as"),
    ("calibration.square", "31/12/2026", "is '31/12/2026', wanted a date that exists"),
    ("calibration.square", "2026-02-30", "is '2026-02-30', wanted a date that exists"),
    ("machine.name", "x" * 121, "is longer than 120 characters"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "text", "says"), SLIPS, ids=lambda part: str(part)[:20])
def test_a_slip_is_refused_with_its_mend_and_nothing_is_kept(name: str, text: str, says: str, visit: Visit) -> None:
    """Whatever can be read as another number, day or list is said at its field and above the form."""
    page = visit.open("my-machine.html")
    page.fill(f'[name="{name}"]', text)
    assert "Not kept" in keep(page)
    assert says in " ".join(faults(page))
    assert says in page.inner_text(f'[data-error="{name}"]')
    assert page.get_attribute(f'[name="{name}"]', "aria-invalid") == "true"
    assert page.evaluate("localStorage.getItem('onionskin.1.mine')") is None


def test_settings_that_contradict_each_other_are_refused_together(visit: Visit) -> None:
    """A lowest speed above the highest and a dial with fewer speeds than marks are said at once; mended, they are kept."""
    page = visit.open("my-machine.html")
    page.fill('[name="spindle.min_speed"]', "30000")
    page.fill('[name="spindle.max_speed"]', "24000")
    page.fill('[name="spindle.dial_positions"]', "1; 2; 3")
    page.fill('[name="spindle.dial_speeds"]', "10000; 12000")
    assert "Not kept" in keep(page)
    assert faults(page) == [
        "The dial has 3 marks but 2 speeds; give one speed for each mark.",
        "Lowest speed is above Highest speed; swap them.",
    ]
    page.fill('[name="spindle.min_speed"]', "8000")
    page.fill('[name="spindle.dial_speeds"]', "10000; 12000; 16000")
    assert "Kept on this device" in keep(page)
    assert faults(page) == []
    assert facts_followed(page)["spindle.dial_speeds"] == [10000, 12000, 16000]


def test_lists_are_read_and_written_in_one_way(visit: Visit) -> None:
    """Semicolons part the entries, 'none' is an empty list, a last semicolon keeps a comma; a reload shows the same."""
    page = visit.open("my-machine.html")
    written = {
        "spindle.collets": "6.35; 8",
        "spindle.dial_speeds": "none",
        "supply.shared_with": "heater, by the door;",
    }
    for name, text in written.items():
        page.fill(f'[name="{name}"]', text)
    assert "Kept on this device" in keep(page)
    facts = facts_followed(page)
    assert [facts[name] for name in written] == [[6.35, 8], [], ["heater, by the door"]]
    page.reload()
    assert {name: page.input_value(f'[name="{name}"]') for name in written} == written
    helps = " ".join(page.locator("form[data-profile] .os-help").all_inner_texts())
    assert "[" not in helps
    assert "semicolon" not in helps


def test_the_dialects_offered_are_those_the_course_has(visit: Visit, course: Course, tmp_path: Path) -> None:
    """An invented dialect cannot be chosen, is refused in a file opened here, and by lint."""
    page = visit.open("my-machine.html")
    options = page.locator('[name="controller.dialect"] option').evaluate_all("all => all.map(one => one.value)")
    assert options == ["", *machine_specs(course)["controller.dialect"].choices]
    assert "small-streaming" in options

    file = tmp_path / "finch.json"
    file.write_text(json.dumps({"id": "finch", "name": "Finch", "controller": {"dialect": "birdsong"}}))
    page.set_input_files("[data-import]", file)
    expect(page.locator("[data-profile-faults] li")).to_have_count(1)
    assert "controller.dialect" in faults(page)[0]

    (tmp_path / "machines").mkdir()
    file.rename(tmp_path / "machines" / "finch.json")
    (tmp_path / "workshop.yml").write_text("name: My garage\n")
    with pytest.raises(InputFaults, match="there is no dialect 'birdsong'"):
        load_course(tmp_path)


def test_an_opened_file_says_what_the_page_has_no_fields_for(visit: Visit, tmp_path: Path) -> None:
    """Stop controls and cutters of a file are not lost in silence."""
    page = visit.open("my-machine.html")
    file = tmp_path / "finch.json"
    file.write_text(
        json.dumps({"id": "finch", "name": "Finch", "stop": {"controls": [{"name": "plug"}]}, "tooling": []})
    )
    page.set_input_files("[data-import]", file)
    expect(page.locator("[data-profile-status]")).to_contain_text("taken over")
    assert "no fields for stop.controls, tooling" in page.inner_text("[data-profile-status]")


def test_a_machine_kept_by_an_older_page_still_loads(visit: Visit, course: Course) -> None:
    """Kept as changes to Heron it shows both, but nothing that was only ever seen at Heron."""
    page = keep_as_before(
        visit, {"from": "heron", "facts": {"machine.name": "Finch", "feed.max_xy": 1800, "bed.flatness": 0.3}}
    )
    assert page.input_value('[name="machine.name"]') == "Finch"
    assert page.input_value('[name="feed.max_xy"]') == "1800"
    assert page.input_value('[name="bed.flatness"]') == "0.3"
    assert page.input_value('[name="spindle.switching"]') == course.views["heron"].facts["spindle.switching"]
    assert page.input_value("[data-machine-picker]") == "mine"
    assert page.input_value('[name="calibration.stop_test"]') == page.input_value('[name="machine.manual"]') == ""
    assert facts_followed(page)["calibration.stop_test"] is None
    assert facts_followed(page)["feed.max_xy"] == 1800
    assert faults(page) == []


def test_what_an_older_page_kept_against_the_rules_counts_as_unknown(visit: Visit) -> None:
    """Bad values of an older page are told, not followed; the rest is; mended, the machine is kept again."""
    old = {"bed.last_surfaced": "yesterday", "controller.dialect": "birdsong", "spindle.min_speed": 30000,
           "spindle.max_speed": 24000, "feed.max_xy": 1800}  # fmt: skip
    page = keep_as_before(visit, {"from": "gone", "facts": old})
    facts = facts_followed(page)
    assert [facts[name] for name in old] == [None, None, None, None, 1800]
    assert "not known until you mend it" in page.inner_text("[data-profile-status]")
    said = " ".join(faults(page))
    assert all(words in said for words in ("'yesterday'", "'birdsong'", "Lowest speed is above Highest speed"))

    page.fill('[name="bed.last_surfaced"]', "2026-03-31")
    page.fill('[name="spindle.min_speed"]', "8000")
    assert "Kept on this device" in keep(page)
    assert facts_followed(page)["spindle.max_speed"] == 24000


@pytest.mark.parametrize(
    "kept", [[], "x", {"facts": None}, {"facts": {"spindle.collets": {"a": 1}, "__proto__": 1, "x": 2}}]
)
def test_a_strangers_value_under_our_key_does_no_harm(kept: object, visit: Visit) -> None:
    """Pages from disk share one store: whatever lies there, the page opens and knows nothing from it."""
    page = keep_as_before(visit, kept)
    assert facts_followed(page)["spindle.collets"] is None or page.input_value("[data-machine-picker]") != "mine"
    assert visit.errors == []


def test_forgetting_empties_the_form(visit: Visit) -> None:
    """Nothing of the machine stays, neither in the fields nor in the store."""
    page = visit.open("my-machine.html")
    page.fill('[name="machine.name"]', "Finch")
    keep(page)
    page.once("dialog", lambda dialog: dialog.accept())
    page.click("[data-forget]")
    assert page.evaluate(FILLED) == []
    assert page.evaluate("localStorage.getItem('onionskin.1.mine')") is None
    assert page.input_value("[data-machine-picker]") != "mine"


def test_the_page_can_be_worked_by_keys(visit: Visit) -> None:
    """Start from a machine, write a number and keep it, without a mouse."""
    page = visit.open("my-machine.html")
    page.on("dialog", lambda dialog: dialog.accept())
    page.focus("[data-start-from]")
    page.keyboard.type("Wren")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Start from Wren"
    page.keyboard.press("Enter")
    assert page.input_value('[name="spindle.switching"]') == "by-hand"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.name") == "machine.name"
    page.keyboard.type("Finch")
    page.keyboard.press("Enter")
    assert "Kept on this device" in page.inner_text("[data-profile-status]")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_axe_finds_nothing_while_faults_are_shown(width: int, scheme: str, visit: Visit) -> None:
    """Filled from a machine and with faults at fields, the page still keeps WCAG 2.2 AA and its width."""
    visit.page.set_viewport_size({"width": width, "height": 900})
    visit.page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    page = visit.open("my-machine.html")
    start_from(page, "heron")
    for name, text, _ in SLIPS:
        page.fill(f'[name="{name}"]', text)
    keep(page)
    assert len(faults(page)) >= 8
    assert barriers(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("text", ["6,35", "24,000", "1,234,567", "1,234.5", "24 000", "6,3,5", "1.234,5"])
def test_a_misread_number_has_the_command_lines_mend(text: str, visit: Visit) -> None:
    """Page and command line refuse the same spelling in the same words, but for the unit."""
    with pytest.raises(PydanticCustomError) as told:
        Quantity("mm", 0, 1e9).read(f"{text} mm")
    says = str(told.value).replace(" mm", "")
    page = visit.open("my-machine.html")
    page.fill('[name="travel.x"]', text)
    keep(page)
    assert faults(page) == [f"Travel in X: {says}."]


def candidates(name: str) -> list[Any]:
    """Values a fact may and may not have, at its limits and past them."""
    spec = FACTS[name]
    if spec.kind == "bool":
        return [True, False, "perhaps"]
    if spec.kind.startswith("number"):
        low, high = spec.low or 0, spec.high or 0
        found: list[Any] = [low, high, low - 1, high + 1, (low + high) / 2 + 0.25]
    else:
        found = [*spec.choices, "never", "2026-03-31", "2026-02-30", "31/12/2026", "0000-01-01", "x" * 120, "x" * 121,
                 "x" * 2000, "x" * 2001, "  "]  # fmt: skip
    return [[value] for value in found] if spec.kind in ("texts", "numbers") else found


def accepted(document: dict[str, Any]) -> bool:
    try:
        Machine.model_validate(document)
    except ValidationError:
        return False
    return True


def test_the_page_takes_exactly_what_a_machine_file_may_say(visit: Visit) -> None:
    """For every field, at every limit, the page's answer is the model's."""
    names = [name for name, spec in FACTS.items() if is_asked(spec) and name != "controller.dialect"]
    pairs = [(name, value) for name in names for value in candidates(name)]
    page = visit.open("my-machine.html")
    judged = page.evaluate(
        "pairs => pairs.map(([name, value]) => ({ok: OnionskinFacts.faultOf(name, value) === null,"
        " doc: OnionskinDocument.write(Object.assign({'machine.name': 'Finch'}, {[name]: value}))}))",
        pairs,
    )
    differ = [
        (pair, answer["ok"]) for pair, answer in zip(pairs, judged, strict=True)
        if answer["ok"] != accepted({**answer["doc"], "id": "finch"})
    ]  # fmt: skip
    assert len(pairs) > 500
    assert differ == []
