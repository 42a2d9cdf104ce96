"""The printable pre-run sheet of one checked program: one HTML file with its style inside and no script."""

from __future__ import annotations

import hashlib
from base64 import b64encode
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, time
from pathlib import Path

from markupsafe import Markup
from msgspec import Struct

from generator.expr import Value, evaluate
from generator.expr.template import show_value
from generator.finding import Finding
from generator.library import Library
from generator.load_content import load_some
from generator.model.checklist import Item, Point
from generator.model.content import Rule
from generator.model.cutter import Cutter
from generator.model.workshop import Gate
from generator.pages.local_rules import RuleLine, asked_at, not_asked_at, rules_for
from generator.pages.page import render
from generator.pages.words import DEFERS, SEVERITIES, limit_words
from generator.program_check.report import VERDICT_WORDS, line_words, settings_asked
from generator.program_check.run import Checked, say
from generator.program_check.watch_plan import clock_words, moments_of, restarts_of
from generator.stop_map import EFFECTS, stop_map_of
from generator.units import show, show_number

# In the first bytes of every sheet, so that a later run knows its own work.
MARKER = '<meta name="generator" content="onionskin check">'
LIST = "pre-run"
POINTS = ("before-power", "before-tool-moves", "before-first-plunge")
AFTER_CHANGE = "after-cutter-change"
CLOSING: Gate = "after-cutting"  # asked below the watch plan, since the list ends at the start
# The line of that list whose answer a program can give.
UNIT_ITEM = "unit-read"
DIGEST_SHOWN = 16
NO_ANSWER = "not known"


class Line(Struct, frozen=True):
    """One line of a list: what to do and the state that answers it; `lead` where it hangs on something unknown."""

    check: str
    want: str
    killer: bool = False
    lead: str = ""


class Pause(Struct, frozen=True):
    """A pause of the list with its lines."""

    title: str
    trigger: str
    lines: tuple[Line, ...]
    done: str


def sheet_of(checked: Checked, today: date, start: time | None = None) -> str:
    """The sheet as HTML; clock times count from `start`, from the press of the button where none is given."""
    style = (Path(__file__).parent.parent / "templates" / "program_sheet.css").read_text(encoding="utf-8")
    lists = load_some(checked.folders, ("rules", "checklists"))
    rules, points = rules_for(checked.case.home, checked.case.machine.id), _points(checked, lists)
    gates = [CLOSING, *(gate for point in points for gate in point.gates)]
    moments = [(clock_words(moment.seconds, start), moment) for moment in moments_of(checked)]
    return render(
        "program_sheet.html.j2", marker=Markup(MARKER), style=Markup(style), policy=_policy(style), checked=checked,
        case=checked.case, job=checked.case.job, machine=checked.case.machine, judged=checked.judged,
        verdict_words=VERDICT_WORDS, severities=SEVERITIES, line_words=line_words, limit_words=limit_words,
        today=today.isoformat(),
        written=datetime.fromtimestamp(checked.source.written).strftime("%Y-%m-%d %H:%M"),
        digest=checked.source.digest[:DIGEST_SHOWN], size=show_number(checked.source.size, "1"),
        numbers=list(_numbers(checked)), zero=list(_zero(checked)), cutters=list(_cutters(checked)),
        asks=list(settings_asked(checked)),
        pauses=list(_pauses(checked, points, rules, lists.rules)), stated=not_asked_at(rules, gates),
        closing=[_asked(line) for line in asked_at(rules, [CLOSING])], moments=moments,
        start=start.strftime("%H:%M") if start else "",
        restarts=_restarts(checked), stops=stop_map_of(checked.case.machine), effects=EFFECTS, defers=DEFERS,
        lesson_words=_lesson_words, show=show,
    )  # fmt: skip


def _policy(style: str) -> str:
    digest = b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode("ascii")
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def _lesson_words(finding: Finding) -> str:
    return finding.lesson.replace("-", " ").capitalize()


