"""The check asks of each decision "competent" whether its evidence was enough when it was made."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from kit.exercises.catalogue import Catalogue
from kit.records.competence import deciding, evidence_replay
from kit.records.competence.assessment import EVIDENCE_RULE
from kit.records.competence.observations import Observation, observe
from kit.records.competence.readings import Contradicted
from kit.records.ledger import acts
from kit.records.ledger.acts import Draft
from kit.records.ledger.projection import follow
from kit.records.upkeep.whole_check import check_all
from tests.records.conftest import START


def slipped_in(k, criterion="COK-P01", *, points=(), day=0, **facts):
    """Write "competent" past every rule, with the tutor's own key, as a changed kit could."""
    said = {"decision": "competent", "day": (START + timedelta(days=day)).date().isoformat()}
    said |= {"points": list(points), "missing": [], "evidence_rule": EVIDENCE_RULE} | facts
    draft = Draft("decided", k.tutor.person, k.apprentice, criterion, facts=said)
    with k.records.writing() as connection:
        act = acts.append(connection, draft, k.clock.now, k.tutor.key)
        follow(connection, act)
    return act


def decide(k, decision="competent", hand=None):
    return deciding.decide(hand or k.tutor, k.apprentice, "COK-P01", decision, "Seen at work.")


def problems(k, bank):
    report = check_all(k.records, bank)
    assert not report.not_checked
    return report.problems


@pytest.mark.slow
def test_honest_decisions_appeals_and_renewals_are_entitled(kitchen, bank):
    for day in (1, 2):
        kitchen.see(day)
    act = decide(kitchen)
    opened = deciding.appeal(kitchen.other, act.number, "He wants another look.")
    deciding.settle(kitchen.other, opened.number, "assess again", "One more batch.")
    kitchen.see(3)
    decide(kitchen)
    for day in (10, 11):
        kitchen.see(day)
    decide(kitchen)
    assert problems(kitchen, bank) == ()


def one_occasion(k):
    first = k.see(1)
    k.clock.on(2)
    slipped_in(k, points=[first.number], day=2)


def one_batch_twice(k):
    seen = [k.see(day, batch="B1").number for day in (1, 2)]
    slipped_in(k, points=seen, day=2)


def a_miss_after(k):
    seen = [k.see(day).number for day in (1, 2)]
    k.see(3, "not met")
    slipped_in(k, points=seen, day=3)


def a_renewal_on_what_was_seen_before(k):
    seen = [k.see(day).number for day in (1, 2)]
    decide(k)
    k.clock.on(5)
    slipped_in(k, points=seen, day=5)


def evidence_grown_old(k):
    seen = [k.see(day).number for day in (1, 2)]
    k.clock.on(300)
    slipped_in(k, points=seen, day=300)


def past_an_open_appeal(k):
    seen = [k.see(day).number for day in (1, 2)]
    act = decide(k)
    deciding.appeal(k.other, act.number, "He wants another look.")
    slipped_in(k, points=seen, day=2)


def against_a_reading(k):
    seen = k.see(1)
    told = [{"criterion": "COK-P01", "rule": "a-rule", "says": "a core of 41 °C"}]
    facts = dict(seen.facts) | {"against": told, "despite": "", "day": k.clock.on(2).isoformat()}
    draft = Draft("observed", k.tutor.person, k.apprentice, batch="B2", facts=facts)
    with k.records.writing() as connection:
        second = acts.append(connection, draft, k.clock.now, k.tutor.key)
        follow(connection, second)
    slipped_in(k, points=[seen.number, second.number], day=2)


def knowledge_without_a_line(k):
    slipped_in(k, "COK-K02")


def knowledge_on_a_line_of_nobody(k):
    slipped_in(k, "COK-K02", entries=["0" * 64])


def safety_without_asking(k):
    slipped_in(k, "COK-K01", entries=["0" * 64])


NOT_ENTITLED = {
    one_occasion: "met on 1 of 2 days",
    one_batch_twice: "met on 1 of 2 days",
    a_miss_after: "did not count towards COK-P01 then",
    a_renewal_on_what_was_seen_before: "did not count towards COK-P01 then",
    evidence_grown_old: "did not count towards COK-P01 then",
    past_an_open_appeal: "was open",
    against_a_reading: "a reading speaks against it",
    knowledge_without_a_line: "names no line of practice",
    knowledge_on_a_line_of_nobody: "stood in no book of theirs",
    safety_without_asking: "oral check or a supervised sitting was missing",
}


