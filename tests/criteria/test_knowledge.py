"""The knowledge rule: a sequential test over fresh questions, over days and kinds, fading with time."""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from math import log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.criteria.knowledge import (
    HALF_LIFE_DAYS,
    ORDINARY,
    SAFETY,
    ExerciseFacts,
    Try,
    knowledge,
    right_chance,
    sure_on,
    weight,
)

START = datetime(2026, 3, 2, 9, tzinfo=UTC)
BOUNDS = st.sampled_from((ORDINARY, SAFETY))
PATTERN = st.text("RWH", max_size=40)


def tries(pattern: str, *, per_day: int = 4, first_day: int = 0, start: int = 0) -> list[Try]:
    """R right, W wrong, H right with help; each its own variant, ``per_day`` to a day."""
    made = []
    for i, letter in enumerate(pattern, start=start):
        at = START + timedelta(days=first_day + (i - start) // per_day, minutes=i)
        made.append(Try("x", f"v{i}", at, at.date(), letter in "RH", letter == "H", key=i))
    return made


# Worked by hand from the definition of the test:
# at a guess chance of 0.2 somebody who knows 9 of 10 is right 0.9 * 0.93 + 0.1 * 0.2 = 0.857 of the time, and
# somebody who knows half 0.5 * 0.93 + 0.5 * 0.2 = 0.565.
def test_a_weight_is_the_logarithm_of_the_ratio_of_chances():
    assert right_chance(0.9, 0.2) == pytest.approx(0.857)
    assert right_chance(0.5, 0.2) == pytest.approx(0.565)
    assert weight(True, 0.2) == pytest.approx(log(0.857 / 0.565))
    assert weight(False, 0.2) == pytest.approx(log(0.143 / 0.435))


def test_an_answer_that_can_be_guessed_is_worth_less():
    assert weight(True, 0.05) > weight(True, 0.2) > weight(True, 0.5) > 0
    assert weight(False, 0.05) < weight(False, 0.5) < 0


# By hand: at a guess chance of 0.25 a right answer is worth ln(0.862 / 0.59) = 0.379 and a miss
# ln(0.138 / 0.41) = -1.089. 3.0 / 0.379 = 7.9, so 8 answers; 4.4 / 0.379 = 11.6, so 12; five misses end at
# the floor of -3.0, and eight right answers bring that to 0.03; 8 right and 2 misses leave 0.86, below 1.5;
# 12 right (4.55) and 2 misses leave 2.37, which keeps ordinary knowledge and not what can hurt someone.
@pytest.mark.parametrize(
    ("pattern", "held", "held_where_it_can_hurt"),
    [
        ("", False, False),
        ("RRRR", False, False),
        ("R" * 7, False, False),
        ("R" * 8, True, False),
        ("R" * 11, True, False),
        ("R" * 12, True, True),
        ("W" * 5 + "R" * 8, False, False),
        ("R" * 8 + "W", True, False),
        ("R" * 8 + "WW", False, False),
        ("R" * 12 + "WW", True, False),
        ("H" * 20, False, False),
    ],
)
def test_pattern_of_first_tries(pattern, held, held_where_it_can_hurt):
    assert knowledge(tries(pattern)).held is held
    assert knowledge(tries(pattern), SAFETY).held is held_where_it_can_hurt


def test_one_long_day_is_not_enough():
    crammed = tries("R" * 30, per_day=30)
    assert not knowledge(crammed).held
    assert knowledge([*crammed, *tries("R", first_day=1, start=30)]).held
    two_days = tries("R" * 30, per_day=15)
    assert knowledge(two_days).held and not knowledge(two_days, SAFETY).held


def test_one_kind_of_question_is_not_enough_where_there_are_two():
    facts = {"x": ExerciseFacts(0.25, "number"), "y": ExerciseFacts(0.25, "order")}
    same = tries("R" * 12)
    assert not knowledge(same, exercises=facts, kinds=2).held
    last = START + timedelta(days=5)
    other = Try("y", "v", last, last.date(), True, key=99)
    assert knowledge([*same, other], exercises=facts, kinds=2).held


def test_the_same_variant_again_counts_neither_way():
    again = [Try("x", "v", START + timedelta(days=d), date(2026, 3, 2 + d), right=True) for d in range(20)]
    assert knowledge(again).evidence == pytest.approx(weight(True, 0.25))
    late_slip = [*tries("R" * 8), Try("x", "v0", START + timedelta(days=9), date(2026, 3, 11), right=False)]
    assert knowledge(late_slip).held


def test_the_same_variant_of_two_exercises_is_two_variants():
    pair = [Try(name, "v", START + timedelta(minutes=i), START.date(), True) for i, name in enumerate("ab")]
    assert knowledge(pair).first_tries == 2


def test_it_fades_and_then_is_shaky_and_a_few_answers_bring_it_back():
    once = tries("R" * 8)
    found = knowledge(once)
    assert found.held_until is not None
    for day, sure in ((found.held_until, "quite sure"), (found.held_until + timedelta(1), "shaky")):
        assert found.sure_on(day) == sure
    later = (found.held_until - START.date()).days + 30
    assert knowledge([*once, *tries("RRRRR", first_day=later, start=8)]).sure_on(
        START.date() + timedelta(days=later + 2)
    ) == "quite sure"  # fmt: skip


def test_half_of_the_sum_is_left_after_the_half_life():
    late = Try("x", "late", START + timedelta(HALF_LIFE_DAYS), START.date() + timedelta(HALF_LIFE_DAYS), True)
    before = knowledge(tries("RRRR")).evidence
    assert knowledge([*tries("RRRR"), late]).evidence == pytest.approx(before / 2 + weight(True, 0.25))


def test_old_rights_followed_by_misses_are_no_basis():
    """Right answers of 23 months ago, then twelve misses: not held, and said to be shaky."""
    old, now = tries("R" * 20), tries("W" * 12, first_day=700, start=20)
    found = knowledge([*old, *now])
    assert not found.held and found.sure_on(now[-1].day) == "shaky"
    assert knowledge(old).sure_on(now[0].day) == "shaky"


def test_words_for_how_sure():
    day = date(2026, 5, 1)
    assert [
        sure_on(day, None, None, 0),
        sure_on(day, None, None, 3),
        sure_on(day, day, day, 9),
        sure_on(day, None, day, 9),
    ] == ["not begun", "not enough yet", "quite sure", "shaky"]


@pytest.mark.slow
@given(PATTERN, st.randoms(), BOUNDS)
def test_order_given_does_not_matter(pattern, random, bounds):
    given_tries = tries(pattern)
    shuffled = given_tries[:]
    random.shuffle(shuffled)
    assert knowledge(shuffled, bounds) == knowledge(given_tries, bounds)


@given(PATTERN, BOUNDS)
def test_one_more_right_answer_never_takes_away_and_a_miss_never_adds(pattern, bounds):
    before = knowledge(tries(pattern), bounds)
    more = knowledge(tries(pattern + "R"), bounds)
    assert more.held or not before.held
    assert more.notches >= before.notches
    less = knowledge(tries(pattern + "W"), bounds)
    assert less.evidence <= before.evidence + 1e-12
    assert before.held or not less.held


@pytest.mark.slow
@given(PATTERN, BOUNDS)
def test_what_is_said_hangs_together(pattern, bounds):
    found = knowledge(tries(pattern), bounds)
    assert bounds.lowest <= found.evidence <= bounds.highest
    assert (found.notches == found.days_needed) == found.held == (found.still == 0)
    assert (found.tries_to_hold is None) == (found.first_held is None)
    assert found.held == (found.held_until is not None)
    assert len(found.counted) + len(found.missed) == sum(letter in "RW" for letter in pattern)


def test_what_was_seen_before_makes_a_right_answer_worth_less():
    """Lines of a pool come back, so the tenth question of an exercise is easier to guess than the first."""
    facts = ExerciseFacts(0.1, "match", (0.1, 0.2, 0.6, 0.9))
    found = [knowledge(tries("R" * count), exercises={"x": facts}).evidence for count in range(1, 11)]
    steps = [later - earlier for earlier, later in pairwise([0.0, *found])]
    assert steps[:8] == sorted(steps[:8], reverse=True)  # the last two are small: days between them fade more
    assert steps[0] == pytest.approx(weight(True, 0.1))
    assert steps[3] == pytest.approx(weight(True, 0.6), rel=0.01)
    assert max(steps[8:]) < 0.1 * steps[0]


def test_questions_of_another_exercise_are_not_seen_yet():
    facts = {name: ExerciseFacts(0.1, "match", (0.1, 0.2, 0.6, 0.9)) for name in "xy"}
    tried = tries("R" * 3)
    other = Try("y", "v", START + timedelta(days=2), date(2026, 3, 4), right=True, key=9)
    gained = knowledge([*tried, other], exercises=facts).evidence - knowledge(tried, exercises=facts).evidence
    assert gained == pytest.approx(weight(True, 0.1), rel=0.02)