def _shown(value: Value, unit: str, digits: int | None = None) -> str:
    return NO_ANSWER if value is None else show_value(value, unit, digits)


def _range(checked: Checked, prefix: str, axis: str) -> str:
    low, high = checked.facts[f"program.{prefix}min_{axis}"], checked.facts[f"program.{prefix}max_{axis}"]
    if not isinstance(low, (int, float)) or not isinstance(high, (int, float)):
        return NO_ANSWER
    return f"{show_number(low, 'mm')} to {show(high, 'mm')}"


def _numbers(checked: Checked) -> Iterator[tuple[str, str]]:
    """The program in figures."""
    facts = checked.facts
    yield "Lines, moves", f"{_shown(facts['program.lines'], '1')}, {_shown(facts['program.moves'], '1')}"
    for axis in "xyz":
        yield f"Cuts in {axis.upper()}", _range(checked, "cut_", axis)
    yield "Highest Z", _shown(facts["program.max_z"], "mm")
    yield "Into the bed at most", _shown(facts["fit.bed_bite"], "mm", 2)
    yield "Deepest step", _shown(facts["program.step_max"], "mm", 2)
    yield "Units, feeds", f"{facts['program.units']}, up to {_shown(facts['program.cut_feed_max'], 'mm/min')}"
    low, high = (_shown(facts[f"program.time_{end}_min"], "min", 2) for end in ("low", "high"))
    likely = facts["program.time_min"] or facts["program.time_low_min"]
    yield "Time", f"about {_shown(likely, 'min', 2)} ({low} to {high})"


def _zero(checked: Checked) -> Iterator[tuple[str, str]]:
    """Zero and heights as the job says."""
    job = checked.case.job
    corner, face = job.zero.corner, job.zero.z
    yield "X0 Y0", f"{corner.replace('-', ' ')} of the stock" if corner else "not known: ask before you cut"
    faces = {"stock-top": "the top of the stock", "bed": "the bed"}
    yield "Z0 on", faces.get(face or "", "not known: ask before you cut")
    place = [show(value, "mm") if value is not None else NO_ANSWER for value in (job.zero.bed_x, job.zero.bed_y)]
    yield "Zero on the bed", f"X {place[0]}, Y {place[1]}"
    yield "Sheet measured", _thickness(checked)
    yield "Safe height", f"{show(job.safe_height, 'mm')} above the stock" if job.safe_height else NO_ANSWER
    yield "Z can lift to", _shown(checked.facts["fit.z_top"], "mm")
    yield "Spindle", _spindle(checked)


def _thickness(checked: Checked) -> str:
    stock = checked.case.job.stock
    if stock.thickness_min is None or stock.thickness_max is None:
        return "not measured: measure before you cut"
    return f"{show_number(stock.thickness_min, 'mm')} to {show(stock.thickness_max, 'mm')}"


def _spindle(checked: Checked) -> str:
    """What someone has to set, or what the program commands."""
    spindle, speed = checked.case.machine.spindle, checked.facts["fit.hand_speed"]
    if not isinstance(speed, float):
        speeds = checked.facts["program.speeds"]
        return f"by the program: {_shown(speeds, 'rpm')}" if speeds else NO_ANSWER
    dial = zip(spindle.dial_positions or (), spindle.dial_speeds or (), strict=False)
    marks = [mark for mark, turns in dial if turns <= speed]
    at = f"dial {marks[-1]}, " if marks else ""
    return f"set by you: {at}made for {show(speed, 'rpm')}"


def _cutters(checked: Checked) -> Iterator[tuple[str, Cutter]]:
    """The job's cutters with the number the program calls them by."""
    for place, cutter in enumerate(checked.case.job.cutters, 1):
        yield str(cutter.number if cutter.number is not None else place), cutter


def _points(checked: Checked, library: Library) -> list[Point]:
    """The pauses of the pre-run list that come before the start of this program."""
    checklist = library.checklists.get(LIST)
    wanted = (*POINTS, AFTER_CHANGE) if checked.facts["program.tool_changes"] else POINTS
    return [point for point in checklist.points if point.id in wanted] if checklist else []


