"""Books, kitchen files and keys that version 0.1.0 wrote still open, and say what they said then."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections import Counter
from pathlib import Path

import pytest

from kit import rules
from kit.files import Book, read, signing
from kit.files.kitchen_file import read_kitchen

GOLDEN = Path(__file__).resolve().parents[1] / "data" / "golden_0_1"
FACTS = json.loads((GOLDEN / "facts.json").read_text(encoding="utf-8"))
PASSWORD = "alder before oak"


def test_the_files_are_those_that_were_written():
    for name, sha in FACTS["files"].items():
        assert hashlib.sha256((GOLDEN / name).read_bytes()).hexdigest() == sha, name


@pytest.mark.parametrize("name", ["long", "torn"])
def test_a_book_says_what_it_said(name):
    told, reading = FACTS["books"][name], read(GOLDEN / f"{name}.book")
    assert (reading.header.person, reading.header.name) == (told["person"], told["name"])
    assert Counter(entry.what for entry in reading.entries) == told["kinds"]
    verdicts = [entry.verdict for entry in reading.entries if entry.what == "attempt"]
    assert (len(verdicts), verdicts.count("right")) == (told["attempts"], told["right"])
    assert reading.last_hash == told["last_hash"]
    assert reading.torn is told["torn"]
    assert bool(reading.problems) is told["torn"]
    assert sum(bool(entry.kitchen) for entry in reading.entries) == told["under_the_kitchen"]


def test_words_in_a_book_are_whole():
    entries = read(GOLDEN / "long.book").entries
    assert [e.text for e in entries if e.what == "dispute"] == [
        "The card on the wall says the same as I wrote."
    ]
    explained = [e.answer for e in entries if e.what == "explained"]
    assert explained == ["A low finish kills less, so salt, cold and a short life must hold."]


@pytest.mark.parametrize("name", ["long", "torn"])
def test_an_old_book_goes_on(name, tmp_path):
    file = Path(shutil.copy(GOLDEN / f"{name}.book", tmp_path / "answers.book"))
    old = read(file)
    facts = {"exercise": "hold-from-the-list", "version": 1, "occasion": 99, "seed": 7, "fingerprint": "f"}
    added = Book(file).append("opened", **facts)
    assert (added.n, added.prev) == (len(old.entries) + 1, old.last_hash)
    assert not read(file).problems
    assert len(list(tmp_path.glob("answers.torn-*"))) == int(old.torn)


def test_house_limits_are_as_they_were():
    house = rules.load_house(GOLDEN / "house.toml")
    assert house.title == FACTS["house"]["title"]
    assert (house["ie-store-3"].maximum, house["ie-chill-150"].minutes) == (2.5, 120)
    assert house["house-cabinet-door"].source == "house"


def test_a_kitchen_file_is_trusted_and_says_what_it_said():
    told, kitchen = FACTS["kitchen"], read_kitchen(GOLDEN / "kitchen.toml")
    said = (kitchen.stamp, kitchen.name, kitchen.version, kitchen.profile, kitchen.signed_by)
    assert said == tuple(told[name] for name in ("mark", "name", "version", "profile", "signed_by"))
    assert kitchen.signer is not None
    assert kitchen.signer.public == FACTS["key"]["public"]
    held = kitchen.rules()
    for name, limits in FACTS["limits"].items():
        assert {each: getattr(held[name], each) for each in limits} == limits


def test_rules_are_told_apart_as_they_were():
    """Answers given under a kitchen are marked by the rules that bear the fingerprint they carry.

    A limit that is changed on purpose changes it, and fails here. Then older answers wait for the tutor:
    say in the change that this is meant.
    """
    under = {(e.profile, bool(e.kitchen)): e.profile_fingerprint for e in read(GOLDEN / "long.book").entries}
    assert rules.load("ie").fingerprint == under["ie", False]
    assert read_kitchen(GOLDEN / "kitchen.toml").rules().fingerprint == under["ie", True]
    assert FACTS["kitchen"]["rules_fingerprint"] == FACTS["house"]["fingerprint"] == under["ie", True]
    torn = read(GOLDEN / "torn.book").entries
    assert {rules.load("uk").fingerprint} == {entry.profile_fingerprint for entry in torn}


@pytest.mark.slow
def test_a_sealed_key_opens_and_signs_the_same():
    told, sealed = FACTS["key"], signing.read_key(GOLDEN / "signing_key.json")
    assert (sealed.key_id, sealed.public) == (told["key_id"], told["public"])
    # Ed25519 gives one signature for one message and key
    assert signing.unseal_key(sealed, PASSWORD).sign(told["message"].encode()) == told["signature"]
    mended = signing.reset_password(sealed, told["recovery_code"], "elder after ash")
    assert signing.unseal_key(mended, "elder after ash").key_id == told["key_id"]
    with pytest.raises(signing.WrongPassword):
        signing.unseal_key(sealed, "elder after ash")
