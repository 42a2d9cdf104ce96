"""What holds each part when the last pass frees it."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from generator.hold.freeing import Part, Sheet, Zone, contains, freed, order_findings, slug_of
from generator.hold.given import Band, Load, Pad, Point, exactly
from generator.hold.tabs import Strength, Tab, bending_stress, shear_capacity, skin_pads, tab_pad

# ponderosa pine, 12 % moisture: shear 7.8, bending 65 N/mm2 (USDA Wood Handbook FPL-GTR-190, 2010, Table 5-3a)
PINE = Strength(shear=exactly(7.8), bending=exactly(65), share=1 / 3)
LOAD = Load(sideways=exactly(30), lift=exactly(0), height=6.0)
SHEET = Sheet(bed_friction=exactly(0.2), strength=PINE)


def square(x0: float, y0: float, side: float) -> tuple[Point, ...]:
    return ((x0, y0), (x0 + side, y0), (x0 + side, y0 + side), (x0, y0 + side))


PLATE = Part(name="the plate", outline=square(0, 0, 200), kerf=6)
HOLE = Part(name="the hole", outline=square(80, 80, 40), kerf=6, slug=True)
MIDDLES = ((100.0, 0.0), (200.0, 100.0), (100.0, 200.0), (0.0, 100.0))


def test_a_tab_carries_a_third_of_its_clear_wood_strength() -> None:
    """Four 4 x 1.5 mm pine tabs shear at 187.2 N in the mean and are counted with 62.4 N together."""
    pads = [tab_pad(Tab(at=at, width=4, height=1.5), kerf=1e-6, strength=PINE) for at in MIDDLES]
    assert sum(pad.grip.low for pad in pads) == pytest.approx(187.2 / 3)
    assert shear_capacity(4, 1.5, 7.8) * 4 == pytest.approx(187.2)


def test_the_bending_of_a_tab_follows_the_worked_example() -> None:
    """30 N on four 4 x 1.5 tabs over a 6 mm kerf bends each with 5.6 N/mm2: (7.5 * 3)/(1.5 * 16/6)."""
    assert bending_stress(7.5, 1.5, 4, 6) == pytest.approx(5.625)


def test_a_flat_tab_bends_upwards_before_it_shears() -> None:
    """A thin wide tab over a wide kerf is weaker against lift than sideways."""
    pad = tab_pad(Tab(at=(0, 0), width=6, height=0.8), kerf=8, strength=PINE)
    assert pad.pull.low < pad.grip.low


def test_a_skin_carries_its_shear_all_round() -> None:
    """A 0.5 mm skin round a 200 mm square carries a third of tau * skin * perimeter sideways."""
    pads = skin_pads(PLATE.outline, 0.5, 6, PINE)
    assert sum(pad.grip.low for pad in pads) == pytest.approx(7.8 * 0.5 * 800 / 3)


def test_a_part_on_nothing_comes_free() -> None:
    """A part without tabs, skin, tape or clamp is a stop finding, with how to mend it."""
    (answer,) = freed([PLATE], SHEET, LOAD, 2.0)
    assert answer.held_by == ()
    assert [finding.id for finding in answer.findings] == ["hold-part-comes-free"]
    assert "tabs" in answer.findings[0].mend


def test_tabs_hold_or_are_called_too_weak() -> None:
    """Stout tabs hold the part twice over; one small tab does not and the margin is told."""
    stout = replace(PLATE, tabs=tuple(Tab(at=at, width=8, height=4) for at in MIDDLES))
    weak = replace(PLATE, tabs=(Tab(at=MIDDLES[0], width=3, height=1),))
    good, bad = freed([stout], SHEET, LOAD, 2.0)[0], freed([weak], SHEET, LOAD, 2.0)[0]
    assert good.held_by == ("tab",)
    assert good.grip.margin.low >= 2
    assert good.findings == ()
    assert bad.findings[0].id == "hold-part-weak"
    assert f"{bad.grip.margin.low:.1f}" in bad.findings[0].says


@pytest.mark.parametrize(
    ("strength", "load"),
    [(replace(PINE, shear=Band(3.0, 7.8, 12.0), bending=Band(25, 65, 100)), LOAD),
     (PINE, replace(LOAD, sideways=Band(15, 30, 90)))],
    ids=["weak wood", "hard cut"],
)  # fmt: skip
def test_a_part_is_judged_at_its_weak_end(strength: Strength, load: Load) -> None:
    """Tabs that hold in good wood or in an easy cut are too weak where wood or cut may be worse."""
    part = replace(PLATE, tabs=tuple(Tab(at=at, width=8, height=4) for at in MIDDLES))
    (answer,) = freed([part], replace(SHEET, strength=strength), load, 5.0)
    assert answer.grip.margin.low < 5.0 < answer.grip.margin.expected
    assert [finding.id for finding in answer.findings] == ["hold-part-weak"]
    assert f"a margin of only {answer.grip.margin.low:.1f}; 5 is wanted" in answer.findings[0].says


def test_every_kind_of_hold_is_counted_and_named() -> None:
    """Tape, vacuum and a screw under or on the part are named; what stands on the waste is not."""
    sheet = replace(
        SHEET, pads=(Pad(at=(100, 100), grip=exactly(50), kind="screw"), Pad(at=(300, 300), press=exactly(900))),
        tapes=(Zone(outline=square(-50, -50, 150), strength=exactly(15)),),
        vacuums=(Zone(outline=square(0, 0, 400), strength=exactly(50)),),
    )  # fmt: skip
    (answer,) = freed([replace(PLATE, skin=0.5)], sheet, LOAD, 2.0)
    assert answer.held_by == ("screw", "skin", "tape", "vacuum")


def test_tape_under_the_part_counts_by_its_area() -> None:
    """Tape under a quarter of the part holds the part with that quarter's shear."""
    sheet = replace(SHEET, tapes=(Zone(outline=square(-100, -100, 200), strength=exactly(15)),), weight_per_area=1e-3)
    (answer,) = freed([PLATE], sheet, replace(LOAD, height=0.0), 2.0)
    setup_grip = 15e-3 * 100 * 100
    (middle,) = freed([replace(PLATE, outline=square(0, 0, 99.999))], sheet, replace(LOAD, height=0.0), 2.0)
    assert answer.grip.sideways < middle.grip.sideways < setup_grip / 30


