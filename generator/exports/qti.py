"""The question bank as QTI packages (1EdTech, Question and Test Interoperability 2.1, 2012, and 3.0, 2022).

Everything is made once in the words of 2.1. Version 3.0 has the same elements under other names: `qti-` and
hyphens for capitals, and a `qti-content-body` around the text of feedback and rubrics.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterable

from msgspec import Struct

from generator.course import Course
from generator.exports.archive import MANIFEST, archive
from generator.exports.bank import Item, Section, bank
from generator.pages.words import DEFERS

TEST = "test.xml"


class Version(Struct, frozen=True, kw_only=True):
    """What differs between the versions of the standard."""

    items: str
    manifest: str
    schema: str
    schema_version: str
    resource: str
    kebab: bool


V21 = Version(items="http://www.imsglobal.org/xsd/imsqti_v2p1", manifest="http://www.imsglobal.org/xsd/imscp_v1p1",
              schema="QTIv2.1 Package", schema_version="1.0.0", resource="imsqti_{}_xmlv2p1", kebab=False)  # fmt: skip
V3 = Version(items="http://www.imsglobal.org/xsd/imsqtiasi_v3p0",
             manifest="http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1", schema="QTI Package",
             schema_version="3.0.0", resource="imsqti_{}_xmlv3p0", kebab=True)  # fmt: skip
PLAIN_HTML = {"p", "ol", "li"}
HOLDS_BODY = {"modalFeedback", "rubricBlock"}


def qti_package(course: Course, version: Version) -> bytes:
    """The bank for the default machine as a zip: an item a question and form, one test, and the manifest."""
    sections = bank(course)
    files = {f"items/{item.id}.xml": _written(_item(item), version) for item in _items(sections)}
    files[TEST] = _written(_test(sections, course), version)
    files[MANIFEST] = _xml(_manifest(sections, course, version))
    return archive(files)


def _items(sections: Iterable[Section]) -> list[Item]:
    return [item for section in sections for item in section.items]


def _element(tag: str, *content: ET.Element | str, **attributes: str) -> ET.Element:
    """An element with text or children; a trailing underscore of an attribute's name falls away."""
    made = ET.Element(tag, {name.rstrip("_"): value for name, value in attributes.items()})
    for part in content:
        if isinstance(part, str):
            made.text = part
        else:
            made.append(part)
    return made


def _item(item: Item) -> ET.Element:
    cardinality = "ordered" if item.order else "single"
    right = item.order or tuple(choice.id for choice in item.choices if choice.right)
    key = _element("correctResponse", *(_element("value", letter) for letter in right))
    root = _element(
        "assessmentItem",
        _element("responseDeclaration", key, identifier="RESPONSE", cardinality=cardinality, baseType="identifier"),
        _outcome("SCORE", "float", normalMaximum="1"),
        _outcome("FEEDBACK", "identifier"),
        _element("itemBody", _interaction(item)),
        _processing(item),
        *_feedback(item),
        identifier=item.id,
        title=item.title,
        adaptive="false",
        timeDependent="false",
    )
    root.set("xml:lang", "en")
    return root


def _outcome(name: str, type_: str, **more: str) -> ET.Element:
    start = [_element("defaultValue", _element("value", "0"))] if type_ == "float" else []
    return _element("outcomeDeclaration", *start, identifier=name, cardinality="single", baseType=type_, **more)


def _interaction(item: Item) -> ET.Element:
    choices = [_element("simpleChoice", choice.text, identifier=choice.id) for choice in item.choices]
    prompt = _element("prompt", item.stem)
    shuffle = "true" if item.shuffled else "false"
    if item.order:
        return _element("orderInteraction", prompt, *choices, responseIdentifier="RESPONSE", shuffle=shuffle)
    return _element("choiceInteraction", prompt, *choices, responseIdentifier="RESPONSE", shuffle=shuffle,
                    maxChoices="1")  # fmt: skip


def _processing(item: Item) -> ET.Element:
    """One point for the key. The feedback is the chosen option's own, or whether an order is right."""
    chosen = _element("variable", identifier="RESPONSE")
    match = _element("match", chosen, _element("correct", identifier="RESPONSE"))
    point = _set("SCORE", _element("baseValue", "1", baseType="float"))
    if not item.order:
        rule = _element("responseCondition", _element("responseIf", match, point))
        return _element("responseProcessing", rule, _set("FEEDBACK", _element("variable", identifier="RESPONSE")))
    right, wrong = (_set("FEEDBACK", _element("baseValue", word, baseType="identifier")) for word in ("right", "wrong"))
    cases = _element("responseIf", match, point, right), _element("responseElse", wrong)
    return _element("responseProcessing", _element("responseCondition", *cases))


