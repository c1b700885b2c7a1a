"""Who grants trust: the ways to a signature that nobody gave, each tried, and each named afterwards."""

import zipfile
from dataclasses import replace
from datetime import timedelta

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from kit.basics.errors import BadData, KitError
from kit.files import signing
from kit.records import open_records
from kit.records.competence import deciding
from kit.records.ledger import acts
from kit.records.ledger.acts import ClockAhead, ClockBehind, Draft, NotAllowed
from kit.records.ledger.projection import follow
from kit.records.people import keys, staff
from kit.records.storage import schema
from kit.records.upkeep.backup import backup, restore
from kit.records.upkeep.backup_file import MANIFEST, manifest_of, signed_by
from kit.records.upkeep.erase import erase_person
from kit.records.upkeep.vouching import UnsignedBackup
from kit.records.upkeep.whole_check import check_all
from tests.records.conftest import START, lift

IN_A_FILE = pytest.mark.file_only("a backup is put back in a file; `records move` brings it to a server")


def a_key():
    return signing.Signer(Ed25519PrivateKey.generate())


def without_key(hand):
    """The hand of somebody at the machine who knows nobody's password."""
    return replace(hand, key=None)


def add(hand, person, key):
    return keys.add_key(hand, person, key.key_id, key.public)


def test_whoever_sits_at_the_machine_cannot_become_the_tutor(kitchen, bank):
    """The attack: retire the tutor's key, make another, decide, and have the records called whole."""
    nobody, mine = without_key(kitchen.manager), a_key()
    with pytest.raises(NotAllowed, match="open your key"):
        keys.retire_key(nobody, kitchen.tutor.key.key_id, "Lost.")
    with pytest.raises(BadData, match="Retire it first"):
        add(nobody, kitchen.tutor.person, mine)
    as_tutor = replace(kitchen.tutor, key=mine)
    with pytest.raises(NotAllowed, match="not on file for Osric Vane"):
        deciding.decide(as_tutor, kitchen.apprentice, "COK-P01", "not yet competent", "Mine.")
    assert check_all(kitchen.records, bank).whole


TRUSTING = {
    "a role": lambda k: staff.take_on(without_key(k.manager), "tutor", name="A friend"),
    "an apprentice": lambda k: staff.take_on(without_key(k.tutor), "apprentice", name="A friend"),
    "leaving": lambda k: staff.leave(without_key(k.manager), k.tutor.person, "tutor"),
    "fitness": lambda k: staff.note_assessor(
        without_key(k.manager), k.apprentice, "Course", START.date(), START.date() + timedelta(days=9)
    ),
    "a first key": lambda k: add(without_key(k.manager), k.apprentice, a_key()),
    "erasing": lambda k: erase_person(without_key(k.manager), k.apprentice, "Asked for it."),
}


@pytest.mark.parametrize("what", TRUSTING)
def test_what_grants_or_takes_trust_is_signed(kitchen, bank, what):
    with pytest.raises(NotAllowed, match="open your key"):
        TRUSTING[what](kitchen)
    assert check_all(kitchen.records, bank).whole


def test_a_second_manager_without_a_key_is_no_way_in(kitchen):
    second = staff.take_on(kitchen.manager, "manager", name="Per Holm")
    mine = a_key()
    with pytest.raises(NotAllowed, match="not on file"):
        add(replace(kitchen.manager, person=second, key=mine), second, mine)


def test_a_new_key_for_who_signed_before_needs_a_second_person(kitchen, bank):
    keys.retire_key(kitchen.manager, kitchen.tutor.key.key_id, "Lost with the laptop.")
    new = a_key()
    proposal = add(kitchen.manager, kitchen.tutor.person, new)
    as_tutor = replace(kitchen.tutor, key=new)
    with pytest.raises(NotAllowed, match="not on file"):
        deciding.decide(as_tutor, kitchen.apprentice, "COK-P01", "not yet competent", "Not yet.")
    with pytest.raises(NotAllowed, match="second person"):
        keys.confirm_key(kitchen.manager, proposal.number)
    with pytest.raises(NotAllowed, match="not on file"):
        keys.confirm_key(as_tutor, proposal.number)
    keys.confirm_key(kitchen.verifier, proposal.number)
    deciding.decide(as_tutor, kitchen.apprentice, "COK-P01", "not yet competent", "Now it counts.")
    with pytest.raises(BadData, match="on file already"):
        keys.confirm_key(kitchen.other, proposal.number)
    report = check_all(kitchen.records, bank)
    assert report.whole and not report.not_checked


