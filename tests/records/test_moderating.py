"""Moderation: the sample follows its stated rule and is not steered; a finding is a signed act."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kit.basics.errors import BadData, UnknownName
from kit.records.competence import deciding, moderating
from kit.records.competence.decision_state import decisions
from kit.records.ledger import acts
from kit.records.ledger.acts import NotAllowed
from kit.records.ledger.projection import follow
from kit.records.people import staff
from kit.records.reports.verifier_day import verifier_day
from kit.records.upkeep.whole_check import check_all

WHY = "Read both sheets and the log."


def decided(kitchen, days=(1, 2), criterion="COK-P01", hand=None):
    for day in days:
        kitchen.see(day, criterion=criterion)
    return deciding.decide(
        hand or kitchen.tutor, kitchen.apprentice, criterion, "competent", "Two good batches."
    )


def drawn(kitchen, me=""):
    with kitchen.records.reading() as connection:
        bank, today = kitchen.tutor.catalogue, kitchen.clock.now.date()
        return moderating.to_moderate(connection, bank, today, me or kitchen.verifier.person)


def stands(kitchen, bank):
    with kitchen.records.reading() as connection:
        return decisions(connection, bank, kitchen.clock.now.date())[kitchen.apprentice]["COK-P01"]


def test_the_points_follow_the_rule_and_each_tutor_is_sampled_at_least_once(kitchen):
    act = decided(kitchen)
    (one,) = drawn(kitchen)
    said = {"safety-critical", "one of this tutor's first 5", "nobody signed second"}
    assert (one.act, one.risk, set(one.why), one.found) == (act.number, 5, said, "")
    deciding.verify(kitchen.verifier, act.number, True, WHY)
    assert drawn(kitchen)[0].risk == 4  # below every line, and there for its tutor
    assert drawn(kitchen, kitchen.tutor.person) == ()  # nobody moderates their own


def test_who_decides_cannot_foresee_the_lot_and_nobody_changes_it_later(kitchen):
    """The attack: work out beforehand, from the first act on record, which decisions nobody will look at."""
    act = decided(kitchen)

    def lots():
        with kitchen.records.reading() as connection:
            today = kitchen.clock.now.date()
            rows = moderating._standing(connection, today, today)
            return moderating._lots(connection, rows)

    staff.note(kitchen.tutor, kitchen.apprentice, "note", "Mine draws nothing.")
    assert lots() == {act.number: 1}
    next_by_another = deciding.verify(kitchen.verifier, act.number, True, WHY)
    drawn_then = {act.number: moderating._drawn(next_by_another.hash, act.number)}
    assert lots() == drawn_then != {act.number: 1}
    staff.note(kitchen.other, kitchen.apprentice, "note", "Later acts change nothing.")
    assert lots() == drawn_then


def test_what_was_overturned_before_weighs_and_what_is_old_does_not_come_up(kitchen):
    act = decided(kitchen)
    deciding.verify(kitchen.verifier, act.number, False, "No time on the sheet.")
    again = decided(kitchen, days=(3, 4))
    (one,) = drawn(kitchen)
    assert one.act == again.number and "this tutor was overturned before" in one.why
    assert one.risk == 7 >= moderating.CERTAIN
    kitchen.clock.on(4 + moderating.DAYS)
    assert [each.act for each in drawn(kitchen)] == [again.number]
    kitchen.clock.on(5 + moderating.DAYS)
    assert drawn(kitchen) == ()


def test_a_finding_is_signed_once_and_stands_before_the_tutor_alone(kitchen, bank):
    act = decided(kitchen)
    (made,) = moderating.moderate(kitchen.verifier, act.number, "to improve", WHY)
    assert made.signature and made.facts["rule"] == moderating.RULE and made.facts["risk"] == 5
    assert stands(kitchen, bank).holds and drawn(kitchen) == ()
    with pytest.raises(BadData, match="looked at before"):
        moderating.moderate(kitchen.verifier, act.number, "sound", WHY)
    with kitchen.records.reading() as connection:
        (told,) = moderating.findings_on(connection, kitchen.tutor.person)
        assert moderating.findings_on(connection, kitchen.other.person) == ()
    assert (told.act, told.finding, told.reason) == (act.number, "to improve", WHY)
    assert check_all(kitchen.records).whole


def test_look_again_opens_the_criterion_and_the_verifier_does_not_close_it_themself(kitchen, bank):
    act = decided(kitchen)
    _, opened = moderating.moderate(kitchen.verifier, act.number, "look again", WHY)
    assert opened.kind == "appealed" and stands(kitchen, bank).state == "appeal"
    with pytest.raises(NotAllowed, match="somebody else than that verifier"):
        deciding.settle(kitchen.verifier, opened.number, "stands", WHY)
    with pytest.raises(NotAllowed, match="somebody else than the person who decided"):
        deciding.settle(kitchen.tutor, opened.number, "stands", WHY)
    deciding.settle(kitchen.other, opened.number, "stands", WHY)
    assert stands(kitchen, bank).holds and check_all(kitchen.records).whole


def test_the_check_names_a_verifier_who_closed_what_they_opened(kitchen):
    act = decided(kitchen)
    _, opened = moderating.moderate(kitchen.verifier, act.number, "look again", WHY)
    with kitchen.records.writing() as connection:  # past the rule, with a key of one's own
        facts = {"appeal": opened.number, "outcome": "stands", "reason": ""}
        hand = kitchen.verifier
        draft = acts.Draft("settled", hand.person, opened.person, opened.criterion, facts=facts)
        follow(connection, acts.append(connection, draft, kitchen.clock(), hand.key))
    assert any("somebody else than that verifier" in one for one in check_all(kitchen.records).problems)


def test_no_tutor_no_manager_and_no_unfit_verifier_moderates(kitchen, with_key):
    act = decided(kitchen)
    for hand in (kitchen.other, kitchen.manager):
        with pytest.raises(NotAllowed, match="needs a verifier"):
            moderating.moderate(hand, act.number, "sound", WHY)
    person = staff.take_on(kitchen.manager, "verifier", name="Vera From-Outside")
    outside = with_key(replace(kitchen.manager, person=person), kitchen.manager)
    with pytest.raises(NotAllowed, match="competence to assess is not on file"):
        moderating.moderate(outside, act.number, "sound", WHY)
    staff.take_on(kitchen.manager, "verifier", person=kitchen.tutor.person)
    with pytest.raises(NotAllowed, match="your own"):
        moderating.moderate(kitchen.tutor, act.number, "sound", WHY)


@pytest.mark.parametrize(
    ("act", "finding", "reason", "said"),
    [
        (0, "sound", WHY, "not in the sample"),
        (None, "fine", WHY, "fine"),
        (None, "sound", " ", "a few words"),
    ],
)
def test_a_bad_finding_is_one_line_and_leaves_nothing(kitchen, act, finding, reason, said):
    made = decided(kitchen)
    with kitchen.records.reading() as connection:
        before = acts.head(connection)
    with pytest.raises((BadData, UnknownName, ValueError), match=said) as refused:
        moderating.moderate(kitchen.verifier, made.number if act is None else act, finding, reason)
    assert "\n" not in str(refused.value)
    with kitchen.records.reading() as connection:
        assert acts.head(connection) == before


def test_a_verifiers_day_is_one_list_without_doubles(kitchen, bank):
    act = decided(kitchen)
    today = kitchen.clock.now.date()
    (one,) = verifier_day(kitchen.records, kitchen.verifier.person, today, bank)
    assert (one.sort, one.act) == ("second", act.number)  # it is in the sample too, and stands once
    deciding.verify(kitchen.verifier, act.number, True, WHY)
    (one,) = verifier_day(kitchen.records, kitchen.verifier.person, today, bank)
    assert one.sort == "moderate" and "in the sample, 4 points" in one.says
    deciding.appeal(kitchen.manager, act.number, "I see it otherwise.")
    (one,) = verifier_day(kitchen.records, kitchen.verifier.person, today, bank)
    assert one.sort == "settle"
    assert verifier_day(kitchen.records, kitchen.tutor.person, today, bank) == ()
