"""What `onionskin rehearse` does: read, check, try the mistakes, and write one page."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from msgspec import Struct

from generator.checks import Verdict
from generator.course import content_folders
from generator.errors import OnionskinError
from generator.finding import Severity
from generator.load_content import dialect_ids, load_some
from generator.load_workshop import Known, home_of_job, load_job
from generator.plain import assets_folder
from generator.program_check.cutters import with_cutter
from generator.program_check.progress import ProgressLine
from generator.program_check.report import asked_label
from generator.program_check.run import KINDS, Checked, check_case
from generator.program_check.source import line_texts, open_source
from generator.rehearsal.page import MARKER, page_of
from generator.rehearsal.scene import Scene, SceneCutter
from generator.rehearsal.show import Header, Show, TriedMistake, marks_of, prepare, wanted_lines
from generator.rehearse_mistakes import Trial, try_mistakes
from generator.site import check_file, replace_file

# Trying every mistake reads the program anew each time; beyond this many moves the page says it was left out.
MOST_MISTAKE_MOVES = 200_000
BY_HAND = ("by-hand", "by-drive-panel")


class Rehearsed(Struct, frozen=True):
    """What was written, for the terminal."""

    output: Path
    size: int
    show: Show
    verdict: Verdict


def rehearse_program(program: Path, job: Path, output: Path, cutter: str | None = None) -> Rehearsed:
    """Write the rehearsal of `program` for `job` to `output`, swapped in whole; `cutter` as for a check.

    Raises OnionskinError or InputFaults for what cannot be read, is no program, or moves nothing; nothing is written.
    """
    check_file(output, MARKER, (program, job))
    trial = _checked(program, job, cutter)
    show = _show(trial)
    text = page_of(show, assets_folder())
    replace_file(output, text.encode())
    return Rehearsed(output, len(text.encode()), show, trial.checked.judged.verdict)


def as_json(rehearsed: Rehearsed) -> dict[str, object]:
    """What was written, as plain data."""
    show = rehearsed.show
    return {
        "page": str(rehearsed.output),
        "bytes": rehearsed.size,
        "lines": show.program.lines,
        "moves": len(show.program.moves),
        "points": len(show.track),
        "points_left_out": show.track.left_out,
        "time_min": show.track.t[-1] / 60,
        "sheets": len(show.plan.sheets.tiles) if show.plan else 0,
        "verdict": rehearsed.verdict,
        "findings": [finding.as_json() for finding in show.findings],
        "moments": [{"line": moment.line, "answer": moment.answer} for moment in show.moments],
        "mistakes": [
            {"id": tried.id, "applies": tried.applies, "effects": [effect.says for effect in tried.effects],
             "caught": [finding.id for finding in tried.caught]}
            for tried in show.mistakes
        ],
    }  # fmt: skip


def as_words(rehearsed: Rehearsed) -> str:
    """What was written, for a terminal."""
    counts = Counter(finding.severity.value for finding in rehearsed.show.findings)
    found = ", ".join(f"{counts[severity.value]} {severity.value}" for severity in Severity if counts[severity.value])
    asked = len(rehearsed.show.asked)
    more = f" Not known: {asked} facts it hangs on; the page names them." if asked else ""
    return f"Findings: {found or 'none'}.{more}\nOpen {rehearsed.output.resolve().as_uri()}"


def _checked(program: Path, job: Path, cutter: str | None) -> Trial:
    source = open_source(program)
    folders = content_folders(home_of_job(job))
    library = load_some(folders, (*KINDS, "mistakes", "effects"))
    known = Known(materials=library.materials, cutters=library.cutters, dialects=dialect_ids(folders))
    progress = ProgressLine()
    try:
        checked = check_case(source, with_cutter(load_job(job, known), cutter), library, folders, progress)
    finally:
        progress.done()
    if checked.program.file_kind != "program" or checked.judged.verdict == "wrong-kind":
        raise OnionskinError(f"{program}: {_first_words(checked)}")
    if not checked.program.moves:
        raise OnionskinError(f"{program}: nothing in it moves the machine, so there is nothing to rehearse")
    return Trial(checked=checked, folders=tuple(folders), scene_of=_scene)


def _first_words(checked: Checked) -> str:
    findings = checked.judged.findings
    return f"{findings[0].says} {findings[0].mend}" if findings else "is not a program for a router"


def _scene(checked: Checked) -> Scene:
    job, machine = checked.case.job, checked.case.machine
    cutters = tuple(
        SceneCutter(name=cutter.name or cutter.id, number=cutter.number, diameter=cutter.diameter,
                    stick_out=cutter.stick_out)
        for cutter in job.cutters
    )  # fmt: skip
    return Scene(setup=checked.setting.setup, cutters=cutters, nut_length=machine.spindle.nut_length,
                 bed_thickness=machine.bed.thickness, zero=checked.setting.start.zero)  # fmt: skip


def _show(trial: Trial) -> Show:
    checked = trial.checked
    program, scene, findings = checked.program, _scene(checked), checked.judged.findings
    clock, track, stages, moments, plan = prepare(program, scene, findings)
    if not track:
        raise OnionskinError(f"{checked.source.path}: where it moves is not known on all three axes at any line, so it "
                             "cannot be drawn; let it begin with a move to a place given in X, Y and Z")  # fmt: skip
    mistakes, left_out = _mistakes(trial)
    texts = line_texts(checked.source, wanted_lines(program, findings, moments, stages))
    return Show(
        header=_header(checked), program=program, scene=scene, findings=findings, asked=_asked(checked),
        left_out=checked.left_out, mistakes=mistakes, mistakes_left_out=left_out, texts=texts, clock=clock, track=track,
        marks=marks_of(track, findings), stages=tuple(stages), moments=tuple(moments), plan=plan,
    )  # fmt: skip


def _mistakes(trial: Trial) -> tuple[tuple[TriedMistake, ...], str]:
    if len(trial.checked.program.moves) > MOST_MISTAKE_MOVES:
        return (), f"Left out: the program has more than {MOST_MISTAKE_MOVES:,} moves.".replace(",", "\u202f")
    return tuple(try_mistakes(trial)), ""


def _header(checked: Checked) -> Header:
    case, source = checked.case, checked.source
    return Header(
        job=case.job.name, machine=case.machine.name, file=source.path.name, size=source.size, digest=source.digest,
        workshop=case.home.workshop.name, spindle_by_hand=case.machine.spindle.switching in BY_HAND,
    )  # fmt: skip


def _asked(checked: Checked) -> tuple[str, ...]:
    return tuple(f"{asked_label(asked)}: {', '.join(asked.checks)}" for asked in checked.judged.asked)
