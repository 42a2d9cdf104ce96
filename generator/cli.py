"""The command line: one verb a function; faults go to stderr, one line each, and never as a traceback."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import Any, NoReturn

import click

from generator.errors import InputFaults, OnionskinError
from generator.finding import Severity, worst

AS_JSON = click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout and nothing else.")
WORKSHOP = click.argument("workshop", required=False, type=click.Path(path_type=Path))


class _Group(click.Group):
    """Turns what the user got wrong into exit code 2 and one clear line for each fault."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except InputFaults as faults:
            _leave([str(fault) for fault in faults.faults])
        except OnionskinError as error:
            _leave([str(error)])


def _leave(lines: list[str]) -> NoReturn:
    for line in lines:
        click.echo(line, err=True)
    sys.exit(2)


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="onionskin")
def main() -> None:
    """A course for one router, one job and one workshop's rules."""


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
@WORKSHOP
@click.option("-o", "--output", default="site", type=click.Path(path_type=Path), help="Where the site goes.")
@AS_JSON
def build(workshop: Path | None, output: Path, as_json: bool) -> None:
    """Build the course as a static site (the demo workshop if none is named)."""
    from generator.host import build_with_mkdocs

    build_with_mkdocs(workshop, output)
    _say(as_json, {"site": str(output)}, f"Open {(output / 'index.html').resolve().as_uri()}")


@main.command()
@WORKSHOP
@click.option("--address", default="127.0.0.1:8000", help="Where to serve.")
def preview(workshop: Path | None, address: str) -> None:
    """Serve the course and rebuild it whenever a file of it is saved."""
    from generator.host import serve_with_mkdocs

    serve_with_mkdocs(workshop, address)


@main.command()
@WORKSHOP
@AS_JSON
def lint(workshop: Path | None, as_json: bool) -> None:
    """Every fault of content and workshop, with file, line and column."""
    from generator.course import load_course

    faults: list[dict[str, Any]] = []
    try:
        load_course(workshop)
    except InputFaults as error:
        faults = [{"file": f.file, "line": f.line, "column": f.column, "says": f.says} for f in error.faults]
        for fault in () if as_json else error.faults:
            click.echo(str(fault), err=True)
    _say(as_json, {"faults": faults}, "No faults." if not faults else f"{len(faults)} faults.")
    sys.exit(1 if faults else 0)


@main.command()
@click.argument("job", type=click.Path(path_type=Path))
@AS_JSON
def plan(job: Path, as_json: bool) -> None:
    """A careful first plan for a job: feeds, depths, forces and what holds the work, each with its reason."""
    from generator import job_plan

    planned = job_plan.plan_job(job)
    _say(as_json, job_plan.as_json(planned), "\n".join(job_plan.as_lines(planned)))
    sys.exit(1 if worst(planned.plan.findings) is Severity.STOP else 0)


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
@click.option("-o", "--output", type=click.Path(path_type=Path), help="A folder to write them to.")
def schemas(output: Path | None) -> None:
    """The JSON Schemas of machine, job and workshop files, for an editor."""
    from generator.model.schema import schemas as all_schemas

    if output is None:
        click.echo(json.dumps(all_schemas(), indent=2))
        return
    output.mkdir(parents=True, exist_ok=True)
    for name, schema in all_schemas().items():
        (output / f"{name}.schema.json").write_text(json.dumps(schema, indent=2) + "\n", encoding="utf-8")


def _say(as_json: bool, data: dict[str, Any], words: str) -> None:
    click.echo(json.dumps(data, indent=2) if as_json else words)


if __name__ == "__main__":
    os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")
    main()
