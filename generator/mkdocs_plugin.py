"""The one place that knows MkDocs: hands our pages to it and takes nothing else."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from mkdocs.config import base, config_options
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin, event_priority
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page as HostPage
from mkdocs.structure.toc import get_toc
from mkdocs.utils.templates import TemplateContext

from generator.course import load_course
from generator.errors import OnionskinError
from generator.pages.assets import scripts, styles
from generator.pages.build import build_site, menu
from generator.pages.page import Page
from generator.pages.script import own_script_tags
from generator.pages.text import headings


class OnionskinOptions(base.Config):
    """What `mkdocs.yml` may say: the workshop folder, relative to that file; the demo if empty."""

    workshop = config_options.Type(str, default="")


class OnionskinPlugin(BasePlugin[OnionskinOptions]):
    """Pages and scripts of one workshop's course."""

    def __init__(self) -> None:
        self.pages: dict[str, Page] = {}

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Loads the course and sets the menu in course order."""
        try:
            course = load_course(self._workshop(config))
            pages, self.assets = build_site(course)
        except OnionskinError as error:
            raise PluginError(str(error)) from None
        self.pages = {_source(page): page for page in pages}
        config.site_name = course.home.workshop.name
        config.nav = _nav(menu(pages))
        config.extra_css = styles()
        config.extra_javascript = scripts()  # type: ignore[assignment]
        return config

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Our pages and scripts; the hand-written sources in docs_dir are already among our pages."""
        for file in list(files.documentation_pages()):
            files.remove(file)
        for source, page in self.pages.items():
            level = InclusionLevel.INCLUDED if page.in_menu else InclusionLevel.NOT_IN_NAV
            files.append(File.generated(config, source, content=f"# {page.title}\n", inclusion=level))
        for asset in self.assets:
            files.append(File.generated(config, asset.path, content=asset.text))
        return files

    def on_page_content(self, html: str, *, page: HostPage, config: MkDocsConfig, files: Files) -> str:
        """Nothing yet but the title, which every other page's menu needs."""
        ours = self.pages[page.file.src_uri]
        page.title = ours.label or ours.title
        return ""

    @event_priority(100)  # before the search reads the page
    def on_page_context(
        self, context: TemplateContext, *, page: HostPage, config: MkDocsConfig, nav: Navigation
    ) -> TemplateContext:
        """Our HTML in place of the stand-in, with its headings as the page's contents list.

        The host gathers all pages before it writes the first; given only now, none of ours stands in memory twice.
        """
        ours = self.pages.pop(page.file.src_uri)
        page.toc = get_toc(_tokens(ours))
        if not ours.in_search:
            page.meta["search"] = {"exclude": True}
        page.content = ours.html + own_script_tags(ours)
        return context

    def on_post_page(self, output: str, *, page: HostPage, config: MkDocsConfig) -> str:
        """Lets go of a page that is finished."""
        page.content = None
        return output

    def _workshop(self, config: MkDocsConfig) -> Path | None:
        if not self.config.workshop:
            return None
        return Path(config.config_file_path).parent / self.config.workshop


def _source(page: Page) -> str:
    return page.path.removesuffix(".html") + ".md"


def _nav(sections: dict[str, list[Page]]) -> list[Any]:
    nav: list[Any] = []
    for section, pages in sections.items():
        entries = [{page.label or page.title: _source(page)} for page in pages]
        nav += entries if not section else [{section: entries}]
    return nav


def _tokens(page: Page) -> list[Any]:
    tokens = [{"level": 2, "id": id_, "name": words, "children": []} for id_, words in headings(page.html)]
    return [{"level": 1, "id": "top", "name": page.title, "children": tokens}]
