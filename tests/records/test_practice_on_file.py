"""How far practice has come, as it is kept and told; disputed marks; and sheets that are signed as one."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from types import SimpleNamespace

import pytest
from sqlalchemy import insert, select

from kit.basics.errors import KitError, OutOfRange
from kit.criteria.knowledge import TOO_MANY
from kit.records.competence import disputes, first_tries, sheets, standings
from kit.records.competence.deciding import MissingEvidence, Wish
from kit.records.competence.observations import Observation
from kit.records.competence.readings import Contradicted
from kit.records.competence.standings import Practice
from kit.records.ledger import acts
from kit.records.ledger.acts import Draft
from kit.records.storage import schema
from tests.records.conftest import START, SmallBank

TODAY = date(2026, 3, 2)


@pytest.fixture
def connection(engine):
    """Two people, three exercises, and a fourth that is evidence for nothing."""
    with engine.connect() as opened:
        for key, person in ((1, "p-1"), (2, "p-2"), (3, "p-3")):
            opened.execute(insert(schema.people).values(key=key, person_id=person, first_taken_at=START))
        for key, name in enumerate(("salt-sum", "core-hold", "chill-time", "old-one"), start=1):
            opened.execute(insert(schema.exercises).values(key=key, exercise_id=name))
        opened.execute(
            insert(schema.takings).values(
                key=1, person=1, taken_at=START, kit_version="1", file_name="f", first_position=0, entries=9
            )
        )
        yield opened


def stands(connection, person, criterion, **more):
    values = {
        "held": False,
        "days_right": 1,
        "days_needed": 3,
        "tries": 5,
        "last_day": TODAY,
        "held_until": None,
        "first_held": None,
        "lost_on": None,
        "still": 4,
        "notches": 2,
        "evidence": 0.5,
        "counted": [7, 9],
        "missed": [8],
    } | more
    connection.execute(insert(schema.standings).values(person=person, criterion=criterion, **values))


# --- practice ------------------------------------------------------------------------------------------


def test_practice_is_read_of_all_of_some_and_of_what_is_held(connection):
    stands(connection, 1, "COK-K01", held=True, held_until=TODAY, first_held=TODAY)
    stands(connection, 1, "COK-K02")
    stands(connection, 2, "COK-K01", lost_on=TODAY)
    held = Practice(TODAY, 2, 1, 3, 5, TODAY, 4, TODAY, None, "[7, 9]")
    tried = Practice(None, 2, 1, 3, 5, TODAY, 4, None, None, "[7, 9]")
    mine = {"COK-K01": held, "COK-K02": tried}
    lost = tried._replace(lost_on=TODAY)
    on_file = standings.practice_on_file
    assert on_file(connection) == {"p-1": mine, "p-2": {"COK-K01": lost}, "p-3": {}}
    assert on_file(connection, ["p-1"]) == {"p-1": mine}
    assert on_file(connection, ["p-2", "p-9"]) == {"p-2": {"COK-K01": lost}}
    assert on_file(connection, held=True) == {"p-1": {"COK-K01": held}, "p-2": {}, "p-3": {}}


def test_the_last_day_of_practice_is_told_of_whoever_practised(connection):
    stands(connection, 1, "COK-K01", last_day=TODAY - timedelta(days=3))
    stands(connection, 1, "COK-K02")
    stands(connection, 2, "COK-K01", last_day=None)
    assert standings.last_practice_days(connection) == {"p-1": TODAY}


def test_who_is_stuck_is_told_where_they_tried_most_without_ever_showing_it(connection):
    stands(connection, 1, "COK-K01", tries=20)
    stands(connection, 1, "COK-K02", tries=30)
    stands(connection, 1, "CUR-K01", tries=40, first_held=TODAY)  # shown once: not stuck
    stands(connection, 1, "COK-P01", tries=50)  # not asked about
    stands(connection, 2, "COK-K01", tries=19)
    among = ("COK-K01", "COK-K02", "CUR-K01")
    assert standings.stuck_at(connection, 20, among) == {"p-1": "COK-K02"}
    assert standings.stuck_at(connection, 19, ("COK-K01",)) == {"p-1": "COK-K01", "p-2": "COK-K01"}


@pytest.mark.parametrize(
    ("told", "day", "says"),
    [
        ({"held_until": TODAY, "first_held": TODAY}, TODAY, "quite sure"),
        (
            {"held_until": TODAY, "first_held": TODAY},
            date(2026, 4, 1),
            "shaky since March 2026: about 4 more right, on 2 more days",
        ),
        (
            {"first_held": TODAY, "lost_on": date(2026, 5, 9), "days_right": 2},
            date(2026, 6, 1),
            "shaky since May 2026: about 4 more right, on 1 more day",
        ),
        ({"first_held": TODAY}, TODAY, "shaky: about 4 more right, on 2 more days"),
        ({}, TODAY, "not enough yet: about 4 more right, on 2 more days"),
        ({"still": 0, "days_right": 3}, TODAY, "not enough yet: about 1 more right, on 1 more day"),
        (
            {"still": TOO_MANY},
            TODAY,
            "not enough yet: its exercises are too easily guessed, so ask aloud",
        ),
        ({"still": TOO_MANY - 1}, TODAY, "not enough yet: about 39 more right, on 2 more days"),
        ({"tries": 0}, TODAY, "not begun: about 4 more right, on 2 more days"),
    ],
)
def test_how_sure_practice_is_in_words(told, day, says):
    facts = dict(zip(Practice._fields, (None, 2, 1, 3, 5, TODAY, 4, None, None, "[]"), strict=True))
    assert Practice(**(facts | told)).says_on(day) == says


def line(connection, key, *, person=1, exercise=1, what="attempt", position=None):
    facts = {"person": person, "taking": 1, "hash": f"h{key}", "what": what, "exercise": exercise}
    connection.execute(
        insert(schema.entries).values(key=key, position=key if position is None else position, **facts)
    )


def first_try(connection, key, *, person=1, exercise=3, right=True, day=0):
    line(connection, key, person=person, exercise=exercise)
    connection.execute(
        insert(schema.first_tries).values(
            person=person,
            exercise=exercise,
            variant=f"v{key}",
            entry=key,
            position=key,
            at=START + timedelta(days=day),
            local_day=TODAY + timedelta(days=day),
            right=right,
            assisted=False,
        )
    )


def test_standings_follow_from_the_first_tries_of_each(connection):
    for key in (1, 2, 3):
        first_try(connection, key, day=key)
    first_try(connection, 4, day=4, right=False)
    first_try(connection, 5, person=2, exercise=1)
    bank = SmallBank()
    tries = standings.tries_on_file(connection, [1])
    assert set(tries) == {1} and [one.key for one in tries[1]] == [1, 2, 3, 4]
    assert {one.exercise for one in tries[1]} == {"chill-time"}
    assert [one.right for one in tries[1]] == [True, True, True, False]
    known = bank.knowledge(tries[1])["COK-K02"]
    stands(connection, 1, "COK-P01")  # of a rule of before
    stands(connection, 2, "COK-K02")
    standings.refresh(connection, [1], bank)
    rows = connection.execute(select(schema.standings).order_by(schema.standings.c.person)).all()
    assert [(row.person, row.criterion) for row in rows] == [(1, "COK-K02"), (2, "COK-K02")]
    told = dict(rows[0]._mapping)
    assert told == {
        "person": 1,
        "criterion": "COK-K02",
        "held": known.held,
        "days_right": 3,
        "days_needed": 2,
        "tries": 4,
        "last_day": TODAY + timedelta(days=4),
        "held_until": known.held_until,
        "first_held": known.first_held,
        "lost_on": known.lost_on,
        "still": known.still,
        "notches": known.notches,
        "evidence": known.evidence,
        "counted": [1, 2, 3],
        "missed": [4],
    }
    assert known.first_held is not None
    standings.refresh(connection, [3], bank)  # who tried nothing stands nowhere
    assert len(connection.execute(select(schema.standings)).all()) == 2


# --- disputed marks ------------------------------------------------------------------------------------


def test_a_disputed_mark_opens_what_it_is_evidence_for_until_somebody_looks(connection):
    line(connection, 1, exercise=2, what="dispute")  # core-hold
    line(connection, 2, exercise=4, what="dispute")  # of no criterion any more
    line(connection, 3, person=2, exercise=1, what="dispute")  # salt-sum
    line(connection, 4, person=2, exercise=3)  # an answer
    bank = SmallBank()
    both = {"p-1": {"COK-K01", "COK-P01"}, "p-2": {"CUR-K01"}}
    assert disputes.disputed_criteria(connection, bank) == both
    assert disputes.disputed_criteria(connection, bank, ["p-2"]) == {"p-2": {"CUR-K01"}}
    assert disputes.disputed_criteria(connection, bank, ["p-3"]) == {}
    looked = {"sort": "dispute", "line": 4, "flag": ""}
    for person, facts in (
        ("p-1", looked),
        ("p-2", looked | {"sort": "flag"}),
        ("p-2", looked | {"flag": "x"}),
    ):
        write(connection, person, facts)
    assert disputes.disputed_criteria(connection, bank) == both  # another line, sort or flag
    write(connection, "p-2", looked)
    assert disputes.disputed_criteria(connection, bank) == {"p-1": {"COK-K01", "COK-P01"}}
    assert ("p-2", "dispute", 4, "") in disputes.looked_at(connection)


def write(connection, person, facts):
    key = SimpleNamespace(key_id="k1", sign=lambda _: "00")
    acts.append(connection, Draft("looked at", "s-t", person, facts=facts), START, key)


# --- sheets --------------------------------------------------------------------------------------------


@pytest.fixture
def cooks(kitchen):
    """The small bank's skill claims the cook limit; a second one claims nothing."""
    bank = SmallBank()
    claims = replace(bank.criteria["COK-P01"], limit_point="cook")
    bank.__dict__["criteria"] = {**bank.criteria, "COK-P01": claims}
    kitchen.tutor = replace(kitchen.tutor, catalogue=bank)
    return kitchen


