"""A person moves kitchen: every act comes as it was signed, told apart, and counts for nothing by itself."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from kit.basics.errors import BadData, KitError
from kit.files.carried_record import check_known, read_carried, write_carried
from kit.files.kitchen_file import KeyHolder, make_kitchen
from kit.files.signing import Signer
from kit.records import open_records
from kit.records.competence import deciding
from kit.records.competence.assess import assess
from kit.records.ledger import acts
from kit.records.ledger.acts import NotAllowed
from kit.records.people import staff
from kit.records.reports.person_page import person_page
from kit.records.upkeep.erase import erase_person
from kit.records.upkeep.moving_kitchen import ELSEWHERE, GIVEN, bring_record, give_record, seen_elsewhere
from kit.records.upkeep.whole_check import check_all
from kit.views.tutor.person import person_blocks
from tests.records.conftest import Kitchen


@pytest.fixture
def quay(tmp_path, bank):
    """The kitchen that somebody leaves: seen three times, decided, signed a second time."""
    (tmp_path / "quay").mkdir()
    records = open_records(tmp_path / "quay" / "records.db")
    made = Kitchen(records, bank)
    for day in (1, 2, 3):
        made.see(day, notes="Calm and clean." if day == 2 else "")
    deciding.decide(made.tutor, made.apprentice, "COK-P01", "competent", "Seen on three batches.")
    yield made
    records.close()


@pytest.fixture
def brook(kitchen):
    """The kitchen that somebody comes to: taken on there, nothing seen yet."""
    kitchen.clock.on(10)
    kitchen.tam = staff.take_on(kitchen.manager, "apprentice", name="Tam Ferris", same_name=True)
    return kitchen


@pytest.fixture
def carried(quay, tmp_path):
    give_record(quay.manager, quay.apprentice, "Quay House", tmp_path / "tam.record")
    return tmp_path / "tam.record"


def test_each_act_comes_signed_told_apart_and_counts_for_nothing(quay, brook, carried, bank):
    record, day = read_carried(carried), brook.clock().date()
    with brook.records.reading() as connection:
        before = assess(connection, bank, brook.tam, "COK-P01", day)
    kept = bring_record(brook.tutor, brook.tam, record)
    found = seen_elsewhere(brook.records, brook.tam)
    assert [act.kind for act in kept] == [ELSEWHERE] * 4
    assert [(one.kitchen, one.maker, one.kind, one.says, one.signed) for one in found] == [
        *[("Quay House", "Osric Vane", "observed", "COK-P01 met", True)] * 3,
        ("Quay House", "Osric Vane", "decided", "competent", True),
    ]
    with brook.records.reading() as connection:
        assert assess(connection, bank, brook.tam, "COK-P01", day) == before
    assert check_all(brook.records, bank).problems == () == check_all(quay.records, bank).problems
    with quay.records.reading() as connection:
        (given,) = acts.read(connection, kind=GIVEN)
    assert given.facts == {"record": record.id, "acts": 4} and record.chain == given.hash


def test_twice_brings_nothing_and_a_later_file_only_what_is_new(quay, brook, carried, tmp_path):
    bring_record(brook.tutor, brook.tam, read_carried(carried))
    assert bring_record(brook.tutor, brook.tam, read_carried(carried)) == []
    quay.see(12)
    give_record(quay.tutor, quay.apprentice, "Quay House", tmp_path / "later.record")
    assert len(bring_record(brook.tutor, brook.tam, read_carried(tmp_path / "later.record"))) == 1
    assert bring_record(quay.tutor, quay.apprentice, read_carried(carried)) == [], "its own acts are no news"


def _edits(told):
    told["acts"][0]["facts"] = told["acts"][0]["facts"].replace('"met"', '"not met"')
    yield "an outcome"
    told["acts"][0]["facts"] = told["acts"][1]["facts"]
    yield "another act's facts"
    told["acts"].pop(0)
    yield "an act left out"
    told["name"] = "Somebody Else"
    yield "the name"
    told["made_at"] = "2031-01-01T00:00:00+00:00"
    yield "the time"


@pytest.mark.parametrize("which", range(5))
def test_an_edited_file_is_refused(carried, which):
    told = json.loads(carried.read_text())
    steps = _edits(told)
    for _ in range(which + 1):
        next(steps)
    carried.write_text(json.dumps(told))
    with pytest.raises(BadData):
        read_carried(carried)


def test_whoever_signs_anew_still_cannot_change_an_act(quay, brook, carried, tmp_path):
    """An exporter with a key of their own edits what others signed, and signs the whole again."""
    record, thief = read_carried(carried), Signer(Ed25519PrivateKey.generate())
    first = record.acts[0]
    words = {mark: (salt, "Brilliant.") for mark, (salt, _) in record.acts[1].words.items()}
    for number, forged in enumerate(
        (
            replace(first, facts=first.facts.replace('"met"', '"not met"')),
            replace(first, person="somebody"),
            replace(first, kind="decided"),
            replace(first, public=thief.public),
            replace(first, public=thief.public, signature=thief.sign(acts.message(first.hash))),
            replace(record.acts[1], words=words),
        )
    ):
        made = replace(record, public=thief.public, acts=(forged,))
        path = tmp_path / f"{number}.record"
        write_carried(path, made, thief)
        with pytest.raises(BadData):
            bring_record(brook.tutor, brook.tam, read_carried(path))
    assert seen_elsewhere(brook.records, brook.tam) == ()


def test_only_what_came_another_way_says_whose_file_it_is(quay, carried):
    record = read_carried(carried)
    with pytest.raises(BadData, match="only itself knows"):
        check_known(record)
    with pytest.raises(BadData, match="your paper shows"):
        check_known(record, "0123 4567 89ab cdef")
    check_known(record, f" {record.key_id[:8].upper()} {record.key_id[8:]}")
    other = Signer(Ed25519PrivateKey.generate())
    holders = [KeyHolder("tutor", "Wilma Tack", other.public)]
    strange = make_kitchen("Quay House", profile="ie", keys=holders, signer=other)
    with pytest.raises(BadData, match="nobody on the file"):
        check_known(record, kitchen=strange)
    both = [*holders, KeyHolder("verifier", "Berit Falk", record.public)]
    check_known(record, kitchen=make_kitchen("Quay House", profile="ie", keys=both, signer=other))
    with pytest.raises(BadData, match="that file of"):
        check_known(record, kitchen=make_kitchen("Elsewhere", profile="ie", keys=both, signer=other))


def test_nobody_carries_their_own_and_an_apprentice_none(quay, brook, carried, tmp_path):
    with pytest.raises(NotAllowed):
        bring_record(replace(brook.tutor, person=brook.tam), brook.tam, read_carried(carried))
    with pytest.raises(KitError):
        give_record(replace(quay.tutor, key=None), quay.apprentice, "Quay House", tmp_path / "b")
    with pytest.raises(BadData, match="the record is of"):
        bring_record(
            brook.tutor, staff.take_on(brook.manager, "apprentice", name="Nell"), read_carried(carried)
        )
    with pytest.raises(BadData, match="nothing was seen"):
        give_record(quay.tutor, quay.other.person, "Quay House", tmp_path / "c")
    assert not (tmp_path / "b").exists() and not (tmp_path / "c").exists()


def test_the_words_that_came_along_go_when_the_person_is_erased(quay, brook, carried, bank):
    bring_record(brook.tutor, brook.tam, read_carried(carried))
    staff.leave(brook.manager, brook.tam, "apprentice")
    erase_person(brook.manager, brook.tam, "Asked for it.")
    assert {(one.kitchen, one.maker) for one in seen_elsewhere(brook.records, brook.tam)} == {
        ("(erased)",) * 2
    }
    assert check_all(brook.records, bank).problems == ()


def test_the_persons_page_tells_it_apart(quay, brook, carried, bank):
    bring_record(brook.tutor, brook.tam, read_carried(carried))
    page = person_page(brook.records, brook.tam, brook.clock().date(), bank)
    assert len(page.elsewhere) == 4 and page.observations == () and page.decisions == ()
    shown = json.dumps(person_blocks(page, brook.tutor.person, frozenset({"tutor"}), bank), default=str)
    assert "Seen elsewhere" in shown and shown.count("Quay House") == 4
