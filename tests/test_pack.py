"""Sheets as PDF files: whole, for one machine, on the sides promised, tagged, and the same bytes twice."""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pypdf
import pytest
from click.testing import CliRunner
from msgspec.structs import replace
from playwright.sync_api import Browser

from generator.cli import main
from generator.course import Course
from generator.errors import OnionskinError
from generator.one_file import with_pictures
from generator.pack import folder as packing
from generator.pack.paint import paint, print_rules, resolved
from generator.pack.sheet import PAPERS, Press, strip
from generator.pages.assets import styles
from generator.pages.page import Page
from generator.plain import texts_of_assets

NEEDED = "PDF sheets need WeasyPrint: in Onionskin's folder, pip install '.[pack]'\n"
PLAIN = {**os.environ, "PYTHONPATH": str(Path(__file__).parent.parent)}
ABOUT = {"workshop": "A workshop", "revision": "12345678", "digest": "abcdef00"}
# One of each kind of sheet, with the sides it may fill.
SIDES = {"checklists/end-of-job.html": 1, "checklists/pre-run.html": 3, "sheets/dibber-board.html": 1,
         "sheets/sign-off-heron.html": 1, "cards/emergency.html": 1, "cards/drawer-heron.html": 1,
         "cards/zero-passport.html": 1, "cards/risk-assessment.html": 1,
         "checklists/pre-run-before-power.html": 1, "stop-map.html": 1}  # fmt: skip


@pytest.fixture(scope="session", autouse=True)
def _weasyprint() -> None:
    """WeasyPrint and its libraries. Without them these tests are skipped, in continuous integration they fail."""
    try:
        import weasyprint  # noqa: F401
    except (ImportError, OSError) as error:
        (pytest.fail if os.environ.get("CI") else pytest.skip)(f"WeasyPrint cannot be loaded: {error}")


@pytest.fixture(scope="module")
def style() -> str:
    """The style of a pack."""
    texts = texts_of_assets()
    return "\n".join(with_pictures(texts[name], texts) for name in [*styles(), packing.STYLE])


@pytest.fixture(scope="module")
def sheets(course: Course) -> dict[str, Page]:
    """Every sheet of the default machine by its path."""
    return {page.path: page for page in packing.sheets_of(course)}


@pytest.fixture(scope="module")
def made(style: str, sheets: dict[str, Page]) -> dict[tuple[str, str], pypdf.PdfReader]:
    """The sample, on both papers, read back."""
    presses = {paper: Press(style, paper) for paper in PAPERS}
    return {(path, paper): pypdf.PdfReader(io.BytesIO(press.pdf(sheets[path], ABOUT).data))
            for path in SIDES for paper, press in presses.items()}  # fmt: skip


def squeezed(text: str) -> str:
    """Text without any blanks: readers of PDF files guess them."""
    return re.sub(r"\s", "", text)


def text_of(pdf: pypdf.PdfReader) -> str:
    """All words of a file."""
    return " ".join(page.extract_text() for page in pdf.pages)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("path", SIDES)
def test_a_sheet_fills_the_sides_it_is_meant_for(path: str, paper: str, made: dict[Any, pypdf.PdfReader]) -> None:
    """What is used at the machine stands on one side of A4 or Letter; the long list takes three at most."""
    pdf = made[path, paper]
    assert len(pdf.pages) <= SIDES[path]
    size = [float(length) / 72 * 25.4 for length in pdf.pages[0].mediabox[2:]]
    assert size == pytest.approx(PAPERS[paper], abs=0.1)


def test_every_word_of_the_page_is_in_the_file(made: dict[Any, pypdf.PdfReader], browser: Browser, site: Path) -> None:
    """Nothing is lost: each word that Chromium would print of the sheet is found in the PDF."""
    tab = browser.new_page()
    tab.emulate_media(media="print")
    for path in SIDES:
        tab.goto((site / path).as_uri())
        words = tab.inner_text(".os-sheet").split()
        found = squeezed(text_of(made[path, "a4"]))
        assert len(words) > 60
        assert [word for word in words if word not in found] == [], path
    tab.close()


