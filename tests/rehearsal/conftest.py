"""A rehearsal page of the dibber board, made once, and a browser visit to it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from generator.course import demo_folder
from generator.rehearse import Rehearsed, rehearse_program
from tests.conftest import Visit
from tests.rehearsal.make import dibber

JOB = demo_folder() / "jobs" / "dibber-board.yml"


@pytest.fixture(scope="session")
def rehearsed(tmp_path_factory: pytest.TempPathFactory) -> Rehearsed:
    """The dibber board on Heron, with a cut through a clamp's place added so that there is something to find."""
    folder = tmp_path_factory.mktemp("rehearsal")
    program = folder / "dibber-board.nc"
    program.write_text(dibber().replace("G0 X150 Y27", "G0 X180 Y130 Z-3\nG0 Z20\nG0 X150 Y27"), encoding="utf-8")
    return rehearse_program(program, JOB, folder / "rehearsal.html")


@pytest.fixture
def at_page(browser: Browser, rehearsed: Rehearsed) -> Iterator[Visit]:
    """The page from file:// with the network blocked, at 1280 px."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    context.set_default_timeout(10_000)
    visit = Visit(context, rehearsed.output.parent)
    visit.open("rehearsal.html")
    yield visit
    context.close()
