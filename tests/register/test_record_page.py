"""'My record' in a real browser, and the way from its slip into the register."""

from __future__ import annotations

import base64
import json
import random
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import zxingcpp
from click.testing import CliRunner

from generator.cli import main
from generator.course import Course, demo_folder
from generator.quiz import quiz_digests
from generator.register.slip import digest_of, line_of, read_slip
from tests.barriers import barriers
from tests.conftest import Visit

pytestmark = pytest.mark.browser

SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
GREY = """async png => {
    const image = new Image(); image.src = 'data:image/png;base64,' + png; await image.decode();
    const canvas = document.createElement('canvas'); canvas.width = image.width; canvas.height = image.height;
    const brush = canvas.getContext('2d'); brush.drawImage(image, 0, 0);
    const rgba = brush.getImageData(0, 0, image.width, image.height).data, grey = [];
    for (let at = 0; at < rgba.length; at += 4) grey.push(rgba[at]);
    return [image.height, image.width, grey];
}"""


def scanned(rows: int, columns: int, grey: bytes) -> list[str]:
    """The texts of all QR codes in an image of one byte a point."""
    image = memoryview(grey).cast("B", (rows, columns))
    return [found.text for found in zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)]


def seen(visit: Visit) -> list[str]:
    """What a camera reads from the page as it stands."""
    shot = visit.page.locator("[data-record-code]").screenshot()
    rows, columns, grey = visit.page.evaluate(GREY, base64.b64encode(shot).decode())
    return scanned(rows, columns, bytes(grey))


def enlarged(modules: list[list[int]]) -> tuple[int, int, bytes]:
    """A code of 0 and 1 as an image, three points to a module and a quiet zone of four modules."""
    quiet = [[0] * len(modules)] * 4
    lines = [bytes(0 if dark else 255 for dark in [0] * 4 + row + [0] * 4 for _ in range(3))
             for row in [*quiet, *modules, *quiet] for _ in range(3)]  # fmt: skip
    return len(lines), len(lines[0]), b"".join(lines)


def keep(visit: Visit, course: Course, lessons: list[str], drills: list[str]) -> None:
    """Results in the store, as the pages of the course write them."""
    visit.open("index.html")
    day = {"date": visit.page.evaluate("new Date().toISOString()")}
    asked = quiz_digests(course.library)
    write = "([key, value]) => OnionskinStore.write(key, value)"
    for at, id_ in enumerate(lessons):
        missed = int(at == 1)
        marks = {"machine": "heron", "form": "B", "right": 5 - missed, "of": 5, "missed": missed, "passed": not missed}
        visit.page.evaluate(write, [f"quiz.{id_}", day | marks | {"questions": asked[id_]}])
    for id_ in drills:
        visit.page.evaluate(write, [f"drill.{id_}", day])
    visit.open("my-record.html")


def saved(visit: Visit, folder: Path) -> Path:
    with visit.page.expect_download() as download:
        visit.page.click("[data-record-save]")
    path = folder / download.value.suggested_filename
    download.value.save_as(path)
    return path


def test_a_quiz_taken_in_the_browser_ends_in_the_register(visit: Visit, tmp_path: Path) -> None:
    """Answer a quiz, save the slip, import it: the register has the marks, and knows the scanned code of the slip."""
    page = visit.open("lessons/chip-load.html")
    for question in page.locator('[data-form="A"] fieldset[data-question]:visible').all():
        right = question.locator(".os-option[data-right]:visible input")
        if right.count():
            right.first.check()
        elif question.locator(".os-option").count():
            question.locator(".os-option:visible input").first.check()
        question.locator("[data-check]").click()
    verdict = page.inner_text("[data-result]")

    visit.open("my-record.html")
    visit.page.fill("[data-record-name]", "Member 41")
    path, line = saved(visit, tmp_path), seen(visit)[0]
    shutil.copytree(demo_folder(), tmp_path / "shop")

    def imported(*words: str) -> Any:
        return CliRunner().invoke(main, ["register", "import", *words, "-w", str(tmp_path / "shop"), "--json"])

    first = imported(str(path))
    assert first.exit_code == 0, first.stderr
    answer = json.loads(first.stdout)
    assert answer["same_course"] is True
    assert ("chip-load" in answer["passed"]) == verdict.startswith("Passed")
    assert len(answer["passed"]) + len(answer["not_passed"]) >= 35
    assert "already holds this slip" in imported(line, "--person", "Member 41").stderr
    other = imported(line, "--person", "Member 42")
    assert (other.exit_code, "already held for" in other.stderr) == (1, True)


