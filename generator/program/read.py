"""Reading a program: bytes to moves, codes and findings. Never raises for what a file holds, never repairs it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from itertools import chain

from msgspec import Struct

from generator.finding import Finding, Severity
from generator.program.carry_out import carry_out
from generator.program.dialect import Dialect
from generator.program.kind import HEAD, PROGRAM, commented_codes, count_signs, file_kind
from generator.program.lines import Lines, line_list
from generator.program.moves import Events, Moves
from generator.program.report import LineError, Report
from generator.program.state import AXES, Run, Start, State, begin
from generator.program.words import exponent_meant, read_line

MOST_LINES = 10_000_000
MOST_MOVES = 10_000_000
# A file of fewer lines is read line by line.
MANY_LINES = 2_000
# Fewer ordinary lines in a row than these are read line by line.
FEWEST_LINES = 12

_MOTION_AFTER_END = re.compile(r"\s*(?:N\d+\s*)?(?:G0*[0-3](?!\d)|[XYZ][-+.\d])", re.IGNORECASE)
_LOSES_ALL = re.compile(r"[IJKRO#\[]|G0*(?:28|30|53|8\d|10|92)|M0*9[6-9]")
_BOM = b"\xef\xbb\xbf"


class Program(Struct, frozen=True, kw_only=True):
    """What was read. `relies` names modal groups used before any line set them, with the line of first use:
    units, distance, coordinate-system, radius-compensation, length-offset, feed-mode, plane, return-level, motion.

    `tally` counts odd letters and codes as written, `final` is the state behind the last line carried out,
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
    for block in lines:
        if run.line == 0 and block.startswith(_BOM):
            run.report.add("byte-order-mark", 1, "", None)
            block = block[len(_BOM) :]
        if block.endswith(b"\n") and run.line + block.count(b"\n") >= MANY_LINES:
            in_order = _read_block(run, block, carry_deleted)
        else:
            in_order = _read_carefully(run, block, carry_deleted)
        if not in_order:
            run.find("cannot-judge-length", lines=MOST_LINES, moves=MOST_MOVES)
            return


def _read_block(run: Run, block: bytes, carry_deleted: bool) -> bool:
    """Carry out a block: ordinary lines many at once, the others one by one; False where a limit is passed."""
    # Loading numpy takes as long as reading a thousand lines.
    from generator.program.columns import columns_of
    from generator.program.quick import carry_out_lines, settled

    columns = columns_of(block, run.dialect)
    starts, at, window = columns.starts, 0, len(columns.odd)
    for upto in (*(columns.odd.nonzero()[0] + 1).tolist(), len(columns.odd)):
        while at < upto:
            if upto - at > FEWEST_LINES and settled(run):
                first, wanted = at, min(at + window, upto - 1)
                at = carry_out_lines(run, columns, first, wanted)
                _look_back(run, block[starts[first] : starts[at]])
                # Lines behind one to be told about were prepared for nothing: fewer next time, then more again.
                window = 4 * window if at == wanted else 2 * FEWEST_LINES
                if first < at == wanted < upto - 1:
                    continue
            first, at = at, min(at + FEWEST_LINES, upto)
            if not _read_carefully(run, block[starts[first] : starts[at]], carry_deleted):
                return False
    return True


def _look_back(run: Run, done: bytes) -> None:
    """What the careful way keeps of every line it reads, for lines carried out at once."""
    if done:
        run.text = done[done.rfind(b"\n", 0, -1) + 1 : -1].decode("latin-1")
        run.code_seen = run.code_seen or bool(done.strip())
        run.tally["point"] += b"." in done


def _read_carefully(run: Run, block: bytes, carry_deleted: bool) -> bool:
    """Carry out lines one by one; False where a limit is passed."""
    for text in line_list(block):
        run.line += 1
        _careful_line(run, text, carry_deleted)
        if run.line > MOST_LINES or len(run.moves) > MOST_MOVES:
            return False
    return True


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
