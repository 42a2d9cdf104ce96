"""`onionskin check` from outside: exit codes, one JSON document, clear words for bad input, and the sheet."""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import tracemalloc
from collections.abc import Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from generator.check_command import _paint
from generator.cli import main
from generator.course import demo_folder
from generator.program_check.cases import bench, check_on_bench
from generator.program_check.source import Source, open_source

DEMO = demo_folder()
PROGRAM = DEMO / "programs" / "dibber-board.nc"
JOB = DEMO / "jobs" / "dibber-board.yml"
KEYS = {
    "kind", "lines", "moves", "envelope", "cut_envelope", "cut_length_mm", "time_min", "units", "tools", "findings",
    "verdict", "not_checked", "asks", "file", "job", "machine",
}  # fmt: skip


def run(*words: object) -> Result:
    return CliRunner().invoke(main, ["check", *map(str, words)])


@pytest.fixture
def workshop(tmp_path: Path) -> Path:
    """The demo workshop, free to be changed."""
    return Path(shutil.copytree(DEMO, tmp_path / "millrace"))


def change(path: Path, old: str, new: str) -> Path:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    return path


def test_a_program_without_a_stop_ends_with_0() -> None:
    """And says in words that a pass is no leave to cut."""
    result = run(PROGRAM, "--job", JOB)
    assert result.exit_code == 0
    assert result.output.startswith("PASS")
    assert "no leave to cut" in result.output
    assert "Not checked:" in result.output


def test_a_program_with_a_stop_ends_with_1(tmp_path: Path) -> None:
    """With the line, its words and a mend."""
    bad = tmp_path / "bad.nc"
    bad.write_text("G21 G90 G94 G17\nM3 S18000\nG4 P6\nG0 Z20\nG0 X60 Y65\nG0 Z-3\nG0 Z20\nM5\nM2\n")
    result = run(bad, "--job", JOB)
    assert result.exit_code == 1
    assert result.output.startswith("STOP")
    assert "Line 6: G0 Z-3" in result.output


def test_a_file_of_the_wrong_kind_ends_with_1(tmp_path: Path) -> None:
    """It is a verdict, not bad input: the file was read, and it is no program."""
    other = tmp_path / "photo.nc"
    other.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(100))
    result = run(other, "--job", JOB)
    assert result.exit_code == 1
    assert result.output.startswith("WRONG-KIND")


def test_json_is_one_document_with_every_promised_key(tmp_path: Path) -> None:
    """Nothing else is on stdout; lengths are numbers, boxes have three of them, findings their promised keys."""
    result = run(PROGRAM, "--job", JOB, "--json", "-o", tmp_path / "sheet.html")
    data = json.loads(result.stdout)
    assert set(data) >= KEYS
    assert data["verdict"] == "pass"
    assert data["kind"] == "program"
    assert data["units"] == "mm"
    assert data["lines"] == len(PROGRAM.read_text().splitlines())
    for box in ("envelope", "cut_envelope"):
        assert len(data[box]["min"]) == len(data[box]["max"]) == 3
    assert data["cut_envelope"]["min"] == pytest.approx([27, 27, -12.3])
    assert data["file"]["bytes"] == PROGRAM.stat().st_size
    assert data["not_checked"]
    assert all({"id", "severity", "line", "says", "mend"} <= set(finding) for finding in data["findings"])
    assert data["sheet"].endswith("sheet.html")


def test_json_of_a_stop_keeps_its_exit_code(tmp_path: Path) -> None:
    """A script reads the code before the document."""
    empty = tmp_path / "empty.nc"
    empty.write_bytes(b"")
    result = run(empty, "--job", JOB, "--json")
    assert result.exit_code == 1
    data = json.loads(result.stdout)
    assert (data["verdict"], data["kind"]) == ("wrong-kind", "empty")


