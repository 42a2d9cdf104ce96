"""The course on a phone: kept whole by a service worker, renewed whole, and no trouble from a memory stick."""

from __future__ import annotations

import json
import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from generator.offline import LIST, WORKER, list_files, site_files
from generator.plain import write_pages
from tests.conftest import Visit
from tests.html import pages_of
from tests.served import Served

pytestmark = pytest.mark.browser
READY = "navigator.serviceWorker.ready.then(() => navigator.serviceWorker.controller !== null)"
SIZES = """paths => Promise.all(paths.map(path => fetch(path).then(answer => answer.arrayBuffer())
  .then(body => [path, body.byteLength]))).then(Object.fromEntries)"""
KEPT = "caches.keys().then(async names => (await Promise.all(names.map(async n => (await (await caches.open(n)).keys()).map(r => r.url)))).flat())"


@pytest.fixture
def serve() -> Iterator[Callable[[Path], Served]]:
    """Serves folders until the test ends."""
    servers: list[Served] = []

    def start(folder: Path) -> Served:
        servers.append(Served(folder))
        return servers[-1]

    yield start
    for server in servers:
        server.stop()


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A page in an empty browser profile, whose console errors are kept in `page.errors`."""
    context = browser.new_context(viewport={"width": 393, "height": 851})
    context.set_default_timeout(20_000)
    page = context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("console", lambda message: message.type == "error" and errors.append(message.text))
    page.errors = errors  # type: ignore[attr-defined]
    yield page
    context.close()


@pytest.fixture
def own_copy(site: Path, tmp_path: Path) -> Path:
    """A copy of the site that a test may change."""
    return Path(shutil.copytree(site, tmp_path / "site"))


def wait_until(page: Page, holds: Callable[[], object]) -> None:
    """Until it holds. Playwright's own `wait_for_function` takes any promise for true, so promises are waited for here."""
    deadline = time.monotonic() + 20
    while not holds():
        assert time.monotonic() < deadline, "still not so after 20 s"
        page.wait_for_timeout(20)


def load_and_keep(page: Page, address: str) -> None:
    """Opens the page and waits until the worker has everything and answers for it."""
    page.goto(address)
    wait_until(page, lambda: page.evaluate(READY))


def test_every_file_of_the_site_is_listed_with_its_digest(site: Path) -> None:
    """What the worker keeps is the site, but for the search index that only file:// reads; the digests are the files'."""
    listed = json.loads((site / LIST).read_text())

    on_disk = {str(p.relative_to(site)) for p in site.rglob("*") if p.is_file() and not p.name.startswith(".")}
    assert set(listed) == on_disk - {WORKER, LIST, "search/search_index.js"}
    assert listed == site_files(site)


def test_all_pages_open_with_the_server_stopped(site: Path, serve: Callable[[Path], Served], phone: Page) -> None:
    """After one visit the server may go: every file is there to its last byte, and a page of each kind opens whole."""
    server = serve(site)
    load_and_keep(phone, server.address("index.html"))
    phone.reload()
    server.stop()

    sizes = phone.evaluate(SIZES, list(site_files(site)))
    assert sizes == {path: (site / path).stat().st_size for path in site_files(site)}
    for path in {Path(path).parent: path for path in pages_of(site)}.values():
        answer = phone.goto(server.address(path))
        assert answer is not None
        assert (answer.status, answer.from_service_worker) == (200, True), path
    assert phone.errors == []  # type: ignore[attr-defined]


def test_the_course_still_adapts_with_the_server_stopped(
    site: Path, serve: Callable[[Path], Served], phone: Page
) -> None:
    """The picker, the numbers and the search work offline; the folder's own address opens the first page."""
    server = serve(site)
    load_and_keep(phone, server.address("lessons/chip-load.html"))
    server.stop()

    phone.goto(server.address("checklists/pre-run.html"))
    phone.select_option("[data-machine-picker]", "wren")
    assert phone.locator('[data-item="spindle-on"]').is_visible()
    phone.goto(server.address())
    phone.locator("button.os-opens-search").click()
    phone.fill("[data-md-component=search-query]", "stepdown")
    phone.wait_for_selector(".md-search-result__item")


def test_a_page_that_is_not_kept_says_so(site: Path, serve: Callable[[Path], Served], phone: Page) -> None:
    """An address the course does not have leads back to its first page, without a server too."""
    server = serve(site)
    load_and_keep(phone, server.address("index.html"))
    server.stop()

    answer = phone.goto(server.address("lessons/no-such-lesson.html"))

    assert answer is not None
    assert answer.status == 404
    assert "not kept on this device" in phone.inner_text("h1")
    phone.click("a")
    assert phone.url == server.address("index.html")


