"""Everything one rehearsal page shows, worked out from a program in its scene."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from generator.finding import Finding
from generator.program.read import Program
from generator.rehearsal.clock import Clock, clock_of
from generator.rehearsal.moments import Moment, moments_of, point_of
from generator.rehearsal.plan_drawing import Plan, plan_of
from generator.rehearsal.scene import Scene
from generator.rehearsal.stages import Stage, stages_of
from generator.rehearsal.track import Track, thinned, track_of

# Line texts kept on the page: all of a program up to this many lines, else those that something points at.
MOST_LINES = 20_000
# Lines of one finding that keep their points and words in a long program.
LINES_KEPT = 5
MOST_TRIED_POINTS = 20_000


class Header(Struct, frozen=True, kw_only=True):
    """What the page is about: names as a person wrote them, the program file with its SHA-256."""

    job: str
    machine: str
    file: str
    size: int
    digest: str
    workshop: str
    spindle_by_hand: bool


class Mark(Struct, frozen=True, kw_only=True):
    """A place on the path that something is said about; `point` None where the path does not pass it."""

    number: str
    severity: str
    point: int | None
    name: str
    target: str


class Effect(Struct, frozen=True, kw_only=True):
    """One thing that would have happened, and the lines where."""

    says: str
    lines: tuple[int, ...] = ()


class TriedMistake(Struct, frozen=True, kw_only=True):
    """A mistake tried on the program; where it does not apply only `title` and `suppose` (why not) are given.

    `program` is given where the mistake changes what is read; `caught` are the findings the job itself does not have.
    """

    id: str
    title: str
    suppose: str
    applies: bool
    told: str = ""
    habit: str = ""
    lesson: str = ""
    effects: tuple[Effect, ...] = ()
    caught: tuple[Finding, ...] = ()
    scene: Scene | None = None
    program: Program | None = None
    first_stays: bool = False


class Show(Struct, frozen=True, kw_only=True):
    """One rehearsal. `findings` and `marks` go together by place; `track` may leave points out, and says so."""

    header: Header
    program: Program
    scene: Scene
    findings: tuple[Finding, ...]
    asked: tuple[str, ...]
    left_out: tuple[str, ...]
    mistakes: tuple[TriedMistake, ...]
    mistakes_left_out: str
    texts: Mapping[int, str]
    clock: Clock
    track: Track
    marks: tuple[Mark, ...]
    stages: tuple[Stage, ...]
    moments: tuple[Moment, ...]
    plan: Plan | None


def prepare(
    program: Program, scene: Scene, findings: Sequence[Finding]
) -> tuple[Clock, Track, list[Stage], list[Moment], Plan | None]:
    """Clock, track, stages, moments and plan of a program."""
    clock = clock_of(program, scene.setup)
    whole = track_of(program, clock)
    track = thinned(whole, {line for finding in findings for line in finding.lines[:LINES_KEPT]})
    return clock, track, stages_of(program, clock, whole), moments_of(track, scene, findings), plan_of(track, scene)


def marks_of(track: Track, findings: Sequence[Finding]) -> tuple[Mark, ...]:
    """One mark for each finding, numbered as in the list."""
    first = track.first_of_line()
    return tuple(
        Mark(
            number=str(number), severity=finding.severity.value, target=f"finding-{number}",
            point=None if finding.line is None else point_of(first, finding.line),
            name=f"Finding {number}, line {finding.line}: {finding.says}",
        )
        for number, finding in enumerate(findings, 1)
    )  # fmt: skip


def effect_marks(track: Track, mistake: TriedMistake) -> list[Mark]:
    """Marks of what would have happened: a letter for each effect, at its first line."""
    first = track.first_of_line()
    return [
        Mark(
            number=chr(ord("A") + letter), severity="stop", target=f"mistake-{mistake.id}",
            point=point_of(first, effect.lines[0]), name=f"Line {effect.lines[0]}: {effect.says}",
        )
        for letter, effect in enumerate(mistake.effects)
        if effect.lines
    ]  # fmt: skip


def track_with(program: Program, scene: Scene, lines: Sequence[int]) -> Track:
    """The drawn track of a program in another scene, coarser than the job's own."""
    return thinned(track_of(program, clock_of(program, scene.setup)), set(lines), MOST_TRIED_POINTS)


def wanted_lines(
    program: Program, findings: Sequence[Finding], moments: Sequence[Moment], stages: Sequence[Stage]
) -> set[int]:
    """The lines whose text the page keeps."""
    if program.lines <= MOST_LINES:
        return set(range(1, program.lines + 1))
    named = [line for finding in findings for line in finding.lines[:LINES_KEPT]]
    named += [moment.line for moment in moments] + [stage.first_line for stage in stages]
    return {near for line in named for near in range(line - 2, line + 3) if near > 0}
