"""What a seal says of the rows beside the chain, in a database of nothing else, each column changed alone."""

from __future__ import annotations

import hashlib
import json
from datetime import date, timedelta

import pytest
from sqlalchemy import delete, insert, select, update

from kit.records.ledger import seals, texts
from kit.records.storage import schema
from tests.records.conftest import START

DAY = date(2026, 3, 2)
ENTRY = {
    "person": 1,
    "taking": 1,
    "what": "attempt",
    "at": START,
    "local_day": DAY,
    "exercise": 1,
    "version": 1,
    "occasion": 1,
    "seed": 5,
    "profile": "ie",
    "fingerprint": "f",
}
MARK = {
    "score": 1.0,
    "of": 1.0,
    "verdict": "right",
    "slip": "",
    "claimed_score": 1.0,
    "claimed_verdict": "right",
}
TRY = {"person": 1, "exercise": 1, "at": START, "local_day": DAY, "right": True, "assisted": False}
SALTS = {1: "a1", 2: "b2"}


@pytest.fixture
def connection(engine):
    """One person with two takings: two lines and a flag in the first, a line in the second; all marked."""
    with engine.connect() as opened:

        def put(table, **values):
            opened.execute(insert(table).values(**values))

        put(schema.people, key=1, person_id="p-1", first_taken_at=START)
        put(schema.people, key=2, person_id="p-2", first_taken_at=START + timedelta(days=1))
        put(schema.exercises, key=1, exercise_id="salt-sum")
        put(schema.exercises, key=2, exercise_id="core-hold")
        for key in (1, 2):
            taking = {"taken_at": START, "kit_version": "1", "file_name": "a.book", "first_position": 0}
            put(schema.takings, key=key, person=1, entries=2, **taking)
        for key, position in ((1, 0), (2, 1), (3, 2)):
            facts = {**ENTRY, "taking": 2 if key == 3 else 1, "position": position, "said": {"answer": key}}
            put(schema.entries, key=key, hash=f"h{key}", **facts)
            put(schema.marks, entry=key, counts=True, **MARK)
            put(schema.first_tries, variant=f"v{key}", entry=key, position=position, **TRY)
        put(schema.flags, key=1, person=1, taking=1, position=1, kind="torn", says="The last line is torn.")
        yield opened


CHANGES = [
    *((schema.entries, name, "open") for name in ENTRY if name != "taking"),
    *((schema.entries, name, "open") for name in ("key", "position", "hash")),
    (schema.entries, "said", "closed"),
    *((schema.marks, name, "open") for name in [*MARK, "counts"]),
    *((schema.first_tries, name, "open") for name in TRY if name != "right"),
    *((schema.first_tries, name, "open") for name in ("variant", "position")),
    *(
        (schema.takings, name, "open")
        for name in ("person", "taken_at", "kit_version", "first_position", "entries")
    ),
    (schema.takings, "file_name", "closed"),
    *((schema.flags, name, "open") for name in ("key", "person", "position", "kind")),
    (schema.flags, "says", "closed"),
    (schema.exercises, "exercise_id", "open"),
]


def other(value):
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        return value + 7
    if isinstance(value, dict):
        return {"answer": "other"}
    return f"{value}x" if isinstance(value, str) else value + timedelta(days=1)


@pytest.mark.parametrize(("table", "column", "part"), CHANGES, ids=lambda one: getattr(one, "name", one))
def test_a_change_of_any_column_changes_the_seal_of_its_taking_alone(connection, table, column, part):
    before = seals.digests(connection, SALTS)
    first = next(iter(table.primary_key.columns))
    key = (
        table.c.variant == "v2"
        if table is schema.first_tries
        else first == (2 if table.name in ("entries", "marks") else 1)
    )
    (value,) = connection.execute(select(table.c[column]).where(key)).one()
    changed = (
        2 if column == "exercise" else 9 if column == "key" and table is schema.entries else other(value)
    )
    connection.execute(update(table).where(key).values({column: changed}))
    after = seals.digests(connection, SALTS)
    assert after[1][part] != before[1][part]
    rest = "closed" if part == "open" else "open"
    if (table, column) != (schema.entries, "key"):  # marks and tries hang on the key of a line
        assert after[1][rest] == before[1][rest]
    if table is not schema.exercises:  # its name stands on lines of both
        assert after[2] == before[2]


@pytest.mark.parametrize("table", [schema.entries, schema.marks, schema.first_tries, schema.flags])
def test_a_row_that_went_changes_the_seal(connection, table):
    before = seals.digests(connection)
    key = next(iter(table.primary_key.columns)) if table is not schema.first_tries else table.c.entry
    connection.execute(delete(table).where(key == (1 if table is schema.flags else 2)))
    after = seals.digests(connection)
    assert after[1]["open"] != before[1]["open"] and after[2] == before[2]