def sheet(kitchen, day=1, **more):
    facts = {"batch": "B1", "declared": True, "measures": {"core_temp_c": 41.0}} | more
    points = {"COK-P01": "met", "COK-K01": "met", "COK-K02": "not seen"}
    return Observation(kitchen.apprentice, "cook", START.date() + timedelta(days=day), points, **facts)


def test_a_line_that_a_reading_contradicts_stands_alone_with_its_own_reason(cooks):
    cooks.clock.on(1)
    seen = sheet(cooks)
    for reasons in ({}, {"COK-P01": " ab "}, {"COK-K01": "Another line."}):
        with pytest.raises(Contradicted, match="41 °C"):
            sheets.lines_of(cooks.tutor, seen, reasons)
    rest, alone = sheets.lines_of(cooks.tutor, seen, {"COK-P01": " It was the air. "})
    assert (rest.points, rest.despite) == ({"COK-K01": "met", "COK-K02": "not seen"}, "")
    assert (alone.points, alone.despite) == ({"COK-P01": "met"}, "It was the air.")
    (only,) = sheets.lines_of(cooks.tutor, replace(seen, points={"COK-P01": "met"}), {"COK-P01": "The air."})
    assert only.points == {"COK-P01": "met"}
    plain = replace(seen, measures={"core_temp_c": 78.0})
    assert sheets.lines_of(cooks.tutor, plain, {}) == (plain,)


