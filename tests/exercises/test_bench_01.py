"""The inspection bench: its fillets, what a fingertip feels there, and how a look is scored."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from statistics import mean, stdev

import pytest
from scipy.stats import binomtest

from kit.basics.errors import BadData, OutOfRange
from kit.exercises.lesson_01 import bench as bench

PULL, LEAVE = bench.FilletInspection(((0.9, 0.9),), True), bench.FilletInspection((), False)
BONE = bench.Spot(80.0, 0.0, 0.8)
BONY = bench.BenchFillet("Sea trout", 300, True, (BONE,), (), 1)
CLEAN = replace(BONY, bones=())


def off(fillet: bench.BenchFillet, mm: float) -> bench.Point:
    """Return a place that many mm towards the tail from the first bone."""
    spot = fillet.bones[0]
    return fillet.on_board(replace(spot, along_mm=spot.along_mm + mm))


def test_a_seed_fixes_a_run_and_every_touch_of_it():
    assert bench.draw_run(5) == bench.draw_run(5) != bench.draw_run(6)
    assert bench.bump(BONY, (0.4, 0.4), 3) == bench.bump(BONY, (0.4, 0.4), 3)
    assert len({bench.bump(BONY, off(BONY, 3.0), touch) for touch in range(20)}) > 5


@pytest.mark.parametrize("seed", range(40))
def test_a_run_has_both_kinds_and_its_bones_lie_on_the_fillet_and_apart(seed: int):
    run = bench.draw_run(seed)
    assert len(run) == 10
    assert 4 <= sum(bool(each.bones) for each in run) <= 6
    for fillet in run:
        spots = [*fillet.bones, *fillet.folds]
        assert len(fillet.bones) <= 3
        for spot in spots:
            assert 0.11 <= spot.along_mm / fillet.length_mm <= 0.53
            x, y = fillet.on_board(spot)
            assert 0.05 < x < 0.95 and 0.3 < y < 0.65
            assert x < 0.6 if fillet.head_left else x > 0.4
        places = sorted(spot.along_mm for spot in spots)
        assert all(b - a >= 2 * bench.REACH_MM for a, b in pairwise(places))


def test_runs_show_several_fish_sizes_and_sides():
    fillets = [each for seed in range(5) for each in bench.draw_run(seed)]
    assert {each.fish for each in fillets} == set(bench.FISH)
    assert len({each.length_mm for each in fillets}) >= 6
    assert {each.head_left for each in fillets} == {True, False}


def test_the_bump_grows_near_a_bone_and_carries_noise():
    felt = {mm: [bench.bump(BONY, off(BONY, mm), touch) for touch in range(200)] for mm in (0, 4, 8, 30)}
    means = [mean(felt[mm]) for mm in (0, 4, 8, 30)]
    assert means == sorted(means, reverse=True)
    assert means[0] == pytest.approx(BONE.height, abs=0.03)
    assert stdev(felt[4]) == pytest.approx(bench.TOUCH_NOISE, rel=0.25)
    assert all(0 <= each <= 1 for values in felt.values() for each in values)


def test_a_fillet_turned_round_holds_the_same_bones_mirrored():
    turned = bench.turned(BONY)
    (x, y), (u, v) = BONY.on_board(BONE), turned.on_board(BONE)
    assert (u, v) == (pytest.approx(1 - x), y)
    assert turned.bones == BONY.bones


@pytest.mark.parametrize("seed", range(20))
def test_the_second_look_meets_every_fillet_once_in_another_order(seed: int):
    order = bench.blind_order(seed)
    assert sorted(order) == list(range(10)) and list(order) != list(range(10))


def test_a_mark_finds_a_bone_within_reach_only():
    near = bench.score(BONY, bench.FilletInspection((off(BONY, bench.REACH_MM - 0.1),), True))
    far = bench.score(BONY, bench.FilletInspection((off(BONY, bench.REACH_MM + 0.1),), True))
    assert (len(near.found), len(near.missed), len(near.false_alarms)) == (1, 0, 0)
    assert (len(far.found), len(far.missed), len(far.false_alarms)) == (0, 1, 1)


def test_a_second_mark_on_one_bone_counts_for_nothing():
    twice = bench.score(BONY, bench.FilletInspection((off(BONY, 1.0), off(BONY, -1.0)), True))
    assert (len(twice.found), len(twice.false_alarms)) == (1, 0)


def test_a_report_counts_fillets_and_bones_and_gives_ranges_checked_by_scipy():
    fillets = [BONY] * 5 + [CLEAN] * 5
    hit = bench.FilletInspection((off(BONY, 0.0),), True)
    told = bench.report(fillets, [hit, hit, hit, hit, LEAVE, PULL, LEAVE, LEAVE, LEAVE, LEAVE])
    assert (told.hits, told.misses, told.false_alarms, told.correct_rejections) == (4, 1, 1, 4)
    assert (told.bones_found, told.bones_in_all, told.marks_without_bone) == (4, 5, 1)
    # z(0.8) = 0.8416 in the normal table; d' is z(hit rate) - z(false alarm rate).
    assert told.detection.d_prime == pytest.approx(2 * 0.8416, abs=1e-3)
    ends = binomtest(4, 5).proportion_ci(0.95, method="exact")
    assert (told.hit_interval.low, told.hit_interval.high) == pytest.approx((ends.low, ends.high))


def test_a_fillet_pulled_for_the_wrong_place_is_a_hit_but_its_bone_stays_missed():
    told = bench.report([BONY, CLEAN], [PULL, LEAVE])
    assert (told.hits, told.bones_found, told.marks_without_bone) == (1, 0, 1)


def test_agreement_is_none_beyond_luck_when_every_call_was_the_same():
    assert bench.agreement([LEAVE] * 10, [LEAVE] * 10) == bench.Agreement(10, 10, None)
    assert bench.agreement([LEAVE, PULL], [PULL, LEAVE]).kappa == pytest.approx(-1.0)
    # 20 yes-yes, 5 yes-no, 10 no-yes, 15 no-no: observed 0.7, by chance 0.5, so kappa is 0.4.
    first = [PULL] * 25 + [LEAVE] * 25
    second = [PULL] * 20 + [LEAVE] * 5 + [PULL] * 10 + [LEAVE] * 15
    assert bench.agreement(first, second).kappa == pytest.approx(0.4)


@pytest.mark.parametrize(
    "at", [None, "ab", [0.5], [0.5, "0.5"], [True, 0.5], [1.2, 0.5], [float("nan"), 0.5]]
)
def test_a_place_that_makes_no_sense_is_refused(at: object):
    with pytest.raises(BadData):
        bench.point(at)


@pytest.mark.parametrize(
    ("marks", "pull", "words"),
    [
        ([], True, "before you pull"),
        ([[0.5, 0.5]], False, "take the mark back"),
        ([[0.5, 0.5]] * 13, True, "12"),
    ],
)
def test_a_call_must_fit_its_marks(marks: list[list[float]], pull: bool, words: str):
    with pytest.raises(BadData, match=words):
        bench.look(marks, pull)


def test_a_run_too_small_or_looks_that_do_not_fit_are_refused():
    with pytest.raises(OutOfRange):
        bench.draw_run(1, 3)
    with pytest.raises(BadData):
        bench.report([BONY, CLEAN], [LEAVE])
    with pytest.raises(BadData):
        bench.agreement([], [])


@pytest.mark.parametrize("aim", ["faint", "head", "far"])
def test_an_aimed_run_holds_more_of_that_bone_and_else_stays_a_run(aim: str):
    def share(runs: list[tuple[bench.BenchFillet, ...]]) -> float:
        kinds = [bench.kind_of(each, bone) for run in runs for each in run for bone in each.bones]
        return kinds.count(aim) / len(kinds)

    plain = [bench.draw_run(seed) for seed in range(40)]
    aimed = [bench.draw_run(seed, aim=aim) for seed in range(40)]
    assert share(aimed) > share(plain) + 0.1
    for run in aimed:
        assert 4 <= sum(bool(each.bones) for each in run) <= 6
