"""A machine that joined a kitchen: its rules hold, and every line of the book says so."""

import json

import pytest

from kit import exercises, rules
from kit.exercises.engine.registry import _ENTRIES
from kit.files import read
from kit.files.book_entry import entry_line, parse_entry
from kit.files.joined_kitchen import join, place
from kit.files.kitchen_file import KeyHolder, make_kitchen, write_kitchen
from kit.files.signing import make_key, unseal_key
from kit.marking.build import number
from kit.practice import create, set_profile, start
from kit.views.workbook.lesson import head_of


@pytest.fixture(scope="module")
def mara():
    sealed, _ = make_key("smoke over alder", cost=2**14)
    return unseal_key(sealed, "smoke over alder")


@pytest.fixture
def joining(mara, tmp_path):
    """Make a kitchen with one house limit and join it here."""

    def go(maximum=2.5, before=None, name="Harbour Lane"):
        kitchen = make_kitchen(
            name,
            profile="ie",
            keys=[KeyHolder("tutor", "Mara Quill", mara.public)],
            signer=mara,
            tighter=[{"rule": "ie-store-3", "maximum": maximum}],
            before=before,
        )
        path = tmp_path / f"{kitchen.fingerprint()}.toml"
        write_kitchen(path, kitchen)
        join(path)
        return kitchen

    return go


@pytest.fixture
def store_limit():
    """An exercise that asks for a limit of the rules in force."""

    @exercises.exercise("The store here", criteria=["CHL-K01"], lesson=6)
    def store_limit_here(draw, profile):
        rule = profile["ie-store-3"] if profile.id == "ie" else None
        limit = rule.maximum if rule else 5.0
        text = f"Fridge {draw.pick(['A', 'B'])}: how cold must the fish be kept, at most?"
        return number(text, limit, "°C", abs_tol=0.1, hints=["Look it up."], worked=f"{limit:g} °C")

    yield "store-limit-here"
    del _ENTRIES["store-limit-here"]


def test_without_a_kitchen_nothing_changes(ana, clock, store_limit):
    work = start(ana.id, clock=clock)
    work.check(store_limit, "3")
    (entry,) = read(ana.book_path).entries
    assert (entry.verdict, entry.profile, entry.kitchen) == ("right", "ie", "")
    assert b'"kitchen"' not in ana.book_path.read_bytes()


def test_the_limit_the_mark_and_the_line_are_the_kitchens(ana, clock, store_limit, joining):
    kitchen = joining(2.5)
    work = start(ana.id, clock=clock)
    assert work.current(store_limit).question.answer == 2.5
    assert work.check(store_limit, "3")[0].verdict == "not yet"
    assert work.check(store_limit, "2.5")[0].verdict == "right"
    for entry in read(ana.book_path).entries:
        assert entry.kitchen == kitchen.stamp == f"{kitchen.id}@{kitchen.fingerprint()}"
        assert entry.profile == "ie"
        assert entry.profile_fingerprint == kitchen.rules().fingerprint != rules.load("ie").fingerprint


def test_every_kind_of_line_carries_the_kitchen(ana, clock, store_limit, joining):
    kitchen = joining()
    work = start(ana.id, clock=clock)
    work.hint(store_limit)
    work.check(store_limit, "2.5")
    work.worked(store_limit)
    work.dispute(store_limit, "It says 2.")
    work.next_variant(store_limit)
    work.explain(exercises.explain_ids(5)[0], "Because a low finish needs all its controls.")
    entries = read(ana.book_path).entries
    assert {entry.what for entry in entries} == {"hint", "attempt", "dispute", "opened", "explained"}
    assert {entry.kitchen for entry in entries} == {kitchen.stamp}


def test_the_worked_answer_after_three_tries_carries_it_too(ana, clock, store_limit, joining):
    kitchen = joining()
    work = start(ana.id, clock=clock)
    for wrong in ("7", "8", "9"):
        work.check(store_limit, wrong)
    work.worked(store_limit)
    last = read(ana.book_path).entries[-1]
    assert (last.what, last.kitchen) == ("worked", kitchen.stamp)


@pytest.mark.parametrize("when", ["before", "after"])
def test_a_profile_somebody_chose_does_not_win_over_the_kitchens(clock, store_limit, joining, when):
    bo = create("Bo", profile="uk" if when == "before" else "ie", clock=clock)
    kitchen = joining()
    if when == "after":
        set_profile(bo, "uk")
    work = start(bo.id, clock=clock)
    assert work.person.profile == "uk"
    assert work.profile == kitchen.rules()
    assert work.current(store_limit).question.answer == 2.5
    assert work.profile["ie-store-3"].maximum == 2.5


