"""What is special to lesson 0: probe checks against their rule, and conclusions that score nothing."""

from __future__ import annotations

import pytest

from kit import exercises
from kit.exercises.lesson_00.probe import GLASS, ice_limits
from kit.marking import mark
from kit.views.pictures.register import explorer_named


def test_the_limits_in_ice_are_those_of_the_page():
    # Centre for Food Safety, Hong Kong, Food thermometers: −1 to +1 °C in half ice, half iced water.
    assert ice_limits() == (-1, 1)


@pytest.mark.parametrize("seed", range(30))
def test_a_probe_is_used_only_inside_its_limits(seed: int):
    question = exercises.question("ice-check", seed)
    shown = float(question.text.split("shows ")[1].split(" °C")[0].replace("−", "-"))
    truth = next(each.text for each in question.kind.options if each.key == question.answer)
    if "stands still" in question.text:
        assert truth.endswith("use the probe") == (-1 <= shown <= 1)
        assert "take the probe out" in truth or -1 <= shown <= 1
    else:
        assert truth.startswith("Stir, keep the tip in the ice")


@pytest.mark.parametrize("seed", range(30))
def test_a_batch_whose_probe_was_not_proven_never_goes_on(seed: int):
    question = exercises.question("can-the-log-be-trusted", seed)
    if question.answer["decision"] != "go on":
        assert mark(question, {**question.answer, "decision": "go on"}).score == 0


@pytest.mark.parametrize("seed", range(12))
def test_a_danger_to_people_answered_wrongly_scores_nothing(seed: int):
    question = exercises.question("first-day", seed)
    for left in question.kind.must:
        for right in {each.key for each in question.kind.right} - {question.answer[left]}:
            assert mark(question, {**question.answer, left: right}).score == 0


@pytest.mark.parametrize(("height", "boils"), [(0, 100.0), (1500, 95.0), (2500, 91.7)])
def test_the_explorer_finds_a_true_probe_right_at_any_height(height: float, boils: float):
    # Boiling points of water in the standard atmosphere as CoolProp gives them, to 0.1 °C.
    facts = explorer_named("boiling-and-height").draw({"altitude_m": height, "shown_c": boils}).facts
    off = facts[0].split(": ")[1]
    assert off == "just right." or off.startswith("0.1 °C")
    assert facts[1].startswith("Within")


def test_packed_warm_scores_nothing():
    packed = 0
    for seed in range(20):
        question = exercises.question("order-of-the-day", seed)
        slip = next((each for each in question.slips if each.name == "packed warm"), None)
        packed += slip is not None
        assert slip is None or mark(question, slip.value).score == 0
    assert packed > 5


def test_the_tip_and_its_traps_lie_apart():
    x, y, rx, ry = GLASS["in the ice"]
    for name, (other_x, other_y, other_rx, other_ry) in GLASS.items():
        if name != "in the ice":
            assert abs(x - other_x) >= rx + other_rx - 1e-9 or abs(y - other_y) >= ry + other_ry - 1e-9
