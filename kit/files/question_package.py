"""Questions as a QTI 3 package: a zip with a manifest and a file a question, each with its feedback.

Shapes and names follow the public examples of 1EdTech (``1EdTech/qti-examples``: the package of the
beginner's guide; modal feedback, order and match of the best practice guide). The XML Schema was not
to be had, so nothing here is checked against it. ``data-`` names carry what the standard has no place for.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Iterator
from typing import cast
from xml.etree import ElementTree
from xml.etree.ElementTree import Element, SubElement

from kit.basics.errors import BadData
from kit.files.packed_question import KINDS, PackedFeedback, PackedKind, PackedQuestion

ITEM_SPACE = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
PACKAGE_SPACE = "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1"
MOST_BYTES = 50_000_000
_CARDINALITY = {"number": "single", "one": "single", "several": "multiple", "order": "ordered"}
_XML_LANG = "{http://www.w3.org/XML/1998/namespace}lang"
_OUR_NAMES = ("exercise", "version", "seed", "criteria", "kind", "unit")


def write_questions(questions: Iterable[PackedQuestion]) -> bytes:
    """Return a package of questions: the bytes of a zip. The same questions give the same bytes.

    Raises
    ------
    BadData
        If one variant is there twice.

    Examples
    --------
    >>> one = PackedQuestion("salt", 1, 7, "Salt", "How much?", "number", (), ("5.0",), ("4.9", "5.1"))
    >>> read_questions(write_questions([one])) == (one,)
    True
    """
    found = {}
    for one in questions:
        if one.id in found:
            raise BadData(one.id, "this variant is there twice", "each variant once")
        found[one.id] = one
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as package:
        _put(package, "imsmanifest.xml", _manifest(found))
        for name, one in found.items():
            _put(package, f"items/{name}.xml", _item(one))
    return into.getvalue()


def read_questions(data: bytes, where: str = "the package") -> tuple[PackedQuestion, ...]:
    """Return the questions of a package that the kit wrote.

    Raises
    ------
    BadData
        If it is no such package: no zip, over 50 MB unpacked, a file missing, or an item of another make.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            if sum(each.file_size for each in package.infolist()) > MOST_BYTES:
                raise BadData(where, "it unpacks to over 50 MB", "a package of questions")
            manifest = _parsed(package.read("imsmanifest.xml"), where)
            files = [str(each.get("href")) for each in manifest.iter(f"{{{PACKAGE_SPACE}}}resource")]
            return tuple(_question(_parsed(package.read(name), name), name) for name in files)
    except (zipfile.BadZipFile, KeyError, NotImplementedError, RuntimeError) as error:
        raise BadData(where, f"this is no whole package of questions: {error}", "a QTI 3 zip") from None


def _put(package: zipfile.ZipFile, name: str, root: Element) -> None:
    about = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))  # no clock: the same questions, the same bytes
    about.compress_type = zipfile.ZIP_DEFLATED
    data: bytes = ElementTree.tostring(root, encoding="utf-8", xml_declaration=True)
    package.writestr(about, data)


def _manifest(ids: Iterable[str]) -> Element:
    root = Element("manifest", {"xmlns": PACKAGE_SPACE, "identifier": "smokehouse-questions"})
    about = SubElement(root, "metadata")
    SubElement(about, "schema").text = "QTI Package"
    SubElement(about, "schemaversion").text = "3.0.1"
    SubElement(root, "organizations")
    resources = SubElement(root, "resources")
    for name in ids:
        href = f"items/{name}.xml"
        told = {"identifier": name, "type": "imsqti_item_xmlv3p0", "href": href}
        SubElement(SubElement(resources, "resource", told), "file", {"href": href})
    return root


