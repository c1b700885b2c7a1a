"""A CASE package of the criteria: held to the standard's schema, read back whole, ids that never move.

The names, the required ones and the kinds of tie below are those of the standard's JSON Schema of a package,
``https://purl.imsglobal.org/spec/case/v1p1/schema/json/case_v1p1_cfpackage-jsonschema1.json``, read in
``1EdTech/OpenCASE`` at 4d3bb34, ``apps/opencase/schemas/official/case-v1p1-cfpackage.json`` (seen). The file
itself is not kept here: its licence was not found beside it. Of each part we hold what it may and must have.
"""

from __future__ import annotations

import json
import uuid
from datetime import UTC, datetime

import pytest
from jsonschema import Draft201909Validator

from kit import criteria
from kit.basics.errors import BadData
from kit.files.criteria_package import read_criteria, write_criteria

DAY = datetime(2026, 3, 2, 9, tzinfo=UTC)
UUID, TEXT, MOMENT = (
    {"type": "string", "pattern": "^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$"},
    {"type": "string", "minLength": 1},
    {"type": "string", "pattern": r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)$"},
)
TIES = [
    *("isChildOf", "isPeerOf", "isPartOf", "exactMatchOf", "precedes", "isRelatedTo", "replacedBy"),
    *("exemplar", "hasSkillLevel", "isTranslationOf"),
]


def part(must: str, may: str = "", **more: object) -> dict[str, object]:
    """A part that must have some members, may have others, and has no more."""
    known = {name: {} for name in (*must.split(), *may.split())}
    known |= {"identifier": UUID, "uri": TEXT, "extensions": {"type": "object"}} | more
    return {"type": "object", "required": must.split(), "properties": known, "additionalProperties": False}


LINK = part("title identifier uri", identifier=TEXT, targetType={})
STATUS = "language licenseURI statusStartDate statusEndDate notes subject subjectURI"
PARTS = {
    "CFDocument": part(
        "identifier uri creator title lastChangeDateTime",
        f"{STATUS} frameworkType officialSourceURL publisher description version adoptionStatus",
        lastChangeDateTime=MOMENT,
        caseVersion={"enum": ["1.1"]},
    ),
    "CFItems": part(
        "identifier fullStatement uri lastChangeDateTime",
        f"{STATUS} alternativeLabel CFItemType humanCodingScheme listEnumeration abbreviatedStatement "
        "conceptKeywords conceptKeywordsURI educationLevel CFItemTypeURI",
        lastChangeDateTime=MOMENT,
    ),
    "CFAssociations": part(
        "identifier associationType uri originNodeURI destinationNodeURI lastChangeDateTime",
        "sequenceNumber CFAssociationGroupingURI notes",
        lastChangeDateTime=MOMENT,
        associationType={"enum": TIES},
        originNodeURI=LINK,
        destinationNodeURI=LINK,
    ),
}
PACKAGE = {
    "type": "object",
    "required": ["CFDocument"],
    "properties": {
        "CFDocument": PARTS["CFDocument"],
        "CFItems": {"type": "array", "items": PARTS["CFItems"]},
        "CFAssociations": {"type": "array", "items": PARTS["CFAssociations"]},
        "CFDefinitions": {},
        "CFRubrics": {},
        "extensions": {"type": "object"},
    },
    "additionalProperties": False,
}


@pytest.fixture(scope="module")
def data():
    return write_criteria(criteria.load(), DAY, "Skerry Smokehouse")


@pytest.fixture
def package(data):
    return json.loads(data)


def test_all_criteria_come_back_whole(data):
    assert read_criteria(data) == criteria.load()


def test_the_package_is_as_the_standard_wants_it(package):
    faults = [
        f"{list(each.path)}: {each.message}" for each in Draft201909Validator(PACKAGE).iter_errors(package)
    ]
    assert faults == []
    assert b"null" not in json.dumps(package).encode()


@pytest.mark.parametrize(
    ("where", "name", "value"),
    [
        ("CFDocument", "CFPackageURI", {}),  # what stands in a document that is handed out alone
        ("CFDocument", "creator", None),
        ("CFItems", "CFDocumentURI", {}),
        ("CFItems", "fullStatement", None),
        ("CFAssociations", "associationType", "leadsTo"),
        ("CFAssociations", "lastChangeDateTime", "2026-03-02"),
    ],
)
def test_the_check_finds_what_the_standard_refuses(package, where, name, value):
    place = package[where] if where == "CFDocument" else package[where][0]
    if value is None:
        del place[name]
    else:
        place[name] = value
    assert list(Draft201909Validator(PACKAGE).iter_errors(package))


def test_every_link_leads_somewhere_and_every_id_is_a_uuid_of_its_own(package):
    parts = [package["CFDocument"], *package["CFItems"], *package["CFAssociations"]]
    ids = [each["identifier"] for each in parts]
    assert len(set(ids)) == len(ids)
    assert all(str(uuid.UUID(each)) == each for each in ids)
    for tie in package["CFAssociations"]:
        assert {tie["originNodeURI"]["identifier"], tie["destinationNodeURI"]["identifier"]} <= set(ids)
    children = {
        each["originNodeURI"]["identifier"]
        for each in package["CFAssociations"]
        if each["associationType"] == "isChildOf"
    }
    assert children == {each["identifier"] for each in package["CFItems"]}


def test_ids_stay_when_the_package_is_written_again(package):
    later = json.loads(write_criteria(criteria.at("cook"), DAY.replace(year=2030), "Another kitchen"))
    before = {each["humanCodingScheme"]: each["identifier"] for each in package["CFItems"]}
    assert all(before[each["humanCodingScheme"]] == each["identifier"] for each in later["CFItems"])


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"[]", "no whole object|object"),
        (b"{}", "no list CFItems"),
        (b'{"CFItems": [{"CFItemType": "Knowledge criterion", "humanCodingScheme": "X"}]}', "not written by"),
        (
            b'{"CFItems": [{"CFItemType": "Knowledge criterion", "extensions": {"smokehouse": {}}}]}',
            "package",
        ),
    ],
)
def test_another_file_gets_one_line(data, said):
    with pytest.raises(BadData, match=said) as refused:
        read_criteria(data)
    assert "\n" not in str(refused.value)