def test_a_sheet_that_nobody_measured_is_asked_about(workshop: Path) -> None:
    """The verdict is ask, the fact is named, and it says into which file it belongs."""
    measured = "  thicknesses: [11.6 mm, 11.8 mm, 12.0 mm, 11.9 mm, 11.7 mm]\n"
    job = change(workshop / "jobs" / "dibber-board.yml", measured, "")
    result = run(workshop / "programs" / "dibber-board.nc", "--job", job, "--json")
    data = json.loads(result.stdout)
    assert result.exit_code == 0
    assert data["verdict"] == "ask"
    assert [(asked["fact"], asked["write"]) for asked in data["asks"]] == [("stock.thicknesses", "job")]


@pytest.mark.parametrize(
    ("table", "says"),
    [
        (True, "Set the dial to 3, the mark at or below 18 000 rpm."),
        (False, "Set the dial by the table in the profile for 18 000 rpm."),
    ],
)
def test_the_mark_of_the_dial_is_named_where_the_table_has_it(table: bool, says: str, workshop: Path) -> None:
    """Nobody has to look up what the machine's file says; without a table there the words send you to it."""
    if not table:
        machine = workshop / "machines" / "wren.yml"
        change(machine, "  dial_speeds: [11000 rpm, 14500 rpm, 18000 rpm, 22500 rpm, 27000 rpm]\n", "")
    program = Path(__file__).parent.parent / "programs" / "clean-plain.nc"
    result = run(program, "--job", workshop / "jobs" / "dibber-board-wren.yml")
    assert says in " ".join(result.stdout.replace("\u202f", " ").split())


def test_an_ask_names_the_setting_as_it_stands_in_the_file_once(workshop: Path, tmp_path: Path) -> None:
    """On the terminal, on the sheet and in the data; several facts behind one setting are one ask."""
    job = workshop / "jobs" / "bare.yml"
    job.write_text("name: Bare\nmachine: heron\ncutters:\n  - {id: six}\n", encoding="utf-8")
    words = (workshop / "programs" / "dibber-board.nc", "--job", job)
    asks = [line for line in run(*words).stdout.splitlines() if line.startswith("ask")]
    assert 'ask           Fill in zero: z in the job file ("Z zero").' in asks
    assert 'ask           Fill in cutters: diameter of six in the job file ("Cutting diameter").' in asks
    assert len([line for line in asks if "stock: thicknesses" in line]) == 1
    settings = {asked["setting"] for asked in json.loads(run(*words, "--json").stdout)["asks"]}
    printed = sheet(tmp_path, *words)
    for setting in settings:
        assert f"<code>{setting}</code>" in printed
        assert any(f"Fill in {setting} in" in line for line in asks)


def test_a_job_that_says_next_to_nothing_is_asked_about_not_guessed(workshop: Path) -> None:
    """Zero, sheet and hold-downs missing: questions, and no finding that presumes an answer."""
    job = workshop / "jobs" / "bare.yml"
    job.write_text("name: Bare\nmachine: heron\ncutters:\n  - {id: six}\n", encoding="utf-8")
    data = json.loads(run(workshop / "programs" / "dibber-board.nc", "--job", job, "--json").stdout)
    assert data["verdict"] == "ask"
    asked = {entry["fact"] for entry in data["asks"]}
    assert {"job.z_zero", "job.zero_corner", "stock.thicknesses", "cutter.diameter", "job.hold_downs"} <= asked
    assert [finding for finding in data["findings"] if finding["severity"] == "stop"] == []


BAD_INPUT = {
    "no program": (["missing.nc", "--job", JOB], "missing.nc: there is no such file"),
    "no job": ([PROGRAM, "--job", "missing.yml"], "missing.yml: there is no such file"),
    "a folder": ([DEMO, "--job", JOB], "is a folder"),
    "a device": (["/dev/zero", "--job", JOB], "is a device or pipe"),
    "a job elsewhere": ([PROGRAM, "--job", DEMO / "workshop.yml"], "jobs/ folder"),
    "a bad time": ([PROGRAM, "--job", JOB, "--start", "25:99"], "25:99"),
    "no job named": ([PROGRAM], "--job"),
    "a folder as job": ([PROGRAM, "--job", DEMO], "is a folder; name a job file in its jobs/ folder, it has: dibber"),
    "the workshop as job": ([PROGRAM, "--job", DEMO / "workshop.yml"], "is the workshop's file; name a job file in"),
    "a sheet in no folder": ([PROGRAM, "--job", JOB, "-o", "no-dir/x.html"], "no-dir: there is no such folder; make"),
    "a folder as sheet": ([PROGRAM, "--job", JOB, "-o", DEMO], "is a folder"),
    "the program as sheet": ([PROGRAM, "--job", JOB, "-o", PROGRAM], "is what the file is made from"),
}


