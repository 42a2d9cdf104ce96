"""The command line: one verb a function; faults go to stderr, one line each, and never as a traceback."""

from __future__ import annotations

import atexit
import gc
import json
import os
import sys
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any, NoReturn

import click

from generator.cli_register import register
from generator.errors import InputFaults, OnionskinError
from generator.finding import Severity, worst

AS_JSON = click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout and nothing else.")
CUTTER = click.option("--cutter", help="The id of the job's cutter this file is for, where it names none.")
WORKSHOP = click.argument("workshop", required=False, type=click.Path(path_type=Path))


class _Group(click.Group):
    """Turns what the user got wrong into exit code 2 and one clear line for each fault."""

    def invoke(self, ctx: click.Context) -> Any:
        _start_quickly()
        try:
            return super().invoke(ctx)
        except InputFaults as faults:
            _leave([str(fault) for fault in faults.faults])
        except OnionskinError as error:
            _leave([str(error)])


def _start_quickly() -> None:
    """Leaves out what costs a short command a tenth of its time and gives it nothing."""
    # What is read stays to the end, so looking for garbage at every 700th new thing finds none.
    gc.set_threshold(50_000, 10, 10)
    # At the end everything goes with the process; looking once more for what might go first takes as long as the plan.
    atexit.register(gc.freeze)
    # No model of ours has a plugin; looking for some reads the papers of every package installed.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # The arrays of a holding are small: a second thread waits, and takes the core from another build.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def _leave(lines: list[str]) -> NoReturn:
    for line in lines:
        click.echo(line, err=True)
    sys.exit(2)


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="onionskin")
def main() -> None:
    """A course for one router, one job and one workshop's rules.

    Every command ends with 0 where it found nothing that forbids the cut, with 1 where it did (a finding of severity
    stop, or a fault that lint tells), and with 2 where a file or the call is wrong. Warnings and open questions end
    with 0 too.
    """


@main.command()
@click.argument("folder", type=click.Path(path_type=Path))
@AS_JSON
def new(folder: Path, as_json: bool) -> None:
    """Write a commented workshop folder to fill in."""
    from generator.new import new_workshop

    new_workshop(folder)
    _say(as_json, {"folder": str(folder)}, f"{folder} is ready. Fill in {folder}/workshop.yml and its machine, "
         f"then run: onionskin build {folder}")  # fmt: skip


@main.command()
@click.argument("workshops", nargs=-1, type=click.Path(path_type=Path))
@click.option("-o", "--output", default="site", type=click.Path(path_type=Path), help="Where the site goes.")
@click.option(
    "--one-file", type=click.Path(path_type=Path), help="Write the whole course as this one HTML file instead."
)
@click.option("--jobs", default=1, type=click.IntRange(1), help="How many workshops to build at a time.")
@AS_JSON
def build(workshops: tuple[Path, ...], output: Path, one_file: Path | None, jobs: int, as_json: bool) -> None:
    """Build the course as a static site (the demo workshop if none is named).

    Several workshops go into a folder each under the output folder.
    """
    if one_file is not None:
        _build_one_file(workshops, one_file, as_json)
    elif len(workshops) > 1:
        from generator.builds import build_all

        sites = [str(site) for site in build_all(workshops, output, jobs)]
        _say(as_json, {"sites": sites}, "\n".join(sites))
    else:
        from generator.host import build_with_mkdocs

        build_with_mkdocs(workshops[0] if workshops else None, output)
        _say(as_json, {"site": str(output)}, f"Open {(output / 'index.html').resolve().as_uri()}")


def _build_one_file(workshops: tuple[Path, ...], target: Path, as_json: bool) -> None:
    from generator.plain import write_one_file

    if len(workshops) > 1:
        raise click.UsageError("--one-file takes one workshop at a time.")
    size = write_one_file(workshops[0] if workshops else None, target)
    _say(as_json, {"file": str(target), "bytes": size}, f"Open {target.resolve().as_uri()}")


@main.command()
@WORKSHOP
@click.option("--address", default="127.0.0.1:8000", show_default=True, help="Where to serve.")
def preview(workshop: Path | None, address: str) -> None:
    """Serve the course and rebuild it whenever a file of it is saved."""
    from generator.preview import serve

    serve(workshop, address, click.echo, partial(click.echo, err=True))


@main.command()
@WORKSHOP
@AS_JSON
def lint(workshop: Path | None, as_json: bool) -> None:
    """Every fault of content and workshop, with file, line and column; warnings too, which forbid nothing."""
    from generator.lint.run import lint_folder

    flaws = lint_folder(workshop)
    for flaw in () if as_json else flaws:
        click.echo(str(flaw), err=True)
    faults = [flaw.as_json() for flaw in flaws if flaw.severity == "error"]
    warnings = [flaw.as_json() for flaw in flaws if flaw.severity == "warning"]
    more = f" {_counted(len(warnings), 'warning')}" if warnings else ""
    _say(as_json, {"faults": faults, "warnings": warnings}, _counted(len(faults), "fault") + more)
    sys.exit(1 if faults else 0)


@main.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--layout", help='Judge clamps at these places instead: "x,y;x,y" in mm from the board\'s front-left corner.'
)
@click.option(
    "-o", "--output", type=click.Path(path_type=Path), help="Draw the bed as FILE.svg, or with words as FILE.html."
)
@AS_JSON
def plan(job: Path, layout: str | None, output: Path | None, as_json: bool) -> None:
    """A careful first plan for a job: feeds, depths, forces and what holds the work, each with its reason."""
    from generator import job_plan

    planned = job_plan.plan_job(job, None if layout is None else job_plan.read_layout(layout))
    if output is not None:
        from generator.job_picture import write_picture

        write_picture(planned, output)
    _say(as_json, job_plan.as_json(planned), "\n".join(job_plan.as_lines(planned)))
    sys.exit(1 if worst(planned.findings) is Severity.STOP else 0)


