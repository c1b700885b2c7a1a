"""The rule of evidence by itself, case by case, without records: what counts, what is missing, what is next.

The expected values are told from the words of the rule, each beside its case. Days are local days of 2026.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import product

import pytest
from sqlalchemy import create_engine, insert, select

from kit.basics.errors import UnknownName
from kit.records.competence import decision_state
from kit.records.competence.assess import Assessments, EvidenceRead, assess, assess_all, judge, what_waits
from kit.records.competence.decision_state import Decided, state_of
from kit.records.competence.observations import Point
from kit.records.competence.standings import Practice
from kit.records.ledger.draws import TO_DRAW
from kit.records.storage import schema
from tests.records.conftest import START, FakeCriterion, SmallBank

TODAY = date(2026, 9, 30)
SINCE = date(2026, 3, 30)  # six months back
SAFE_SKILL = FakeCriterion("COK-P01", "cook", "performance", True)
SKILL = replace(SAFE_SKILL, safety_critical=False)
SAFE_KNOWN = FakeCriterion("COK-K01", "cook", "knowledge", True)
KNOWN = replace(SAFE_KNOWN, safety_critical=False)
SHOWN = Practice(TODAY, 4, 3, 3, 12, date(2026, 9, 1), 0, date(2026, 8, 1), None, "[4, 7]")
TRIED = Practice(None, 1, 1, 3, 5, date(2026, 9, 1), 6, None, None)


def seen(*told, method="observation"):
    """Points from ``day, outcome`` and perhaps a batch; acts count from 5, a batch of its own each."""
    made = []
    for act, (day, outcome, *batch) in enumerate(told, start=5):
        made.append(Point(date(2026, 9, day), act, outcome, method, batch[0] if batch else f"B{act}"))
    return made


def asked(*told):
    return seen(*told, method="oral check")


def short(found):
    return found.state, found.next, found.days, found.points


# --- doing the work: on as many batches and days as the criterion needs ------------------------------


@pytest.mark.parametrize(
    ("points", "state", "following", "days", "counted"),
    [
        (seen(), "observe", (), 0, ()),
        (seen((1, "met")), "seen", ("observe",), 1, (5,)),
        (seen((1, "met"), (2, "met")), "ready", ("decide",), 2, (5, 6)),
        (seen((1, "met"), (1, "met")), "seen", ("observe",), 1, (5, 6)),  # two batches of one day
        (seen((1, "met", "B 7"), (2, "met", "b7")), "seen", ("observe",), 1, (5, 6)),  # one batch, two days
        (seen((1, "met", ""), (2, "met", "")), "ready", ("decide",), 2, (5, 6)),  # no label: a day is one
        (seen((1, "met"), (2, "met"), (3, "met")), "ready", ("decide",), 3, (5, 6, 7)),
        (
            seen((1, "met"), (2, "not seen")),
            "seen",
            ("observe",),
            1,
            (5,),
        ),  # not seen: neither for nor against
        (seen((1, "not seen")), "observe", (), 0, ()),
        (seen((1, "not met")), "seen", (), 0, ()),
        (seen((1, "met"), (2, "met"), (3, "not met")), "seen", (), 0, ()),  # the latest is a miss
        (seen((1, "met"), (2, "not met"), (3, "met")), "seen", ("observe",), 1, (7,)),  # a miss clears
        (seen((1, "not met"), (2, "met"), (3, "met")), "ready", ("decide",), 2, (6, 7)),
        (seen((1, "met"), (2, "met"), method="simulation"), "observe", (), 0, ()),
        (seen((1, "met"), (2, "met"), method="oral check"), "observe", (), 0, ()),
    ],
)
def test_a_safety_critical_skill_needs_two_batches_on_two_days_since_the_last_miss(
    points, state, following, days, counted
):
    found = judge(SAFE_SKILL, TODAY, None, points)
    assert short(found) == (state, following, days, counted)
    assert found.needed == 2 and (found.missing == ()) == (state == "ready")


def test_another_skill_keeps_what_was_met_before_a_miss_if_the_latest_is_met():
    story = seen((1, "met"), (2, "not met"), (3, "met"))
    assert short(judge(SKILL, TODAY, None, story)) == ("ready", ("decide",), 2, (5, 7))
    assert judge(SKILL, TODAY, None, story[:2]).points == ()


def test_a_miss_that_was_not_at_work_clears_nothing():
    story = [*seen((1, "met"), (2, "met")), Point(date(2026, 9, 3), 9, "not met", "oral check")]
    assert judge(SAFE_SKILL, TODAY, None, story).points == (5, 6)


def test_a_criterion_that_names_no_number_needs_one():
    once = replace(SAFE_SKILL, observations_needed=0)
    assert judge(once, TODAY, None, seen((1, "met"))).state == "ready"
    assert judge(once, TODAY).needed == 1


@pytest.mark.parametrize(("day", "counts"), [(SINCE, True), (SINCE - timedelta(days=1), False)])
def test_evidence_counts_to_the_day_of_the_review_time_and_not_a_day_longer(day, counts):
    old = Point(day, 5, "met", "observation", "B1")
    found = judge(SAFE_SKILL, TODAY, None, [old, *seen((2, "met"))])
    assert found.days == 1 + counts
    assert judge(SAFE_SKILL, TODAY, None, [old]).state == ("seen" if counts else "observe")


def test_practice_prepares_for_a_skill_and_never_shows_it():
    found = judge(SAFE_SKILL, TODAY, SHOWN)
    assert short(found) == ("observe", ("observe",), 0, ())
    assert found.lines == () and found.missing and found.held
    assert judge(SAFE_SKILL, TODAY, TRIED).next == ()


# --- knowing: practice or asking; where it can hurt, both --------------------------------------------


@pytest.mark.parametrize(
    ("criterion", "practice", "points", "state", "following", "missing"),
    [
        (
            KNOWN,
            None,
            (),
            "nothing",
            (),
            "practice has not shown it (not begun), and there is no oral check.",
        ),
        (KNOWN, TRIED._replace(tries=0), (), "nothing", (), "(not begun: about 6 more"),
        (KNOWN, TRIED, (), "practising", (), "(not enough yet: about 6 more right, on 2 more days)"),
        (KNOWN, SHOWN, (), "ready", ("decide",), ""),
        (KNOWN, None, asked((1, "met")), "ready", ("decide",), ""),
        (KNOWN, TRIED, asked((1, "met")), "ready", ("decide",), ""),
        (KNOWN, TRIED, asked((1, "not met")), "practising", (), "there is no oral check"),
        (KNOWN, TRIED, asked((1, "met"), (2, "not met")), "practising", (), "there is no oral check"),
        (KNOWN, TRIED, seen((1, "met")), "practising", (), "there is no oral check"),
        (
            SAFE_KNOWN,
            None,
            (),
            "nothing",
            (),
            "an oral check or a supervised sitting. practice has not shown it",
        ),
        (SAFE_KNOWN, SHOWN, (), "sitting", ("ask",), "an oral check or a supervised sitting."),
        (SAFE_KNOWN, TRIED, asked((1, "met")), "practising", (), "practice has not shown it"),
        (SAFE_KNOWN, None, asked((1, "met")), "nothing", (), "practice has not shown it (not begun)."),
        (SAFE_KNOWN, SHOWN, asked((1, "met")), "ready", ("decide",), ""),
        (SAFE_KNOWN, SHOWN, asked((1, "met"), (2, "not met")), "sitting", ("ask",), "an oral check"),
        (SAFE_KNOWN, SHOWN, seen((1, "met")), "sitting", ("ask",), "an oral check"),
    ],
)
def test_knowing(criterion, practice, points, state, following, missing):
    found = judge(criterion, TODAY, practice, points)
    assert (found.state, found.next) == (state, following)
    assert missing in " ".join(found.missing) and bool(found.missing) == bool(missing)
    assert found.needed == (3 if criterion.safety_critical else 2)
    assert found.days == (0 if practice is None else practice.notches)


def test_a_supervised_sitting_counts_as_asking():
    assert judge(SAFE_KNOWN, TODAY, SHOWN, seen((1, "met"), method="supervised sitting")).state == "ready"


def test_practice_holds_to_its_last_day_and_not_on_the_next():
    assert judge(KNOWN, TODAY, SHOWN).state == "ready"
    over = judge(KNOWN, TODAY + timedelta(days=1), SHOWN)
    assert (over.state, over.held) == ("practising", False)
    assert "shaky since September 2026" in over.missing[0]
    assert judge(KNOWN, TODAY, SHOWN).lines == (4, 7) and judge(KNOWN, TODAY).lines == ()


# --- after a decision --------------------------------------------------------------------------------

DECIDED_ON = date(2026, 9, 10)


def decision(state, *, act=20, second="", appeal=None, review=date(2027, 3, 10)):
    return Decided(act, state, DECIDED_ON, review, "s-tutor", second, appeal)


@pytest.mark.parametrize("state", ["competent", "second wanted", "refresher due", "over", "lapsed"])
def test_a_renewal_rests_on_what_was_seen_since(state):
    story = [
        Point(date(2026, 9, 9), 21, "met", "observation", "B1"),  # entered after it, of a day before it
        Point(date(2026, 9, 10), 19, "met", "observation", "B2"),  # of its day, entered before it
        Point(date(2026, 9, 10), 20, "met", "observation", "B3"),  # the decision itself is no evidence
        Point(date(2026, 9, 10), 22, "met", "observation", "B4"),
        Point(date(2026, 9, 11), 23, "met", "observation", "B5"),
    ]
    found = judge(SAFE_SKILL, TODAY, None, story, decision(state))
    assert found.points == (22, 23) and found.state == state


@pytest.mark.parametrize("state", ["not yet", "second refused", "appeal", "disputed"])
def test_where_no_competence_is_renewed_all_evidence_counts(state):
    assert judge(SAFE_SKILL, TODAY, None, seen((1, "met"), (2, "met")), decision(state)).points == (5, 6)


@pytest.mark.parametrize(
    ("stands", "disputed", "following"),
    [
        (decision("competent"), False, ()),
        (decision("second wanted", second="wanted"), False, ("second",)),
        (decision("lapsed", second="wanted"), False, ("second",)),
        (decision("refresher due"), False, ("refresher",)),
        (decision("over"), False, ("review",)),
        (decision("over", second="wanted"), False, ("review", "second")),
        (decision("second refused", second="disagreed"), False, ("again",)),
        (decision("appeal", appeal=21), False, ("settle",)),
        (decision("appeal", appeal=21, second="wanted"), False, ("settle",)),  # the appeal first
        (decision("appeal", appeal=21), True, ("settle", "look")),
        (decision("disputed"), True, ("look",)),
        (None, True, ("look",)),
        (None, False, ()),
    ],
)
def test_what_is_next_after_a_decision(stands, disputed, following):
    found = judge(SAFE_SKILL, TODAY, None, (), stands, disputed=disputed)
    assert found.next == following
    assert found.state == ("observe" if stands is None else stands.state)


def test_a_disputed_mark_comes_before_what_is_ready():
    assert judge(SAFE_KNOWN, TODAY, SHOWN, disputed=True).next == ("look", "ask")
    assert judge(KNOWN, TODAY, SHOWN, disputed=True).next == ("look", "decide")


@pytest.mark.parametrize(
    ("practice", "points", "following"),
    [
        (None, seen((1, "met"), (2, "met")), ()),  # decided on this very evidence
        (None, [*seen((1, "met")), Point(date(2026, 9, 2), 21, "met", "observation", "B9")], ("decide",)),
        (None, [*seen((1, "met"), (2, "met")), Point(date(2026, 9, 3), 20, "met", "observation")], ()),
        (None, seen((1, "met")), ("observe",)),
        (SHOWN._replace(last_day=DECIDED_ON), seen((1, "met"), (2, "met")), ()),
        (SHOWN._replace(last_day=date(2026, 9, 11)), seen((1, "met"), (2, "met")), ("decide",)),
        (
            TRIED._replace(last_day=date(2026, 9, 11)),
            seen((1, "met"), (2, "met")),
            (),
        ),  # practice shows nothing
        (SHOWN._replace(last_day=None), seen((1, "met"), (2, "met")), ()),
    ],
)
def test_after_not_yet_it_is_ready_again_only_when_something_came_in(practice, points, following):
    assert judge(SAFE_SKILL, TODAY, practice, points, decision("not yet")).next == following


# --- in words ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("found", "detail", "count", "still", "until"),
    [
        (
            judge(SAFE_SKILL, TODAY),
            "not yet: needs an observation",
            "",
            "Observed and met on 0 of 2 days",
            None,
        ),
        (
            judge(SAFE_SKILL, TODAY, None, seen((1, "met"))),
            "not yet: seen at work, but not met on enough days; met on 1 of 2 days",
            "1/2",
            "Observed and met on 1 of 2 days, each on a batch of its own.",
            None,
        ),
        (
            judge(KNOWN, TODAY, TRIED),
            "practising; not enough yet: about 6 more right, on 2 more days",
            "1/2",
            "Practice has not shown it",
            None,
        ),
        (
            judge(SAFE_KNOWN, TODAY, SHOWN),
            "not yet: needs a supervised sitting or oral check; quite sure",
            "3/3",
            "An oral check or a supervised sitting.",
            None,
        ),
        (
            judge(SAFE_SKILL, TODAY, None, (), decision("competent")),
            "competent, review by 2027-03-10",
            "",
            "Nothing. Review on 2027-03-10.",
            date(2027, 3, 10),
        ),
        (
            judge(SAFE_SKILL, TODAY, None, (), decision("competent", review=None)),
            "competent",
            "",
            "Nothing.",
            None,
        ),
        (
            judge(SAFE_SKILL, TODAY, None, (), decision("not yet")),
            "not yet competent, decided on 2026-09-10",
            "",
            "Observed and met on 0 of 2 days",
            None,
        ),
        (
            judge(SAFE_SKILL, TODAY, None, (), decision("over")),
            "not yet competent: the review date has passed",
            "",
            "Observed and met on 0 of 2 days",
            None,
        ),
        (
            judge(SAFE_SKILL, TODAY, None, (), decision("lapsed", second="wanted")),
            "not yet competent: signed once, and no second signature within 30 days",
            "",
            "A verifier's signature: until then it does not hold.",
            None,
        ),
        (
            judge(KNOWN, TODAY, SHOWN),
            "the evidence is complete: ready for a decision",
            "",
            "The tutor's decision.",
            None,
        ),
    ],
)
def test_where_somebody_stands_in_words(found, detail, count, still, until):
    assert (found.detail, found.count, found.until) == (detail, count, until)
    assert found.still.startswith(still)
    assert found.holds == (until is not None or found.state == "competent")
    assert found.decision == ("competent" if found.holds else "not yet competent")


# --- the state of a decision on a day ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("told", "state"),
    [
        ({}, "competent"),
        ({"appeal": 7}, "appeal"),
        ({"appeal": 7, "decision": "not yet competent"}, "appeal"),
        ({"appeal": 7, "disputed": True}, "appeal"),
        ({"decision": "not yet competent"}, "not yet"),
        ({"decision": "not yet competent", "second": "disagreed"}, "second refused"),
        ({"decision": "not yet competent", "second": "wanted", "disputed": True}, "not yet"),
        ({"disputed": True}, "disputed"),
        ({"disputed": True, "review_on": TODAY - timedelta(days=1)}, "disputed"),
        ({"review_on": TODAY}, "refresher due"),
        ({"review_on": TODAY - timedelta(days=1)}, "over"),
        ({"review_on": TODAY - timedelta(days=1), "second": "wanted"}, "over"),
        ({"review_on": TODAY + timedelta(days=30)}, "refresher due"),
        ({"review_on": TODAY + timedelta(days=31)}, "competent"),
        ({"review_on": None}, "competent"),
        ({"second": "wanted"}, "second wanted"),
        ({"second": "wanted", "signed_on": TODAY - timedelta(days=30)}, "second wanted"),
        ({"second": "wanted", "signed_on": TODAY - timedelta(days=31)}, "lapsed"),
        ({"second": "agreed", "signed_on": TODAY - timedelta(days=31)}, "competent"),
        ({"second": "wanted", "review_on": TODAY}, "second wanted"),
    ],
)
def test_the_state_of_a_decision(told, state):
    facts = {
        "decision": "competent",
        "review_on": TODAY + timedelta(days=90),
        "second": "agreed",
        "appeal": None,
        "signed_on": TODAY,
        "disputed": False,
    }
    assert state_of(**(facts | told), today=TODAY) == state
    stands = decision(state)
    assert stands.holds == (state in ("competent", "second wanted", "refresher due"))
    assert stands.decision == ("competent" if stands.holds else "not yet competent")


@pytest.mark.parametrize(
    ("second", "appeal", "wants"),
    [("wanted", None, True), ("wanted", 3, False), ("agreed", None, False), ("", None, False)],
)
def test_a_second_signature_is_wanted_while_no_appeal_is_open(second, appeal, wants):
    assert decision("second wanted", second=second, appeal=appeal).wants_second is wants


# --- what the database says of decisions is what the rule says ----------------------------------------

RULINGS = [
    {"decision": ruling, "review_on": review, "second": second, "appeal": appeal, "signed": signed}
    for ruling, review, second, appeal, signed in product(
        ("competent", "not yet competent"),
        [None, *(TODAY + timedelta(days=days) for days in (-1, 0, 30, 31))],
        ("", TO_DRAW, "wanted", "agreed", "disagreed"),
        (None, 900),
        (0, 30, 31),
    )
    if not (ruling == "competent" and second == "disagreed")  # a disagreement takes the decision back
]
for later, one in enumerate(one for one in RULINGS if one["appeal"]):
    one["appeal"] -= later  # the later decision was appealed first


def signed_on(one):
    return TODAY - timedelta(days=one["signed"])


@pytest.fixture(scope="module")
def rulings():
    """A database that holds each kind of decision, on a criterion of its own."""
    engine = create_engine("sqlite://")
    schema.metadata.create_all(engine)
    with engine.connect() as connection:
        for number, one in enumerate(RULINGS, start=1):
            at = START.replace(year=TODAY.year, month=TODAY.month, day=TODAY.day) - timedelta(
                days=one["signed"]
            )
            act = {"number": number, "kind": "decided", "at": at, "by": "s-t", "facts": "{}"}
            connection.execute(insert(schema.acts).values(**act, prev="", hash=str(number)))
            row = {
                "person": "p-1",
                "criterion": f"C{number}",
                "act": number,
                "day": signed_on(one),
                "by": "s-t",
            }
            row |= {name: one[name] for name in ("decision", "review_on", "second", "appeal")}
            connection.execute(insert(schema.decided).values(**row))
        yield connection
    engine.dispose()


@pytest.fixture(scope="module")
def states(rulings):
    found = decision_state.decisions(rulings, SmallBank(), TODAY)
    assert set(found) == {"p-1"}
    return found["p-1"]


def test_each_decision_is_read_as_the_rule_says(states):
    assert len(states) == len(RULINGS)
    for number, one in enumerate(RULINGS, start=1):
        told = {name: one[name] for name in ("decision", "review_on", "second", "appeal")}
        if (one["second"], one["decision"], one["signed"]) == (TO_DRAW, "competent", 31):
            told["second"] = "wanted"  # nobody else signed anything for 30 days: that spares nobody
        state = state_of(**told, today=TODAY, signed_on=signed_on(one), disputed=False)
        wanted = Decided(
            number, state, signed_on(one), one["review_on"], "s-t", told["second"], one["appeal"]
        )
        assert states[f"C{number}"] == wanted


def test_a_decision_rests_where_it_holds_and_nothing_is_due(rulings, states):
    resting = decision_state.resting_decisions(rulings, TODAY)
    assert resting == {"p-1": {name for name, one in states.items() if one.state == "competent"}}


def test_what_is_left_open_is_what_not_yet_says(rulings, states):
    query = select(schema.decided.c.criterion).where(decision_state.leaves_open())
    assert set(rulings.scalars(query)) == {name for name, one in states.items() if one.state == "not yet"}


def test_what_runs_out_holds_today(rulings, states):
    for days in (0, 29, 30):
        until = TODAY + timedelta(days=days)
        found = decision_state.running_out(rulings, TODAY, until)
        wanted = {
            (name, one.review_on)
            for name, one in states.items()
            if one.holds and one.review_on is not None and one.review_on <= until
        }
        assert set(found["p-1"]) == wanted and len(found["p-1"]) == len(wanted)


def test_second_signatures_and_appeals_are_listed_oldest_first_and_never_ones_own(rulings, states):
    wanting = [row.criterion for row in decision_state.wanting_second(rulings, "s-else", TODAY, 999)]
    assert wanting == [name for name, one in states.items() if one.wants_second]
    assert [row.criterion for row in decision_state.wanting_second(rulings, "s-else", TODAY, 2)] == wanting[
        :2
    ]
    for me in ("s-t", "p-1"):
        assert decision_state.wanting_second(rulings, me, TODAY, 999) == []
    opened = [row.criterion for row in decision_state.appealed(rulings, 999)]
    assert opened == [name for name, one in states.items() if one.state == "appeal"][::-1]
    assert [row.criterion for row in decision_state.appealed(rulings, 3, "p-1")] == opened[:3]
    assert decision_state.appealed(rulings, 999, "p-2") == []


def test_decisions_of_others_are_not_read(rulings):
    assert decision_state.decisions(rulings, SmallBank(), TODAY, ["p-2"]) == {}
    only = schema.decided.c.act == 1
    assert list(decision_state.decisions(rulings, SmallBank(), TODAY, ["p-1"], only)["p-1"]) == ["C1"]


def observed(connection, number, person, criterion, day, outcome="met"):
    act = {
        "number": number,
        "kind": "observed",
        "at": START,
        "by": "s-t",
        "batch": f"B{number}",
        "facts": "{}",
    }
    connection.execute(insert(schema.acts).values(**act, prev="", hash=str(number)))
    facts = {"act": number, "person": person, "criterion": criterion, "outcome": outcome}
    connection.execute(insert(schema.points).values(**facts, day=day, method="observation"))


@pytest.mark.parametrize("joined", [False, True])
def test_what_waits_is_what_is_next_of_everybody(rulings, states, joined):
    """The shorter way that reads little, against the rule itself, over every kind of decision."""
    bank = SmallBank()
    skills = {name: FakeCriterion(name, "cook", "performance", True) for name in states}
    bank.__dict__["criteria"] = bank.criteria | skills
    with rulings.begin_nested() as trial:
        for number, name in enumerate(sorted(states), start=1000):
            if number % 3:  # some were seen once since, some twice, some never
                observed(rulings, number, "p-1", name, TODAY)
            if number % 3 == 2:
                observed(rulings, number + 1000, "p-1", name, TODAY - timedelta(days=1))
        for number, (person, day, name) in enumerate(
            (("s-2", 1, SAFE_SKILL.id), ("p-3", 2, SAFE_SKILL.id), ("p-3", 3, "C1"), ("p-3", 4, "OLD-P09")),
            start=5000,
        ):
            observed(rulings, number, person, name, date(2026, 9, day))
        rulings.execute(insert(schema.people).values(key=1, person_id="p-3", first_taken_at=START))
        practice = dict.fromkeys(("days_right", "days_needed", "tries", "still", "notches", "evidence"), 3)
        for name, held in (("COK-K01", True), ("COK-K02", True), ("CUR-K01", False)):
            values = {
                "held": held,
                "held_until": TODAY if held else None,
                "counted": [],
                "missed": [],
            } | practice
            rulings.execute(insert(schema.standings).values(person=1, criterion=name, **values))
        if joined:
            act = {"number": 6000, "kind": "joined", "at": START, "by": "s-m", "person": "s-2"}
            facts = '{"other":"p-3"}'
            rulings.execute(insert(schema.acts).values(**act, facts=facts, prev="", hash="6000"))
        waits = what_waits(rulings, bank, TODAY)
        stands = assess_all(rulings, bank, TODAY)
        for who in ("p-1", "s-2", *(() if joined else ("p-3",))):
            found = {name: one for name, one in stands.all_of(who).items() if one.next}
            told = {name: (one.next, one.decided and one.decided.review_on) for name, one in found.items()}
            assert waits.get(who, {}) == told and told
        assert set(waits) <= {"p-1", "s-2", "p-3"} and ("p-3" in waits) is not joined
        mine = waits["s-2"]
        assert mine[SAFE_SKILL.id] == ((("decide",) if joined else ("observe",)), None)
        assert ("COK-K01" in mine) is joined and "CUR-K01" not in mine
        some = assess_all(rulings, bank, TODAY, ["s-2"])
        assert some.all_of("s-2") == stands.all_of("s-2") and some.touched("p-1") == frozenset()
        trial.rollback()


# --- many people, and two ids of one -------------------------------------------------------------------


def test_two_ids_of_one_person_are_read_as_one():
    mine, other = seen((2, "met"))[0], Point(date(2026, 9, 1), 4, "met", "observation", "B4")
    read = EvidenceRead(
        {"p-book": {"COK-K01": SHOWN}},
        {"s-crew": {"COK-P01": [mine]}, "p-book": {"COK-P01": [other], "CUR-K01": [other]}, "s-else": {}},
        {"s-crew": {"COK-P01": decision("not yet", act=30)}, "p-book": {"COK-P01": decision("over", act=9)}},
        {"p-book": {"COK-K02"}, "s-crew": {"COK-K01"}, "s-else": {"CUR-K01"}},
    )
    one = read.as_one({"p-book": "s-crew"})
    assert one.practice == {"s-crew": {"COK-K01": SHOWN}}
    assert one.points == {"s-crew": {"COK-P01": [other, mine], "CUR-K01": [other]}, "s-else": {}}
    assert one.decided == {"s-crew": {"COK-P01": decision("not yet", act=30)}}  # the later stands
    assert one.disputed == {"s-crew": {"COK-K02", "COK-K01"}, "s-else": {"CUR-K01"}}
    assert one.touched("s-crew") == {"COK-K01", "COK-P01", "CUR-K01", "COK-K02"}
    assert one.touched("s-nobody") == frozenset()
    judged = one.judged("s-crew", SAFE_KNOWN, TODAY)
    assert judged.next == ("look", "ask") and judged.practice == SHOWN
    assert one.judged("s-crew", SAFE_SKILL, TODAY).points == (4, 5)


def test_all_safety_critical_criteria_are_counted_and_nothing_else():
    both = {"COK-P01": decision("competent"), "COK-K01": decision("over"), "COK-K02": decision("competent")}
    stands = Assessments(
        SmallBank(), TODAY, EvidenceRead({}, {}, {"p-1": both | {"OLD-K09": decision("over")}}, {})
    )
    assert stands.safety("p-1") == (1, 2) and stands.safety("p-2") == (0, 2)
    assert stands.touched("p-1") == {"COK-P01", "COK-K01", "COK-K02"}  # of criteria that there are
    assert list(stands.all_of("p-1")) == ["CUR-K01", "COK-K01", "COK-K02", "COK-P01"]
    assert stands.of("p-1", "COK-P01") is stands.of("p-1", "COK-P01")  # judged once


def test_an_unknown_criterion_is_refused(rulings):
    with pytest.raises(UnknownName, match="COK-K77"):
        assess(rulings, SmallBank(), "p-1", "COK-K77", TODAY)