def _item(one: PackedQuestion) -> Element:
    about = {"identifier": one.id, "title": one.title, "adaptive": "false", "time-dependent": "false"}
    root = Element("qti-assessment-item", {"xmlns": ITEM_SPACE, _XML_LANG: "en-GB", **about})
    cardinality, base = _CARDINALITY.get(one.kind, "multiple"), _base(one.kind)
    kept = {"identifier": "RESPONSE", "cardinality": cardinality, "base-type": base}
    correct = SubElement(SubElement(root, "qti-response-declaration", kept), "qti-correct-response")
    for each in one.answer:
        SubElement(correct, "qti-value").text = each
    told = {"identifier": "FEEDBACK", "cardinality": "single", "base-type": "identifier"}
    SubElement(root, "qti-outcome-declaration", told)
    for name, most in (("SCORE", "0"), ("MAXSCORE", "1")):
        points = {"identifier": name, "cardinality": "single", "base-type": "float"}
        declared = SubElement(root, "qti-outcome-declaration", points)
        SubElement(SubElement(declared, "qti-default-value"), "qti-value").text = most
    _ask(SubElement(root, "qti-item-body"), one)
    _process(SubElement(root, "qti-response-processing"), one)
    _say(root, "right", "", one.worked)
    for place, slip in enumerate(one.feedback):
        _say(root, f"slip-{place}", slip.name, slip.says)
    _say(root, "other", "", "Not yet. Try again.")
    return root


def _base(kind: PackedKind) -> str:
    return {"number": "float", "match": "directedPair"}.get(kind, "identifier")


def _say(root: Element, name: str, title: str, says: str) -> None:
    about = {"outcome-identifier": "FEEDBACK", "show-hide": "show", "identifier": name}
    shown = SubElement(root, "qti-modal-feedback", about | ({"title": title} if title else {}))
    SubElement(shown, "qti-content-body").text = says


def _ask(body: Element, one: PackedQuestion) -> None:
    SubElement(body, "p").text = one.text
    ours = {f"data-{name}": str(getattr(one, name)) for name in _OUR_NAMES if name != "criteria"}
    about = {"response-identifier": "RESPONSE", **ours, "data-criteria": " ".join(one.criteria)}
    if one.kind == "number":
        line = SubElement(body, "p")
        SubElement(line, "qti-text-entry-interaction", about).tail = f" {one.unit}"
    elif one.kind == "match":
        most = {"max-associations": str(len(one.options))}
        asked = SubElement(body, "qti-match-interaction", about | most)
        for options, times in ((one.options, 1), (one.right, len(one.options))):
            side = SubElement(asked, "qti-simple-match-set")
            for key, text in options:
                told = {"identifier": key, "match-max": str(times)}
                SubElement(side, "qti-simple-associable-choice", told).text = text
    else:
        name = "qti-order-interaction" if one.kind == "order" else "qti-choice-interaction"
        most = {} if one.kind == "order" else {"max-choices": "1" if one.kind == "one" else "0"}
        asked = SubElement(body, name, about | {"shuffle": "false"} | most)
        for key, text in one.options:
            SubElement(asked, "qti-simple-choice", {"identifier": key}).text = text


def _process(into: Element, one: PackedQuestion) -> None:
    """Write the rule: the right answer first, then each wrong one that has its own words, then the rest."""
    rule = SubElement(into, "qti-response-condition")
    branch = SubElement(rule, "qti-response-if")
    if one.kind == "number":
        _between(branch, one.accepts)
    else:
        same = SubElement(branch, "qti-match")
        SubElement(same, "qti-variable", {"identifier": "RESPONSE"})
        SubElement(same, "qti-correct", {"identifier": "RESPONSE"})
    full = SubElement(branch, "qti-set-outcome-value", {"identifier": "SCORE"})
    SubElement(full, "qti-variable", {"identifier": "MAXSCORE"})
    _answer_with(branch, "right")
    for place, slip in enumerate(one.feedback):
        branch = SubElement(rule, "qti-response-else-if")
        _is(branch, one, slip.value)
        _answer_with(branch, f"slip-{place}")
    _answer_with(SubElement(rule, "qti-response-else"), "other")


