"""Which decisions a verifier looks at: nobody who decides can foresee it, steer it, or leave it out."""

from dataclasses import replace
from datetime import timedelta

import pytest

from kit.records.competence import deciding, second_signature
from kit.records.competence.certifying import NotProven, consent, give
from kit.records.competence.decision_state import SECOND_WITHIN_DAYS, decisions
from kit.records.competence.readings import Contradicted
from kit.records.ledger import acts
from kit.records.ledger.acts import Draft, NotAllowed
from kit.records.ledger.draws import DRAWN, TO_DRAW, is_drawn
from kit.records.people import staff
from kit.records.reports import desk_lists
from kit.records.upkeep.whole_check import check_all
from tests.records.conftest import FakeCriterion, SmallBank
from tests.records.test_evidence_replay import slipped_in

ABOUT = ("COK-P01", "competent", "Seen at work.")


def decide(k):
    return deciding.decide(k.tutor, k.apprentice, *ABOUT)


def stands(k):
    with k.records.reading() as connection:
        found = decisions(connection, k.tutor.catalogue, k.clock.now.date())
    return found[k.apprentice]["COK-P01"]


def drawn(k):
    with k.records.reading() as connection:
        return list(acts.read(connection, kind=DRAWN))


@pytest.fixture
def seen(kitchen, monkeypatch):
    """Two batches seen, by a tutor whose first decisions are behind them."""
    monkeypatch.setattr(second_signature, "PLAN", second_signature.VerificationPlan(first=0))
    kitchen.acts = [kitchen.see(day).number for day in (1, 2)]
    return kitchen


def test_a_share_is_drawn():
    for every in (2, 5):
        lots = [is_drawn(f"{number:064x}", every) for number in range(5000)]
        assert abs(sum(lots) / len(lots) - 1 / every) < 0.03


def test_nothing_on_file_tells_who_decides_whether_it_will_be_drawn(seen):
    """The attack: work out beforehand, from the records and one's own keys, what nobody will look at."""
    act = decide(seen)
    assert (act.facts["second_wanted"], act.facts["draw_every"]) == (False, 2)
    for turn in range(3):
        staff.note(seen.tutor, seen.apprentice, "note", f"Note {turn}.")
    assert stands(seen).second == TO_DRAW and not drawn(seen), "one's own acts draw nothing"
    staff.note(seen.other, seen.apprentice, "note", "I was there too.")
    (draw,) = drawn(seen)
    assert (draw.by, draw.person, draw.facts) == (
        seen.other.person,
        seen.apprentice,
        {"act": act.number, "every": 2},
    )
    assert stands(seen).second == ("wanted" if is_drawn(draw.hash, 2) else "")
    staff.note(seen.manager, seen.apprentice, "note", "Nothing more is drawn.")
    assert len(drawn(seen)) == 1 and check_all(seen.records, seen.tutor.catalogue).whole


def test_saying_not_yet_uses_none_of_the_first_ones_up(kitchen):
    """The attack: five times "not yet", and the first decision that matters is drawn by lot."""
    for _ in range(second_signature.PLAN.first):
        deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "Practise more.")
    for day in (1, 2):
        kitchen.see(day)
    assert decide(kitchen).facts["second_wanted"] is True
    assert check_all(kitchen.records, kitchen.tutor.catalogue).whole


@pytest.fixture
def always(monkeypatch):
    """Let every draw ask for a second signature."""
    monkeypatch.setattr("kit.records.ledger.projection.is_drawn", lambda *_: True)
    monkeypatch.setattr("kit.records.competence.evidence_replay.is_drawn", lambda *_: True)


def test_deciding_again_does_not_draw_anew(seen, always):
    """The attack: it was drawn, so decide once more and hope for a better draw."""
    decide(seen)
    staff.note(seen.other, seen.apprentice, "note", "I was there too.")
    assert stands(seen).state == "second wanted"
    for day in (3, 4):
        seen.see(day)
    again = decide(seen)
    assert again.facts["second_wanted"] is True and "draw_every" not in again.facts
    deciding.verify(seen.verifier, again.number, False, "The log says 60 °C.")
    for day in (5, 6):
        seen.see(day)
    assert decide(seen).facts["second_wanted"] is True, "after a refusal it is always looked at"


