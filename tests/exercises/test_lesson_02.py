"""What is special to lesson 2: the square of the thickness, limits, criteria practised twice."""

from __future__ import annotations

from collections import Counter

import pytest

from kit import exercises
from kit.marking import mark
from kit.process.steps import cure, fillet
from kit.rules import load


def test_every_criterion_is_practised_twice():
    served = Counter(each for name in exercises.ids(2) for each in exercises.info(name).criteria)
    for criterion in (*(f"CUR-K0{n}" for n in range(1, 7)), "RIN-K01"):
        assert served[criterion] >= 2, criterion


def test_the_square_of_the_thickness_agrees_with_the_simulated_cure():
    thin, thick = (cure.cure_hours(fillet.raw("char, farmed", mm, 180), 2.5).middle for mm in (12, 24))
    assert thick / thin == pytest.approx(4, rel=0.05)


def test_going_on_without_proof_scores_nothing():
    limit = next(r.minimum for r in load("us-processor").rules if r.id == "us-processor-salt-vacuum")
    seen = set()
    for seed in range(30):
        question = exercises.question("salt-recommendation", seed, "us-processor")
        assert f"at least {limit:g} %" in question.text and "from memory: confirm" in question.text
        assert "The card is made up" in exercises.question("salt-recommendation", seed, "ie").text
        right = question.answer["decision"]
        seen.add(right)
        if right != "go on":
            outcome = mark(question, {"decision": "go on", "reason": question.answer["reason"]})
            assert outcome.score == 0
    assert seen == {"go on", "hold"}


def test_rejecting_is_not_as_good_as_holding_when_only_a_measurement_is_missing():
    found = 0
    for seed in range(40):
        question = exercises.question("salt-recommendation", seed)
        if question.answer["decision"] != "hold":
            continue
        rejected = mark(question, {**question.answer, "decision": "reject"}).score
        if "thickest loin not measured" in question.text:
            found += 1
            assert rejected < question.of
        else:
            assert rejected == question.of
    assert found > 0
