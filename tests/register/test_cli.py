"""`onionskin register` as people and scripts use it: what it prints, its exit codes, and what it refuses."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner

from generator.cli import main
from generator.course import load_course
from generator.quiz import quiz_digests
from tests.register.desk import ago, data, run, sign
from tests.register.slips import as_file, one_slip, whole_line


def test_a_whole_practical_is_a_sign_off(shop: Path) -> None:
    """Record 2 follows the beginning, and the list shows who may go on."""
    added = sign(shop, "Member 41")
    assert (added["record"], added["records"], added["complete"], added["missing"]) == (2, 2, True, [])
    assert added["head"].startswith("2:")
    listed = data(shop, "list")["standings"]
    assert [(item["person"], item["machine"], item["level"], item["state"]) for item in listed] == [
        ("Member 41", "wren", "solo", "fine")]  # fmt: skip
    assert "may go on" in run(shop, "list").stdout


def test_a_part_of_the_practical_is_kept_and_is_no_sign_off(shop: Path) -> None:
    """What is missing is named, musts first to be seen."""
    words = [
        "add",
        "Member 41",
        "--machine",
        "wren",
        "--level",
        "beside",
        "--acts",
        "P01, p02 p03",
        "--signed-by",
        "keeper",
    ]
    said = run(shop, *words).stdout
    assert "This is not a sign-off yet" in said
    assert "P07 (must)" in said
    listed = data(shop, "list")
    assert listed["standings"] == []
    assert listed["unfinished"][0]["missing"] == ["p04", "p06", "p07", "p09", "p12", "p17"]


def test_every_fault_of_the_words_given_is_named_at_once(shop: Path) -> None:
    """One line each on stderr, nothing on stdout, exit code 2, and no register begun."""
    result = run(
        shop, "add", "Ash", "--machine", "hern", "--level", "sol", "--acts", "all", "--signed-by", "keeper", code=2
    )
    assert result.stdout == ""
    lines = result.stderr.splitlines()
    assert len(lines) == 2
    assert "did you mean 'solo'?" in lines[0]
    assert "did you mean 'heron'?" in lines[1]
    result = run(
        shop,
        "add",
        "Ash",
        "--machine",
        "heron",
        "--level",
        "solo",
        "--acts",
        "p01 p98 p99",
        "--signed-by",
        "keeper",
        code=2,
    )
    assert len(result.stderr.splitlines()) == 2
    assert not (shop / "register.sqlite").exists()


WHOLE = ["add", "Ash", "--machine", "wren", "--level", "solo", "--acts", "all", "--signed-by", "k"]


@pytest.mark.parametrize(("words", "says"), [
    (["list"], "there is no register yet"),
    (["verify"], "there is no register yet"),
    (["use", "Ash", "--machine", "wren"], "there is no register yet"),
    ([*WHOLE[:-1], "ash"], "nobody signs for themselves"),
    ([*WHOLE, "--date", "2999-01-01"], "still to come"),
    ([*WHOLE, "--date", "1.2.2026"], "is not a date"),
    (["add", "Ash", "--machine", "wren", "--acts", "all", "--signed-by", "k"], "--level: is missing"),
    (["add", "Ash", "--machine", "wren", "--signed-by", "k"], "give --acts for the practical"),
    (["add", "Ash", "--machine", "wren", "--refresher", "--signed-by", "k"], "no sign-off on 'wren' to refresh"),
    (["import", "nothing.json"], "there is no such file"),
    (["import", "nonsense"], "neither a slip's file"),
])  # fmt: skip
def test_what_cannot_be_done_is_one_clear_line(words: list[str], says: str, shop: Path) -> None:
    """Exit code 2, no traceback, and no file left behind."""
    result = run(shop, *words, code=2)
    assert says in result.stderr
    assert "Traceback" not in result.stderr
    assert result.stdout == ""
    assert [path.name for path in shop.iterdir() if "register" in path.name] == []


def test_a_folder_that_is_no_workshop_is_refused(tmp_path: Path) -> None:
    """A register belongs to a workshop."""
    assert (
        "workshop.yml"
        in run(tmp_path, "add", "Ash", "--machine", "m", "--acts", "all", "--signed-by", "k", code=2).stderr
    )


def test_due_names_who_must_refresh_and_why_and_exits_1(shop: Path) -> None:
    """Idle, full and cap come from the workshop's own levels."""
    sign(shop, "Fresh")
    sign(shop, "Idle", "--date", ago(200))
    sign(shop, "Gone", "--date", ago(400))
    due = data(shop, "due", code=1)
    assert {item["person"]: item["state"] for item in due["due"]} == {"Idle": "refresher", "Gone": "practical"}
    assert all("no run" in item["why"] for item in due["due"])
    assert data(shop, "due", "--within", "190", code=1)["coming"][0]["person"] == "Fresh"
    assert data(shop, "due", "--on", ago(401))["due"] == []
    data(shop, "add", "Idle", "--machine", "wren", "--refresher", "--signed-by", "keeper")
    sign(shop, "Gone")
    assert data(shop, "due")["due"] == []


