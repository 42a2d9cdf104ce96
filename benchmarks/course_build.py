"""The course build against plain MkDocs building the same rendered pages, and what we add to a lesson's bytes.

Aims: a build at most 1.3 times the host's own, and at most 40 kB of our script and style, compressed, on a page.
"""

from __future__ import annotations

import gzip
import re
import sys
import tempfile
from pathlib import Path

from benchmarks._runs import seconds
from generator.course import load_course
from generator.host import build_with_mkdocs
from generator.pages.build import build_site

PAGE = "lessons/chip-load.html"
PLAIN = "site_name: plain\nuse_directory_urls: false\ntheme: {name: material, font: false}\nplugins: [search]\n"


def plain_project(folder: Path) -> None:
    """A MkDocs project that holds our pages as already rendered HTML."""
    pages, _ = build_site(load_course())
    (folder / "mkdocs.yml").write_text(PLAIN)
    for page in pages:
        path = folder / "docs" / page.path.replace(".html", ".md")
        path.parent.mkdir(parents=True, exist_ok=True)
        body = re.sub(r"\n\s*\n", "\n", page.html)
        path.write_text(f"# {page.title}\n\n<div>\n{body}\n</div>\n", encoding="utf-8")


def compressed(paths: list[Path]) -> int:
    """Bytes of the files after gzip, each on its own."""
    return sum(len(gzip.compress(path.read_bytes(), 6)) for path in paths)


def loaded_by(page: Path) -> list[Path]:
    """Our scripts and styles that a page asks for; its facts and formulas are data, and not counted."""
    asked = re.findall(r'(?:src|href)="([^"?]*onionskin/[^"?]+\.(?:js|css))', page.read_text(encoding="utf-8"))
    files = {(page.parent / address).resolve() for address in asked}
    return sorted(path for path in files if path.name != "course.js" and path.parent.name != "pages")


def main() -> None:
    """Prints the time ratio and the bytes."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        plain_project(folder)
        ours = seconds([sys.executable, "-m", "generator", "build", "-o", str(folder / "ours")])
        plain = seconds([sys.executable, "-m", "mkdocs", "build", "-q", "-f", str(folder / "mkdocs.yml")])
        print(f"course build / plain MkDocs, same pages: {ours / plain:.2f} (aim <= 1.3)")
        build_with_mkdocs(None, folder / "ours-again")
        added = compressed(loaded_by(folder / "ours-again" / PAGE))
        print(f"our script and style on a lesson page, gzip: {added / 1000:.1f} kB (aim <= 40)")


if __name__ == "__main__":
    main()
