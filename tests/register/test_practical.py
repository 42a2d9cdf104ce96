"""The practical: what a machine asks for, and the sheet it is signed on."""

from __future__ import annotations

from pathlib import Path

import pytest

from generator.course import Course
from generator.errors import InputFaults
from generator.expr import Value
from generator.facts import FACTS
from generator.load_workshop import Known, load_workshop
from generator.practical import practical
from tests.conftest import Visit

MUSTS = {"p01", "p02", "p04", "p06", "p07", "p09", "p12", "p13", "p14", "p15", "p16", "p17", "p18"}


def words(course: Course, **facts: Value) -> dict[str, str]:
    """Each act's words for Heron with some facts changed."""
    changed = {**course.views["heron"].facts, **{name.replace("__", "."): value for name, value in facts.items()}}
    return {act.id: f"{act.condition} {act.does}".strip() for act in practical(course.library, changed)}


def test_there_are_nineteen_acts_and_the_dangerous_ones_are_musts(course: Course) -> None:
    """Stops, dress, fire, board, cutter, holding, Z, sheet, air run, list, watching, reaching, drills must be right."""
    acts = course.library.acts
    assert list(acts) == [f"p{number:02}" for number in range(1, 20)]
    assert {id_ for id_, act in acts.items() if act.critical} == MUSTS


def test_a_machine_is_not_asked_for_what_it_lacks(course: Course) -> None:
    """Without extraction nobody starts one, and a mask is asked for instead; without homing nobody homes."""
    plain = words(course, extraction__kind="none", homing__kind="none", probe__kind="none")
    assert "p03" not in plain
    assert "mask" in plain["p02"]
    assert "Homes" not in plain["p11"]
    assert "probe" not in plain["p12"]
    full = words(course)
    assert len(full) == 19
    assert "mask" not in full["p02"]
    assert "Homes" in full["p11"]


def test_a_stop_that_leaves_the_spindle_turning_asks_for_a_second_act(course: Course) -> None:
    """The stop map decides what has to be shown."""
    assert "stops the spindle too" in words(course, stop__kind="motors-only")["p01"]
    assert "stops the spindle too" not in words(course, stop__kind="everything")["p01"]
    assert "Unplugs" in words(course, spindle__switching="by-hand")["p07"]


def test_a_machine_nobody_knows_is_asked_for_everything(course: Course) -> None:
    """Unknown asks for more, says its condition, and leaves no hole in a sentence."""
    nothing: dict[str, Value] = dict.fromkeys(FACTS)
    asked = {act.id: act for act in practical(course.library, nothing)}
    assert len(asked) == 19
    assert asked["p03"].condition == "If the machine has extraction:"
    assert "mask" in asked["p02"].does
    assert "stops the spindle too" in asked["p01"].does
    assert "Homes if it can" in asked["p11"].does
    assert "probe" in asked["p12"].does
    assert not [act for act in asked.values() if "not known" in act.does]


def test_a_level_may_ask_for_less(course: Course) -> None:
    """The workshop says which acts a level needs; left out, it needs all."""
    beside, solo = course.home.workshop.levels
    facts = course.views["wren"].facts
    assert [act.id for act in practical(course.library, facts, beside)] == list(beside.acts or ())
    assert len(practical(course.library, facts, solo)) == 19


def test_a_level_that_asks_for_an_unknown_act_is_a_fault(tmp_path: Path) -> None:
    """The fault has its line and the nearest act."""
    (tmp_path / "machines").mkdir()
    (tmp_path / "machines" / "small.yml").write_text("id: small\nname: Small\n")
    (tmp_path / "workshop.yml").write_text("name: Shop\nlevels:\n  - {id: solo, name: Alone, acts: [p01, p1]}\n")
    with pytest.raises(InputFaults) as caught:
        load_workshop(tmp_path, Known(acts=["p01", "p02"]))
    assert [fault.line for fault in caught.value.faults] == [3]
    assert "act of the practical" in caught.value.faults[0].says


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("machine", ["wren", "heron", "bittern"])
def test_the_sheet_is_one_page_with_every_act(
    machine: str, paper: str, visit: Visit, course: Course, tmp_path: Path
) -> None:
    """One side of A4 and of Letter, with every act, the machine, the content and room for the record's head."""
    from pypdf import PdfReader

    page = visit.open(f"sheets/sign-off-{machine}.html")
    page.pdf(path=tmp_path / "sheet.pdf", format=paper)
    reader = PdfReader(tmp_path / "sheet.pdf")
    text = "".join("".join(sheet.extract_text() for sheet in reader.pages).split())
    assert len(reader.pages) == 1
    view = course.views[machine]
    for said in (*(act.does for act in practical(course.library, view.facts)), view.machine.name, course.revision,
                 "Entered in the register as record", "Head"):  # fmt: skip
        assert "".join(said.split()) in text, said
    assert text.count("must") >= len(MUSTS)
    assert visit.errors == []


@pytest.mark.browser
def test_the_boxes_are_drawn_and_those_of_musts_are_heavier(visit: Visit) -> None:
    """Borders print where fills and form controls do not; heavier lines tell a must in grey too."""
    page = visit.open("sheets/sign-off-heron.html")
    page.emulate_media(media="print")
    widths = page.eval_on_selector_all(".os-acts tbody tr", """rows => rows.map(row => {
        const box = row.querySelector('.os-initials'), style = getComputedStyle(box);
        const place = box.getBoundingClientRect();
        return [row.querySelector('.os-killer') !== null, parseFloat(style.borderTopWidth), place.width,
                place.right <= document.documentElement.clientWidth];
    })""")  # fmt: skip
    assert len(widths) == 19
    musts = {width for must, width, _, _ in widths if must}
    others = {width for must, width, _, _ in widths if not must}
    assert min(musts) > max(others) > 0
    assert all(wide > 50 and inside for _, _, wide, inside in widths)


@pytest.mark.browser
def test_the_sheet_shows_its_own_machine_whichever_is_picked(visit: Visit) -> None:
    """A sheet called after a machine never says another one's acts."""
    page = visit.open("sheets/sign-off-wren.html")
    page.select_option("[data-machine-picker]", "bittern")
    assert "Wren" in page.inner_text(".os-stamp")
    assert "Unplugs the spindle" in page.inner_text(".os-acts")