def test_a_run_keeps_a_sign_off_alive(shop: Path) -> None:
    """`use` logs it for the day it happened."""
    sign(shop, "Ash", "--date", ago(200))
    data(shop, "use", "ash", "--machine", "wren", "--date", ago(100))
    assert data(shop, "due")["due"] == []
    assert "did you mean 'Ash'?" in run(shop, "use", "Ashh", "--machine", "wren", code=2).stderr


def test_show_names_lessons_and_lists_that_changed_since(shop: Path) -> None:
    """Its own chip-load lesson, pre-run list and machine are named; another machine is not."""
    sign(shop, "Ash")
    assert data(shop, "show", "Ash")["standings"][0]["changed"] == []
    ours = Path(load_course(shop).library.lessons["chip-load"].body.file)
    (shop / "content" / "lessons").mkdir(parents=True)
    (shop / "content" / "checklists").mkdir()
    (shop / "content" / "lessons" / "15-chip-load.md").write_text(ours.read_text().replace("minutes:", "minutes: ", 1))
    pre_run = ours.parent.parent / "checklists" / "pre-run.yml"
    (shop / "content" / "checklists" / "pre-run.yml").write_text(pre_run.read_text() + "# ours\n")
    for name in ("wren", "heron"):
        machine = shop / "machines" / f"{name}.yml"
        machine.write_text(machine.read_text().replace("name: ", "name: New ", 1))
    changed = data(shop, "show", "Ash")["standings"][0]["changed"]
    assert {(item["part"], item["how"]) for item in changed} == {
        ("lesson:chip-load", "changed"), ("list:pre-run", "changed"), ("machine:wren", "changed")}  # fmt: skip
    assert "Pre-run list" in run(shop, "show", "Ash").stdout


def test_verify_finds_what_was_done_to_the_file(shop: Path) -> None:
    """Whole is 0, a cut tail found by the head on paper is 1, a copy that went its own way is 1."""
    sign(shop, "Ash")
    shutil.copy(shop / "register.sqlite", shop / "copy.sqlite")
    head = sign(shop, "Birch")["head"]
    assert data(shop, "verify", "--head", head)["whole"] is True
    against = data(shop, "verify", "--against", str(shop / "copy.sqlite"))["against"]
    assert (against["same"], against["only_here"], against["only_there"]) == (2, 1, 0)
    shutil.copy(shop / "copy.sqlite", shop / "register.sqlite")
    sign(shop, "Cedar")
    found = data(shop, "verify", "--head", head, code=1)
    assert [finding["id"] for finding in found["findings"]] == ["head-lost"]
    assert "is not a head" in run(shop, "verify", "--head", "nonsense", code=2).stderr


