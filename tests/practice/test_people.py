"""People on a shared machine."""

import os
import re
import stat

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.basics.typed_text import tidy_name
from kit.files import NotSaved, read
from kit.practice import check_pin, create, everyone, find, get, set_pin, set_profile
from kit.practice.people import damaged, file_name

NAMES = [
    "Ana Ó Briain",
    "鮭太郎",
    "Łucja Żółć",
    "محمد",
    'O\'Neill "Red" \\ #1',
    "नमिता",
    "👩‍🍳 Bo",
    "x = 1",
    "CON",
    "../..",
]


@pytest.mark.parametrize("name", NAMES)
def test_a_name_in_any_script_is_kept_and_never_a_path(throw_away_home, name):
    person = create(name, language="Polski")
    assert get(person.id) == person == find(name)[0]
    assert person.name == tidy_name(name)
    assert person.folder.parent == throw_away_home / "people"
    assert read(person.book_path, person=person.id).header.name == person.name


@pytest.mark.slow
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    name=st.text(max_size=90),
    language=st.text(alphabet=st.characters(exclude_categories=["Cs"]), max_size=10),
)
def test_whatever_is_typed_as_a_name_reads_back_or_is_refused(tmp_path, name, language):
    try:
        person = create(name, home=tmp_path, language=language)
    except OutOfRange:
        assert not name.strip() or len(name) > 40 or not name.isprintable()
        return
    assert get(person.id, tmp_path) == person


@given(name=st.text(max_size=90))
def test_a_file_name_made_of_a_name_is_safe_everywhere(name):
    safe = file_name(name)
    assert 0 < len(safe) <= 41
    assert not set(safe) & set('/\\:*?"<>|. \0\n')
    assert safe.upper() not in {"CON", "PRN", "AUX", "NUL", "COM1", "LPT9"}


@pytest.mark.parametrize("name", ["", "   ", "\u200d", "\x00\x07", "x" * 81])
def test_a_name_that_is_empty_or_too_long_is_refused(name):
    with pytest.raises(OutOfRange, match="the name"):
        create(name)
    assert everyone() == ()


def test_two_people_may_bear_one_name():
    first, second = create("Ana"), create(" ana ")
    assert first.id != second.id
    assert {person.id for person in find("ANA")} == {first.id, second.id}


def test_people_are_listed_by_name():
    for name in ("bo", "Cy", "Ana"):
        create(name)
    assert [person.name for person in everyone()] == ["Ana", "bo", "Cy"]


@pytest.mark.parametrize("bad", ["p-none", "..", "", "a/b", "p-" + "f" * 60])
def test_an_id_that_nobody_has_is_named(bad):
    person = create("Ana")
    with pytest.raises(UnknownName, match=person.id):
        get(bad)


@pytest.mark.slow
def test_a_pin_is_checked_and_never_kept(ana):
    assert not ana.has_pin and check_pin(ana, "anything")
    with_pin = set_pin(ana, "8-Ж4¾")
    assert with_pin == get(ana.id) and with_pin.has_pin
    assert check_pin(with_pin, "8-Ж4¾")
    assert not check_pin(with_pin, "8-Ж4") and not check_pin(with_pin, "")
    assert "8-Ж4¾" not in (ana.folder / "person.toml").read_text(encoding="utf-8")
    assert not set_pin(with_pin, None).has_pin and not get(ana.id).has_pin


@pytest.mark.slow
def test_the_same_pin_is_kept_differently_for_each_person():
    assert set_pin(create("A"), "1234").key != set_pin(create("B"), "1234").key


@pytest.mark.parametrize("pin", ["", "123", "1" * 33])
def test_a_pin_has_4_to_32_characters(ana, pin):
    with pytest.raises(OutOfRange, match="from 4 to 32"):
        set_pin(ana, pin)


def test_the_rules_a_person_follows_can_change(ana):
    assert set_profile(ana, "uk") == get(ana.id)
    assert get(ana.id).profile == "uk"


@pytest.mark.skipif(os.name == "nt", reason="owners of POSIX")
def test_only_the_owner_can_enter_or_read(ana, throw_away_home):
    folders = (throw_away_home / "people", ana.folder, ana.lessons)
    assert {stat.S_IMODE(folder.stat().st_mode) for folder in folders} == {0o700}
    assert stat.S_IMODE((ana.folder / "person.toml").stat().st_mode) == 0o600


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", "'id' is missing"),
        ("id = 7", "id is 7 (expected: text in quotes)"),
        ("\x00", "this is not a person's file"),
        ('id = "p-x"\nname = "B"\nmade = "2026-03-02T09:00:00+00:00"', "one id"),
        ('id = "@"\nname = "B"\nmade = "yesterday"', "made is 'yesterday'. Expected: a time with its zone"),
        ('id = "@"\nname = " "\nmade = "2026-03-02T09:00:00+00:00"', "at least one letter"),
        ('id = "@"\nname = "B"\nmade = "2026-03-02T09:00:00+00:00"\npin = "1234"', "its PIN"),
    ],
)
def test_a_damaged_file_of_one_person_leaves_the_others_at_work(ana, text, problem):
    bo = create("Bo")
    (bo.folder / "person.toml").write_text(text.replace("@", bo.id), encoding="utf-8")
    assert everyone() == (ana,)
    assert len(damaged()) == 1 and problem in str(damaged()[0])
    with pytest.raises(BadData, match=re.escape(problem)):
        get(bo.id)


def test_a_file_that_is_not_utf_8_is_named(ana):
    (ana.folder / "person.toml").write_bytes(b'name = "\xff"')
    with pytest.raises(BadData, match=r"person\.toml"):
        get(ana.id)


def test_a_full_disk_is_one_line(monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NotSaved, match="Ana was NOT saved: the disk is full"):
        create("Ana")
    monkeypatch.undo()