@pytest.mark.parametrize("paper", PAPERS)
def test_no_word_stands_outside_the_margins(paper: str, made: dict[Any, pypdf.PdfReader]) -> None:
    """Nothing is cut off: all text begins within the paper, at least 10 mm from its sides and from its top."""
    width, height = (length / 25.4 * 72 for length in PAPERS[paper])
    edge = 10 / 25.4 * 72
    for path in SIDES:
        for page in made[path, paper].pages:
            places: list[tuple[float, float]] = []

            def note(text: str, above: Any, matrix: Any, *_: Any, places: list[tuple[float, float]] = places) -> None:
                if text.strip():
                    places.append((matrix[4] * above[0] + above[4], matrix[5] * above[3] + above[5]))

            page.extract_text(visitor_text=note)
            assert places
            assert all(edge <= x <= width - edge for x, _ in places), path
            assert all(0 < y <= height - edge for _, y in places), path


def test_a_file_is_tagged_and_says_what_it_is(made: dict[Any, pypdf.PdfReader]) -> None:
    """Structure for screen readers, a language, a title, and the codes that tell a stale sheet."""
    for (path, _), pdf in made.items():
        root = pdf.trailer["/Root"]
        assert root["/MarkInfo"]["/Marked"], path
        assert "/StructTreeRoot" in root, path
        assert root["/Lang"] == "en", path
        assert pdf.metadata is not None
        assert pdf.metadata.title, path
        assert "abcdef00" in pdf.metadata["/Keywords"], path
        assert b"pdfuaid" in root["/Metadata"].get_data(), path


def test_boxes_are_drawn_and_never_form_fields(made: dict[Any, pypdf.PdfReader]) -> None:
    """No file has a form: a box is lines to tick with a pen."""
    for (path, _), pdf in made.items():
        assert "/AcroForm" not in pdf.trailer["/Root"], path


def test_only_the_lines_of_the_chosen_machine_are_printed(course: Course, style: str) -> None:
    """Wren is switched by hand and Heron by its program: each list has its own lines and not the other's."""
    texts = {}
    for machine in ("wren", "heron"):
        own = replace(course, default=machine)
        page = next(page for page in packing.sheets_of(own) if page.path == "checklists/pre-run.html")
        texts[machine] = text_of(pypdf.PdfReader(io.BytesIO(Press(style, "a4").pdf(page, ABOUT).data)))
    assert "Wren" in texts["wren"]
    assert "Wren" not in texts["heron"]
    assert "Home the machine" in texts["heron"]
    assert "Home the machine" not in texts["wren"]


def test_the_jobs_of_other_machines_stay_out(course: Course) -> None:
    """A pack for Wren has Wren's set-up sheet and sign-off, and nobody else's."""
    paths = {page.path for page in packing.sheets_of(replace(course, default="wren"))}
    assert {"sheets/dibber-board-wren.html", "sheets/sign-off-wren.html"} <= paths
    assert not {"sheets/dibber-board.html", "sheets/sign-off-heron.html"} & paths


def test_the_same_sheet_is_the_same_bytes(style: str, sheets: dict[str, Page]) -> None:
    """Two presses make the same file: no date, no chance."""
    for path in ("sheets/dibber-board.html", "cards/emergency.html"):
        assert Press(style, "a4").pdf(sheets[path], ABOUT) == Press(style, "a4").pdf(sheets[path], ABOUT)


@pytest.fixture
def two_sheets(monkeypatch: pytest.MonkeyPatch) -> None:
    """A pack of two sheets, since all of them take half a minute."""
    everything = packing.sheets_of
    kept = {"cards/emergency.html", "sheets/sign-off-wren.html", "sheets/sign-off-heron.html"}
    monkeypatch.setattr(packing, "sheets_of", lambda course: [page for page in everything(course) if page.path in kept])


@pytest.mark.usefixtures("two_sheets")
def test_a_pack_lists_its_files(tmp_path: Path) -> None:
    """The manifest names each file with its sides, its code and its SHA-256, and nothing else lies there."""
    done = CliRunner().invoke(
        main, ["pack", "-o", str(tmp_path / "pack"), "--machine", "wren", "--paper", "letter", "--json"]
    )

    assert done.exit_code == 0, done.output
    said = json.loads((tmp_path / "pack" / "manifest.json").read_text())
    assert (said["machine"], said["paper"]) == ("Wren", "letter")
    assert [entry["name"] for entry in said["files"]] == json.loads(done.output)["files"]
    assert {entry["name"] for entry in said["files"]} == {path.name for path in (tmp_path / "pack").glob("*.pdf")}
    assert {entry["page"] for entry in said["files"]} == {"cards/emergency.html", "sheets/sign-off-wren.html"}
    for entry in said["files"]:
        data = (tmp_path / "pack" / entry["name"]).read_bytes()
        assert hashlib.sha256(data).hexdigest() == entry["sha256"]
        assert len(pypdf.PdfReader(io.BytesIO(data)).pages) == entry["sides"]
        assert entry["digest"] in text_of(pypdf.PdfReader(io.BytesIO(data)))


