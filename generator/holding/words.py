"""What a job's holding comes to in findings: what was seen, and how to mend it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from msgspec.structs import replace

from generator.finding import Finding, Severity, gravest_first
from generator.hold.bending import BendingAnswer
from generator.hold.freeing import Freed
from generator.hold.given import Pad, Point
from generator.hold.grip import GripAnswer, Rule
from generator.hold.kernel import Floats
from generator.hold.layout import Advice, LayoutAnswer, LayoutReview
from generator.hold.outline import distance_to_segments
from generator.hold.spots import NO_SPOT, Spot, Spots
from generator.holding.parts import order_of
from generator.holding.situation import Situation
from generator.units import show_number

BOX_SAMPLES = 7
LESSONS = {"hold-part": "moment-of-freeing", "hold-slug": "moment-of-freeing", "hold-inside": "moment-of-freeing",
           "hold-lifts": "other-ways-to-hold", "hold-flutter": "other-ways-to-hold", "hold-tape": "other-ways-to-hold",
           "hold-vacuum": "other-ways-to-hold", "hold-screws": "other-ways-to-hold"}  # fmt: skip
HOLDERS = {"tab": "tabs", "skin": "the skin", "clamp": "clamps", "screw": "screws"}
USUAL_LESSON = "clamps-and-pivots"
MOTIONS = {
    Rule.SLIDING: "slide", Rule.TURNING: "turn", Rule.LIFT: "lift off the bed", Rule.TIPPING: "tip over its edge",
}  # fmt: skip


def findings_of(
    s: Situation, spots: Spots, judged: GripAnswer, reviewed: LayoutReview | None, fewest: LayoutAnswer,
    pieces: Sequence[Freed], bends: BendingAnswer | None,
) -> tuple[Finding, ...]:  # fmt: skip
    """Every finding, each once, the gravest first."""
    found = [*judged.findings, *_verdict(s, judged, reviewed, fewest), *s.findings, *in_the_way(s)]
    enough = judged.margin.low >= s.wanted.margin
    found += [finding for finding in spots.findings if not (enough and finding.id == NO_SPOT)]
    found += [finding for piece in pieces for finding in piece.findings]
    found += [*order_of(s.cuts), *(bends.findings if bends else ())]
    return as_findings(found)


def as_findings(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings in whole sentences with their lesson, each once, the gravest first."""
    whole = {(finding.id, finding.says): _whole(finding) for finding in found}
    return tuple(gravest_first(whole.values()))


def _whole(finding: Finding) -> Finding:
    lesson = next((lesson for start, lesson in LESSONS.items() if finding.id.startswith(start)), USUAL_LESSON)
    return replace(finding, says=sentence(finding.says), mend=sentence(finding.mend), lesson=lesson)


def sentence(words: str) -> str:
    """The words with a capital letter and a full stop."""
    return words[:1].upper() + words[1:] + ("" if words.endswith(".") else ".")


def spot(point: Point) -> str:
    """A place in words."""
    return f"({point[0]:.0f}, {point[1]:.0f}) mm"


def times(margin: float) -> str:
    """A margin in words, rounded down so that it never looks better than it is."""
    down = math.floor(margin * 10 + 1e-9) / 10 if margin < 10 else math.floor(margin)
    return f"{show_number(down, '1', 2)} times"


def motion(answer: GripAnswer) -> str:
    """What would happen first, in words."""
    if answer.rules is Rule.TURNING and answer.pivot is not None:
        return f"turn about {spot(answer.pivot)}"
    return MOTIONS[answer.rules]


def _verdict(
    s: Situation, judged: GripAnswer, reviewed: LayoutReview | None, fewest: LayoutAnswer
) -> Iterator[Finding]:
    needed = s.wanted.margin
    if judged.margin.low >= needed:
        return
    yield Finding(
        id="hold-too-weak", severity=Severity.STOP,
        says=f"what holds the board stands {times(judged.margin.low)} the force of the cut, and {times(needed)} are "
        f"wanted; with the cutter at {spot(judged.worst_point)} the board would {motion(judged)}",
        mend=" ".join(sentence(words) for words in _ways_out(s, reviewed, fewest)),
    )  # fmt: skip