def _answer_with(branch: Element, name: str) -> None:
    told = SubElement(branch, "qti-set-outcome-value", {"identifier": "FEEDBACK"})
    SubElement(told, "qti-base-value", {"base-type": "identifier"}).text = name


def _between(branch: Element, ends: tuple[str, ...]) -> None:
    both = SubElement(branch, "qti-and")
    for name, end in zip(("qti-gte", "qti-lte"), ends, strict=True):
        held = SubElement(both, name)
        SubElement(held, "qti-variable", {"identifier": "RESPONSE"})
        SubElement(held, "qti-base-value", {"base-type": "float"}).text = end


def _is(branch: Element, one: PackedQuestion, value: tuple[str, ...]) -> None:
    if one.kind == "number":
        return _between(branch, value)
    if not value:  # nothing chosen is a response of its own in the standard
        SubElement(SubElement(branch, "qti-is-null"), "qti-variable", {"identifier": "RESPONSE"})
        return None
    same = SubElement(branch, "qti-match")
    SubElement(same, "qti-variable", {"identifier": "RESPONSE"})
    many = {"order": "qti-ordered", "one": ""}.get(one.kind, "qti-multiple")
    held = SubElement(same, many) if many else same
    for each in value:
        SubElement(held, "qti-base-value", {"base-type": _base(one.kind)}).text = each
    return None


def _parsed(data: bytes, where: str) -> Element:
    if b"<!DOCTYPE" in data or b"<!ENTITY" in data or data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise BadData(where, "it holds a document type or is not in UTF-8", "plain XML in UTF-8")
    try:
        return ElementTree.fromstring(data)
    except ElementTree.ParseError as error:
        raise BadData(where, f"this is no XML: {error}", "a file of a QTI 3 package") from None


def _question(root: Element, where: str) -> PackedQuestion:
    ours = next((each for each in root.iter() if "data-exercise" in each.attrib), None)
    if ours is None or ours.get("data-kind") not in KINDS:
        raise BadData(where, "this item was not written by the kit", "an item of `smokehouse export`")
    kind = cast(PackedKind, ours.attrib["data-kind"])
    sides = [_options(each) for each in ours.iter(_q("qti-simple-match-set"))] or [_options(ours), ()]
    asked = root.find(f"{_q('qti-item-body')}/{_q('p')}")
    says = {str(each.get("identifier")): each for each in root.iter(_q("qti-modal-feedback"))}
    tests = dict(_tests(root))
    try:
        answer = tuple(each.text or "" for each in next(root.iter(_q("qti-correct-response"))))
        return PackedQuestion(
            exercise=ours.attrib["data-exercise"],
            version=int(ours.attrib["data-version"]),
            seed=int(ours.attrib["data-seed"]),
            title=root.attrib["title"],
            text="" if asked is None else asked.text or "",
            kind=kind,
            criteria=tuple(ours.attrib["data-criteria"].split()),
            answer=answer,
            accepts=tests["right"] if kind == "number" else answer,
            options=sides[0],
            right=sides[1],
            unit=ours.attrib["data-unit"],
            feedback=tuple(
                PackedFeedback(says[name].get("title", ""), tests[name], says[name][0].text or "")
                for name in says
                if name.startswith("slip-")
            ),
            worked=says["right"][0].text or "",
        )
    except (KeyError, ValueError, IndexError, StopIteration) as error:
        raise BadData(where, f"this item is not whole: {error}", "an item of `smokehouse export`") from None


def _tests(root: Element) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield each branch's name with the values it looks for."""
    for branch in next(root.iter(_q("qti-response-condition")), ()):
        values = [each.text or "" for each in branch.iter(_q("qti-base-value"))]
        yield values[-1], tuple(values[:-1])


def _options(holder: Element) -> tuple[tuple[str, str], ...]:
    return tuple(
        (each.attrib["identifier"], each.text or "") for each in holder if "identifier" in each.attrib
    )


def _q(name: str) -> str:
    return f"{{{ITEM_SPACE}}}{name}"
