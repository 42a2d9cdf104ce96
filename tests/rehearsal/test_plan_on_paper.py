"""The printed plan, measured on the paper it comes out on."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser
from pypdf import PdfReader

from generator.rehearse import Rehearsed
from tests.rehearsal.paper import level, strokes, upright

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module", params=["A4", "Letter"])
def printed(
    request: pytest.FixtureRequest,
    browser: Browser,
    rehearsed: Rehearsed,
    tmp_path_factory: pytest.TempPathFactory,
) -> PdfReader:
    """The page as printed on one of the papers."""
    path = tmp_path_factory.mktemp("paper") / f"{request.param}.pdf"
    page = browser.new_page()
    page.goto(rehearsed.output.as_uri())
    page.pdf(path=path, format=request.param, prefer_css_page_size=False)
    page.close()
    return PdfReader(path)


def test_the_plan_is_printed_at_true_scale(printed: PdfReader, rehearsed: Rehearsed) -> None:
    """On every sheet, on either paper, the check bars measure 100 mm along and across, to a tenth of a millimetre."""
    assert rehearsed.show.plan is not None
    sheets = [page for page in printed.pages if "Sheet" in page.extract_text()]
    assert len(sheets) == len(rehearsed.show.plan.sheets.tiles)
    for sheet in sheets:
        found = strokes(sheet)
        assert level(found, 100)
        assert upright(found, 100)


def test_the_drawing_has_the_scale_of_its_bars(printed: PdfReader, rehearsed: Rehearsed) -> None:
    """The board's lower edge and the cross of zero, measured on paper, lie where the job has them."""
    plan = rehearsed.show.plan
    assert plan is not None
    sheet = next(page for page in printed.pages if "Sheet A1" in page.extract_text())
    found = strokes(sheet)
    # The cross of zero is the only level stroke of 24 mm; the board's left edge, 260 mm long, rises from its middle.
    (across,) = level(found, 24)
    zero = (across[0] + across[2]) / 2, across[1]
    edges = [s for s in upright(found, 260) if s[0] == pytest.approx(zero[0], abs=0.1)]
    assert [min(s[1], s[3]) for s in edges] == pytest.approx([zero[1]], abs=0.1)
    # Crosses between sheets A1 and B1 stand where the tiling says, seen from zero.
    places = {(round(s[0] + 3 - zero[0], 1), round(s[1] - zero[1], 1)) for s in level(found, 6)}
    wanted = [(round(x, 1), round(y, 1)) for x, y in plan.sheets.marks]
    assert all(any(abs(x - a) <= 0.11 and abs(y - b) <= 0.11 for a, b in places) for x, y in wanted)
