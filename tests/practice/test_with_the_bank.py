"""The kit's own exercises, through practice and back out of the book."""

import functools

import pytest

from kit import exercises
from kit.files import read
from kit.marking import mark
from kit.practice import start

NUMBERS = [None, True, 0, -1, 10**30, float("nan"), float("inf")]
TEXTS = ["", " ", "1,250", "x" * 1_000_000, "\ud800", "63 °C; rm -rf"]
LISTS = [[], [1, [2, [3]]], ["a", "a"], [["0.5", 2]]]
MAPPINGS = [{}, {"a": None}, {"decision": [], "reason": {}}, {"1": {"2": 3}}]
ODD = [*NUMBERS, *TEXTS, *LISTS, *MAPPINGS]


@functools.cache
def lesson_5():
    return exercises.ids(5)


@pytest.mark.slow
def test_every_exercise_of_lesson_5_is_checked_kept_and_restored(ana, clock):
    work = start(ana.id, clock=clock)
    assert len(lesson_5()) >= 12
    for exercise in lesson_5():
        outcome, task = work.check(exercise, work.current(exercise).question.answer)
        assert (outcome.verdict, outcome.score, task.solved) == ("right", outcome.of, True), exercise
        assert task.worked
    again = start(ana.id, clock=clock)
    for exercise in lesson_5():
        assert again.current(exercise) == work.current(exercise)
    for entry in read(ana.book_path, person=ana.id).entries:
        question = exercises.question(entry.exercise, entry.seed, entry.profile)
        assert exercises.fingerprint(question) == entry.fingerprint
        assert mark(question, entry.answer).score == entry.score
    tried = {criterion for exercise in lesson_5() for criterion in exercises.info(exercise).criteria}
    days = {item.criterion: item.shown.days_right for item in work.progress()}
    assert {days[criterion] for criterion in tried} == {1}


@pytest.mark.parametrize("raw", ODD, ids=lambda raw: repr(raw)[:20])
def test_an_odd_answer_to_any_exercise_is_an_outcome_and_the_book_stays_whole(ana, clock, raw):
    work = start(ana.id, clock=clock)
    for exercise in lesson_5():
        outcome, task = work.check(exercise, raw)
        assert outcome.message
        assert len(task.attempts) == (outcome.verdict != "not read")
    reading = read(ana.book_path)
    assert reading.problems == () and len(reading.entries) < len(lesson_5())


def test_explanations_are_kept_for_the_tutor(ana, clock):
    work = start(ana.id, clock=clock)
    for exercise in exercises.explain_ids(5):
        assert work.explain(exercise, "Because a low finish needs all its controls.").explained
