"""Markdown with values, variants, figures and calculators, to HTML."""

from __future__ import annotations

import re
from collections.abc import Callable

import markdown
from markupsafe import Markup
from msgspec import Struct

from generator.content_checks import LINK
from generator.expr import Template
from generator.model.lesson import Block, Body, Place, Prose, Variant
from generator.pages.live import Live, shows
from generator.pages.page import link, render

_OPEN, _CLOSE = "\ue000", "\ue001"
_HELD = re.compile(f"{_OPEN}(\\d+){_CLOSE}")
_HEADING = re.compile(r'<h2 id="([^"]+)">(.*?)</h2>', re.DOTALL)
_TAG = re.compile(r"<[^>]+>")
_HEADING_ID = re.compile(r'(<h[2-6] id=")([^"]+)"')
FOLDERS = {"lesson": "lessons/{}.html", "calculator": "calculators/{}.html", "checklist": "checklists/{}.html",
           "drill": "drills/{}.html", "source": "sources.html#{}",
           "glossary": "glossary.html#{}", "page": "{}.html"}  # fmt: skip


class Writer(Struct, frozen=True):
    """What text needs to become part of one page: its path, the live values, and how a place is filled."""

    path: str
    live: Live
    place: Callable[[Place], Markup]

    def body(self, body: Body) -> Markup:
        """All blocks of a body."""
        return Markup("\n").join(self.block(block) for block in body.blocks)

    def block(self, block: Block) -> Markup:
        """One block."""
        match block:
            case Prose(text=text):
                return self.markdown(text)
            case Place():
                return self.place(block)
            case Variant(rule=rule, unless=unless, blocks=blocks):
                return self.variant(rule, unless, Markup("\n").join(self.block(inner) for inner in blocks))

    def variant(self, rule: str, unless: bool, inner: Markup) -> Markup:
        """A block that one rule shows or hides, in its state for the default machine."""
        state = self.live.state(rule)
        words = self.live.course.library.rules[rule].words
        return render("variant.html.j2", rule=rule, unless=unless, state=state, shown=shows(state, unless),
                      words=words, inner=inner)  # fmt: skip

    def markdown(self, text: Template) -> Markup:
        """Markdown to HTML; values are kept out of its way and put back after."""
        held: list[Markup] = []
        for part in text:
            if not isinstance(part, str):
                held.append(self.live.value(part))
        counter = iter(range(len(held)))
        source = "".join(p if isinstance(p, str) else f"{_OPEN}{next(counter)}{_CLOSE}" for p in text)
        html = markdown.markdown(self.linked(source), extensions=["tables", "attr_list", "sane_lists", "toc"])
        html = html.replace("<table>", '<div class="os-table" tabindex="0" role="region" aria-label="Table"><table>')
        html = html.replace("</table>", "</table></div>")
        return Markup(_HELD.sub(lambda match: str(held[int(match.group(1))]), html))

    def linked(self, source: str) -> str:
        """Links such as (lesson:id) turned into addresses seen from this page."""
        return LINK.sub(lambda match: f"]({self.to(match.group(1), match.group(2))})", source)

    def to(self, kind: str, id_: str) -> str:
        """The address of an item of content seen from this page."""
        return link(self.path, FOLDERS[kind].format(id_))


def headings(html: str) -> tuple[tuple[str, str], ...]:
    """Every second-level heading: its anchor and its words."""
    return tuple((id_, _TAG.sub("", words)) for id_, words in _HEADING.findall(html))


def with_own_ids(html: Markup) -> Markup:
    """Heading anchors made unique: each stretch of Markdown numbers its own."""
    seen: dict[str, int] = {}

    def own(match: re.Match[str]) -> str:
        id_ = match.group(2)
        seen[id_] = seen.get(id_, 0) + 1
        return match.group(0) if seen[id_] == 1 else f'{match.group(1)}{id_}-{seen[id_]}"'

    return Markup(_HEADING_ID.sub(own, html))
