"""From the first manager to a verified decision, and every way in which it must refuse."""

from __future__ import annotations

import hashlib
import json
import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError, IntegrityError

from kit.basics.errors import BadData, KitError, OutOfRange, UnknownName
from kit.records.competence import deciding
from kit.records.competence.deciding import Changed, MissingEvidence
from kit.records.competence.disputes import settled_appeals
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import ClockBehind, NotAllowed
from kit.records.ledger.projection import check_chain, follow_again
from kit.records.people import keys, staff
from kit.records.storage import schema
from tests.records.conftest import lift

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def decided(kitchen, criterion="COK-P01"):
    with kitchen.records.reading() as connection:
        return connection.execute(
            schema.decided.select().where(
                schema.decided.c.person == kitchen.apprentice, schema.decided.c.criterion == criterion
            )
        ).one_or_none()


def test_seen_on_enough_days_then_competent_then_signed_by_a_second(kitchen):
    for day in (1, 2):
        kitchen.see(day)
    act = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen on 2 batches.")
    assert act.facts["points"] == [p.number for p in _observed(kitchen)]
    row = decided(kitchen)
    assert (row.decision, row.second) == ("competent", "wanted")  # a tutor's first ones are all looked at
    assert row.review_on == kitchen.clock.now.date() + relativedelta(months=6)
    deciding.verify(kitchen.verifier, act.number, True, "Read the sheets.")
    assert decided(kitchen).second == "agreed"
    assert check_chain(kitchen.records).whole


def _observed(kitchen):
    with kitchen.records.reading() as connection:
        return list(acts.read(connection, kind="observed", person=kitchen.apprentice))


def test_evidence_that_is_missing_is_named_and_nothing_is_recorded(kitchen):
    kitchen.see(1)
    kitchen.see(1, batch="another of the same day")
    before = _head(kitchen)
    with pytest.raises(MissingEvidence, match="observed and met on 1 of 2 days"):
        deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Looks good to me.")
    assert _head(kitchen) == before
    deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "One more batch.")
    assert decided(kitchen).decision == "not yet competent"


def _head(kitchen):
    with kitchen.records.reading() as connection:
        return acts.head(connection)


def test_a_miss_where_it_can_hurt_starts_the_count_again(kitchen):
    for day, outcome in ((1, "met"), (2, "met"), (3, "not met"), (4, "met")):
        kitchen.see(day, outcome)
    with pytest.raises(MissingEvidence, match="1 of 2 days"):
        deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Three times met.")
    kitchen.see(5)
    assert deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Twice since the miss.")


def test_old_evidence_does_not_count(kitchen):
    kitchen.see(1)
    kitchen.see(2)
    kitchen.clock.on(400)
    with pytest.raises(MissingEvidence, match="0 of 2 days"):
        deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen last year.")


@pytest.mark.parametrize("method", ["simulation", "product", "witness", "prior learning", "oral check"])
def test_only_real_work_seen_proves_skill(kitchen, method):
    kitchen.see(1, method=method)
    kitchen.see(2, method=method)
    with pytest.raises(MissingEvidence, match="0 of 2 days"):
        deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Well told.")


def test_practice_alone_never_proves_what_can_hurt(kitchen, write, now, bank):
    from kit.records import take_in

    book = write(kitchen.apprentice, "Tam Ferris")
    for day in range(3):
        book.attempt("core-hold", day=day)
        book.attempt("chill-time", day=day)
    kitchen.clock.on(10)
    take_in(kitchen.records, [book.path], now=kitchen.clock.now, catalogue=bank)
    with pytest.raises(MissingEvidence, match="an oral check or a supervised sitting"):
        deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-K01", "competent", "All right in practice.")
    done = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-K02", "competent", "Shown in practice.")
    assert len(done.facts["entries"]) == 3  # one a day
    kitchen.see(11, criterion="COK-K01", method="oral check", asked=[("Why hold?", "Germs die slowly", True)])
    act = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-K01", "competent", "Asked aloud as well.")
    assert act.facts["points"] and len(act.facts["entries"]) == 3


@pytest.mark.parametrize("method", ["oral check", "supervised sitting"])
def test_asking_alone_proves_what_can_hurt_no_more_than_practice_alone(kitchen, method):
    for day in (1, 2, 3):
        kitchen.see(day, criterion="COK-K01", method=method)
        kitchen.see(day, criterion="COK-K02", method=method)
    with pytest.raises(MissingEvidence, match="practice has not shown it"):
        deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-K01", "competent", "Three good answers.")
    act = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-K02", "competent", "It can hurt nobody.")
    assert len(act.facts["points"]) == 3 and act.facts["entries"] == []


