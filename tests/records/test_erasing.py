"""Erasing a person: the bytes are gone, the chain is whole, and nobody else loses anything."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from sqlalchemy import select

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.files import signing
from kit.records import board, take_in
from kit.records.competence import deciding, observations
from kit.records.competence.observations import Observation
from kit.records.evidence.kept_files import attach, check_files, path_of
from kit.records.intake.review_queue import waiting
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import NotAllowed
from kit.records.ledger.projection import check_chain
from kit.records.people import keys, staff
from kit.records.storage import schema
from kit.records.upkeep.erase import RETENTION_YEARS, erase_person
from tests.records.conftest import reopened

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
NAME, ANSWER, NOTE = "Tamsin Ferrisbane", "because zanderwords die slowly", "Nervous but kestrelcareful."
posix_only = pytest.mark.skipif(os.name != "posix", reason="signals are POSIX")


@dataclass
class Clock:
    now: datetime = START

    def __call__(self):
        return self.now


@pytest.fixture
def kitchen(records, bank, write, tmp_path):
    """A manager, a tutor, an apprentice with a book, words and files, and one who shares a file."""
    clock = Clock()
    manager = replace(staff.begin(records, "Berit Falk", clock), catalogue=bank)
    person = staff.take_on(manager, "tutor", name="Osric Vane")
    key = signing.Signer(Ed25519PrivateKey.generate())
    keys.add_key(manager, person, key.key_id, key.public)
    staff.note_assessor(manager, person, "Assessor course", START.date(), START.date() + timedelta(days=900))
    tutor = replace(manager, person=person, key=key)
    tam = staff.take_on(manager, "apprentice", name=NAME, person="p-tam")
    other = staff.take_on(manager, "apprentice", name="Ana Lind")
    book = write(tam, NAME, file="ferrisbane.book")
    for day in range(3):
        book.attempt("core-hold", day=day, score=0.3 if day == 1 else 1.0)
    book.note("dispute", "core-hold", verdict="not yet", text=ANSWER)
    book.note("explained", "core-hold", answer=ANSWER + " indeed")
    clock.now = START + timedelta(days=5)
    assert take_in(records, [book.path], now=clock.now, catalogue=bank).books[0].flags
    mine, shared = tmp_path / f"{NAME}.txt", tmp_path / "both.txt"
    mine.write_text("weights of ferrisbane: 1200 g")
    shared.write_text("weights of both: 2400 g")
    kept = attach(tutor, mine, tam, "weights").sha256
    both = attach(tutor, shared, tam, "weights").sha256
    attach(tutor, shared, other, "weights")
    seen = Observation(tam, "cook", clock.now.date(), {"COK-P01": "met"}, batch="B1", declared=True)
    observations.observe(tutor, replace(seen, notes=NOTE, files=[kept, both]))
    deciding.decide(tutor, tam, "COK-P01", "not yet competent", f"{NAME} needs one more batch.")
    staff.leave(manager, tam, "apprentice", "Went to sea.")

    @dataclass
    class Kitchen:
        pass

    made = Kitchen()
    vars(made).update(
        records=records, clock=clock, manager=manager, tutor=tutor, tam=tam, other=other, book=book,
        kept=kept, both=both, bank=bank,
    )  # fmt: skip
    return made


def raw_bytes(records):
    """All that lies in the folder of the records, as it is on the disk; of a server all that it shows."""
    if records.address:
        with records.reading() as connection:
            rows = [
                row for table in schema.metadata.sorted_tables for row in connection.execute(select(table))
            ]
        return "".join(str(tuple(row)) for row in rows).encode()
    return b"".join(p.read_bytes() for p in records.path.parent.rglob("*") if p.is_file())


PERSONAL = [
    NAME,
    "Ferrisbane",
    "ferrisbane",
    "zanderwords",
    "kestrelcareful",
    "Went to sea",
    "more batch",
    "weights of f",
]


@pytest.mark.file_only("it looks at the file's own bytes; what a server keeps is said in words")
def test_name_words_and_evidence_are_gone_from_the_very_bytes(kitchen):
    before = raw_bytes(kitchen.records)
    for text in PERSONAL:
        assert text.encode() in before, text
    done = erase_person(kitchen.manager, kitchen.tam, "Asked for it in writing.")
    assert done.bytes_gone and done.names == 1 and done.files == 1 and done.still_named == 0
    assert done.texts >= 5 and done.lines >= 4
    after = raw_bytes(kitchen.records)
    wal = kitchen.records.path.with_name("records.db-wal")
    assert not wal.exists() or wal.stat().st_size == 0
    for text in PERSONAL:
        assert text.encode() not in after, text
        assert json.dumps(text)[1:-1].encode() not in after, text
    assert b"Ana Lind" in after and b"weights of both" in after
    assert kitchen.records.path.read_bytes().startswith(b"SQLite format 3")


def test_the_chain_still_checks_and_the_act_says_what_was_done(kitchen):
    before = check_chain(kitchen.records)
    done = erase_person(kitchen.manager, kitchen.tam, "Asked for it in writing.")
    after = check_chain(kitchen.records)
    assert after.whole, after.problems
    assert after.acts == before.acts + 1 == done.act.number
    assert done.act.facts["files"] == [kitchen.kept]
    assert (done.act.by, done.act.person) == (kitchen.manager.person, kitchen.tam)
    with kitchen.records.reading() as connection:
        assert texts.tell(connection, done.act.facts["reason"]) == "Asked for it in writing."
        notes = next(acts.read(connection, kind="observed")).facts["notes"]
        assert texts.tell(connection, notes) == texts.ERASED


def test_the_board_and_what_waits_say_erased(kitchen):
    erase_person(kitchen.manager, kitchen.tam, "Asked for it.")
    names = {p.person_id: p.name for p in board(kitchen.records, catalogue=kitchen.bank).people}
    assert names[kitchen.tam] == "(erased)"
    assert names[kitchen.other] == "Ana Lind"
    assert {m.person: m.name for m in staff.members(kitchen.records)}[kitchen.tam] == texts.ERASED
    said = {each.says for each in waiting(kitchen.records)}
    assert said <= {texts.ERASED, "(no words)"} and said


def test_marks_and_decisions_stay_under_the_opaque_id(kitchen):
    def counted():
        with kitchen.records.reading() as connection:
            return [
                connection.execute(select(table)).all()
                for table in (
                    schema.marks,
                    schema.first_tries,
                    schema.standings,
                    schema.decided,
                    schema.points,
                )
            ]

    before = counted()
    erase_person(kitchen.manager, kitchen.tam, "Asked for it.")
    assert counted() == before and any(before)


def test_only_files_that_are_about_nobody_else_go(kitchen):
    erase_person(kitchen.manager, kitchen.tam, "Asked for it.")
    found = check_files(kitchen.records)
    assert (found.kept, found.erased) == ((kitchen.both,), (kitchen.kept,))
    assert found.whole and not path_of(kitchen.records, kitchen.kept).exists()


def test_a_manager_only_and_never_while_a_role_is_held(kitchen):
    with pytest.raises(NotAllowed, match="this needs a manager"):
        erase_person(kitchen.tutor, kitchen.tam, "Asked for it.")
    with pytest.raises(NotAllowed, match="is apprentice now"):
        erase_person(kitchen.manager, kitchen.other, "Asked for it.")
    with pytest.raises(NotAllowed, match="is manager now"):
        erase_person(kitchen.manager, kitchen.manager.person, "Asked for it.")
    with pytest.raises(UnknownName):
        erase_person(kitchen.manager, "p-nobody", "Asked for it.")
    with pytest.raises(OutOfRange, match="retention"):
        erase_person(kitchen.manager, kitchen.tam, retention_years=-1)
    assert NAME.encode() in raw_bytes(kitchen.records)


def test_inside_the_retention_time_only_with_a_reason_that_names_nobody(kitchen):
    until = kitchen.clock.now.date().replace(year=2026 + RETENTION_YEARS)
    with pytest.raises(NotAllowed, match=f"kept until {until}.*local rule counts.*give a reason"):
        erase_person(kitchen.manager, kitchen.tam)
    for reason in (f"{NAME} asked.", "tamsin asked for it", "The FERRISBANE family asked", "p-tam asked"):
        with pytest.raises(BadData, match="names the person"):
            erase_person(kitchen.manager, kitchen.tam, reason)
    assert NAME.encode() in raw_bytes(kitchen.records)
    kitchen.clock.now = START.replace(year=2026 + RETENTION_YEARS) + timedelta(days=4)
    staff.correct_clock(kitchen.manager, "Closed for years.")
    with pytest.raises(NotAllowed, match="give a reason"):
        erase_person(kitchen.manager, kitchen.tam)
    kitchen.clock.now += timedelta(days=1)
    done = erase_person(kitchen.manager, kitchen.tam)
    assert done.act.facts["kept_until"] is None and done.act.facts["reason"] == ""


@pytest.mark.slow
def test_a_shorter_local_time_is_a_number_not_a_reason(kitchen):
    assert erase_person(kitchen.manager, kitchen.tam, retention_years=0).act


def test_the_same_again_changes_nothing(kitchen):
    erase_person(kitchen.manager, kitchen.tam, "Asked for it.")
    before = check_chain(kitchen.records)
    again = erase_person(kitchen.manager, kitchen.tam, "Asked for it.")
    assert again.act is None
    assert (again.names, again.texts, again.lines, again.files) == (0, 0, 0, 0)
    assert check_chain(kitchen.records) == before


def test_a_file_left_behind_by_a_crash_goes_the_next_time(kitchen):
    data = path_of(kitchen.records, kitchen.kept).read_bytes()
    erase_person(kitchen.manager, kitchen.tam, "Asked for it.")
    path_of(kitchen.records, kitchen.kept).write_bytes(data)
    assert check_files(kitchen.records).not_erased == (kitchen.kept,)
    erase_person(kitchen.manager, kitchen.tam)
    assert check_files(kitchen.records).whole


def test_nothing_about_an_erased_person_is_taken_again(kitchen, tmp_path):
    erase_person(kitchen.manager, kitchen.tam, "Asked for it.")
    kitchen.book.attempt("core-hold", day=9)
    (refused,) = take_in(
        kitchen.records, [kitchen.book.path], now=START + timedelta(days=20), catalogue=kitchen.bank
    ).books
    assert refused.status == "refused" and "erased from the records on 2026-03-07" in refused.why
    for attempt in (
        lambda: staff.take_on(kitchen.manager, "apprentice", person=kitchen.tam, name=NAME),
        lambda: staff.come_back(kitchen.manager, kitchen.tam, "apprentice"),
        lambda: staff.note(kitchen.manager, kitchen.tam, "note", "Was here"),
        lambda: attach(kitchen.tutor, tmp_path / "both.txt", kitchen.tam, "weights"),
    ):
        with pytest.raises(BadData, match="erased from the records"):
            attempt()
    after = raw_bytes(kitchen.records)
    for text in PERSONAL:
        assert text.encode() not in after, text


def test_a_file_that_went_may_come_back_about_somebody_else(kitchen, tmp_path):
    erase_person(kitchen.manager, kitchen.tam, "Asked for it.")
    attach(kitchen.tutor, tmp_path / f"{NAME}.txt", kitchen.other, "weights")
    found = check_files(kitchen.records)
    assert set(found.kept) == {kitchen.kept, kitchen.both} and found.whole and not found.erased


def test_words_about_others_that_still_name_the_person_are_counted_not_touched(kitchen):
    staff.note(kitchen.manager, kitchen.other, "note", f"Works well beside {NAME}.")
    done = erase_person(kitchen.manager, kitchen.tam, "Asked for it.")
    assert done.still_named == 1
    with kitchen.records.reading() as connection:
        (act,) = acts.read(connection, kind="noted")
        assert NAME in texts.tell(connection, act.facts["words"])


def test_a_name_in_the_label_of_a_batch_is_told(kitchen):
    observations.correct(kitchen.tutor, f"{NAME} 7", "Core 58 °C", "Cooked on", day=kitchen.clock.now.date())
    assert erase_person(kitchen.manager, kitchen.tam, "Asked for it.").in_chain == 1


def test_somebody_who_never_had_a_role_is_kept_from_the_last_book_on(kitchen, write):
    book = write("p-guest", "Greta Holm")
    book.attempt("salt-sum", day=0)
    take_in(kitchen.records, [book.path], now=START + timedelta(days=3), catalogue=kitchen.bank)
    with pytest.raises(NotAllowed, match="last here on 2026-03-05; records are kept until 2029-03-05"):
        erase_person(kitchen.manager, "p-guest")
    done = erase_person(kitchen.manager, "p-guest", retention_years=0)
    assert done.act.facts["retention_years"] == 0
    assert b"Greta Holm" not in raw_bytes(kitchen.records)


def test_what_an_erased_tutor_wrote_of_a_batch_stays(kitchen):
    act = observations.correct(kitchen.tutor, "B9", "Core 58 °C", "Cooked on", day=kitchen.clock.now.date())
    staff.leave(kitchen.manager, kitchen.tutor.person, "tutor", "Retired.")
    erase_person(kitchen.manager, kitchen.tutor.person, "Asked for it.")
    with kitchen.records.reading() as connection:
        assert texts.tell(connection, act.facts["action"]) == "Cooked on"
    assert check_chain(kitchen.records).whole
    assert b"Osric Vane" not in raw_bytes(kitchen.records)


@pytest.mark.file_only("it looks at the file's own bytes; what a server keeps is said in words")
def test_a_reader_that_holds_the_log_is_told_and_later_finished(kitchen):

    slow = reopened(kitchen.records, busy_s=0.2)
    hasty = replace(kitchen.manager, records=slow)
    with kitchen.records.reading() as connection:
        connection.execute(select(schema.people)).all()
        assert not erase_person(hasty, kitchen.tam, "Asked for it.").bytes_gone
    assert erase_person(hasty, kitchen.tam).bytes_gone
    slow.close()
    after = raw_bytes(kitchen.records)
    assert all(text.encode() not in after for text in PERSONAL)


KILLED = """
import sys
from datetime import UTC, datetime
from kit.records import open_records
from kit.records.upkeep.erase import erase_person
from kit.records.people.staff import Hand
db, person, tam = sys.argv[1:4]
hand = Hand(open_records(db), person, clock=lambda: datetime(2026, 3, 7, 9, tzinfo=UTC))
if int(sys.argv[4]):
    import resource
    resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[4]),) * 2)
