"""A task from the first look to the day it is refreshed; restored from the book each time."""

import os
import subprocess
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.files import MAX_ANSWER_BYTES, NotSaved, read
from kit.marking.draw import seed_for
from kit.marking.model import Outcome, Slip
from kit.practice import NOBODY, people, session, set_profile, start
from kit.practice import lesson_session as at_work
from kit.rules import DEFAULT, load


def right(work, exercise="char"):
    return work.current(exercise).question.answer


def test_a_first_look_writes_nothing(work):
    task = work.current("char")
    assert (task.occasion, task.attempts, task.last, task.last_answer, task.worked) == (1, (), None, None, "")
    assert task.question.seed == seed_for(work.person.id, "char", 1, 1)
    assert read(work.book.path).entries == ()


def test_an_answer_is_marked_kept_and_restored_in_another_kernel(work, bank, clock):
    outcome, task = work.check("char", "1")
    assert (outcome.verdict, len(task.attempts), task.solved) == ("not yet", 1, False)
    outcome, task = work.check("char", right(work))
    assert outcome.verdict == "right" and task.solved and task.worked.startswith("2 ×")
    again = start(work.person.id, catalogue=bank, clock=clock)
    assert again.current("char") == task
    assert again.current("char").last == outcome
    entry = read(work.book.path).entries[1]
    assert (
        entry.what,
        entry.verdict,
        entry.read_as,
        entry.profile,
        entry.profile_fingerprint,
        entry.hints,
    ) == (
        "attempt",
        "right",
        f"{right(work)} g",
        "ie",
        load("ie").fingerprint,
        0,
    )


def test_two_lessons_open_at_once_see_each_other(work, bank, clock):
    other = start(work.person.id, catalogue=bank, clock=clock)
    work.check("char", "1")
    other.check("char", "2")
    work.check("char", "3")
    assert [entry.answer for entry in other.current("char").attempts] == ["1", "2", "3"]
    assert read(work.book.path).problems == ()


@pytest.mark.parametrize(
    "raw",
    [
        "",
        "about ten",
        None,
        [],
        {},
        ["1"],
        "x" * (MAX_ANSWER_BYTES + 1),
        "\ud800",
        float("nan"),
        b"7",
        object(),
    ],
)
def test_what_cannot_be_read_is_no_attempt(work, raw):
    if isinstance(raw, float):
        work.catalogue.mark = lambda *_: pytest.fail("a NaN reached marking")
    outcome, task = work.check("char", raw)
    assert outcome.verdict == "not read" and outcome.message
    assert task.attempts == () and read(work.book.path).entries == ()


def test_hints_come_one_by_one_and_are_noted(work):
    assert work.hint("char").hints == ("Twice.",)
    task = work.hint("char")
    assert task.hints == ("Twice.", "Add it to itself.") and task.hints_left == 0
    assert work.hint("char").hints == task.hints
    assert len(read(work.book.path).entries) == 2
    _, task = work.check("char", right(work))
    assert task.attempts[0].hints == 2


def marked(question, answer):
    return Outcome(0, 1, "not yet", "No.", "unchanged" if answer == "-7" else "", answer)


def test_a_hint_follows_the_mistake_just_made_and_the_book_tells_it_again(work, monkeypatch):
    question = replace(
        work.current("char").question,
        slips=(Slip("unchanged", -7.0, "Nothing was done to itself: one and the same number came back."),),
    )
    monkeypatch.setattr(work.catalogue, "question", lambda *_: question)
    monkeypatch.setattr(work.catalogue, "mark", marked)
    work.check("char", "-7")
    assert work.hint("char").hints == ("Add it to itself.",)
    work.check("char", "1")  # another mistake, without a name: the author's order
    assert work.hint("char").hints == ("Add it to itself.", "Twice.")
    assert work.current("char").hints == ("Add it to itself.", "Twice.")


def test_the_worked_answer_comes_after_the_third_try(work):
    with pytest.raises(BadData, match="after 3 more tries"):
        work.worked("char")
    for _ in range(2):
        work.check("char", "1")
    with pytest.raises(BadData, match="after 1 more try"):
        work.worked("char")
    _, task = work.check("char", "1")
    assert task.may_show_worked and task.worked == ""
    assert work.worked("char").worked.startswith("2 ×")
    assert work.current("char").worked_seen
    assert [entry.what for entry in work.book.entries].count("worked") == 1
    work.worked("char")
    assert [entry.what for entry in work.book.entries].count("worked") == 1


def test_another_variant_has_other_numbers_and_is_noted_when_shown(work):
    first = work.current("char")
    work.check("char", "1")
    second = work.next_variant("char")
    assert (second.occasion, second.attempts, second.last) == (2, (), None)
    assert second.question.text != first.question.text
    assert second.question.seed == seed_for(work.person.id, "char", 1, 2)
    entry = work.book.entries[-1]
    assert (entry.what, entry.occasion, entry.seed, entry.fingerprint) == (
        "opened",
        2,
        second.question.seed,
        second.fingerprint,
    )
    assert work.current("char") == second


