"""What many tests share: the demo course, a built site, and one Chromium for the whole run."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings
from playwright.sync_api import Browser, BrowserContext, Page, Route, sync_playwright

from generator.course import Course, demo_folder, load_course

# How long an example takes depends on who else uses the machine; speed is measured in benchmarks/.
settings.register_profile("any-machine", deadline=None)
settings.load_profile("any-machine")

CHROMIUM = ("chromium", "chromium-browser", "google-chrome")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update",
         "--disable-sync", "--no-first-run"]  # fmt: skip


@pytest.fixture(scope="session")
def course() -> Course:
    """The demo course."""
    return load_course(demo_folder())


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo course as a built site."""
    from generator.host import build_with_mkdocs

    folder = tmp_path_factory.mktemp("built") / "site"
    build_with_mkdocs(None, folder)
    return folder


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The installed Chromium. Without one the browser tests are skipped, in continuous integration they fail."""
    path = next((found for name in CHROMIUM if (found := shutil.which(name))), None)
    if path is None:
        if os.environ.get("CI"):
            pytest.fail("no Chromium is installed; the package 'chromium' has one")
        pytest.skip("no Chromium is installed; install the package 'chromium' to run the browser tests")
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield chromium
        chromium.close()


class Visit:
    """A page of the site in a fresh context; requests that leave the disk are blocked and recorded."""

    def __init__(self, context: BrowserContext, site: Path) -> None:
        self.site = site
        self.strays: list[str] = []
        self.errors: list[str] = []
        context.route("**/*", self._route)
        self.page: Page = context.new_page()
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("console", lambda message: message.type == "error" and self.errors.append(message.text))

    def _route(self, route: Route) -> None:
        if route.request.url.startswith(("file:", "data:", "blob:")):
            route.continue_()
        else:
            self.strays.append(route.request.url)
            route.abort()

    def open(self, path: str) -> Page:
        """The page at `path`, relative to the site."""
        self.page.goto((self.site / path).as_uri())
        return self.page


@pytest.fixture
def visit(browser: Browser, site: Path) -> Iterator[Visit]:
    """A visit to the built site from file://, in an empty browser profile."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, accept_downloads=True)
    context.set_default_timeout(10_000)
    yield Visit(context, site)
    context.close()