def test_a_late_sheet_gives_its_reason_to_each_line(cooks):
    cooks.clock.on(20)
    seen = sheet(cooks, despite=" ab ")
    with pytest.raises(Contradicted, match="days after its day"):
        sheets.lines_of(cooks.tutor, seen, {"COK-P01": "The air."})
    lines = sheets.lines_of(cooks.tutor, replace(seen, despite="Holidays. "), {"COK-P01": "The air."})
    assert [one.despite for one in lines] == ["Holidays. ", "The air. Holidays."]
    made = sheets.observe_all(cooks.tutor, lines)
    assert [list(act.facts["points"]) for act in made] == [["COK-K01", "COK-K02"], ["COK-P01"]]
    assert [{one["rule"] for one in act.facts["against"]} for act in made] == [
        {"late"},
        {"late", "ie-cook-75"},
    ]


def test_a_sheet_is_recorded_whole_or_not_at_all(cooks):
    cooks.clock.on(1)
    good = sheet(cooks, measures={})
    with cooks.records.reading() as connection:
        before = acts.head(connection)
    for bad in ([], [good, replace(good, declared=False)], [good, replace(good, person=cooks.other.person)]):
        with pytest.raises(KitError):
            sheets.observe_all(cooks.tutor, bad)
    wishes = [Wish("COK-K02", "not yet competent", "Not asked."), Wish("COK-P01", "competent", "Seen once.")]
    with pytest.raises(MissingEvidence):
        sheets.decide_all(cooks.tutor, cooks.apprentice, wishes)
    with pytest.raises(OutOfRange, match="the lines of the sheet"):
        sheets.decide_all(cooks.tutor, cooks.apprentice, [])
    with cooks.records.reading() as connection:
        assert acts.head(connection) == before
    both = [wishes[0], Wish("COK-P01", "not yet competent", "Seen once.")]
    made = sheets.decide_all(cooks.tutor, cooks.apprentice, both)
    assert [act.criterion for act in made] == ["COK-K02", "COK-P01"]