def test_a_variant_drawn_differently_by_an_updated_kit_is_left_and_the_next_opens(work, bank):
    work.check("char", "1")
    bank.salt = "new"
    task = work.current("char")
    assert (task.occasion, task.attempts) == (2, ())
    work.check("char", "1")
    assert work.current("char").occasion == 2 and len(work.current("char").attempts) == 1


def test_a_new_version_of_an_exercise_starts_afresh(work, bank):
    work.check("char", "1")
    work.next_variant("char")
    bank.version = 2
    task = work.current("char")
    assert (task.occasion, task.attempts, task.question.version) == (1, (), 2)
    bank.version = 1
    assert work.current("char").occasion == 2


def test_a_mark_can_be_disputed_once_there_is_one(work):
    with pytest.raises(BadData, match="no mark to dispute"):
        work.dispute("char", "why?")
    work.check("char", "1")
    task = work.dispute("char", "  The card says otherwise.\n")
    assert [(d.text, d.answer, d.verdict) for d in task.disputes] == [
        ("The card says otherwise.", "1", "not yet")
    ]
    with pytest.raises(OutOfRange, match="16 KB"):
        work.dispute("char", "x" * 20_000)
    assert work.current("char").disputes == task.disputes


def test_an_explanation_is_kept_for_the_tutor_and_never_marked(work):
    assert work.current("why").for_tutor
    with pytest.raises(BadData, match="your tutor reads this one"):
        work.check("why", "because")
    with pytest.raises(BadData, match="Write a sentence"):
        work.explain("why", " \n")
    work.explain("why", "A dry surface takes smoke.")
    task = work.explain("why", "A tacky surface takes smoke.")
    assert task.explained == "A tacky surface takes smoke."
    kept = [("explained", "5 words"), ("explained", "5 words")]
    assert [(entry.what, entry.read_as) for entry in work.book.entries] == kept
    with pytest.raises(BadData, match="the kit marks this one"):
        work.explain("char", "because")


def test_an_unknown_exercise_is_named(work):
    with pytest.raises(UnknownName, match="Did you mean 'char'"):
        work.check("chars", "1")


