"""Smoke: burn rate as a band, heat of the glow, carbon monoxide sums, and every way to ask wrongly."""

import numpy as np
import pytest

from kit.basics.errors import BadData, OutOfRange
from kit.process.physics import smoke


def test_chips_and_minutes_undo_each_other():
    need = smoke.chips_for(90, 150, 12)
    assert smoke.smoke_minutes(need.middle, 150, 12).middle == pytest.approx(90)
    assert smoke.smoke_minutes(need.low, 150, 12).high == pytest.approx(90)
    assert need.low < need.middle < need.high


def test_wet_chips_weigh_more_for_the_same_smoke():
    assert smoke.chips_for(60, 100, 20).middle == pytest.approx(1.2 * smoke.chips_for(60, 100, 0).middle)
    assert smoke.chips_for(0, 100).high == 0


def test_a_hotter_glow_is_dirtier_and_weaker():
    cool, hot = smoke.smoke_quality(400), smoke.smoke_quality(500)
    assert hot.pah_relative > cool.pah_relative == 1
    assert hot.useful_relative < cool.useful_relative
    assert not hot.extrapolated
    flare = smoke.smoke_quality(800, extrapolate=True)
    assert flare.extrapolated
    assert flare.useful_relative == 0
    assert "from memory" in flare.note


def test_an_even_cloud_has_one_mean():
    log = smoke.exposure(np.arange(0, 481), np.full(481, 20.0))
    assert (log.eight_hour_ppm, log.fifteen_min_ppm, log.shift_ppm, log.peak_ppm) == pytest.approx((20,) * 4)


def test_a_short_cloud_counts_for_what_it_is_over_8_hours():
    # 100 ppm for 15 minutes: at the European short limit, and 3.1 ppm over 8 hours.
    log = smoke.exposure([0, 0.001, 15.001, 15.002], [0, 100, 100, 0])
    assert log.fifteen_min_ppm == pytest.approx(100, abs=0.02)
    assert log.eight_hour_ppm == pytest.approx(100 * 15 / 480, abs=0.01)


def test_a_shift_longer_than_8_hours_is_spread_over_8():
    log = smoke.exposure(np.arange(0, 601, 10), np.full(61, 20.0))
    assert log.eight_hour_ppm == pytest.approx(20)
    assert log.shift_ppm == pytest.approx(25)


def test_the_worst_window_is_found_between_readings():
    rng = np.random.default_rng(11)
    time = np.cumsum(rng.uniform(1, 14, 60))
    level = rng.uniform(0, 300, 60)
    fine = np.linspace(time[0] - 15, time[-1], 20_001)
    dense = np.linspace(time[0], time[-1], 400_001)
    height = np.interp(dense, time, level)
    total = np.concatenate([[0], np.cumsum(np.diff(dense) * (height[1:] + height[:-1]) / 2)])
    brute = np.max(np.interp(fine + 15, dense, total) - np.interp(fine, dense, total)) / 15
    found = smoke.exposure(time, level).fifteen_min_ppm
    assert found == pytest.approx(brute, rel=1e-4)
    assert found >= brute - 1e-6


def test_the_sum_says_that_it_is_not_a_measurement():
    caution = smoke.exposure([0, 10], [5, 5]).caution
    for word in ("not a measurement", "alarm", "out", "ventilate", "competent person"):
        assert word in caution


BAD = [
    (lambda: smoke.burn_rate(0), "cm²"),
    (lambda: smoke.chips_for(-1, 100), "smoke_min is -1"),
    (lambda: smoke.chips_for(60, 100, 80), "Soaked chips"),
    (lambda: smoke.smoke_minutes(float("nan"), 100), "chips_g is nan"),
    (lambda: smoke.smoke_quality(600), "extrapolate=True"),
    (lambda: smoke.smoke_quality(float("nan")), "generation_c is nan"),
    (lambda: smoke.smoke_quality(1200, extrapolate=True), "generation_c is 1200"),
    (lambda: smoke.ppm_to_mg_m3(-1), "ppm is -1"),
    (lambda: smoke.exposure([0, 10], [5, float("nan")]), "Is a reading missing"),
    (lambda: smoke.exposure([0, float("nan")], [5, 5]), "time_min is nan"),
    (lambda: smoke.exposure([0, 20], [5, 5]), "log every minute"),
    (lambda: smoke.exposure([0, 10], [-1, 5]), "ppm is -1"),
]


@pytest.mark.parametrize(("call", "words"), BAD)
def test_a_number_outside_its_range_is_refused_with_the_likely_cause(call, words):
    with pytest.raises(OutOfRange, match=words):
        call()


@pytest.mark.parametrize(("time", "ppm"), [([0], [1]), ([0, 1], [1]), ([0, 0], [1, 1]), ([5, 1], [1, 1])])
def test_a_log_of_the_wrong_form_is_refused(time, ppm):
    with pytest.raises(BadData):
        smoke.exposure(time, ppm)


def test_smoke_is_as_dense_as_what_is_made_over_what_leaves():
    """By hand: 100 g of wood an hour, a tenth of it smoke, in 50 m³ of fresh air an hour: 0.2 g/m³."""
    tray_cm2 = 100 * 100 / smoke.burn_rate(100).middle
    dense = smoke.smoke_density(tray_cm2, 50)
    assert dense.middle == pytest.approx(0.2, rel=1e-6)
    assert dense.low < dense.middle < dense.high
    twice = smoke.smoke_density(2 * tray_cm2, 50)
    opened = smoke.smoke_density(tray_cm2, 100)
    assert twice.middle == pytest.approx(2 * dense.middle) and opened.middle == pytest.approx(
        dense.middle / 2
    )


def test_colour_takes_density_times_minutes():
    here, opened = smoke.colour_minutes(120, 40), smoke.colour_minutes(120, 80)
    assert opened.middle == pytest.approx(2 * here.middle)
    for tray_cm2, air_m3_h in ((80, 33), (120, 40), (200, 90)):
        minutes = smoke.colour_minutes(tray_cm2, air_m3_h).middle
        dose = smoke.smoke_density(tray_cm2, air_m3_h).middle * minutes
        assert dose == pytest.approx(25 * smoke.smoke_density(80, 33).middle)
    with pytest.raises(OutOfRange):
        smoke.colour_minutes(80, 0)
