"""One sheet as a PDF: the page's own HTML and print rules, without what only a screen can use."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from msgspec import Struct

from generator.pack.paint import paint, print_rules
from generator.pages.page import Page, render

# Width, height and margins at the sides and foot in mm (ISO 216; ANSI/ASME Y14.1, from memory).
PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
MARGIN, FOOT = 12.0, 14.0
# What is used at the machine may shrink this far to fill a side less: 10.5 pt print becomes 9 pt.
SMALLER = (0.95, 0.9, 0.85)
AT_THE_MACHINE = ("sheets/", "cards/", "checklists/", "stop-map")
SCREEN_ONLY = {"input", "select", "button", "textarea", "script"}


class Pdf(Struct, frozen=True):
    """The file and how many sides of paper it fills."""

    data: bytes
    sides: int


class Press:
    """Makes sheets into PDF files, with one style on one kind of paper."""

    def __init__(self, style: str, paper: str) -> None:
        from weasyprint import CSS
        from weasyprint.urls import URLFetcher

        # Pictures are inside the style as data; whatever else a page might name, no file and no network is read.
        self._inside = URLFetcher(allowed_protocols={"data"}, fail_on_errors=True)
        self._style = CSS(string=style, url_fetcher=self._inside)
        self._rules = print_rules(style)
        self._size = PAPERS[paper]

    def pdf(self, page: Page, about: Mapping[str, str]) -> Pdf:
        """The page as a file, tagged by PDF/UA-1; `about` gives workshop, revision and digest."""
        from weasyprint import HTML

        html = HTML(string=render("pack_sheet.html.j2", page=page, about=about), url_fetcher=self._inside)
        strip(html.etree_element)
        paint(html.wrapper_element, self._rules)
        scale, document = self._fitted(html, SMALLER if page.path.startswith(AT_THE_MACHINE) else ())
        identifier = f"{page.path} {about['revision']} {about['digest']}".encode()
        data = document.write_pdf(zoom=scale, pdf_variant="pdf/ua-1", pdf_identifier=identifier)
        return Pdf(data, len(document.pages))

    def _fitted(self, html: Any, smaller: Sequence[float]) -> tuple[float, Any]:
        """The scale and the laid-out document: at full size, or smaller where that saves a side of several."""
        whole = self._laid_out(html, 1.0)
        if len(whole.pages) == 1:
            return 1.0, whole
        tries = ((scale, self._laid_out(html, scale)) for scale in smaller)
        return next(((scale, laid) for scale, laid in tries if len(laid.pages) < len(whole.pages)), (1.0, whole))

    def _laid_out(self, html: Any, scale: float) -> Any:
        """Laid out on paper larger by 1 / scale, which printing at `scale` makes the true size again."""
        from weasyprint import CSS

        width, height, margin, foot = (f"{length / scale:.3f}mm" for length in (*self._size, MARGIN, FOOT))
        paper = CSS(string=f"@page {{ size: {width} {height}; margin: {margin} {margin} {foot}; }}")
        return html.render(stylesheets=[self._style, paper])


def strip(element: Any) -> None:
    """Takes out, in place, what is hidden for this machine and every form control; text after it stays."""
    before = None
    for child in list(element):
        if child.tag in SCREEN_ONLY or "hidden" in child.attrib:
            _leave_tail(element, before, child.tail or "")
            element.remove(child)
        else:
            strip(child)
            before = child


def _leave_tail(parent: Any, before: Any, tail: str) -> None:
    if before is None:
        parent.text = (parent.text or "") + tail
    else:
        before.tail = (before.tail or "") + tail
