"""Bleach, chlorine in air and a triangle test, against what others printed."""

import pytest

from kit.process.cleaning import concentrate_ml, mg_m3_to_ppm
from kit.process.sampling.few_packs import tolerance_factor
from kit.process.sampling.tasting import chance_of, least_right


# A maker of bleach, a web page of questions, read: 6.15 % hypochlorite is 5.84 % available chlorine; diluted
# 1:10 it has 5842 ppm of it. The page rounds 5.8425 % to 5.84 in one place.
def test_bleach_one_in_ten():
    assert concentrate_ml(5842, 10, 5.842) == pytest.approx(1000)


# A page on chlorine solutions for clinics, read: for 0.5 % from 3.5 %, 1 part to 6 parts of water.
def test_one_part_to_six_parts_of_water():
    assert concentrate_ml(5000, 7, 3.5) == pytest.approx(1000)


# NIOSH, chlorine, read: 0.5 ppm is 1.45 mg/m³, 1 ppm is 3 mg/m³ (OSHA, rounded). At 25 °C there,
# at 20 °C here: 2 % apart.
@pytest.mark.parametrize(("ppm", "mg_m3"), [(0.5, 1.45), (1.0, 2.9)])
def test_chlorine_by_volume_and_by_mass(ppm, mg_m3):
    assert mg_m3_to_ppm(mg_m3) == pytest.approx(ppm, rel=0.025)


# A sensory library's worked example, read: 11 right of 20 in a triangle test, p 0.03764.
def test_the_chance_of_a_triangle_test():
    assert chance_of(11, 20) == pytest.approx(0.03764, abs=5e-6)
    assert least_right(20) == 11  # "one can say that the panelists make the difference" at the 95 % level


# A site of worked statistics, read: 40 items, 90 % of all, sure to 99 %: 1.9017 by the noncentral t.
# A handbook's shorter formula gives 1.8752 for 43 items, read as quoted.
def test_the_factor_of_few_items():
    assert tolerance_factor(40, 0.90, 0.99) == pytest.approx(1.9017, abs=5e-5)
    assert tolerance_factor(43, 0.90, 0.99) == pytest.approx(1.8752, rel=0.002)