def test_lines_in_another_order_are_another_seal(connection):
    before = seals.digests(connection)
    entries = schema.entries
    for key, position in ((1, 9), (2, 0), (1, 1)):
        connection.execute(update(entries).where(entries.c.key == key).values(position=position))
    assert seals.digests(connection)[1]["open"] != before[1]["open"]


def test_what_people_wrote_is_sealed_under_a_salt_and_not_without(connection):
    whole = seals.digests(connection)
    assert set(whole) == {1, 2} and {one["closed"] for one in whole.values()} == {""}
    salted = seals.digests(connection, SALTS)
    assert salted[1]["open"] == whole[1]["open"] and salted[1]["closed"] != salted[2]["closed"]
    assert seals.digests(connection, {1: "other"})[1]["closed"] != salted[1]["closed"]
    assert seals.digests(connection, {1: "a1"}) == {1: salted[1]}
    many = dict.fromkeys(range(1, 150), "a1")  # so many that all are read at once
    assert seals.digests(connection, many)[1] == salted[1]
    assert seals.digests(connection, {}) == {} and seals.digests(connection, {7: "a"}) == {}


def test_the_seal_is_over_the_rows_as_text(connection):
    """Told by hand for the second taking: its own row, then its line with mark and try."""
    at, day = START.isoformat(), DAY.isoformat()
    taking = [1, at, "1", 0, 2]
    line = [3, 1, 2, "h3", "attempt", at, day, 1, 1, 1, 5, "ie", "f", "salt-sum"]
    line += [1.0, 1.0, "right", "", 1.0, "right", True]
    line += [1, 1, "v3", 2, at, day, False]
    said = "".join(json.dumps(one) + "\n" for one in (taking, line))
    found = seals.digests(connection, {2: "b2"})[2]
    assert found["open"] == hashlib.sha256(said.encode()).hexdigest()
    written = "".join(json.dumps(one) + "\n" for one in ("a.book", {"answer": 3}))
    private = hashlib.sha256(written.encode()).hexdigest()
    assert found["closed"] == hashlib.sha256(f"b2\n{private}".encode()).hexdigest()


def name_of(connection, key, person, name, day=0):
    since = START + timedelta(days=day)
    connection.execute(
        insert(schema.names).values(key=key, person=person, name=name, folded=name.lower(), since=since)
    )


def test_an_act_names_new_names_the_basis_and_since_when(connection):
    name_of(connection, 2, 1, "Ana Rask", day=2)
    name_of(connection, 1, 1, "Ana Lind")
    name_of(connection, 3, 2, "Bo Rask")
    both = [
        json.dumps([1, 1, "Ana Lind", "ana lind", START.isoformat()]),
        json.dumps([2, 1, "Ana Rask", "ana rask", (START + timedelta(days=2)).isoformat()]),
    ]
    assert seals.names_of(connection)["p-1"] == both and len(seals.names_of(connection)["p-2"]) == 1
    told = seals.seal_of_person(connection, "p-1")
    assert told["since"] == [1, START.isoformat()] and told["basis"] == ""
    assert [texts.tell(connection, mark) for mark in told["names"]] == both
    connection.execute(insert(schema.basis).values(name="standings", value="b1"))
    name_of(connection, 4, 1, "Ana Holm", day=3)
    again = seals.seal_of_person(connection, "p-1")
    assert again["basis"] == "b1"
    assert [json.loads(texts.tell(connection, mark))[2] for mark in again["names"]] == [
        "Ana Holm"
    ]  # the new one
    assert seals.seal_of_person(connection, "p-2")["since"] == [2, (START + timedelta(days=1)).isoformat()]


def test_the_notes_of_upgrades_are_sealed(connection):
    assert seals.upgrades_digest(connection) == ["", hashlib.sha256(b"").hexdigest()]
    for change in ("0002", "0001"):
        connection.execute(insert(schema.upgrades).values(change=change, kit_version="1", done_at=START))
    said = "\n".join(json.dumps([change, "1", START.isoformat()]) for change in ("0001", "0002"))
    assert seals.upgrades_digest(connection) == ["0002", hashlib.sha256(said.encode()).hexdigest()]


@pytest.mark.parametrize("number", ["", "482913"])
def test_the_act_of_a_taking_carries_its_seal_and_a_salt_that_can_be_erased(connection, number):
    told = seals.seal_of_taking(connection, "p-1", 1, number)
    salt = texts.tell(connection, told["salt"])
    assert len(salt) == 32 and told["taking"] == 1
    assert {name: told[name] for name in ("open", "closed")} == seals.digests(connection, {1: salt})[1]
    assert told.get("number") == (number or None) and ("number" in told) == bool(number)
    assert {"since", "names", "upgrades", "basis"} < set(told)
    assert (
        seals.seal_of_taking(connection, "p-1", 1)["closed"] != told["closed"]
    )  # a salt of its own each time