@pytest.mark.parametrize("name", BAD_INPUT)
def test_bad_input_ends_with_2_and_one_clear_line(name: str) -> None:
    """Nothing on stdout, never a traceback."""
    words, says = BAD_INPUT[name]
    result = run(*words)
    assert result.exit_code == 2
    assert says in result.stderr
    assert not result.stdout
    assert "Traceback" not in result.stderr


def test_all_faults_of_a_job_come_at_once(workshop: Path) -> None:
    """With file, line and column."""
    job = change(workshop / "jobs" / "dibber-board.yml", "size_x: 360 mm", "size_x: 360")
    change(job, "safe_height: 20 mm", "safe_hight: 20 mm")
    result = run(workshop / "programs" / "dibber-board.nc", "--job", job)
    assert result.exit_code == 2
    assert len(result.stderr.splitlines()) == 2
    assert all("dibber-board.yml:" in line for line in result.stderr.splitlines())


def test_an_unknown_dialect_is_a_fault_of_the_machine(workshop: Path) -> None:
    """It is told with its line, and the nearest name."""
    change(workshop / "machines" / "heron.yml", "dialect: small-streaming", "dialect: small-steaming")
    result = run(workshop / "programs" / "dibber-board.nc", "--job", workshop / "jobs" / "dibber-board.yml")
    assert result.exit_code == 2
    assert "small-streaming" in result.stderr


def test_a_foreign_file_is_not_overwritten(tmp_path: Path) -> None:
    """Only a sheet of ours gives way to a newer one."""
    notes = tmp_path / "notes.html"
    notes.write_text("<p>mine</p>")
    assert run(PROGRAM, "--job", JOB, "-o", notes).exit_code == 2
    assert notes.read_text() == "<p>mine</p>"
    sheet = tmp_path / "sheet.html"
    assert run(PROGRAM, "--job", JOB, "-o", sheet).exit_code == 0
    assert run(PROGRAM, "--job", JOB, "-o", sheet).exit_code == 0