def test_holes_cut_before_open_the_vacuum() -> None:
    """A hole cut through first takes its area and kerf from the pressure on the part; cut after, it does not."""
    sheet = replace(SHEET, vacuums=(Zone(outline=square(0, 0, 200), strength=exactly(50)),))
    before = freed([HOLE, PLATE], sheet, LOAD, 2.0)[1].grip.sideways
    after = freed([PLATE, HOLE], sheet, LOAD, 2.0)[0].grip.sideways
    assert before / after == pytest.approx(1 - (40 * 40 + 160 * 6) / 200**2, rel=3e-3)


def test_a_slug_is_found_inside_a_hole_that_is_only_outlined() -> None:
    """Outlining a 40 mm hole with a 6 mm cutter leaves a 28 mm slug; a 12 mm hole is cleared whole."""
    angles = [2 * math.pi * k / 90 for k in range(90)]
    ring = [(20 * math.cos(a), 20 * math.sin(a)) for a in angles]
    slug = slug_of(ring, 6)
    assert slug is not None
    assert max(math.hypot(x, y) for x, y in slug.outline) == pytest.approx(14, abs=0.7)
    assert slug_of([(0.3 * x, 0.3 * y) for x, y in ring], 6) is None
    (answer,) = freed([slug], SHEET, LOAD, 2.0)
    assert answer.slug
    assert answer.findings[0].id == "hold-slug-comes-free"


def test_a_part_contains_what_lies_inside_its_outline() -> None:
    """A hole of its own, and neither the part round it nor a neighbour."""
    other = Part(name="the small one", outline=square(300, 0, 50), kerf=6)
    assert contains(PLATE, HOLE)
    assert not contains(HOLE, PLATE)
    assert not contains(PLATE, other)


def test_an_outside_cut_too_early_is_found() -> None:
    """Cutting the plate before the hole in it is a finding that names both; the right order is silent."""
    (finding,) = order_findings([PLATE, HOLE])
    assert "the plate" in finding.says
    assert "the hole" in finding.says
    assert order_findings([HOLE, PLATE]) == ()
