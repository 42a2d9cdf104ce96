"""From the command line to the file: what is written, what is refused, and what the mistakes would have done."""

from __future__ import annotations

import hashlib
import json
import re
from base64 import b64encode
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from generator.cli import main
from generator.rehearsal.page import MARKER
from generator.rehearsal.show import TriedMistake
from generator.rehearse import Rehearsed
from tests.rehearsal.conftest import JOB
from tests.rehearsal.make import HEAD, SMALL, TAIL


def run(program: Path, output: Path, *more: str) -> Result:
    return CliRunner().invoke(main, ["rehearse", str(program), "--job", str(JOB), "-o", str(output), *more])


@pytest.fixture
def program(tmp_path: Path) -> Path:
    path = tmp_path / "dibber-board.nc"
    path.write_text(SMALL, encoding="utf-8")
    return path


def test_one_file_is_written_and_named(program: Path, tmp_path: Path) -> None:
    """The page is there, nothing else is, and --json is one document with its size and counts."""
    result = run(program, tmp_path / "page.html", "--json")
    data = json.loads(result.stdout)
    assert result.exit_code == (1 if data["verdict"] == "stop" else 0)
    assert data["bytes"] == (tmp_path / "page.html").stat().st_size
    assert (data["lines"], data["sheets"]) == (SMALL.count("\n"), 6)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["dibber-board.nc", "page.html"]


def test_a_finding_of_severity_stop_gives_exit_code_one(tmp_path: Path) -> None:
    """A rapid driven through the board is written as a page all the same."""
    program = tmp_path / "bad.nc"
    program.write_text(HEAD + "G0 X50 Y50 Z-6\nG1 X90 F500\n" + TAIL, encoding="utf-8")
    result = run(program, tmp_path / "page.html")
    assert result.exit_code == 1
    assert (tmp_path / "page.html").is_file()


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (None, "there is no such file"),
        (b"", "empty"),
        (b"%PDF-1.4 not a program", ""),
        (b"G21 G90\nM3 S18000\nM5\nM30\n", "moves"),
        (b"G21 G90\nG1 X5 F100\nM30\n", "not known on all three axes"),
    ],
    ids=["missing", "empty", "wrong kind", "no motion", "never known where"],
)
def test_what_cannot_be_rehearsed_is_refused_in_one_line(content: bytes | None, says: str, tmp_path: Path) -> None:
    """Exit code 2, one clear line naming the file, and nothing written."""
    program = tmp_path / "given.nc"
    if content is not None:
        program.write_bytes(content)
    before = sorted(tmp_path.iterdir())
    result = run(program, tmp_path / "page.html")
    assert result.exit_code == 2
    assert result.stdout == ""
    assert len(result.stderr.strip().splitlines()) == 1
    assert result.stderr.startswith(str(program))
    assert says in result.stderr
    assert sorted(tmp_path.iterdir()) == before


def test_a_faulty_job_is_refused_with_its_place(program: Path, tmp_path: Path) -> None:
    """Every fault of the job file is named with line and column, and nothing is written."""
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / "bad.yml").write_text("name: x\nmachine: nowhere\n", encoding="utf-8")
    output = tmp_path / "page.html"
    result = CliRunner().invoke(
        main, ["rehearse", str(program), "--job", str(tmp_path / "jobs" / "bad.yml"), "-o", str(output)]
    )
    assert result.exit_code == 2
    assert "bad.yml" in result.stderr
    assert not output.exists()


def test_the_program_is_never_overwritten(program: Path) -> None:
    """Naming the program as the page to write is refused, and the program stays as it was."""
    before = program.read_bytes()
    result = run(program, program)
    assert result.exit_code == 2
    assert program.read_bytes() == before


