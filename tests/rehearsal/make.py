"""Small programs of our own: the dibber board of the demo jobs, drawn by hand, and single lines."""

from __future__ import annotations

from collections.abc import Iterator

from generator.program.read import Program
from generator.program.setup import Clamp, Setup
from generator.program.state import Start
from generator.rehearsal.clock import Clock, clock_of
from generator.rehearsal.scene import Scene, SceneCutter
from generator.rehearsal.track import Track, track_of
from tests.program.make import read

HEAD = "G21 G90 G17 G94\nM3 S18000\nG4 P5\nG0 Z20\n"
TAIL = "G0 Z20\nM5\nM30\n"
SMALL = HEAD + "G0 X60 Y65\nG0 Z2\nG1 Z-3 F300\nG1 X90 F900\n" + TAIL
RADIUS = 1.0
DEEP = -12.3


def dibber() -> str:
    """The dibber board: 28 holes on a helix, a recess, and an outline with four tabs; Z0 on the top, 6 mm cutter."""
    return HEAD + "\n".join([*_holes(), *_recess(), *_outline()]) + "\n" + TAIL


def _holes() -> Iterator[str]:
    for row in range(4):
        for column in range(7):
            x, y = 60 + 40 * column, 65 + 40 * row
            yield f"G0 X{x - RADIUS:g} Y{y}"
            yield "G0 Z2"
            yield "G1 Z0.5 F300"
            for turn in range(1, 9):
                yield f"G2 X{x - RADIUS:g} Y{y} I{RADIUS:g} J0 Z{max(DEEP, -1.6 * turn):g} F600"
            yield f"G2 X{x - RADIUS:g} Y{y} I{RADIUS:g} J0"
            yield "G0 Z20"


def _recess() -> Iterator[str]:
    yield from ("G0 X155 Y211", "G0 Z2")
    for depth in (-2.5, -5):
        yield from ("G1 Z0.5 F300" if depth == -2.5 else "G1 X155 Y211", f"G1 X205 Z{depth:g} F500", "G1 X155 F1200")
        for step in (2, 4, 6, 7):
            yield from (f"G1 Y{211 + step}", "G1 X205", f"G2 X205 Y{211 - step} I0 J-{step}", "G1 X155",
                        f"G2 X155 Y{211 + step} I0 J{step}", "G1 Y211")  # fmt: skip
    yield "G0 Z20"


def _outline() -> Iterator[str]:
    yield from ("G0 X150 Y27", "G0 Z2", "G1 Z0 F300")
    for depth in (-3, -6, -9, DEEP):
        yield f"G1 X180 Z{depth:g} F400"
        yield from _round(depth)
    yield "G1 Z2 F600"
    yield "G0 Z20"


def _round(depth: float) -> Iterator[str]:
    """Once round the board, lifting to 3 mm of wood over the bed at the middle of two sides on the last pass."""
    last = depth == DEEP
    yield from _side("X", 180, 318, 250, last)
    yield "G3 X333 Y42 I0 J15 F1500"
    yield from _side("Y", 42, 218, 80, last)
    yield "G3 X318 Y233 I-15 J0"
    yield from _side("X", 318, 42, 110, last)
    yield "G3 X27 Y218 I0 J-15"
    yield from _side("Y", 218, 42, 180, last)
    yield "G3 X42 Y27 I15 J0"
    yield "G1 X180"


def _side(axis: str, start: float, end: float, tab: float, last: bool) -> Iterator[str]:
    if last:
        half = 7 if end > start else -7
        yield from (f"G1 {axis}{tab - half} F1500", "G1 Z-9 F600", f"G1 {axis}{tab + half}", f"G1 Z{DEEP:g} F300")
    yield f"G1 {axis}{end:g} F1500"


def setup(**changes: object) -> Setup:
    """The dibber board's stock with one clamp, all limits known."""
    given: dict[str, object] = {
        "stock": (0.0, 0.0, 360.0, 260.0), "stock_top": 0.0, "stock_bottom": -12.0, "safe_height": 20.0,
        "clamps": (Clamp(name="left", outline=(-16.0, 118.0, 20.0, 142.0), top=12.0),),
        "cutter_diameter": 6.0, "stick_out": 32.0, "nut_diameter": 28.0, "rapid": 6000.0, "acceleration": 500.0,
        "feed_max_xy": 6000.0, "feed_max_z": 2000.0,
    } | changes  # fmt: skip
    return Setup(**given)  # type: ignore[arg-type]


def scene(**changes: object) -> Scene:
    """The scene round that set-up."""
    return Scene(setup=setup(**changes), cutters=(SceneCutter(name="6 mm", number=1, diameter=6.0, stick_out=32.0),),
                 nut_length=19.0, bed_thickness=18.0)  # fmt: skip


def played(text: str, around: Setup | None = None, start: Start | None = None) -> tuple[Program, Clock, Track]:
    """A program with its clock and its whole track; it starts at X0 Y0 Z20 unless told otherwise."""
    begin = start or Start(position=(0.0, 0.0, 20.0), zero=(0.0, 0.0, 0.0), origins={1: (0.0, 0.0, 0.0)})
    program = read(text, begin)
    clock = clock_of(program, around or setup())
    return program, clock, track_of(program, clock)