def _ways_out(s: Situation, reviewed: LayoutReview | None, fewest: LayoutAnswer) -> Iterator[str]:
    move, more = telling_changes(reviewed)
    if move:
        yield f"{moved(s.pads[move.moved or 0], move.spot.pad)} would hold {times(move.margin)}"
    if more:
        yield f"one more {more.spot.pad.kind} at {spot(more.spot.pad.at)} would hold {times(more.margin)}"
    if fewest.count:
        proof = "as few as will do" if fewest.exact else "fewer were not found"
        yield f"{chosen(fewest.spots)} hold, {proof}: {in_order(fewest.spots)}"
    else:
        yield from (finding.mend for finding in fewest.findings if finding.id == "hold-no-layout")
    yield "cut less deep, or set a stop that takes the push"


def telling_changes(reviewed: LayoutReview | None) -> tuple[Advice | None, Advice | None]:
    """The best move and the best addition, each where the margin shown would be another one."""
    if reviewed is None:
        return None, None
    now = times(reviewed.grip.margin.low)
    move, more = (
        change if change and times(change.margin) != now else None for change in (reviewed.move, reviewed.one_more)
    )
    return move, more


def moved(pad: Pad, to: Pad) -> str:
    """One hold-down taken from its place to another, in words."""
    if pad.kind == to.kind:
        return f"the {pad.kind} at {spot(pad.at)} moved to {spot(to.at)}"
    return f"a {to.kind} at {spot(to.at)} in place of the {pad.kind} at {spot(pad.at)}"


def chosen(spots: Sequence[Spot]) -> str:
    """How many clamps and screws, in words."""
    kinds = Counter(one.pad.kind for one in spots)
    return " and ".join(f"{count} {kind}{'s' if count > 1 else ''}" for kind, count in sorted(kinds.items()))


def in_order(spots: Sequence[Spot]) -> str:
    """Places in placing order; where clamps and screws are mixed each screw is called one."""
    mixed = len({one.pad.kind for one in spots}) > 1
    ordered = [spots[number].pad for number in placing_order([one.pad.at for one in spots])]
    return ", ".join(("screw " if mixed and pad.kind == "screw" else "") + spot(pad.at) for pad in ordered)


def placing_order(places: Sequence[Point]) -> tuple[int, ...]:
    """The clamps by number as they are best set: front-left first, then always the one farthest from the others."""
    left = sorted(range(len(places)), key=lambda k: (places[k][0] + places[k][1], places[k][0]))
    placed, left = left[:1], left[1:]
    while left:
        following = max(left, key=lambda k: min(math.dist(places[k], places[other]) for other in placed))
        placed.append(following)
        left.remove(following)
    return tuple(placed)


def in_the_way(s: Situation) -> Iterator[Finding]:
    """One finding for each clamp that stands in the way of cutter or nut, or too near it."""
    half = s.place.clamp.half_width
    for one in s.own:
        (x, y), need = one.pad.at, s.room.keep_out(math.inf if one.top is None else one.top)
        around = one.box or (x - half, y - half, x + half, y + half)
        near = min((_distance(around, cut.path) for cut in s.cuts), default=math.inf)
        if near < need:
            yield _in_the_way(one.pad.at, near, need, hit=near < need - s.room.spare)


def _distance(box: tuple[float, float, float, float], path: Floats) -> float:
    """From an upright box to a path, by places all over the box and the path's own points."""
    x0, y0, x1, y1 = box
    xs, ys = np.linspace(x0, x1, BOX_SAMPLES), np.linspace(y0, y1, BOX_SAMPLES)
    over = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    x = np.maximum(np.maximum(x0 - path[:, 0], path[:, 0] - x1), 0.0)
    y = np.maximum(np.maximum(y0 - path[:, 1], path[:, 1] - y1), 0.0)
    ends = np.concatenate([path[1:], path[-1:]])
    return float(min(np.hypot(x, y).min(), distance_to_segments(over, path, ends).min()))


def _in_the_way(at: Point, near: float, need: float, hit: bool) -> Finding:
    comes = "the cutter or its nut would meet it" if hit else "little is to spare"
    return Finding(
        id="hold-clamp-in-the-way", severity=Severity.STOP if hit else Severity.WARN,
        says=f"the clamp at {spot(at)} stands {near:.0f} mm from the middle of the cutter's path and {need:.0f} mm is "
        f"wanted: {comes}",
        mend="move it away from the cut, or take a lower one",
    )  # fmt: skip
