"""What the desk shows: whom to see, what to sign, what to look into, the board, a person, one criterion."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from sqlalchemy import text

from kit.basics.errors import UnknownName
from kit.files import signing
from kit.records import assess, take_in
from kit.records.competence import deciding, observations
from kit.records.competence.observations import Observation
from kit.records.intake import review as looking
from kit.records.ledger import acts
from kit.records.people import keys, staff
from kit.records.reports import crew_grid, desk_lists, person_page
from kit.records.storage import schema
from tests.records.conftest import lift

START = datetime(2026, 3, 12, 9, 0, tzinfo=UTC)  # the books were written in the ten days before


class Room:
    """A manager, a tutor, a verifier, and two apprentices with a book each."""

    def __init__(self, records: Any, bank: Any, write: Any) -> None:
        self.records, self.bank, self.now = records, bank, START
        for person, name in (("p-ana", "Ana Lind"), ("p-bo", "Bo Marsh")):
            book = write(person, name)
            for day in range(3):
                book.attempt("core-hold", day=day, right=person == "p-ana")
                book.attempt("chill-time", day=day, right=day > 0)
            if person == "p-bo":
                book.note("dispute", "core-hold", verdict="not yet", text="It was held.")
            take_in(records, [book.path], now=START, catalogue=bank)
        self.manager = replace(staff.begin(records, "Berit Falk", lambda: self.now), catalogue=bank)
        self.tutor, self.verifier = self.hand("tutor", "Osric Vane"), self.hand("verifier", "Ines Roald")
        for person in ("p-ana", "p-bo"):
            staff.take_on(self.manager, "apprentice", person=person)

    def hand(self, role: str, name: str) -> staff.Hand:
        person = staff.take_on(self.manager, role, name=name)
        until = START.date() + timedelta(days=2000)
        staff.note_assessor(self.manager, person, "Assessor course", START.date(), until)
        key = signing.Signer(Ed25519PrivateKey.generate())
        keys.add_key(self.manager, person, key.key_id, key.public)
        return replace(self.manager, person=person, key=key)

    def see(self, day: int, outcome: str = "met", criterion: str = "COK-P01", **more: Any) -> Any:
        self.now = START + timedelta(days=day)
        facts = {"batch": f"B{day:03d}", "declared": True} | more
        return observations.observe(
            self.tutor, Observation("p-ana", "cook", self.now.date(), {criterion: outcome}, **facts)
        )

    def decide(self, criterion: str, decision: str = "competent") -> Any:
        return deciding.decide(self.tutor, "p-ana", criterion, decision, "Seen and asked.")

    def to_see(self) -> dict[tuple[str, str], tuple[str, ...]]:
        found = desk_lists.to_see(self.records, self.now.date(), self.bank)
        return {(one.person, one.sort): one.criteria for one in found}


@pytest.fixture
def room(records, bank, write):
    return Room(records, bank, write)


def test_whom_to_see_follows_the_evidence_step_by_step(room):
    assert room.to_see() == {
        ("p-ana", "ask"): ("COK-K01",),  # a mistake can hurt: practice alone is not enough
        ("p-ana", "decide"): ("COK-K02",),
        ("p-ana", "observe"): ("COK-P01",),  # what prepares for it was shown
        ("p-bo", "decide"): ("COK-K02",),
    }
    room.see(1)
    assert room.to_see()["p-ana", "observe"] == ("COK-P01",)
    room.see(2)
    room.see(2, criterion="COK-K01", method="oral check", batch="")
    assert room.to_see()["p-ana", "decide"] == ("COK-K01", "COK-K02", "COK-P01")
    room.see(3, "not met")
    assert "COK-P01" not in room.to_see()["p-ana", "decide"]


@pytest.mark.slow
def test_ready_for_a_decision_means_that_deciding_would_allow_it(room):
    for day, outcome in ((1, "met"), (2, "not met"), (3, "met"), (4, "met")):
        room.see(day, outcome)
        room.see(day, outcome, criterion="COK-K01", method="oral check", batch="")
        ready = {(person, c) for (person, sort), cs in room.to_see().items() if sort == "decide" for c in cs}
        with room.records.reading() as connection:
            allowed = {
                (person, name)
                for person in ("p-ana", "p-bo")
                for name in room.bank.criteria
                if not assess(connection, room.bank, person, name, room.now.date()).missing
            }
        assert ready == allowed


def test_a_decision_not_yet_is_not_asked_for_again_until_something_new_came(room):
    room.see(1)
    room.see(2)
    room.decide("COK-P01", "not yet competent")
    assert "COK-P01" not in room.to_see()["p-ana", "decide"]
    room.see(3)
    assert "COK-P01" in room.to_see()["p-ana", "decide"]


def test_what_runs_out_comes_back_to_be_seen(room):
    act = room.decide("COK-K02")
    deciding.verify(room.verifier, act.number, True, "Read the answers.")
    assert ("p-ana", "decide") not in room.to_see()
    review = datetime.fromisoformat(act.facts["review_on"]).replace(hour=9, tzinfo=UTC)
    room.now = review - timedelta(days=30)
    assert room.to_see()["p-ana", "refresher"] == ("COK-K02",)
    room.now = review + timedelta(days=1)
    assert room.to_see()["p-ana", "review"] == ("COK-K02",)
    found = next(
        one for one in desk_lists.to_see(room.records, room.now.date(), room.bank) if one.sort == "review"
    )
    assert (found.due, found.says) == (review.date(), "review date has passed")


def test_a_second_signature_is_never_asked_of_whoever_decided(room):
    act = room.decide("COK-K02")
    staff.take_on(room.manager, "verifier", person=room.tutor.person)
    assert desk_lists.to_sign(room.records, room.tutor.person, room.tutor.today()) == ()
    assert desk_lists.to_sign(room.records, "p-ana", room.tutor.today()) == ()
    (one,) = desk_lists.to_sign(room.records, room.verifier.person, room.tutor.today())
    assert (one.act, one.name, one.criterion, one.by_name) == (
        act.number,
        "Ana Lind",
        "COK-K02",
        "Osric Vane",
    )
    deciding.verify(room.verifier, act.number, False, "One day is missing.")
    assert desk_lists.to_sign(room.records, room.verifier.person, room.tutor.today()) == ()
    assert room.to_see()["p-ana", "again"] == ("COK-K02",)
    page = person_page.criterion_page(room.tutor, "p-ana", "COK-K02")
    assert page.decision.second_says == "Ines Roald refused: One day is missing."


def test_what_was_looked_at_waits_no_more(room):
    (waits,) = desk_lists.to_look_into(room.records)
    assert (waits.sort, waits.name, waits.says) == ("dispute", "Bo Marsh", "It was held.")
    assert desk_lists.to_look_into(room.records, "p-bo") == ()
    looking.look_at(room.tutor, "p-bo", "dispute", waits.line, "mark stands", "Read it together.")
    assert desk_lists.to_look_into(room.records) == ()


def test_an_open_appeal_comes_first_and_says_who_cannot_settle_it(room):
    act = room.decide("COK-K02", "not yet competent")
    opened = deciding.appeal(room.tutor, act.number, "She was ready.")
    first = desk_lists.to_look_into(room.records)[0]
    assert (first.sort, first.act, first.by, first.says) == (
        "appeal",
        opened.number,
        room.tutor.person,
        "She was ready.",
    )
    assert ("p-ana", "decide") not in room.to_see()


def test_the_board_says_one_word_a_cell_and_turns_pages(room):
    room.see(1)
    room.decide("COK-K02")
    found = crew_grid.crew_page(room.records, room.now.date(), catalogue=room.bank)
    ana, bo = found.rows
    assert [crew_grid.WORD[ana.cells[c].state] for c in room.bank.criteria] == [
        "nothing",
        "ask",
        "signed once",
        "seen",
    ]
    assert [crew_grid.WORD[bo.cells[c].state] for c in room.bank.criteria] == [
        "nothing",
        "practising",
        "ready",
        "observe",
    ]
    assert (ana.safety, ana.cells["COK-P01"].count) == ((0, 2), "1/2")
    assert ana.steps["cook"].words == ("◧ with a tutor", "1 of 3")
    second = crew_grid.crew_page(room.records, room.now.date(), catalogue=room.bank, page=9, a_page=1)
    assert [(row.name, second.page, second.pages) for row in second.rows] == [("Bo Marsh", 2, 2)]
    assert [r.name for r in crew_grid.crew_page(room.records, room.now.date(), search="LIND").rows] == [
        "Ana Lind"
    ]
    assert crew_grid.crew_page(room.records, room.now.date(), search="nobody").rows == ()


def test_two_people_of_one_name_are_told_apart(room):
    staff.take_on(room.manager, "apprentice", name="Ana Lind", same_name=True)
    rows = crew_grid.crew_page(room.records, room.now.date(), catalogue=room.bank).rows
    names = [row.name for row in rows]
    assert "Ana Lind (p-ana)" in names and len(set(names)) == 3
    assert {one.name for one in desk_lists.to_see(room.records, room.now.date(), room.bank)} <= set(names)


def test_the_board_has_no_tutors_and_marks_who_was_not_taken_on(room):
    staff.leave(room.manager, "p-bo", "apprentice")
    found = crew_grid.crew_page(room.records, room.now.date(), catalogue=room.bank)
    assert [(row.name, row.enrolled) for row in found.rows] == [("Ana Lind", True), ("Bo Marsh", False)]
    assert found.not_enrolled == 1
    assert all(one.person == "p-ana" for one in desk_lists.to_see(room.records, room.now.date(), room.bank))


@pytest.mark.slow
def test_a_person_page_has_all_that_is_on_file(room):
    room.see(1, supports=["read aloud"])
    act = room.decide("COK-K02")
    staff.note(room.tutor, "p-ana", "adjustment", "Agreed.", agreed=["interpreter"])
    staff.note(room.tutor, "p-ana", "adjustment", "Agreed anew.", agreed=["read aloud", "extra time"])
    staff.note(room.tutor, "p-ana", "hours", hours=6, day="2026-03-12")
    staff.note(room.tutor, "p-ana", "hours", hours=4.5)
    staff.note(room.tutor, "p-ana", "version taught", version="card set 3")
    page = person_page.person_page(room.records, "p-ana", room.now.date(), room.bank)
    assert (page.name, page.hours, page.version_taught) == ("Ana Lind", 10.5, "card set 3")
    assert page.supports == ("read aloud", "extra time")
    assert [(day.right, day.tried) for day in page.days] == [(1, 2), (2, 2), (2, 2)]
    assert page.answers == 6 and page.slips == ()
    (shown,) = page.decisions
    assert (shown.stands.act, shown.reason, shown.signature) == (
        act.number,
        "Seen and asked.",
        "signature fits",
    )
    assert [note.text for note in page.notes if note.topic == "adjustment"] == ["Agreed anew.", "Agreed."]
    bo = person_page.person_page(room.records, "p-bo", room.now.date(), room.bank)
    assert [(slip.exercise, slip.times) for slip in bo.slips] == [("core-hold", 3)]
    assert [one.sort for one in bo.open] == ["dispute"]
    with pytest.raises(UnknownName):
        person_page.person_page(room.records, "p-who", room.now.date(), room.bank)


def test_a_decision_changed_behind_our_back_says_so(room):
    room.decide("COK-K02")
    with room.records.writing() as connection:
        lift(connection, "acts_keep_every_word")
        connection.execute(text("UPDATE acts SET facts = replace(facts, 'competent', 'Competent')"))
    page = person_page.person_page(room.records, "p-ana", room.now.date(), room.bank)
    assert page.decisions[0].signature == "was changed after it was recorded"


def test_a_signature_is_held_to_the_key_it_names(room):
    room.decide("COK-K02")
    with room.records.reading() as connection:
        kept = connection.execute(schema.acts.select().where(schema.acts.c.kind == "decided")).one()
    owner = (room.tutor.key.key_id, room.tutor.person)
    assert acts.fault_of(kept, {owner: room.tutor.key.public}) == ""
    assert "does not fit its key" in acts.fault_of(kept, {owner: room.verifier.key.public})
    assert "does not fit its key" in acts.fault_of(kept, {})


def test_the_evidence_on_one_criterion_names_what_is_missing(room):
    room.see(1, notes="Careful.")
    page = person_page.criterion_page(room.tutor, "p-ana", "COK-P01")
    assert page.stands.missing == ("observed and met on 1 of 2 days, each on a batch of its own.",)
    assert [act.facts["points"] for act in page.seen] == [{"COK-P01": "met"}]
    knows = person_page.criterion_page(room.tutor, "p-ana", "COK-K02")
    assert knows.stands.missing == () and len(knows.tries) == 3 and knows.profiles == ("ie",)
    with pytest.raises(UnknownName):
        person_page.criterion_page(room.tutor, "p-ana", "COK-P99")
