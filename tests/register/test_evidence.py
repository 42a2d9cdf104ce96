"""The evidence pack: its table as a spreadsheet opens it, its pages as a browser does."""

from __future__ import annotations

import csv
import io
from datetime import date
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from generator.course import load_course
from generator.pages.evidence import FORMULA, harmless, person_path, records_csv
from generator.register.told import COLUMNS
from tests.html import Read
from tests.register.desk import data, run, sign
from tests.register.make import grown, signs

SCRIPT = "<script>alert(1)</script>"
NAMES = st.text(st.characters(blacklist_categories=["C", "Z"]), min_size=1, max_size=30)


@settings(deadline=None)
@given(NAMES)
def test_a_table_reads_back_with_every_name_in_its_cell_and_none_as_a_formula(name: str) -> None:
    """Commas, quotes and signs of a formula in a name change neither rows nor columns."""
    book = grown(signs(f"{name}!"))
    rows = list(csv.reader(io.StringIO(records_csv(book))))
    assert rows[0] == list(COLUMNS)
    assert [len(row) for row in rows] == [len(COLUMNS)] * 3
    cell = rows[2][COLUMNS.index("person")]
    kept = next(person.name for person in book.people.values() if person.name != "keeper")
    assert cell.removeprefix("'") == str(kept).removeprefix("'")
    assert not cell.startswith(FORMULA)


def test_signs_of_a_formula_are_made_text() -> None:
    """OWASP's list for CSV injection: = + - @, tab and return, and their full-width forms."""
    for first in FORMULA:
        assert harmless(f"{first}1") == f"'{first}1"
        assert harmless(f"  {first}1").startswith("'")
    assert harmless("Ash-Birch = x") == "Ash-Birch = x"


def test_no_path_is_made_from_a_name() -> None:
    """A page is named by the person's token."""
    assert person_path("ab" * 32) == "people/abababababababab.html"


def test_the_pack_escapes_whatever_a_name_holds(shop: Path) -> None:
    """Marks in a name are text on the page, a formula in a name is text in the table, and no file carries a name."""
    for name in (SCRIPT, "=1+cmd|' /C calc'!A0", "+41 41", "@SUM(A1)", 'Ash "the" O\'Oak, & Co', "../../up"):
        sign(shop, name)
    run(shop, "export", "-o", str(shop / "pack"))
    pages = list((shop / "pack").rglob("*.html"))
    assert len(pages) == 1 + 6 + 1
    for page in pages:
        assert Read(page.read_text()).scripts == []
        assert SCRIPT not in page.read_text()
    index = Read((shop / "pack" / "index.html").read_text())
    assert SCRIPT in index.text
    for target in index.links:
        assert (shop / "pack" / target).is_file()
    with (shop / "pack" / "records.csv").open(encoding="utf-8-sig", newline="") as stream:
        rows = list(csv.DictReader(stream))
    people = {row["person"] for row in rows}
    assert {
        SCRIPT,
        "'=1+cmd|' /C calc'!A0",
        "'+41 41",
        "'@SUM(A1)",
        'Ash "the" O\'Oak, & Co',
        "../../up",
    } <= people
    assert not [cell for row in rows for cell in row.values() if cell.startswith(("=", "+", "-", "@"))]


def test_the_pack_carries_head_day_and_revision(shop: Path) -> None:
    """Each page can be held against the register later."""
    head = sign(shop, "Ash")["head"]
    run(shop, "export", "-o", str(shop / "pack"))
    for page in (shop / "pack").rglob("*.html"):
        text = Read(page.read_text()).text
        assert head in text
        assert date.today().isoformat() in text
        assert load_course(shop).revision in text
    assert data(shop, "verify", "--head", head)["whole"]


def test_a_pack_does_not_overwrite_what_is_not_a_pack(shop: Path) -> None:
    """A folder with other files is left alone."""
    sign(shop, "Ash")
    assert "onionskin did not make" in run(shop, "export", "-o", str(shop / "machines"), code=2).stderr


def test_the_pack_does_not_let_anybody_go_on_at_a_machine_that_is_gone(shop: Path) -> None:
    """As in the list, a sign-off on it is not valid and says why."""
    sign(shop, "Ash")
    machine = shop / "machines" / "wren.yml"
    machine.write_text(machine.read_text().replace("id: wren", "id: robin"))
    for job in (shop / "jobs").iterdir():
        job.write_text(job.read_text().replace("machine: wren", "machine: robin"))
    run(shop, "export", "-o", str(shop / "pack"))
    text = Read((shop / "pack" / "index.html").read_text()).text
    assert "may go on" not in text
    assert "the workshop has no machine 'wren' any more" in text
