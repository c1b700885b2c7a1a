"""xAPI statements: read back whole, and held to the rules of the public conformance tests.

Cases of ``SUITE`` are those of ``adlnet/lrs-conformance-test-suite``, ``test/v1_0_3/configs`` (results.js
and timestamps.js, read as stored at commits 4d4f030 and 3fdb746), each with what the suite expects: sound
(200) or refused (400). The durations are those of its durations.js as noted in the project's reading of it.
"""

from __future__ import annotations

from copy import deepcopy
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.basics.errors import BadData
from kit.files.statements import OpenRecord, faults, read_statements, record_of, statement, write_statements

MOMENT = datetime(2026, 3, 2, 9, 15, 42, 500_000, tzinfo=UTC)
ONE = OpenRecord(
    account="p-abc",
    verb="answered",
    about="items/salt-sum/v2",
    kind="cmi.interaction",
    title="Salt for a fish",
    at=MOMENT,
    number=4,
    right=True,
    score=1.0,
    of=2.0,
    instructor="p-xyz",
    revision="2",
    within=("criteria/CUR-K01",),
    more={"slip": "", "counts": None},
)
VALID_DURATION = "PT1H0M0.1S"


def changed(path, value):
    made = deepcopy(statement(ONE))
    *way, last = path.split(".")
    at = made
    for name in way:
        at = at.setdefault(name, {})
    at[last] = value
    return made


def test_what_we_write_is_sound():
    assert faults(statement(ONE)) == []


SUITE = [
    ("result.score", 12345, False),  # XAPI-00079
    ("result.score", "should fail", False),
    ("result.score", {"scaled": 0.6767676}, True),  # XAPI-00083
    ("result.score", {"scaled": 1.0}, True),
    ("result.score", {"scaled": -1.0}, True),
    ("result.score", {"scaled": 1.01}, False),
    ("result.score", {"scaled": -1.00001}, False),
    ("result.score", {"raw": 0.6767676}, True),  # XAPI-00082
    ("result.score", {"raw": 0.6767676, "max": 0.6567676}, False),
    ("result.score", {"raw": 0.6767676, "min": 1.4067676}, False),
    ("result.score", {"min": 0.6767676}, True),  # XAPI-00081
    ("result.score", {"min": 0.6767676, "max": 0.6767355, "raw": 0.6767643}, False),
    ("result.score", {"max": 100.6767676}, True),  # XAPI-00080
    ("result.score", {"max": 100.6767676, "min": 104.6767676, "raw": 101.6767676}, False),
    ("timestamp", "should fail", False),  # XAPI-00123
    ("timestamp", "01/011/2015", False),
    ("timestamp", "2008-09-15T15:53:00.601-00", False),
    ("timestamp", "2008-09-15T15:53:00.601-0000", False),
    ("timestamp", "2008-09-15T15:53:00.601-00:00", False),
]


@pytest.mark.parametrize(("path", "value", "sound"), SUITE)
def test_suite(path, value, sound):
    assert (faults(changed(path, value)) == []) is sound


@pytest.mark.parametrize("lasted", ["PT1H0M0.1S", "PT16559.14S", "P3Y1M29DT4H35M59.14S", "P4W"])
def test_durations_that_hold(lasted):
    assert faults(changed("result.duration", lasted)) == []


@pytest.mark.parametrize("lasted", ["PA1H0M0S", "P4W1D", "P", "PT", "PT1.125S", 12])
def test_durations_that_are_refused(lasted):
    assert faults(changed("result.duration", lasted))


# The checklist, point by point, for what the suite's two files above do not hold.
@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("extra", 1),  # 1: no other name at the top
        ("id", "fe8"),  # 2
        ("context.registration", "no uuid"),
        ("actor.mbox", "mailto:a@example.org"),  # 3: two identifiers
        ("actor.account", {"name": "p-abc"}),
        ("verb.id", "answered"),  # 4
        ("object.id", "items/salt"),
        ("verb.display", {"a_b": "answered"}),
        ("result.score", {"raw": "1"}),  # 5: numbers, never texts
        ("result.score", {"raw": True}),
        ("result.success", "true"),  # 6
        ("result.completion", 1),
        ("result.response", 160),
        ("timestamp", "2026-03-02T09:15:42"),  # 8: with its zone
        ("context.instructor", None),  # 9: no nulls, no empty objects
        ("object.definition", {}),
        ("context.extensions", {"slip": ""}),
        ("context.revision", 2),  # 10
        ("object.objectType", "Agent"),
        ("Actor", {}),  # 9: exact case
    ],
)
def test_checklist(path, value):
    assert faults(changed(path, value))


@pytest.mark.parametrize("name", ["actor", "verb", "object"])
def test_a_missing_part_is_named(name):
    made = statement(ONE)
    del made[name]
    assert faults(made) == [f"{name} is missing"]


def test_a_new_version_of_a_question_is_another_activity():
    later = statement(OpenRecord(**{**vars(ONE), "about": "items/salt-sum/v3"}))
    assert later["object"]["id"] != statement(ONE)["object"]["id"]
    assert later["id"] != statement(ONE)["id"]


WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
NAMES = st.text("abcdefghijklmnop-/0123456789", min_size=1, max_size=20)
RECORDS = st.builds(
    OpenRecord,
    account=NAMES,
    verb=st.sampled_from(["answered", "completed", "passed", "failed"]),
    about=NAMES,
    kind=st.sampled_from(["cmi.interaction", "assessment"]),
    title=WORDS,
    at=st.datetimes(datetime(1970, 1, 1), datetime(2100, 1, 1), timezones=st.just(UTC)),
    number=st.integers(0, 2**40),
    right=st.none() | st.booleans(),
    minutes=st.none() | st.integers(0, 600),
    instructor=st.just("") | NAMES,
    revision=WORDS,
    within=st.lists(NAMES, max_size=3).map(tuple),
    more=st.dictionaries(
        NAMES.filter(lambda name: name != "number"),
        st.none() | WORDS | st.booleans() | st.integers(),
        max_size=4,
    ),
)
SCORED = st.tuples(RECORDS, st.integers(0, 10), st.integers(1, 10)).map(
    lambda drawn: OpenRecord(
        **{**vars(drawn[0]), "score": min(drawn[1], drawn[2]) / 2, "of": float(drawn[2])}
    )
)


@pytest.mark.slow
@given(st.lists(RECORDS | SCORED, max_size=5), st.sampled_from(["https://example.org", "urn:kitchen"]))
def test_any_records_come_back_whole_and_are_sound(records, home):
    assert all(faults(statement(each, home)) == [] for each in records)
    assert read_statements(b"".join(write_statements(records, home))) == tuple(records)


def test_ids_stay_so_that_a_second_delivery_changes_nothing():
    assert statement(ONE)["id"] == statement(ONE)["id"]
    other = OpenRecord(**{**vars(ONE), "number": 5})
    assert statement(other)["id"] != statement(ONE)["id"]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"{", "no JSON"),
        (b"{}", "no list"),
        (b"[1]", "no list"),
        (b"[{}]", "statement 1.*actor is missing"),
        (b"[" * 100_000, "no JSON"),
    ],
)
def test_another_file_gets_one_line(data, said):
    with pytest.raises(BadData, match=said) as refused:
        read_statements(data)
    assert "\n" not in str(refused.value)


def test_a_statement_of_another_system_is_told_apart():
    foreign = statement(ONE)
    del foreign["context"]
    with pytest.raises(BadData, match="not written by the kit"):
        record_of(foreign)
