"""Lesson 3: its truths come from the drying model, and a missed limit never goes on."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from kit import exercises
from kit.exercises.engine.fish import FARMED
from kit.exercises.lesson_03.air import _GENTLE_AIR, _HARD_AIR, _WARM_DAMP, CRUST_H, dried
from kit.exercises.lesson_03.pellicle import LIMIT_C, LIMIT_MIN, _warm_twice
from kit.marking import mark
from kit.process.steps.pellicle import Draught, minutes_above, wet_surface
from kit.views.explorers.pellicle import drying_air, face
from kit.views.pictures.register import explorer_named

SEEDS = range(12)


@pytest.mark.slow
def test_its_criteria_are_each_practised():
    served = Counter(each for name in exercises.ids(3) for each in exercises.info(name).criteria)
    assert min(served[each] for each in ("PEL-K01", "PEL-K02", "WDS-K04", "REC-K01")) >= 2
    prepared = {each for name in exercises.ids(3) for each in exercises.info(name).prepares_for}
    assert prepared == {f"PEL-P0{place}" for place in range(1, 6)}
    kinds = {exercises.question(name, 1).kind_name for name in exercises.ids(3)}
    assert len(kinds) >= 6


@pytest.mark.slow
@pytest.mark.parametrize("fish", FARMED)
@pytest.mark.parametrize("thickness_mm", [22.0, 26.0])
def test_only_dry_warm_fast_air_makes_a_crust(fish: str, thickness_mm: float):
    for air in _HARD_AIR:
        assert dried(fish, thickness_mm, *air, CRUST_H).case_hardened
    for air in (*_GENTLE_AIR, *_WARM_DAMP):
        assert not dried(fish, thickness_mm, *air, CRUST_H).case_hardened


def test_in_the_model_one_of_the_three_alone_makes_no_crust_in_a_night():
    dry, warm, fast = _HARD_AIR[0]
    mild = (4.0, 75.0, 1.0)
    for alone in ((dry, *mild[1:]), (mild[0], warm, mild[2]), (*mild[:2], fast)):
        assert not dried("char, farmed", 22.0, *alone, CRUST_H).case_hardened


@pytest.mark.slow
def test_humidity_comes_before_air_speed():
    for seed in SEEDS:
        question = exercises.question("what-changes-most", seed)
        right = next(each.text for each in question.kind.options if each.key == question.answer)
        assert "humidity down by 10 points" in right


def test_the_lesson_says_what_the_model_says_of_ten_points_and_of_twice_the_speed():
    loss = {rh: dried("char, farmed", 22.0, 3.0, rh, 1.0, 10.0).loss_pct for rh in (70.0, 80.0, 90.0)}
    assert 1.5 < loss[70.0] / loss[80.0] < 2.2
    assert loss[80.0] / loss[90.0] > 2
    twice = dried("char, farmed", 22.0, 3.0, 80.0, 2.0, 10.0).loss_pct / loss[80.0]
    assert twice == pytest.approx(np.sqrt(2), abs=0.06)


@pytest.mark.slow
def test_the_wet_face_lies_between_its_wet_bulb_and_its_room():
    for seed in SEEDS:
        question = exercises.question("colder-than-the-room", seed)
        data = question.picture.data
        for curve in data["curves"]:
            room = float(curve["name"].split()[1])
            for rh, value in zip(data["rh_pct"], curve["values"], strict=True):
                settled = wet_surface(Draught(room, rh, 1.0))
                assert settled.wet_bulb_c < value < room
                assert value == pytest.approx(settled.temp_c, abs=0.001)


def test_the_warm_minutes_are_those_of_the_ramps_worked_by_hand():
    # From 4 to 12 °C in 30 min: above 8 °C for half of each ramp, and for all of the flat part.
    assert minutes_above(_warm_twice(15, 60, 12.0), LIMIT_C) == pytest.approx(15 + 60 + 4 * 15)
    # From 4 to 14 °C in 30 min: above 8 °C for 6 of 10 parts of each ramp.
    assert minutes_above(_warm_twice(30, 90, 14.0), LIMIT_C) == pytest.approx(30 + 90 + 4 * 18)


def test_a_missed_or_unproven_limit_never_goes_on():
    seen = set()
    for seed in range(30):
        question = exercises.question("stop-or-go-on", seed)
        decision = question.answer["decision"]
        seen.add(decision)
        if decision != "go on":
            assert mark(question, {**question.answer, "decision": "go on"}).score == 0
            assert mark(question, {**question.answer, "decision": "reject"}).score == question.of
        else:
            assert f"at most {LIMIT_MIN:g}" in question.text or f"allows {LIMIT_MIN:g} min" in question.text
    assert seen == {"go on", "hold"}


def test_a_perfect_face_that_was_warm_too_long_is_not_ready():
    for seed in SEEDS:
        question = exercises.question("ready-for-the-kiln", seed)
        for option in question.kind.options:
            loss, face, warm = (part.strip() for part in option.text.split(";"))
            minutes = (
                0.0 if warm == "never too warm" else float(warm.removeprefix("too warm for ").split()[0])
            )
            ready = 1.0 <= float(loss.split()[1]) <= 2.5 and "sticky" in face and minutes <= LIMIT_MIN
            assert ready == (option.key in question.answer), option.text
            if minutes > LIMIT_MIN:
                assert mark(question, [*question.answer, option.key]).score == 0


def test_the_explorer_tells_wet_pellicle_and_crust_apart():
    assert face(dried("char, farmed", 22.0, 4.0, 90.0, 0.5, 1.0)) == "still wet"
    assert face(dried("char, farmed", 22.0, 4.0, 75.0, 1.0, 10.0)) == "the pellicle is set"
    assert face(dried("char, farmed", 22.0, 30.0, 20.0, 5.0, 4.0)).endswith("a crust begins")
    assert face(dried("char, farmed", 22.0, 30.0, 20.0, 5.0, 16.0)) == "a crust, with a wet inside"


@pytest.mark.parametrize("air_c", [4.0, 30.0])
@pytest.mark.parametrize("speed_m_s", [0.5, 5.0])
@pytest.mark.parametrize("rh_pct", [20.0, 90.0])
def test_the_explorer_draws_in_every_corner_and_its_text_holds_its_numbers(
    rh_pct: float, speed_m_s: float, air_c: float
):
    settings = explorer_named("drying-air").settle({"rh_pct": rh_pct, "speed_m_s": speed_m_s, "air_c": air_c})
    drawing = drying_air(settings)
    assert all(fact in drawing.text for fact in drawing.facts)
    loss = dried("char, farmed", 22.0, air_c, rh_pct, speed_m_s, 10.0).loss_pct
    assert drawing.facts[0].startswith("Weight loss" if loss > -0.05 else "Water settles")
    assert f"{abs(loss):.1f} %" in drawing.facts[0]