def test_without_weasyprint_the_message_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit code 2, one line, no traceback and no folder."""
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    done = CliRunner().invoke(main, ["pack", "-o", str(tmp_path / "pack")])
    assert done.exit_code == 2
    assert done.output == NEEDED
    assert not (tmp_path / "pack").exists()


def test_without_all_the_extra_brings_the_message_is_the_same(tmp_path: Path) -> None:
    """A plain install lacks WeasyPrint and what comes with it, from the first import on."""
    lacking = "import sys; sys.modules.update(dict.fromkeys(['weasyprint', 'cssselect2', 'tinycss2']))"
    command = [sys.executable, "-c", f"{lacking}; from generator.cli import main; main()", "pack", "-o", "pack"]
    done = subprocess.run(command, capture_output=True, text=True, cwd=tmp_path, env=PLAIN, check=False)
    assert (done.returncode, done.stderr, done.stdout) == (2, NEEDED, "")
    assert list(tmp_path.iterdir()) == []


def test_a_machine_that_is_not_there_is_refused(tmp_path: Path) -> None:
    """The message names the machines there are."""
    with pytest.raises(OnionskinError, match="kite: is no machine of this workshop; there are .*wren"):
        packing.write_pack(None, tmp_path / "pack", "a4", "kite")


def drawn(style: str, body: str) -> Any:
    """The first drawing's rectangle after painting."""
    from weasyprint import HTML

    html = HTML(string=f"<body>{body}</body>")
    paint(html.wrapper_element, print_rules(style))
    return next(e for e in html.etree_element.iter() if e.tag == "{http://www.w3.org/2000/svg}rect")


def test_a_drawing_is_painted_by_the_rules_for_paper() -> None:
    """Variables count from where they are set, rules for paper win over the screen's, and the closer rule over both."""
    style = """.pic { --line: red; } .pic rect { stroke: var(--line); fill: var(--none, var(--line)); stroke-width: var(--gone); }
      @media print { .pic { --line: #000; } } @media screen { .pic { --line: blue; } } .out .pic rect { opacity: 0.5; }
      .pic rect::before { fill: blue; }"""
    rect = drawn(style, '<div class="out"><svg class="pic"><rect class="a"/></svg></div>')
    assert {name: rect.get(name) for name in ("stroke", "fill", "stroke-width", "opacity")} == {
        "stroke": "#000", "fill": "#000", "stroke-width": None, "opacity": "0.5"}  # fmt: skip


def test_a_halo_lies_beneath_its_letters() -> None:
    """A stroke that is to be painted first is drawn as a copy of its own before the words, which then have none."""
    from weasyprint import HTML

    html = HTML(string="<body><svg><g><text>10 mm</text><text class='n'>N</text></g></svg></body>")
    paint(html.wrapper_element, print_rules("text { stroke: #fff; paint-order: stroke } .n { paint-order: normal }"))
    texts = [e for e in html.etree_element.iter() if str(e.tag).endswith("}text")]
    assert [(e.text, e.get("stroke")) for e in texts] == [("10 mm", "#fff"), ("10 mm", "none"), ("N", "#fff")]


def test_a_variable_that_names_itself_ends() -> None:
    """A circle of variables gives up instead of turning for ever."""
    assert resolved("var(--a)", {"--a": "var(--b)", "--b": "var(--a)"}) is None


def test_every_drawing_of_a_sheet_has_its_colours(style: str, sheets: dict[str, Page]) -> None:
    """No shape of the bed picture is left to the black that a drawing without style has."""
    from weasyprint import HTML

    html = HTML(string=sheets["sheets/dibber-board.html"].html)
    paint(html.wrapper_element, print_rules(style))
    shapes = [e for e in html.etree_element.iter() if str(e.tag).endswith(("}rect", "}circle", "}path"))]
    assert len(shapes) > 20
    assert [shape.get("class") for shape in shapes if shape.get("fill") is None] == []


def test_what_is_taken_out_leaves_the_words_around_it() -> None:
    """A control or a hidden part goes, the text before and after it stays."""
    from weasyprint import HTML

    html = HTML(string="<body><p>one<input>two<b hidden>no</b>three<i>four</i><button>no</button>five</p></body>")
    strip(html.etree_element)
    assert "".join(html.etree_element.itertext()).strip() == "onetwothreefourfive"
