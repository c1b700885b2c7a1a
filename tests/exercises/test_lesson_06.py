"""Lesson 6: its limits are those of the rules, its cases are judged by them, and a miss never goes on."""

from __future__ import annotations

import pytest

from kit import exercises
from kit.exercises.lesson_06 import chilling, keep
from kit.marking import mark
from kit.rules import load


def test_its_limits_are_seen_rules():
    used = {
        "ie": ("ie-chill-150", "ie-store-3", "ie-life-5"),
        "uk": ("uk-chill-start-30", "uk-chill-90", "uk-vacuum-10-days", "uk-vacuum-salt"),
        "us-retail": ("us-retail-cool-57-21", "us-retail-life-7"),
    }
    assert all(load(profile)[rule].seen for profile, names in used.items() for rule in names)
    assert load("ie")["ie-chill-150"].minutes == chilling.IE_MIN
    assert load("uk")["uk-vacuum-10-days"].maximum == keep.TEN_DAYS


@pytest.mark.parametrize("mm", [20.0, 24.0])
@pytest.mark.parametrize(("case", "outcome"), [("met", "met"), ("slow", "not met"), ("gap", "cannot tell")])
def test_a_drawn_record_is_judged_as_the_question_says(case: str, outcome: str, mm: float):
    assert chilling.verdict(case, mm) == outcome


@pytest.mark.parametrize("name", ["fish-after-the-chill", "after-a-warm-night"])
def test_a_missed_or_unproven_limit_never_goes_on(name: str):
    held = 0
    for seed in range(20):
        question = exercises.question(name, seed)
        if question.answer["decision"] != "go on":
            held += 1
            assert mark(question, {**question.answer, "decision": "go on"}).score == 0
            assert mark(question, {**question.answer, "decision": "reject"}).score == question.of
    assert held > 5


def test_a_life_longer_than_the_shortest_limit_scores_nothing():
    for seed in range(10):
        question = exercises.question("which-life-wins", seed)
        assert mark(question, str(question.answer + 1)).score == 0
