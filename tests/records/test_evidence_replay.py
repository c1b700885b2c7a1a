"""The check asks of each decision "competent" whether its evidence was enough when it was made."""

from __future__ import annotations

from datetime import timedelta

import pytest

from kit.records.competence import deciding, evidence_replay
from kit.records.competence.assessment import EVIDENCE_RULE
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
