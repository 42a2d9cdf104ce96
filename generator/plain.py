"""The exit door: every page as a complete HTML file, without MkDocs or its theme."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path

from generator.course import load_course
from generator.host import settings_file
from generator.offline import WORKER, list_files
from generator.one_file import one_file
from generator.pages.assets import FOLDER, scripts, styles
from generator.pages.build import build_site, menu
from generator.pages.page import Asset, Page, link, render
from generator.pages.script import own_script_tags
from generator.site import check_file, replace_file, replace_folder


def write_pages(workshop: Path | None, folder: Path) -> int:
    """All pages of the course in `folder`, swapped in whole; gives their number."""
    course = load_course(workshop)
    pages, assets = build_site(course)
    replace_folder(folder, lambda fresh: _fill(fresh, pages, assets, course.home.workshop.name))
    return len(pages)


def write_one_file(workshop: Path | None, target: Path) -> int:
    """The whole course as one HTML file; gives its size in bytes."""
    check_file(target, "onionskin build")
    course = load_course(workshop)
    pages, assets = build_site(course)
    data = one_file(course, pages, assets, texts_of_assets()).encode()
    replace_file(target, data)
    return len(data)


def texts_of_assets() -> dict[str, str]:
    """Our scripts, styles and pictures by their path in the site."""
    wanted = [path for path in sorted(assets_folder().iterdir()) if path.suffix in {".css", ".js", ".svg"}]
    return {f"{FOLDER}/{path.name}": path.read_text(encoding="utf-8") for path in wanted}


def assets_folder() -> Path:
    """Our scripts and styles: beside mkdocs.yml, installed or in the checkout."""
    return settings_file().parent / "site_assets" / FOLDER


def _fill(folder: Path, pages: Sequence[Page], assets: Sequence[Asset], site: str) -> None:
    shutil.copytree(assets_folder(), folder / FOLDER)
    shutil.copy(assets_folder().parent / WORKER, folder)
    (folder / FOLDER / "pages").mkdir()
    for asset in assets:
        (folder / asset.path).write_text(asset.text, encoding="utf-8")
    sections = menu(list(pages))
    for page in pages:
        target = folder / page.path
        target.parent.mkdir(parents=True, exist_ok=True)
        html = render("plain.html.j2", page=page, site=site, sections=sections, link=link,
                      own_script_tags=own_script_tags,
                      styles=styles(), scripts=scripts())  # fmt: skip
        target.write_text(html, encoding="utf-8")
    list_files(folder)
