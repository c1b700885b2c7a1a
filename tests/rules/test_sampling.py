"""Sampling plans: every row walked, the right row found, and every way to ask wrongly."""

from itertools import pairwise

import pytest

from kit import rules
from kit.basics.errors import OutOfRange, UnknownName
from kit.process.sampling import bones
from kit.rules import sampling_plans

ROWS = [plan for table in sampling_plans.tables().values() for plan in table]


@pytest.mark.parametrize("plan", ROWS, ids=lambda plan: f"{plan.table} {plan.over_kg} {plan.lot_from}")
def test_every_row_is_a_plan_with_a_source(plan):
    assert plan.source in rules.sources()
    assert plan.locator
    assert 0 <= plan.c < plan.n <= 200
    assert plan.lot_to is None or plan.lot_from <= plan.lot_to
    assert plan.label == ("" if plan.seen else "from memory: confirm")
    if plan.table.startswith("codex"):
        # AQL 6.5: a lot with 6.5 % defectives passes nearly always; one with 30 % hardly ever from n = 13 on.
        assert bones.acceptance_probability(plan.n, plan.c, 0.065) > 0.90
        if plan.n >= 29:
            assert bones.acceptance_probability(plan.n, plan.c, 0.30) < 0.06


@pytest.mark.parametrize("table", sorted(sampling_plans.tables()))
def test_lots_follow_each_other_without_gap_or_overlap(table):
    for over_kg in {plan.over_kg for plan in sampling_plans.tables()[table]}:
        block = [plan for plan in sampling_plans.tables()[table] if plan.over_kg == over_kg]
        for first, second in pairwise(block):
            assert second.lot_from == first.lot_to + 1
            assert second.n >= first.n
            assert second.c >= first.c


@pytest.mark.parametrize(
    ("lot", "table", "pack_kg", "n", "c"),
    [
        (1, "codex-233-1", 0.2, 6, 1),
        (4800, "codex-233-1", 1.0, 6, 1),
        (4801, "codex-233-1", 1.0, 13, 2),
        (2401, "codex-233-1", 1.01, 13, 2),
        (600, "codex-233-1", 5.0, 6, 1),
        (4800, "codex-233-2", 0.5, 13, 2),
        (300_000, "codex-233-2", 0.5, 200, 19),
        (40, "attributes-normal-2", 0.5, 8, 1),
        (200, "attributes-normal-2", 12.0, 32, 5),
    ],
)
def test_the_row_that_fits_is_found(lot, table, pack_kg, n, c):
    plan = sampling_plans.plan_for(lot, table, pack_kg)
    assert (plan.n, plan.c) == (n, c)


def test_a_plan_of_six_lets_much_through():
    # What a class should see: with n = 6 and c = 1 a lot with one pack in ten defective passes 9 times in 10.
    plan = sampling_plans.plan_for(200)
    assert bones.acceptance_probability(plan.n, plan.c, 0.10) > 0.88
    assert "no lot is safe" in plan.caution


def test_the_bone_defect_feeds_the_sum():
    rule = sampling_plans.bone_defect()
    assert rule.source in rules.sources()
    assert rule.label == "from memory: confirm"
    found = bones.bone_defects([14, 11, 4], [0.6, 0.4, 1.2], 1.0, **rule.limits())
    assert found.counted == 2
    assert found.defective


def test_wrong_questions_are_refused():
    for call, words in (
        (lambda: sampling_plans.plan_for(0), "lot is 0"),
        (lambda: sampling_plans.plan_for(2.5), "whole number"),
        (lambda: sampling_plans.plan_for(100, pack_kg=0), "grams"),
        (lambda: sampling_plans.plan_for(100, pack_kg=float("nan")), "pack_kg is nan"),
        (lambda: sampling_plans.plan_for(20_000, "attributes-normal-2"), "another table"),
    ):
        with pytest.raises(OutOfRange, match=words):
            call()
    with pytest.raises(UnknownName, match="codex-233-1"):
        sampling_plans.plan_for(100, "codex-233")
