"""Stop or go? Questions at real findings, and at harmless moments that only look like one."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence

from msgspec import Struct

from generator.finding import Finding, Severity, gravest_first
from generator.program.geometry import grown, inside
from generator.program.moves import LOST, RAPID
from generator.program.setup import Clamp, Outline
from generator.rehearsal.scene import MEANT_BITE, Scene
from generator.rehearsal.track import WAIT, Track
from generator.units import show

LEAST, MOST = 3, 5


class Moment(Struct, frozen=True):
    """One question at point `point` of the track; `answer` is 'stop' or 'go', `why` explains it."""

    point: int
    line: int
    answer: str
    why: str


def moments_of(track: Track, scene: Scene, findings: Sequence[Finding]) -> list[Moment]:
    """Three to five moments in order of time, fewer where the program offers no more."""
    if len(track) < 2:
        return []
    real = list(_at_findings(track, findings))[: MOST - 1]
    cited = {line for finding in findings if finding.severity is not Severity.NOTE for line in finding.lines}
    taken = {moment.point for moment in real}
    harmless = [moment for moment in _harmless(track, scene) if moment.line not in cited]
    wanted = max(LEAST - len(real), 1) if real else MOST
    for moment in harmless:
        if wanted and moment.point not in taken:
            real.append(moment)
            taken.add(moment.point)
            wanted -= 1
    return sorted(real, key=lambda moment: moment.point)


def _at_findings(track: Track, findings: Sequence[Finding]) -> Iterator[Moment]:
    seen: set[int] = set()
    first = track.first_of_line()
    for finding in gravest_first(findings):
        point = None if finding.line is None else point_of(first, finding.line)
        if finding.severity is Severity.NOTE or point is None or point in seen:
            continue
        seen.add(point)
        yield Moment(max(0, point - 1), track.line[point], "stop", f"{finding.says} {finding.mend}")


def point_of(first: dict[int, int], line: int) -> int | None:
    """The first point of a line, or of the next line that moves; None behind the last one."""
    if line in first:
        return first[line]
    lines = sorted(first)
    after = bisect_left(lines, line)
    return first[lines[after]] if after < len(lines) else None


def _harmless(track: Track, scene: Scene) -> Iterator[Moment]:
    """Moments worth a look that are in order, the most instructive first."""
    for look in (_over_clamp, _past_clamp, _bite, _first_contact, _long_rapid, _wait):
        if (found := look(track, scene)) is not None:
            yield found


def _moment(track: Track, point: int, why: str) -> Moment:
    """Asked before the move that leads to `point` begins."""
    return Moment(max(0, point - 1), track.line[point], "go", why)


def _over_clamp(track: Track, scene: Scene) -> Moment | None:
    """Where the cutter passes lowest over a clamp."""
    best: tuple[float, int, Clamp] | None = None
    radius = (scene.setup.cutter_diameter or 0.0) / 2
    for clamp in scene.setup.clamps:
        box = grown(clamp.outline, radius)
        for point in range(1, len(track)):
            spare = min(track.z[point], track.z[point - 1]) - clamp.top
            if spare <= 0 or track.kind[point] == LOST or (best is not None and spare >= best[0]):
                continue
            if inside(track.place(point - 1), track.place(point), box, math.inf) is not None:
                best = spare, point, clamp
    if best is None:
        return None
    spare, point, clamp = best
    why = (
        f"It passes over the clamp '{clamp.name}', with {_mm(spare)} between cutter and clamp. A clamp or bolt that "
        f"stands more than {_mm(spare)} higher than the job says would be hit: measure yours."
    )
    return _moment(track, point, why)


def _past_clamp(track: Track, scene: Scene) -> Moment | None:
    """Where the cutter, lower than a clamp's top, comes closest to it."""
    best: tuple[float, int, Clamp] | None = None
    for clamp in scene.setup.clamps:
        for point in range(1, len(track)):
            if track.kind[point] != LOST and track.z[point] < clamp.top:
                gap = _gap(clamp.outline, track.x[point], track.y[point])
                if best is None or gap < best[0]:
                    best = gap, point, clamp
    if best is None or scene.setup.cutter_diameter is None:
        return None
    gap, point, clamp = best
    gap -= scene.setup.cutter_diameter / 2
    if gap <= 0:
        return None
    why = (
        f"It passes the clamp '{clamp.name}' with {_mm(gap)} between the cutter's edge and the clamp. That holds only "
        "for a clamp that lies where the job says: lay the printed plan on the board and compare."
    )
    return _moment(track, point, why)


def _gap(box: Outline, x: float, y: float) -> float:
    return math.hypot(max(box[0] - x, 0.0, x - box[2]), max(box[1] - y, 0.0, y - box[3]))


def _bite(track: Track, scene: Scene) -> Moment | None:
    """The first cut that reaches the deepest height, where it goes a little into the bed."""
    bottom = scene.setup.stock_bottom
    deepest = min(track.z)
    if bottom is None or not 0 < bottom - deepest <= MEANT_BITE:
        return None
    why = (
        f"It goes {_mm(bottom - deepest)} into the bed. A cut right through has to, and the bed is there to be cut. "
        "Much more than this, or metal close under the surface, would be a stop."
    )
    return _moment(track, track.z.index(deepest), why)


def _first_contact(track: Track, scene: Scene) -> Moment | None:
    top = scene.setup.stock_top
    if top is None:
        return None
    for point in range(1, len(track)):
        if track.kind[point] not in (RAPID, LOST, WAIT) and track.z[point] < top:
            why = (
                "The first touch of the board, at feed speed and not as a rapid. Before it, look: the cutter turns, it "
                "stands over the right place, and a hand is on the stop."
            )
            return _moment(track, point, why)
    return None


def _long_rapid(track: Track, scene: Scene) -> Moment | None:
    """The longest sideways rapid that stays at or above the safe height."""
    safe, top = scene.setup.safe_height, scene.setup.stock_top
    best: tuple[float, int] | None = None
    for point in range(1, len(track)):
        if track.kind[point] == RAPID and safe is not None and min(track.z[point], track.z[point - 1]) >= safe - 1e-6:
            length = math.hypot(track.x[point] - track.x[point - 1], track.y[point] - track.y[point - 1])
            if length > 0 and (best is None or length > best[0]):
                best = length, point
    if best is None or safe is None or top is None:
        return None
    why = (
        f"Fast, {_mm(best[0])} far, and high enough: it stays at or above the safe height of {_mm(safe - top)} over "
        "the board. Lower than the highest clamp it would be a stop."
    )
    return _moment(track, best[1], why)


def _wait(track: Track, _: Scene) -> Moment | None:
    if WAIT not in track.kind:
        return None
    point = track.kind.index(WAIT)
    seconds = track.t[point] - track.t[point - 1] if point else track.t[point]
    why = (
        f"Nothing moves for {show(seconds, 's')}: the program waits by itself. After a spindle start that is the time "
        "it needs to reach its speed. Keep your hands where they are."
    )
    return _moment(track, point, why)


def _mm(value: float) -> str:
    return show(value, "mm", 2)