def test_where_nobody_else_holds_a_key_the_records_say_that_it_was_done_alone(records, bank):
    manager = staff.begin(records, "Berit Falk", lambda: START, a_key())
    tutor = staff.take_on(manager, "tutor", name="Osric Vane")
    first = a_key()
    add(manager, tutor, first)
    keys.retire_key(manager, first.key_id, "Lost.")
    assert add(manager, tutor, a_key()).facts["alone"]
    report = check_all(records, bank)
    assert report.whole and "nobody to confirm it" in report.not_checked[0]


def test_a_managers_lost_key_is_mended_by_two_others(kitchen, bank):
    with pytest.raises(NotAllowed, match="Only a manager retires"):
        keys.retire_key(kitchen.tutor, kitchen.other.key.key_id, "A quarrel.")
    keys.retire_key(kitchen.tutor, kitchen.manager.key.key_id, "She lost it.")
    new = a_key()
    with pytest.raises(NotAllowed, match="Only a manager proposes"):
        keys.retire_key(kitchen.other, kitchen.other.key.key_id, "My own.")
        add(kitchen.tutor, kitchen.other.person, a_key())
    proposal = add(kitchen.tutor, kitchen.manager.person, new)
    keys.confirm_key(kitchen.verifier, proposal.number)
    staff.take_on(replace(kitchen.manager, key=new), "tutor", name="Per Holm")
    assert check_all(kitchen.records, bank).whole


@pytest.mark.slow
def test_records_of_before_go_on_until_their_manager_has_a_key(records, bank):
    manager = staff.begin(records, "Berit Falk", lambda: START)
    tutor = staff.take_on(manager, "tutor", name="Osric Vane")
    add(manager, tutor, a_key())
    assert not staff.trust_is_signed(records)
    assert "who made 2 acts" in check_all(records, bank).not_checked[0]
    own = a_key()
    add(replace(manager, key=own), manager.person, own)
    assert staff.trust_is_signed(records)
    with pytest.raises(NotAllowed, match="open your key"):
        staff.take_on(manager, "tutor", name="A friend")
    staff.take_on(replace(manager, key=own), "tutor", name="Wilma Tack")
    report = check_all(records, bank)
    assert report.whole and "who made 2 acts" in report.not_checked[0]


# --- putting a backup back ------------------------------------------------------------------------------


@pytest.fixture
def saved(kitchen, tmp_path):
    """A backup, and one decision since; nobody has the records open."""
    made = backup(kitchen.records, tmp_path / "b", by=kitchen.tutor)
    deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "Undercooked.")
    kitchen.records.close()
    return made


@pytest.mark.slow
@IN_A_FILE
def test_nobody_takes_a_decision_back_by_restoring_an_older_backup(kitchen, saved):
    place = kitchen.records.path
    with pytest.raises(NotAllowed, match="open your key"):
        restore(saved.path, place, replace=True)
    for hand, says in ((without_key(kitchen.manager), "open your key"), (kitchen.tutor, "needs a manager")):
        with pytest.raises(NotAllowed, match=says):
            restore(saved.path, place, replace=True, by=lambda _, hand=hand: hand)
    assert [path.name for path in place.parent.iterdir() if path.suffix != ".db"] == []
    with kitchen.records.reading() as connection:
        assert acts.head(connection).number == saved.head.number + 1


@IN_A_FILE
def test_a_manager_who_restores_signs_for_it_and_names_what_was_set_aside(kitchen, bank, saved):
    done = restore(saved.path, kitchen.records.path, replace=True, by=lambda _: kitchen.manager)
    assert (done.act.kind, done.act.key_id) == ("restored", kitchen.manager.key.key_id)
    assert done.act.number == saved.head.number + 1
    assert done.act.facts["head"] == [saved.head.number, saved.head.hash]
    assert done.act.facts["aside"] == [done.aside_head.number, done.aside_head.hash]
    report = check_all(kitchen.records, bank)
    assert report.whole and not report.not_checked and report.head.number == done.act.number


@IN_A_FILE
def test_a_managers_key_that_was_retired_since_replaces_nothing(kitchen, saved):
    keys.retire_key(kitchen.tutor, kitchen.manager.key.key_id, "Stolen.")
    kitchen.records.close()
    with pytest.raises(NotAllowed, match="was retired"):
        restore(saved.path, kitchen.records.path, replace=True, by=lambda _: kitchen.manager)


