"""The whole course as one HTML file that needs no neighbour, no server and no network.

Every page becomes a section; its anchors and live values get its name in front, so that none is used twice, and
links between pages become links within the file. Its policy allows the one script and the one style inside it, by
their digests, and nothing else.
"""

from __future__ import annotations

import base64
import hashlib
import json
import posixpath
import re
from collections.abc import Collection, Mapping, Sequence
from html.parser import HTMLParser

from markupsafe import Markup

from generator.course import Course
from generator.pages.assets import behaviours, scripts, styles
from generator.pages.build import menu
from generator.pages.page import Asset, Page, render

COURSE = "onionskin/course.js"
LEFT_OUT = {"onionskin/offline.js"}
OWN_STYLE, OWN_SCRIPT = "onionskin/one_file.css", "onionskin/one_file.js"
_ATTRIBUTE = re.compile(r'([\w:.-]+)="([^"]*)"')
_STYLE_URL = re.compile(r'url\("?([\w.-]+\.svg)"?\)')
_HERE = re.compile(r"url\(#")
IDS = {"id", "for", "aria-labelledby", "aria-describedby", "aria-controls", "aria-owns", "headers", "list"}
VALUES = {"data-value", "data-decides", "data-number"}
# Page data stands in functions of its own; values of two pages may have the same id, the rest is shared by name.
MERGE = """return function(X){var all={values:{},calculators:{},figures:{},parts:{}};
Object.keys(of).forEach(function(page){var own=of[page](X);Object.keys(own).forEach(function(kind){
Object.keys(own[kind]).forEach(function(id){all[kind][kind==="values"?page+":"+id:id]=own[kind][id];});});});
return all;};})();
"""


def one_file(course: Course, pages: Sequence[Page], assets: Sequence[Asset], files: Mapping[str, str]) -> str:
    """The file's text. `files` are our scripts, styles and pictures by their path in the site."""
    paths = {page.path for page in pages}
    style = "\n".join(with_pictures(files[name], files) for name in [*styles(), OWN_STYLE])
    script = _script(pages, {asset.path: asset.text for asset in assets} | dict(files))
    shown = [(page, name_of(page.path), Markup(moved(page, paths))) for page in pages]
    return render("one_file.html.j2", course=course, shown=shown, names=name_of, sections=menu(list(pages)),
                  style=Markup(style), style_digest=_digest(style), script=Markup(script),
                  script_digest=_digest(script))  # fmt: skip


def name_of(path: str) -> str:
    """The name of a page within the file."""
    return path.removesuffix(".html").replace("/", "-")


def moved(page: Page, paths: Collection[str]) -> str:
    """The page's HTML with its anchors, values and links as they are within the file."""
    mover = _Mover(page.path, paths)
    mover.feed(page.html)
    mover.close()
    return "".join(mover.out)


class _Mover(HTMLParser):
    """Writes out what it reads; only the attributes of start tags change."""

    def __init__(self, path: str, paths: Collection[str]) -> None:
        super().__init__(convert_charrefs=False)
        self.path, self.paths, self.name = path, paths, name_of(path)
        self.out: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.out.append(_ATTRIBUTE.sub(self._attribute, self.get_starttag_text() or ""))

    handle_startendtag = handle_starttag

    def handle_endtag(self, tag: str) -> None:
        self.out.append(f"</{tag}>")

    def handle_data(self, data: str) -> None:
        self.out.append(data)

    def handle_entityref(self, name: str) -> None:
        self.out.append(f"&{name};")

    def handle_charref(self, name: str) -> None:
        self.out.append(f"&#{name};")

    def _attribute(self, match: re.Match[str]) -> str:
        name, value = match.group(1), match.group(2)
        if name in IDS:
            return f'{name}="{" ".join(self._id(id_) for id_ in value.split())}"'
        if name in VALUES:
            return f'{name}="{self.name}:{value}"'
        if name in {"href", "src"}:
            there = self._target(value)
            return f'href="#{there}"' if there else f'data-left-out="{posixpath.basename(value)}"'
        return _HERE.sub(f"url(#{self.name}--", match.group(0))

    def _id(self, id_: str) -> str:
        return f"{self.name}--{id_}"

    def _target(self, address: str) -> str:
        """The anchor for an address as written on this page; empty where it leaves the pages of the course."""
        target, _, anchor = address.partition("#")
        path = posixpath.normpath(posixpath.join(posixpath.dirname(self.path), target)) if target else self.path
        if path not in self.paths:
            return ""
        return f"{name_of(path)}--{anchor}" if anchor else name_of(path)


def with_pictures(style: str, files: Mapping[str, str]) -> str:
    """A style sheet with its pictures inside it."""

    def inline(match: re.Match[str]) -> str:
        picture = base64.b64encode(files[f"onionskin/{match.group(1)}"].encode()).decode()
        return f'url("data:image/svg+xml;base64,{picture}")'

    return _STYLE_URL.sub(inline, style)


def _script(pages: Sequence[Page], texts: Mapping[str, str]) -> str:
    own = [
        f"of[{json.dumps(name_of(page.path))}]=(function(window){{{page.script}return window.OnionskinPage;}})({{}});"
        for page in pages
        if page.script
    ]
    data = "\n".join(["window.OnionskinPage=(function(){var of={};", *own, MERGE])
    shared = [
        texts[name]
        for name in [*scripts(), *behaviours("".join(page.html for page in pages)), OWN_SCRIPT]
        if name not in LEFT_OUT
    ]
    return "\n".join([data, *shared])


def _digest(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
