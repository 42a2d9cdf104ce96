"""The built site: whole, linked, quiet on the network, and complete without script."""

from __future__ import annotations

import posixpath
import re
import shutil
from pathlib import Path

import pytest

from generator.course import Course, demo_folder, load_course
from generator.errors import InputFaults, OnionskinError
from generator.host import build_with_mkdocs
from generator.pages.build import build_site
from generator.plain import write_pages
from generator.site import MARKER, replace_folder
from tests.html import Read, pages_of


@pytest.fixture(scope="module")
def pages(site: Path) -> dict[str, Read]:
    """Every built page, read."""
    return pages_of(site)


def broken_links(pages: dict[str, Read], site: Path) -> list[str]:
    """Links and anchors of the pages that meet nothing."""
    broken = []
    for path, page in pages.items():
        for link in page.links:
            target, _, anchor = link.partition("#")
            if re.match(r"[a-z]+:", target):
                broken.append(f"{path}: {link} leaves the site")
                continue
            there = posixpath.normpath(posixpath.join(posixpath.dirname(path), target)) if target else path
            if not (site / there).is_file():
                broken.append(f"{path}: {link}")
            elif anchor and there in pages and anchor not in pages[there].ids and anchor not in {"__search", "top"}:
                broken.append(f"{path}: {link} has no such anchor")
    return broken


def test_every_link_and_anchor_meets_something(pages: dict[str, Read], site: Path) -> None:
    """No link leaves the site, none is broken, none names a missing anchor."""
    assert not broken_links(pages, site)


def test_no_anchor_is_used_twice_on_a_page(pages: dict[str, Read]) -> None:
    """Ids are unique, so that links and labels mean one thing."""
    twice = {path: sorted({id_ for id_ in page.ids if page.ids.count(id_) > 1}) for path, page in pages.items()}
    assert not {path: ids for path, ids in twice.items() if ids}


def test_no_page_runs_inline_script(pages: dict[str, Read]) -> None:
    """Every script comes from a file of the site, no element carries an event handler, and the policy says so."""
    for path, page in pages.items():
        assert None not in page.scripts, path
        assert not page.events, path
    assert "Content-Security-Policy" in (Path(__file__).parent.parent / "site_assets" / "main.html").read_text()


def test_no_value_is_left_unresolved(pages: dict[str, Read]) -> None:
    """No template hole, None, NaN or undefined reaches a reader."""
    for path, page in pages.items():
        assert not re.search(r"\{\{|\}\}|\bNone[.,)]|\bnan\b|\bNaN\b|\bundefined\b|\binf\b", page.text), path


def test_answers_and_sources_of_content_are_not_published(site: Path) -> None:
    """No YAML, Markdown or Python file of content lies in the site."""
    assert not [path for path in site.rglob("*") if path.suffix in {".yml", ".yaml", ".md", ".py", ".j2"}]


def test_two_builds_are_the_same_site(site: Path, tmp_path: Path) -> None:
    """The same content gives the same bytes."""
    build_with_mkdocs(None, tmp_path / "again")

    def contents(folder: Path) -> dict[str, bytes]:
        return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}

    assert contents(site) == contents(tmp_path / "again")


def test_pages_are_complete_without_script(pages: dict[str, Read], course: Course) -> None:
    """A calculator shows its answer, a quiz its explained answers and a checklist its lines, all in plain HTML."""
    assert "mm/min" in pages["calculators/chip-load.html"].text
    assert "Right:" in pages["lessons/chip-load.html"].text
    assert len(pages["checklists/pre-run.html"].text) > 2000
    assert course.view.machine.name in pages["index.html"].text


def test_the_exit_door_writes_every_page_without_the_host(tmp_path: Path, course: Course) -> None:
    """`onionskin pages` gives complete, linked pages of its own."""
    count = write_pages(None, tmp_path / "plain")

    pages = pages_of(tmp_path / "plain")
    assert len(pages) == count == len(build_site(course)[0])
    assert not broken_links(pages, tmp_path / "plain")