def test_a_stranger_s_file_is_left_alone_and_our_own_is_replaced(program: Path, tmp_path: Path) -> None:
    """A file that is no rehearsal is not replaced; one that is, is."""
    stranger, own = tmp_path / "letter.html", tmp_path / "page.html"
    stranger.write_text("Dear keeper", encoding="utf-8")
    assert run(program, stranger).exit_code == 2
    assert stranger.read_text(encoding="utf-8") == "Dear keeper"
    assert run(program, own).exit_code < 2
    own.write_text(own.read_text(encoding="utf-8").replace("</html>", "old</html>"), encoding="utf-8")
    assert run(program, own).exit_code < 2
    assert "old</html>" not in own.read_text(encoding="utf-8")


@pytest.mark.parametrize("where", [".", "nowhere/page.html"])
def test_a_place_that_cannot_be_written_is_named(where: str, program: Path, tmp_path: Path) -> None:
    """A folder, or a file in a folder that is not there: one line, exit code 2."""
    result = run(program, tmp_path / where)
    assert result.exit_code == 2
    assert len(result.stderr.strip().splitlines()) == 1


def test_a_failure_while_writing_keeps_the_old_page(
    program: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the swap fails the old page is whole and no half page lies beside it."""
    page = tmp_path / "page.html"
    assert run(program, page).exit_code < 2
    before = page.read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("generator.site.os.replace", full)
    result = run(program, page)
    assert result.exit_code == 2
    assert "No space left" in result.stderr
    assert page.read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["dibber-board.nc", "page.html"]


def test_everything_is_inside_and_allowed_by_its_hash(rehearsed: Rehearsed) -> None:
    """One style and one script, each with its SHA-256 in the policy; no address outside, nothing inline besides."""
    page = rehearsed.output.read_text(encoding="utf-8")
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', page)
    assert policy
    assert "default-src 'none'" in policy[1]
    assert "unsafe" not in policy[1]
    for tag in ("style", "script"):
        texts = re.findall(rf"<{tag}>(.*?)</{tag}>", page, re.DOTALL)
        assert len(texts) == 1
        assert f"'sha256-{b64encode(hashlib.sha256(texts[0].encode()).digest()).decode()}'" in policy[1]
    assert not re.search(r'(?:src|href)="(?:https?:)?//', page)
    assert not re.search(r'\s(?:style|on[a-z]+)="', page)
    assert MARKER in page[:400]


def test_a_program_s_text_stays_text(tmp_path: Path) -> None:
    """A comment that looks like the end of a script or like markup is shown, not obeyed."""
    program = tmp_path / "dibber-board.nc"
    nasty = "(</script><script>alert(1)</script><b>)"
    program.write_text(SMALL.replace("G0 Z20\n", f"G0 Z20 {nasty}\n", 1), encoding="utf-8")
    page = tmp_path / "page.html"
    assert run(program, page).exit_code < 2
    text = page.read_text(encoding="utf-8")
    assert "<script>alert" not in text
    data = re.search(r"data-rehearsal>(.*?)</script>", text, re.DOTALL)
    assert data
    assert nasty in json.loads(data[1])["lines"]["4"]


def test_a_page_of_data_is_one_document(rehearsed: Rehearsed) -> None:
    """The data in the page are plain JSON with no number a browser cannot read."""
    text = rehearsed.output.read_text(encoding="utf-8")
    found = re.search(r"data-rehearsal>(.*?)</script>", text, re.DOTALL)
    assert found
    assert "NaN" not in found[1]
    assert "Infinity" not in found[1]
    assert json.loads(found[1])["track"]["count"] == len(rehearsed.show.track)


def tried(rehearsed: Rehearsed, id_: str) -> TriedMistake:
    return next(mistake for mistake in rehearsed.show.mistakes if mistake.id == id_)


def effects(rehearsed: Rehearsed, id_: str) -> str:
    return " ".join(effect.says for effect in tried(rehearsed, id_).effects)


def test_a_thinner_sheet_is_cut_into_the_bed(rehearsed: Rehearsed) -> None:
    """Z0 on the top: the sheet's underside comes up by what it is thinner, the cut does not, and a check says so."""
    mistake, own = tried(rehearsed, "thinner-sheet"), rehearsed.show.scene.setup
    assert mistake.scene is not None
    assert own.stock_bottom is not None
    assert mistake.scene.setup.stock_bottom == pytest.approx(own.stock_bottom + 2)
    # Thinnest place 11.6 mm less 2 mm, cut 12.3 mm deep: 2.7 mm into the bed.
    assert "2.7\u00a0mm deep into the bed" in effects(rehearsed, "thinner-sheet")
    assert "bed-bite" in {finding.id for finding in mistake.caught}


def test_a_thicker_sheet_is_not_cut_through(rehearsed: Rehearsed) -> None:
    """12 mm and 2 mm more, cut 12.3 mm deep, leaves 1.7 mm, and a check says so."""
    assert "1.7\u00a0mm uncut" in effects(rehearsed, "thicker-sheet")
    assert tried(rehearsed, "thicker-sheet").caught


def test_a_longer_cutter_is_the_bed_higher(rehearsed: Rehearsed) -> None:
    """10 mm more stick-out without a new zero is the same as board, bed and clamps 10 mm higher."""
    mistake, own = tried(rehearsed, "longer-cutter"), rehearsed.show.scene.setup
    assert mistake.scene is not None
    raised = mistake.scene.setup
    assert own.stock_top is not None
    assert own.stick_out is not None
    assert raised.stock_top == own.stock_top + 10
    assert raised.stick_out == own.stick_out + 10
    assert [clamp.top for clamp in raised.clamps] == [clamp.top + 10 for clamp in own.clamps]
    assert "10.7\u00a0mm" in effects(rehearsed, "longer-cutter")


def test_the_other_unit_is_25_4_times_as_large(rehearsed: Rehearsed) -> None:
    """The program read in inches reaches 25.4 times as far, and the check that compares sizes with the stock fires."""
    mistake = tried(rehearsed, "other-unit")
    assert mistake.program is not None
    far = [max(x for x in moves.x if x == x) for moves in (mistake.program.moves, rehearsed.show.program.moves)]
    assert far[0] == pytest.approx(25.4 * far[1])
    assert "unit-too-large" in {finding.id for finding in mistake.caught}


def test_zero_at_another_corner_moves_the_board_and_not_the_path(rehearsed: Rehearsed) -> None:
    """Front-right for front-left: the board lies its own width further left, and the cuts run off it."""
    mistake, own = tried(rehearsed, "other-corner"), rehearsed.show.scene.setup
    assert mistake.scene is not None
    assert mistake.program is None
    assert own.stock == (0.0, 0.0, 360.0, 260.0)
    assert mistake.scene.setup.stock == (-360.0, 0.0, 0.0, 260.0)
    assert "beside it" in effects(rehearsed, "other-corner")
    assert "other-zero" in {finding.id for finding in mistake.caught}


def test_the_other_face_is_caught(rehearsed: Rehearsed) -> None:
    """Z0 on the bed for Z0 on the top drives everything down by the thickness of the sheet."""
    assert "12.3\u00a0mm" in effects(rehearsed, "other-face")
    assert "z-expects-top" in {finding.id for finding in tried(rehearsed, "other-face").caught}


def test_a_mistake_that_cannot_happen_says_why(rehearsed: Rehearsed) -> None:
    """One cutter, no change to pass over: no picture is made up for it."""
    mistake = tried(rehearsed, "skipped-change")
    assert not mistake.applies
    assert "one cutter" in mistake.suppose


def test_a_mistake_leaves_the_job_itself_alone(rehearsed: Rehearsed) -> None:
    """What is caught with a mistake in it is never what the job is told anyway."""
    own = {(finding.id, finding.says) for finding in rehearsed.show.findings}
    for mistake in rehearsed.show.mistakes:
        assert not own & {(finding.id, finding.says) for finding in mistake.caught}


def test_every_mistake_is_one_the_machine_can_make(rehearsed: Rehearsed) -> None:
    """All mistakes of the content are on the page, with what catches each at the machine."""
    page = rehearsed.output.read_text(encoding="utf-8")
    assert len(rehearsed.show.mistakes) == 7
    for mistake in rehearsed.show.mistakes:
        assert mistake.title in page
        assert not mistake.applies or mistake.habit
