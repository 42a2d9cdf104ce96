"""The mistake machine: the program tried with one thing wrong, by the reader, facts and checks of `onionskin check`."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from generator.expr import Scope, Value, evaluate
from generator.facts import say
from generator.finding import Finding, Severity
from generator.load_workshop import JobCase
from generator.model.job import Job
from generator.model.mistake import Mistake
from generator.program_check.run import Checked, check_case
from generator.program_check.setting import Setting
from generator.program_check.source import Source, open_source
from generator.rehearsal.scene import Scene
from generator.rehearsal.show import Effect, TriedMistake

_UNIT_WORD = re.compile(rb"(?<![A-Za-z0-9.])([Gg])0*2([01])(?![\d.])")
_OPPOSITE = {"front-left": "front-right", "front-right": "front-left", "rear-left": "rear-right",
             "rear-right": "rear-left", "centre": "front-left"}  # fmt: skip

SceneOf = Callable[[Checked], Scene]


class Trial(Struct, frozen=True, kw_only=True):
    """What the mistakes are tried on; `folders` hold the content."""

    checked: Checked
    folders: tuple[Path, ...]
    scene_of: SceneOf


def try_mistakes(trial: Trial) -> Iterator[TriedMistake]:
    """Every mistake of the content, tried or with the reason why not."""
    for mistake in trial.checked.library.mistakes.values():
        facts = dict(trial.checked.facts) | _own_facts(mistake, trial.checked)
        if evaluate(mistake.applies, facts) is True:
            yield _tried(mistake, trial, facts)
        else:
            yield TriedMistake(id=mistake.id, title=mistake.title, suppose=say(mistake.otherwise, facts), applies=False)


def _own_facts(mistake: Mistake, checked: Checked) -> dict[str, Value]:
    amount = None if mistake.amount is None else evaluate(mistake.amount, checked.facts)
    return {"mistake.amount": amount, "mistake.corner": _OPPOSITE.get(str(checked.facts["job.zero_corner"]))}


def _tried(mistake: Mistake, trial: Trial, facts: Scope) -> TriedMistake:
    amount = facts["mistake.amount"]
    wrong = _check(mistake, trial, float(amount) if isinstance(amount, (int, float)) else 0.0)
    return TriedMistake(
        id=mistake.id, title=mistake.title, suppose=say(mistake.suppose, facts), applies=True,
        told=say(mistake.told, facts), habit=say(mistake.habit, facts), lesson=mistake.lesson or "",
        effects=tuple(_effects(wrong)), caught=tuple(_caught(wrong, trial.checked)), scene=trial.scene_of(wrong),
        program=wrong.program if mistake.change == "units" else None, first_stays=mistake.change == "tool-change",
    )  # fmt: skip


def _effects(wrong: Checked) -> Iterator[Effect]:
    for effect in wrong.library.effects.values():
        if evaluate(effect.when, wrong.facts) is True:
            found = wrong.facts[effect.lines] if effect.lines is not None else None
            lines = found if isinstance(found, (list, tuple)) else ()
            yield Effect(says=say(effect.says, wrong.facts), lines=tuple(int(line) for line in lines))


def _caught(wrong: Checked, right: Checked) -> Iterator[Finding]:
    """Findings that the mistake brought, notes left out."""
    before = {(finding.id, finding.says) for finding in right.judged.findings}
    for finding in wrong.judged.findings:
        if finding.severity is not Severity.NOTE and (finding.id, finding.says) not in before:
            yield finding


def _check(mistake: Mistake, trial: Trial, amount: float) -> Checked:
    match mistake.change:
        case "units":
            return _other_unit(trial)
        case "cutter-length":
            return _again(trial, alter=lambda setting: _raised(setting, amount))
        case "tool-change":
            return _again(trial, case=_passing_over_changes(trial.checked.case))
        case _:
            case = trial.checked.case
            job = _altered_job(mistake, case.job, trial.checked.facts, amount)
            return _again(trial, case=replace(case, job=job))


def _passing_over_changes(case: JobCase) -> JobCase:
    change = case.machine.tool_change.model_copy(update={"kind": "skipped"})
    return replace(case, machine=case.machine.model_copy(update={"tool_change": change}))


def _altered_job(mistake: Mistake, job: Job, facts: Scope, amount: float) -> Job:
    match mistake.change:
        case "thickness":
            measured = tuple(value for value in (facts["stock.thickness_min"], facts["stock.thickness_max"])
                             if isinstance(value, (int, float)))  # fmt: skip
            thicknesses = tuple(max(0.1, value + amount) for value in job.stock.thicknesses or measured)
            return job.model_copy(update={"stock": job.stock.model_copy(update={"thicknesses": thicknesses})})
        case "z-face":
            other = "bed" if job.zero.z == "stock-top" else "stock-top"
            return job.model_copy(update={"zero": job.zero.model_copy(update={"z": other})})
        case _:
            return _other_corner(job)


def _other_corner(job: Job) -> Job:
    """Zero at another corner of the stock, which stays where it is on the bed."""
    before = job.zero_in_stock()
    moved = job.model_copy(update={"zero": job.zero.model_copy(update={"corner": _OPPOSITE[str(job.zero.corner)]})})
    after = moved.zero_in_stock()
    if before is None or after is None:
        return moved
    bed = {
        name: None if value is None else value + new - old
        for name, value, new, old in (("bed_x", job.zero.bed_x, after[0], before[0]),
                                      ("bed_y", job.zero.bed_y, after[1], before[1]))
    }  # fmt: skip
    return moved.model_copy(update={"zero": moved.zero.model_copy(update=bed)})


def _raised(setting: Setting, by: float) -> Setting:
    """Everything on the bed higher by `by` mm as the program counts: the tip is that much lower than it was set."""

    def up(value: float | None) -> float | None:
        return None if value is None else value + by

    setup, level = setting.setup, setting.level
    clamps = tuple(replace(clamp, top=clamp.top + by) for clamp in setup.clamps)
    setup = replace(
        setup, stock_top=up(setup.stock_top), stock_bottom=up(setup.stock_bottom), safe_height=up(setup.safe_height),
        stick_out=up(setup.stick_out), clamps=clamps,
    )  # fmt: skip
    level = replace(level, top=up(level.top), bottom=up(level.bottom), thin_bottom=up(level.thin_bottom))
    return replace(setting, setup=setup, level=level)


def _other_unit(trial: Trial) -> Checked:
    """The program with G20 for G21 or the reverse; without either, on a machine that was left in the other unit."""
    source = trial.checked.source
    # The name stays, since the checks compare it with the one in the job.
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / source.path.name
        with path.open("wb") as target:
            for line in _lines(source):
                target.write(_UNIT_WORD.sub(lambda m: m[1] + (b"21" if m[2] == b"0" else b"20"), line))
        return _again(trial, open_source(path), alter=_other_default)


def _lines(source: Source) -> Iterator[bytes]:
    rest = b""
    for piece in source.pieces():
        *lines, rest = (rest + piece).split(b"\n")
        yield from (line + b"\n" for line in lines)
    yield rest


def _other_default(setting: Setting) -> Setting:
    return replace(setting, start=replace(setting.start, inches=not setting.start.inches))


def _again(
    trial: Trial,
    source: Source | None = None,
    case: JobCase | None = None,
    alter: Callable[[Setting], Setting] = lambda setting: setting,
) -> Checked:
    checked = trial.checked
    fresh = source or open_source(checked.source.path)
    return check_case(fresh, case or checked.case, checked.library, trial.folders, alter=alter)
