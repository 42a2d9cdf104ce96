"""What happens when: the program as a short table of cuts, changes and waits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice

from msgspec import Struct
from msgspec.structs import replace

from generator.program.moves import LOST, RAPID, Event
from generator.program.read import Program
from generator.program.setup import Outline
from generator.rehearsal.clock import Clock
from generator.rehearsal.track import WAIT, Track

MOST_STAGES = 80
# Cuts whose depths and sizes differ by less than these are told together (mm).
SAME_DEPTH = 0.01
SAME_SIZE = 0.1

_EVENTS = {
    "M3": "The spindle starts",
    "M4": "The spindle starts, turning the other way",
    "M5": "The spindle is told to stop",
    "M0": "The program waits until you let it go on",
    "M1": "The program waits until you let it go on, where that switch is on",
    "M60": "The program waits until you let it go on",
    "M6": "Change of cutter",
}


class Stage(Struct, frozen=True, kw_only=True):
    """One row: times in s, lines of the program, the box of its cuts and their lowest height in mm.

    `kind` is 'cut' or the code of an event; `count` tells how many cuts alike it stands for.
    """

    kind: str
    start: float
    end: float
    first_line: int
    last_line: int
    says: str = ""
    count: int = 1
    box: Outline | None = None
    low: float | None = None

    @property
    def size(self) -> tuple[float, float] | None:
        """Extent in X and Y."""
        return None if self.box is None else (self.box[2] - self.box[0], self.box[3] - self.box[1])


def stages_of(program: Program, clock: Clock, track: Track) -> list[Stage]:
    """All stages in order, cuts alike in a row told once; at most about MOST_STAGES."""
    stages = sorted([*_cuts(track), *_events(program, clock)], key=lambda stage: (stage.start, stage.first_line))
    return _shortened(list(_joined(stages)))


def _cuts(track: Track) -> Iterator[Stage]:
    first: int | None = None
    for index, kind in enumerate(track.kind):
        if kind in (RAPID, LOST):
            if first is not None:
                yield _cut(track, first, index)
            first = None
        elif first is None and kind != WAIT:
            first = index
    if first is not None:
        yield _cut(track, first, len(track))


def _cut(track: Track, first: int, after: int) -> Stage:
    x, y, z = (values[max(0, first - 1) : after] for values in (track.x, track.y, track.z))
    return Stage(
        kind="cut",
        start=track.t[max(0, first - 1)],
        end=track.t[after - 1],
        first_line=track.line[first],
        last_line=track.line[after - 1],
        box=(min(x), min(y), max(x), max(y)),
        low=min(z),
    )


def _events(program: Program, clock: Clock) -> Iterator[Stage]:
    for event in program.events:
        if event.code in _EVENTS:
            t = clock.ends[event.move - 1] if event.move else 0.0
            yield Stage(
                kind=event.code, start=t, end=t, first_line=event.line, last_line=event.line, says=_EVENTS[event.code]
            )
        elif event.code == "G4" and event.value > 0:
            yield _wait(event, clock)


def _wait(event: Event, clock: Clock) -> Stage:
    start = clock.ends[event.move - 1] if event.move else 0.0
    return Stage(
        kind="G4", start=start, end=start + event.value, first_line=event.line, last_line=event.line,
        says="The program waits by itself",
    )  # fmt: skip


def _alike(one: Stage, two: Stage) -> bool:
    if one.kind != "cut" or two.kind != "cut" or one.low is None or two.low is None:
        return False
    a, b = one.size, two.size
    if a is None or b is None:
        return False
    # Only single cuts compare by size: the box of several grows with each that joins.
    return one.says == two.says and abs(one.low - two.low) < SAME_DEPTH and _near(a, b)


def _near(a: tuple[float, float], b: tuple[float, float]) -> bool:
    return abs(a[0] - b[0]) < SAME_SIZE and abs(a[1] - b[1]) < SAME_SIZE


def _joined(stages: Iterable[Stage]) -> Iterator[Stage]:
    held: list[Stage] = []
    for stage in stages:
        if held and not _alike(held[-1], stage):
            yield _one(held)
            held = []
        held.append(stage)
    if held:
        yield _one(held)


def _one(stages: list[Stage]) -> Stage:
    """Several stages as one row; a cut's words stay, its box grows."""
    first, last = stages[0], stages[-1]
    boxes = [stage.box for stage in stages if stage.box is not None]
    lows = [stage.low for stage in stages if stage.low is not None]
    return replace(
        first,
        end=last.end,
        last_line=last.last_line,
        count=sum(stage.count for stage in stages),
        box=_round(boxes) if boxes else None,
        low=min(lows, default=None),
    )


def _round(boxes: list[Outline]) -> Outline:
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return min(x0), min(y0), max(x1), max(y1)


def _shortened(stages: list[Stage]) -> list[Stage]:
    """Runs of cuts told together where there are too many rows; events keep their own."""
    if len(stages) <= MOST_STAGES:
        return stages
    size = -(-len(stages) // MOST_STAGES)
    rows: list[Stage] = []
    waiting = iter(stages)
    while part := list(islice(waiting, size)):
        rows += _run(part)
    return rows


def _run(part: list[Stage]) -> Iterator[Stage]:
    cuts = [stage for stage in part if stage.kind == "cut"]
    yield from (stage for stage in part if stage.kind != "cut" and stage.kind != "G4")
    if cuts:
        yield _one(cuts)