print("ready", flush=True)
try:
    print(erase_person(hand, tam, "Asked for it.").bytes_gone, flush=True)
except Exception as error:
    print(type(error).__name__, error, flush=True)
"""


def child(kitchen, limit=0):
    who = [str(kitchen.records.path), kitchen.manager.person, kitchen.tam, str(limit)]
    return subprocess.Popen([sys.executable, "-c", KILLED, *who], stdout=subprocess.PIPE, text=True)


@pytest.mark.slow
@posix_only
@pytest.mark.parametrize("limit", [16_000, 120_000])
@pytest.mark.file_only("it looks at the file's own bytes; what a server keeps is said in words")
def test_a_full_disk_erases_nothing_or_says_that_bytes_are_left(kitchen, limit):
    with kitchen.records.engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    kitchen.records.close()
    said = child(kitchen, limit).communicate(timeout=60)[0]
    assert "DiskTrouble" in said or "False" in said, said
    assert check_chain(kitchen.records).whole
    with kitchen.records.reading() as connection:
        erased = len(list(acts.read(connection, kind="erased")))
        named = kitchen.tam in {p for p, name in staff.all_names(connection).items() if name == NAME}
    assert named == (erased == 0), "all or nothing"
    assert erase_person(kitchen.manager, kitchen.tam, "Asked for it.").bytes_gone
    after = raw_bytes(kitchen.records)
    assert all(text.encode() not in after for text in PERSONAL)


@pytest.mark.slow
@posix_only
@pytest.mark.parametrize("after_s", [0.002, 0.01, 0.02, 0.04])
@pytest.mark.file_only("it looks at the file's own bytes; what a server keeps is said in words")
def test_a_kill_while_erasing_is_finished_the_next_time(kitchen, after_s):
    running = child(kitchen)
    assert running.stdout.readline() == "ready\n"
    time.sleep(after_s)
    os.kill(running.pid, signal.SIGKILL)
    running.communicate()
    found = check_chain(kitchen.records)
    assert found.whole, found.problems
    assert erase_person(kitchen.manager, kitchen.tam, "Asked for it.").bytes_gone
    after = raw_bytes(kitchen.records)
    assert all(text.encode() not in after for text in PERSONAL)
    assert check_files(kitchen.records).whole
    with kitchen.records.reading() as connection:
        assert len(list(acts.read(connection, kind="erased"))) == 1