@main.command()
@click.argument("program", type=click.Path(path_type=Path))
@click.option(
    "--job", required=True, type=click.Path(path_type=Path), help="The job file in a workshop's jobs/ folder."
)
@CUTTER
@click.option("-o", "--output", type=click.Path(path_type=Path), help="An HTML file for the printable pre-run sheet.")
@click.option("--start", type=click.DateTime(["%H:%M"]), help="When you mean to press start, for the watch plan.")
@AS_JSON
def check(
    program: Path, job: Path, cutter: str | None, output: Path | None, start: datetime | None, as_json: bool
) -> None:
    """What a program would do on this machine with this job, and whether anything speaks against running it.

    The verdicts STOP and WRONG-KIND end with 1. PASS and ASK end with 0, and ASK is no leave to cut: nothing found
    forbids it, but something must be found out first. A script reads "verdict" of --json.
    """
    from generator import check_command

    checked = check_command.run(program, job, output, start.time() if start else None, cutter)
    for line in check_command.lines(checked, output, as_json):
        click.echo(line)
    sys.exit(1 if checked.judged.verdict in ("stop", "wrong-kind") else 0)


@main.command()
@click.argument("program", type=click.Path(path_type=Path))
@click.option(
    "--job", required=True, type=click.Path(path_type=Path), help="The job file in a workshop's jobs/ folder."
)
@CUTTER
@click.option("-o", "--output", required=True, type=click.Path(path_type=Path), help="The HTML file to write.")
@AS_JSON
def rehearse(program: Path, job: Path, cutter: str | None, output: Path, as_json: bool) -> None:
    """Write one page that plays a program on its stock, among its clamps, with what the checks found."""
    from generator.rehearse import as_json as data_of
    from generator.rehearse import as_words, rehearse_program

    rehearsed = rehearse_program(program, job, output, cutter)
    _say(as_json, data_of(rehearsed), as_words(rehearsed))
    sys.exit(1 if worst(rehearsed.show.findings) is Severity.STOP else 0)


@main.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--workshop", type=click.Path(path_type=Path), help="The workshop folder; the demo if left out.")
@AS_JSON
def pages(folder: Path, workshop: Path | None, as_json: bool) -> None:
    """Write all pages as plain files, without MkDocs."""
    from generator.plain import write_pages

    count = write_pages(workshop, folder)
    _say(as_json, {"folder": str(folder), "pages": count}, f"{count} pages in {folder}")


@main.command()
@WORKSHOP
@click.option("-o", "--output", required=True, type=click.Path(path_type=Path), help="The folder for the PDF files.")
@click.option("--machine", help="The id of the machine; the workshop's default one if left out.")
@click.option("--paper", default="a4", type=click.Choice(["a4", "letter"]), help="The size of paper.")
@AS_JSON
def pack(workshop: Path | None, output: Path, machine: str | None, paper: str, as_json: bool) -> None:
    """The lists and sheets of one machine as PDF files."""
    from generator.pack.folder import write_pack

    entries = write_pack(workshop, output, paper, machine)
    _say(
        as_json,
        {"folder": str(output), "files": [entry.name for entry in entries]},
        f"{len(entries)} files in {output}",
    )


@main.command()
@click.argument("kind", type=click.Choice(["qti21", "qti3", "scorm12"]))
@WORKSHOP
@click.option("-o", "--output", required=True, type=click.Path(path_type=Path), help="The zip to write.")
@AS_JSON
def export(kind: str, workshop: Path | None, output: Path, as_json: bool) -> None:
    """The questions as a QTI package, or the whole course as a SCORM package."""
    from generator.export import export as write

    size = write(kind, workshop, output)
    _say(as_json, {"file": str(output), "kind": kind, "bytes": size}, f"{output} is ready, {size} bytes.")


@main.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--seed", type=click.IntRange(min=0), required=True, help="A whole number; the same one gives the same exam."
)
@click.option("-o", "--output", required=True, type=click.Path(path_type=Path), help="The folder it goes into.")
@AS_JSON
def exam(job: Path, seed: int, output: Path, as_json: bool) -> None:
    """An exam: the job's own program or set-up with one planted fault, and the papers to print.

    The check of the job's own program must end with 0: no finding of severity stop. Open questions are allowed.
    """
    from generator.exam_desk import write_exam

    made = write_exam(job, seed, output)
    _say(as_json, {"folder": str(output), "code": made.exam.code, "files": list(made.files)},
         f"{output} holds exam {made.exam.code}. Print set-up, paper and listing for the learner; "
         "marking.html has the answer.")  # fmt: skip


@main.command()
@click.option("-o", "--output", type=click.Path(path_type=Path), help="A folder to write them to.")
def schemas(output: Path | None) -> None:
    """The JSON Schemas of machine, job and workshop files, for an editor."""
    from generator.model import schema

    if output is None:
        click.echo(json.dumps(schema.schemas(), indent=2))
        return
    output.mkdir(parents=True, exist_ok=True)
    schema.write_schemas(output)


def _say(as_json: bool, data: dict[str, Any], words: str) -> None:
    click.echo(json.dumps(data, indent=2) if as_json else words)


def _counted(count: int, thing: str) -> str:
    return f"{count or 'No'} {thing}{'' if count == 1 else 's'}."


main.add_command(register)

if __name__ == "__main__":
    os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")
    main()