def test_file_line_and_code_of_a_slip_say_the_same(visit: Visit, course: Course, tmp_path: Path) -> None:
    """The page's own digest and line are those of the register's reader."""
    lessons, drills = list(course.library.lessons)[:6], list(course.library.drills)[:2]
    keep(visit, course, lessons, drills)
    line = visit.page.inner_text("[data-record-line]")
    from_file, from_line = read_slip(str(saved(visit, tmp_path)), date.today()), read_slip(line, date.today())
    assert from_file == from_line
    assert seen(visit) == [line]
    assert line == f"{line_of(from_line)}/{digest_of(line_of(from_line)).upper()}"
    assert [result.lesson for result in from_line.results] == lessons
    assert [result.passed for result in from_line.results] == [at != 1 for at in range(6)]
    assert [drill.drill for drill in from_line.drills] == drills
    assert from_line.course == course.revision
    asked = quiz_digests(course.library)
    assert {result.lesson: result.questions for result in from_line.results} == {id_: asked[id_] for id_ in lessons}


def test_a_pass_of_older_questions_is_marked_and_asked_again(visit: Visit, course: Course) -> None:
    """After an edit of its questions a quiz is not passed any more: the record, the lesson and the reviews say so."""
    keep(visit, course, ["chip-load", "homing"], [])
    older = {"right": 5, "of": 5, "passed": True, "missed": 0, "date": "2026-11-20T10:00:00.000Z", "machine": "heron",
             "form": "A", "questions": "000000"}  # fmt: skip
    for id_ in ("chip-load", "know-every-stop"):
        visit.page.evaluate("([k, v]) => OnionskinStore.write(k, v)", [f"quiz.{id_}", older])
        visit.page.evaluate("id => OnionskinSchedule.note(id, new Date().toISOString())", id_)
    page = visit.open("my-record.html")
    assert "changed since" in page.inner_text('[data-record-lesson="chip-load"] [data-record-outcome]')
    assert "changed since" not in page.inner_text('[data-record-lesson="homing"] [data-record-outcome]')
    assert page.inner_text("[data-record-status]").startswith("0 of")
    assert "CHIP-LOAD.HERON.A.5.5.0.P.20261120.000000" in page.inner_text("[data-record-line]")
    assert "changed since" in visit.open("lessons/chip-load.html").inner_text("[data-quiz-result]")
    assert "changed since" not in visit.open("lessons/homing.html").inner_text("[data-quiz-result]")
    assert visit.open("lessons/six-harms.html").inner_text("[data-quiz-result]") == ""
    due = visit.open("reviews.html").inner_text("[data-due]")
    assert due.count("questions have changed") == 2


def test_a_whole_course_still_fits_one_code_on_screen_and_paper(visit: Visit, course: Course) -> None:
    """All lessons and drills are read back from the page and from the page as it prints."""
    keep(visit, course, list(course.library.lessons), list(course.library.drills))
    line = visit.page.inner_text("[data-record-line]")
    visit.page.emulate_media(color_scheme="dark")
    assert seen(visit) == [line]
    visit.page.emulate_media(media="print")
    assert seen(visit) == [line]
    assert len(read_slip(line, date.today()).results) == len(course.library.lessons)


def test_a_name_leaves_the_page_only_in_the_file_and_only_if_typed(
    visit: Visit, course: Course, tmp_path: Path
) -> None:
    """Not in the code, not in the store, not after a reload."""
    keep(visit, course, ["chip-load"], [])
    assert "name" not in json.loads(saved(visit, tmp_path).read_text())
    visit.page.fill("[data-record-name]", "Quercus <b>Robur</b>")
    assert json.loads(saved(visit, tmp_path).read_text())["name"] == "Quercus <b>Robur</b>"
    assert "QUERCUS" not in seen(visit)[0]
    assert "Quercus" not in visit.page.evaluate("JSON.stringify(localStorage)")
    visit.page.reload()
    assert visit.page.input_value("[data-record-name]") == ""
    assert visit.strays == []
    assert visit.errors == []