def test_nobody_signs_for_themself(kitchen):
    for day in (1, 2):
        kitchen.see(day)
    with pytest.raises(NotAllowed, match="about themself"):
        deciding.decide(kitchen.tutor, kitchen.tutor.person, "COK-P01", "competent", "I can do it.")
    staff.take_on(kitchen.manager, "verifier", person=kitchen.tutor.person)
    act = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen twice.")
    with pytest.raises(NotAllowed, match="your own"):
        deciding.verify(kitchen.tutor, act.number, True, "I agree with me.")
    with pytest.raises(NotAllowed, match="this needs a verifier"):
        deciding.verify(kitchen.other, act.number, True, "Looks right.")
    opened = deciding.appeal(kitchen.tutor, act.number, "I was not ready.")
    with pytest.raises(NotAllowed, match="somebody else"):
        deciding.settle(kitchen.tutor, opened.number, "stands", "It stands.")


def test_a_tutor_must_be_fit_to_assess_today(kitchen):
    for day in (1, 2):
        kitchen.see(day)
    kitchen.clock.on(901)
    with pytest.raises(NotAllowed, match="ran out on"):
        deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "Seen.")


def test_a_tutor_and_a_verifier_are_fit_on_their_last_day_and_not_on_the_next(kitchen):
    last = 900  # as the kitchen of these tests puts it on file

    def everything(day):
        kitchen.clock.on(day)
        staff.correct_clock(kitchen.manager, "Closed for long.")
        yield lambda: deciding.decide(
            kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "Seen."
        )
        act = decided(kitchen).act
        yield lambda: deciding.verify(kitchen.verifier, act, True, "Read it.")
        opened = deciding.appeal(kitchen.tutor, act, "The apprentice disagrees.")
        yield lambda: deciding.settle(kitchen.other, opened.number, "stands", "Looked at it.")

    for signs in everything(last):
        signs()
    for signs in everything(last + 1):
        with pytest.raises(NotAllowed, match="ran out on"):
            signs()


def test_a_disagreement_takes_the_decision_back_and_keeps_both(kitchen):
    for day in (1, 2):
        kitchen.see(day)
    act = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen twice.")
    deciding.verify(kitchen.verifier, act.number, False, "The sheet of day 2 has no temperature.")
    row = decided(kitchen)
    assert (row.decision, row.second, row.act) == ("not yet competent", "disagreed", act.number)
    with pytest.raises(BadData, match="second signature already"):
        deciding.verify(kitchen.verifier, act.number, True, "On second thoughts.")
    kitchen.see(3)
    again = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen again.")
    assert again.facts["replaces"] == act.number
    with pytest.raises(BadData, match="later decision"):
        deciding.verify(kitchen.verifier, act.number, True, "The old one.")


@pytest.mark.parametrize(
    ("outcome", "then"), [("stands", "competent"), ("assess again", "not yet competent")]
)
def test_an_appeal_opens_a_decision_until_another_settles_it(kitchen, outcome, then):
    for day in (1, 2):
        kitchen.see(day)
    act = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen twice.")
    opened = deciding.appeal(kitchen.tutor, act.number, "The apprentice says: not yet.")
    assert decided(kitchen).appeal == opened.number
    with pytest.raises(BadData, match="still open"):
        deciding.appeal(kitchen.tutor, act.number, "And again.")
    deciding.settle(kitchen.other, opened.number, outcome, "Looked at both sheets.")
    assert (decided(kitchen).appeal, decided(kitchen).decision) == (None, then)
    with kitchen.records.reading() as connection:
        assert settled_appeals(connection, kitchen.tutor.person) == [outcome]
        assert settled_appeals(connection, kitchen.other.person) == []  # who settled it is not who decided
    with pytest.raises(BadData, match="not open any more"):
        deciding.settle(kitchen.other, opened.number, outcome, "Twice.")


def test_two_desks_cannot_decide_over_each_other(kitchen):
    deciding.decide(
        kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "First look.", seen_act=0
    )
    with pytest.raises(Changed, match="since you looked"):
        deciding.decide(
            kitchen.other, kitchen.apprentice, "COK-P01", "not yet competent", "Also.", seen_act=0
        )


def test_what_is_brought_in_always_wants_a_second_signature(kitchen):
    day = kitchen.clock.on(0) - timedelta(days=30)
    with pytest.raises(OutOfRange, match="the day"):
        deciding.bring_in(
            kitchen.tutor,
            kitchen.apprentice,
            "COK-P01",
            day=kitchen.clock.on(0) + timedelta(days=2),
            who="Head chef",
            paper="Folder 3",
            reason="Signed sheet",
        )
    deciding.bring_in(
        kitchen.tutor,
        kitchen.apprentice,
        "COK-P01",
        day=day,
        who="Head chef",
        paper="Folder 3",
        reason="Signed sheet",
    )
    row = decided(kitchen)
    assert (row.second, row.day) == ("wanted", day)