def test_a_broken_register_is_said_with_every_answer_and_still_takes_records(shop: Path) -> None:
    """What people did today is not lost because of what someone did to the file."""
    sign(shop, "Ash")
    connection = sqlite3.connect(shop / "register.sqlite")
    connection.executescript("DROP TRIGGER records_hold; UPDATE records SET body = '{}' WHERE number = 2")
    connection.close()
    for words in (["list"], ["due"], ["show", "keeper"], ["export", "-o", str(shop / "pack")]):
        result = run(shop, *words, code=1)
        assert "Record 2 is broken: its text was changed after it was written." in result.stderr
        assert "may go on" not in result.stdout
    listed = data(shop, "list", code=1)
    assert (listed["records"], listed["whole"], listed["findings"][0]["line"]) == (2, False, 2)
    assert "Do not rely on this pack. Record 2 is broken" in (shop / "pack" / "index.html").read_text()
    added = sign(shop, "Birch", code=1)
    assert (added["record"], added["findings"][0]["id"]) == (3, "record-broken")
    assert [item["state"] for item in data(shop, "list", code=1)["standings"]] == ["fine"]
    assert data(shop, "verify", code=1)["findings"][0]["line"] == 2


def test_forget_takes_the_name_and_keeps_the_reason(shop: Path) -> None:
    """The sign-off stays, the name is gone from every answer, and the chain holds."""
    sign(shop, "Quercus Robur")
    assert "holds the name" in run(shop, "forget", "Quercus Robur", "--reason", "Robur left", code=2).stderr
    assert "write why" in run(shop, "forget", "Quercus Robur", "--reason", " x ", code=2).stderr
    data(shop, "forget", "Quercus Robur", "--reason", "left and asked for it")
    everything = [run(shop, "list").stdout, run(shop, "list", "--json").stdout]
    run(shop, "export", "-o", str(shop / "pack"))
    everything += [path.read_text() for path in (shop / "pack").rglob("*") if path.is_file()]
    assert not [text for text in everything if "Quercus" in text]
    assert any("left and asked for it" in text for text in everything)
    assert data(shop, "verify")["whole"] is True
    assert run(shop, "show", "Quercus Robur", code=2)


def test_withdraw_names_an_earlier_sign_off_that_counts_again(shop: Path) -> None:
    """After an incident nothing is left standing unseen."""
    sign(shop, "Ash", "--date", ago(30))
    sign(shop, "Ash")
    taken = data(shop, "withdraw", "3", "--signed-by", "keeper", "--reason", "a near miss")
    assert taken["still_counts"] == [2]
    assert data(shop, "withdraw", "2", "--signed-by", "keeper", "--reason", "a near miss")["still_counts"] == []
    assert data(shop, "list")["standings"] == []
    assert (
        "withdrawn already" in run(shop, "withdraw", "2", "--signed-by", "keeper", "--reason", "again", code=2).stderr
    )


def test_a_slip_is_taken_from_file_line_and_scanner_once(shop: Path) -> None:
    """The same results for the same person go in once, however they come."""
    slip = one_slip()
    (shop / "slip.json").write_text(as_file(slip | {"name": "Ash"}))
    taken = data(shop, "import", str(shop / "slip.json"))
    assert taken["passed"] == ["chip-load"]
    assert "stepdown-and-passes" in taken["not_passed"]
    assert taken["same_course"] is False
    assert taken["older_questions"] == ["chip-load"]
    again = run(shop, "import", whole_line(slip), "--person", "ASH", code=2)
    assert "already holds this slip" in again.stderr
    other = run(shop, "import", "-", "--person", "Birch", stdin=whole_line(slip) + "\n", code=1)
    assert "Warning: this slip is already held for Ash (record 2)." in other.stderr
    assert "Quizzes passed: 1." in other.stdout
    assert "already holds this slip" in run(shop, "import", whole_line(slip), "--person", "Birch", code=2).stderr
    third = data(shop, "import", whole_line(slip), "--person", "Cedar", code=1)
    assert third["already_held_for"] == [{"person": "Ash", "record": 2}, {"person": "Birch", "record": 3}]
    for number in ("2", "3", "4"):
        run(shop, "withdraw", number, "--signed-by", "keeper", "--reason", "somebody else's")
    assert data(shop, "import", whole_line(slip), "--person", "Dogwood")["already_held_for"] == []
    assert "say whose it is with --person" in run(shop, "import", whole_line(slip), code=2).stderr
    shown = data(shop, "show", "Birch")["records_of_person"]
    assert [(record["kind"], record["details"][:34]) for record in shown] == [
        ("Results", "quizzes passed: 1 of 1, drills: 1,")]  # fmt: skip


