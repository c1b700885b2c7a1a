"""The knowledge rule, as asked for: 2 variants on 2 local days; 3, and no later miss, if safety-critical."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.criteria.knowledge import Try, knowledge

START = datetime(2026, 3, 2, 9, tzinfo=UTC)


def tries(pattern: str, *, per_day: int = 1) -> list[Try]:
    """R right, W wrong, H right with help; each its own variant, ``per_day`` to a day."""
    made = []
    for i, letter in enumerate(pattern):
        at = START + timedelta(days=i // per_day, minutes=i)
        made.append(Try("x", f"v{i}", at, at.date(), letter in "RH", letter == "H", key=i))
    return made


@pytest.mark.parametrize(
    ("pattern", "held", "held_where_it_can_hurt"),
    [
        ("", False, False),
        ("R", False, False),
        ("RR", True, False),
        ("RRR", True, True),
        ("RWR", True, False),
        ("RRRW", True, False),
        ("RRRWRR", True, False),
        ("RRRWRRR", True, True),
        ("WRRR", True, True),
        ("HHHH", False, False),
        ("RHHR", True, False),
    ],
)
def test_pattern_of_first_tries(pattern, held, held_where_it_can_hurt):
    assert knowledge(tries(pattern), safety_critical=False).held is held
    assert knowledge(tries(pattern), safety_critical=True).held is held_where_it_can_hurt


def test_two_variants_on_one_day_are_one_day():
    found = knowledge(tries("RR", per_day=2), safety_critical=False)
    assert (found.held, found.days_right) == (False, 1)


def test_the_same_variant_again_counts_neither_way():
    again = [Try("x", "v", START + timedelta(days=d), date(2026, 3, 2 + d), right=True) for d in range(4)]
    assert knowledge(again, safety_critical=False).days_right == 1
    late_slip = [*tries("RRR"), Try("x", "v0", START + timedelta(days=9), date(2026, 3, 11), right=False)]
    assert knowledge(late_slip, safety_critical=True).held


def test_the_same_fingerprint_in_two_exercises_is_two_variants():
    pair = [
        Try(e, "v", START + timedelta(days=d), date(2026, 3, 2 + d), right=True) for d, e in enumerate("ab")
    ]
    assert knowledge(pair, safety_critical=False).held


@given(st.text("RWH", max_size=12), st.randoms(), st.booleans())
def test_order_given_does_not_matter(pattern, random, critical):
    given_tries = tries(pattern)
    shuffled = given_tries[:]
    random.shuffle(shuffled)
    assert knowledge(shuffled, safety_critical=critical) == knowledge(given_tries, safety_critical=critical)


@given(st.text("RWH", max_size=12), st.booleans())
def test_one_more_right_day_never_takes_away(pattern, critical):
    before = knowledge(tries(pattern), safety_critical=critical)
    after = knowledge(tries(pattern + "R"), safety_critical=critical)
    assert after.days_right == before.days_right + 1
    assert after.held or not before.held
