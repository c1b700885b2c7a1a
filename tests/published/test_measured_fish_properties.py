"""Measured properties of fish, and one published calculation; each seen.

Skipjack tuna loin: Thermal properties of skipjack tuna, abstract (ci.lib.ncsu.edu/citations/9936).
Specific heat within 3 %, conductivity within 12 %: that is what the mixture model is worth. Its
composition is our round figure for tuna.
White fish: FAO Fisheries Technical Paper, Freezing in fisheries (V3630E), table 31, 2 to 40 °C, in kcal;
1 kcal = 4.1868 kJ. Within 2.5 % against haddock. The row for 14 °C is left out: its enthalpy is a misprint.
African catfish fillet: Nigerian Food Journal (ajol.info 73714): composition and properties worked out from
it, by formulas not named. Density within 1 %, specific heat within 1.5 %, conductivity within 2 %.
"""

from itertools import pairwise

import pytest

from kit.process.physics.food import Composition, properties
from kit.process.physics.species import species

FAO_SPECIFIC_HEAT = [
    (2, 0.87),
    (4, 0.87),
    (6, 0.87),
    (8, 0.87),
    (10, 0.88),
    (12, 0.88),
    (16, 0.88),
    (20, 0.88),
]
FAO_SPECIFIC_HEAT += [(24, 0.88), (28, 0.88), (32, 0.88), (36, 0.88), (40, 0.88)]
FAO_ENTHALPY = [(2, 78.90), (10, 85.89), (20, 94.65), (32, 105.21), (40, 112.25)]


def test_skipjack_tuna_loin():
    found = properties(Composition(72, 25, 1.5, ash_pct=1.5), 20)
    assert found.specific_heat_j_kg_k == pytest.approx(3536, rel=0.03)
    assert found.conductivity_w_m_k == pytest.approx(0.57, rel=0.12)


@pytest.mark.parametrize(("temp_c", "kilocalorie"), FAO_SPECIFIC_HEAT)
def test_specific_heat_of_white_fish(temp_c, kilocalorie):
    found = properties(species("haddock").composition, temp_c).specific_heat_j_kg_k
    assert found == pytest.approx(kilocalorie * 4186.8, rel=0.025)


@pytest.mark.parametrize(("low", "high"), list(pairwise(FAO_ENTHALPY)))
def test_heat_to_warm_white_fish(low, high):
    middle = (low[0] + high[0]) / 2
    heat = properties(species("haddock").composition, middle).specific_heat_j_kg_k * (high[0] - low[0])
    assert heat == pytest.approx((high[1] - low[1]) * 4186.8, rel=0.025)


def test_african_catfish_fillet():
    found = properties(Composition(77.2, 17.12, 3.39, 0.75, ash_pct=1.53), 20)
    assert found.density_kg_m3 == pytest.approx(1059, rel=0.01)
    assert found.specific_heat_j_kg_k == pytest.approx(3630, rel=0.015)
    assert found.conductivity_w_m_k == pytest.approx(0.525, rel=0.02)


@pytest.mark.parametrize("temp_c", [0, 5, 10, 15, 20])
def test_chicken_breast_slope_of_conductivity(temp_c):
    # Sweat, Haugh and Stadelman 1973, white meat 0 to 20 °C: k = 0.476 + 0.00060 T, as quoted. Within 8 %.
    found = properties(Composition(74.5, 23, 1, ash_pct=1.2), temp_c).conductivity_w_m_k
    assert found == pytest.approx(0.476 + 0.00060 * temp_c, rel=0.08)
