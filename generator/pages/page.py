"""A page as the generator makes it: where it goes, what it is called, and its HTML."""

from __future__ import annotations

import posixpath
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from msgspec import Struct

from generator.pages.words import kind_words


class Page(Struct, frozen=True, kw_only=True):
    """`path` is relative to the site with '/', ending in .html; `section` groups it in the menu, where it
    is called `label` or, without one, by its title. With `in_menu` false it is reached by links alone, with
    `in_search` false no search finds it. `script` is the page's own data for the browser, `digests` are those a
    sheet carries, by machine.
    """

    path: str
    title: str
    html: str
    section: str = ""
    label: str = ""
    script: str = ""
    in_menu: bool = True
    in_search: bool = True
    digests: Mapping[str, str] = {}


class Asset(Struct, frozen=True):
    """A file that goes into the site as it is."""

    path: str
    text: str


def templates() -> Environment:
    """The templates, with everything escaped that is not already markup."""
    folder = Path(__file__).parent.parent / "templates"
    environment = Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["kind_words"] = kind_words
    return environment


_TEMPLATES = templates()


def render(template: str, **values: Any) -> Markup:
    """A template filled in."""
    return Markup(_TEMPLATES.get_template(template).render(**values))


def link(here: str, there: str) -> str:
    """The relative address of page `there` as seen from page `here`."""
    return posixpath.relpath(there, posixpath.dirname(here) or ".")
