"""Salt: bases that must not be mixed up, limits, arrays, and every way to ask wrongly."""

import numpy as np
import pytest
from scipy.integrate import quad

from kit.basics.errors import OutOfRange
from kit.process.physics import salt


def test_on_fish_and_in_total_differ_as_they_should():
    assert salt.salt_on_fish(1000, 3) == 30
    total = salt.salt_in_total(1000, 3)
    assert 100 * total / (1000 + total) == pytest.approx(3)


def test_the_three_tables_called_grams_per_kilo():
    # The trap: 26.4 % brine is 264 g per kg of brine, 318 g per litre of brine, 359 g per kg of water.
    pct = salt.SATURATED_PCT
    assert 10 * pct == pytest.approx(263.95)
    assert salt.salt_per_litre_brine(pct) == pytest.approx(317, abs=1.5)
    assert salt.salt_per_kg_water(pct) == pytest.approx(358.6, abs=0.05)


def test_brine_strength_and_salt_to_weigh_undo_each_other():
    for pct in (1, 8, 20, 26):
        assert salt.brine_pct(salt.salt_per_kg_water(pct), 1000) == pytest.approx(pct)
        assert salt.salometer_to_pct(salt.pct_to_salometer(pct)) == pytest.approx(pct)


def test_pure_water_has_activity_1_and_more_salt_always_less():
    assert salt.water_activity(0) == 1
    assert np.all(np.diff(salt.water_activity(np.linspace(0, 26.5, 500))) < 0)


def test_short_and_long_series_meet_and_stay_smooth():
    fourier = np.linspace(0.45, 0.55, 2001)
    steps = np.diff(salt.uptake_fraction(fourier))
    assert np.max(np.abs(np.diff(steps))) < 1e-8
    assert salt.uptake_fraction(0.5 - 1e-13) == pytest.approx(salt.uptake_fraction(0.5), abs=1e-12)
    assert salt.uptake_profile(0.5 - 1e-13, 0.3) == pytest.approx(salt.uptake_profile(0.5, 0.3), abs=1e-12)


@pytest.mark.parametrize("fourier", [1e-6, 1e-4, 0.01, 0.2, 0.49, 0.6, 3.0])
def test_mean_of_the_profile_is_the_mean_uptake(fourier):
    kink = [1 - min(0.9, 6 * fourier**0.5)]
    mean, _ = quad(lambda x: salt.uptake_profile(fourier, x), 0, 1, points=kink, epsabs=1e-12)
    assert salt.uptake_fraction(fourier) == pytest.approx(mean, abs=1e-8)


def test_uptake_at_its_limits():
    assert salt.uptake_fraction(0) == 0
    assert salt.uptake_fraction(50) == pytest.approx(1, abs=1e-12)
    assert salt.uptake_profile(0, 1) == 1
    assert salt.uptake_profile(0, 0.5) == 0
    assert salt.uptake_fraction(1e-12) == pytest.approx(2e-6 / np.sqrt(np.pi), rel=1e-9)


def test_time_goes_with_thickness_squared():
    # Trade tables let time grow in step with thickness: 12 h for 1 inch, 24 h for 2 (a trade book on smoking
    # salmon). Diffusion says four times as long for twice the thickness; matched at 1 inch, 48 h at 2.
    thin, thick = salt.fourier_number(3e-10, 12, 25.4, 1), salt.fourier_number(3e-10, 24, 50.8, 1)
    assert thick == pytest.approx(thin / 2)
    assert salt.fourier_number(3e-10, 48, 50.8, 1) == pytest.approx(thin)


def test_one_open_face_takes_four_times_as_long():
    assert salt.fourier_number(3e-10, 8, 25, 2) == pytest.approx(4 * salt.fourier_number(3e-10, 8, 25, 1))


def test_fourier_for_uptake_turns_the_question_round():
    for fraction in (0, 1e-3, 0.2, 0.5, 0.95):
        assert salt.uptake_fraction(salt.fourier_for_uptake(fraction)) == pytest.approx(fraction, abs=1e-10)


