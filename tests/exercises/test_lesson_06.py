"""Lesson 6: its limits are those of the rules, its cases are judged by them, and a miss never goes on."""

from __future__ import annotations

import re

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
        late = float(re.search(r"packed (\d+) day", question.text)[1])  # type: ignore[index]
        limits = {
            each[1]: float(each[2]) for each in re.finditer(r"- ([^:\n]+): .*?(\d+) days", question.text)
        }
        germs = limits["Listeria tests"] - late
        assert question.answer == min(germs, limits["The rule"], limits["Taste"])


def test_a_life_is_judged_by_the_days_of_the_text_that_it_names():
    days = {"Irish guide": 5, "United Kingdom guide": 5, "United Kingdom, vacuum": 10, "United States": 7}
    seen = set()
    for seed in range(40):
        question = exercises.question("where-the-days-come-from", seed)
        right = {each.key: each.text for each in question.kind.right}
        for line in question.kind.left:
            said, text = line.text.split(" days. ")
            limit = next((most for name, most in days.items() if text.startswith(name)), None)
            truth = right[question.answer[line.key]]
            seen.add((limit, truth))
            if limit is None:
                assert truth == "No text stands behind it"
            else:
                assert (truth == "Its text allows it") == (float(said) <= limit)
    assert len(seen) >= 7


def test_each_clock_starts_at_its_own_line_of_the_log():
    starts = {"Ireland": "out of", "United Kingdom: into": "out of", "United Kingdom: then": "into the"}
    for seed in range(30):
        question = exercises.question("which-clock-starts", seed)
        told = re.search(r"batch: (.*?)\.", question.text)[1]  # type: ignore[index]
        log = {line[6:]: line[:5] for line in told.split("; ")}
        right = {each.key: each.text for each in question.kind.right}
        for line in question.kind.left:
            start = next((how for rule, how in starts.items() if line.text.startswith(rule)), "core at 57")
            at = next(clock for what, clock in log.items() if what.startswith(start))
            assert right[question.answer[line.key]] == at
