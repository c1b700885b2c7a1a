"""The round of a day: at most five, mixed, the same when the page is opened again, and never a punishment."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.criteria.knowledge import Try
from kit.exercises.catalogue import Catalogue
from kit.practice.lesson_files import in_reading_order
from kit.practice.round_of_tasks import ROUND_TASKS, next_round, plan, todays_round

BANK = Catalogue()
START = date(2026, 3, 2)
ORDER = in_reading_order(BANK.ids())


class Story:
    """Answers of one person, one after the other."""

    def __init__(self) -> None:
        self.tries: list[Try] = []

    def answer(self, exercise: str, day: date, right: bool = True, **more: Any) -> None:
        n = len(self.tries)
        at = datetime.combine(day, time(8), UTC) + timedelta(seconds=40 * n)
        self.tries.append(Try(exercise, more.pop("variant", f"v{n}"), at, day, right, key=n, **more))

    def lesson(self, number: int, day: date, misses: int = 0, seed: int = 1) -> None:
        names = [name for name in ORDER if BANK.info(name).lesson == number]
        wrong = set(random.Random(seed).sample(names, misses))
        for name in names:
            self.answer(name, day, name not in wrong)

    def round(self, day: date) -> Any:
        return todays_round(self.tries, BANK, day)


def two_lessons() -> Story:
    story = Story()
    story.lesson(0, START, misses=4)
    story.lesson(1, START + timedelta(days=1), misses=4)
    return story


def test_nobody_is_asked_what_no_lesson_of_theirs_has_taught():
    story = two_lessons()
    assert todays_round([], BANK, START) == ()
    for day in range(2, 90, 3):
        assert {one.lesson for one in story.round(START + timedelta(days=day))} <= {0, 1}


def test_a_round_has_what_slipped_and_is_mixed_over_the_lessons():
    found = two_lessons().round(START + timedelta(days=4))
    assert len(found) == ROUND_TASKS
    assert "slipped" in {one.why for one in found}
    assert all(a.lesson != b.lesson for a, b in pairwise(found))
    assert len({one.exercise for one in found}) == ROUND_TASKS


def test_what_has_been_due_for_longest_comes_first_and_of_one_day_what_is_about_safety():
    story = two_lessons()
    day = START + timedelta(days=30)
    for one in story.round(day):
        story.answer(one.exercise, day)
    after = {one.criterion for one in story.round(day + timedelta(days=1))}
    assert len(after - {one.criterion for one in story.round(day)}) >= 3  # the others had waited longer


def test_one_new_task_comes_with_the_round_while_a_lesson_is_not_read_to_its_end():
    story = two_lessons()
    names = [name for name in ORDER if BANK.info(name).lesson == 2]
    story.answer(names[0], START + timedelta(days=2))
    new = [one for one in story.round(START + timedelta(days=3)) if one.why == "new"]
    assert [one.exercise for one in new] == [names[1]]


def test_a_new_task_waits_until_its_ground_is_laid():
    """CUR-K02 builds on CUR-K01: mending a brine comes only after something right about brine."""
    story = Story()
    brine = ("brine-degrees", "same-brine", "salt-for-brine")
    for name in (n for n in ORDER if BANK.info(n).lesson == 2 and n not in (*brine, "mend-the-brine")):
        story.answer(name, START)
    for name in brine:
        story.answer(name, START, right=False)
    day = START + timedelta(days=1)
    assert "mend-the-brine" not in {one.exercise for one in story.round(day) if one.why == "new"}
    for name in brine:
        story.answer(name, START, right=True)
    assert "mend-the-brine" in {one.exercise for one in story.round(day)}


def test_what_memory_answers_is_not_asked_while_another_task_shows_more():
    """INT-K03: two lists to pick from, whose lines come back, and cases to join, with fresh numbers."""
    story = two_lessons()
    lists, day = ("histamine-fish", "stop-histamine"), START + timedelta(days=2)
    for number in range(9):
        for name in lists:
            story.answer(name, day + timedelta(days=number))
    asked = set()
    for number in range(9, 60, 3):
        for one in story.round(day + timedelta(days=number)):
            story.answer(one.exercise, day + timedelta(days=number))
            asked |= {one.exercise} if one.criterion == "INT-K03" else set()
    assert asked == {"can-histamine-be-in-it"}


def test_days_away_make_no_round_longer():
    story = two_lessons()
    assert len(story.round(START + timedelta(days=4))) == len(story.round(START + timedelta(days=204))) == 5


def test_a_page_opened_again_shows_the_same_round_with_what_is_done():
    story, day = two_lessons(), START + timedelta(days=4)
    first = story.round(day)
    for n, one in enumerate(first):
        assert story.round(day) == story.round(day)
        assert [each.exercise for each in story.round(day)] == [each.exercise for each in first]
        assert sum(each.done for each in story.round(day)) == n
        story.answer(one.exercise, day, right=n % 2 == 0)
    done = story.round(day)
    assert all(one.done for one in done) and [one.exercise for one in done] == [o.exercise for o in first]


def test_trying_again_after_the_last_task_does_not_start_another_round():
    story, day = two_lessons(), START + timedelta(days=4)
    first = story.round(day)
    for one in first:
        story.answer(one.exercise, day, right=False)
    story.answer(first[-1].exercise, day)
    assert all(one.done for one in story.round(day))


def test_five_more_are_there_for_who_wants_them_and_the_page_then_stays_with_them():
    story, day = two_lessons(), START + timedelta(days=4)
    for one in story.round(day):
        story.answer(one.exercise, day)
    more = next_round(story.tries, BANK, day)
    assert 0 < len(more) <= ROUND_TASKS
    other = next(one for one in more if one.exercise not in {o.exercise for o in story.round(day)})
    story.answer(other.exercise, day)
    now = story.round(day)
    assert [one.exercise for one in now] == [one.exercise for one in more]
    assert [one.done for one in now].count(True) == 1


@pytest.mark.parametrize("right", [True, False])
def test_a_right_answer_is_followed_by_a_harder_kind_and_a_miss_by_none_harder(right):
    story = Story()
    rung = {"one": 1, "several": 1, "match": 1, "order": 2, "places": 2, "number": 3, "chart": 3}
    start = "rule-and-limit" if right else "own-cook-missing"
    story.answer(start, START, right)
    asked = next(o for o in plan(story.tries, BANK, START + timedelta(days=9)) if o.criterion == "COK-K01")
    was, now = (rung.get(BANK.facts_of[name].kind, 4) for name in (start, asked.exercise))
    assert now > was if right else now <= was
    assert not right or asked.exercise != start


def test_when_everything_is_known_and_nothing_is_due_there_is_no_round():
    story = Story()
    for n in range(0, 60, 2):
        for name in ORDER:
            if "COK-K02" in BANK.info(name).criteria:
                story.answer(name, START + timedelta(days=n))
    shown = BANK.knowledge(story.tries)["COK-K02"]
    assert shown.held
    due = [one for one in story.round(START + timedelta(days=59)) if one.criterion == "COK-K02"]
    assert due == []


@given(
    st.lists(
        st.tuples(st.sampled_from(BANK.ids()), st.integers(0, 3), st.booleans(), st.booleans()), max_size=60
    ),
    st.integers(0, 200),
)
def test_any_history_gives_a_round_that_keeps_its_promises(answers, later):
    story, day = Story(), START
    for exercise, gap, right, helped in answers:
        day += timedelta(days=gap)
        story.answer(exercise, day, right, helped=helped)
    found = story.round(day + timedelta(days=later))
    begun = {BANK.info(exercise).lesson for exercise, *_ in answers}
    assert len(found) <= ROUND_TASKS and len({one.exercise for one in found}) == len(found)
    assert all(one.criterion in BANK.info(one.exercise).criteria for one in found)
    assert {one.lesson for one in found} <= begun
    assert sum(one.why == "new" for one in found) <= 1
