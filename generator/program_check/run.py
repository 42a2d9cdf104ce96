"""One check from file to verdict."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from generator.checks import Judged, judge, unchecked
from generator.course import content_folders
from generator.expr import Node, Scope, Template, evaluate
from generator.expr.nodes import Name
from generator.expr.template import Hole, show_value
from generator.facts import FACTS, natural_unit
from generator.finding import Finding
from generator.fit_names import FIT_FACTS
from generator.library import Library
from generator.load_content import dialect_ids, load_some
from generator.load_workshop import JobCase, Known, home_of_job, load_job
from generator.model.cutter import Cutter
from generator.program.by_cutter import numbers_that_cut
from generator.program.catalogue import PROGRAM_FACTS
from generator.program.facts import block_delete_changes, program_facts
from generator.program.read import Program, read_program
from generator.program_check.cutters import cutters_used, is_listed, is_open, with_cutter
from generator.program_check.dialects import dialect_of
from generator.program_check.fit import Given, fit_facts
from generator.program_check.setting import Setting
from generator.program_check.sights import grounds_of, seen, setting_before, sights
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


def check_program(path: Path, job_path: Path, progress: Progress | None = None, cutter: str | None = None) -> Checked:
    """Check the program at `path` for the job at `job_path`, and its cutter of that id if one is said to be in.

    Raises OnionskinError for what cannot be read.
    """
    source = open_source(path)
    folders = content_folders(home_of_job(job_path))
    library = load_some(folders, KINDS)
    known = Known(materials=library.materials, cutters=library.cutters, dialects=dialect_ids(folders))
    return check_case(source, with_cutter(load_job(job_path, known), cutter), library, folders, progress)


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
    grounds, dialect = grounds_of(library, folders, alter), dialect_of(case.machine.controller, folders)
    start = setting_before(case, grounds).start
    pieces = source.hashed(progress)
    program = read_program(pieces, dialect, start)
    source.finish(pieces)
    numbers = numbers_that_cut(program)
    used = cutters_used(case.job, numbers)
    begun, case = case.job.main_cutter, _for_these(case, used)
    if case.job.main_cutter != begun and (other := setting_before(case, grounds).start) != start:
        program = read_program(source.pieces(), dialect, other)
    whole = seen(program, case, grounds)
    changes: list[str] = []
    if program.deleted_lines:
        without = read_program(source.pieces(), dialect, whole.setting.start, carry_deleted=False)
        changes = block_delete_changes(whole.found, program_facts(without, whole.setting.setup))
    given = Given(program=program, job=case.job, setting=whole.setting, facts=whole.scope, cutters=library.cutters,
                  file=source.path.name, block_delete_changes=tuple(map(fact_label, changes)),
                  cutter_open=is_open(case.job, numbers, case.cutter))  # fmt: skip
    given = replace(given, facts={**given.facts, **fit_facts(given)})
    judged = judge(sights(given, case, used, grounds), program.findings, say)
    left_out = tuple(say(item.says, given.facts) for item in unchecked(library.unchecked.values(), given.facts))
    return Checked(
        source=source, case=case, library=library, folders=folders, program=program, setting=whole.setting,
        given=given, facts=given.facts, judged=_quoted(judged, source), left_out=left_out,
    )  # fmt: skip


def _for_these(case: JobCase, used: Mapping[int | None, Cutter]) -> JobCase:
    """The job as it is for the cutters that are named; as it stands where none is, or none that the job knows."""
    named = case.cutter is not None or any(number is not None for number in used)
    known = {cutter.id: cutter for cutter in used.values() if is_listed(cutter, case.job)}
    return replace(case, job=case.job.for_cutters(list(known.values()))) if named and known else case


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
