"""What a command takes with it when it starts: only what it needs, so that it answers at once."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

from generator.course import demo_folder
from generator.holding.content_numbers import ASKED
from generator.job_plan import plan_job
from generator.load_content import content_folder

PACKAGE = Path(__file__).parent.parent / "generator"
JOB = demo_folder() / "jobs" / "dibber-board-wren.yml"
PROGRAM = "G21 G90\nM3 S16000\nG4 P5\nG0 Z20\nG0 X60 Y65\nG1 Z-1 F300\nG0 Z20\nM5\nM2\n"
PAGES = {"jinja2", "markdown", "mkdocs", "weasyprint"}
# Content that neither a plan nor a check of a program reads.
LESSONS = {
    f"generator.model.{name}" for name in ("checklist", "exam", "learning", "lesson", "mistake", "question", "sheet")
}

LIST_MODULES = """
import sys
from generator.cli import main
try:
    main(sys.argv[1:])
finally:
    print(*sys.modules, file=sys.stderr)
"""


def modules_of(*arguments: str) -> set[str]:
    """Every module that stands in memory when the command has ended."""
    done = subprocess.run(
        [sys.executable, "-c", LIST_MODULES, *arguments],
        capture_output=True,
        text=True,
        check=False,
        cwd=PACKAGE.parent,
    )
    assert done.returncode < 2, done.stderr
    return set(done.stderr.splitlines()[-1].split())


def test_the_help_needs_nothing_but_the_command_line() -> None:
    """`onionskin --help` loads neither content nor models, and nothing that makes pages or works with arrays."""
    assert not modules_of("--help") & {"numpy", "pydantic", "yaml", *PAGES}


def test_a_check_loads_neither_arrays_nor_pages_nor_lessons(tmp_path: Path) -> None:
    """A short program is checked without numpy, without what pages are made with, and without the models of lessons."""
    (tmp_path / "short.nc").write_text(PROGRAM)
    found = modules_of("check", str(tmp_path / "short.nc"), "--job", str(JOB))
    assert "generator.program_check.run" in found
    assert not found & {"numpy", *PAGES, *LESSONS}


def test_a_plan_loads_neither_pages_nor_lessons() -> None:
    """A plan needs arrays for its clamps, and nothing that makes pages, teaches or asks."""
    found = modules_of("plan", str(JOB))
    assert "generator.holding.answer" in found
    assert not found & {*PAGES, *LESSONS, "numpy.ma"}


def test_a_plan_reads_only_the_calculators_it_asks() -> None:
    """The calculators of its steps and those the holding asks, not the whole folder."""
    known = {path.stem for path in (content_folder() / "calculators").glob("*.yml")}
    planned = plan_job(JOB)
    asked = ASKED | {step.calculator for step in planned.plan.plan.steps}
    assert set(planned.library.calculators) == asked < known


def test_every_calculator_the_holding_names_is_read_for_a_plan() -> None:
    """No name of a calculator stands in the holding's code that a plan would not have read."""
    known = {path.stem for path in (content_folder() / "calculators").glob("*.yml")}
    trees = [ast.parse(path.read_text()) for path in (PACKAGE / "holding").glob("*.py")]
    texts = {node.value for tree in trees for node in ast.walk(tree) if isinstance(node, ast.Constant)}
    assert known & texts == ASKED
