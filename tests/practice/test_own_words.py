"""A learner's own words stay: on reopening, in any script, through damage, and for nobody else to read."""

from __future__ import annotations

import json
import os
import stat
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.basics.typed_text import tidy_text
from kit.files import NotSaved
from kit.practice import own_file, own_terms
from kit.practice.own_terms import FILE, LONGEST_LANGUAGE, LONGEST_WORD, read, set_language, set_word


def test_nothing_is_there_at_first(tmp_path: Path):
    assert read(tmp_path) == own_terms.OwnWords()
    assert list(tmp_path.iterdir()) == []


def test_what_was_typed_is_there_again(tmp_path: Path):
    set_language(tmp_path, "العربية")
    set_word(tmp_path, "core", "القلب")
    set_word(tmp_path, "probe", " مسبار  حرارة ")
    kept = read(tmp_path)
    assert (kept.language, kept.notice) == ("العربية", "")
    assert kept.words == {"core": "القلب", "probe": "مسبار حرارة"}


def test_an_empty_text_takes_the_word_away_and_another_stays(tmp_path: Path):
    set_word(tmp_path, "core", "jádro")
    set_word(tmp_path, "probe", "sonda")
    set_word(tmp_path, "core", "  ")
    assert read(tmp_path).words == {"probe": "sonda"}


def test_another_form_is_the_same_word(tmp_path: Path):
    set_word(tmp_path, "spores", "spora")
    assert read(tmp_path).words == {"spore": "spora"}


@pytest.mark.parametrize("text", ["x" * LONGEST_WORD, "é" * LONGEST_WORD, "  " + "x" * LONGEST_WORD])
def test_the_longest_text_is_kept_whole(text: str, tmp_path: Path):
    set_word(tmp_path, "core", text)
    assert read(tmp_path).words["core"] == text.strip()


def test_a_text_that_is_too_long_is_refused_and_the_old_one_stays(tmp_path: Path):
    set_word(tmp_path, "core", "jádro")
    with pytest.raises(OutOfRange, match="“core” is 81 characters long; it must be 80 or fewer") as refused:
        set_word(tmp_path, "core", "x" * 81)
    assert "not kept yet" in str(refused.value)
    with pytest.raises(OutOfRange, match="language's name is 41 characters long; it must be 40 or fewer"):
        set_language(tmp_path, "x" * (LONGEST_LANGUAGE + 1))
    assert read(tmp_path).words == {"core": "jádro"}


def test_a_word_that_is_not_on_the_list_is_refused(tmp_path: Path):
    with pytest.raises(UnknownName):
        set_word(tmp_path, "bicycle", "kolo")
    assert not (tmp_path / FILE).exists()


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such bits")
def test_only_its_owner_may_read_it(tmp_path: Path):
    set_word(tmp_path, "core", "jádro")
    assert {stat.S_IMODE(each.stat().st_mode) for each in tmp_path.iterdir()} == {0o600}


DAMAGED = [
    b"",
    b"{",
    b"\xff\xfe\x00",
    b"[]",
    b'{"schema": true, "language": "", "words": {}}',
    b'{"schema": 1}',
    b'{"schema": 1, "language": "cs", "words": {"core": 7}}',
    b"[" * 100_000,
]


@pytest.mark.parametrize("data", DAMAGED, ids=range(len(DAMAGED)))
def test_a_damaged_file_is_kept_aside_and_said(data: bytes, tmp_path: Path):
    (tmp_path / FILE).write_bytes(data)
    kept = read(tmp_path)
    (aside,) = tmp_path.glob("own_words.damaged-*")
    assert kept.words == {} and aside.name in kept.notice and "damaged" in kept.notice
    assert aside.read_bytes() == data
    set_word(tmp_path, "core", "jádro")
    assert read(tmp_path) == own_terms.OwnWords("", {"core": "jádro"})


def test_damage_that_shows_while_writing_is_said_too(tmp_path: Path):
    (tmp_path / FILE).write_bytes(b"{")
    assert "damaged" in set_word(tmp_path, "core", "jádro").notice
    assert read(tmp_path).words == {"core": "jádro"}


def test_a_newer_kits_file_is_left_alone(tmp_path: Path):
    newer = json.dumps({"schema": 2, "pages": []}).encode()
    (tmp_path / FILE).write_bytes(newer)
    with pytest.raises(BadData, match="newer kit"):
        set_word(tmp_path, "core", "jádro")
    assert (tmp_path / FILE).read_bytes() == newer


def test_a_word_that_left_the_list_stays_in_the_file(tmp_path: Path):
    page = {"schema": 1, "language": "cs", "words": {"bicycle": "kolo"}}
    (tmp_path / FILE).write_text(json.dumps(page), encoding="utf-8")
    set_word(tmp_path, "core", "jádro")
    assert read(tmp_path).words == {"bicycle": "kolo", "core": "jádro"}


def test_a_disk_that_refuses_loses_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    set_word(tmp_path, "core", "jádro")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(own_file, "write_private", full)
    with pytest.raises(NotSaved, match=r"This word was NOT saved: the disk is full\."):
        set_word(tmp_path, "probe", "sonda")
    monkeypatch.undo()
    assert read(tmp_path).words == {"core": "jádro"}


def test_two_lessons_writing_at_once_both_stay(tmp_path: Path):
    names = ["core", "probe", "spore", "hold", "stall", "brine", "cure", "loin"]
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda name: set_word(tmp_path, name, f"my {name}"), names))
    assert read(tmp_path).words == {name: f"my {name}" for name in names}


@given(st.text(max_size=60))
def test_a_tidy_text_stays_as_it_is(text: str):
    found = tidy_text(text)
    assert tidy_text(found) == found
    assert "\n" not in found and "\x00" not in found
    json.dumps(found).encode("utf-8")