def test_a_folder_that_is_not_ours_is_left_alone(tmp_path: Path) -> None:
    """Files we did not make are never deleted."""
    precious = tmp_path / "photos"
    precious.mkdir()
    (precious / "one.jpg").write_text("x")

    with pytest.raises(OnionskinError, match="did not make"):
        build_with_mkdocs(None, precious)

    assert (precious / "one.jpg").read_text() == "x"


def test_a_crash_midway_leaves_the_old_site_whole(tmp_path: Path) -> None:
    """A build that fails, on a full disk say, changes nothing and leaves nothing behind."""
    target = tmp_path / "site"
    replace_folder(target, lambda folder: (folder / "index.html").write_text("old") and None)

    def full(folder: Path) -> None:
        (folder / "index.html").write_text("new")
        raise OSError(28, "No space left on device")

    with pytest.raises(OnionskinError, match="old one is untouched: No space left"):
        replace_folder(target, full)

    assert (target / "index.html").read_text() == "old"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["site"]
    assert (target / MARKER).is_file()


def copy_of_demo(tmp_path: Path) -> Path:
    folder = tmp_path / "workshop"
    shutil.copytree(demo_folder(), folder)
    return folder


def test_markup_in_a_name_appears_as_text(tmp_path: Path) -> None:
    """A machine called <script>... is shown letter by letter on every page and in the data for the browser."""
    folder = copy_of_demo(tmp_path)
    machine = folder / "machines" / "heron.yml"
    evil = "<script>alert(1)</script>"
    machine.write_text(re.sub(r"(?m)^name: .*$", f'name: "{evil}"', machine.read_text()))

    pages, assets = build_site(load_course(folder))

    assert any("&lt;script&gt;alert(1)" in page.html for page in pages)
    assert not [page.path for page in pages if "<script" in page.html]
    assert "<script" not in assets[0].text


def test_a_broken_workshop_builds_nothing(tmp_path: Path) -> None:
    """All faults are told at once and no site folder appears."""
    folder = copy_of_demo(tmp_path)
    (folder / "machines" / "wren.yml").write_text(
        "id: wren\nname: Wren\nspindle: {swiching: by-hand}\ntravel: {x: 300}\n"
    )

    with pytest.raises(InputFaults) as refused:
        load_course(folder)
    assert len(refused.value.faults) >= 2
    with pytest.raises(OnionskinError, match="swiching"):
        build_with_mkdocs(folder, tmp_path / "site")
    assert not (tmp_path / "site").exists()


def test_a_workshop_may_replace_a_lesson_of_ours(tmp_path: Path) -> None:
    """Content of the workshop with an id of ours takes its place."""
    folder = copy_of_demo(tmp_path)
    own = folder / "content" / "glossary"
    own.mkdir(parents=True)
    (own / "words.yml").write_text("- {id: tab, term: tab, means: What we at the mill call a bridge.}\n")

    course = load_course(folder)

    assert course.library.glossary["tab"].means == "What we at the mill call a bridge."


def test_a_relative_output_folder_is_meant_from_where_you_stand(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`-o mine` makes ./mine, wherever the package and its settings lie."""
    monkeypatch.chdir(tmp_path)
    build_with_mkdocs(None, Path("mine"))
    assert (tmp_path / "mine" / "index.html").is_file()


def test_a_new_workshop_builds_as_it_is(tmp_path: Path) -> None:
    """The folder that `onionskin new` writes gives a course before anything is filled in."""
    from generator.new import new_workshop

    new_workshop(tmp_path / "mine")
    pages, _ = build_site(load_course(tmp_path / "mine"))
    sheet = next(page.html for page in pages if page.path.startswith("sheets/"))
    assert "not measured" in sheet
    assert "ask the maker" in sheet
