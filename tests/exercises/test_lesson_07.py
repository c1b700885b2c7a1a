"""What is special to lesson 7: sums of gas, doors of the plan, and conclusions that score nothing."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import pytest

from kit import exercises, rules
from kit.exercises.lesson_07.clean import ROOMS
from kit.exercises.lesson_07.gas_rule import gas_limit
from kit.exercises.lesson_07.safe import steady_log
from kit.marking import mark
from kit.process.physics import smoke
from kit.views.pictures.register import draw_picture, explorer_named

SEEDS = range(40)


def test_every_knowledge_criterion_of_its_steps_is_practised_twice():
    served = Counter(each for name in exercises.ids(7) for each in exercises.info(name).criteria)
    steps = {"CLN": 2, "REC": 4, "HAS": 3}
    for step, count in steps.items():
        for number in range(1, count + 1):
            assert served[f"{step}-K{number:02d}"] >= 2


def test_the_limits_are_those_of_the_directive():
    # Directive 2004/37/EC, Annex III, as amended by (EU) 2022/431: 20 ppm over 8 h, 100 ppm over 15 min.
    for name in ("ie", "uk"):
        assert [gas_limit(over, rules.load(name))[0] for over in ("8h", "15min")] == [20, 100]
    assert gas_limit("8h", rules.load("us-retail"))[0] == 50
    assert gas_limit("8h", rules.load("codex"))[1].startswith("Ireland, not your own")


def test_a_shift_of_steady_stretches_adds_up_by_hand():
    # (60 min × 48 ppm + 30 min × 90 ppm + 390 min × 4 ppm) ÷ 480 min = 14.875 ppm, worked on paper.
    time, level = steady_log([(60, 48), (30, 90), (390, 4)])
    assert smoke.exposure(time, level).eight_hour_ppm == pytest.approx(14.875, abs=0.005)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_worst_quarter_of_the_log_is_its_long_high_part(seed: int):
    question = exercises.question("read-the-gas-log", seed)
    data = question.picture.data
    levels = Counter()
    for (start, end), ppm in zip(
        zip(data["time_min"], data["time_min"][1:], strict=False), data["ppm"], strict=False
    ):
        levels[ppm] += end - start
    long_enough = [ppm for ppm, minutes in levels.items() if minutes >= 15]
    assert question.answer == pytest.approx(max(long_enough), abs=0.2)


@pytest.mark.parametrize("name", ["what-happened-today"])
@pytest.mark.parametrize("seed", SEEDS)
def test_an_unproven_batch_never_scores_as_going_on(name: str, seed: int):
    question = exercises.question(name, seed)
    wanted = question.answer
    outcome = mark(question, {**wanted, "decision": "go on"})
    if wanted["decision"] != "go on":
        assert outcome.score == 0
    else:
        assert outcome.score == question.of


@pytest.mark.parametrize("name", ["whose-decision", "clean-or-disinfect", "fit-for-food"])
@pytest.mark.parametrize("seed", range(12))
def test_a_dangerous_join_scores_nothing(name: str, seed: int):
    question = exercises.question(name, seed)
    assert question.kind.must
    for left in question.kind.must:
        for right in {each.key for each in question.kind.right} - {question.answer[left]}:
            assert mark(question, {**question.answer, left: right}).score == 0


@pytest.mark.parametrize("seed", range(12))
def test_going_back_in_before_it_was_measured_scores_nothing(seed: int):
    question = exercises.question("the-alarm-sounds", seed)
    leave, count, call, keep, back = question.answer
    assert mark(question, [leave, count, call, back, keep]).score == 0
    assert mark(question, [call, leave, count, keep, back]).score == 0


def test_the_doors_of_the_plan_lie_apart():
    for (_, (x1, y1)), (_, (x2, y2)) in combinations(ROOMS.items(), 2):
        assert abs(x1 - x2) > 0.12 or abs(y1 - y2) > 0.23


def test_every_door_is_asked_for_but_the_way_out_of_the_packs():
    asked = {exercises.question("zones-on-the-plan", seed).kind.targets[0].name for seed in range(60)}
    assert asked == set(ROOMS) - {"packs out"}


def test_the_plan_shows_its_sides_where_the_words_say():
    left = draw_picture("smokehouse-plan", {"flipped": False}).figure
    right = draw_picture("smokehouse-plan", {"flipped": True}).figure
    assert left.index("RAW SIDE") and left != right
    assert left.count("<circle") == right.count("<circle") == len(ROOMS)


@pytest.mark.parametrize(("minutes", "ppm"), [(0, 0), (5, 300), (120, 300), (120, 20), (30, 100)])
def test_the_explorer_says_the_same_as_the_sum(minutes: float, ppm: float):
    facts = (
        explorer_named("breathing-the-smoke").draw({"job_min": minutes, "job_ppm": ppm, "rest_ppm": 0}).facts
    )
    quarter = ppm * min(minutes, 15) / 15
    assert facts[0].startswith(f"Worst 15 min: {quarter:.0f} ppm")
    assert facts[0].endswith("broken." if quarter > 100 + 0.1 else "by this sum.")
    assert facts[1].startswith(f"Over 8 h: {ppm * minutes / 480:.0f} ppm")
