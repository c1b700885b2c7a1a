"""Salt: rows from memory of the named sources, never counted as published."""

import pytest

from kit.process.physics import salt

# Crank 1975, plane sheet: series summed to 2000 terms. D t / l², mean, middle.
CRANK = [
    (0.001, 0.03568, 0.0),
    (0.01, 0.11284, 0.0),
    (0.05, 0.25231, 0.00313),
    (0.15, 0.43695, 0.13578),
    (0.3, 0.61324, 0.3932),
    (0.5, 0.76395, 0.62922),
    (0.8, 0.8874, 0.82313),
    (1.5, 0.97998, 0.96856),
]


@pytest.mark.parametrize(("fourier", "mean", "middle"), CRANK)
def test_uptake_matches_crank(fourier, mean, middle):
    assert salt.uptake_fraction(fourier) == pytest.approx(mean, abs=1e-5)
    assert salt.uptake_profile(fourier, 0.0) == pytest.approx(middle, abs=1e-5)


def test_half_uptake_is_at_0_049():
    assert salt.fourier_for_uptake(0.5) / 4 == pytest.approx(0.0491827, abs=1e-7)


# Pitzer for NaCl at 25 °C: molality and activity.
@pytest.mark.parametrize(("m", "activity"), [(0.1, 0.9966), (1.0, 0.9668), (3.0, 0.8931), (5.0, 0.8068)])
def test_water_activity_matches_pitzer(m, activity):
    wps_pct = 100 * m * 58.443 / (1000 + m * 58.443)
    assert salt.water_activity(wps_pct) == pytest.approx(activity, abs=1e-4)


# Norrish 1966, K = 6.47 for sucrose.
@pytest.mark.parametrize(("m", "activity"), [(0.1, 0.9982), (1.0, 0.9803), (4.0, 0.9059)])
def test_sugar_matches_norrish(m, activity):
    assert salt.sugar_activity(342.297 * m, 1000) == pytest.approx(activity, abs=1e-4)


# The quadratic that later seafood papers carry (fit to Resnik & Chirife 1988): good to 15 %, not in brine.
@pytest.mark.parametrize("wps_pct", [1, 3, 5, 8, 12])
def test_the_common_quadratic_is_good_in_fish(wps_pct):
    quadratic = 1 - 0.0052471 * wps_pct - 0.00012206 * wps_pct**2
    assert salt.water_activity(wps_pct) == pytest.approx(quadratic, abs=0.0012)


def test_the_common_quadratic_fails_in_brine():
    quadratic = 1 - 0.0052471 * 26.3 - 0.00012206 * 26.3**2
    assert quadratic - salt.water_activity(26.3) == pytest.approx(0.023, abs=0.002)
