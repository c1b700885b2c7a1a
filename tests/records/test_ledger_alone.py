"""The chain of acts, what follows from it, and the words beside it, in a database of nothing else.

No trigger of the store stands in the way here, so every attack on a row can be tried; what a row should be is
told by hand.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from sqlalchemy import delete, insert, select, update

from kit.basics.errors import BadData, OutOfRange
from kit.basics.side_work import SideWork
from kit.files.signing import Signer
from kit.records.ledger import acts, draws, erased, joins, projection, texts
from kit.records.ledger.acts import Act, ClockAhead, ClockBehind, Draft, LedgerHead, NotAllowed
from kit.records.storage import schema
from tests.records.conftest import START

KEY, OTHER = (Signer(Ed25519PrivateKey.from_private_bytes(bytes([seed]) * 32)) for seed in (1, 2))
MINUTE = timedelta(minutes=1)
COLUMNS = ("number", "kind", "at", "by", "person", "criterion", "batch", "facts", "key_id", "prev", "hash")


@pytest.fixture
def connection(engine):
    with engine.connect() as opened:
        yield opened


def write(connection, kind="noted", *, by="s-m", person=None, at=START, key=None, batch=None, **facts):
    return acts.append(connection, Draft(kind, by, person, batch=batch, facts=facts), at, key)


def rows(connection):
    return connection.execute(select(schema.acts).order_by(schema.acts.c.number)).all()


# --- adding an act -------------------------------------------------------------------------------------


def test_an_act_is_written_as_it_is_returned_and_hangs_on_the_one_before(connection):
    assert acts.head(connection) == LedgerHead(0, "")
    east = timezone(timedelta(hours=3))
    first = acts.append(connection, Draft("noted", "s-m"), START.astimezone(east))
    draft = Draft("observed", "s-t", "p-1", "COK-P01", "B 7", {"b": 1, "a": "é"})
    second = acts.append(connection, draft, START + MINUTE, KEY)
    assert (first.number, first.prev, first.at, first.facts) == (1, "", START, {})
    assert (first.key_id, first.signature, first.person) == (None, None, None)
    assert (second.number, second.prev, second.at) == (2, first.hash, START + MINUTE)
    assert (second.kind, second.by, second.person) == ("observed", "s-t", "p-1")
    assert (second.criterion, second.batch, second.facts) == ("COK-P01", "B 7", {"b": 1, "a": "é"})
    assert second.key_id == KEY.key_id and second.signature == KEY.sign(
        b"smokehouse act\n" + second.hash.encode()
    )
    assert list(acts.read(connection)) == [first, second]
    assert acts.get(connection, 2) == second and acts.head(connection) == LedgerHead(2, second.hash)
    told = rows(connection)
    assert told[1].facts == '{"a":"é","b":1}'
    for row, act in zip(told, (first, second), strict=True):
        who = (row.by, row.person)
        made = acts.digest(
            row.number,
            row.kind,
            START.replace(minute=row.at.minute),
            who,
            act,
            row.facts,
            row.key_id,
            row.prev,
        )
        assert made == row.hash == act.hash
    with pytest.raises(BadData, match="there is no act 3"):
        acts.get(connection, 3)


def test_the_hash_of_an_act_is_over_a_json_list():
    about = Draft("", "", criterion="COK-P01", batch='B "7"')
    made = acts.digest(7, "noted", START, ("s-m", None), about, '{"a":"é"}', None, "abc")
    said = [
        7,
        "noted",
        "2026-03-02T09:00:00+00:00",
        "s-m",
        None,
        "COK-P01",
        'B "7"',
        '{"a":"é"}',
        None,
        "abc",
    ]
    assert made == hashlib.sha256(json.dumps(said, ensure_ascii=False).encode()).hexdigest()


@pytest.mark.parametrize("kind", sorted(acts.SIGNED))
def test_what_must_be_signed_is_not_written_without_a_key(connection, kind):
    with pytest.raises(NotAllowed, match="needs a signature"):
        write(connection, kind)
    assert acts.head(connection).number == 0
    assert write(connection, kind, key=KEY).signature


@pytest.mark.parametrize("facts", [{"a": float("nan")}, {"a": {1}}, {"a": float("inf")}])
def test_facts_that_cannot_be_kept_are_refused(connection, facts):
    with pytest.raises(BadData, match="its facts cannot be kept"):
        write(connection, **facts)
    assert acts.head(connection).number == 0


@pytest.mark.parametrize(
    ("after", "error"),
    [
        (-2 * MINUTE, None),
        (-2 * MINUTE - timedelta(seconds=1), ClockBehind),
        (timedelta(days=366), None),
        (timedelta(days=366, seconds=1), ClockAhead),
    ],
)
def test_a_clock_is_doubted_beyond_2_minutes_back_and_a_year_ahead(connection, after, error):
    write(connection)
    for kind in (acts.TAKEN_IN, acts.CLOCK_CORRECTED):  # a machine's note, and the cure itself
        with connection.begin_nested() as trial:
            assert write(connection, kind, at=START + 2 * after).number == 2
            trial.rollback()
    if error is None:
        assert write(connection, at=START + after).number == 2
    else:
        with pytest.raises(
            error, match=r"but the last act was recorded at 2026-03-02 09:00 UTC\. Nothing was"
        ):
            write(connection, at=START + after)
        assert acts.head(connection).number == 1


def test_the_note_of_a_machine_locks_nobody_out_and_a_corrected_clock_begins_anew(connection):
    write(connection, acts.TAKEN_IN, at=START + timedelta(days=9000))
    assert write(connection).number == 2
    write(connection, at=START + timedelta(days=300))
    write(connection, acts.CLOCK_CORRECTED, at=START + timedelta(days=10))
    assert write(connection, at=START + timedelta(days=10, minutes=-2)).number == 5
    with pytest.raises(ClockBehind):
        write(connection, at=START + timedelta(days=9))


# --- reading -------------------------------------------------------------------------------------------


def test_acts_are_read_by_kind_person_batch_number_and_fact(connection):
    write(connection, "noted", person="p-1", batch="B1", a_b=1)
    write(connection, "left", person="p-1", batch="B2", axb=1)
    write(connection, "noted", person="p-2", batch="B1", c={"a_b": 2})
    read = lambda **only: [act.number for act in acts.read(connection, **only)]  # noqa: E731
    assert read() == [1, 2, 3]
    assert read(kind="noted") == [1, 3] and read(person="p-1") == [1, 2] and read(batch="B1") == [1, 3]
    assert read(after=1) == [2, 3] and read(after=1, kind="noted") == [3]
    assert read(fact="a_b") == [1, 3]  # a name deeper down may come too; another name never
    assert read(fact="a") == [] and read(kind="") == []


def test_a_code_of_a_paper_is_found_by_its_beginning(connection):
    for _ in range(2):
        write(connection)
    old, new = (act.hash for act in acts.read(connection))
    grouped = LedgerHead(1, old).short
    assert grouped == " ".join(old[at : at + 4] for at in range(0, 24, 4)) and len(grouped) == 29
    for code in (old, new, old[:24], grouped, f" {grouped.upper()}\n"):
        assert acts.follows(connection, code) == ""
    assert acts.follows(connection, old[1:40]).startswith(
        f"no act of these records bears the code {old[1:40]}"
    )
    for code in ("", old[:23], old + "0", "g" * 24, "%" * 24):
        with pytest.raises(BadData, match="no code of a chain"):
            acts.follows(connection, code)


def test_the_end_of_no_chain_is_said_so():
    assert LedgerHead(0, "").short == "no act yet"
    assert LedgerHead(1, "abcdef").short == "abcd ef"


@pytest.mark.parametrize("text", ["", "{", "[1]", "3", "null", '"a"'])
def test_facts_that_somebody_made_unreadable_are_none(text):
    assert acts.facts_of(text) == {}


# --- what is wrong with a row --------------------------------------------------------------------------


@pytest.fixture
def signed(connection):
    """Three acts: a key that is put on file, a signed decision, a note without a signature."""
    public = {"key_id": KEY.key_id, "public": KEY.public}
    write(connection, "key added", person="s-t", **public)
    acts.append(connection, Draft("decided", "s-t", "p-1", "COK-P01", "B1", {"x": 1}), START, KEY)
    write(connection, "noted", person="p-1", batch="B")
    return connection


@pytest.mark.parametrize("column", [name for name in COLUMNS if name not in ("number", "prev", "hash")])
@pytest.mark.parametrize("number", [2, 3])
def test_a_change_of_any_column_of_an_act_is_named(signed, column, number):
    value = START + MINUTE if column == "at" else "another"
    signed.execute(update(schema.acts).where(schema.acts.c.number == number).values({column: value}))
    row, before = rows(signed)[number - 1], rows(signed)[number - 2]
    told = f"act {number} was changed after it was recorded"
    assert acts.problem_of(row, LedgerHead(before.number, before.hash)) == told
    assert acts.problem_of(row, LedgerHead(before.number, before.hash), signatures=False) == told
    assert acts.fault_of(row, acts.public_keys(signed)) == "was changed after it was recorded"


def test_an_act_that_is_missing_or_moved_is_named(signed):
    first, second, third = rows(signed)
    assert acts.problem_of(third, LedgerHead(1, first.hash)) == "act 2 is missing"
    assert acts.problem_of(second, LedgerHead(1, "0" * 64)) == "act 2 does not follow the act before it"
    assert acts.problem_of(second, LedgerHead(1, first.hash)) == ""


def test_a_signature_that_is_missing_is_a_fault_where_one_is_asked_for(signed):
    signed.execute(update(schema.acts).where(schema.acts.c.number == 2).values(signature=None))
    first, second, third = rows(signed)
    assert acts.problem_of(second, LedgerHead(1, first.hash)) == "act 2 has no signature"
    assert acts.problem_of(second, LedgerHead(1, first.hash), signatures=False) == ""
    assert acts.fault_of(second, acts.public_keys(signed)) == "has no signature"
    assert acts.fault_of(third, {}) == ""  # a note needs none


@pytest.mark.parametrize(
    ("publics", "signature", "fits"),
    [
        ({(KEY.key_id, "s-t"): KEY.public}, None, True),
        ({(KEY.key_id, "s-other"): KEY.public}, None, False),  # the key is somebody else's
        ({("0" * 16, "s-t"): KEY.public}, None, False),
        ({(KEY.key_id, "s-t"): OTHER.public}, None, False),
        ({(KEY.key_id, "s-t"): "no key"}, None, False),
        ({}, None, False),
        ({(KEY.key_id, "s-t"): KEY.public}, "no hex", False),
        ({(KEY.key_id, "s-t"): KEY.public}, "00" * 64, False),
    ],
)
def test_a_signature_is_held_to_the_key_of_who_made_the_act(signed, publics, signature, fits):
    if signature is not None:
        signed.execute(update(schema.acts).where(schema.acts.c.number == 2).values(signature=signature))
    row = rows(signed)[1]
    assert acts.fault_of(row, publics) == ("" if fits else "has a signature that does not fit its key")
    what = acts.to_check(row, publics)
    assert what[1:] == (row.hash, row.signature) and acts.signature_fits(*what) is fits
    assert acts.misfits([(7, what), (9, ("", row.hash, row.signature))]) == ([] if fits else [7]) + [9]


def test_a_hash_that_is_none_is_signed_by_nobody():
    assert acts.signature_fits(KEY.public, "é" * 64, "00" * 64) is False


def test_kinds_are_called_as_in_records_of_before():
    kinds = acts.CLOCK_CORRECTED, acts.TAKEN_IN, joins.JOINED, joins.PARTED, draws.DRAWN, draws.TO_DRAW
    assert kinds == ("clock corrected", "taken in", "joined", "parted", "drawn", "to draw")


def test_keys_are_read_from_the_acts_that_put_them_on_file(signed):
    assert acts.public_keys(signed) == {(KEY.key_id, "s-t"): KEY.public}


# --- what follows --------------------------------------------------------------------------------------

FOLLOWING = {
    "roles": schema.roles,
    "signing_keys": schema.signing_keys,
    "assessors": schema.assessors,
    "points": schema.points,
    "decided": schema.decided,
}


def act(number, kind, person="p-1", criterion=None, by="s-t", **facts):
    at = START + number * MINUTE
    return Act(number, kind, at, by, person, criterion, None, facts, None, "", str(number), None)


RULED = {"decision": "competent", "day": "2026-03-01", "review_on": "2026-09-01"}
STORY = [
    act(1, "enrolled", role="apprentice"),
    act(2, "enrolled", role="tutor"),
    act(3, "enrolled", "p-2", role="apprentice"),
    act(4, "left", role="apprentice"),
    act(5, "returned", role="apprentice"),
    act(6, "key added", key_id="k1", public="aa"),
    act(7, "key added", "p-2", key_id="k2", public="bb"),
    act(8, "key retired", key_id="k1"),
    act(9, "assessor", what="Course", since="2026-01-01", until="2027-01-01"),
    act(10, "observed", day="2026-02-01", method="observation", points={"C1": "met", "C2": "not met"}),
    act(11, "observed", "p-2", day="2026-02-02", method="oral check", points={"C1": "not seen"}),
    act(12, "decided", criterion="C1", **RULED, second_wanted=True),
    act(13, "decided", criterion="C2", **RULED),
    act(14, "decided", "p-2", "C1", **{**RULED, "decision": "not yet competent", "review_on": None}),
    act(15, "brought in", criterion="C3", by="s-u", **RULED, second_wanted=True),
    act(16, "second", criterion="C1", act=12, agrees=True),
    act(17, "second", criterion="C3", act=15, agrees=False),
    act(18, "appealed", criterion="C2", act=13),
    act(19, "appealed", "p-2", "C1", act=14),
    act(20, "settled", "p-2", "C1", appeal=19, outcome="stands"),
    act(21, "noted", topic="plan"),
]


def held(connection):
    return {name: sorted(map(tuple, connection.execute(select(table)))) for name, table in FOLLOWING.items()}


def follow_all(connection, story):
    for one in story:
        projection.follow(connection, one)
    return held(connection)


def test_what_follows_from_each_kind_of_act(connection):
    found = follow_all(connection, STORY)
    at = lambda number: START + number * MINUTE  # noqa: E731
    day, review = date(2026, 3, 1), date(2026, 9, 1)
    assert sorted(found["roles"], key=str) == sorted(
        [
            ("p-1", "apprentice", at(1), at(4)),
            ("p-1", "apprentice", at(5), None),
            ("p-1", "tutor", at(2), None),
            ("p-2", "apprentice", at(3), None),
        ],
        key=str,
    )
    assert found["signing_keys"] == [("k1", "p-1", "aa", at(6), at(8)), ("k2", "p-2", "bb", at(7), None)]
    assert found["assessors"] == [(9, "p-1", "Course", date(2026, 1, 1), date(2027, 1, 1))]
    assert found["points"] == [
        (10, "p-1", "C1", "met", date(2026, 2, 1), "observation"),
        (10, "p-1", "C2", "not met", date(2026, 2, 1), "observation"),
        (11, "p-2", "C1", "not seen", date(2026, 2, 2), "oral check"),
    ]
    assert found["decided"] == [
        ("p-1", "C1", 12, "competent", day, review, "s-t", "agreed", 16, None),
        ("p-1", "C2", 13, "competent", day, review, "s-t", "", None, 18),
        ("p-1", "C3", 15, "not yet competent", day, review, "s-u", "disagreed", 17, None),
        ("p-2", "C1", 14, "not yet competent", day, None, "s-t", "", None, None),
    ]


def test_assessing_again_takes_a_decision_back_and_a_later_one_takes_its_place(connection):
    again = act(22, "settled", criterion="C2", appeal=18, outcome="assess again")
    later = act(23, "decided", criterion="C1", by="s-u", **RULED)
    found = {
        row[1]: row for row in follow_all(connection, [*STORY, again, later])["decided"] if row[0] == "p-1"
    }
    assert (found["C2"][3], found["C2"][-1]) == ("not yet competent", None)
    assert found["C1"][2] == 23 and found["C1"][6:] == ("s-u", "", None, None)


def test_an_observation_of_nothing_leaves_nothing(connection):
    projection.follow(connection, act(1, "observed", day="2026-02-01", method="observation", points={}))
    assert held(connection)["points"] == []


@pytest.mark.parametrize("person", [None, "p-1", "p-2"])
def test_what_follows_is_the_same_worked_out_again_at_one_go(connection, person):
    later = act(22, "decided", criterion="C1", by="s-u", **RULED)
    story = [*STORY, later, act(23, "second", criterion="C1", act=22, agrees=False)]
    wanted = follow_all(connection, story)
    who = ("p-1", "p-2") if person is None else (person,)
    for table in FOLLOWING.values():  # somebody had written into them
        if "person" in table.c:
            connection.execute(update(table).where(table.c.person.in_(who)).values({_a_text(table): "wrong"}))
    assert held(connection) != wanted
    projection.follow_again(connection, person, [one for one in story if one.person in who])
    assert held(connection) == wanted


def _a_text(table):
    names = {"roles": "role", "signing_keys": "public", "assessors": "what", "points": "method"}
    return names.get(table.name, "decision")


TO_BE_DRAWN = {**RULED, "second_wanted": False, "draw_every": 1}


@pytest.mark.parametrize(
    "after",
    [
        act(23, "second", criterion="C1", act=22, agrees=False),
        act(23, "appealed", criterion="C1", act=22),
        act(23, "drawn", criterion="C1", act=22, every=1),
    ],
)
def test_what_comes_right_after_a_decision_finds_it_when_it_is_worked_out_again(connection, after):
    story = [act(22, "decided", criterion="C1", **TO_BE_DRAWN), after]
    wanted = follow_all(connection, story)
    assert wanted["decided"][0][7:] != ("to draw", None, None)
    projection.follow_again(connection, None, story)
    assert held(connection) == wanted


def test_whoever_signs_draws_what_others_decided_about_others(connection):
    for by, person, more in (
        ("s-t", "p-0", {"draw_every": 1}),  # one's own decision
        ("s-u", "s-t", {"draw_every": 1}),  # about oneself
        ("s-u", "p-1", {"draw_every": 1}),
        ("s-u", "p-2", {"draw_every": 2**63}),
        ("s-u", "p-3", {"second_wanted": True}),  # wanted anyway
        ("s-u", "p-4", {}),
    ):
        draft = Draft("decided", by, person, "C1", facts=RULED | more)
        projection.follow(connection, acts.append(connection, draft, START, OTHER))
    projection.draw_open(connection, "s-t", KEY, START + MINUTE)
    drawn = list(acts.read(connection, after=6))
    assert [(one.kind, one.by, one.person, one.criterion) for one in drawn] == [
        ("drawn", "s-t", "p-1", "C1"),
        ("drawn", "s-t", "p-2", "C1"),
    ]
    assert [one.facts for one in drawn] == [{"act": 3, "every": 1}, {"act": 4, "every": 2**63}]
    assert all(one.signature and one.at == START + MINUTE for one in drawn)
    seconds = dict(connection.execute(select(schema.decided.c.act, schema.decided.c.second)).all())
    assert seconds == {1: "to draw", 2: "to draw", 3: "wanted", 4: "", 5: "wanted", 6: ""}
    projection.draw_open(connection, "s-t", KEY, START + MINUTE)  # nothing is drawn twice
    assert acts.head(connection).number == 8


def test_a_draw_changes_nothing_that_was_signed_meanwhile(connection):
    story = [
        act(22, "decided", criterion="C1", **TO_BE_DRAWN),
        act(23, "second", criterion="C1", act=22, agrees=True),
        act(24, "drawn", criterion="C1", act=22, every=1),
    ]
    assert follow_all(connection, story)["decided"][0][7] == "agreed"


def test_worked_out_again_without_the_points_leaves_them_alone(connection):
    wanted = follow_all(connection, STORY)
    others = [table for table in projection.FOLLOWS if table is not schema.points]
    projection.follow_again(connection, None, STORY, others)
    assert held(connection) == wanted


def test_worked_out_again_from_the_chain_itself(connection):
    write(connection, "enrolled", person="p-1", role="apprentice")
    write(connection, "enrolled", person="p-2", role="tutor")
    projection.follow_again(connection)
    assert [row[:2] for row in held(connection)["roles"]] == [("p-1", "apprentice"), ("p-2", "tutor")]
    connection.execute(delete(schema.roles))
    projection.follow_again(connection, "p-2")
    assert [row[:2] for row in held(connection)["roles"]] == [("p-2", "tutor")]


def test_signatures_are_checked_in_lots_and_each_that_does_not_fit_is_named_in_order(signed, monkeypatch):
    monkeypatch.setattr(projection._Signatures, "LOT", 2)
    row, given = rows(signed)[1], []

    class Side(SideWork):
        def give(self, work, what):
            given.append(len(what))
            return super().give(work, what)

    told = projection._Signatures(Side())
    fits, misfit = {(KEY.key_id, "s-t"): KEY.public}, {}
    for number, publics in ((2, misfit), (3, fits), (4, misfit), (5, misfit), (6, misfit)):
        one = {**row._mapping, "number": number}
        told.add(_Row(one), publics)
    told.add(_Row({**row._mapping, "number": 7, "signature": None}), misfit)
    assert told.wrong() == [2, 4, 5, 6] and given == [2, 2]


class _Row:
    def __init__(self, values):
        self.__dict__.update(values)


# --- erased people, joined ids -------------------------------------------------------------------------


def test_the_day_of_erasing_is_that_of_the_first_act(connection):
    assert erased.erased_on(connection, "p-1") is None and erased.why_gone(connection, "p-1") == ""
    noon = datetime(2026, 3, 2, 12).astimezone()
    write(connection, "noted", person="p-1", at=noon - timedelta(days=2))
    write(connection, "erased", person="p-2", at=noon - timedelta(days=1))
    write(connection, "erased", person="p-1", at=noon)
    write(connection, "erased", person="p-1", at=noon + timedelta(days=3))
    assert erased.erased_on(connection, "p-1") == date(2026, 3, 2)
    assert "was erased from the records on 2026-03-02." in erased.why_gone(connection, "p-1")


def test_ids_are_joined_until_they_are_parted(connection):
    write(connection, "joined", person="s-a", key=KEY, other="p-a")
    write(connection, "joined", person="s-b", key=KEY, other="p-b")
    write(connection, "noted", person="s-c", other="p-c")
    assert joins.joins_standing(connection) == {1: ("p-a", "s-a"), 2: ("p-b", "s-b")}
    assert joins.joined_ids(connection) == {"p-a": "s-a", "p-b": "s-b"}
    assert joins.together(connection, "s-a") == ("s-a", "p-a") and joins.together(connection, "s-c") == (
        "s-c",
    )
    write(connection, "parted", person="s-a", key=KEY)  # names no act: parts nothing
    assert joins.joined_ids(connection) == {"p-a": "s-a", "p-b": "s-b"}
    write(connection, "parted", person="s-a", key=KEY, act=1)
    assert joins.joined_ids(connection) == {"p-b": "s-b"}


def test_the_book_of_joined_ids_is_found_under_the_one_that_took_it_in(connection):
    write(connection, "joined", person="s-a", key=KEY, other="p-a")
    assert joins.book_id(connection, "s-x") == "s-x" and joins.book_id(connection, "s-a") == "s-a"
    for key, person in ((1, "s-a"), (2, "p-a"), (3, "p-x")):
        connection.execute(insert(schema.people).values(key=key, person_id=person, first_taken_at=START))
    taking = {"taken_at": START, "kit_version": "1", "file_name": "f", "first_position": 0, "entries": 1}
    connection.execute(insert(schema.takings).values(person=3, **taking))
    assert joins.book_id(connection, "s-a") == "s-a"
    connection.execute(insert(schema.takings).values(person=2, **taking))
    assert joins.book_id(connection, "s-a") == "p-a"


@pytest.mark.parametrize(
    ("kind", "facts", "says"),
    [
        ("drawn", {"act": 3, "every": 1}, {3: True}),
        ("drawn", {"act": 3, "every": 2**63}, {3: False}),
        ("noted", {"act": 3, "every": 1}, {}),
        ("drawn", {"act": "3", "every": 1}, {}),
        ("drawn", {"act": 3, "every": "1"}, {}),
        ("drawn", {"act": 3, "every": 0}, {}),
        ("drawn", {"act": 3, "every": -1}, {}),
        ("drawn", {"every": 1}, {}),
        ("drawn", {"act": 3}, {}),
    ],
)
def test_a_draw_with_facts_that_somebody_changed_says_nothing(kind, facts, says):
    assert draws.draws_in([act(9, kind, **facts)]) == says


def test_whether_a_second_signature_was_asked_for_in_words():
    told = [
        ({}, None),
        ({"second_wanted": False}, None),
        ({"second_wanted": True}, None),
        ({"draw_every": 2}, None),
    ]
    assert [draws.asked_words(*one) for one in told] == ["", "not drawn", "wanted", "to draw"]
    assert [draws.asked_words({"draw_every": 2}, drawn) for drawn in (True, False)] == ["wanted", "not drawn"]
    lot = hashlib.sha256(b"second signature\n" + b"ab").digest()  # told by hand
    assert draws.is_drawn("ab", 7) is (int.from_bytes(lot[:8], "big") % 7 == 0)
    assert draws.is_drawn("ab", int.from_bytes(lot[:8], "big"))


# --- words apart ---------------------------------------------------------------------------------------


def test_words_are_kept_under_a_mark_and_told_as_they_were(connection):
    assert texts.keep(connection, " \n", "p-1") == "" and texts.tell(connection, "") == ""
    mark = texts.keep(connection, "  Held the probe well. ", "p-1")
    assert texts.tell(connection, mark) == "Held the probe well."
    (row,) = connection.execute(select(schema.words))
    assert (row.mark, row.person, row.text) == (mark, "p-1", "Held the probe well.") and len(row.salt) == 32
    assert mark == texts.mark_of(row.salt, row.text)
    again = texts.keep(connection, "Held the probe well.", "p-1")
    assert again != mark  # under a salt of its own: equal words have no equal marks
    assert texts.tell(connection, "0" * 64) == "(erased)"


def test_words_have_a_longest_length(connection):
    assert texts.keep(connection, "x" * 8000, "p-1")
    with pytest.raises(OutOfRange, match="8001 characters long; it must be 8000 or fewer"):
        texts.keep(connection, "x" * 8001, "p-1")


def test_words_that_were_changed_are_named_and_not_told(connection):
    mine = texts.keep(connection, "Not met.", "p-1")
    salted = texts.keep(connection, "Salt.", "p-2")
    texts.keep(connection, "As it was.", "p-2")
    assert texts.changed(connection) == []
    words = schema.words
    connection.execute(update(words).where(words.c.mark == mine).values(text="Met."))
    connection.execute(update(words).where(words.c.mark == salted).values(salt="0" * 32))
    assert set(texts.changed(connection)) == {mine, salted}
    assert texts.changed(connection, "p-1") == [mine] and texts.changed(connection, "p-3") == []
    assert texts.tell(connection, mine) == texts.tell(connection, salted) == texts.ERASED


def test_many_words_are_told_at_once_and_only_theirs_are_erased(connection):
    marks = {texts.keep(connection, f"Note {number}", "p-1"): f"Note {number}" for number in range(501)}
    hers = texts.keep(connection, "Of another.", "p-2")
    assert texts.tell_all(connection, [*marks, *marks, "", "0" * 64]) == marks
    assert texts.tell_all(connection, []) == {}
    assert texts.erase(connection, "p-1") == 501 and texts.erase(connection, "p-1") == 0
    assert texts.tell_all(connection, [*marks, hers]) == {hers: "Of another."}


def test_a_signing_key_is_no_act_of_another(signed):
    decided = rows(signed)[1]
    forged = replace(acts.act_of(decided), by="s-m")
    assert acts.to_check(forged, acts.public_keys(signed))[0] == ""
