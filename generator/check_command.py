"""The command `onionskin check`: check, write the sheet, say what was found."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from datetime import date, time
from pathlib import Path

import click

from generator.errors import OnionskinError
from generator.program_check import Checked, check_program
from generator.program_check.progress import ProgressLine
from generator.program_check.report import as_json, as_lines
from generator.site import need_folder_of, replace_file

# Our mark stands within these first bytes of every sheet.
_HEAD = 400


def run(program: Path, job: Path, output: Path | None, start: time | None, cutter: str | None) -> Checked:
    """Check the program and write its sheet where one is wanted. Raises OnionskinError."""
    if output is not None:
        _check_output(output, (program, job))
    progress = ProgressLine()
    try:
        checked = check_program(program, job, progress, cutter)
    finally:
        progress.done()
    if output is not None:
        _write_sheet(checked, output, start)
    return checked


def lines(checked: Checked, output: Path | None, plain_data: bool) -> Iterator[str]:
    """What goes to the terminal: one JSON document, or the report."""
    if plain_data:
        sheet = None if output is None else str(output)
        yield json.dumps(as_json(checked) | {"sheet": sheet}, indent=2, allow_nan=False)
        return
    yield from as_lines(checked, _paint)
    if output is not None:
        yield f"\nThe sheet is in {output}. Print it and take it to the machine."


def _paint(word: str, colour: str) -> str:
    """The word in colour and bold where that is a terminal and nobody has asked for plain text (NO_COLOR)."""
    if not sys.stdout.isatty() or os.environ.get("NO_COLOR"):
        return word
    return click.style(word, fg=colour or None, bold=True)


def _write_sheet(checked: Checked, output: Path, start: time | None) -> None:
    from generator.program_check.sheet import sheet_of

    replace_file(output, sheet_of(checked, date.today(), start).encode("utf-8"))


def _check_output(output: Path, inputs: tuple[Path, ...]) -> None:
    """Raises OnionskinError where writing would destroy a file that is not a sheet of ours, or has no folder."""
    from generator.program_check.sheet import MARKER

    if output.is_dir():
        raise OnionskinError(f"{output}: is a folder; name a file with -o")
    if any(output.exists() and path.exists() and output.samefile(path) for path in inputs):
        raise OnionskinError(f"{output}: is what the sheet is made from; name another file with -o")
    if output.is_file():
        with output.open("rb") as stream:
            if MARKER.encode() not in stream.read(_HEAD):
                raise OnionskinError(f"{output}: is a file that onionskin did not make; name another with -o")
    need_folder_of(output)