def test_what_nobody_draws_for_a_month_is_wanted(seen):
    decide(seen)
    seen.clock.now += timedelta(days=SECOND_WITHIN_DAYS)
    assert stands(seen).holds
    seen.clock.now += timedelta(days=1)
    assert stands(seen).state == "lapsed" and not stands(seen).holds
    (one,) = desk_lists.to_sign(seen.records, seen.verifier.person, seen.clock.now.date())
    assert one.criterion == "COK-P01"
    deciding.verify(seen.verifier, one.act, True, "Read the sheets.")
    assert stands(seen).holds and stands(seen).second == "agreed"


def test_no_certificate_before_the_draw(seen):
    decide(seen)
    consent(seen.tutor, seen.apprentice, True)
    with pytest.raises(NotProven, match="drawn when somebody else next signs"):
        give(seen.tutor, seen.apprentice, "COK-P01", "Skerry Kitchen")


@pytest.mark.parametrize("facts", [{}, {"second_wanted": False}, {"second_wanted": False, "draw_every": 9}])
def test_a_decision_that_leaves_its_second_signature_out_is_named(seen, facts):
    """The attack: a changed kit, and the tutor's own key."""
    slipped_in(seen, points=seen.acts, day=2, **facts)
    told = check_all(seen.records, seen.tutor.catalogue).problems
    assert any("does not ask for a second signature as the plan does" in one for one in told)


def test_who_decided_does_not_draw_and_nothing_is_drawn_twice(seen):
    act = decide(seen)
    facts = {"act": act.number, "every": 2}
    own = Draft(DRAWN, seen.tutor.person, seen.apprentice, "COK-P01", facts=facts)
    with seen.records.writing() as connection, pytest.raises(NotAllowed, match="decision of their own"):
        staff.write(connection, seen.tutor, own)
    staff.note(seen.other, seen.apprentice, "note", "This draws.")
    twice = replace(own, by=seen.verifier.person)
    with seen.records.writing() as connection:
        acts.append(connection, twice, seen.clock.now, seen.verifier.key)
    told = check_all(seen.records, seen.tutor.catalogue).problems
    assert any("waited for no such draw" in one for one in told)


class WithLimits(SmallBank):
    """The same, and the cook claims the kitchen's limit."""

    criteria = {  # noqa: RUF012 - never changed
        "COK-P01": FakeCriterion("COK-P01", "cook", "performance", True, limit_point="cook")
    }


def test_a_cook_that_nobody_measured_is_no_ground_without_a_printed_reason(kitchen):
    """The attack: leave the reading out, so that nothing can speak against it."""
    tutor = replace(kitchen.tutor, catalogue=WithLimits())
    seen = [kitchen.see(day).number for day in (1, 2)]
    with pytest.raises(Contradicted, match="no observation that it rests on holds a reading"):
        deciding.decide(tutor, kitchen.apprentice, *ABOUT)
    kitchen.clock.on(2)
    slipped_in(kitchen, points=seen, day=2, second_wanted=True)
    told = check_all(kitchen.records, tutor.catalogue).problems
    assert any("no reading stands behind it" in one for one in told)


def test_one_reading_or_a_reason_is_enough(kitchen):
    tutor = replace(kitchen.tutor, catalogue=WithLimits())
    kitchen.see(1)
    kitchen.see(2, measures={"core_temp_c": 76.0})
    assert "against" not in deciding.decide(tutor, kitchen.apprentice, *ABOUT).facts
    for day in (3, 4):
        kitchen.see(day)
    kitchen.clock.on(5)
    why = "The display was read and photographed; the sheet got wet."
    act = deciding.decide(tutor, kitchen.apprentice, *ABOUT, despite=why)
    assert act.facts["against"][0]["rule"] == "no reading"
    assert check_all(kitchen.records, tutor.catalogue).whole