def edited(shop: Path, statement: str) -> None:
    """The register changed behind its back."""
    with closing(sqlite3.connect(shop / "register.sqlite")) as tool, tool:
        tool.execute(statement)


@pytest.mark.parametrize(("statement", "says"), [
    ("UPDATE people SET name = 'M-666' WHERE name = 'M-020'", "Record 2 shows the name 'M-666', another than"),
    ("DELETE FROM people WHERE name = 'M-020'", "Record 2 has lost its name"),
    ("UPDATE people SET token = 'x' WHERE name = 'M-020'", "The name 'M-020' belongs to no record"),
    ("UPDATE contents SET text = 'x'", "Record 2 refers to course contents that were changed"),
])  # fmt: skip
def test_what_was_edited_beside_the_records_is_said_by_every_command(statement: str, says: str, shop: Path) -> None:
    """A name, an id or the course's contents: exit code 1 and clear words, nobody holds by it, and records go in."""
    sign(shop, "M-020")
    run(shop, "add", "M-020", "--machine", "heron", "--level", "solo", "--acts", "p01", "--signed-by", "keeper")
    edited(shop, statement)
    for words in (["list"], ["due"], ["show", "keeper"], ["export", "-o", str(shop / "pack")]):
        result = run(shop, *words, code=1)
        assert says in result.stderr, (words, result.stderr)
        assert "may go on" not in result.stdout
    assert "\nM-666" not in "\n" + run(shop, "list", code=1).stdout
    texts = [path.read_text() for path in (shop / "pack").rglob("*") if path.is_file()]
    assert not [text for text in texts if "may go on" in text]
    assert says in run(shop, "show", "M-999", code=2).stderr
    assert says in run(shop, "use", "M-999", "--machine", "wren", code=2).stderr
    added = run(shop, "add", "M-666", "--machine", "wren", "--level", "solo", "--acts", "all", "--signed-by", "deputy",
                code=1)  # fmt: skip
    assert says in added.stderr
    assert "Record 4 is written" in added.stdout


def test_a_name_put_in_by_hand_can_be_forgotten_and_the_right_one_of_two_first(shop: Path) -> None:
    """Whoever wrote a real name over another one leaves a name that has to go like any other."""
    sign(shop, "M-020")
    edited(shop, "UPDATE people SET name = 'M-666' WHERE name = 'M-020'")
    sign(shop, "M-666", code=1)
    data(shop, "forget", "M-666", "--reason", "left and asked for it", code=1)
    assert [finding["id"] for finding in data(shop, "verify", code=1)["findings"]] == ["name-changed"]
    data(shop, "forget", "M-666", "--reason", "left and asked for it")
    assert b"M-666" not in (shop / "register.sqlite").read_bytes()
    assert data(shop, "verify")["whole"] is True


