"""What each act of observing and deciding says, fact by fact, and the last value that is still taken."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import timedelta

import pytest
from dateutil.relativedelta import relativedelta
from sqlalchemy import insert

from kit import __version__
from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.records.competence import deciding, observations
from kit.records.competence.assessment import EVIDENCE_RULE
from kit.records.competence.deciding import Changed, Wish
from kit.records.competence.entry_doubts import of_entry
from kit.records.competence.observations import Observation
from kit.records.competence.readings import Contradicted
from kit.records.competence.second_signature import PLAN, VerificationPlan, second_asked
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import NotAllowed
from kit.records.people import staff
from kit.records.storage import schema
from tests.records.conftest import START

SKILL, MONTHS = "COK-P01", 6
TODAY = START.date()
SHA = "ab" * 32


def tell(kitchen, mark):
    with kitchen.records.reading() as connection:
        return texts.tell(connection, mark)


def decide(kitchen, decision="competent", **more):
    return deciding.decide(kitchen.tutor, kitchen.apprentice, SKILL, decision, "On what was seen.", **more)


def keep_file(kitchen, sha, erased=None):
    facts = {"sha256": sha, "media_type": "image/png", "size": 7, "kept_at": START, "erased_at": erased}
    with kitchen.records.writing() as connection:
        connection.execute(insert(schema.files).values(**facts))


# --- an observation ------------------------------------------------------------------------------------


def test_an_observation_says_all_that_was_entered(kitchen):
    keep_file(kitchen, SHA)
    on = kitchen.clock.on(3)
    points = {SKILL: "met", "COK-K02": "not seen"}
    measures = {"core_temp_c": 76, "weight_before_g": 100, "weight_after_g": 120}
    verdicts = [{"rule": "r1", "outcome": "met"}, {"rule": "r2", "outcome": "cannot tell"}]
    seen = Observation(
        kitchen.apprentice,
        "cook",
        on - timedelta(days=2),
        points,
        batch="B" * 40,
        declared=True,
        measures=measures,
        files=[SHA],
        asked=[("Why hold?", "Germs die", True), ("And then?", "", False)],
        supports=["read aloud"],
        notes="Careful.",
        verdicts=verdicts,
        read_at="23:59",
    )
    act = observations.observe(kitchen.tutor, seen)
    facts = dict(act.facts)
    assert (act.kind, act.by, act.person, act.batch) == (
        "observed",
        kitchen.tutor.person,
        seen.person,
        "B" * 40,
    )
    assert act.criterion is None and act.signature
    first, second = facts.pop("asked")
    assert (tell(kitchen, first["question"]), tell(kitchen, first["answer"]), first["met"]) == (
        "Why hold?",
        "Germs die",
        True,
    )
    assert (tell(kitchen, second["question"]), second["answer"], second["met"]) == ("And then?", "", False)
    assert [tell(kitchen, mark) for mark in facts.pop("supports")] == ["read aloud"]
    assert tell(kitchen, facts.pop("notes")) == "Careful."
    assert len(facts.pop("rules")) == 2  # by which rules its readings were judged
    assert facts == {
        "step": "cook",
        "day": "2026-03-03",
        "method": "observation",
        "points": points,
        "declared": True,
        "measures": measures,
        "files": [SHA],
        "verdicts": verdicts,
        "read_at": "23:59",
    }


def test_a_plain_observation_says_no_more_than_it_has(kitchen):
    facts = kitchen.see(1).facts
    assert set(facts) == {
        "step", "day", "method", "points", "declared", "measures", "files", "asked", "supports", "notes"
    }  # fmt: skip
    assert (facts["notes"], facts["files"], facts["asked"], facts["supports"]) == ("", [], [], [])


def test_a_reason_is_kept_where_something_speaks_against_it_and_nowhere_else(kitchen):
    kitchen.clock.on(20)
    late = Observation(kitchen.apprentice, "cook", TODAY, {SKILL: "met"}, batch="B", declared=True)
    for short in ("", "  ab  "):
        with pytest.raises(Contradicted):
            observations.observe(kitchen.tutor, replace(late, despite=short))
    act = observations.observe(kitchen.tutor, replace(late, despite="abc"))
    (told,) = act.facts["against"]
    assert (told["criterion"], told["rule"]) == (SKILL, "late") and "20 days after" in told["says"]
    assert tell(kitchen, act.facts["despite"]) == "abc"
    fine = observations.observe(kitchen.tutor, replace(late, day=kitchen.clock.now.date(), despite="abc"))
    assert "despite" not in fine.facts and "against" not in fine.facts


@pytest.mark.parametrize(
    ("more", "error"),
    [
        ({"batch": "B" * 41}, OutOfRange),
        ({"batch": "  "}, BadData),
        ({"read_at": "24:00", "measures": {"core_temp_c": 70}}, BadData),
        ({"read_at": "9:05", "measures": {"core_temp_c": 70}}, BadData),
        ({"read_at": "09:60", "measures": {"core_temp_c": 70}}, BadData),
        ({"read_at": "09:05"}, BadData),  # no reading stands with it
        ({"measures": {"weight_before_g": 100, "weight_after_g": 120.1}}, OutOfRange),
        ({"measures": {"salt_g": 1}}, UnknownName),
        ({"verdicts": [{"rule": "r1", "outcome": "fine"}]}, BadData),
        ({"verdicts": [{"rule": "", "outcome": "met"}]}, BadData),
        ({"verdicts": [{"outcome": "met"}]}, BadData),
        ({"files": [SHA]}, BadData),
        ({"step": "smoking"}, UnknownName),
        ({"points": {}}, OutOfRange),
        ({"points": {SKILL: "nearly"}}, UnknownName),
        ({"points": {"COK-P77": "met"}}, UnknownName),
        ({"points": {SKILL: "met", "CUR-K01": "met"}}, BadData),
        ({"day": TODAY + timedelta(days=2)}, OutOfRange),
        ({"day": TODAY - timedelta(days=1), "despite": "Long ago."}, OutOfRange),
        ({"declared": False}, BadData),
        ({"method": "hearsay"}, UnknownName),
    ],
)
def test_what_makes_no_sense_is_refused_and_nothing_is_written(kitchen, more, error):
    kitchen.clock.on(1)
    with kitchen.records.reading() as connection:
        before = acts.head(connection)
    facts = {"step": "cook", "day": TODAY, "points": {SKILL: "met"}, "batch": "B", "declared": True} | more
    with pytest.raises(error):
        observations.observe(kitchen.tutor, Observation(kitchen.apprentice, **facts))
    with kitchen.records.reading() as connection:
        assert acts.head(connection) == before


def test_an_erased_file_is_no_evidence(kitchen):
    keep_file(kitchen, SHA, erased=START)
    with pytest.raises(BadData, match="not kept here"):
        kitchen.see(1, files=[SHA])


def test_only_work_seen_needs_a_batch(kitchen):
    assert kitchen.see(1, criterion="COK-K02", method="oral check", batch="").batch is None


@pytest.mark.parametrize(("day", "late"), [(9, False), (10, True)])
def test_an_entry_is_late_after_7_days(day, late):
    facts = {"day": "2026-03-02", "points": {"A": "not met", "B": "met", "C": "met"}, "measures": {}}
    told = list(of_entry(facts, TODAY.replace(day=day)))
    assert [(one.criterion, one.rule) for one in told] == ([("B", "late")] if late else [])
    assert list(of_entry(facts | {"points": {"A": "not met"}}, TODAY.replace(day=day))) == []


@pytest.mark.parametrize(("after", "doubted"), [(50, False), (49.9, True), (0, True), (None, False)])
def test_a_loss_of_more_than_half_is_doubted(after, doubted):
    measures = {"weight_before_g": 100} | ({} if after is None else {"weight_after_g": after})
    facts = {"day": "2026-03-02", "points": {"B": "met"}, "measures": measures}
    assert [one.rule for one in of_entry(facts, TODAY)] == (["weights"] if doubted else [])


def test_who_is_no_apprentice_and_oneself_are_not_observed(kitchen):
    seen = Observation(kitchen.other.person, "cook", TODAY, {SKILL: "met"}, batch="B", declared=True)
    with pytest.raises(NotAllowed, match="no apprentice here now"):
        observations.observe(kitchen.tutor, seen)
    with pytest.raises(NotAllowed, match="observes themself"):
        observations.observe(kitchen.tutor, replace(seen, person=kitchen.tutor.person))


def test_outcomes_are_read_by_person_and_day(kitchen):
    one, two = kitchen.see(1), kitchen.see(2, "not met")
    kitchen.see(3, "not seen")
    day = START.date() + timedelta(days=1)
    with kitchen.records.reading() as connection:
        whole = observations.points_of(connection, since=day)
        assert whole == observations.points_of(connection, [kitchen.apprentice], since=day)
        assert whole == {
            kitchen.apprentice: {
                SKILL: [
                    (day, one.number, "met", "observation", "B001"),
                    (day + timedelta(days=1), two.number, "not met", "observation", "B002"),
                ]
            }
        }
        assert observations.points_of(connection, ["s-else"], since=day) == {}
        (later,) = observations.points_of(connection, since=day + timedelta(days=1))[kitchen.apprentice][
            SKILL
        ]
        assert later.act == two.number
        assert observations.last_seen_days(connection) == {kitchen.apprentice: day + timedelta(days=2)}
        on = observations.observations_on(connection, kitchen.apprentice, SKILL)
        assert [act.number for act in on] == [one.number, two.number, two.number + 1]
        assert observations.observations_on(connection, kitchen.apprentice, "COK-K01") == ()
        assert observations.observations_on(connection, "s-else", SKILL) == ()


def test_a_corrective_action_says_what_happened_what_was_done_and_who_decided(kitchen):
    told = ("B7", "The probe fell out.", "Read again at the core.")
    act = observations.correct(kitchen.tutor, " B7 ", *told[1:], day=TODAY)
    assert (act.kind, act.batch, act.by, act.facts["day"]) == (
        "corrected",
        "B7",
        kitchen.tutor.person,
        "2026-03-02",
    )
    assert (tell(kitchen, act.facts["happened"]), tell(kitchen, act.facts["action"])) == told[1:]
    assert act.facts["decided_by"] == kitchen.tutor.person
    other = observations.correct(
        kitchen.tutor, "B" * 40, *told[1:], day=TODAY, decided_by=kitchen.other.person
    )
    assert other.facts["decided_by"] == kitchen.other.person
    for bad in (("  ", *told[1:]), ("B" * 41, *told[1:]), ("B7", " ", told[2]), ("B7", told[1], " ")):
        with pytest.raises(OutOfRange):
            observations.correct(kitchen.tutor, *bad, day=TODAY)
    with pytest.raises(OutOfRange, match="the day"):
        observations.correct(kitchen.tutor, *told, day=TODAY + timedelta(days=1))


# --- a decision ----------------------------------------------------------------------------------------


def test_a_decision_says_what_it_rests_on(kitchen):
    keep_file(kitchen, SHA)
    keep_file(kitchen, "cd" * 32)
    first = kitchen.see(1, files=["cd" * 32, SHA])
    second = kitchen.see(2, files=[SHA])
    act = decide(kitchen)
    facts = dict(act.facts)
    assert (act.kind, act.by, act.person, act.criterion) == (
        "decided",
        kitchen.tutor.person,
        kitchen.apprentice,
        SKILL,
    )
    assert act.batch is None and tell(kitchen, facts.pop("reason")) == "On what was seen."
    about = kitchen.tutor.catalogue.criteria[SKILL]
    said = f"{SKILL}\n{about.text}\nTrue\n2"
    assert facts == {
        "decision": "competent",
        "day": "2026-03-04",
        "review_on": "2026-09-04",
        "criterion_print": hashlib.sha256(said.encode()).hexdigest()[:16],
        "points": [first.number, second.number],
        "entries": [],
        "files": ["cd" * 32, SHA],  # each once, in the order of the observations
        "missing": [],
        "profiles": [],
        "replaces": None,
        "kit": __version__,
        "evidence_rule": EVIDENCE_RULE,
        "second_wanted": True,
        "plan": PLAN.says,
    }


def test_not_yet_says_what_is_missing_and_asks_for_no_second_signature(kitchen):
    first = decide(kitchen, "not yet competent")
    assert (first.facts["review_on"], first.facts["replaces"]) == (None, None)
    assert "second_wanted" not in first.facts and first.facts["missing"]
    again = decide(kitchen, "not yet competent", seen_act=first.number)
    assert again.facts["replaces"] == first.number
    with pytest.raises(Changed, match=rf"\(act {again.number}\)"):
        decide(kitchen, "not yet competent", seen_act=first.number)
    assert decide(kitchen, "not yet competent", seen_act=None)


@pytest.mark.parametrize("reason", ["", "ab", "  ab  "])
def test_a_reason_has_3_characters(kitchen, reason):
    decided = decide(kitchen, "not yet competent")
    for refused in (
        lambda: deciding.decide(kitchen.tutor, kitchen.apprentice, SKILL, "not yet competent", reason),
        lambda: deciding.verify(kitchen.verifier, decided.number, True, reason),
        lambda: deciding.appeal(kitchen.other, decided.number, reason),
        lambda: deciding.settle(kitchen.other, decided.number, "stands", reason),
    ):
        with pytest.raises(OutOfRange, match="the reason"):
            refused()
    assert deciding.decide(kitchen.tutor, kitchen.apprentice, SKILL, "not yet competent", "abc")


def test_a_decision_is_one_of_two_on_a_criterion_that_there_is(kitchen):
    for wish in (Wish("COK-P77", "competent", "Seen."), Wish(SKILL, "nearly", "Seen.")):
        with pytest.raises(UnknownName):
            deciding.check_wish(kitchen.tutor, wish)
    deciding.check_wish(kitchen.tutor, Wish(SKILL, "competent", "Seen."))


def test_what_is_brought_in_says_who_decided_when_and_where_the_paper_is(kitchen):
    told = {"who": "Head chef", "paper": "Folder 3", "reason": "Signed sheet"}
    act = deciding.bring_in(
        kitchen.tutor, kitchen.apprentice, SKILL, day=TODAY, **told
    )  # of today, at the latest
    facts = act.facts
    assert (act.kind, act.by, act.person, act.criterion) == (
        "brought in",
        kitchen.tutor.person,
        kitchen.apprentice,
        SKILL,
    )
    assert {name: tell(kitchen, facts[name]) for name in told} == told
    assert (facts["decision"], facts["day"], facts["missing"]) == ("competent", "2026-03-02", [])
    assert facts["review_on"] == (TODAY + relativedelta(months=MONTHS)).isoformat()
    assert (facts["second_wanted"], facts["plan"]) == (True, "all that is brought in")
    assert (facts["points"], facts["entries"], facts["replaces"]) == ([], [], None)
    for blank in ("who", "paper"):
        with pytest.raises(BadData, match="must say who decided"):
            deciding.bring_in(kitchen.tutor, kitchen.apprentice, SKILL, day=TODAY, **{**told, blank: " "})
    with pytest.raises(OutOfRange, match="the reason"):
        deciding.bring_in(kitchen.tutor, kitchen.apprentice, SKILL, day=TODAY, **{**told, "reason": "ab"})
    with pytest.raises(UnknownName):
        deciding.bring_in(kitchen.tutor, kitchen.apprentice, "COK-P77", day=TODAY, **told)
    again = deciding.bring_in(kitchen.tutor, kitchen.apprentice, SKILL, day=TODAY, **told)
    assert again.facts["replaces"] == act.number
    deciding.appeal(kitchen.other, again.number, "It was not mine.")
    with pytest.raises(NotAllowed, match="An appeal is open"):
        deciding.bring_in(kitchen.tutor, kitchen.apprentice, SKILL, day=TODAY, **told)


def test_a_second_signature_an_appeal_and_its_settling_name_the_decision(kitchen):
    for day in (1, 2):
        kitchen.see(day)
    decided = decide(kitchen)
    signed = deciding.verify(kitchen.verifier, decided.number, True, "Read both.")
    assert tell(kitchen, signed.facts["reason"]) == "Read both."
    assert {**signed.facts, "reason": ""} == {"act": decided.number, "agrees": True, "reason": ""}
    opened = deciding.appeal(kitchen.other, decided.number, "Not so.", book_line="7")
    assert tell(kitchen, opened.facts["words"]) == "Not so."
    assert {**opened.facts, "words": ""} == {"act": decided.number, "words": "", "book_line": "7"}
    with pytest.raises(UnknownName):
        deciding.settle(kitchen.other, opened.number, "perhaps", "Looked.")
    with pytest.raises(BadData, match="it is no appeal"):
        deciding.settle(kitchen.other, decided.number, "stands", "Looked.")
    settled = deciding.settle(kitchen.other, opened.number, "stands", "Looked.")
    assert tell(kitchen, settled.facts["reason"]) == "Looked."
    assert {**settled.facts, "reason": ""} == {"appeal": opened.number, "outcome": "stands", "reason": ""}
    for kind, act in (("second", signed), ("appealed", opened), ("settled", settled)):
        assert (act.kind, act.person, act.criterion) == (kind, kitchen.apprentice, SKILL)
    with pytest.raises(BadData, match="it is no decision"):
        deciding.verify(kitchen.verifier, signed.number, True, "Again.")
    later = decide(kitchen, "not yet competent")
    with pytest.raises(BadData, match="a later decision has taken its place"):
        deciding.appeal(kitchen.other, decided.number, "The old one.")
    assert deciding.appeal(kitchen.other, later.number, "The new one.").facts["book_line"] == ""


def test_a_print_follows_every_word_and_need_of_a_criterion(bank):
    about = bank.criteria[SKILL]
    others = [
        replace(about, id="COK-P02"),
        replace(about, text="Other."),
        replace(about, safety_critical=False),
        replace(about, observations_needed=3),
    ]
    prints = {deciding.criterion_print(one) for one in [about, *others]}
    assert len(prints) == 5 and {len(one) for one in prints} == {16}


# --- the plan of second signatures ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("safe", "earlier", "before", "asked"),
    [
        (True, 4, "", {"second_wanted": True}),
        (False, 4, "", {"second_wanted": True}),
        (True, 5, "", {"second_wanted": False, "draw_every": 2}),
        (False, 5, "", {"second_wanted": False, "draw_every": 5}),
        (False, 5, "agreed", {"second_wanted": False, "draw_every": 5}),
        (False, 99, "wanted", {"second_wanted": True}),
        (False, 99, "disagreed", {"second_wanted": True}),
    ],
)
def test_the_first_five_are_signed_twice_then_a_share_is_drawn(safe, earlier, before, asked):
    assert second_asked(safety_critical=safe, earlier=earlier, before=before) == asked


def test_a_kitchen_may_have_a_plan_of_its_own():
    plan = VerificationPlan(first=1, safety_every=3, others_every=7)
    assert plan.says == "each tutor's first 1, then 1 in 3 safety-critical and 1 in 7 others"
    assert second_asked(safety_critical=True, earlier=1, plan=plan)["draw_every"] == 3
    assert second_asked(safety_critical=False, earlier=1, plan=plan)["draw_every"] == 7


def test_only_ones_own_decisions_competent_count_as_the_first_ones(kitchen):
    for _ in range(5):
        decide(kitchen, "not yet competent")  # uses up none
    days = iter(range(1, 30))
    for _ in range(5):
        kitchen.see(next(days)), kitchen.see(next(days))
        assert decide(kitchen).facts["second_wanted"] is True
        with kitchen.records.writing() as connection:  # a verifier has agreed
            connection.execute(schema.decided.update().values(second="agreed"))
    kitchen.see(next(days)), kitchen.see(next(days))
    assert decide(kitchen).facts["draw_every"] == 2
    kitchen.see(next(days), criterion="COK-K02", method="oral check")
    known = deciding.decide(kitchen.other, kitchen.apprentice, "COK-K02", "competent", "Asked aloud.")
    assert known.facts["second_wanted"] is True  # the other tutor's first


def test_another_tutors_apprentice_and_role_are_asked_for(kitchen):
    staff.leave(kitchen.manager, kitchen.apprentice, "apprentice")
    with pytest.raises(NotAllowed):
        decide(kitchen, "not yet competent")
