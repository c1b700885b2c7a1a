"""The key of an answer book: made with the PIN alone, and nobody writes into the book without it."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from kit.basics.errors import BadData
from kit.files import Book, NotSaved, read
from kit.files.book_entry import unseal
from kit.files.book_keys import doubts, signer_of
from kit.practice import check_pin, create, get, lesson_session, pins, set_pin, start
from kit.practice.handing_in import hand_in
from kit.practice.pins import WrongPin, unlock, wait_left

PIN = "2719"
GOLDEN = Path(__file__).resolve().parents[1] / "data" / "golden_0_1"


class SetClock:
    def __init__(self):
        self.now = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def __call__(self):
        return self.now


@pytest.fixture
def clock():
    return SetClock()


@pytest.fixture
def ana(clock):
    return set_pin(create("Ana", clock=clock), PIN, clock=clock)


def opened(n=1):
    return {"exercise": "char", "version": 1, "occasion": n, "seed": 7, "fingerprint": "f"}


def doubt_of(person):
    return [doubt for _, doubt in doubts(read(person.book_path).entries, 0)]


@pytest.mark.slow
def test_a_pin_makes_a_key_and_every_line_is_signed(ana):
    session = start(ana.id, private=unlock(ana, PIN))
    assert session.recorded
    session.book.append("opened", **opened())
    entries = read(ana.book_path).entries
    assert [entry.what for entry in entries] == ["key", "opened"]
    assert entries[0].public == ana.key.public and all(entry.signature for entry in entries)
    assert doubt_of(ana) == ["", ""]


@pytest.mark.slow
def test_the_open_key_is_kept_nowhere(ana):
    private = unlock(ana, PIN)
    start(ana.id, private=private).book.append("opened", **opened())
    files = [file for file in ana.folder.rglob("*") if file.is_file()]
    assert len(files) >= 2
    assert not [file for file in files if private in file.read_text(errors="replace")]


@pytest.mark.slow
def test_without_the_pin_nothing_is_written_into_the_book(ana):
    before = ana.book_path.read_bytes()
    session = start(ana.id)
    assert not session.recorded and "PIN" in session.notice
    with pytest.raises(NotSaved, match="PIN was not given"):
        Book(ana.book_path).append("opened", **opened())
    bo = set_pin(create("Bo"), "4321")
    with pytest.raises(NotSaved, match="PIN was not given"):
        Book(ana.book_path, signer=signer_of(unlock(bo, "4321"))).append("opened", **opened())
    assert not start(ana.id, private=unlock(bo, "4321")).recorded
    assert ana.book_path.read_bytes() == before


def test_a_key_taken_out_of_the_persons_file_opens_nothing(ana):
    file = ana.folder / "person.toml"
    file.write_text(file.read_text(encoding="utf-8").partition("[key")[0], encoding="utf-8")
    assert not get(ana.id).has_pin
    session = start(ana.id)
    assert not session.recorded and "PIN" in session.notice


def test_a_damaged_key_is_refused_at_the_door(ana):
    file = ana.folder / "person.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("cost = 65536", "cost = 134217728"), encoding="utf-8")
    with pytest.raises(BadData, match="key cannot be understood"):
        get(ana.id)


@pytest.mark.slow
def test_another_pin_keeps_the_key_and_no_pin_ends_the_signing(ana):
    private = unlock(ana, PIN)
    changed = set_pin(ana, "8888", private=private)
    assert changed.key.public == ana.key.public and unlock(changed, "8888") == private
    gone = set_pin(changed, None, private=private)
    assert not gone.has_pin and start(ana.id).recorded
    start(ana.id).book.append("opened", **opened())
    assert doubt_of(ana) == ["", "", ""]
    again = set_pin(gone, PIN)
    assert start(ana.id, private=unlock(again, PIN)).recorded
    assert doubt_of(ana) == ["", "", "", ""]


@pytest.mark.slow
def test_a_forgotten_pin_begins_a_key_that_the_tutor_asks_about(ana):
    other = set_pin(ana, "9999")
    session = start(ana.id, private=unlock(other, "9999"))
    assert session.recorded
    session.book.append("opened", **opened())
    assert doubt_of(ana) == ["", "new key", "after a new key"]
    entries = read(ana.book_path).entries
    assert [doubt for _, doubt in doubts(entries, 0, {entries[1].hash})] == ["", "", ""]


def test_a_pin_taken_away_without_it_shows(ana):
    set_pin(ana, None)
    start(ana.id).book.append("opened", **opened())
    assert doubt_of(ana) == ["", "new key", "after a new key"]


@pytest.mark.slow
def test_a_line_changed_and_chained_again_does_not_fit_its_signature(ana):
    session = start(ana.id, private=unlock(ana, PIN))
    session.book.append("opened", **opened())
    lines = ana.book_path.read_bytes().splitlines()
    body = lines[-1].partition(b', "hash": ')[0].replace(b'"occasion": 1', b'"occasion": 2')
    forged = body + b', "hash": "' + hashlib.sha256(body).hexdigest().encode() + b'"}'
    assert unseal(forged)
    ana.book_path.write_bytes(b"\n".join([*lines[:-1], forged, b""]))
    assert not read(ana.book_path).problems
    assert doubt_of(ana) == ["", "not signed"]


@pytest.mark.slow
def test_wrong_pins_wait_longer_each_time_and_across_programs(ana, clock):
    waits = []
    for _ in range(6):
        with pytest.raises(WrongPin, match="wrong"):
            unlock(ana, "0000", clock=clock)
        waits.append(wait_left(ana, clock).total_seconds())
        clock.now += wait_left(ana, clock)
    assert waits == [0, 0, 15, 30, 60, 120]
    with pytest.raises(WrongPin):
        unlock(ana, "0000", clock=clock)
    with pytest.raises(WrongPin, match=r"wrong 7 times\. The next try is in 4 min"):
        unlock(get(ana.id), PIN, clock=clock)  # the right one too: it is not tried
    clock.now += timedelta(hours=1)
    assert unlock(ana, PIN, clock=clock)
    assert wait_left(ana, clock) == timedelta(0) and pins.wrong_pins(ana, clock) == 0


@pytest.mark.slow
def test_a_wait_never_passes_an_hour_whatever_the_clock_does(ana, clock):
    for _ in range(30):
        with pytest.raises(WrongPin):
            unlock(ana, "0000", clock=clock)
        clock.now += timedelta(hours=2)
    clock.now -= timedelta(days=900)
    assert wait_left(ana, clock) == timedelta(hours=1)


@pytest.mark.slow
def test_the_key_leaves_the_environment_when_the_lesson_takes_it(ana, monkeypatch):
    monkeypatch.setenv(lesson_session.PERSON_VARIABLE, ana.id)
    monkeypatch.setenv(lesson_session.KEY_VARIABLE, unlock(ana, PIN))
    assert lesson_session.session().recorded
    assert lesson_session.KEY_VARIABLE not in os.environ


@pytest.mark.slow
def test_a_book_of_before_is_signed_from_the_next_pin_on(tmp_path):
    facts = json.loads((GOLDEN / "facts.json").read_text(encoding="utf-8"))
    person = facts["books"]["long"]["person"]
    folder = tmp_path / "people" / person
    folder.mkdir(parents=True)
    shutil.copy(GOLDEN / "long.book", folder / "answers.book")
    shutil.copy(GOLDEN / "person.toml", folder)
    elva = get(person, tmp_path)
    before = read(elva.book_path).entries
    assert elva.key is None and check_pin(elva, PIN) and not check_pin(elva, "2718")
    private = unlock(elva, PIN)
    assert get(person, tmp_path).key is not None and not get(person, tmp_path).pin
    session = start(person, home=tmp_path, private=private)
    assert session.recorded, session.notice
    session.book.append("opened", **opened())
    entries = read(elva.book_path).entries
    assert entries[: len(before)] == before
    assert [entry.what for entry in entries[len(before) :]] == ["key", "opened"]
    assert {doubt for _, doubt in doubts(entries, 0)} == {""}


def test_a_book_with_a_key_alone_is_still_empty(ana, tmp_path):
    with pytest.raises(BadData, match="still empty"):
        hand_in(ana, tmp_path)
