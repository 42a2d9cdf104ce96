"""The evidence pack's table as a spreadsheet opens it."""

from __future__ import annotations

import csv
import io

from hypothesis import given
from hypothesis import strategies as st

from generator.pages.evidence import FORMULA, harmless, person_path, records_csv
from generator.register.told import COLUMNS
from tests.register.make import grown, signs

NAMES = st.text(st.characters(blacklist_categories=["C", "Z"]), min_size=1, max_size=30)


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
    for sign in FORMULA:
        assert harmless(f"{sign}1") == f"'{sign}1"
        assert harmless(f"  {sign}1").startswith("'")
    assert harmless("Ash-Birch = x") == "Ash-Birch = x"


def test_no_path_is_made_from_a_name() -> None:
    """A page is named by the person's token."""
    assert person_path("ab" * 32) == "people/abababababababab.html"
