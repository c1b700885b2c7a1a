"""The one reader of TOML and JSON: whatever a file holds, it is built as annotated or refused in words."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Literal, NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.basics.data_files import Moment, Number, Text, build, json_of, toml_of
from kit.basics.errors import BadData


class Pair(NamedTuple):
    temp_c: Number
    minutes: Number


@dataclass(frozen=True)
class Part:
    id: Text
    share: Number


@dataclass(frozen=True)
class Thing:
    name: Text
    count: int
    step: Literal["cook", "chill"]
    at: Moment
    seen: bool
    limit: Number | None = None
    parts: tuple[Part, ...] = ()
    pairs: tuple[Pair, ...] = ()
    main: Part | None = None
    rows: Mapping[str, int] | None = None
    any: Any = None


RIGHT: dict[str, Any] = {
    "name": "cabinet",
    "count": 3,
    "step": "cook",
    "at": "2026-03-02T09:15:00+00:00",
    "seen": True,
    "limit": 2.5,
    "parts": [{"id": "door", "share": 1}, {"id": "wall", "share": 0.5}],
    "pairs": [[70, 2], [75.5, 0]],
    "main": {"id": "door", "share": 1},
    "rows": {"a": 1},
    "any": [1, {"b": None}],
}
WRONG = {
    "name": [3, None, True, "", "  ", ["x"], {"x": 1}],
    "count": ["3", 3.0, True, None, [], math.nan],
    "step": ["cok", 3, None, "COOK", ["cook"]],
    "at": ["2026-03-02", "2026-03-02T09:15:00", 7, None, "yesterday", True],
    "seen": [1, 0, "true", None, []],
    "limit": ["2.5", math.nan, math.inf, -math.inf, 1e9, 10**400, True, [2.5]],
    "parts": [{}, "x", 3, None, [3], [{"id": "a"}], [{"id": "a", "share": "x"}], [{"id": 1, "share": 1}]],
    "pairs": [[70], [[70]], [[70, "2"]], [[70, 2, 3]], [[math.nan, 2]], "x"],
    "main": [[], 3, {"id": "a"}, {"id": "", "share": 1}],
    "rows": [{"a": "1"}, [], {"a": 1.5}],
}
TEXT = st.text(st.characters(exclude_categories=("Cs",)), max_size=8)
JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(st.characters(exclude_categories=("Cs",))),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=4),
    max_leaves=12,
)


def refused(facts, **how):
    with pytest.raises(BadData) as caught:
        build(Thing, facts, "thing.toml", **how)
    return caught.value


def test_what_is_right_is_built_as_annotated():
    made = build(Thing, RIGHT, "thing.toml")
    assert made.parts[1] == Part("wall", 0.5) and made.pairs[0] == Pair(70.0, 2.0)
    assert isinstance(made.limit, float) and made.at.utcoffset() is not None
    assert isinstance(build(Thing, {**RIGHT, "limit": 2}, "x").limit, float), "2 is a number too"


@pytest.mark.parametrize(("name", "value"), [(name, value) for name, all_ in WRONG.items() for value in all_])
def test_a_value_of_the_wrong_sort_is_told_with_what_is_allowed(name, value):
    error = refused({**RIGHT, name: value})
    assert name in f"{error.where} {error.problem}" and error.expected
    assert len(str(error)) < 400 and "$" not in str(error)


@pytest.mark.parametrize("name", ["name", "count", "step", "at", "seen"])
def test_a_missing_name_is_told(name):
    error = refused({key: value for key, value in RIGHT.items() if key != name})
    assert error.problem == f"{name!r} is missing" and error.expected


def test_an_unknown_name_is_told_with_the_nearest_known_one():
    error = refused({**RIGHT, "limt": 3})
    assert (error.problem, error.likely_cause) == ("unknown name 'limt'", "Did you mean 'limit'?")
    assert build(Thing, {**RIGHT, "limt": 3}, "x", more=True) == build(Thing, RIGHT, "x")
    passed_over = refused({**RIGHT, "limt": 3, "count": "3", "main": None}, more=True)
    assert passed_over.problem == "count is '3'"
    inner = refused({**RIGHT, "parts": [{"id": "a", "share": 1, "shore": 2}]})
    assert (inner.where, inner.likely_cause) == ("thing.toml, parts 'a'", "Did you mean 'share'?")


def test_a_near_miss_of_a_list_of_names_is_guessed():
    assert refused({**RIGHT, "step": "cok"}).likely_cause == "Did you mean 'cook'?"


def test_all_faults_come_in_one_message():
    facts = {**RIGHT, "count": "3", "limit": "cold", "main": {"id": "a", "share": "x"}, "more": 1}
    facts["parts"] = [{"id": "door"}, {"share": 1}]
    text = str(refused(facts))
    for said in (
        "count is '3' (expected: a whole number)",
        "limit is 'cold' (expected: a number)",
        "main: share is 'x'",
        "parts 'door': 'share' is missing",
        "parts 2: 'id' is missing",
        "unknown name 'more'",
    ):
        assert said in text


@pytest.mark.slow
@given(st.dictionaries(st.sampled_from([*RIGHT, "other"]), JSON, max_size=11))
def test_any_plain_data_is_built_or_refused_in_words(facts):
    try:
        made = build(Thing, {**RIGHT, **facts}, "thing.toml")
    except BadData as error:
        assert error.problem and error.where.startswith("thing.toml")
    else:
        assert made == build(Thing, {**RIGHT, **facts}, "thing.toml")
        assert not set(facts) - {each.name for each in fields(Thing)}


@given(JSON)
def test_anything_in_place_of_a_table_is_refused_in_words(facts):
    if not isinstance(facts, dict):
        assert "is" in refused(facts).problem


@pytest.mark.slow
@given(st.dictionaries(TEXT, JSON, max_size=5))
def test_json_reads_back_what_was_written_or_says_why_not(facts):
    data = json.dumps(facts).encode()
    try:
        assert json_of(data, "a.json") == facts
    except BadData:
        assert b"NaN" in data or b"Infinity" in data


@given(st.binary(max_size=200) | st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace")))
def test_any_bytes_are_read_or_refused_in_words(data):
    for read in (toml_of, json_of):
        try:
            assert isinstance(read(data, "a"), dict)
        except BadData as error:
            assert error.where == "a" and error.expected


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (b'{"n": 1, "n": 2}', "'n' stands twice"),
        (b'{"a": [{"n": 1, "m": 2, "n": 1}]}', "'n' stands twice"),
        (b'{"n": NaN}', "this is not a whole object of JSON"),
        (b'{"n": -Infinity}', "this is not a whole object of JSON"),
        (b'{"n": 1e400}', "this is not a whole object of JSON"),
        (b'{"n": ' + b"1" * 5_000 + b"}", "this is not a whole object of JSON"),
        (b'{"n": "\\ud800"}', "this is not a whole object of JSON"),
        (b'{"n": "\xed\xa0\x80"}', "this is not a whole object of JSON"),
        (b'{"n": "\xff"}', "this is not a whole object of JSON"),
        (b'{"n": ' + b"[" * 50_000 + b"]" * 50_000 + b"}", "this is not a whole object of JSON"),
        (b'{"n":' * 50_000 + b"1" + b"}" * 50_000, "this is not a whole object of JSON"),
        (b'{"n": 1', "this is not a whole object of JSON"),
        (b'{"n": 1} x', "this is not a whole object of JSON"),
        (b"[1]", "this is not a whole object of JSON"),
        (b"", "this is not a whole object of JSON"),
    ],
)
def test_what_no_json_of_ours_holds_is_refused(data, problem):
    with pytest.raises(BadData, match=problem):
        json_of(data, "a.json")


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (b"n = 1\nn = 2\n\n", r"not TOML: .*line 2"),
        (b"n = nan", "cannot hold"),
        (b"n = inf", "cannot hold"),
        (b"n = 2026-03-02", "cannot hold"),
        (b"n = " + b"1" * 5_000, "this is not TOML"),
        (b'n = "\\ud800"', "this is not TOML"),
        (b'n = "\xed\xa0\x80"', "byte 5 is not UTF-8"),
        (b"n = " + b"[" * 5_000 + b"]" * 5_000, "this is not TOML"),
        (b"n = \x00", "this is not TOML"),
        (b"[n\n", "this is not TOML"),
    ],
)
def test_what_no_toml_of_ours_holds_is_refused(data, problem):
    with pytest.raises(BadData, match=problem):
        toml_of(data, "a.toml")


def test_a_mark_that_some_editors_put_first_does_no_harm():
    assert toml_of(b"\xef\xbb\xbfn = 1\r\n", "a.toml") == {"n": 1}
