"""Ten thousand batches follow the same balance as one, and the shares are what they say."""

from __future__ import annotations

import math

import numpy as np
import pytest

from kit.basics.errors import OutOfRange
from kit.process.physics.slab import Face
from kit.process.spread import Batches, Vary, _flesh, cook_many, draw, spread
from kit.process.steps import cook, cure, fillet

LIMITS = {"core_target_c": 64.0, "hold_min": 10.0, "wps_target_pct": 2.5, "cook_min": 60.0}

CASES = [  # mm, fat, h, cabinet, rh, wetness
    (26, 8, 20, 80, 50, 0.2),
    (18, 4, 28, 85, 40, 1.0),
    (34, 14, 12, 75, 60, 0.2),
    (22, 10, 20, 80, 30, 1.0),
    (20, 7.4, 30, 85, 60, 0.2),
]


@pytest.mark.slow
@pytest.mark.parametrize(("mm", "fat", "h", "cabinet", "rh", "wetness"), CASES)
def test_within_0_3_degrees_of_the_single_run(mm, fat, h, cabinet, rh, wetness):
    one = Batches(*(np.array([float(each)]) for each in (mm, fat, h, 1)))
    time, core = cook_many(one, Face(cabinet, rh, 1.0, wetness), 4.0, 90)
    piece = fillet.raw(_flesh(fat), mm, 200, 4.0, skin_on=False)
    single = cook.cook(
        piece,
        core_target_c=99,
        cabinet_c=cabinet,
        rh_pct=rh,
        cook_min=90,
        h_w_m2_k=h,
        wetness=wetness,
        carry_over_min=0,
    )
    expected = np.interp(time, single.trace.time_min, single.trace.core_c)
    assert np.max(np.abs(core[:, 0] - expected)) < 0.3


def test_salt_is_that_of_the_single_cure():
    vary = Vary(thickness_mm=(25, 0), fat_pct=(8, 0), h_w_m2_k=(20, 0), diffusivity_factor=1.0)
    found = spread(vary, 2, np.random.default_rng(1), cure_h=5, diffusivity_m2_s=3e-10, **LIMITS)
    single = cure.cure(fillet.raw("char, farmed", 25, 200), 5)
    assert found.wps_pct[0] == pytest.approx(single.mean_wps_pct.middle, rel=0.08)


def test_the_same_generator_gives_the_same_batches():
    first, second = (draw(Vary(), 50, np.random.default_rng(7)) for _ in range(2))
    assert np.array_equal(first.thickness_mm, second.thickness_mm)
    assert not np.array_equal(first.thickness_mm, draw(Vary(), 50, np.random.default_rng(8)).thickness_mm)


def test_batches_have_the_mean_and_the_spread_that_was_asked_for():
    batches = draw(Vary(thickness_mm=(26, 2)), 4000, np.random.default_rng(1))
    assert batches.thickness_mm.mean() == pytest.approx(26, abs=0.05)
    assert batches.thickness_mm.std() == pytest.approx(2 * 0.9866, abs=0.05)  # cut off at three deviations
    assert batches.diffusivity_factor.min() >= 0.5 and batches.diffusivity_factor.max() <= 2.0


@pytest.mark.slow
def test_a_longer_cook_misses_less_and_the_interval_holds_the_share():
    short, long = (
        spread(Vary(), 400, np.random.default_rng(1), **{**LIMITS, "cook_min": minutes})
        for minutes in (40, 80)
    )
    assert long.share_core_missed < short.share_core_missed
    for found in (short, long):
        assert found.core_interval.low <= found.share_core_missed <= found.core_interval.high
        assert found.share_core_missed <= found.share_hold_missed
    assert short.share_core_missed > 0.05


@pytest.mark.parametrize(
    "bad",
    [{"cook_min": 0}, {"core_target_c": math.nan}, {"hold_min": -1}, {"wps_target_pct": 40}, {"sides": 3}],
)
def test_numbers_out_of_range_are_refused(bad):
    with pytest.raises(OutOfRange):
        spread(Vary(), 5, np.random.default_rng(1), **{**LIMITS, **bad})


@pytest.mark.parametrize(
    "bad",
    [
        {"thickness_mm": (math.nan, 1)},
        {"thickness_mm": (26, 20)},
        {"fat_pct": (50, 1)},
        {"h_w_m2_k": (20, -1)},
        {"diffusivity_factor": 0.5},
    ],
)
def test_strange_variation_is_refused(bad):
    with pytest.raises(OutOfRange):
        Vary(**bad)


def test_a_count_must_be_a_count():
    with pytest.raises(OutOfRange):
        draw(Vary(), 0, np.random.default_rng(1))