def test_a_key_is_needed_and_must_be_ones_own_and_valid(kitchen):
    bare = replace(kitchen.tutor, key=None)
    with pytest.raises(NotAllowed, match="open your key"):
        deciding.decide(bare, kitchen.apprentice, "COK-P01", "not yet competent", "No key.")
    borrowed = replace(kitchen.tutor, key=kitchen.other.key)
    with pytest.raises(NotAllowed, match="not on file for Osric Vane"):
        deciding.decide(borrowed, kitchen.apprentice, "COK-P01", "not yet competent", "Other key.")
    keys.retire_key(kitchen.manager, kitchen.tutor.key.key_id, "Lost with the laptop.")
    with pytest.raises(NotAllowed, match="was retired"):
        deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "Old key.")
    fresh = kitchen.new_key(kitchen.tutor)
    deciding.decide(fresh, kitchen.apprentice, "COK-P01", "not yet competent", "The new key.")
    assert check_chain(kitchen.records).whole


def test_a_clock_that_fell_behind_records_nothing(kitchen):
    kitchen.see(5)
    kitchen.clock.on(3)
    with pytest.raises(ClockBehind, match="Nothing was recorded"):
        deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "Yesterday.")


@pytest.mark.parametrize(("behind_s", "recorded"), [(119, True), (120, True), (121, False), (600, False)])
def test_a_clock_may_be_2_minutes_behind_and_no_more(kitchen, behind_s, recorded):
    kitchen.see(5)
    before = _head(kitchen)
    kitchen.clock.now -= timedelta(seconds=behind_s)
    note = (kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "One batch so far.")
    if recorded:
        assert deciding.decide(*note).number == before.number + 1
    else:
        with pytest.raises(ClockBehind):
            deciding.decide(*note)
        assert _head(kitchen) == before


def test_roles_come_and_go_and_the_last_manager_stays(kitchen):
    with pytest.raises(NotAllowed, match="last manager"):
        staff.leave(kitchen.manager, kitchen.manager.person, "manager")
    staff.leave(kitchen.manager, kitchen.apprentice, "apprentice", "Left for college.")
    with pytest.raises(NotAllowed, match="no apprentice here now"):
        kitchen.see(1)
    staff.come_back(kitchen.manager, kitchen.apprentice, "apprentice")
    kitchen.see(2)
    with pytest.raises(NotAllowed, match="Only a manager takes on a tutor"):
        staff.take_on(kitchen.tutor, "tutor", name="A friend")
    with pytest.raises(BadData, match="somebody of that name is on file"):
        staff.take_on(kitchen.tutor, "apprentice", name="tam  FERRIS")
    assert staff.take_on(kitchen.tutor, "apprentice", name="Tam Ferris", same_name=True)
    with pytest.raises(NotAllowed, match="a manager already"):
        staff.begin(kitchen.records, "Another boss")


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"declared": False}, "own work"),
        ({"batch": ""}, "names no batch"),
        ({"measures": {"core_temp_c": 630}}, "Is the unit right"),
        ({"files": ["0" * 64]}, "not kept here"),
        ({"method": "hearsay"}, "way of observing"),
    ],
)
def test_an_observation_that_makes_no_sense_is_refused(kitchen, more, says):
    with pytest.raises(KitError, match=says):
        kitchen.see(1, **more)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, -1e-6, 1e7, True, "12", None])
@pytest.mark.parametrize("name", ["weight_before_g", "weight_after_g"])
def test_a_weight_that_cannot_be_is_refused(kitchen, name, value):
    with pytest.raises(OutOfRange, match=name):
        kitchen.see(1, measures={name: value})


@pytest.mark.parametrize(
    ("core_c", "can_be"), [(105, True), (106, False), (-60, True), (-61, False), (145, False)]
)
def test_a_core_hotter_than_boiling_water_is_refused(kitchen, core_c, can_be):
    if can_be:
        assert kitchen.see(1, measures={"core_temp_c": core_c}).facts["measures"] == {"core_temp_c": core_c}
    else:
        with pytest.raises(OutOfRange, match=r"core_temp_c .* from -60 to 105"):
            kitchen.see(1, measures={"core_temp_c": core_c})


def test_a_criterion_of_another_step_is_refused(kitchen):
    with pytest.raises(BadData, match="belongs to the step 'cure'"):
        kitchen.see(1, criterion="CUR-K01")
    with pytest.raises(UnknownName):
        kitchen.see(1, criterion="COK-P99")


