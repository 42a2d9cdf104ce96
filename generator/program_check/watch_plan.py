"""When to look where: the moments of a program in clock time, and the lines from which it may be started again."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterator
from datetime import time

from msgspec import Struct

from generator.expr import Value
from generator.program.moves import CUTS, LOST, RAPID, Moves
from generator.program.read import Program
from generator.program_check.fit import loose_pieces
from generator.program_check.run import Checked
from generator.program_check.source import line_texts
from generator.rehearsal.clock import Clock, clock_of

# Minutes after the end at which to look and smell again; fires in this trade come late.
FIRE_WATCH_MIN = (30, 60)
MOST_MOMENTS = 24
MOST_RESTARTS = 18
_EVENTS = {
    "M3": "The spindle starts. Listen for a steady note.",
    "M4": "The spindle starts backwards.",
    "M5": "The spindle is told to stop.",
    "M0": "Pause. Do what is asked for, then let it go on.",
    "M1": "Pause, where that switch is on.",
    "M6": "Cutter change. Spindle still and isolated before a hand goes in. Set Z again.",
}


class Moment(Struct, frozen=True):
    """Something to watch for: seconds after the start, the line it stands on (0 for none), and what to do."""

    seconds: float
    line: int
    says: str


class Restart(Struct, frozen=True):
    """A line that begins with a lift: where it goes next, the feed of the next cut, and the speed in force."""

    line: int
    to: tuple[float, float]
    feed: float
    speed: float | None
    seconds: float


def moments_of(checked: Checked) -> tuple[Moment, ...]:
    """What to watch, in order of time."""
    clock = clock_of(checked.program, checked.setting.setup)
    if not len(clock.ends):
        return ()
    found = [*_codes(checked, clock), *_contact(checked, clock), *_drilling(checked, clock), *_freeing(checked, clock)]
    found.sort(key=lambda moment: (moment.seconds, moment.line))
    end = clock.ends[-1]
    says = "The program ends. Spindle off and seen to stand still before a hand goes in."
    last = Moment(end, checked.program.end_line or 0, says)
    watches = (
        Moment(end + 60 * minutes, 0, f"Fire watch, {minutes} min after the end: look, smell, touch bin, slot and bed.")
        for minutes in FIRE_WATCH_MIN
    )
    return (*_thinned(found), last, *watches)


def _thinned(found: list[Moment]) -> list[Moment]:
    """Not more than fits a sheet; what is left out is said."""
    if len(found) <= MOST_MOMENTS:
        return found
    left = len(found) - MOST_MOMENTS
    more = Moment(found[MOST_MOMENTS].seconds, 0, f"{left} more moments like these, to the end.")
    return [*found[:MOST_MOMENTS], more]


def _start_of(clock: Clock, move: int) -> float:
    return clock.ends[min(move, len(clock.ends)) - 1] if move > 0 else 0.0


def _move_at(moves: Moves, line: Value) -> int | None:
    """The first move of a line."""
    if not isinstance(line, (int, float)):
        return None
    index = bisect_left(moves.line, int(line))
    return index if index < len(moves) else None


def _codes(checked: Checked, clock: Clock) -> Iterator[Moment]:
    asked = _comments_at_pauses(checked)
    for event in checked.program.events:
        if event.code in _EVENTS:
            words = f" It asks: {asked[event.line]}" if event.line in asked else ""
            yield Moment(_start_of(clock, event.move), event.line, _EVENTS[event.code] + words)


def _contact(checked: Checked, clock: Clock) -> Iterator[Moment]:
    facts = checked.facts
    says = "First contact. Hand on the stop; look at height and place."
    yield from _at_line(checked, clock, facts["program.first_contact_line"], says)
    if facts["fit.bed_bite"]:
        says = "It reaches the bed for the first time. Smell for smoke from now on."
        yield from _at_line(checked, clock, facts["program.deepest_line"], says)


def _drilling(checked: Checked, clock: Clock) -> Iterator[Moment]:
    lines = checked.facts["occurrences.plunge"]
    first = lines[0] if isinstance(lines, list) and lines else None
    yield from _at_line(checked, clock, first, "Straight plunges begin. Chips that do not come out burn.")


def _at_line(checked: Checked, clock: Clock, line: Value, says: str) -> Iterator[Moment]:
    moves = checked.program.moves
    move = _move_at(moves, line)
    if move is not None:
        yield Moment(_start_of(clock, move), moves.line[move], says)


def _freeing(checked: Checked, clock: Clock) -> Iterator[Moment]:
    free = loose_pieces(checked.given) or ()
    for piece in free:
        says = f"A piece comes FREE: {_size(piece.box)}. Stop before it does, or fix it."
        yield Moment(clock.ends[piece.move], piece.line, says)
    above = max(_number(checked.facts["job.tab_height"]), _number(checked.facts["job.skin_thickness"]))
    known = {piece.move for piece in free}
    for piece in (loose_pieces(checked.given, above) or ()) if above else ():
        if piece.move not in known:
            says = f"A piece hangs on its tabs or skin alone: {_size(piece.box)}. Watch for shivering."
            yield Moment(clock.ends[piece.move], piece.line, says)


def _number(value: Value) -> float:
    return float(value) if isinstance(value, (int, float)) else 0.0


def _size(box: tuple[float, float, float, float]) -> str:
    return f"{box[2] - box[0]:.0f} by {box[3] - box[1]:.0f} mm"


def clock_words(seconds: float, start: time | None) -> str:
    """The time of day, or minutes and seconds after the start where no start is given."""
    whole = round(seconds)
    if start is None:
        hours, rest = divmod(whole, 3600)
        return f"+{hours}:{rest // 60:02d}:{rest % 60:02d}" if hours else f"+{rest // 60}:{rest % 60:02d}"
    minutes = start.hour * 60 + start.minute + whole // 60
    return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"


def restarts_of(checked: Checked) -> tuple[Restart, ...]:
    """Lines from which a start is safe as far as the path goes: each begins with a lift to the safe height or above."""
    safe = checked.setting.setup.safe_height
    if safe is None:
        return ()
    clock = clock_of(checked.program, checked.setting.setup)
    found = list(_lifts(checked.program, safe, clock))
    step = max(1, math.ceil(len(found) / MOST_RESTARTS))
    # Counted from the end, since the last ones come before the cuts that free the work.
    return tuple(found[::-1][::step][::-1])


def _lifts(program: Program, safe: float, clock: Clock) -> Iterator[Restart]:
    moves, speeds = program.moves, _speeds(program)
    before = moves.start[2]
    for index, (kind, z) in enumerate(zip(moves.kind, moves.z, strict=True)):
        if kind == RAPID and z >= safe - 1e-6 and before < safe - 1e-6 and _upright(moves, index):
            target = _next_place(moves, index)
            feed = _next_feed(moves, index)
            if target is not None and feed:
                yield Restart(moves.line[index], target, feed, speeds(index), _start_of(clock, index))
        before = z


def _upright(moves: Moves, index: int) -> bool:
    return moves.end(index)[:2] == moves.end(index - 1)[:2]


def _next_place(moves: Moves, index: int) -> tuple[float, float] | None:
    """Where the next rapid goes at that height."""
    if index + 1 >= len(moves) or moves.kind[index + 1] != RAPID or moves.z[index + 1] < moves.z[index]:
        return None
    return moves.x[index + 1], moves.y[index + 1]


def _next_feed(moves: Moves, index: int) -> float:
    later = range(index + 1, min(len(moves), index + 50))
    return next((moves.feed[move] for move in later if moves.kind[move] in CUTS and moves.kind[move] != LOST), 0.0)


def _speeds(program: Program) -> Callable[[int], float | None]:
    marks = [(event.move, event.value) for event in program.events if event.code == "S"]

    def at(index: int) -> float | None:
        return next((speed for move, speed in reversed(marks) if move <= index), None)

    return at


def _comments_at_pauses(checked: Checked) -> dict[int, str]:
    """What stands in the comment on or before each pause, by line."""
    lines = {event.line for event in checked.program.events if event.code in ("M0", "M1")}
    texts = line_texts(checked.source, {*lines, *(line - 1 for line in lines)})
    return {line: found for line in lines if (found := _comment(texts.get(line, ""), texts.get(line - 1, "")))}


def _comment(*texts: str) -> str:
    return next((inner for text in texts if (inner := _inner(text))), "")


def _inner(text: str) -> str:
    _, opened, rest = text.partition("(")
    return rest.partition(")")[0].strip() if opened else ""
