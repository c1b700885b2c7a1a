"""A certificate is given only where `assess` says competent, and everything about it is a signed act."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from types import SimpleNamespace

import pytest

from kit.basics.errors import BadData, UnknownName
from kit.files import certificate, signed_token
from kit.records.competence import certifying, deciding
from kit.records.competence.certifying import NotProven
from kit.records.ledger import acts
from kit.records.ledger.acts import Draft, NotAllowed
from kit.records.people.replay import replayed
from kit.records.upkeep.whole_check import check_all


class OneCriterion:
    """The small bank, with one criterion of the step alone, so that a story stays short."""

    def __init__(self, bank):
        self._bank = bank
        self.criteria = {"COK-P01": bank.criteria["COK-P01"]}

    def __getattr__(self, name):
        return getattr(self._bank, name)


@pytest.fixture
def able(kitchen, bank):
    """The kitchen, its apprentice seen on two days and decided competent once."""
    tutor = replace(kitchen.tutor, catalogue=OneCriterion(bank))
    for day in (1, 2):
        kitchen.see(day)
    decided = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen on 2 batches.")
    return SimpleNamespace(kitchen=kitchen, tutor=tutor, decided=decided.number, who=kitchen.apprentice)


def give(able):
    return certifying.give(able.tutor, able.who, "cook", "Skerry Smokehouse")


def proven(able):
    deciding.verify(able.kitchen.verifier, able.decided, True, "Read the sheets.")
    certifying.consent(able.tutor, able.who, True)


def chain(able):
    with able.kitchen.records.reading() as connection:
        return list(acts.read(connection))


def test_given_checked_elsewhere_taken_back_and_the_records_are_whole(able):
    proven(able)
    act, text = give(able)
    key = signed_token.read_public_key(able.tutor.key.public)
    now = able.kitchen.clock.now + timedelta(minutes=1)
    found = certificate.read_certificate(text.encode(), [key], now)
    assert (found.person_name, found.id) == ("Tam Ferris", act.facts["id"])
    assert found.valid_until.date().isoformat() == act.facts["until"]
    _, listed = certifying.revoke(able.tutor, act.number, "Given to the wrong person.")
    revoked = certificate.read_revoked(listed.encode(), [key])
    with pytest.raises(BadData, match="taken back"):
        certificate.read_certificate(text.encode(), [key], now, revoked)
    with pytest.raises(BadData, match="before"):
        certifying.revoke(able.tutor, act.number, "Once more.")
    assert check_all(able.kitchen.records, able.kitchen.tutor.catalogue).problems == ()
    assert not any("Ferris" in acts.as_json(one.facts) for one in chain(able) if "certificate" in one.kind)


def test_a_unit_of_single_criteria_is_given_read_and_taken_back(able):
    proven(able)
    act, text = certifying.give(able.tutor, able.who, ["COK-P01"], "Skerry Smokehouse")
    assert act.facts["unit"] == ["COK-P01"] and "step" not in act.facts
    assert certifying.parts_of(act.facts) == ("COK-P01",)
    key = signed_token.read_public_key(able.tutor.key.public)
    found = certificate.read_certificate(text.encode(), [key], able.kitchen.clock.now + timedelta(minutes=1))
    assert (found.kind, found.achievement) == ("unit", "Part of Cook by temperature (COK-P01)")
    certifying.revoke(able.tutor, act.number, "Given to the wrong person.")
    assert check_all(able.kitchen.records, able.kitchen.tutor.catalogue).problems == ()


def test_one_open_criterion_holds_a_whole_unit_up(able):
    proven(able)
    whole = replace(able.tutor, catalogue=able.kitchen.tutor.catalogue)
    with pytest.raises(NotProven, match="COK-K01: nothing yet") as told:
        certifying.give(whole, able.who, ["COK-P01", "COK-K01"], "Skerry Smokehouse")
    assert "COK-P01:" not in str(told.value)
    with pytest.raises(NotProven, match="chill: no criterion of it is known here"):
        certifying.give(able.tutor, able.who, ["COK-P01", "chill"], "Skerry Smokehouse")
    with pytest.raises(UnknownName, match="COK-P99"):
        certifying.unit_of(["cook", "COK-P99"])
    with pytest.raises(BadData, match="no step and no criterion"):
        certifying.give(able.tutor, able.who, [], "Skerry Smokehouse")


def test_not_before_the_second_signature_nor_under_an_appeal(able):
    certifying.consent(able.tutor, able.who, True)
    with pytest.raises(NotProven, match="COK-P01"):
        give(able)
    deciding.verify(able.kitchen.verifier, able.decided, True, "Read the sheets.")
    give(able)
    deciding.appeal(able.kitchen.tutor, able.decided, "The probe was off.")
    with pytest.raises(NotProven, match="appeal"):
        give(able)


def test_not_after_the_review_date_nor_with_a_criterion_open(able):
    proven(able)
    whole_step = replace(able.tutor, catalogue=able.kitchen.tutor.catalogue)
    with pytest.raises(NotProven, match="COK-K01: nothing yet"):
        certifying.give(whole_step, able.who, "cook", "Skerry Smokehouse")
    able.kitchen.clock.on(300)
    with pytest.raises(NotProven):
        give(able)


def test_not_without_consent_and_not_after_it_was_withdrawn(able):
    deciding.verify(able.kitchen.verifier, able.decided, True, "Read the sheets.")
    with pytest.raises(NotAllowed, match="has not agreed"):
        give(able)
    certifying.consent(able.tutor, able.who, True)
    certifying.consent(able.tutor, able.who, False)
    before = len(chain(able))
    with pytest.raises(NotAllowed, match="has not agreed"):
        give(able)
    assert len(chain(able)) == before


def test_a_verifier_or_a_hand_without_a_key_gives_none(able):
    proven(able)
    with pytest.raises(NotAllowed):
        certifying.give(replace(able.kitchen.verifier, catalogue=able.tutor.catalogue), able.who, "cook", "S")
    with pytest.raises(NotAllowed, match="open your key"):
        certifying.give(replace(able.tutor, key=None), able.who, "cook", "S")


@pytest.mark.parametrize(
    ("kind", "facts", "told"),
    [
        ("certificate given", {"step": "cook", "id": "x", "consent": 1, "decisions": {}}, "did not agree"),
        ("certificate given", {"step": "cook", "id": "x", "decisions": {"COK-P01": 1}}, "no decision"),
        ("certificate revoked", {"act": 1, "id": "x"}, "gave no such certificate"),
    ],
)
def test_the_check_names_an_act_that_was_written_past_the_rule(able, kind, facts, told):
    with able.kitchen.records.writing() as connection:
        draft = Draft(kind, able.tutor.person, able.who, facts=facts)
        number = acts.append(connection, draft, able.kitchen.clock.now, able.tutor.key).number
    assert any(f"act {number}" in fault and told in fault for fault in replayed(chain(able))[0])
