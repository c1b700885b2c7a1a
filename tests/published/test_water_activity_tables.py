"""Water activity of salt and sugar against published correlations and rows."""

import numpy as np
import pytest

from kit.process.physics import salt

# Tang, Munkelwitz & Wang 1986 (with Hamer & Wu 1972), J. Colloid Interface Sci. 114:409: constants read in
# a public program file that cites them. 25 °C, to 13 mol/kg. Agreement asked for: 0.002 up to saturation.
A, B, C, D, BETA = 0.5108, 1.37, 4.803e-3, -2.736e-4, 2.796e-2


def tang(m):
    b = 1 + B * np.sqrt(m)
    inner = A / (B**3 * m) * (b - 2 * np.log(b) - 1 / b) - BETA * m / 2 - 2 / 3 * C * m**2 - 3 / 4 * D * m**3
    osmotic = 1 - np.log(10) * inner
    return np.exp(-2 * 0.0180153 * osmotic * m)


@pytest.mark.parametrize("wps_pct", [0.5, 1, 2, 3, 3.5, 5, 8, 10, 12, 15, 18, 20, 23, 25, 26.3])
def test_water_activity_matches_tang_to_saturation(wps_pct):
    assert salt.water_activity(wps_pct) == pytest.approx(tang(salt.molality(wps_pct)), abs=0.002)


def test_water_activity_matches_robinson_and_stokes():
    # Robinson & Stokes 1965, 6 mol/kg: osmotic coefficient 1.271, activity 0.760, quoted in an instrument
    # manual. Pitzer's fit has a stated deviation of 0.001 in the coefficient; here it is 0.0022 high.
    wps_pct = 100 * 6 * 58.443 / (1000 + 6 * 58.443)
    activity = salt.water_activity(wps_pct)
    assert activity == pytest.approx(0.760, abs=0.001)
    assert -np.log(activity) / (2 * 6 * 0.018015) == pytest.approx(1.271, abs=0.003)


@pytest.mark.parametrize("temp_c", [4, 10, 20, 25])
def test_saturated_brine_matches_the_regression_of_labuza(temp_c):
    # ln aw = 23.1092/T - 0.3607 (knowledgerevolution.com.au/salt.html); stated fit error 0.16 %. Saturated
    # brine holds 26.3 % salt at all four temperatures to 0.2 points; a colder one is 0.005 freer.
    published = np.exp(23.1092 / (temp_c + 273.15) - 0.3607)
    assert salt.water_activity(26.395) == pytest.approx(published, abs=0.006 if temp_c < 20 else 0.002)


@pytest.mark.parametrize(("salt_pct", "moisture_pct", "wps"), [(3.0, 82.7, 3.5), (2.5, 69.0, 3.5)])
def test_water_phase_salt_is_the_sum_the_rules_print(salt_pct, moisture_pct, wps):
    # Michigan R 285.569.8 and FAO's note to Torry 82 print the sum; the pairs are our own arithmetic with it.
    assert salt.water_phase_salt(salt_pct, moisture_pct) == pytest.approx(wps, abs=0.005)