def test_sugar_at_cure_level_hardly_matters():
    # 3 % sugar on the weight of the fish at most: under 0.003; what the salt does is ten times that.
    with_sugar = salt.cure_water_activity(2.5, 1.0, 68)
    without = salt.cure_water_activity(2.5, 0.0, 68)
    assert without - with_sugar < 0.001
    assert 1 - without > 20 * (without - with_sugar)
    assert salt.cure_water_activity(0, 34.2297, 100) == pytest.approx(salt.sugar_activity(342.297, 1000))


def test_a_salty_garnish_counts():
    # Common practice, no source: a garnish of dried seaweed is itself salty.
    bare = salt.season(150, 1.9, 64, [])
    dressed = salt.season(150, 1.9, 64, [salt.Seasoning("dried seaweed", 4, 8, 6)])
    assert bare.salt_pct == pytest.approx(1.9)
    assert dressed.mass_g == 154
    assert dressed.salt_pct == pytest.approx((2.85 + 0.32) / 1.54)
    assert dressed.wps_pct > bare.wps_pct


def test_arrays_come_back_as_arrays_and_scalars_as_floats():
    for function, array in (
        (salt.water_activity, np.array([0.0, 3.5])),
        (salt.uptake_fraction, np.array([0.0, 0.1, 2.0])),
        (salt.brine_density, np.array([0.0, 10.0])),
        (salt.salometer_to_pct, np.array([0.0, 10.0])),
    ):
        assert isinstance(function(float(array[1])), float)
        assert function(array).shape == array.shape
    assert salt.water_phase_salt(np.array([1.0, 2.0]), 65).shape == (2,)
    assert salt.uptake_profile(0.1, np.linspace(0, 1, 5)).shape == (5,)
    assert salt.uptake_fraction(np.ones((2, 3)) * 0.1).shape == (2, 3)


BAD = [
    (lambda: salt.salt_on_fish(-1, 2), "fish_g is -1"),
    (lambda: salt.salt_on_fish(1000, float("nan")), "salt_pct is nan"),
    (lambda: salt.salt_in_total(1000, 100), "below 100"),
    (lambda: salt.salometer_to_pct(101), "saturated"),
    (lambda: salt.pct_to_salometer(30), "saturates"),
    (lambda: salt.salt_per_kg_water(float("nan")), "pct is nan"),
    (lambda: salt.brine_pct(400, 1000), "stays on the bottom"),
    (lambda: salt.brine_pct(10, 0), "water_g is 0"),
    (lambda: salt.brine_density(27), "saturates"),
    (lambda: salt.water_phase_salt(-1, 60), "salt_pct is -1"),
    (lambda: salt.water_phase_salt(2, 0), "moisture_pct is 0"),
    (lambda: salt.water_phase_salt(40, 65), "dry matter"),
    (lambda: salt.water_phase_salt(float("nan"), 65), "salt_pct is nan"),
    (lambda: salt.water_activity(27), "saturates"),
    (lambda: salt.water_activity(-0.1), "wps_pct is -0.1"),
    (lambda: salt.water_activity(float("nan")), "wps_pct is nan"),
    (lambda: salt.sugar_activity(300, 100), "does not dissolve"),
    (lambda: salt.cure_water_activity(40, 1, 60), "saturates"),
    (lambda: salt.season(0, 2, 60, []), "fish_g is 0"),
    (lambda: salt.season(100, 2, 60, [salt.Seasoning("soy", 5, 60, 60)]), "label of soy"),
    (lambda: salt.salt_from_sodium(1, 2), "factor is 2"),
    (lambda: salt.molality(100), "below 100"),
    (lambda: salt.fourier_number(3e-10, 4, 25, 3), "1 \\(skin on\\) or 2"),
    (lambda: salt.fourier_number(3e-4, 4, 25, 1), "m²/s"),
    (lambda: salt.fourier_number(3e-10, -4, 25, 1), "hours is -4"),
    (lambda: salt.uptake_fraction(-0.1), "fourier is -0.1"),
    (lambda: salt.uptake_fraction(float("nan")), "fourier is nan"),
    (lambda: salt.uptake_profile(0.1, 1.1), "x is 1.1"),
    (lambda: salt.fourier_for_uptake(1.0), "below 0.999"),
]


@pytest.mark.parametrize(("call", "words"), BAD)
def test_a_number_outside_its_range_is_refused_with_the_likely_cause(call, words):
    with pytest.raises(OutOfRange, match=words):
        call()
