"""Open records leave only with consent, hold no name and no typed word, and come back whole."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from kit.exercises.catalogue import Catalogue
from kit.files.paper_plan import PaperPlan
from kit.files.statements import faults, read_statements, write_statements
from kit.records import take_in
from kit.records.competence import certifying, deciding, papers, sitting
from kit.records.competence.certifying import STATEMENTS
from kit.records.competence.sitting import SatPaper
from kit.records.ledger import acts
from kit.records.ledger.acts import NotAllowed
from kit.records.people import staff
from kit.records.people.pseudonyms import pseudonyms
from kit.records.people.replay import replayed
from kit.records.reports.open_records import open_records_of, who_agreed
from kit.records.upkeep.erase import erase_person
from kit.records.upkeep.whole_check import check_all
from kit.rules import load


@pytest.fixture
def told(kitchen, bank):
    """The kitchen with an apprentice who was seen twice and decided on."""
    for day in (1, 2):
        kitchen.see(day)
    deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "Slow: a typed word.")
    return kitchen


def test_nothing_goes_without_consent_and_another_consent_is_none(told):
    certifying.consent(told.tutor, told.apprentice, True)  # to certificates
    assert who_agreed(told.records)[0] == frozenset()
    with pytest.raises(NotAllowed, match="has not agreed"):
        who_agreed(told.records, told.apprentice)
    certifying.consent(told.tutor, told.apprentice, True, STATEMENTS)
    assert who_agreed(told.records)[0] == {told.apprentice}
    certifying.consent(told.tutor, told.apprentice, False, STATEMENTS)
    assert who_agreed(told.records)[0] == frozenset()


def test_consent_to_statements_gives_no_certificate_and_takes_none_away(told):
    certifying.consent(told.tutor, told.apprentice, True, STATEMENTS)
    with told.records.reading() as connection:
        assert certifying.consents(connection) == {}
    agreed = certifying.consent(told.tutor, told.apprentice, True).number
    certifying.consent(told.tutor, told.apprentice, False, STATEMENTS)
    with told.records.reading() as connection:
        assert certifying.consents(connection) == {told.apprentice: agreed}
        assert replayed(acts.read(connection))[0] == []
    assert check_all(told.records, told.tutor.catalogue).problems == ()


def test_nobody_consents_for_themself(told):
    with pytest.raises(NotAllowed, match="somebody else does"):
        certifying.consent(told.tutor, told.tutor.person, True, STATEMENTS)


def test_decisions_go_opaque_sound_and_come_back_whole(told):
    certifying.consent(told.tutor, told.apprentice, True, STATEMENTS)
    people, _ = who_agreed(told.records)
    found = tuple(open_records_of(told.records, people, told.tutor.catalogue))
    assert [each.verb for each in found] == ["failed"]
    assert found[0].about == "criteria/COK-P01" and found[0].right is False
    data = b"".join(write_statements(found))
    assert read_statements(data) == found
    assert all(faults(each) == [] for each in json.loads(data))
    with told.records.reading() as connection:
        known = pseudonyms(connection)
    assert found[0].account == known[told.apprentice] and found[0].instructor == known[told.tutor.person]
    for secret in (told.apprentice, told.tutor.person, "typed word"):
        assert secret.encode() not in data


def test_answers_of_a_book_go_with_their_slips_and_nobody_elses(kitchen, bank, write, now):
    ana, ben = write(), write("p-ben", "Ben Orr")
    for writer in (ana, ben):
        writer.attempt("salt-sum", right=False, day=1)
        writer.attempt("core-hold", day=2)
    take_in(kitchen.records, [ana.path, ben.path], catalogue=bank, now=now)
    kitchen.clock.now = now
    staff.take_on(kitchen.manager, "apprentice", person="p-ana")
    certifying.consent(kitchen.tutor, "p-ana", True, STATEMENTS)
    people, others = who_agreed(kitchen.records)
    assert people == {"p-ana"} and others == 2  # Ben, and the kitchen's own apprentice
    found = tuple(open_records_of(kitchen.records, people, bank))
    assert [(each.about, each.right, each.more["slip"]) for each in found] == [
        ("items/salt-sum/v1", False, "any slip"),
        ("items/core-hold/v2", True, ""),
    ]
    data = b"".join(write_statements(found))
    assert read_statements(data) == found
    assert all(faults(each) == [] for each in json.loads(data))
    assert not any(secret in data for secret in (b"p-ana", b"p-ben", b"Ana", b"Ben"))
    staff.leave(kitchen.manager, "p-ana", "apprentice")
    erase_person(kitchen.manager, "p-ana", "Asked for it in writing.")
    assert who_agreed(kitchen.records)[0] == frozenset()


def test_a_sitting_goes_with_its_paper_points_and_minutes(kitchen):
    tutor, rules = replace(kitchen.tutor, catalogue=Catalogue()), load("ie")
    plan = PaperPlan(1, {"COK-K01": 1, "CHL-K02": 1}, 20)
    paper = papers.draw(tutor, plan, [kitchen.apprentice], profile=rules)[0]
    asked = papers.questions_of(paper, tutor.catalogue, rules)
    right = {place: each.answer for place, each in enumerate(asked, 1)}
    day = kitchen.clock.now.astimezone().date()
    sitting.sign(tutor, SatPaper(paper.id, day, answers=right, used_min=15, declared=True), rules)
    certifying.consent(tutor, kitchen.apprentice, True, STATEMENTS)
    found = tuple(open_records_of(kitchen.records, [kitchen.apprentice]))
    assert [(each.verb, each.right, each.score == each.of, each.minutes) for each in found] == [
        ("completed", True, True, 15)
    ] * 2  # one a step
    assert {name for each in found for name in each.more["outcomes"]} == {"COK-K01", "CHL-K02"}
    assert read_statements(b"".join(write_statements(found))) == found