def _pauses(
    checked: Checked, points: Sequence[Point], local: Sequence[RuleLine], rules: Mapping[str, Rule]
) -> Iterator[Pause]:
    """The lines of this very file, then the list: the workshop's own rules first, then what machine and job have."""
    yield Pause("This file", "You hold this sheet and stand at the machine.", tuple(_own_lines(checked)), "")
    for point in points:
        asked = (_asked(line) for line in asked_at(local, point.gates))
        yield Pause(point.title, point.trigger, (*asked, *_lines(point, checked, rules)), point.done)


def _asked(line: RuleLine) -> Line:
    """A rule of the workshop at its gate."""
    return Line(line.rule.text, f"yes ({line.rule.owner}, review {line.rule.review})", True, line.promise)


def _own_lines(checked: Checked) -> Iterator[Line]:
    facts, source = checked.facts, checked.source
    size = show_number(source.size, "1")
    yield Line("Read name and size of the file on the screen", f"{source.path.name}, {size} bytes", True)
    yield Line("Say aloud where zero is", _zero_words(checked), True)
    yield Line("Measure the sheet at its four corners", _thickness(checked), True)
    yield Line("Measure the stick-out of the cutter", _shown(checked.case.job.main_cutter.stick_out, "mm"), True)
    box = f"X {_range(checked, 'cut_', 'x')}, Y {_range(checked, 'cut_', 'y')}"
    yield Line("Jog round the cut at safe height, spindle off", f"{box}: over the sheet, clear of hold-downs", True)
    if isinstance(facts["fit.hand_speed"], float):
        yield Line("Set the speed", _spindle(checked).partition(": ")[2], True)
    if facts["count.pause"]:
        pauses = _shown(facts["count.pause"], "1")
        yield Line("Count the pauses of the program", f"{pauses}: you let it go on each time")
    if checked.judged.findings:
        yield Line("Read every finding above aloud", "mended, or understood and ticked", True)


def _zero_words(checked: Checked) -> str:
    rows = dict(_zero(checked))
    return f"{rows['X0 Y0']}, Z on {rows['Z0 on']}"


def _lines(point: Point, checked: Checked, rules: Mapping[str, Rule]) -> Iterator[Line]:
    for item in point.items:
        shown, lead = _state(item, checked, rules)
        if shown:
            want = _unit_words(checked) if item.id == UNIT_ITEM else say(item.want, checked.facts)
            yield Line(say(item.check, checked.facts), want, item.killer, lead)


def _unit_words(checked: Checked) -> str:
    """The unit in which the controller has to read this file."""
    match checked.facts["program.units"]:
        case "mm" | "inch" as unit:
            return f"{unit}, as this file says"
        case "both":
            return "the file says both: read its lines"
        case _:
            return "the file says none: ask which it counts in"


def _state(item: Item, checked: Checked, rules: Mapping[str, Rule]) -> tuple[bool, str]:
    """Whether a line is for this machine and job; where that cannot be told it is there with its condition."""
    name = item.rule or item.unless
    rule = rules.get(name) if name else None
    if rule is None:
        return True, ""
    truth = evaluate(rule.when, checked.facts)
    if truth is None:
        return True, f"{'If' if item.rule else 'Unless'} {rule.words}: "
    return bool(truth) is (item.rule is not None), ""


class RestartRow(Struct, frozen=True):
    """A safe restart line as it is printed."""

    line: int
    to: str
    feed: str
    speed: str


def _restarts(checked: Checked) -> list[RestartRow]:
    return [
        RestartRow(
            found.line, f"X {show_number(found.to[0], 'mm')} Y {show_number(found.to[1], 'mm')}",
            show_number(found.feed, "mm/min"), show_number(found.speed, "rpm") if found.speed else "by hand",
        )
        for found in restarts_of(checked)
    ]  # fmt: skip
