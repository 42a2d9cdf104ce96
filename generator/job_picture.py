"""The bed of one planned job as a file: a drawing alone, or a page with the words beside it."""

from __future__ import annotations

from pathlib import Path

from markupsafe import Markup

from generator.errors import OnionskinError
from generator.holding.answer import Holding, Unanswered
from generator.holding.picture import best_layout, own_layout, picture
from generator.host import settings_file
from generator.job_plan import PlannedJob
from generator.pages.assets import FOLDER
from generator.pages.holding import bed_more, bed_words, picture_key
from generator.pages.page import render
from generator.pages.words import SEVERITIES
from generator.site import check_file, replace_file

# Stands in every picture, so that a later run knows its own work.
MARK = "onionskin plan"
STYLES = ("onionskin.css", "figures.css", "bench.css")


def write_picture(planned: PlannedJob, target: Path) -> None:
    """Draw the layout that was judged into `target`. Raises OnionskinError where nothing can be drawn or written."""
    check_file(target, MARK)
    found = planned.holding
    if isinstance(found, Unanswered):
        says = " ".join(finding.says for finding in planned.findings) or "too little is known of this job"
        raise OnionskinError(f"{target}: the bed cannot be drawn. {says}")
    ending = target.suffix.lower()
    if ending not in (".svg", ".html"):
        raise OnionskinError(f"{target}: the picture is written as FILE.svg or FILE.html; choose one of the two")
    text = _drawing(found) if ending == ".svg" else _page(planned, found)
    replace_file(target, text.encode())


def _drawing(found: Holding) -> str:
    """The drawing with its look inside, so that it stands alone."""
    drawn = picture(found, own_layout(found)).replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
    head, body = drawn.split(">", 1)
    return f"{head}><style>{_look(('figures.css', 'bench.css'))}</style>{body}<!-- {MARK} -->\n"


def _look(names: tuple[str, ...]) -> str:
    folder = settings_file().parent / "site_assets" / FOLDER
    return "\n".join((folder / name).read_text(encoding="utf-8") for name in names)


def _page(planned: PlannedJob, found: Holding) -> str:
    shown = [own_layout(found)]
    if found.reached and found.layout.count:
        shown.append(best_layout(found))
    pictures = [(f"The bed {one.words}", Markup(picture(found, one))) for one in shown]
    return render(
        "bed_page.html.j2", planned=planned, mark=MARK, pictures=pictures, words=bed_words(found) + bed_more(found),
        key=picture_key(found), style=Markup(_look(STYLES)), findings=found.findings, severities=SEVERITIES,
    )  # fmt: skip
