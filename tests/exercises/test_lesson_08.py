"""Lesson 8: the days behind its questions are those of the science, and safety comes before quality."""

from __future__ import annotations

import pytest

from kit import exercises
from kit.exercises.engine.kitchen_rules import numbered
from kit.exercises.lesson_08.days import CHILL_C, CHILL_MIN, HOLD_MIN, LIMIT_C, record
from kit.exercises.lesson_08.diagnose import _LOOK_AT
from kit.exercises.lesson_08.recommend import PLOT_LEFT, PLOT_RIGHT
from kit.marking import mark
from kit.process.faults import found
from kit.rules import PROFILES, judge_rule, load
from kit.views.pictures import day as picture


@pytest.mark.parametrize("name", PROFILES)
def test_the_made_up_card_is_no_looser_than_any_rule_and_no_countrys_own(name: str):
    values = {"core_temp_c": LIMIT_C, "hold_min": HOLD_MIN}
    for rule in numbered(load(name).answering("cook")):
        found = judge_rule(values, rule, probe_error_c=0)
        assert found.outcome == "met" or (rule.equal and "equal treatment" in found.why), rule.id
        assert all(row[:2] != (LIMIT_C, HOLD_MIN) for row in rule.holds)
    for rule in numbered(load(name).answering("chill")):
        if rule.maximum is not None and rule.clock == "door":
            assert rule.maximum >= CHILL_C and (rule.minutes or 0) > CHILL_MIN, rule.id


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(_LOOK_AT))
def test_a_drawn_fault_can_be_told_from_the_others(name: str):
    for fish in ("char, farmed", "trout, farmed"):
        for mm in (22.0, 26.0, 30.0):
            assert found(record(fish, mm, (name,))) == (name,)
            assert found(record(fish, mm)) == ()


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_a_missed_limit_scores_nothing_however_good_the_fish(seed: int):
    question = exercises.question("run-the-batch", seed)
    assert mark(question, question.answer).score == question.of
    for change in ({"hold_min": 20}, {"wait_min": 150}):
        assert mark(question, {**question.answer, **change}).score == 0
    salty = mark(question, {**question.answer, "cure_h": 16})
    assert 0 < salty.score < question.of


@pytest.mark.slow
def test_a_missed_limit_never_goes_on():
    for seed in range(20):
        question = exercises.question("what-do-you-recommend", seed)
        if question.answer["decision"] != "go on":
            assert mark(question, {**question.answer, "decision": "go on"}).score == 0


def test_places_are_marked_by_the_axis_the_picture_draws():
    assert (PLOT_LEFT, PLOT_RIGHT) == (picture.LEFT, picture.RIGHT)
