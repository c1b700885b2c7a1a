"""Which exercise is asked next: never one that memory answers, while another one still shows something."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.criteria.knowledge import UNMEASURED, ExerciseFacts, weight
from kit.criteria.worth_asking import WORTH_SHARE, worth_asking
from kit.exercises.catalogue import Catalogue

BANK = Catalogue()
CHANCE = st.floats(0.02, 1.0)
FACTS = st.builds(
    lambda first, later, kind: ExerciseFacts(first, kind, (first, *sorted(later))),
    CHANCE,
    st.lists(CHANCE, min_size=3, max_size=3),
    st.sampled_from(("number", "match", "several")),
)
SERVING = st.dictionaries(st.sampled_from("abcdef"), FACTS, min_size=1)
SEEN = st.dictionaries(st.sampled_from("abcdef"), st.integers(1, 20))


@given(SERVING, SEEN, st.sets(st.sampled_from(("number", "match", "several"))))
def test_something_is_always_worth_asking_and_the_best_is_among_it(serving, seen, right):
    found = worth_asking(serving, seen, kinds_right=right, kinds=2)
    worth = {name: weight(True, one.chance_after(seen.get(name, 0))) for name, one in serving.items()}
    assert max(serving, key=worth.__getitem__) in found
    assert set(serving) - set(seen) <= set(found)
    for name in set(serving) - set(found):
        assert worth[name] < WORTH_SHARE * max(worth.values())
        assert len(right) != 1 or serving[name].kind in right


def facts_of(criterion):
    return {name: BANK.facts_of.get(name, UNMEASURED) for name in BANK.exercises_for[criterion]}


@pytest.mark.parametrize("criterion", BANK.exercises_for)
def test_no_criterion_comes_down_to_what_memory_answers(criterion):
    """Forty questions as the round asks them: a right answer to the fortieth is still worth something.

    By hand: at a guess chance of 0.52 a right answer moves the sum by ln(0.889 / 0.725) = 0.204.
    """
    facts, seen, last = facts_of(criterion), Counter(), {}
    for number in range(40):
        asked = min(worth_asking(facts, seen), key=lambda name: last.get(name, -1))
        chance = facts[asked].chance_after(seen[asked])
        seen[asked] += 1
        last[asked] = number
    assert weight(True, chance) >= 0.2, (criterion, asked, chance)
