"""A package of questions: marked by a reader of its rules that shares no code with the writer, and read back.

The shapes are those of 1EdTech's public examples (repository ``1EdTech/qti-examples``, read as stored at
commits 141c035 and 9811473): ``QTI3_BeginnersGuide_Examples/imsmanifest.xml`` for the package, and of
``QTI3_BPIG_Examples/items`` the files ``Example01-modalFeedback``, ``QTI3-order`` and ``QTI3-match``. The XML
Schema itself was not to be had, so these tests are of structure, and say nothing about the schema.
"""

from __future__ import annotations

import io
import zipfile
from functools import cache
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit import exercises
from kit.basics.errors import BadData
from kit.files.packed_question import PackedQuestion, packed, why_not
from kit.files.question_package import read_questions, write_questions
from kit.marking import mark

SEEDS = (1, 2)
Q = "{http://www.imsglobal.org/xsd/imsqtiasi_v3p0}"
# In Example01-modalFeedback.xml the children of an item stand in this order.
ORDER = ["response-declaration", "outcome-declaration", "item-body", "response-processing", "modal-feedback"]


@cache
def fit():
    """The questions of the bank that can go."""
    drawn = (exercises.question(name, seed) for name in exercises.ids() for seed in SEEDS)
    return [each for each in drawn if not why_not(each)]


def as_packed(question):
    return packed(question, exercises.info(question.exercise).title)


def files_of(data):
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        return {name: package.read(name) for name in package.namelist()}


def value_of(node, response, correct):
    match node.tag.removeprefix(Q):
        case "qti-variable":
            return response
        case "qti-correct":
            return correct
        case "qti-base-value":
            return float(node.text) if node.get("base-type") == "float" else node.text
        case "qti-multiple":
            return frozenset(value_of(each, response, correct) for each in node)
        case "qti-ordered":
            return tuple(value_of(each, response, correct) for each in node)
    inside = [value_of(each, response, correct) for each in node]
    match node.tag.removeprefix(Q):
        case "qti-match":
            return inside[0] == inside[1]
        case "qti-and":
            return all(inside)
        case "qti-gte":
            return inside[0] >= inside[1]
        case "qti-lte":
            return inside[0] <= inside[1]
        case "qti-is-null":
            return not inside[0]
    raise AssertionError(f"no such rule in the reader: {node.tag}")


def run(item, response):
    """Return the score and the message that the rules of an item give."""
    declared = item.find(f"{Q}qti-response-declaration")
    values = [each.text for each in declared.iter(f"{Q}qti-value")]
    correct = {
        "single": lambda: values[0],
        "multiple": lambda: frozenset(values),
        "ordered": lambda: tuple(values),
    }
    for branch in item.find(f"{Q}qti-response-processing/{Q}qti-response-condition"):
        test = next((each for each in branch if each.tag != f"{Q}qti-set-outcome-value"), None)
        if test is None or value_of(test, response, correct[declared.get("cardinality")]()):
            set_to = {
                each.get("identifier"): each[0].text for each in branch.iter(f"{Q}qti-set-outcome-value")
            }
            messages = {each.get("identifier"): each[0].text for each in item.iter(f"{Q}qti-modal-feedback")}
            return ("SCORE" in set_to), messages[set_to["FEEDBACK"]]
    raise AssertionError("no branch")


def in_standard_form(kind, raw):
    match kind:
        case "number":
            return float(raw)
        case "one":
            return raw
        case "order":
            return tuple(raw)
        case "several":
            return frozenset(raw)
    return frozenset(f"{left} {right}" for left, right in raw.items())


@pytest.mark.slow
def test_most_of_the_bank_can_go():
    names = {each.exercise for each in fit()}
    assert len(names) >= 100
    assert {each.kind.name for each in fit()} == {"number", "one", "several", "order", "match"}


@pytest.mark.slow
def test_what_comes_back_is_what_went_out():
    out = [as_packed(each) for each in fit()]
    assert read_questions(write_questions(out)) == tuple(out)