@IN_A_FILE
def test_a_backup_signed_with_a_key_that_was_retired_since_needs_a_reason(kitchen, saved):
    keys.retire_key(kitchen.manager, kitchen.tutor.key.key_id, "Stolen.")
    kitchen.records.close()
    with pytest.raises(UnsignedBackup, match="was retired on"):
        restore(saved.path, kitchen.records.path, replace=True, by=lambda _: kitchen.manager)


def test_records_that_were_lost_come_back_without_anybodys_key(kitchen, bank, saved, tmp_path):
    """Keys are not in a backup: a burnt laptop must not cost the records."""
    done = restore(saved.path, tmp_path / "new" / "records.db")
    opened = open_records(done.path)
    assert done.act is None and check_all(opened, bank).head == saved.head
    opened.close()


@pytest.mark.slow
def test_what_nobody_signed_is_put_back_only_for_a_written_reason(kitchen, bank, saved, tmp_path):
    """The attack: an older state, or one of their own, packed with every hash right."""
    plain = backup(kitchen.records, tmp_path / "plain")
    kitchen.records.close()
    place = tmp_path / "new" / "records.db"
    with pytest.raises(UnsignedBackup, match="nobody signed it"):
        restore(plain.path, place)
    assert not place.exists()
    done = restore(plain.path, place, unsigned="The signed one burnt.", by=lambda _: kitchen.manager)
    assert done.act.facts["unsigned"] == "The signed one burnt." and "signed" not in done.act.facts
    signed = restore(saved.path, place, replace=True, by=lambda _: kitchen.manager, unsigned="Not needed.")
    assert "unsigned" not in signed.act.facts
    assert signed.act.facts["signed"] == [kitchen.tutor.person, kitchen.tutor.key.key_id]
    opened = open_records(signed.path)
    assert check_all(opened, bank).whole
    opened.close()


@pytest.mark.slow
def test_a_signature_counts_for_one_manifest_and_for_keys_on_file_only(kitchen, saved, tmp_path):
    stranger = a_key()
    new = tmp_path / "new" / "records.db"
    with pytest.raises(NotAllowed, match="on file"):
        backup(kitchen.records, tmp_path / "c", by=replace(kitchen.tutor, key=stranger))
    with pytest.raises(NotAllowed, match="on file"):
        backup(kitchen.records, tmp_path / "c", by=without_key(kitchen.tutor))
    assert not (tmp_path / "c").exists()
    kitchen.records.close()
    unsigned = replace(saved, signed=None)
    forged = {
        "not on file": signed_by(unsigned, kitchen.tutor.person, "Osric Vane", stranger),
        "does not fit": replace(saved, signed=replace(saved.signed, name="Somebody Else")),
        "nobody signed": unsigned,
    }
    for says, made in forged.items():
        bad = with_manifest(saved.path, tmp_path / says.replace(" ", "-"), manifest_of(made))
        with pytest.raises(KitError, match=says):
            restore(bad, new)
    older = replace(saved, made_at=saved.made_at + timedelta(days=1))
    with pytest.raises(BadData, match="does not fit"):
        restore(with_manifest(saved.path, tmp_path / "older", manifest_of(older)), new)


def with_manifest(path, target, manifest):
    """The same backup with another manifest, as somebody with a zip program makes it."""
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(target, "w") as to:
        for name in old.namelist():
            to.writestr(name, manifest if name == MANIFEST else old.read(name))
    return target


# --- the clock -------------------------------------------------------------------------------------------


def test_a_clock_ten_years_ahead_is_doubted_before_anything_is_written(kitchen):
    kitchen.see(1)
    kitchen.clock.now += timedelta(days=3653)
    with pytest.raises(ClockAhead, match="Nothing was recorded"):
        kitchen_note(kitchen)
    kitchen.clock.now -= timedelta(days=3652)
    kitchen_note(kitchen)


@pytest.mark.slow
def test_a_wrong_clock_that_was_written_is_corrected_by_a_manager_with_a_signature(kitchen, bank):
    kitchen.see(1)
    true_now = kitchen.clock.now
    kitchen.clock.now += timedelta(days=300)
    decide = (kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "Not yet.")
    deciding.decide(*decide)
    kitchen.clock.now = true_now + timedelta(hours=1)
    with pytest.raises(ClockBehind, match="correct-clock"):
        deciding.decide(*decide)
    with pytest.raises(NotAllowed, match="open your key"):
        staff.correct_clock(without_key(kitchen.manager), "The battery was flat.")
    with pytest.raises(NotAllowed, match="needs a manager"):
        staff.correct_clock(kitchen.tutor, "The battery was flat.")
    staff.correct_clock(kitchen.manager, "The battery was flat.")
    deciding.decide(*decide)
    kitchen.clock.now -= timedelta(hours=1)
    with pytest.raises(ClockBehind):
        deciding.decide(*decide)
    report = check_all(kitchen.records, bank)
    assert report.whole and not report.not_checked


