"""One check from file to verdict."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from generator.checks import Judged, judge, unchecked
from generator.course import content_folders
from generator.expr import Node, Scope, Template, Value, evaluate, names, template_names
from generator.expr.nodes import Name
from generator.expr.template import Hole, show_value
from generator.facts import FACTS, facts_of, natural_unit
from generator.finding import Finding
from generator.fit_names import FIT_FACTS
from generator.library import Library
from generator.load_content import load_calculators, load_some
from generator.load_workshop import JobCase, Known, load_job
from generator.model.check import Check
from generator.model.plan import Plan
from generator.plan import FIRST_PLAN, make_plan
from generator.program.catalogue import PROGRAM_FACTS
from generator.program.facts import block_delete_changes, program_facts
from generator.program.read import Program, read_program
from generator.program_check.dialects import dialect_ids, dialect_of
from generator.program_check.fit import Given, fit_facts
from generator.program_check.setting import Setting, setting_of
from generator.program_check.source import Progress, Source, line_texts, open_source

KINDS = ("checks", "unchecked", "materials", "cutters", "plans")
# More lines than these are not looked up in the file again to be quoted.
MOST_QUOTED = 500


class Checked(Struct, frozen=True, kw_only=True):
    """A program with its verdict; `facts` hold every name the checks could use, `left_out` what was not looked at."""

    source: Source
    case: JobCase
    library: Library
    folders: Sequence[Path]
    program: Program
    setting: Setting
    given: Given
    facts: Scope
    judged: Judged
    left_out: tuple[str, ...]


def check_program(path: Path, job_path: Path, progress: Progress | None = None) -> Checked:
    """Check the program at `path` for the job at `job_path`. Raises OnionskinError for what cannot be read."""
    source = open_source(path)
    folders = content_folders(job_path.parent.parent)
    library = load_some(folders, KINDS)
    known = Known(materials=library.materials, cutters=library.cutters, dialects=dialect_ids(folders))
    case = load_job(job_path, known)
    return check_case(source, case, library, folders, progress)


def _as_it_is(setting: Setting) -> Setting:
    return setting


def check_case(
    source: Source,
    case: JobCase,
    library: Library,
    folders: Sequence[Path],
    progress: Progress | None = None,
    alter: Callable[[Setting], Setting] = _as_it_is,
) -> Checked:
    """Check a program whose job, machine and content are read already.

    `alter` changes what job and machine say into what is really there, to see what a mistake would have led to.
    """
    facts = facts_of(case.machine, case.job, case.home.workshop, library.materials)
    planned = _planned(library, folders, facts)
    dialect = dialect_of(case.machine.controller, folders)
    setting = alter(setting_of(case.job, case.machine, facts, None))
    pieces = source.hashed(progress)
    program = read_program(pieces, dialect, setting.start)
    source.finish(pieces)
    setting = alter(setting_of(case.job, case.machine, facts, _hand_speed(case, program, planned)))
    found = program_facts(program, setting.setup)
    changes: list[str] = []
    if program.deleted_lines:
        without = read_program(source.pieces(), dialect, setting.start, carry_deleted=False)
        changes = block_delete_changes(found, program_facts(without, setting.setup))
    scope = {**facts, **planned, **found}
    given = Given(program=program, job=case.job, setting=setting, facts=scope, cutters=library.cutters,
                  file=source.path.name, block_delete_changes=tuple(map(fact_label, changes)))  # fmt: skip
    scope |= fit_facts(given)
    judged = judge(library.checks.values(), program.findings, scope, say)
    left_out = tuple(say(item.says, scope) for item in unchecked(library.unchecked.values(), scope))
    return Checked(
        source=source, case=case, library=library, folders=folders, program=program, setting=setting, given=given,
        facts=scope, judged=_quoted(judged, source), left_out=left_out,
    )  # fmt: skip


def _planned(library: Library, folders: Sequence[Path], facts: Scope) -> dict[str, Value]:
    """What the first plan works out, as far as the checks ask for it; all of its names, unknown where they do not."""
    plan = library.plans[FIRST_PLAN]
    steps = _steps_for(plan, library.checks.values())
    used = [step.calculator for step in plan.steps if step.name in steps]
    calculators = load_calculators(folders, used)
    part = plan.model_copy(update={
        "steps": tuple(step for step in plan.steps if step.name in steps), "figures": (), "findings": (),
    })  # fmt: skip
    return dict(make_plan(part, calculators, facts).scope)


def _steps_for(plan: Plan, checks: Iterable[Check]) -> set[str]:
    """Steps whose outputs some check names, and the steps those hang on."""
    asked = {name.id for check in checks for name in (*names(check.when), *template_names(check.says))}
    asked |= {name.id for check in checks for name in template_names(check.mend)}
    wanted = {name.partition(".")[0] for name in asked}
    for step in reversed(plan.steps):
        if step.name in wanted:
            nodes = [*step.given.values(), *([step.when] if step.when is not None else [])]
            wanted |= {name.id.partition(".")[0] for node in nodes for name in names(node)}
    return wanted


def _hand_speed(case: JobCase, program: Program, planned: Scope) -> float | None:
    """The speed a person sets: as the job says, else the program's own, else the plan's. None where S commands it."""
    if case.machine.spindle.speed_control in (None, "commanded"):
        return None
    said = next((operation.speed for operation in case.job.operations if operation.speed), None)
    own = next((event.value for event in program.events if event.code == "S" and event.value > 0), None)
    plan = planned.get("chips.speed")
    return said or own or (plan if isinstance(plan, float) else None)


def _quoted(judged: Judged, source: Source) -> Judged:
    """The findings with the words of the line they cite."""
    wanted = [finding.line for finding in judged.findings if finding.line and not finding.text][:MOST_QUOTED]
    texts = line_texts(source, set(wanted)) if wanted else {}
    return replace(judged, findings=tuple(_with_text(finding, texts) for finding in judged.findings))


def _with_text(finding: Finding, texts: dict[int, str]) -> Finding:
    return finding if finding.text or not finding.line else replace(finding, text=texts.get(finding.line, ""))


def say(text: Template, scope: Scope) -> str:
    """A text with its values, each fact in its own unit."""
    return "".join(part if isinstance(part, str) else _shown(part, scope) for part in text)


def _shown(hole: Hole, scope: Scope) -> str:
    return show_value(evaluate(hole.node, scope), hole.unit or _unit(hole.node), hole.digits)


def _unit(node: Node) -> str | None:
    known = PROGRAM_FACTS | FIT_FACTS
    if isinstance(node, Name) and node.id in known:
        return known[node.id].unit or None
    return natural_unit(node)


def fact_label(name: str) -> str:
    """A fact as a person would call it."""
    known = FACTS | PROGRAM_FACTS | FIT_FACTS
    return known[name].label if name in known else name
