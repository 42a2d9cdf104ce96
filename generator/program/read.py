"""Reading a program: bytes to moves, codes and findings. Never raises for what a file holds, never repairs it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain

from generator.finding import Finding, Severity
from generator.program.carry_out import carry_out
from generator.program.dialect import Dialect
from generator.program.kind import HEAD, PROGRAM, commented_codes, count_signs, file_kind
from generator.program.lines import Lines
from generator.program.moves import FEED, RAPID, Events, Moves
from generator.program.report import LineError, Report
from generator.program.state import AXES, Run, Start, State, begin
from generator.program.words import exponent_meant, read_line

MOST_LINES = 10_000_000
MOST_MOVES = 5_000_000

_NUMBER = r"(-?\d{1,5}\.?\d{0,6})"
_QUICK = re.compile(
    rf"(?:N\d{{1,5}} ?)?(?:G0?([01]) ?)?(?:X{_NUMBER} ?)?(?:Y{_NUMBER} ?)?(?:Z{_NUMBER} ?)?"
    r"(?:F(\d{1,5}\.?\d{0,6}))? {0,9}"
).fullmatch
_MOTION_AFTER_END = re.compile(r"\s*(?:N\d+\s*)?(?:G0*[0-3](?!\d)|[XYZ][-+.\d])", re.IGNORECASE)
_LOSES_ALL = re.compile(r"[IJKRO#\[]|G0*(?:28|30|53|8\d|10|92)|M0*9[6-9]")
_BOM = "\xef\xbb\xbf"


@dataclass(frozen=True, slots=True, kw_only=True)
class Program:
    """What was read. `relies` names modal groups used before any line set them, with the line of first use:
    units, distance, coordinate-system, radius-compensation, length-offset, feed-mode, plane, return-level, motion.

    `tally` counts letters and codes as written, `final` is the state behind the last line carried out,
    `end` is how the program ends: 'M2', 'M30', '%' or '' where it just stops.
    """

    file_kind: str
    lines: int
    moves: Moves
    events: Events
    findings: tuple[Finding, ...]
    relies: Mapping[str, int]
    tally: Counter[str]
    final: State
    parameters: Mapping[int, float]
    start: Start
    end: str
    end_line: int | None
    last_line_ended: bool
    motion_after_end: int
    deleted_lines: int


def read_program(
    chunks: Iterable[bytes], dialect: Dialect, start: Start | None = None, *, carry_deleted: bool = True
) -> Program:
    """Read a program from bytes as they come from its file (chunks of any size, line ends included).

    `carry_deleted` says whether lines marked with `/` are carried out, as with the block-delete switch off.
    """
    run = begin(dialect, start or Start(), Report())
    head, chunks = _head(chunks)
    kind = file_kind(head)
    lines = Lines(chunks)
    if kind == PROGRAM:
        _read_lines(run, lines, carry_deleted)
        _check_end(run, lines)
    else:
        run.find("nothing-in-file" if kind == "empty" else "wrong-kind-of-file", kind=kind)
    return _program(run, lines, kind)


def _head(chunks: Iterable[bytes]) -> tuple[bytes, Iterator[bytes]]:
    rest, first, size = iter(chunks), [], 0
    for chunk in rest:
        first.append(chunk)
        size += len(chunk)
        if size >= HEAD:
            break
    return b"".join(chunk[:HEAD] for chunk in first)[:HEAD], chain(first, rest)


def _read_lines(run: Run, lines: Lines, carry_deleted: bool) -> None:
    for batch in lines:
        if run.line == 0 and batch[0].startswith(_BOM):
            run.report.add("byte-order-mark", 1, "", None)
            batch[0] = batch[0][len(_BOM) :]
        waiting = iter(batch)
        while (text := _quick_lines(run, waiting)) is not None:
            _careful_line(run, text, carry_deleted)
        if run.line > MOST_LINES or len(run.moves) > MOST_MOVES:
            run.find("cannot-judge-length", lines=MOST_LINES, moves=MOST_MOVES)
            return


def _quick_lines(run: Run, waiting: Iterator[str]) -> str | None:
    """Carry out lines of the commonest shape until another turns up; that one is returned, None at the end.

    One loop with everything in local names: this shape is nearly all of a long program, and calling the
    careful way for it takes several times as long.
    """
    state, moves, number = run.state, run.moves, run.line
    if not run.fed or state.inverse or state.ended:
        text = next(waiting, None)
        run.line = number + (text is not None)
        return text
    x, y, z = state.at
    zero_x, zero_y, zero_z = state.offset(0), state.offset(1), state.offset(2)
    scale, absolute, feed = state.scale, state.absolute, state.feed or 0.0
    mode = {0: RAPID, 10: FEED}.get(-1 if state.motion is None else state.motion, -1)
    add_x, add_y, add_z, add_feed = moves.x.append, moves.y.append, moves.z.append, moves.feed.append
    add_line, add_kind = moves.line.append, moves.kind.append
    odd, text, no_point = None, run.text, not run.tally["point"]
    for text in waiting:
        number += 1
        match = _QUICK(text)
        if match is None:
            odd = text
            break
        said, to_x, to_y, to_z, to_feed = match.groups()
        kind = mode if said is None else FEED if said == "1" else RAPID
        next_feed = feed if to_feed is None else float(to_feed) * scale
        if kind < 0 or (kind and not next_feed) or (to_x is None and to_y is None and to_z is None):
            if match.lastindex is None:
                continue
            odd = text
            break
        mode, feed = kind, next_feed
        if no_point and "." in text:
            no_point = False
        if absolute:
            if to_x is not None:
                x = float(to_x) * scale + zero_x
            if to_y is not None:
                y = float(to_y) * scale + zero_y
            if to_z is not None:
                z = float(to_z) * scale + zero_z
        else:
            x += float(to_x or 0) * scale
            y += float(to_y or 0) * scale
            z += float(to_z or 0) * scale
        add_x(x)
        add_y(y)
        add_z(z)
        add_feed(feed if kind else 0.0)
        add_line(number)
        add_kind(kind)
    run.text = text
    run.tally["point"] += not no_point
    run.line, state.at, state.feed = number, [x, y, z], feed or None
    if mode >= 0:
        state.motion = state.straight = 10 * mode
    return odd


def _careful_line(run: Run, text: str, carry_deleted: bool) -> None:
    run.text = text
    bare = text.strip()
    if run.state.ended:
        _after_end(run, bare)
    elif bare == "%":
        _percent(run)
    elif bare.startswith("/") and not carry_deleted:
        run.deleted_lines += 1
    elif bare:
        run.code_seen = True
        _code_line(run, text)
    if run.state.ended and run.end_line is None:
        run.end_line = run.line


def _code_line(run: Run, text: str) -> None:
    try:
        line = read_line(text, run.dialect, run.parameters)
        run.deleted_lines += line.deleted
        count_signs(line, text, run.tally)
        for code in commented_codes(line):
            run.event(code)
        carry_out(run, line)
    except LineError as fault:
        run.tally["faulty-lines"] += 1
        run.tally["star-lines"] += text.rstrip().endswith("*")
        id = "exponent-number" if fault.id == "unknown-letter" and exponent_meant(text) else fault.id
        run.report.add(id, run.line, text, Severity.STOP, fault.details)
        _lose_place(run, text)


def _lose_place(run: Run, text: str) -> None:
    """The line was not carried out: the axes it names, or might move, stand somewhere unknown."""
    code = re.sub(r"\(.*?\)|;.*|\(.*", "", text.upper()[:256])
    axes = AXES if _LOSES_ALL.search(code) else "".join(letter for letter in AXES if letter in code)
    if axes:
        run.lose(axes)


def _percent(run: Run) -> None:
    if not run.fence and not run.code_seen:
        run.fence = "open"
        return
    if run.fence != "open":
        run.remark("percent-inside")
    run.fence = "closed"
    run.state.ended = "%"


def _after_end(run: Run, bare: str) -> None:
    if bare == "%":
        run.fence = "closed"
    elif _MOTION_AFTER_END.match(bare):
        run.motion_after_end += 1
        run.find("motion-after-end")
    elif bare and run.fence == "closed":
        run.find("text-after-end")


def _check_end(run: Run, lines: Lines) -> None:
    if lines.cut_short:
        run.find("cannot-judge-length", lines=MOST_LINES, moves=MOST_MOVES)
    if not run.state.ended:
        run.remark("no-program-end")
    if run.fence == "open":
        run.remark("percent-not-closed")
    if not len(run.moves):
        run.find("no-motion")


def _program(run: Run, lines: Lines, kind: str) -> Program:
    state = run.state
    return Program(
        file_kind=kind,
        lines=run.line,
        moves=run.moves,
        events=run.events,
        findings=run.report.findings(),
        relies=run.relies,
        tally=run.tally,
        final=state,
        parameters=run.parameters,
        start=run.start,
        end=state.ended,
        end_line=run.end_line,
        last_line_ended=lines.last_ended,
        motion_after_end=run.motion_after_end,
        deleted_lines=run.deleted_lines,
    )