def test_an_answer_that_did_not_reach_the_disk_gives_no_mark(work, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as disk:
        disk.setattr(os, "fsync", full)
        with pytest.raises(NotSaved, match="the disk is full"):
            work.check("char", "1")
    assert work.current("char").attempts == ()
    _, task = work.check("char", "1")
    assert len(task.attempts) == 1


def states(work, day=None):
    return {p.criterion: p for p in work.progress(day)}


def test_progress_counts_days_right_first_time(work, clock):
    assert list(states(work)) == ["K-1", "K-2"]
    more = "about 2 new questions right, without a hint, on different days."
    assert states(work)["K-1"].left == f"Not started: {more}"
    work.check("trout", right(work, "trout"))
    assert states(work)["K-1"].shown.days_right == states(work)["K-2"].shown.days_right == 1
    work.next_variant("trout")
    work.check("trout", right(work, "trout"))
    assert states(work)["K-1"].shown.days_right == 1  # the same day
    clock.days_on(1)
    work.next_variant("trout")
    work.check("trout", right(work, "trout"))
    assert states(work)["K-1"].done and states(work)["K-1"].left == "Nothing for now."
    assert not states(work)["K-2"].done
    assert states(work)["K-2"].left.startswith("Not enough yet: about 1 new questions right")
    clock.days_on(1)
    work.next_variant("trout")
    work.check("trout", right(work, "trout"))
    assert states(work)["K-2"].left == "Your tutor also checks this one with you."


def test_a_second_try_a_hint_or_the_worked_answer_counts_for_nothing(work, clock):
    work.check("char", "1")
    work.check("char", right(work))
    clock.days_on(1)
    work.next_variant("char")
    work.hint("char")
    work.check("char", right(work))
    clock.days_on(1)
    work.next_variant("char")
    assert states(work)["K-1"].shown.days_right == 0


def test_what_was_shown_is_asked_again_after_a_while_and_soon_after_a_miss(work, clock):
    for _ in range(2):
        work.check("char", right(work))
        work.next_variant("char")
        clock.days_on(1)
    shown = states(work)["K-1"]
    assert shown.shown.first_held == date(2026, 3, 3)
    assert shown.refresh_on is not None and shown.refresh_on > date(2026, 3, 4)
    work.check("char", right(work))
    later = states(work)["K-1"].refresh_on
    assert later > shown.refresh_on
    work.next_variant("char")
    work.check("char", "1")
    assert states(work)["K-1"].refresh_on < later


def test_todays_round_shows_a_new_question_and_writes_nothing_before_it_is_answered(work, clock):
    work.check("char", right(work))
    assert work.fresh("char").occasion == 1  # of today: it stays
    clock.days_on(1)
    ahead = work.fresh("char")
    assert ahead.occasion == 2 and ahead.attempts == ()
    assert work.current("char").occasion == 1 and len(work.book.refresh()) == 1
    opened = work.next_variant("char")
    assert opened.question == ahead.question
    assert work.fresh("char").occasion == 2  # open and untouched: no other is drawn
    work.hint("char")
    clock.days_on(1)
    assert work.fresh("char").occasion == 3


def test_with_nobody_at_work_nothing_is_recorded_and_nothing_is_asked(throw_away_home):
    nobody = start("")
    assert not nobody.recorded and nobody.notice.startswith("Not recorded: nobody is at work")
    assert nobody.person.id == NOBODY
    assert not nobody.book.path.is_relative_to(throw_away_home)
    assert list(throw_away_home.iterdir()) == []


def test_not_recorded_works_like_any_other_session(bank):
    nobody = start("", catalogue=bank)
    _, task = nobody.check("char", "1")
    assert len(task.attempts) == 1
    assert start("", catalogue=bank).current("char").question == task.question  # the same question each time
    assert start("", catalogue=bank).current("char").attempts == ()


@pytest.mark.slow
def test_the_temporary_home_goes_with_the_kernel():
    code = "from kit.practice import session; print(session().book.path.parent)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not Path(done.stdout.strip()).exists()
    assert done.stderr == ""


def test_the_environment_says_who_works(ana, monkeypatch):
    monkeypatch.setenv("SMOKEHOUSE_PERSON", ana.id)
    assert session().person == ana and session().recorded and session().notice == ""
    assert session() is session()


@pytest.mark.parametrize("person_id", ["p-gone", "../..", "\x00"])
def test_an_unknown_person_is_not_recorded_and_told_so(person_id):
    nobody = start(person_id)
    assert not nobody.recorded and "there is nobody with the id" in nobody.notice


def test_rules_that_this_kit_does_not_have_are_named_at_the_top_and_the_usual_ones_hold(ana):
    set_profile(ana, "mars")
    work = start(ana.id)
    assert not work.recorded and "There is no profile called 'mars'" in work.notice
    assert work.profile is load(DEFAULT)


def test_who_chose_no_rules_works_under_the_usual_ones():
    assert people.DEFAULT_PROFILE == DEFAULT


def test_a_damaged_book_is_kept_and_the_part_that_stands_goes_on(work, bank, clock):
    for answer in "123":
        work.check("char", answer)
    damaged = work.book.path.read_bytes().replace(b'"answer": "2"', b'"answer": "9"')
    work.book.path.write_bytes(damaged)
    again = start(work.person.id, catalogue=bank, clock=clock)
    assert again.recorded and "1 entry stands" in again.notice
    (kept,) = work.person.folder.glob("answers.damaged-*")
    assert kept.read_bytes() == damaged and kept.name in again.notice
    _, task = again.check("char", "4")
    assert [entry.answer for entry in task.attempts] == ["1", "4"]


def test_a_book_without_a_usable_first_line_is_kept_and_a_new_one_made(work, bank, clock):
    work.check("char", "1")
    work.book.path.write_bytes(b"\x00" * 100)
    again = start(work.person.id, catalogue=bank, clock=clock)
    assert again.recorded and "damaged" in again.notice
    assert len(again.check("char", "1")[1].attempts) == 1


def test_a_book_from_a_newer_kit_is_not_touched(work, bank, clock):
    work.book.path.write_bytes(b'{"smokehouse": "answer book", "schema": 2}\n')
    again = start(work.person.id, catalogue=bank, clock=clock)
    assert not again.recorded and "newer kit" in again.notice
    assert work.book.path.read_bytes() == b'{"smokehouse": "answer book", "schema": 2}\n'


def test_somebody_elses_book_is_not_written_to(work, bank, clock):
    from kit.practice import create

    bo = create("Bo")
    bo.book_path.write_bytes(work.book.path.read_bytes())
    again = start(bo.id, catalogue=bank, clock=clock)
    assert not again.recorded and "the book of Ana" in again.notice


def test_a_disk_that_refuses_a_first_book_is_told(ana, bank, monkeypatch):
    ana.book_path.unlink()

    def refuse(*_, **__):
        raise NotSaved("the disk is full", "Free some space, then try again.")

    real = at_work.Book.make
    monkeypatch.setattr(
        at_work.Book, "make", lambda path, **rest: refuse() if path == ana.book_path else real(path, **rest)
    )
    again = start(ana.id, catalogue=bank)
    assert again.notice == "Not recorded: the disk is full. Free some space, then try again."
