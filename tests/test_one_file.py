"""The whole course as one file: nothing asked for, nothing twice, nothing lost."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from generator.course import Course
from generator.one_file import LEFT_OUT, moved, name_of, one_file
from generator.pages.assets import scripts
from generator.pages.build import build_site
from generator.pages.page import Page as CoursePage
from generator.plain import texts_of_assets
from tests.html import Read


@pytest.fixture(scope="module")
def pages(course: Course) -> list[CoursePage]:
    """Every page of the demo course."""
    return build_site(course)[0]


@pytest.fixture(scope="module")
def text(course: Course) -> str:
    """The demo course as one file."""
    pages, assets = build_site(course)
    return one_file(course, pages, assets, texts_of_assets())


@pytest.fixture(scope="module")
def read(text: str) -> Read:
    """The file, read."""
    return Read(text)


@pytest.fixture(scope="module")
def path(text: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file on disk, alone in its folder."""
    path = tmp_path_factory.mktemp("alone") / "course.html"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_page_is_a_section(pages: list[CoursePage], read: Read) -> None:
    """No page of the course is left out."""
    assert {name_of(page.path) for page in pages} <= set(read.ids)


def test_no_anchor_is_used_twice(read: Read) -> None:
    """Pages use the same anchors; in the file each is its own."""
    assert len(read.ids) == len(set(read.ids))


def test_every_link_stays_in_the_file_and_meets_something(read: Read) -> None:
    """All links are anchors of the file, but for the empty icon."""
    links = [link for link in read.links if link != "data:,"]
    assert len(links) > 500
    assert [link for link in links if not link.startswith("#") or link[1:] not in read.ids] == []


def test_no_word_of_a_page_is_lost(pages: list[CoursePage], text: str) -> None:
    """The words of every page stand in the file as they are, without script."""
    words = Read(text).text
    for page in pages:
        assert Read(page.html).text in words, page.path


def test_the_policy_allows_exactly_what_is_inside(text: str) -> None:
    """One script and one style, each named by its SHA-256; no other source, no form, no handler in the text."""
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', text)
    assert policy is not None
    for kind in ("script", "style"):
        (inside,) = re.findall(rf"<{kind}>(.*?)</{kind}>", text, re.DOTALL)
        digest = base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()
        assert f"{kind}-src 'sha256-{digest}'" in policy[1]
    assert "default-src 'none'" in policy[1]
    assert "unsafe" not in policy[1]
    assert Read(text).events == []
    assert not re.search(r'url\("?[^"d)]', text)


def test_every_script_but_the_offline_one_is_inside(text: str) -> None:
    """A behaviour added to the site comes into the file by itself."""
    texts = texts_of_assets()
    for name in scripts():
        if name in texts:
            assert (texts[name] in text) == (name not in LEFT_OUT), name


PAGE = CoursePage(
    path="a/b.html",
    title="B",
    html='<h2 id="x">A &amp; B &#215;</h2><!-- gone --><label for="x y" aria-labelledby="x z">L</label>'
    '<a href="#x">1</a><a href="../a/c.html#k">2</a><a href="../index.html">3</a><a href="d.svg">4</a>'
    '<span data-value="v1"></span><svg viewBox="0 0 1 1"><linearGradient id="g"/><path fill="url(#g)" d="M0 0"/></svg>',
)


def test_anchors_values_and_links_get_the_page_s_name() -> None:
    """Each kind of reference follows; what is not a page of the course is text, and letters stay as written."""
    assert moved(PAGE, {"a/b.html", "a/c.html", "index.html"}) == (
        '<h2 id="a-b--x">A &amp; B &#215;</h2><label for="a-b--x a-b--y" aria-labelledby="a-b--x a-b--z">L</label>'
        '<a href="#a-b--x">1</a><a href="#a-c--k">2</a><a href="#index">3</a><a data-left-out="d.svg">4</a>'
        '<span data-value="a-b:v1"></span><svg viewBox="0 0 1 1"><linearGradient id="a-b--g"/>'
        '<path fill="url(#a-b--g)" d="M0 0"/></svg>'
    )


