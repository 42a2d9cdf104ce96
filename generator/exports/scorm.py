"""The course as a SCORM 1.2 package (ADL, Sharable Content Object Reference Model 1.2, 2001).

One object for the whole course: a start page that holds the site in a frame, so that the session with the host
lasts as long as the visit while the learner goes from page to page. No mastery score is set: a host would turn
the first visit, half done, into "failed".
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from pathlib import Path
from urllib.parse import quote

from generator.course import Course
from generator.exports.archive import MANIFEST, archive
from generator.pages.page import render

LAUNCH = "launch.html"
SCRIPT = "host.js"
STYLE = "html,body{height:100%;margin:0}iframe{display:block;width:100%;height:100%;border:0}"


def scorm_package(course: Course, site: Mapping[str, bytes]) -> bytes:
    """A zip of the built site, by path with '/', with its manifest, start page and script."""
    quizzes = [id_ for id_ in course.library.lessons if course.library.questions_of(id_)]
    title = course.home.workshop.name
    files = dict(site)
    digest = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
    files[LAUNCH] = render("scorm_launch.html.j2", title=title, lessons=" ".join(quizzes), script=SCRIPT, style=STYLE,
                           digest=digest).encode()  # fmt: skip
    files[SCRIPT] = (Path(__file__).parent / SCRIPT).read_bytes()
    files[MANIFEST] = render("scorm_manifest.xml.j2", title=title, id=f"ONIONSKIN-{course.revision}", launch=LAUNCH,
                             hrefs=[quote(name) for name in sorted(files)]).encode()  # fmt: skip
    return archive(files)