def _set(name: str, value: ET.Element) -> ET.Element:
    return _element("setOutcomeValue", value, identifier=name)


def _feedback(item: Item) -> list[ET.Element]:
    if not item.order:
        verdicts = {True: "Right. ", False: "Not right. "}
        return [_modal(choice.id, verdicts[choice.right] + choice.why) for choice in item.choices]
    words = {choice.id: choice.text for choice in item.choices}
    steps = _element("ol", *(_element("li", words[letter]) for letter in item.order))
    return [_modal("right", "Right. " + item.why), _modal("wrong", "Not right. This is the order:", steps, item.why)]


def _modal(id_: str, *parts: ET.Element | str) -> ET.Element:
    blocks = [_element("p", part) if isinstance(part, str) else part for part in parts]
    return _element("modalFeedback", *blocks, outcomeIdentifier="FEEDBACK", showHide="show", identifier=id_)


def _test(sections: list[Section], course: Course) -> ET.Element:
    """One section a lesson with its questions in their first form; the other forms are in the bank for another day."""
    control = _element("itemSessionControl", showFeedback="true")
    part = _element("testPart", control, *(_test_section(section) for section in sections), identifier="all-lessons",
                    navigationMode="nonlinear", submissionMode="individual")  # fmt: skip
    total = _set("SCORE", _element("sum", _element("testVariables", variableIdentifier="SCORE")))
    title = f"{course.home.workshop.name}: questions for {course.view.machine.name}, content {course.revision}"
    return _element("assessmentTest", _outcome("SCORE", "float"), part, _element("outcomeProcessing", total),
                    identifier=_package_id(course), title=title)  # fmt: skip


def _test_section(section: Section) -> ET.Element:
    rubric = _element("rubricBlock", _element("p", DEFERS), view="candidate")
    refs = [_reference(item) for item in section.items if item.form == "A"]
    return _element("assessmentSection", rubric, *refs, identifier=f"section-{section.id}", title=section.title,
                    visible="true")  # fmt: skip


def _reference(item: Item) -> ET.Element:
    more = {"category": "must-know"} if item.critical else {}
    return _element("assessmentItemRef", identifier=item.id, href=f"items/{item.id}.xml", **more)


def _package_id(course: Course) -> str:
    return f"onionskin-{course.revision}-{course.default}"


def _manifest(sections: list[Section], course: Course, version: Version) -> ET.Element:
    items = _items(sections)
    schema = _element("metadata", _element("schema", version.schema), _element("schemaversion", version.schema_version))
    uses = [_element("dependency", identifierref=item.id) for item in items if item.form == "A"]
    test = _resource("the-test", "test", TEST, version, *uses)
    resources = [test, *(_resource(item.id, "item", f"items/{item.id}.xml", version) for item in items)]
    return _element("manifest", schema, _element("organizations"), _element("resources", *resources),
                    xmlns=version.manifest, identifier=f"package-{_package_id(course)}")  # fmt: skip


def _resource(id_: str, kind: str, href: str, version: Version, *uses: ET.Element) -> ET.Element:
    return _element("resource", _element("file", href=href), *uses, identifier=id_,
                    type_=version.resource.format(kind), href=href)  # fmt: skip


def _written(root: ET.Element, version: Version) -> bytes:
    made = _as_v3(root) if version.kebab else root
    made.set("xmlns", version.items)
    return _xml(made)


def _as_v3(element: ET.Element) -> ET.Element:
    tag = element.tag if element.tag in PLAIN_HTML else f"qti-{_kebab(element.tag)}"
    made = ET.Element(tag, {_kebab(name): value for name, value in element.attrib.items()})
    inner = ET.SubElement(made, "qti-content-body") if element.tag in HOLDS_BODY else made
    inner.text = element.text
    inner.extend([_as_v3(child) for child in element])
    if element.tag == "rubricBlock":
        made.set("use", "instructions")
    return made


def _kebab(name: str) -> str:
    return re.sub(r"(?<=[a-z])([A-Z])", lambda match: f"-{match.group(1).lower()}", name)


def _xml(root: ET.Element) -> bytes:
    ET.indent(root)
    return b'<?xml version="1.0" encoding="utf-8"?>\n' + ET.tostring(root, encoding="unicode").encode() + b"\n"