def test_the_head_of_the_page_names_the_kitchen_and_its_rules(ana, clock, joining):
    assert head_of(start(ana.id, clock=clock))["rules"] == "Rules in force: Ireland"
    joining()
    told = head_of(start(ana.id, clock=clock))["rules"]
    assert told == "Rules in force: Harbour Lane: Ireland, with house limits"
    nobody = head_of(start("", clock=clock))
    assert (nobody["recorded"], nobody["rules"]) == (False, told)


def test_a_variant_that_was_open_under_other_limits_stays_in_the_book_and_the_next_opens(
    ana, clock, store_limit, joining
):
    start(ana.id, clock=clock).check(store_limit, "7")
    joining()
    task = start(ana.id, clock=clock).current(store_limit)
    assert (task.occasion, task.attempts, task.question.answer) == (2, (), 2.5)


def test_a_later_version_with_the_same_limits_leaves_the_open_variant_open(ana, clock, store_limit, joining):
    first = joining()
    start(ana.id, clock=clock).check(store_limit, "7")
    second = joining(before=first, name="Harbour Road")
    work = start(ana.id, clock=clock)
    assert (work.current(store_limit).occasion, len(work.current(store_limit).attempts)) == (1, 1)
    work.check(store_limit, "2.5")
    assert [e.kitchen for e in read(ana.book_path).entries] == [first.stamp, second.stamp]


def test_no_limit_of_an_earlier_version_is_remembered(ana, clock, store_limit, joining):
    first = joining(2.5)
    assert start(ana.id, clock=clock).current(store_limit).question.answer == 2.5
    joining(2.0, before=first)
    assert start(ana.id, clock=clock).current(store_limit).question.answer == 2.0


def test_a_tampered_kitchen_file_stops_recording_and_says_why(ana, clock, store_limit, joining):
    joining()
    place().write_text(place().read_text().replace("2.5", "3.0"))
    work = start(ana.id, clock=clock)
    assert not work.recorded
    assert "this kitchen file was changed after it was signed" in work.notice
    work.check(store_limit, "2.5")
    assert read(ana.book_path).entries == ()


def test_old_lines_without_a_kitchen_and_lines_with_one_read_alike(ana, clock, store_limit, joining):
    work = start(ana.id, clock=clock)
    work.check(store_limit, "3")
    kitchen = joining()
    work = start(ana.id, clock=clock)
    work.check(store_limit, "3")
    reading = read(ana.book_path)
    assert reading.problems == ()
    assert [entry.kitchen for entry in reading.entries] == ["", kitchen.stamp]
    assert all(entry.extra == {} for entry in reading.entries)


def test_a_kitchen_that_is_no_text_is_refused():
    facts = {"n": 1, "what": "opened", "at": "2026-03-02T09:15:00+00:00", "day": "2026-03-02"}
    facts |= {"exercise": "e", "version": 1, "occasion": 1, "seed": 1, "fingerprint": "f"}
    line = entry_line({**facts, "kitchen": "k"}, "0" * 64).rstrip()
    assert parse_entry(line, "here").kitchen == "k"
    with pytest.raises(Exception, match=r"kitchen is 1\. Expected: text"):
        parse_entry(entry_line({**facts, "kitchen": 1}, "0" * 64).rstrip(), "here")
    assert "kitchen" not in json.loads(entry_line(facts, "0" * 64))


@pytest.mark.slow
def test_the_whole_bank_draws_under_a_kitchen_with_every_limit_tightened(joining, mara):
    tighter = [
        {"rule": "ie-store-3", "maximum": 2.5},
        {"rule": "ie-fridge", "maximum": 4},
        {"rule": "ie-chill-150", "minutes": 120},
        {"rule": "ie-cook-75", "minimum": 76},
        {"rule": "ie-life-5", "maximum": 4},
    ]
    keys = [KeyHolder("tutor", "Mara Quill", mara.public)]
    kitchen = make_kitchen("Harbour Lane", profile="ie", keys=keys, signer=mara, tighter=tighter)
    for exercise in exercises.ids():
        assert exercises.question(exercise, 7, kitchen.rules()).profile == kitchen.rules()