def test_the_plain_pages_are_kept_as_well(tmp_path: Path, serve: Callable[[Path], Served], phone: Page) -> None:
    """What `onionskin pages` writes opens without a server too."""
    write_pages(None, tmp_path / "plain")
    server = serve(tmp_path / "plain")
    load_and_keep(phone, server.address("index.html"))
    server.stop()

    answer = phone.goto(server.address("sheets/dibber-board.html"))

    assert answer is not None
    assert answer.from_service_worker
    assert phone.errors == []  # type: ignore[attr-defined]


def change(site: Path, path: str, old: str, new: str) -> None:
    """Words of a page replaced, as a new build would."""
    page = site / path
    text = page.read_text(encoding="utf-8")
    assert old in text
    page.write_text(text.replace(old, new), encoding="utf-8")


LAID_READY = """digest => caches.keys().then(async names => {
  const list = await (await caches.open(names[0])).match(location.origin + "/?next");
  return list && (await list.json())["about.html"] === digest; })"""


def test_a_new_version_replaces_the_old_one_whole(own_copy: Path, serve: Callable[[Path], Served], phone: Page) -> None:
    """Only what changed is fetched, the page opened after that is of the new version, and the old files go."""
    server = serve(own_copy)
    load_and_keep(phone, server.address("index.html"))
    phone.reload()
    # a renewal that the first two pages asked for may still be under way, and find the change first
    server.asked.clear()
    change(own_copy, "about.html", "<h1", "<p>Second edition</p><h1")
    list_files(own_copy)

    phone.reload()
    second = site_files(own_copy)["about.html"]
    wait_until(phone, lambda: phone.evaluate(LAID_READY, second))
    assert {path for path in server.asked if path not in {"/sw.js", "/kept.json"}} == {"/about.html"}
    phone.goto(server.address("about.html"))
    assert phone.get_by_text("Second edition").is_visible()

    phone.reload()
    wait_until(phone, lambda: sum("/about.html" in url for url in phone.evaluate(KEPT)) == 1)
    server.stop()
    phone.goto(server.address("about.html"))
    assert phone.get_by_text("Second edition").is_visible()


def test_a_half_copied_version_never_takes_over(own_copy: Path, serve: Callable[[Path], Served], phone: Page) -> None:
    """Where a file on the server is not of the version its list names, the old version stays complete."""
    server = serve(own_copy)
    load_and_keep(phone, server.address("index.html"))
    phone.reload()
    change(own_copy, "about.html", "<h1", "<p>Second edition</p><h1")
    list_files(own_copy)
    change(own_copy, "about.html", "Second edition", "Third edition, not yet listed")
    server.asked.clear()

    phone.reload()
    wait_until(phone, lambda: "/about.html" in server.asked)
    phone.wait_for_timeout(300)

    for _ in range(2):
        phone.goto(server.address("about.html"))
        assert "edition" not in phone.inner_text("body")
    server.stop()
    phone.goto(server.address("about.html"))
    assert "edition" not in phone.inner_text("body")


def test_two_courses_of_one_host_do_not_disturb_each_other(
    site: Path, own_copy: Path, serve: Callable[[Path], Served], phone: Page
) -> None:
    """Keeping the second course drops nothing of the first."""
    host = own_copy.parent
    shutil.copytree(site, host / "other")
    server = serve(host)
    load_and_keep(phone, server.address("site/index.html"))
    load_and_keep(phone, server.address("other/index.html"))
    server.stop()

    for folder in ("site", "other"):
        answer = phone.goto(server.address(f"{folder}/about.html"))
        assert answer is not None
        assert answer.status == 200


def test_a_site_without_a_worker_is_not_answered_by_an_old_one(
    own_copy: Path, serve: Callable[[Path], Served], phone: Page
) -> None:
    """A preview at an address where a built site was once kept shows itself, and not what was kept."""
    server = serve(own_copy)
    load_and_keep(phone, server.address("index.html"))
    (own_copy / LIST).unlink()
    change(own_copy, "about.html", "<h1", "<p>Preview</p><h1")

    phone.goto(server.address("index.html"))
    gone = "navigator.serviceWorker.getRegistration().then(r => r === undefined)"
    wait_until(phone, lambda: phone.evaluate(gone))
    phone.goto(server.address("about.html"))

    assert phone.get_by_text("Preview").is_visible()


def test_from_a_memory_stick_nothing_is_registered_and_nothing_fails(visit: Visit) -> None:
    """On file:// the course works as before: no worker, no request, no error."""
    page = visit.open("index.html")
    page.click("text=Chip load, and which knob first >> nth=0")
    assert page.locator("h1").inner_text() == "Chip load, and which knob first"
    assert visit.strays == []
    assert visit.errors == []
