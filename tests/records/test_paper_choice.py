"""Papers of one plan are equally hard by what was measured; with few measures, or none, nothing breaks."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from kit.basics.errors import OutOfRange
from kit.exercises.catalogue import Catalogue
from kit.files.paper_plan import PaperPlan, fitting, plan_of
from kit.records.competence.paper_choice import RULE, choose, difficulty_of

BANK = Catalogue()


@pytest.fixture(scope="module")
def plan() -> PaperPlan:
    """40 tasks over the whole work."""
    wanted: dict[str, int] = {}
    for turn in (1, 2, 3):
        for name in BANK.exercises_for:
            if sum(wanted.values()) < 40 and len(fitting(BANK, name)) >= turn:
                wanted[name] = turn
    return PaperPlan(1, wanted, 120)


@pytest.fixture(scope="module")
def facility() -> dict[str, float]:
    random = Random(4)
    return {name: random.uniform(0.25, 0.95) for name in BANK.ids()}


def expected(chosen, facility) -> float:
    return sum(facility[name] for _, name in chosen)


@pytest.mark.slow
def test_the_expected_points_of_parallel_papers_lie_within_two_of_forty(plan, facility):
    by_rule = [expected(choose(BANK, plan, (), facility, Random(n)), facility) for n in range(120)]
    by_chance = [expected(choose(BANK, plan, (), {}, Random(n)), facility) for n in range(120)]
    assert plan.count == 40
    assert max(by_rule) - min(by_rule) <= 2.0
    assert max(by_chance) - min(by_chance) > 4.0  # what the rule is there against
    assert np.mean(by_rule) == pytest.approx(np.mean(by_chance), abs=0.8)  # no easier and no harder


def test_it_still_asks_different_exercises_from_one_paper_to_the_next(plan, facility):
    asked = {name for n in range(40) for _, name in choose(BANK, plan, (), facility, Random(n))}
    may_come = {name for criterion in plan.tasks for name in fitting(BANK, criterion)}
    assert len(asked) > 0.75 * len(may_come)


def test_what_the_plan_asks_comes_before_difficulty(plan, facility):
    first = choose(BANK, plan, (), facility, Random(1))
    again = choose(BANK, plan, [name for _, name in first], facility, Random(2))
    assert [criterion for criterion, _ in again] == [criterion for criterion, _ in first]
    old = {name for _, name in first}
    for criterion, count in plan.tasks.items():
        new = {name for one, name in again if one == criterion}
        others = set(fitting(BANK, criterion)) - old
        assert len(new) == count and len(new & old) == max(0, count - len(others))


def test_an_exercise_that_was_not_measured_takes_the_mean_of_its_kind_then_of_all():
    numbers = [name for name in BANK.ids() if BANK.facts_of[name].kind == "number"]
    order = next(name for name in BANK.ids() if BANK.facts_of[name].kind == "order")
    one = next(name for name in BANK.ids() if BANK.facts_of[name].kind == "one")
    known = {numbers[0]: 0.5, numbers[1]: 0.7, one: 0.9}
    found = difficulty_of(BANK, [numbers[0], numbers[2], order], known)
    assert found is not None and (found.measured, found.rule) == (1, RULE)
    assert found.expected == pytest.approx(0.5 + 0.6 + 0.7)  # measured, mean of numbers, mean of all
    assert difficulty_of(BANK, [order], {}) is None
    assert difficulty_of(BANK, [order], known) is None  # nothing of the paper itself was measured


def test_a_facility_that_is_no_share_is_refused():
    with pytest.raises(OutOfRange, match="facility"):
        choose(BANK, plan_of(BANK, ["rinse"]), (), {"hold-from-the-list": 80.0})
