"""The machine file of a new workshop: every setting of the model, with its words, standing at `unknown`."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from pydantic.fields import FieldInfo

from generator.factspec import FactSpec, is_part, specs_of
from generator.model import Machine
from generator.units import written_units

_HEAD = """\
# yaml-language-server: $schema=../schemas/machine.schema.json
#
# Your router. Stand in front of it with this file, a rule and callipers, and answer what you can see.
# Leave the rest at unknown: the course then warns you where it would otherwise calculate.
#
# Sizes carry their unit: 6 mm, 1/4 in, 18000 rpm, 1.1 kW. Lists stand in brackets: [6 mm, 1/4 in].
# Ten answers change the course most. Look for these first:
#   spindle.switching, spindle.speed_control, spindle.max_speed, spindle.collets, stop.kind,
#   pause.behaviour, homing.kind, travel (all four), hold_down.kinds, extraction.kind.
# Test what a stop or a pause does with no cutter fitted, before you write it down.

id: my-router
name: My router
"""

# Lists of groups, which have no one line that could stand at unknown.
_EXAMPLES = {
    "stop": """\
  # Every stop control and what it stops, tested with no cutter fitted. Take the # away and write yours:
  # controls:
  #   - {name: red button, place: front left, stops: [axes, spindle], position_kept: no, tested: 2026-02-14}
  #   - {name: wall socket switch, place: behind the bench, stops: [axes, spindle, extraction], tested: never}
""",
}
_TAIL = """
# The cutters kept at this machine. Take the # away and write yours:
# tooling:
#   - {id: six-up, name: 6 mm up-cut, diameter: 6 mm, shank: 6 mm, flutes: 2, flute_length: 22 mm}
"""


def machine_text() -> str:
    """The whole file."""
    sections = [(name, field) for name, field in Machine.model_fields.items() if is_part(field.annotation)]
    return _HEAD + "".join(_section(name, field) for name, field in sections) + _TAIL


def _section(name: str, field: FieldInfo) -> str:
    assert is_part(field.annotation)
    specs = specs_of(field.annotation, name, name)
    lines = [f"{_comment(spec)}  {spec.name.partition('.')[2]}: unknown\n" for spec in specs]
    return f"\n# {field.title}\n{name}:\n{''.join(lines)}{_EXAMPLES.get(name, '')}"


def _comment(spec: FactSpec) -> str:
    words = " ".join(_sentences(spec))
    return textwrap.fill(words, 110, initial_indent="  # ", subsequent_indent="  #   ", break_on_hyphens=False) + "\n"


def _sentences(spec: FactSpec) -> Iterator[str]:
    yield (
        f"{spec.label}."
        if not spec.unit or spec.unit == "1"
        else f"{spec.label}, with its unit ({written_units(spec.unit)[0]})."
    )
    if spec.help:
        yield spec.help
    if spec.choices:
        yield f"{'Any' if spec.kind == 'texts' else 'One'} of: {', '.join(spec.choices)}."
    if spec.kind == "bool":
        yield "yes or no."