def test_after_two_quiet_years_a_manager_says_that_the_clock_is_right(kitchen):
    kitchen.clock.now += timedelta(days=730)
    with pytest.raises(ClockAhead):
        kitchen_note(kitchen)
    staff.correct_clock(kitchen.manager, "We were closed.")
    kitchen_note(kitchen)


def kitchen_note(kitchen):
    return staff.note(kitchen.tutor, kitchen.apprentice, "note", "Back again.")


# --- what somebody wrote past the rules, with a key that is theirs -------------------------------------


def slipped_in(kitchen, hand, draft, key=None):
    """Add an act to the chain past every rule, with what follows from it, as a changed kit could."""
    with kitchen.records.writing() as connection:
        follow(connection, acts.append(connection, draft, kitchen.clock.now, key or hand.key))


def decision(kitchen, by, **facts):
    said = {"decision": "competent", "day": START.date().isoformat(), "points": [], "missing": []} | facts
    return Draft("decided", by, kitchen.apprentice, "COK-P01", facts=said)


def no_tutor(k):
    slipped_in(k, k.verifier, decision(k, k.verifier.person))


def without_evidence(k):
    slipped_in(k, k.tutor, decision(k, k.tutor.person, missing=["Two more batches."]))


def on_evidence_that_is_none(k):
    slipped_in(k, k.tutor, decision(k, k.tutor.person, points=[3]))


def about_oneself(k):
    slipped_in(k, k.tutor, replace(decision(k, k.tutor.person), person=k.tutor.person))


def about_nobodys_apprentice(k):
    slipped_in(k, k.tutor, replace(decision(k, k.tutor.person), person=k.verifier.person))


def not_fit_any_more(k):
    person = staff.take_on(k.manager, "tutor", name="Per Holm")
    staff.note_assessor(k.manager, person, "Course", START.date(), START.date())
    own = a_key()
    add(k.manager, person, own)
    k.clock.on(5)
    slipped_in(k, replace(k.tutor, person=person, key=own), decision(k, person))


def a_tutor_makes_a_tutor(k):
    slipped_in(k, k.tutor, Draft("enrolled", k.tutor.person, k.apprentice, facts={"role": "tutor"}))


def a_role_without_a_signature(k):
    draft = Draft("enrolled", k.manager.person, k.apprentice, facts={"role": "tutor"})
    slipped_in(k, without_key(k.manager), draft)


def a_second_first_manager(k):
    draft = Draft("enrolled", k.apprentice, k.apprentice, facts={"role": "manager", "first": True})
    slipped_in(k, without_key(k.manager), draft)


def a_first_manager_by_somebody_else(k):
    draft = Draft("enrolled", k.manager.person, k.apprentice, facts={"role": "tutor", "first": True})
    slipped_in(k, without_key(k.manager), draft)


def a_key_by_one_person(k, **facts):
    new = {"key_id": "0" * 16, "public": "a" * 64} | facts
    slipped_in(k, k.manager, Draft("key added", k.manager.person, k.tutor.person, facts=new))


def a_key_said_to_be_alone(k):
    a_key_by_one_person(k, alone=True)


def a_key_confirmed_by_who_proposed_it(k):
    keys.retire_key(k.manager, k.tutor.key.key_id, "Lost.")
    proposal = add(k.manager, k.tutor.person, a_key())
    a_key_by_one_person(k, **proposal.facts, proposed=proposal.number)


def another_key_than_was_proposed(k):
    keys.retire_key(k.manager, k.tutor.key.key_id, "Lost.")
    proposal = add(k.manager, k.tutor.person, a_key())
    facts = {"key_id": "0" * 16, "public": "a" * 64, "proposed": proposal.number}
    slipped_in(k, k.verifier, Draft("key added", k.verifier.person, k.tutor.person, facts=facts))


def with_a_key_that_was_retired(k):
    keys.retire_key(k.manager, k.tutor.key.key_id, "Lost.")
    slipped_in(k, k.tutor, decision(k, k.tutor.person))


