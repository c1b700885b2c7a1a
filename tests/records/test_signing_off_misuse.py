"""Ways to get a sign-off without the competence, as somebody would try them. Each must fail.

Beside each stands the honest way, which must not be slowed.
"""

from datetime import timedelta

import pytest

from kit.basics.errors import OutOfRange
from kit.records.competence import deciding, observations
from kit.records.competence.assess import assess
from kit.records.competence.deciding import MissingEvidence
from kit.records.competence.decision_state import SECOND_WITHIN_DAYS
from kit.records.competence.entry_doubts import LATE_AFTER_DAYS
from kit.records.competence.observations import Observation
from kit.records.competence.readings import Contradicted, despite_words
from kit.records.ledger.acts import NotAllowed
from kit.records.people import staff
from kit.records.people.named_acts import tell_acts
from tests.records.conftest import START

WHY = "The sheet lay at the bench over the holidays."


def decide(kitchen, hand=None, decision="competent"):
    return deciding.decide(hand or kitchen.tutor, kitchen.apprentice, "COK-P01", decision, "Seen at work.")


def see(kitchen, on, batch="B1", **more):
    facts = Observation(
        kitchen.apprentice, "cook", on, {"COK-P01": "met"}, batch=batch, declared=True, **more
    )
    return observations.observe(kitchen.tutor, facts)


def test_one_batch_on_two_days_is_one_occasion(kitchen):
    for day in (1, 2, 3):
        kitchen.see(day, batch="B1")
    with pytest.raises(MissingEvidence, match="1 of 2"):
        decide(kitchen)
    kitchen.see(4, batch="B2")
    assert decide(kitchen).facts["decision"] == "competent"


def test_a_label_written_another_way_is_the_same_batch(kitchen):
    for day, batch in ((1, "C-12"), (2, "c-12"), (3, " C - 12")):
        kitchen.see(day, batch=batch)
    with pytest.raises(MissingEvidence, match="1 of 2"):
        decide(kitchen)


def test_what_was_seen_before_a_decision_and_entered_after_it_renews_nothing(kitchen):
    for day in (1, 2):
        kitchen.see(day)
    kitchen.clock.on(6)
    decide(kitchen)
    for day in (3, 4):
        see(kitchen, START.date() + timedelta(days=day), batch=f"L{day}")
    with pytest.raises(MissingEvidence, match="0 of 2"):
        decide(kitchen)


def test_a_decision_signed_once_lapses_and_a_late_second_signature_brings_it_back(kitchen, bank):
    def stands():
        with kitchen.records.reading() as connection:
            return assess(connection, bank, kitchen.apprentice, "COK-P01", kitchen.tutor.today())

    for day in (1, 2):
        kitchen.see(day)
    act = decide(kitchen)
    assert act.facts["second_wanted"] and stands().state == "second wanted" and stands().holds
    kitchen.clock.now += timedelta(days=SECOND_WITHIN_DAYS)
    assert stands().holds, "the last day"
    kitchen.clock.now += timedelta(days=1)
    assert stands().state == "lapsed" and not stands().holds and stands().next == ("second",)
    assert "signed once" in stands().says
    deciding.verify(kitchen.verifier, act.number, True, "Read both sheets, late.")
    assert stands().state == "competent"


def test_two_batches_on_one_day_are_one_occasion_too(kitchen):
    for batch in ("B1", "B2", "B3"):
        kitchen.see(1, batch=batch)
    with pytest.raises(MissingEvidence, match="1 of 2"):
        decide(kitchen)


def test_a_renewal_needs_fresh_observations(kitchen, bank):
    for day in (1, 2):
        kitchen.see(day)
    first = decide(kitchen)
    with pytest.raises(MissingEvidence, match="0 of 2"):  # the review date cannot be pushed on
        decide(kitchen)
    deciding.verify(kitchen.verifier, first.number, True, "Read both sheets.")
    kitchen.clock.on(170)
    with kitchen.records.reading() as connection:
        held = assess(connection, bank, kitchen.apprentice, "COK-P01", kitchen.tutor.today())
    assert held.holds, "what was decided holds until its day"
    for day in (171, 172):
        kitchen.see(day)
    renewed = decide(kitchen)
    assert renewed.facts["review_on"] > first.facts["review_on"]
    assert not set(renewed.facts["points"]) & set(first.facts["points"])


def test_a_day_before_the_apprentice_began_is_refused(kitchen):
    kitchen.clock.on(3)
    with pytest.raises(OutOfRange, match="began here"):
        see(kitchen, START.date() - timedelta(days=1), despite=WHY)
    assert see(kitchen, START.date()).kind == "observed"
    earlier = START.date() - timedelta(days=40)
    who = staff.take_on(kitchen.manager, "apprentice", name="Ona Brekke", started=earlier)
    seen = Observation(who, "cook", earlier, {"COK-P01": "met"}, batch="B1", declared=True, despite=WHY)
    assert observations.observe(kitchen.tutor, seen).kind == "observed"


def test_an_observation_of_long_ago_needs_a_reason_that_is_printed(kitchen):
    kitchen.clock.on(LATE_AFTER_DAYS + 5)
    with pytest.raises(Contradicted, match="12 days after its day"):
        see(kitchen, START.date())
    act = see(kitchen, START.date(), despite=WHY)
    with kitchen.records.reading() as connection:
        told = {one.number: one for one in tell_acts(connection, people=[kitchen.apprentice])}
    assert WHY in despite_words(told[act.number].facts)
    assert see(kitchen, START.date() + timedelta(days=5), batch="B2").facts.get("against") is None


def test_deciding_anew_does_not_close_an_appeal(kitchen, bank):
    for day in (1, 2):
        kitchen.see(day)
    act = decide(kitchen, decision="not yet competent")
    opened = deciding.appeal(kitchen.verifier, act.number, "I was rushed.")
    for decision in ("competent", "not yet competent"):
        with pytest.raises(NotAllowed, match="An appeal is open"):
            decide(kitchen, decision=decision)
    with pytest.raises(NotAllowed):
        deciding.settle(kitchen.tutor, opened.number, "stands", "I know best.")
    deciding.settle(kitchen.other, opened.number, "assess again", "Look once more.")
    assert decide(kitchen).facts["decision"] == "competent"