@pytest.fixture
def opened(browser: Browser, path: Path) -> Iterator[Page]:
    """The file in an empty browser profile; `page.asked` and `page.errors` note what should not be."""
    context = browser.new_context(viewport={"width": 393, "height": 851})
    context.set_default_timeout(15_000)
    page = context.new_page()
    asked: list[str] = []
    errors: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("console", lambda message: message.type == "error" and errors.append(message.text))
    page.goto(path.as_uri())
    page.asked, page.errors = asked, errors  # type: ignore[attr-defined]
    yield page
    context.close()


@pytest.mark.browser
def test_it_opens_with_one_request_and_no_error(opened: Page, path: Path) -> None:
    """The file itself is all that is read, and its own policy blocks nothing of it."""
    opened.select_option("[data-machine-picker]", "wren")
    opened.evaluate("location.hash = '#lessons-chip-load'")
    assert [url.partition("#")[0] for url in opened.asked if not url.startswith("data:")] == [path.as_uri()]  # type: ignore[attr-defined]
    assert opened.errors == []  # type: ignore[attr-defined]
    assert opened.evaluate("document.documentElement.scrollWidth") <= 393


@pytest.mark.browser
def test_lists_and_numbers_follow_the_machine(opened: Page, browser: Browser, site: Path) -> None:
    """Another machine changes every section, to the same words as on the site."""
    tab = browser.new_page()
    hidden: list[bool] = []
    for machine in ("wren", "bittern", "heron"):
        opened.select_option("[data-machine-picker]", machine)
        tab.goto((site / "lessons/chip-load.html").as_uri())
        tab.select_option("[data-machine-picker]", machine)
        on_site = tab.eval_on_selector_all(".os-lesson [data-value]", "all => all.map(e => e.textContent)")
        in_file = opened.eval_on_selector_all(
            "#lessons-chip-load .os-lesson [data-value]", "all => all.map(e => e.textContent)"
        )
        assert in_file == on_site
        assert len(on_site) > 5
        item = opened.locator('#checklists-pre-run [data-item="spindle-on"]')
        tab.goto((site / "checklists/pre-run.html").as_uri())
        on_list = tab.locator('[data-item="spindle-on"]')
        assert item.evaluate("e => e.hidden") is on_list.evaluate("e => e.hidden")
        hidden.append(item.evaluate("e => e.hidden"))
    assert len(set(hidden)) == 2
    tab.close()


@pytest.mark.browser
def test_a_quiz_and_a_calculator_work(opened: Page) -> None:
    """A right answer is told so and a field moves its result, in their own sections alone."""
    question = opened.locator('#lessons-chip-load [data-form="A"] [data-question]').first
    question.locator(".os-option[data-right] input").check()
    question.locator("[data-check]").click()
    assert question.locator("[data-verdict]").inner_text() == "Right."
    calculator = opened.locator("#calculators-chip-load form[data-calculator]")
    before = calculator.locator('[data-output="feed"]').inner_text()
    calculator.locator('[name="flutes"]').fill("1")
    assert calculator.locator('[data-output="feed"]').inner_text() != before
    assert opened.errors == []  # type: ignore[attr-defined]


@pytest.mark.browser
def test_a_print_button_prints_its_own_sheet(opened: Page) -> None:
    """From a file of many pages only the sheet asked for goes to the printer."""
    opened.evaluate("window.print = () => { window.printed = true; }")
    opened.locator("#sheets-dibber-board button[data-print]").click()
    opened.emulate_media(media="print")
    assert opened.evaluate("window.printed")
    assert opened.eval_on_selector_all(".os-page", "all => all.filter(e => e.offsetHeight > 0).map(e => e.id)") == [
        "sheets-dibber-board"
    ]


@pytest.mark.browser
def test_it_is_complete_without_script(browser: Browser, path: Path) -> None:
    """With script off the lists, lessons and answers are all there for the default machine."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(path.as_uri())
    assert page.locator("#checklists-pre-run .os-item:visible").count() > 20
    assert page.locator("#lessons-chip-load h1").text_content() == "Chip load, and which knob first"
    page.locator("#contents summary").last.click()
    assert page.locator("#contents a").last.is_visible()
    context.close()
