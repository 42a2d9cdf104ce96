"""What a reader sees of a page without script: text that is not hidden, its values, and its conditional blocks."""

from __future__ import annotations

import re
from html.parser import HTMLParser

from msgspec import Struct, field

VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}
# Options of a question may be plain counts, which the question names.
COUNTS = {"os-option", "os-answer"}
# A number whose name stands before it: "Spanners: 2", "with positions 1, 2, 3".
NAMED = re.compile(r"(:|positions?) ?$")
DRAWN = {"svg", "math", "script", "style", "select"}


class Block(Struct):
    """A part that one condition shows: its state at build, whether it is seen, and its lead-in if that is seen."""

    rule: str
    state: str
    unless: bool
    seen: bool
    lead: str = ""
    text: str = ""


class _Element(Struct):
    tag: str
    hidden: bool
    drawn: bool
    block: Block | None = None
    lead_of: Block | None = None
    value: bool = False
    counts: bool = False


class Visible(Struct):
    """The visible text in order, values between marks, and every conditional block."""

    words: list[str] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)

    @property
    def text(self) -> str:
        """All visible words."""
        return " ".join(re.sub(r"[\x01\x02]", "", " ".join(self.words)).split())

    @property
    def marked(self) -> str:
        """All visible words, each value between two marks."""
        return " ".join(" ".join(self.words).split())

    @property
    def bare_numbers(self) -> list[tuple[str, str]]:
        """Values that are a number alone: the words before and after. One named before, 'Spanners: 2', is left out."""
        found = re.findall(r"([^\x01\x02]{0,25})\x01 ?(-?[\d ., ]*\d) ?\x02 ?([^\x01]{0,25})", self.marked)
        return [(f"{before}[{number}]", after) for before, number, after in found if not NAMED.search(before)]


class _Parser(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found = Visible()
        self.open: list[_Element] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in VOID:
            return
        given, above = dict(attrs), self.open[-1] if self.open else _Element("", False, False)
        classes = (given.get("class") or "").split()
        hidden = above.hidden or "hidden" in given or "os-print-only" in classes
        element = _Element(tag, hidden, above.drawn or tag in DRAWN)
        if "data-when" in given or "data-unless" in given:
            rule = given.get("data-when") or given.get("data-unless") or ""
            element.block = Block(rule, given.get("data-state") or "", "data-unless" in given, not hidden)
            self.found.blocks.append(element.block)
        if "os-if" in classes and not hidden:
            element.lead_of = next((e.block for e in reversed(self.open) if e.block), None)
        element.counts = above.counts or bool(COUNTS & set(classes))
        element.value = "os-value" in classes and not hidden and not element.counts
        if element.value:
            self.found.words.append("\x01")
        self.open.append(element)

    def handle_endtag(self, tag: str) -> None:
        if tag in VOID or tag not in {element.tag for element in self.open}:
            return
        while (element := self.open.pop()).tag != tag:
            pass
        if element.value:
            self.found.words.append("\x02")

    def handle_data(self, data: str) -> None:
        top = self.open[-1] if self.open else _Element("", False, False)
        if top.hidden or top.drawn:
            return
        self.found.words.append(data)
        for element in self.open:
            if element.lead_of:
                element.lead_of.lead += data
            if element.block:
                element.block.text += data


def read(html: str) -> Visible:
    """What is seen of the page."""
    parser = _Parser()
    parser.feed(html)
    return parser.found