@pytest.mark.parametrize("table", ["acts", "entries"])
def test_the_database_itself_keeps_every_row(kitchen, write, bank, table):
    from kit.records import take_in

    book = write(kitchen.apprentice, "Tam Ferris")
    book.attempt("core-hold", day=0)
    take_in(kitchen.records, [book.path], now=kitchen.clock.on(1) and kitchen.clock.now, catalogue=bank)
    kitchen.see(2)
    with pytest.raises(KitError, match="never deleted"), kitchen.records.writing() as connection:
        connection.execute(text(f"DELETE FROM {table}"))
    change = "facts = '{}'" if table == "acts" else "hash = 'x'"
    with pytest.raises(KitError, match="never changed"), kitchen.records.writing() as connection:
        connection.execute(text(f"UPDATE {table} SET {change}"))


HARM = {
    "was changed": "UPDATE acts SET facts = replace(facts, 'not yet', 'now') WHERE kind = 'decided'",
    "was recorded": "UPDATE acts SET at = '2025-01-01 00:00:00.000000' WHERE number = 3",
    "is missing": "DELETE FROM acts WHERE number = 5",
    "does not fit its key": "UPDATE acts SET signature = replace(signature, substr(signature, 1, 4), 'abcd') "
    "WHERE kind = 'decided'",
    "no signature": "UPDATE acts SET signature = NULL WHERE kind = 'decided'",
    "does not follow from": "UPDATE decided SET decision = 'competent'",
    "'roles'": "INSERT INTO roles VALUES ('s-nobody', 'manager', '2026-01-01 00:00:00.000000', NULL)",
    "words kept under": "UPDATE words SET text = 'Well done'",
    "act 5 was changed": "UPDATE acts SET facts = 'no facts' WHERE number = 5",  # somebody's key
    "cannot be read": "UPDATE acts SET at = 'yesterday' WHERE number = 3",
}


NO_MOMENT = pytest.mark.file_only("there a column of moments takes no other word")


@pytest.mark.parametrize(
    ("says", "harm"),
    [pytest.param(*one, marks=NO_MOMENT if "yesterday" in one[1] else ()) for one in HARM.items()],
)
def test_whatever_is_changed_behind_our_back_is_named(kitchen, says, harm):
    kitchen.see(1)
    deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "One batch so far.")
    assert check_chain(kitchen.records).whole
    with kitchen.records.writing() as connection:
        for trigger in ("acts_keep_every_row", "acts_keep_every_word"):
            lift(connection, trigger)
        connection.execute(text(harm))
    found = check_chain(kitchen.records)
    assert any(says in problem for problem in found.problems), found.problems


def test_a_rewritten_chain_has_another_end(kitchen):
    kitchen.see(1)
    printed = _head(kitchen)
    deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "One batch so far.")
    with kitchen.records.reading() as connection:
        assert acts.get(connection, printed.number).hash == printed.hash


@pytest.mark.slow
def test_what_follows_is_worked_out_again_from_the_chain_alone(kitchen):
    for day in (1, 2):
        kitchen.see(day)
    deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen twice.")
    with kitchen.records.writing() as connection:
        connection.execute(schema.decided.delete())
        connection.execute(schema.roles.delete())
        follow_again(connection)
    assert decided(kitchen).decision == "competent"
    assert check_chain(kitchen.records).whole


def test_words_stand_apart_and_can_go(kitchen):
    kitchen.see(1, notes="Nervous, but careful.")
    mark = _observed(kitchen)[0].facts["notes"]
    with kitchen.records.writing() as connection:
        assert texts.tell(connection, mark) == "Nervous, but careful."
        assert texts.erase(connection, kitchen.apprentice) >= 1
        assert texts.tell(connection, mark) == texts.ERASED
    assert check_chain(kitchen.records).whole


def test_an_act_cannot_be_put_anywhere_but_at_the_end(kitchen):
    with pytest.raises((KitError, DatabaseError, IntegrityError)), kitchen.records.writing() as connection:
        connection.execute(
            schema.acts.insert().values(
                number=99, kind="left", at=START, by="x", facts="{}", prev="", hash="0" * 64
            )
        )


@given(st.lists(st.none() | st.text(), min_size=7, max_size=7), st.integers(1, 10**9))
def test_the_hash_of_an_act_is_over_the_json_list_of_what_it_says(words, number):
    kind, by, person, criterion, batch, facts, key_id = words
    about = acts.Draft("", "", criterion=criterion, batch=batch)
    said = [
        number,
        kind or "",
        START.isoformat(),
        by or "",
        person,
        criterion,
        batch,
        facts or "",
        key_id,
        "p",
    ]
    text = json.dumps(said, ensure_ascii=False).encode()
    made = acts.digest(number, kind or "", START, (by or "", person), about, facts or "", key_id, "p")
    assert made == hashlib.sha256(text).hexdigest()