@pytest.mark.slow
def test_the_manifest_has_the_shape_of_the_published_one_and_names_every_file():
    files = files_of(write_questions([as_packed(each) for each in fit()]))
    root = ElementTree.fromstring(files["imsmanifest.xml"])
    space = "{http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1}"
    assert root.tag == f"{space}manifest"
    assert [each.tag.removeprefix(space) for each in root] == ["metadata", "organizations", "resources"]
    assert [each.text for each in root[0]] == ["QTI Package", "3.0.1"]
    listed = [each.get("href") for each in root.iter(f"{space}resource")]
    assert sorted([*listed, "imsmanifest.xml"]) == sorted(files)
    assert {each.get("type") for each in root.iter(f"{space}resource")} == {"imsqti_item_xmlv3p0"}


@pytest.mark.parametrize("kind", ["number", "one", "several", "order", "match"])
def test_another_system_marks_as_we_do(kind):
    """Full marks for the answer; for every slip no mark, and the message of the slip that fits it first."""
    checked = 0
    for question in (each for each in fit() if each.kind.name == kind):
        one = as_packed(question)
        item = ElementTree.fromstring(files_of(write_questions([one]))[f"items/{one.id}.xml"])
        names = [each.tag.removeprefix(f"{Q}qti-") for each in item]
        assert [name for place, name in enumerate(names) if name not in names[:place]] == ORDER
        assert run(item, in_standard_form(kind, question.answer)) == (True, question.worked or None)
        for slip in question.slips:
            if mark(question, slip.value).score == question.of:
                continue
            right, says = run(item, in_standard_form(kind, slip.value))
            assert not right
            assert says in {each.says for each in question.slips}
            if kind != "number":
                assert says == slip.says
            checked += 1
    assert checked > 20


WORDS = st.text(st.characters(exclude_categories=["Cs", "Cc"], exclude_characters="￾￿"), max_size=30)
NUMBERS = st.floats(allow_nan=False, allow_infinity=False).map(repr)


@pytest.mark.slow
@settings(max_examples=60)
@given(title=WORDS, text=WORDS, worked=WORDS, unit=WORDS, number=NUMBERS, seed=st.integers(0, 2**63))
def test_any_words_come_back(title, text, worked, unit, number, seed):
    one = PackedQuestion(
        "salt",
        3,
        seed,
        title,
        text,
        "number",
        ("CUR-K01", "CUR-P02"),
        (number,),
        (number, number),
        unit=unit,
        worked=worked,
    )
    assert read_questions(write_questions([one])) == (one,)


def replaced(data, name, new):
    files = files_of(data) | {name: new}
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w") as package:
        for each, content in files.items():
            if content is not None:
                package.writestr(each, content)
    return into.getvalue()


ONE = PackedQuestion("salt", 1, 7, "Salt", "How much?", "number", (), ("5.0",), ("4.9", "5.1"))


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"no zip", "no whole package"),
        (replaced(write_questions([ONE]), "items/salt-v1-7.xml", None), "no whole package"),
        (replaced(write_questions([ONE]), "items/salt-v1-7.xml", b"<a>"), "no XML"),
        (replaced(write_questions([ONE]), "items/salt-v1-7.xml", b"<!DOCTYPE a><a/>"), "document type"),
        (replaced(write_questions([ONE]), "items/salt-v1-7.xml", b"<a/>"), "not written by the kit"),
        (replaced(write_questions([ONE]), "items/salt-v1-7.xml", b"0" * 50_000_001), "over 50 MB"),
    ],
)
def test_a_bad_package_gets_one_line(data, said):
    with pytest.raises(BadData, match=said) as refused:
        read_questions(data)
    assert "\n" not in str(refused.value)


def test_the_same_variant_twice_is_refused():
    with pytest.raises(BadData, match="twice"):
        write_questions([ONE, ONE])
