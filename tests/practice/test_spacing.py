"""When something practised is asked again. The days between are those of the fsrs library: the reference."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest
from fsrs import Card, Rating, Scheduler
from hypothesis import given
from hypothesis import strategies as st

from kit.criteria.knowledge import ORDINARY, SAFETY, ExerciseFacts, Knowledge, Try, knowledge
from kit.practice.spacing import (
    CHECK_DAYS,
    LONGEST_DAYS,
    LONGEST_SAFETY_DAYS,
    UNTIL_SHOWN_DAYS,
    ask_again_on,
)

START = date(2026, 3, 2)
HARD_TO_GUESS = {"hold": ExerciseFacts(0.05, "number")}


def tried(day: date, right: bool = True, helped: bool = False, n: int = 0) -> Try:
    at = datetime.combine(day, time(9, n % 60), UTC)
    return Try("hold", f"{day}-{n}", at, day, right, helped, key=(day - START).days * 100 + n)


def again(tries: list[Try], *, safety: bool = False, shown: Knowledge | None = None) -> date | None:
    bounds = SAFETY if safety else ORDINARY
    shown = shown or knowledge(tries, bounds, exercises=HARD_TO_GUESS)
    return ask_again_on(tries, shown, HARD_TO_GUESS, safety=safety)


def by_the_library(ratings: list[Rating]) -> list[int]:
    """Return the days that the library itself leaves between reviews that come when they are due."""
    scheduler = Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)
    card, now, waits = Card(card_id=7), datetime(2026, 3, 2, 12, tzinfo=UTC), []
    for rating in ratings:
        card, _ = scheduler.review_card(card, rating, now)
        waits.append((card.due - now).days)
        now = card.due
    return waits


@pytest.mark.parametrize(
    ("went", "rating"),
    [("right", Rating.Good), ("wrong", Rating.Again), ("helped", Rating.Hard)],
)
def test_the_days_between_are_those_of_the_library(went: str, rating: Rating):
    tries, day = [], START
    for expected in by_the_library([rating] * 3):
        tries.append(tried(day, right=went != "wrong", helped=went == "helped"))
        shown_long_ago = replace(knowledge([]), first_held=START - timedelta(days=400))
        due = again(tries, shown=shown_long_ago)
        assert due is not None and (due - day).days == expected
        not_shown_yet = again(tries, shown=knowledge([]))
        assert not_shown_yet is not None and (not_shown_yet - day).days == min(expected, UNTIL_SHOWN_DAYS)
        day = due


def test_what_was_never_asked_has_no_day():
    assert again([]) is None


def test_a_miss_brings_it_back_soon_and_a_right_answer_later():
    days = [START + timedelta(days=n) for n in (0, 2, 13)]
    knew = [tried(day) for day in days]
    slipped = [*knew[:2], tried(days[2], right=False)]
    assert again(slipped) < again(knew)
    assert again(slipped) <= days[2] + timedelta(days=7)


def test_one_miss_among_right_answers_of_a_day_counts_as_a_miss():
    mixed = [tried(START, n=1), tried(START, right=False, n=2), tried(START, n=3)]
    assert again(mixed) == again([tried(START, right=False)])


def test_it_is_asked_30_and_90_days_after_it_was_shown_in_any_case():
    tries = [tried(START + timedelta(days=day), n=n) for day in (0, 2) for n in range(6)]
    shown = knowledge(tries, exercises=HARD_TO_GUESS)
    assert shown.first_held == START + timedelta(days=2)
    for check in CHECK_DAYS:
        late = [*tries, *(tried(shown.first_held + timedelta(days=day)) for day in (9, 29) if day < check)]
        if check == 90:
            late += [
                tried(shown.first_held + timedelta(days=31)),
                tried(shown.first_held + timedelta(days=70)),
            ]
        due = again(late)
        assert due is not None and due <= shown.first_held + timedelta(days=check)


@given(
    st.lists(st.tuples(st.integers(1, 300), st.booleans(), st.booleans()), min_size=1, max_size=30),
    st.booleans(),
)
def test_it_is_never_due_on_the_day_itself_and_never_later_than_the_cap(gaps, safety):
    tries, day = [], START
    for n, (gap, right, helped) in enumerate(gaps):
        day += timedelta(days=gap)
        tries.append(tried(day, right, helped, n))
    due = again(tries, safety=safety)
    longest = LONGEST_SAFETY_DAYS if safety else LONGEST_DAYS
    assert due is not None and 1 <= (due - day).days <= longest
    assert due == again(list(reversed(tries)), safety=safety)
