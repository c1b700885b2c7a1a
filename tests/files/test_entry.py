"""What a line holds, and what a raw answer may be."""

import json
import math
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.basics.errors import BadData, OutOfRange
from kit.files import storable
from kit.files.book_entry import MAX_ANSWER_BYTES, entry_line, parse_entry, seal, unseal

ANSWERS = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**63), 2**63)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=40),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=8,
)


def facts(**changes):
    made = {"n": 1, "what": "noted", "at": "2026-03-02T09:00:00+00:00", "day": "2026-03-02"}
    return {**made, **changes}


@given(answer=ANSWERS)
def test_any_answer_that_may_be_stored_reads_back_as_it_was(answer):
    try:
        storable(answer)
    except BadData:
        return  # deeper than an answer ever is, or a lone half of a character
    line = entry_line(facts(answer=answer), "p")
    assert line.count(b"\n") == 1
    assert parse_entry(line.rstrip(b"\n"), "line 2").answer == answer


def test_a_line_is_readable_by_a_person():
    line = entry_line(facts(answer="63 °C"), "p").decode()
    assert '"at": "2026-03-02T09:00:00+00:00", "day": "2026-03-02", "answer": "63 °C"' in line
    assert list(json.loads(line))[-2:] == ["prev", "hash"]


@pytest.mark.parametrize(
    "answer",
    [
        math.nan,
        math.inf,
        [1.0, math.nan],
        "\ud800",
        {"a": "\udfff"},
        {1: "a"},
        b"63",
        {"a": object()},
        [[[[[[[1]]]]]]],
    ],
)
def test_what_is_no_plain_text_or_number_is_refused(answer):
    with pytest.raises(BadData, match="the answer"):
        storable(answer)


def test_a_list_that_holds_itself_is_refused():
    answer = []
    answer.append(answer)
    with pytest.raises(BadData, match="too deep"):
        storable(answer)


def test_an_answer_may_be_64_kb_and_not_a_byte_more():
    fits = "x" * (MAX_ANSWER_BYTES - 2)
    assert storable(fits) == fits
    with pytest.raises(OutOfRange, match="65536 bytes or less"):
        storable(fits + "x")
    with pytest.raises(OutOfRange):
        storable("é" * (MAX_ANSWER_BYTES // 2))  # bytes count, not letters
    with pytest.raises(OutOfRange):
        storable("x" * 1_000_000)


def test_unknown_members_and_kinds_are_kept():
    line = entry_line(facts(what="weighed", grams=812.5), "p").rstrip(b"\n")
    entry = parse_entry(line, "line 2")
    assert (entry.what, entry.extra, entry.at, entry.day) == (
        "weighed",
        {"grams": 812.5},
        datetime(2026, 3, 2, 9, tzinfo=UTC),
        date(2026, 3, 2),
    )


def test_times_are_read_in_utc_whatever_zone_they_were_written_in():
    line = entry_line(facts(at="2026-03-02T11:00:00+02:00"), "p").rstrip(b"\n")
    assert parse_entry(line, "x").at.isoformat() == "2026-03-02T09:00:00+00:00"


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"at": "2026-03-02T09:00:00"}, r"at is .* a time with its zone"),
        ({"at": "0001-01-01T00:00:00+14:00"}, "not a time"),
        ({"at": 7}, r"at is 7\. Expected: a time with its zone"),
        ({"day": "2. 3. 2026"}, r"day is '2\. 3\. 2026'\. Expected: a date such as"),
        ({"day": None}, r"day is None\. Expected: a date such as"),
        ({"n": True}, r"n is True\. Expected: a whole number"),
        ({"n": 1.0}, r"n is 1\.0\. Expected: a whole number"),
        ({"score": "1"}, r"score is '1'\. Expected: a number"),
        ({"score": True}, r"score is True\. Expected: a number"),
        ({"of": 10**400}, r"of is 10+…\. Expected: a number"),
        ({"slip": 4}, r"slip is 4\. Expected: text"),
        ({"what": ["attempt"]}, r"what is \['attempt'\]\. Expected: text"),
        ({"what": "attempt"}, "exercise, version, .* is missing"),
        ({"what": "explained"}, "exercise, version, .* is missing"),
    ],
)
def test_a_member_of_the_wrong_type_is_named(changes, problem):
    with pytest.raises(BadData, match=problem):
        parse_entry(entry_line(facts(**changes), "p").rstrip(b"\n"), "line 2")


def test_numbers_that_json_does_not_have_are_refused():
    body = b'{"n": 1, "what": "noted", "at": "2026-03-02T09:00:00+00:00", "day": "2026-03-02", "score": NaN}'
    with pytest.raises(BadData, match="not a line"):
        parse_entry(body, "line 2")


def test_the_hash_is_that_of_the_bytes_before_it():
    # Worked out by hand with another tool: printf '%s' '{"n": 1' | sha256sum (GNU coreutils).
    line = seal({"n": 1}).rstrip(b"\n")
    assert line == b'{"n": 1, "hash": "' + HAND.encode() + b'"}'
    assert unseal(line) == HAND


HAND = "706b303b9f8f955786f3c0ffecdc3f1d79b493a1d6eaac284db10f0bc8f38976"
