"""MkDocs, driven from our command line with the settings that come with the package."""

from __future__ import annotations

import logging
import os
from pathlib import Path
from typing import Any

from generator.course import demo_folder
from generator.errors import OnionskinError
from generator.offline import list_files
from generator.site import check_ours, replace_folder

# The theme prints a notice about its own future at every build; a learner would take it for a fault of theirs.
os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")


def settings_file() -> Path:
    """mkdocs.yml: inside the installed package, else in the checkout."""
    here = Path(__file__).parent
    installed = here / "_data" / "mkdocs.yml"
    return installed if installed.is_file() else here.parent / "mkdocs.yml"


def build_with_mkdocs(workshop: Path | None, output: Path) -> None:
    """The site of `workshop` in `output`, strict. Raises OnionskinError; the old site then stays whole."""
    check_ours(output)
    replace_folder(output, lambda folder: fill(workshop, folder))


def fill(workshop: Path | None, folder: Path) -> None:
    """The site of `workshop` in `folder`, in place of what is there. Raises OnionskinError, at the latest before the
    first page is written."""
    from mkdocs.commands.build import build
    from mkdocs.exceptions import MkDocsException

    said = _Said()
    logging.getLogger("mkdocs").addHandler(said)
    config = _config(workshop, folder)
    config.plugins.on_startup(command="build", dirty=False)
    try:
        build(config)
    except (MkDocsException, SystemExit) as error:
        raise OnionskinError("\n".join(said.lines) or str(error)) from None
    finally:
        config.plugins.on_shutdown()
        logging.getLogger("mkdocs").removeHandler(said)
    _drop_unused(folder)
    list_files(folder)


class _Said(logging.Handler):
    """Keeps what the host says; its own exceptions only count the warnings."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keeps one message."""
        self.lines.append(record.getMessage())


def _config(workshop: Path | None, folder: Path) -> Any:
    from mkdocs.config import load_config

    logging.getLogger("mkdocs").setLevel(logging.WARNING)
    _name_workshop(workshop)
    return load_config(config_file=str(settings_file()), site_dir=str(folder.resolve()), strict=True)


def _name_workshop(workshop: Path | None) -> None:
    """mkdocs.yml reads the folder from the environment, the one door MkDocs leaves open to a caller."""
    os.environ["ONIONSKIN_WORKSHOP"] = str((workshop or demo_folder()).resolve())


def _drop_unused(folder: Path) -> None:
    """Source maps, language files English needs none of, and what only a server at the root of a host shows."""
    for pattern in ("assets/**/*.map", "assets/javascripts/lunr/**/*", "404.html", "sitemap.xml*"):
        for path in folder.glob(pattern):
            if path.is_file():
                path.unlink()