def test_without_a_result_there_is_no_slip(visit: Visit) -> None:
    """An empty record offers nothing to save or scan."""
    page = visit.open("my-record.html")
    assert "0 of" in page.inner_text("[data-record-status]")
    assert not page.locator("[data-record-slip]").is_visible()
    assert not page.locator("[data-record-save]").is_visible()


def test_what_others_left_in_the_store_is_passed_over(visit: Visit, course: Course) -> None:
    """Pages opened from disk share one store; a value that is no result of ours is not taken for one."""
    visit.open("index.html")
    good = {"right": 5, "of": 5, "passed": True, "date": "2026-01-01", "machine": "wren", "form": "A", "missed": 0}
    bad = [{"machine": "A/B"}, {"right": 5.5}, {"form": "Z"}, {"missed": -1}, {"date": "then"}, {"of": 1000}]
    for value in ("7", "null", "{}", "[]", "nonsense", *(json.dumps(good | change) for change in bad)):
        visit.page.evaluate("value => localStorage.setItem('onionskin.1.quiz.chip-load', value)", value)
        page = visit.open("my-record.html")
        assert not page.locator("[data-record-slip]").is_visible()
    assert visit.errors == []


def test_results_can_be_taken_off_a_shared_device(visit: Visit, course: Course) -> None:
    """The next learner at the same tablet starts with nothing."""
    keep(visit, course, ["chip-load", "homing"], list(course.library.drills)[:1])
    visit.page.once("dialog", lambda dialog: dialog.accept())
    visit.page.click("[data-record-clear]")
    assert "0 of" in visit.page.inner_text("[data-record-status]")
    assert visit.page.evaluate("Object.keys(localStorage).filter(key => /quiz|drill|passes/.test(key))") == []


def test_codes_of_every_size_are_read_back_by_another_program(visit: Visit) -> None:
    """Versions 1 to 40 of ISO/IEC 18004 at level M, each read by zxing; one sign more than the largest is refused."""
    visit.open("my-record.html")
    draw = random.Random(18004)
    sizes = [1, 2, 35, 80, *range(20, 1000, 37), *range(1000, 3392, 70), 3391]
    versions = set()
    for size in sizes:
        text = "A" + "".join(draw.choice(SIGNS.replace(" ", "")) for _ in range(size - 1))
        modules = visit.page.evaluate("text => OnionskinQr(text)", text)
        assert scanned(*enlarged(modules)) == [text], size
        versions.add((len(modules) - 17) // 4)
    assert versions == set(range(1, 41))
    assert visit.page.evaluate("text => OnionskinQr(text)", "A" * 3392) is None
    assert visit.page.evaluate("text => OnionskinQr(text)", "small") is None


def test_a_damaged_code_is_still_read(visit: Visit) -> None:
    """Level M restores about 15 % (ISO/IEC 18004, 6.5): a smear across a code does not matter."""
    visit.open("my-record.html")
    text = "ONIONSKIN1/20261125/3F2A9B1C/Q.CHIP-LOAD.HERON.A.5.5.0.P.20261124/27D152138B51563E"
    modules = visit.page.evaluate("text => OnionskinQr(text)", text)
    middle = len(modules) // 2
    for y in range(middle - 3, middle + 4):
        for x in range(middle - 3, middle + 4):
            modules[y][x] = 1
    assert scanned(*enlarged(modules)) == [text]


def test_the_digest_is_sha_256(visit: Visit) -> None:
    """FIPS 180-4 by its published examples, and Python's own for lengths around a block."""
    import hashlib

    visit.open("my-record.html")
    made = "text => OnionskinDigest(text)"
    assert visit.page.evaluate(made, "abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    for size in (0, 1, 55, 56, 63, 64, 65, 119, 120, 1000):
        text = "".join(SIGNS[at % 45] for at in range(size))
        assert visit.page.evaluate(made, text) == hashlib.sha256(text.encode()).hexdigest()


@pytest.mark.parametrize("path", ["my-record.html", "sheets/sign-off-heron.html"])
def test_the_pages_fit_a_narrow_phone_and_pass_axe(path: str, visit: Visit, course: Course) -> None:
    """320 px without sideways scrolling; WCAG 2.2 AA by axe-core in both schemes."""
    keep(visit, course, ["chip-load"], [])
    visit.page.set_viewport_size({"width": 320, "height": 640})
    page = visit.open(path)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        assert barriers(page) == []
