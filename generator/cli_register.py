"""`onionskin register`: who is signed off on which machine, by whom, under which course, and until when."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from generator.register_desk import Reply

WORKSHOP = click.option(
    "-w",
    "--workshop",
    default=".",
    type=click.Path(path_type=Path),
    help="The workshop's folder; this one if left out.",
)
AS_JSON = click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout and nothing else.")
ON = click.option("--date", "on", metavar="YYYY-MM-DD", help="The day it happened; today if left out.")
SIGNED_BY = click.option("--signed-by", required=True, help="Who looked on.")
MACHINE = click.option("--machine", required=True, help="Id of the machine.")
ONE_MACHINE = click.option("--machine", help="Only this machine.")


@click.group()
def register() -> None:
    """The workshop's register of sign-offs, one file: register.sqlite.

    A person is whatever text the workshop chooses: a name, or better a member's number. The same text is the same
    person. Write the printed head on the sign-off sheet: it shows later whether records were removed or changed.

    Every command first looks whether the register is whole. If not, it says so and its exit code is 1; what it was told
    to write is written all the same. Nothing is written where the exit code is 2.
    """


@register.command()
@click.argument("person")
@MACHINE
@SIGNED_BY
@click.option("--level", help="Level of the sign-off; needed where the workshop has more than one.")
@click.option("--acts", help="Acts passed: 'all', or such as 'p01 p02 p07'.")
@click.option("--refresher", is_flag=True, help="A short refresher, in place of the practical.")
@ON
@WORKSHOP
@AS_JSON
def add(person: str, machine: str, signed_by: str, level: str | None, acts: str | None, refresher: bool, on: str | None,
        workshop: Path, as_json: bool) -> None:  # fmt: skip
    """Record the practical of PERSON, or a refresher."""
    from generator import register_desk

    if refresher == (acts is not None) or (refresher and level):
        raise click.UsageError("give --acts for the practical, or --refresher alone for a refresher")
    if refresher:
        _answer(register_desk.refresh(workshop, person, machine, signed_by, on), as_json)
    else:
        _answer(register_desk.add(workshop, person, machine, level, signed_by, acts or "", on), as_json)


@register.command()
@click.argument("person")
@MACHINE
@ON
@WORKSHOP
@AS_JSON
def use(person: str, machine: str, on: str | None, workshop: Path, as_json: bool) -> None:
    """Log a run of PERSON on a machine."""
    from generator import register_desk

    _answer(register_desk.use(workshop, person, machine, on), as_json)


@register.command("import")
@click.argument("slip")
@click.option("--person", help="Whose slip it is; needed where the slip holds no name.")
@WORKSHOP
@AS_JSON
def import_slip(slip: str, person: str | None, workshop: Path, as_json: bool) -> None:
    """Take in SLIP, a learner's results: the saved file, the scanned line, or '-' to read the line from a scanner.

    A slip does not prove whose it is. One that somebody else's record holds already is taken with a warning and exit
    code 1.
    """
    from generator import register_desk

    given = sys.stdin.read(100_000) if slip == "-" else slip
    _answer(register_desk.take_slip(workshop, given, person), as_json)


@register.command("list")
@ONE_MACHINE
@WORKSHOP
@AS_JSON
def list_(machine: str | None, workshop: Path, as_json: bool) -> None:
    """Everybody with a sign-off, what it is worth today, and who has only begun one."""
    from generator import register_views

    _answer(register_views.listing(workshop, machine), as_json)


@register.command()
@click.option("--on", metavar="YYYY-MM-DD", help="As of this day; today if left out.")
@click.option("--within", default=0, type=click.IntRange(0, 3650), help="Also who will be due in so many days.")
@ONE_MACHINE
@WORKSHOP
@AS_JSON
def due(on: str | None, within: int, machine: str | None, workshop: Path, as_json: bool) -> None:
    """Who must refresh or sign off anew before the next cut, and why. Exit code 1 if anybody must."""
    from generator import register_views

    _answer(register_views.due(workshop, on, within, machine), as_json)


@register.command()
@click.argument("person")
@WORKSHOP
@AS_JSON
def show(person: str, workshop: Path, as_json: bool) -> None:
    """All records of PERSON, where they stand, and what changed in the course since."""
    from generator import register_views

    _answer(register_views.show(workshop, person), as_json)


@register.command()
@click.option("-o", "--output", required=True, type=click.Path(path_type=Path), help="The folder for the pack.")
@WORKSHOP
@AS_JSON
def export(output: Path, workshop: Path, as_json: bool) -> None:
    """Write the evidence pack: records as CSV, and a page for each person and machine to print."""
    from generator import register_views

    _answer(register_views.export(workshop, output), as_json)


@register.command()
@click.option("--head", help="A head kept on paper, such as 42:0123-4567-…: shows a removed end and a rewritten chain.")
@click.option("--against", type=click.Path(path_type=Path), help="Another copy of the register, to compare.")
@WORKSHOP
@AS_JSON
def verify(head: str | None, against: Path | None, workshop: Path, as_json: bool) -> None:
    """Whether every record is as it was written. Exit code 1 if not."""
    from generator import register_views

    _answer(register_views.verify(workshop, head, against), as_json)


@register.command()
@click.argument("number", type=int)
@SIGNED_BY
@click.option("--reason", required=True, help="Why; kept for good, so name no person.")
@WORKSHOP
@AS_JSON
def withdraw(number: int, signed_by: str, reason: str, workshop: Path, as_json: bool) -> None:
    """Take record NUMBER out of the count, after an incident or a slip of the pen. The record itself stays."""
    from generator import register_desk

    _answer(register_desk.withdraw(workshop, number, signed_by, reason), as_json)


@register.command()
@click.argument("person")
@click.option("--reason", required=True, help="Why; kept for good, so name no person.")
@WORKSHOP
@AS_JSON
def forget(person: str, reason: str, workshop: Path, as_json: bool) -> None:
    """Remove the name of PERSON. What was signed, and this reason, stay."""
    from generator import register_desk

    _answer(register_desk.forget(workshop, person, reason), as_json)


def _answer(reply: Reply, as_json: bool) -> None:
    for warning in reply.warnings:
        click.echo(warning, err=True)
    click.echo(json.dumps(reply.data, indent=2) if as_json else "\n".join(reply.lines))
    sys.exit(reply.code)
