"""The answer of `onionskin check` as plain data and as lines for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator
from typing import Any

from generator.checks import Asked
from generator.expr import Value
from generator.expr.template import show_value
from generator.fact_places import Place, place_of
from generator.finding import Finding, Severity
from generator.pages.words import limit_words
from generator.program_check.run import Checked, fact_label

SEVERITY_WORDS = {Severity.STOP: "STOP", Severity.WARN: "CARE", Severity.NOTE: "note"}
VERDICT_WORDS = {
    "pass": "Nothing in this file speaks against it. That is no leave to cut.",
    "ask": "First find out what is asked below.",
    "stop": "Do not run this.",
    "wrong-kind": "This is not a program for a router. Do not run it.",
}
_COLOURS = {"STOP": "red", "CARE": "yellow", "ask": "cyan", "PASS": "green", "ASK": "cyan"}
_WIDTH, _INDENT, _MOST_LINES = 100, 14, 6
Paint = Callable[[str, str], str]


def as_json(checked: Checked) -> dict[str, Any]:
    """Everything found, as one document; lengths in mm, times in minutes, unknown is null."""
    facts, judged, source = checked.facts, checked.judged, checked.source
    return {
        "file": {"name": source.path.name, "bytes": source.size, "sha256": source.digest},
        "job": checked.case.job.name,
        "machine": checked.case.machine.name,
        "verdict": judged.verdict,
        "kind": kind_of(checked),
        "lines": facts["program.lines"], "moves": facts["program.moves"], "units": facts["program.units"],
        "envelope": _box(facts, "program."), "cut_envelope": _box(facts, "program.cut_"),
        "machine_envelope": _box(facts, "program.machine_"),
        "cut_length_mm": facts["program.cut_length"], "rapid_length_mm": facts["program.rapid_length"],
        "time_min": facts["program.time_min"], "time_low_min": facts["program.time_low_min"],
        "time_high_min": facts["program.time_high_min"],
        "tools": facts["program.tools"], "cutter": facts["fit.cutter"],
        "findings": [finding.as_json() for finding in judged.findings],
        "asks": [
            {"fact": asked.fact, "label": asked_label(asked), "write": place.file, "setting": place.setting,
             "checks": list(asked.checks)}
            for asked in judged.asked for place in [asked_place(asked, checked)]
        ],
        "not_checked": list(checked.left_out),
    }  # fmt: skip


def kind_of(checked: Checked) -> str:
    """'program', or what the file is instead."""
    kind = str(checked.facts["program.file_kind"])
    if checked.judged.verdict != "wrong-kind" or kind != "program":
        return kind
    return checked.judged.findings[0].id


def asked_label(asked: Asked) -> str:
    """An unknown fact as a person would call it, with the cutter it is of where there are several."""
    label = fact_label(asked.fact)
    return f"{asked.whose}, {label[0].lower()}{label[1:]}" if asked.whose else label


def asked_place(asked: Asked, checked: Checked) -> Place:
    """Where what is asked is written down."""
    return place_of(asked.fact, asked.whose or checked.case.job.main_cutter.id)


def settings_asked(checked: Checked) -> dict[Place, list[str]]:
    """Every setting to fill in, once, with the titles of the checks that wait for it."""
    found: dict[Place, dict[str, None]] = {}
    for asked in checked.judged.asked:
        found.setdefault(asked_place(asked, checked), {}).update(dict.fromkeys(asked.checks))
    return {place: list(checks) for place, checks in found.items()}


def _box(facts: Any, prefix: str) -> dict[str, list[Value]]:
    return {side: [facts[f"{prefix}{side}_{axis}"] for axis in "xyz"] for side in ("min", "max")}


def as_lines(checked: Checked, paint: Paint) -> Iterator[str]:
    """The report for a terminal; `paint` colours a word, or leaves it."""
    judged, source = checked.judged, checked.source
    word = judged.verdict.upper()
    yield f"{_painted(word, paint)}  {source.path.name}: {VERDICT_WORDS[judged.verdict]}"
    yield f"For {checked.case.job.name} on {checked.case.machine.name}{_with_cutter(checked)}."
    if judged.verdict != "wrong-kind":
        yield from summary(checked)
    for finding in judged.findings:
        yield from ("", *_finding_lines(finding, paint))
    for place, checks in settings_asked(checked).items():
        says = f'Fill in {place.setting} in the {place.file} file ("{place.label}").'
        yield from ("", *_entry("ask", paint, says), *_wrapped(f"It settles: {', '.join(checks)}."))
    yield from ("", "Not checked:")
    for says in checked.left_out:
        yield from textwrap.wrap(says, _WIDTH, initial_indent="  - ", subsequent_indent="    ")


def _with_cutter(checked: Checked) -> str:
    """The cutter the program begins with, where the job has several."""
    return f", with the cutter {checked.facts['fit.cutter']}" if len(checked.case.job.cutters) > 1 else ""


def summary(checked: Checked) -> Iterator[str]:
    """What the program is, in two lines."""
    facts = checked.facts
    time = facts["program.time_min"] if facts["program.time_min"] is not None else facts["program.time_low_min"]
    yield (f"{_count(facts['program.lines'])} lines, {_count(facts['program.moves'])} moves, about "
           f"{show_value(time, 'min', 2)}, cuts {show_value(facts['program.cut_length'], 'mm', 3)}.")  # fmt: skip
    x, y = (f"{axis.upper()} {_span(facts, axis)}" for axis in "xy")
    deepest = show_value(facts["program.cut_min_z"], "mm")
    yield f"Cuts from {x}, {y}, deepest Z {deepest}; highest Z {show_value(facts['program.max_z'], 'mm')}."


def _count(value: Value) -> str:
    return show_value(value, "1")


def _span(facts: Any, axis: str) -> str:
    low, high = facts[f"program.cut_min_{axis}"], facts[f"program.cut_max_{axis}"]
    return "nowhere known" if low is None or high is None else f"{low:.4g} to {high:.4g} mm"


def line_words(finding: Finding) -> str:
    """Which lines a finding cites: the first few, and how many more."""
    if not finding.lines:
        return f"line {finding.line}" if finding.line else ""
    shown = ", ".join(map(str, finding.lines[:_MOST_LINES]))
    more = len(finding.lines) - _MOST_LINES
    return f"line{'s' if len(finding.lines) > 1 else ''} {shown}" + (f" and {more} more" if more > 0 else "")


def _finding_lines(finding: Finding, paint: Paint) -> Iterator[str]:
    yield from _entry(SEVERITY_WORDS[finding.severity], paint, finding.says)
    if lines := line_words(finding):
        text = f": {finding.text}" if finding.text else ""
        yield from _wrapped(f"{lines[0].upper()}{lines[1:]}{text}")
    yield from _wrapped(f"{finding.mend}{limit_words(finding.limit)}")


def _entry(word: str, paint: Paint, says: str) -> Iterator[str]:
    first, *rest = textwrap.wrap(says, _WIDTH - _INDENT) or [""]
    yield f"{_painted(word, paint)}{' ' * (_INDENT - len(word))}{first}"
    yield from (" " * _INDENT + line for line in rest)


def _wrapped(says: str) -> Iterator[str]:
    indent = " " * _INDENT
    yield from textwrap.wrap(says, _WIDTH, initial_indent=indent, subsequent_indent=indent)


def _painted(word: str, paint: Paint) -> str:
    return paint(word, _COLOURS.get(word, "")) if word in _COLOURS else word
