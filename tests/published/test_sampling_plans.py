"""Sampling plans against the printed tables that were read."""

import pytest

from kit.rules import sampling_plans

# 21 CFR 158.3(f), packs of 1 kg or less: lot size, sample, acceptance number (checkoutapi.com, regulations,
# title 21, part 158). The same block as CXS 233, inspection level II.
CFR = [
    (4_800, 13, 2),
    (24_000, 21, 3),
    (48_000, 29, 4),
    (84_000, 48, 6),
    (144_000, 84, 9),
    (240_000, 126, 13),
    (240_001, 200, 19),
]


@pytest.mark.parametrize(("lot", "n", "c"), CFR)
def test_codex_level_2_is_the_printed_block(lot, n, c):
    plan = sampling_plans.plan_for(lot, "codex-233-2", 1.0)
    assert (plan.n, plan.c, plan.seen) == (n, c, True)


# MIL-STD-105E, normal inspection, general level II, AQL 6.5 (nibs.org FMOC/DPW_AC/AC-TABLE.ASC): lot, n, Ac.
ATTRIBUTES = [
    (8, 2, 0),
    (25, 8, 1),
    (50, 8, 1),
    (90, 13, 2),
    (150, 20, 3),
    (280, 32, 5),
    (500, 50, 7),
    (1200, 80, 10),
    (3200, 125, 14),
    (10_000, 200, 21),
]


@pytest.mark.parametrize(("lot", "n", "c"), ATTRIBUTES)
def test_attribute_plans_are_the_printed_ones(lot, n, c):
    plan = sampling_plans.plan_for(lot, "attributes-normal-2")
    assert (plan.n, plan.c, plan.seen) == (n, c, True)
