"""Lesson 1: its truths worked a second way, its limits those of the rules, and poor fish never goes on."""

from __future__ import annotations

import re

import pytest

from kit import exercises
from kit.marking import mark

SEEDS = range(20)


def numbers(text: str) -> list[float]:
    return [float(each) for each in re.findall(r"\d+(?:\.\d+)?", text)]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_yield_is_what_is_left_over_what_there_was(seed: int):
    question = exercises.question("yield-of-the-trim", seed)
    before, after = numbers(question.text)[:2]
    assert question.answer == pytest.approx(100 * after / before)
    assert mark(question, f"{100 - question.answer:.1f}").slip == "gave the loss"


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_bought_gives_the_portions_back(seed: int):
    question = exercises.question("how-much-to-buy", seed)
    portions, each_g, kept_pct = numbers(question.text)[:3]
    assert question.answer * kept_pct / 100 == pytest.approx(portions * each_g / 1000)
    assert mark(question, f"{question.answer * 1000:.0f} g").score == question.of


@pytest.mark.parametrize("seed", SEEDS)
def test_bones_left_are_those_neither_machine_nor_finger_took(seed: int):
    question = exercises.question("bones-that-are-left", seed)
    fillets, count, pull, find = numbers(question.text)[:4]
    assert question.answer == pytest.approx(fillets * count * (1 - pull / 100) * (1 - find / 100))


@pytest.mark.parametrize("seed", SEEDS)
def test_none_found_leaves_a_share_that_would_hide_1_time_in_20(seed: int):
    question = exercises.question("none-found-is-not-none", seed)
    n = int(numbers(question.text)[0])
    said = {each.text: each.key in question.answer for each in question.kind.options}
    for text, true in said.items():
        if text.startswith("Up to about"):
            assert true and (1 - numbers(text)[0] / 100) ** n == pytest.approx(0.05, abs=0.02)
        if "such samples are clean" in text:
            share, clean = numbers(text)[:2]
            assert true and 100 * (1 - share / 100) ** n == pytest.approx(clean, abs=0.51)
    assert not any(true for text, true in said.items() if "are now free of bones" in text)


@pytest.mark.parametrize("name", exercises.ids(1))
def test_every_criterion_it_serves_is_of_its_own_two_steps(name: str):
    info = exercises.info(name)
    assert all(each.startswith(("INT-K", "TPB-K")) for each in info.criteria)
    assert all(each.startswith(("INT-P", "TPB-P")) for each in info.prepares_for)


def test_wild_fish_without_a_record_never_goes_on():
    held = 0
    for seed in SEEDS:
        question = exercises.question("wild-fish-papers", seed)
        if question.kind_name != "recommend" or question.answer["decision"] == "go on":
            continue
        held += 1
        assert mark(question, {**question.answer, "decision": "go on"}).score == 0
    assert held > 0


@pytest.mark.parametrize("seed", SEEDS)
def test_the_card_counts_long_or_thick_bones_and_asks_for_one_kilo(seed: int):
    question = exercises.question("count-by-the-card", seed)
    sizes = re.findall(r"- ([\d.]+) mm long, ([\d.]+) mm thick", question.text)
    long_mm, thick_mm = (
        float(re.search(rf"([\d.]+) mm or {word}", question.text)[1]) for word in ("longer", "thicker")
    )
    kilos = float(re.search(r"through ([\d.]+) kg", question.text)[1])
    counted = sum(float(length) >= long_mm or float(thick) >= thick_mm for length, thick in sizes)
    assert 0 < counted < len(sizes)
    assert question.answer == pytest.approx(counted / kilos)


def test_how_a_limit_for_bones_is_set_is_really_asked():
    assert [name for name in exercises.ids(1) if "bone-limit" in name or "by-the-card" in name]
    for seed in SEEDS:
        question = exercises.question("how-a-bone-limit-is-set", seed)
        right = [each.text for each in question.kind.options if each.key in question.answer]
        assert len(right) == 3
        assert any("limit" in text or "competent" in text or "weighed" in text for text in right)
        assert any("mouth" in text or "guest expects" in text for text in right)