# --- lines of a book as evidence -----------------------------------------------------------------------


def mark(connection, key, *, score=1.0, slip=""):
    verdict = "right" if score else "not yet"
    values = {
        "score": score,
        "of": 1.0,
        "verdict": verdict,
        "slip": slip,
        "counts": True,
        "claimed_verdict": "",
    }
    connection.execute(insert(schema.marks).values(entry=key, **values))


def test_each_first_try_is_told_with_what_it_does_for_a_criterion(connection):
    for key, right, helped in ((1, True, False), (2, False, False), (3, True, True), (4, True, False)):
        first_try(connection, key, exercise=2, right=right, day=9 - key)
        mark(connection, key, score=float(right), slip="" if right else "ten times")
        if helped:
            tries = schema.first_tries
            connection.execute(tries.update().where(tries.c.entry == key).values(assisted=True))
    first_try(connection, 5, person=2, exercise=2)
    mark(connection, 5)
    stands(connection, 1, "COK-K01", counted=[4])
    stands(connection, 2, "COK-K01", counted=[1])
    found = first_tries.evidence_of(connection, 1, SmallBank())
    assert set(found) == {"COK-K01", "COK-P01"}
    told = [(one.line, one.role, one.score, one.of, one.verdict, one.slip) for one in found["COK-K01"]]
    assert told == [
        (5, "counts", 1.0, 1.0, "right", ""),
        (4, "with help", 1.0, 1.0, "right", ""),
        (3, "missed", 0.0, 1.0, "not yet", "ten times"),
        (2, "asked before", 1.0, 1.0, "right", ""),
    ]
    first = found["COK-K01"][0]
    assert (first.day, first.exercise) == (TODAY + timedelta(days=5), "core-hold")
    assert {one.role for one in found["COK-P01"]} == {"prepares"}
    assert [(one.day, one.right, one.tried) for one in first_tries.days_of(connection, 1)] == [
        (TODAY + timedelta(days=day), right, 1) for day, right in ((5, 1), (6, 1), (7, 0), (8, 1))
    ]


def test_tries_of_one_day_are_counted_together(connection):
    for key, right in ((1, True), (2, False), (3, True)):
        first_try(connection, key, right=right, day=1)
    (one,) = first_tries.days_of(connection, 1)
    assert (one.right, one.tried) == (2, 3) and first_tries.days_of(connection, 2) == ()


def test_slips_are_told_that_came_twice_the_most_frequent_first(connection):
    for key, (exercise, slip) in enumerate(
        ((1, "a"), (1, "a"), (2, "b"), (2, "b"), (2, "b"), (3, "c"), (3, ""), (3, ""), (1, "b")), start=1
    ):
        line(connection, key, exercise=exercise)
        mark(connection, key, score=0.0, slip=slip)
        entries = schema.entries
        day = TODAY + timedelta(days=key)
        connection.execute(entries.update().where(entries.c.key == key).values(local_day=day))
    told = [(one.exercise, one.slip, one.times, one.last) for one in first_tries.slips_of(connection, 1)]
    assert told == [
        ("core-hold", "b", 3, TODAY + timedelta(days=5)),
        ("salt-sum", "a", 2, TODAY + timedelta(days=2)),
    ]
    assert first_tries.slips_of(connection, 2) == ()


def test_lines_and_profiles_are_those_of_all_ids_of_a_person(connection):
    for key, person, profile in ((1, 1, "uk"), (2, 1, "ie"), (3, 2, "codex"), (4, 3, None)):
        line(connection, key, person=person)
        entries = schema.entries
        values = {"profile": profile, "local_day": TODAY}
        connection.execute(entries.update().where(entries.c.key == key).values(**values))
    assert first_tries.hashes_of(connection, [2, 1, 9]) == ["h1", "h2"]
    assert first_tries.hashes_of(connection, []) == []
    assert first_tries.profiles_of(connection) == ("codex", "ie", "uk")
    assert first_tries.profiles_of(connection, "p-1") == ("ie", "uk")
    assert first_tries.profiles_of(connection, "p-3") == ()
    assert first_tries.lines_of(connection, "p-2") == {"h3": first_tries.BookLine(4, TODAY, "salt-sum")}
    key = SimpleNamespace(key_id="k1", sign=lambda _: "00")
    acts.append(connection, Draft("joined", "s-m", "p-3", facts={"other": "p-2"}), START, key)
    assert first_tries.profiles_of(connection, "p-3") == ("codex",)
    assert set(first_tries.lines_of(connection, "p-3")) == {"h3", "h4"}
