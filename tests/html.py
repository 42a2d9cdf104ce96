"""Built pages as a test reads them."""

from __future__ import annotations

from html.parser import HTMLParser
from pathlib import Path


class Read(HTMLParser):
    """Links, anchors, scripts and text of one page."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.links: list[str] = []
        self.ids: list[str] = []
        self.scripts: list[str | None] = []
        self.events: list[str] = []
        self.words: list[str] = []
        self._inside: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self._inside.append(tag)
        if given.get("id"):
            self.ids.append(given["id"] or "")
        self.events += [name for name in given if name.startswith("on")]
        if tag in {"a", "link"} and given.get("href"):
            self.links.append(given["href"] or "")
        if tag in {"img", "script"} and given.get("src"):
            self.links.append(given["src"] or "")
        if tag == "script" and given.get("type", "text/javascript") != "application/json":
            self.scripts.append(given.get("src"))

    def handle_endtag(self, tag: str) -> None:
        while self._inside and self._inside.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        if not {"script", "style"} & set(self._inside):
            self.words.append(data)

    @property
    def text(self) -> str:
        """All words of the page, joined."""
        return " ".join(" ".join(self.words).split())


def pages_of(site: Path) -> dict[str, Read]:
    """Every page of a site by its path."""
    return {
        path.relative_to(site).as_posix(): Read(path.read_text(encoding="utf-8"))
        for path in sorted(site.rglob("*.html"))
    }