def test_a_level_or_machine_that_is_gone_is_due_and_said(shop: Path) -> None:
    """A renamed level does not fall back on other days; what nobody knows any more is not valid, and due says so."""
    sign(shop, "Ash")
    run(shop, "add", "Birch", "--machine", "wren", "--level", "solo", "--acts", "p01", "--signed-by", "keeper")
    workshop = shop / "workshop.yml"
    workshop.write_text(workshop.read_text().replace("id: solo", "id: single"))
    said = run(shop, "list").stdout
    assert "Ash, wren, solo: not valid; the workshop has no level 'solo' any more (it has beside, single)" in said
    assert "may go on" not in said
    assert said.count("no level 'solo' any more") == 2
    due = data(shop, "due", code=1)["due"]
    assert [(item["person"], item["state"], item["since"]) for item in due] == [("Ash", "not-valid", None)]
    workshop.write_text(workshop.read_text().replace("id: single", "id: solo"))
    assert data(shop, "due")["due"] == []
    machine = shop / "machines" / "wren.yml"
    machine.write_text(machine.read_text().replace("id: wren", "id: robin"))
    machine.rename(machine.with_name("robin.yml"))
    for job in (shop / "jobs").iterdir():
        job.write_text(job.read_text().replace("machine: wren", "machine: robin"))
    assert "not valid; the workshop has no machine 'wren' any more" in run(shop, "due", code=1).stdout
    assert "may go on" not in run(shop, "show", "Ash").stdout


def test_a_later_lower_sign_off_hides_nothing(shop: Path) -> None:
    """The command says which earlier one still counts, and list and show have both."""
    sign(shop, "Ash", "--date", ago(20))
    beside = ["add", "Ash", "--machine", "wren", "--level", "beside", "--acts", "all", "--signed-by", "keeper"]
    assert "Record 2 (solo) still counts as well; withdraw it if" in run(shop, *beside).stdout
    for words in (["list"], ["show", "Ash"]):
        said = run(shop, *words).stdout
        assert "Ash, wren, beside: may go on" in said
        assert "Ash, wren, solo: may go on" in said
        assert "the later sign-off at 'beside' (record 3) has not ended it" in said


def test_a_slip_tells_which_quizzes_have_changed_since(shop: Path) -> None:
    """A result carries the digest of the questions it answers; another digest, or none, is told and refuses nothing."""
    now = quiz_digests(load_course(shop).library)
    quiz = one_slip()["results"][0]
    for at, (asked, told) in enumerate([(now["chip-load"], []), ("000000", ["chip-load"]), (None, ["chip-load"])]):
        line = whole_line(one_slip(results=[quiz | {"questions": asked}]))
        taken = data(shop, "import", line, "--person", f"Member {at}")
        assert taken["older_questions"] == told
        assert taken["passed"] == ["chip-load"]


def test_a_slip_that_names_what_its_own_course_does_not_have_is_refused(shop: Path) -> None:
    """With the revision of this course every lesson and drill must be in it."""
    revision = load_course(shop).revision
    quiz = one_slip()["results"][0] | {"lesson": "no-such-lesson"}
    line = whole_line(
        one_slip(course=revision, results=[quiz], drills=[{"drill": "no-such-drill", "date": "2026-11-24"}])
    )
    result = run(shop, "import", line, "--person", "Ash", code=2)
    assert len(result.stderr.splitlines()) == 2


def test_names_stay_out_of_the_site(shop: Path, tmp_path: Path) -> None:
    """The course is built beside a register and takes nothing from it."""
    sign(shop, "Quercus Robur")
    result = CliRunner().invoke(main, ["pages", str(tmp_path / "out"), "--workshop", str(shop)])
    assert result.exit_code == 0, result.stderr
    files = [path for path in (tmp_path / "out").rglob("*") if path.is_file()]
    assert files
    assert not [path for path in files if b"Quercus" in path.read_bytes() or "register" in path.suffix + path.stem]


def test_every_command_says_one_json_document(shop: Path) -> None:
    """With --json stdout is one document that has the head, whatever the command."""
    sign(shop, "Ash")
    for words in (["list"], ["due"], ["show", "Ash"], ["verify"], ["use", "Ash", "--machine", "wren"],
                  ["export", "-o", str(shop / "pack")], ["forget", "Ash", "--reason", "left us"]):  # fmt: skip
        assert data(shop, *words)["head"]
