"""Short ways for tests: dialects from content, programs from text, facts from both."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import yaml

from generator.expr import Value
from generator.program.dialect import Dialect, dialect_from
from generator.program.facts import program_facts
from generator.program.read import Program, read_program
from generator.program.setup import Setup
from generator.program.state import Start

ROOT = Path(__file__).parent.parent.parent
DIALECTS = sorted(path.stem for path in (ROOT / "content" / "dialects").glob("*.yml"))
# The state the check values start from: everything known, all zeros in one place.
AT_ZERO = Start(position=(0.0, 0.0, 0.0), zero=(0.0, 0.0, 0.0), origins=dict.fromkeys(range(1, 10), (0.0, 0.0, 0.0)))


@cache
def dialect(name: str = "nist") -> Dialect:
    """One of our dialects."""
    return dialect_from(yaml.safe_load((ROOT / "content" / "dialects" / f"{name}.yml").read_text(encoding="utf-8")))


def read(text: str, start: Start = AT_ZERO, in_dialect: str = "nist", carry_deleted: bool = True) -> Program:
    """A program from its text."""
    return read_program([text.encode()], dialect(in_dialect), start, carry_deleted=carry_deleted)


def facts(text: str, setup: Setup | None = None, start: Start = AT_ZERO, in_dialect: str = "nist") -> dict[str, Value]:
    """Facts of a program text."""
    return program_facts(read(text, start, in_dialect), setup or Setup())


def ids(program: Program) -> set[str]:
    """Ids of all findings."""
    return {finding.id for finding in program.findings}


def ends(program: Program) -> list[tuple[float, float, float]]:
    """Where each move ends."""
    return [move.end for move in program.moves]