def a_second_signature_of_ones_own(k):
    staff.take_on(k.manager, "verifier", person=k.tutor.person)
    act = deciding.decide(k.tutor, k.apprentice, "COK-P01", "not yet competent", "Not yet.")
    facts = {"act": act.number, "agrees": True}
    slipped_in(k, k.tutor, Draft("second", k.tutor.person, k.apprentice, "COK-P01", facts=facts))


def an_appeal_settled_by_who_decided(k):
    act = deciding.decide(k.tutor, k.apprentice, "COK-P01", "not yet competent", "Not yet.")
    opened = deciding.appeal(k.other, act.number, "She says it was fine.")
    facts = {"appeal": opened.number, "outcome": "stands"}
    slipped_in(k, k.tutor, Draft("settled", k.tutor.person, k.apprentice, "COK-P01", facts=facts))


def before_the_act_before_it(k):
    k.see(5)
    with k.records.writing() as connection:
        draft = Draft("noted", k.tutor.person, k.apprentice, facts={"topic": "note"})
        early = acts.append(connection, replace(draft, kind=acts.TAKEN_IN), START, k.tutor.key)
        lift(connection, "acts_keep_every_word")
        made = acts.digest(
            early.number, "noted", START, (early.by, early.person), draft, acts.as_json(draft.facts),
            early.key_id, early.prev,
        )  # fmt: skip
        signed = {"kind": "noted", "hash": made, "signature": k.tutor.key.sign(acts.message(made))}
        table = schema.acts
        connection.execute(table.update().where(table.c.number == early.number).values(signed))


PAST_THE_RULES = {
    no_tutor: "this needs a tutor",
    without_evidence: "evidence was missing",
    on_evidence_that_is_none: "which saw nothing",
    about_oneself: "about themself",
    about_nobodys_apprentice: "no apprentice here now",
    not_fit_any_more: "ran out",
    a_tutor_makes_a_tutor: "Only a manager takes on a tutor",
    a_role_without_a_signature: "so it is signed",
    a_second_first_manager: "There is a manager already",
    a_first_manager_by_somebody_else: "There is a manager already",
    a_key_by_one_person: "needs a second person",
    a_key_said_to_be_alone: "needs a second person",
    a_key_confirmed_by_who_proposed_it: "neither who proposed it",
    another_key_than_was_proposed: "not the key that was proposed",
    with_a_key_that_was_retired: "was retired",
    a_second_signature_of_ones_own: "comes from somebody else",
    an_appeal_settled_by_who_decided: "somebody else than the person who decided",
    before_the_act_before_it: "a time before",
}


@pytest.mark.parametrize(("wrong", "says"), PAST_THE_RULES.items())
def test_the_check_names_an_act_that_was_not_allowed(kitchen, bank, wrong, says):
    assert check_all(kitchen.records, bank).whole
    wrong(kitchen)
    problems = check_all(kitchen.records, bank).problems
    assert any("was not allowed" in one and says in one for one in problems), problems


def test_the_last_key_that_can_grant_trust_stays(records, bank):
    """The attack: every key retired, so that nobody can ever put one on file again."""
    manager = staff.begin(records, "Berit Falk", lambda: START, a_key())
    tutor = staff.take_on(manager, "tutor", name="Osric Vane")
    add(manager, tutor, a_key())
    with pytest.raises(NotAllowed, match="last key that can grant trust"):
        keys.retire_key(manager, manager.key.key_id, "I leave.")
    second, their_key = staff.take_on(manager, "manager", name="Una Roe"), a_key()
    with pytest.raises(NotAllowed, match="last key that can grant trust"):  # no key yet
        keys.retire_key(manager, manager.key.key_id, "I leave.")
    with pytest.raises(NotAllowed, match="last key that can grant trust"):
        staff.leave(manager, manager.person, "manager")
    add(manager, second, their_key)
    keys.retire_key(manager, manager.key.key_id, "I leave.")
    with pytest.raises(NotAllowed, match="last key that can grant trust"):
        keys.retire_key(replace(manager, person=second, key=their_key), their_key.key_id, "I too.")
    assert check_all(records, bank).whole


def test_two_others_keep_trust_alive_without_a_managers_key(kitchen):
    keys.retire_key(kitchen.tutor, kitchen.manager.key.key_id, "She lost it.")
    keys.retire_key(kitchen.other, kitchen.other.key.key_id, "My own.")
    with pytest.raises(NotAllowed, match="last key that can grant trust"):
        keys.retire_key(kitchen.tutor, kitchen.tutor.key.key_id, "Mine too.")
