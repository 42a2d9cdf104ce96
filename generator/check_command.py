"""The command `onionskin check`: check, write the sheet, say what was found."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from datetime import date, time
from pathlib import Path

import click

from generator.program_check import Checked, check_program
from generator.program_check.progress import ProgressLine
from generator.program_check.report import as_json, as_lines
from generator.site import check_file, replace_file


def run(program: Path, job: Path, output: Path | None, start: time | None, cutter: str | None) -> Checked:
    """Check the program and write its sheet where one is wanted. Raises OnionskinError."""
    if output is not None:
        from generator.program_check.sheet import MARKER

        check_file(output, MARKER, (program, job))
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
