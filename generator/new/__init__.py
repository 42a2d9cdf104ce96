"""A new workshop folder, commented, with `unknown` wherever its owner has to look at the machine."""

from __future__ import annotations

import os
import tempfile
import textwrap
from datetime import date, timedelta
from pathlib import Path

from generator.errors import OnionskinError
from generator.load_content import content_folder, load_some
from generator.model.schema import write_schemas
from generator.new.profile import machine_text


def new_workshop(folder: Path, today: date | None = None) -> tuple[Path, ...]:
    """Makes `folder` and returns the files to fill in, in order. Raises OnionskinError if anything is there already.

    Its first rule is to be reviewed a year after `today`, which is the computer's date unless given. The files
    are written beside the folder and moved into place at once, so that a failure leaves nothing half made.
    """
    _refuse_what_exists(folder)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=folder.parent, prefix=".onionskin-new-") as beside:
            draft = Path(beside) / "workshop"
            _write(draft, (today or date.today()) + timedelta(days=365))
            if folder.is_dir():
                folder.rmdir()
            os.rename(draft, folder)
    except OSError as error:
        raise OnionskinError(f"{folder}: cannot be made: {error.strerror or error}") from None
    return tuple(folder / name for name in ("workshop.yml", "machines/my-router.yml", "jobs/first-job.yml"))


def _refuse_what_exists(folder: Path) -> None:
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise OnionskinError(f"{folder}: is there already and is no folder; choose another name")
    if folder.is_dir() and any(folder.iterdir()):
        raise OnionskinError(f"{folder}: is not empty; choose a new name, nothing of yours is overwritten")


def _write(draft: Path, review: date) -> None:
    for name in ("machines", "jobs", "programs", "schemas"):
        (draft / name).mkdir(parents=True)
    _put(draft / "workshop.yml", _text("workshop.yml").replace("REVIEW", review.isoformat()))
    _put(draft / "machines" / "my-router.yml", machine_text())
    _put(draft / "jobs" / "first-job.yml", _job_text())
    write_schemas(draft / "schemas")


def _job_text() -> str:
    """The job's file, with every id of the course that it may name."""
    text, known = _text("first-job.yml"), load_some([content_folder()], ("materials", "cutters"))
    for mark, ids in (("MATERIALS", known.materials), ("CUTTERS", known.cutters)):
        line = next(line for line in text.splitlines() if line.endswith(f"# {mark}"))
        lead = line.removesuffix(mark)
        text = text.replace(line, textwrap.fill(", ".join(ids), 110, initial_indent=lead, subsequent_indent=lead,
                                                break_on_hyphens=False))  # fmt: skip
    return text


def _text(name: str) -> str:
    return (Path(__file__).parent / name).read_text(encoding="utf-8")


def _put(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")
