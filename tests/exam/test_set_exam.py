"""Setting an exam: the same seed gives the same bytes, the form keeps the secret, bad starts are refused."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from generator.cli import main
from generator.course import demo_folder
from generator.exam.lines import Line, with_word
from generator.exam_desk import set_exam
from generator.site import MARKER
from tests.exam.test_faults import JOBS, job_file


@pytest.fixture(scope="module", params=JOBS)
def files(request: pytest.FixtureRequest) -> dict[str, str]:
    return {name: data.decode("latin-1") for name, data in set_exam(job_file(request.param), 5).files.items()}


def test_the_same_seed_gives_the_same_bytes_in_another_process(tmp_path: Path) -> None:
    """Neither the day nor the order of hashing changes a byte."""
    command = [sys.executable, "-m", "generator", "exam", str(job_file("dibber-board")), "--seed", "11", "-o"]
    for name in ("one", "two"):
        subprocess.run(
            [*command, str(tmp_path / name)],
            check=True,
            env={**os.environ, "PYTHONHASHSEED": str(len(name) + ord(name[0]))},
        )
    for path in (tmp_path / "one").iterdir():
        assert path.read_bytes() == (tmp_path / "two" / path.name).read_bytes(), path.name


def test_another_seed_gives_another_exam() -> None:
    """Two seeds differ in code and program or set-up."""
    one, two = set_exam(job_file("dibber-board"), 1), set_exam(job_file("dibber-board"), 2)
    assert one.exam.code != two.exam.code
    assert one.files["marking.html"] != two.files["marking.html"]


def test_every_file_carries_the_same_code(files: dict[str, str]) -> None:
    """Set-up, form, marking sheet, listing and program belong together by eight signs."""
    codes = {match for text in files.values() for match in re.findall(r"(?:sheet|CODE) ([0-9a-f]{8})", text)}
    assert len(codes) == 1
    assert set(files) == {"program.nc", "set-up.html", "paper.html", "marking.html", "listing.html"}


def test_program_and_form_warn_and_do_not_tell(files: dict[str, str]) -> None:
    """The first line of the program forbids to run it; what the learner gets does not name the fault."""
    assert files["program.nc"].splitlines()[0].startswith("(EXAM. A FAULT IS PLANTED IN THIS JOB. DO NOT RUN.")
    title = re.search(r"The fault: ([^<]+)<", files["marking.html"])
    assert title
    for name in ("paper.html", "set-up.html", "listing.html"):
        assert title.group(1) not in files[name]
        assert "Marking" not in files[name]
    assert "Do not run this program" in files["paper.html"]


def test_the_command_writes_the_files_and_says_so_as_json(tmp_path: Path) -> None:
    """One JSON document with the folder, the code and the names; exit code 0."""
    done = CliRunner().invoke(
        main, ["exam", str(job_file("dibber-board-wren")), "--seed", "3", "-o", str(tmp_path / "x"), "--json"]
    )
    assert done.exit_code == 0, done.output
    told = json.loads(done.output)
    assert sorted(told["files"]) == sorted(path.name for path in (tmp_path / "x").iterdir() if path.name != MARKER)


def workshop(tmp_path: Path) -> Path:
    return Path(shutil.copytree(demo_folder(), tmp_path / "shed"))


PROGRAM, JOB = "programs/dibber-board.nc", "jobs/dibber-board.yml"
UNCLEAN = "G21 G90\nG0 X10\nG0 Z-9\nG1 X90 F500\nM2\n"


def without_program(home: Path) -> None:
    _write(home / JOB, (home / JOB).read_text(encoding="utf-8").replace(f"program: {PROGRAM}", "program: unknown"))


@pytest.mark.parametrize(
    ("break_it", "says"),
    [
        (lambda home: (home / PROGRAM).unlink(), "there is no such file"),
        (lambda home: _write(home / PROGRAM, UNCLEAN), "is not clean"),
        (without_program, "names no program"),
        (lambda home: (home / JOB).unlink(), "there is no such file"),
    ],
)
def test_a_bad_start_is_refused_in_one_line(break_it: object, says: str, tmp_path: Path) -> None:
    """No program, an unclean one, or no job: exit code 2, one clear line, nothing written."""
    home = workshop(tmp_path)
    break_it(home)  # type: ignore[operator]
    done = CliRunner().invoke(main, ["exam", str(home / JOB), "--seed", "1", "-o", str(tmp_path / "x")])
    assert done.exit_code == 2
    assert says in done.output
    assert "Traceback" not in done.output
    assert not (tmp_path / "x").exists()


def _write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8")


@given(
    st.from_regex(r"(G[0-3] ?)?X-?[0-9]{1,3}(\.[0-9])? Z-?[0-9]{1,2} ?(\(Z9 kept\))?", fullmatch=True),
    st.integers(-99, 99),
)
def test_a_word_is_exchanged_and_comments_stay(text: str, number: int) -> None:
    """The new word is read back from the line, every other word and every comment is as it was."""
    line = Line(1, text)
    word = line.word("Z")
    assert word is not None
    new = Line(1, with_word(line, word, f"Z{number}"))
    assert [(w.letter, w.number) for w in new.words] == [
        (w.letter, float(number) if w.letter == "Z" else w.number) for w in line.words
    ]
    assert ("(Z9 kept)" in text) == ("(Z9 kept)" in new.text)


def test_an_inch_program_is_changed_in_inches(tmp_path: Path) -> None:
    """A depth planted in millimetres is written in the program's own unit."""
    import random

    from generator.exam.plant import plant
    from generator.model.exam import Edit, FaultClass, Lines

    edit = Edit(at=Lines(words=("Z",)), put_in={"Z": "here - 25.4"})
    fault = FaultClass(id="deep", title="Deep", check="bed-through", applies="true", edits=(edit,), looks="Deep.")
    planted = plant(fault, [Line(1, "G1 Z-0.5 F20")], {"program.units": "inch"}, random.Random(1))
    assert planted is not None
    assert planted.texts == ("G1 Z-1.5 F20",)


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("job", JOBS)
def test_set_up_form_and_marking_are_one_page_each(job: str, seed: int, paper: str, browser, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    """Whatever was drawn, each of the three fits one side of A4 and of Letter."""
    from pypdf import PdfReader

    page = browser.new_page()
    for name, data in set_exam(job_file(job), seed).files.items():
        if name in ("set-up.html", "paper.html", "marking.html"):
            (tmp_path / name).write_bytes(data)
            page.goto((tmp_path / name).as_uri())
            page.pdf(path=tmp_path / f"{name}.pdf", format=paper)
            assert len(PdfReader(tmp_path / f"{name}.pdf").pages) == 1, name
    page.close()
