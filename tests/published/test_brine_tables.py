"""Brine: strength on every basis, density and freezing, against printed tables and CoolProp run here."""

import numpy as np
import pytest

from kit.process.physics import salt

# Nicolaus Copernicus University, teaching laboratory (wwwold.fizyka.umk.pl/~lab2/tables/NaCl.html), after
# Poradnik fizykochemiczny, WNT, Warsaw 1974. Columns: % by mass, g/L at 20 °C, kg/m³ at 20 °C.
# The kit's density is a cubic through CoolProp's values, so this table is independent of it; the two
# differ by up to 0.25 kg/m³ at 2 %. The page's 15 °C column is left out: see its entry in sources.toml.
UMK = [
    (1, 10.053, 1005.3),
    (2, 20.250, 1012.2),
    (4, 41.072, 1026.8),
    (6, 62.478, 1041.3),
    (8, 84.472, 1055.9),
    (10, 107.070, 1070.7),
    (12, 130.284, 1085.7),
    (14, 154.128, 1100.9),
    (16, 178.592, 1116.2),
    (18, 203.742, 1131.9),
    (20, 229.560, 1147.8),
    (22, 256.080, 1164.0),
    (24, 283.296, 1180.4),
    (26, 311.272, 1197.2),
]


@pytest.mark.parametrize(("pct", "g_litre", "density"), UMK)
def test_density_matches_the_printed_table(pct, g_litre, density):
    assert salt.brine_density(pct) == pytest.approx(density, abs=0.3)


@pytest.mark.parametrize(("pct", "g_litre", "density"), UMK)
def test_salt_in_a_litre_of_brine_matches_the_printed_table(pct, g_litre, density):
    assert salt.salt_per_litre_brine(pct) == pytest.approx(g_litre, rel=3e-4)


# FAO/Torry Advisory Note 82 (fao.org/wairdocs/tan/x5953e): degrees and g of salt per kg of BRINE, as printed.
# Rounded to 26.4 a step, so the tolerance grows with the step.
TORRY = [(10 * step, 26.4 * step) for step in range(1, 11)]


@pytest.mark.parametrize(("degrees", "g_per_kg_brine"), TORRY)
def test_salometer_matches_the_torry_table(degrees, g_per_kg_brine):
    assert 10 * salt.salometer_to_pct(degrees) == pytest.approx(g_per_kg_brine, abs=0.06)
    assert salt.pct_to_salometer(g_per_kg_brine / 10 - 0.005) == pytest.approx(degrees, abs=0.05)


def test_salometer_matches_its_maker_at_saturation():
    # "The Salometer and How to Use It" (spotidoc.com/doc/221243): fully saturated brine is 26.395 % salt.
    assert salt.salometer_to_pct(100) == 26.395


def test_brine_matches_the_worked_example_of_a_fishery_service():
    # "Preparing a Salt Brine" (scribd 361476752): 60 degrees is 15.8 % salt, 187.8 g to a litre of water.
    assert salt.salometer_to_pct(60) == pytest.approx(15.8, abs=0.05)
    assert salt.salt_per_kg_water(15.8) == pytest.approx(187.8, abs=0.3)


@pytest.mark.parametrize("brine_f", [50, 60, 70, 80])
def test_a_salometer_reading_is_corrected_as_the_fishery_service_says(brine_f):
    # The same page: for every 5.6 °C (10 °F) that the brine is above 15.6 °C (60 °F), add one degree.
    corrected = salt.salometer_at(50, (brine_f - 32) / 1.8)
    assert corrected == pytest.approx(50 + (brine_f - 60) / 10, abs=0.03)


def test_the_correction_agrees_with_the_density_of_coolprop(coolprop):
    # A hydrometer reads density. Brine of 15 % at 4.4 °C is as dense as one at 15.6 °C that is stronger by
    # 2 degrees by the rule, and by CoolProp's densities to within half a degree of that.
    def density(pct, temp_c):
        return coolprop.PropsSI("D", "T", temp_c + 273.15, "P", 101325, f"INCOMP::MNA[{pct / 100}]")

    strengths = np.linspace(14, 18, 401)
    looks_like = strengths[np.argmin([abs(density(pct, 15.6) - density(15, 4.4)) for pct in strengths])]
    reading = salt.pct_to_salometer(looks_like)
    assert salt.salometer_at(reading, 4.4) == pytest.approx(salt.pct_to_salometer(15), abs=0.5)


# F. F. Rockwell, Save It For Winter (chestofbooks.com): ounces of salt per US gallon of water. A gallon is
# 3.785 L; an ounce 28.35 g. Printed to a third or a quarter of an ounce, and to whole steps at first.
ROCKWELL = [(1, 4 / 3), (2, 8 / 3), (3, 4.0), (4, 16 / 3), (5, 20 / 3), (10, 14.25), (15, 68 / 3)]


@pytest.mark.parametrize(("pct", "ounces"), ROCKWELL)
def test_salt_to_weigh_matches_a_printed_recipe_table(pct, ounces):
    grams_per_litre_water = ounces * 28.35 / 3.785
    assert salt.salt_per_kg_water(pct) == pytest.approx(grams_per_litre_water, rel=0.055)


# CoolProp, run here (incompressible sodium chloride brine, to 23 % salt).
@pytest.mark.parametrize("pct", [1, 5, 10, 15, 20, 23])
def test_density_is_coolprops(coolprop, pct):
    there = coolprop.PropsSI("D", "T", 293.15, "P", 101325, f"INCOMP::MNA[{pct / 100}]")
    assert salt.brine_density(pct) == pytest.approx(there, abs=0.1)


@pytest.mark.parametrize("pct", [0.5, 1, 2, 3.5, 5])
def test_water_activity_agrees_with_the_freezing_point_of_coolprop(coolprop, pct):
    # Ice and brine in balance have one vapour pressure: ln aw = integral of the heat of fusion over R T².
    # Heat of fusion 6008 J/mol at 0 °C, falling by 38 J/mol/K (water less ice). Only weak brines: a strong
    # one freezes so cold that its activity there differs from 25 °C by up to 0.016 (23 % at -21 °C).
    freezing = coolprop.PropsSI("T_FREEZE", "T", 293.15, "P", 101325, f"INCOMP::MNA[{pct / 100}]")
    kelvin = np.linspace(freezing, 273.15, 401)
    heat = 6008 + 38 * (kelvin - 273.15)
    activity = np.exp(-np.trapezoid(heat / (8.314 * kelvin**2), kelvin))
    assert salt.water_activity(pct) == pytest.approx(activity, abs=0.0015)
