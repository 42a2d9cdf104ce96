"""`onionskin export`: one course in one zip, in the form of an open standard."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

from generator.course import Course, load_course
from generator.exports.archive import MARK
from generator.exports.qti import V3, V21, qti_package
from generator.exports.scorm import scorm_package
from generator.host import build_with_mkdocs
from generator.offline import LIST, WORKER
from generator.site import check_file, replace_file


def export(kind: str, workshop: Path | None, target: Path) -> int:
    """Writes the package of `kind`, a key of KINDS, and gives its size in bytes. Raises OnionskinError."""
    check_file(target, MARK.decode())
    data = KINDS[kind](load_course(workshop), workshop)
    replace_file(target, data)
    return len(data)


def _scorm(course: Course, workshop: Path | None) -> bytes:
    return scorm_package(course, built_site(workshop))


def built_site(workshop: Path | None) -> dict[str, bytes]:
    """The files of a fresh site by path with '/', without the offline worker: a host serves them to whom it likes."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary) / "site"
        build_with_mkdocs(workshop, folder)
        paths = {path.relative_to(folder).as_posix(): path for path in sorted(folder.rglob("*")) if path.is_file()}
        wanted = [name for name in paths if name not in {WORKER, LIST} and not name.startswith(".")]
        return {name: paths[name].read_bytes() for name in wanted}


KINDS: dict[str, Callable[[Course, Path | None], bytes]] = {
    "qti21": lambda course, _: qti_package(course, V21),
    "qti3": lambda course, _: qti_package(course, V3),
    "scorm12": _scorm,
}