class Shape(HTMLParser):
    """Tags that must not be there, and everything a browser would fetch."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.fetched: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.fetched += [str(value) for name, value in attrs if name in ("src", "href", "action")]


def sheet(tmp_path: Path, *words: object) -> str:
    out = tmp_path / "sheet.html"
    run(*words, "-o", out)
    return out.read_text(encoding="utf-8")


def test_the_sheet_is_bound_to_the_file_and_stands_alone(tmp_path: Path) -> None:
    """Name, size and fingerprint are on it; it has no script and fetches nothing."""
    text = sheet(tmp_path, PROGRAM, "--job", JOB)
    digest = hashlib.sha256(PROGRAM.read_bytes()).hexdigest()
    assert digest[:16] in text
    assert PROGRAM.name in text
    shape = Shape()
    shape.feed(text)
    assert "script" not in shape.tags
    assert shape.fetched == []
    assert "Content-Security-Policy" in text


def test_the_sheet_gives_clock_times_from_the_start(tmp_path: Path) -> None:
    """End and fire watches follow in time of day; past midnight too."""
    text = sheet(tmp_path, PROGRAM, "--job", JOB, "--start", "23:50")
    assert "Started at 23:50" in text
    assert "00:3" in text
    assert "Fire watch, 30 min after the end" in text
    assert "hangs on its tabs or skin alone: 300 by 20" in text


def test_the_sheet_adapts_to_the_machine(tmp_path: Path) -> None:
    """A hand-switched router has its switch on the list, a machine that homes its homing."""
    wren = sheet(tmp_path, DEMO / "programs" / "dibber-board-wren.nc", "--job", DEMO / "jobs" / "dibber-board-wren.yml")
    heron = sheet(tmp_path, PROGRAM, "--job", JOB)
    assert "Touch the switch on the spindle body" in wren
    assert "dial 3" in wren
    assert "Home the machine" not in wren
    assert "Home the machine" in heron
    assert "Touch the switch on the spindle body" not in heron


def test_the_sheet_of_a_stop_has_no_list_to_start_by(tmp_path: Path) -> None:
    """A program that is not run needs no watch plan; the stop map stays."""
    bad = tmp_path / "bad.nc"
    bad.write_text("G21 G90 G94 G17\nM3 S18000\nG4 P6\nG0 Z20\nG0 X60 Y65\nG0 Z-3\nG0 Z20\nM5\nM2\n")
    text = sheet(tmp_path, bad, "--job", JOB)
    assert "Do not run this." in text
    assert "Watch plan" not in text
    assert "Before you press start" not in text
    assert "If something is wrong" in text


def test_safe_restart_lines_begin_with_a_lift(tmp_path: Path) -> None:
    """Every line printed as one is a rapid to the safe height."""
    lines = PROGRAM.read_text().splitlines()
    found = re.findall(r"<li><strong>(\d+)</strong> then", sheet(tmp_path, PROGRAM, "--job", JOB))
    numbers = [int(number) for number in found]
    assert len(numbers) > 5
    assert {lines[number - 1] for number in numbers} == {"G0 Z20"}


def test_text_of_a_program_cannot_become_markup(tmp_path: Path) -> None:
    """A comment with a tag in it is shown, not carried out."""
    bad = tmp_path / "tag.nc"
    bad.write_text("G21 G90 G94 G17\nG0 Z20\nG0 Z-9 (<script>alert(1</script>)\nM2\n")
    shape = Shape()
    shape.feed(sheet(tmp_path, bad, "--job", JOB))
    assert "script" not in shape.tags


def test_words_are_coloured_on_a_terminal_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """Piped output and NO_COLOR get the bare word; the word is there in any case."""
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setattr("sys.stdout", type("Terminal", (), {"isatty": lambda self: True})())
    assert "\x1b[" in _paint("STOP", "red")
    monkeypatch.setenv("NO_COLOR", "1")
    assert _paint("STOP", "red") == "STOP"
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setattr("sys.stdout", type("Pipe", (), {"isatty": lambda self: False})())
    assert _paint("STOP", "red") == "STOP"


@contextmanager
def _long_line(monkeypatch: pytest.MonkeyPatch, size: int) -> Iterator[None]:
    def pieces(self: Source, progress: object = None) -> Iterator[bytes]:
        yield b"G21 G90 G94\nG1 X"
        for _ in range(size // 65536):
            yield b"1" * 65536
        yield b"\nM2\n"

    monkeypatch.setattr(Source, "pieces", pieces)
    yield


def test_a_line_of_a_gigabyte_takes_no_memory(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It ends as a finding; what is kept of it is a few kilobytes."""
    path = tmp_path / "long.nc"
    path.write_text("G21\n")
    bench()
    check_on_bench(path)
    with _long_line(monkeypatch, 1 << 30):
        tracemalloc.start()
        result = check_on_bench(path)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    assert "line-beyond-reading" in {finding.id for finding in result.judged.findings}
    assert peak < 20 << 20


def test_the_fingerprint_is_of_the_whole_file(tmp_path: Path) -> None:
    """Also where the reader stops at its first bytes."""
    path = tmp_path / "big.nc"
    path.write_bytes(b"%PDF-1.7\n" + os.urandom(300_000))
    data = json.loads(run(path, "--job", JOB, "--json").stdout)
    assert data["file"]["sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
    assert open_source(path).size == 300_009