@pytest.mark.slow
@pytest.mark.parametrize(("wrong", "says"), NOT_ENTITLED.items())
def test_the_check_names_a_decision_that_was_not_entitled(kitchen, bank, wrong, says):
    wrong(kitchen)
    found = problems(kitchen, bank)
    assert len(found) == 1 and "was not entitled" in found[0] and says in found[0]


def test_a_decision_of_before_is_named_as_such_and_is_no_fault(kitchen, bank):
    first = kitchen.see(1)
    act = slipped_in(kitchen, points=[first.number], day=1, evidence_rule=None)
    report = check_all(kitchen.records, bank)
    assert report.whole and f"whether act {act.number} had enough evidence" in report.not_checked[0]


def test_thousands_of_before_are_named_in_one_line():
    told = evidence_replay._by_todays_rule(range(20, 3020))
    assert told.startswith("whether acts 20, 21, ") and "31 and 2,988 more had enough" in told


def test_nobody_hides_behind_the_rule_of_before_once_todays_was_used(kitchen, bank):
    decide(kitchen, "not yet competent")
    first = kitchen.see(1)
    slipped_in(kitchen, points=[first.number], day=1, evidence_rule=None)
    assert "was not entitled" in problems(kitchen, bank)[0]


KIT = Catalogue()
COOKED_COLD = [{"criterion": "COK-P01", "rule": "ie-cook-75", "says": "a core of 41 °C"}]


def observed_past_the_rules(k, day, core_temp_c, **facts):
    """Write an observation past every rule, with the tutor's own key, as a changed kit could."""
    honest = k.see(day, measures={"core_temp_c": 76.0})
    said = dict(honest.facts) | {"measures": {"core_temp_c": core_temp_c}} | facts
    said = {name: value for name, value in said.items() if value is not None}
    draft = Draft("observed", k.tutor.person, k.apprentice, batch="B9", facts=said)
    with k.records.writing() as connection:
        act = acts.append(connection, draft, k.clock.now, k.tutor.key)
        follow(connection, act)
    return act


def test_a_reading_that_was_never_held_against_the_rules_is_named(kitchen):
    act = observed_past_the_rules(kitchen, 1, 41.0)
    (found,) = problems(kitchen, KIT)
    said = f"act {act.number} was not entitled: COK-P01 is called met against a core of 41 °C"
    assert found.startswith(said)


def test_a_reading_with_its_reason_is_entitled_and_an_empty_one_hides_nothing(kitchen):
    tutor = replace(kitchen.tutor, catalogue=KIT)
    seen = Observation(kitchen.apprentice, "cook", kitchen.clock.on(1), {"COK-P01": "met"}, batch="B1")
    seen = replace(seen, declared=True, measures={"core_temp_c": 41.0})
    with pytest.raises(Contradicted):
        observe(tutor, seen)
    observe(tutor, replace(seen, despite="A second probe in the same piece read 78 °C."))
    assert problems(kitchen, KIT) == ()
    observed_past_the_rules(kitchen, 2, 41.0, against=COOKED_COLD, despite="")
    assert "called met against a core of 41 °C" in problems(kitchen, KIT)[0]


def test_readings_by_other_rules_are_not_judged_and_that_is_said(kitchen):
    observed_past_the_rules(kitchen, 1, 66.0, rules=["elsewhere", "0" * 16])
    report = check_all(kitchen.records, KIT)
    assert report.whole
    assert report.not_checked == ("the readings of 1 observation judged by other rules than yours now",)
    act = observed_past_the_rules(kitchen, 2, 41.0, rules=None)
    assert f"act {act.number} names no rules for its readings" in check_all(kitchen.records, KIT).problems


def test_a_sitting_without_its_paper_is_settled_by_its_own_reason(kitchen, bank):
    """Its reason stands at the sitting: a decision that rests on it is entitled without a second one."""
    kitchen.see(1, criterion="COK-K02", method="supervised sitting")
    deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-K02", "competent", "Asked from the card.")
    assert problems(kitchen, bank) == ()
