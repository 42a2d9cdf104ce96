"""What the checks see of a program: the whole of it, and where it uses several cutters, the part of each."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from generator.checks import Sight
from generator.expr import Scope, Value, names, template_names
from generator.facts import facts_of
from generator.fit_names import SIZED
from generator.library import Library
from generator.load_content import load_calculators
from generator.load_workshop import JobCase
from generator.model.calculator import Calculator
from generator.model.check import Check
from generator.model.cutter import Cutter
from generator.model.plan import Plan
from generator.plan import FIRST_PLAN, make_plan
from generator.program.by_cutter import part_before, part_with
from generator.program.facts import program_facts
from generator.program.read import Program
from generator.program_check.fit import Given, cutter_fit
from generator.program_check.setting import Setting, setting_of


class Grounds(Struct, frozen=True, kw_only=True):
    """What every sight of one check rests on; `plan` holds the steps that some check names, with their calculators.

    `alter` changes what job and machine say into what is really there.
    """

    library: Library
    plan: Plan
    calculators: Mapping[str, Calculator]
    alter: Callable[[Setting], Setting]


class Seen(Struct, frozen=True, kw_only=True):
    """A program with one cutter: its setting, its own facts, and these with all facts of job, machine and plan."""

    setting: Setting
    found: dict[str, Value]
    scope: dict[str, Value]


def grounds_of(library: Library, folders: Sequence[Path], alter: Callable[[Setting], Setting]) -> Grounds:
    """The grounds; reads the calculators. Raises InputFaults."""
    plan = library.plans[FIRST_PLAN]
    steps = _steps_for(plan, library.checks.values())
    kept = tuple(step for step in plan.steps if step.name in steps)
    part = plan.model_copy(update={"steps": kept, "figures": (), "findings": ()})
    calculators = load_calculators(folders, [step.calculator for step in kept])
    return Grounds(library=library, plan=part, calculators=calculators, alter=alter)


def _steps_for(plan: Plan, checks: Iterable[Check]) -> set[str]:
    """Steps whose outputs some check names, and the steps those hang on."""
    wanted = {name.partition(".")[0] for check in checks for name in _named(check)}
    for step in reversed(plan.steps):
        if step.name in wanted:
            nodes = [*step.given.values(), *([step.when] if step.when is not None else [])]
            wanted |= {name.id.partition(".")[0] for node in nodes for name in names(node)}
    return wanted


def _named(check: Check) -> set[str]:
    found = {name.id for name in (*names(check.when), *template_names(check.says), *template_names(check.mend))}
    return found | set(check.needs)


def job_facts(case: JobCase, library: Library) -> dict[str, Value]:
    """Every fact of machine, job and workshop."""
    return facts_of(case.machine, case.job, case.home.workshop, library.materials)


def setting_before(case: JobCase, grounds: Grounds) -> Setting:
    """The setting as far as it is known before the program is read."""
    return grounds.alter(setting_of(case.job, case.machine, job_facts(case, grounds.library), None))


def seen(program: Program, case: JobCase, grounds: Grounds, before: Program | None = None) -> Seen:
    """The program with the job's main cutter, on stock that the program `before` has cut already."""
    facts = job_facts(case, grounds.library)
    planned = make_plan(grounds.plan, grounds.calculators, facts).scope
    hand_speed = _hand_speed(case, program, planned)
    setting = grounds.alter(setting_of(case.job, case.machine, facts, hand_speed))
    found = program_facts(replace(program, start=setting.start), setting.setup, before)
    return Seen(setting=setting, found=found, scope={**facts, **planned, **found})


def _hand_speed(case: JobCase, program: Program, planned: Scope) -> float | None:
    """The speed a person sets: as the job says, else the program's own, else the plan's. None where S commands it."""
    spindle = case.machine.spindle
    if spindle.switching == "by-program-with-speed" or (
        spindle.switching is None and spindle.speed_control in (None, "commanded")
    ):
        return None
    main = case.job.main_cutter.id
    said = next((cut.speed for cut in case.job.operations if cut.speed and cut.cutter == main), None)
    own = next((event.value for event in program.events if event.code == "S" and event.value > 0), None)
    plan = planned.get("chips.speed")
    return said or own or (plan if isinstance(plan, float) else None)


def sights(
    whole: Given, case: JobCase, used: Mapping[int | None, Cutter], grounds: Grounds
) -> Iterator[tuple[Check, Sight]]:
    """Each check with what it sees. Where another cutter than the job's main one cuts too, what hangs on a cutter is
    looked at in the part of each; `used` are the cutters by tool number."""
    alone = {cutter.id for cutter in used.values()} <= {case.job.main_cutter.id}
    parts = [] if alone else [_part_of(cutter, number, whole, case, grounds) for number, cutter in used.items()]
    everything = Sight(whole.facts)
    for check in grounds.library.checks.values():
        for sight in parts if parts and _hangs_on_cutter(check, grounds.plan) else [everything]:
            yield check, sight


def _hangs_on_cutter(check: Check, plan: Plan) -> bool:
    groups = {"cutter", *(step.name for step in plan.steps)}
    # A tool number says which cutter it is and nothing about it.
    named = _named(check) - {"cutter.number"}
    return any(name in SIZED or name.partition(".")[0] in groups for name in named)


def _part_of(cutter: Cutter, number: int | None, whole: Given, case: JobCase, grounds: Grounds) -> Sight:
    own = replace(case, job=case.job.for_cutters([cutter]))
    part, before = part_with(whole.program, number), part_before(whole.program, number)
    look = seen(part, own, grounds, before)
    given = replace(whole, program=part, job=own.job, setting=look.setting, facts={**whole.facts, **look.scope})
    return Sight({**given.facts, **cutter_fit(given)}, cutter.called)
