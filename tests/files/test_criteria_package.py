"""A CASE package of the criteria: read back whole, every link leads somewhere, ids that never move.

The names are those of a public package (``osu-cass/AP-CSE-API``, mockPackage.ts, as noted when it was read
for the project). Which of them are required is from memory: no official JSON Schema was to be had.
"""

from __future__ import annotations

import json
import uuid
from datetime import UTC, datetime

import pytest

from kit import criteria
from kit.basics.errors import BadData
from kit.files.criteria_package import read_criteria, write_criteria

DAY = datetime(2026, 3, 2, 9, tzinfo=UTC)
REQUIRED = {  # from memory
    "CFDocument": {"identifier", "uri", "creator", "title", "lastChangeDateTime", "CFPackageURI"},
    "CFItems": {"identifier", "uri", "fullStatement", "lastChangeDateTime", "CFDocumentURI"},
    "CFAssociations": {
        "identifier",
        "uri",
        "associationType",
        "originNodeURI",
        "destinationNodeURI",
        "lastChangeDateTime",
    },
}
KINDS_OF_TIE = {  # from memory, of CASE 1.0
    *("isChildOf", "isPeerOf", "isPartOf", "exactMatchOf", "precedes", "isRelatedTo", "replacedBy"),
    *("exemplar", "hasSkillLevel"),
}


@pytest.fixture(scope="module")
def data():
    return write_criteria(criteria.load(), DAY, "Skerry Smokehouse")


@pytest.fixture
def package(data):
    return json.loads(data)


def test_all_criteria_come_back_whole(data):
    assert read_criteria(data) == criteria.load()


def test_required_names_and_no_null(package):
    assert set(package["CFDocument"]) >= REQUIRED["CFDocument"]
    for part in ("CFItems", "CFAssociations"):
        assert all(set(each) >= REQUIRED[part] for each in package[part])
    assert b"null" not in json.dumps(package).encode()
    assert {each["associationType"] for each in package["CFAssociations"]} <= KINDS_OF_TIE


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
