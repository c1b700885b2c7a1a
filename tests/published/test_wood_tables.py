"""Wood and smoke against printed rows, published program constants and CoolProp run here."""

import pytest

from kit.process.physics import smoke, wood

# stoves.bioenergylists.org/emccalc, 70 °F, after the US Forest Products Laboratory: humidity, moisture
# on dry basis, moisture on wet basis. The page's own calculator was read off at a whole percent of humidity;
# one percent is worth 0.15 points at 25 %, 1 point at 97 %.
ROWS_70F = [(25, 5.3, 5), (60, 11.1, 10), (84, 17.6, 15), (87, 19.0, 16)]


@pytest.mark.parametrize(("rh", "dry", "wet"), ROWS_70F)
def test_equilibrium_moisture_matches_the_70_f_rows(rh, dry, wet):
    tolerance = 0.2 if rh < 80 else 0.4
    assert wood.equilibrium_moisture((70 - 32) / 1.8, rh) == pytest.approx(dry, abs=tolerance)


# The same page's pairs of dry and wet basis, and 25/20 and 33.3/25: printed to 0.1 and to 1.
BASIS = [(5.3, 5), (11.1, 10), (17.6, 15), (19.0, 16), (25.0, 20), (28.8, 22), (33.3, 25)]


@pytest.mark.parametrize(("dry", "wet"), BASIS)
def test_dry_and_wet_basis_match_the_printed_pairs(dry, wet):
    assert wood.dry_to_wet_basis(dry) == pytest.approx(wet, abs=0.4)
    assert wood.wet_to_dry_basis(wet) == pytest.approx(dry, abs=0.7)


# woodworkingnetwork.com, "RH equivalent": at room temperature, printed to a whole percent.
@pytest.mark.parametrize(("rh", "moisture"), [(30, 6), (50, 9), (65, 12), (80, 16)])
def test_equilibrium_moisture_matches_the_rule_of_a_wood_journal(rh, moisture):
    assert wood.equilibrium_moisture(21, rh) == pytest.approx(moisture, abs=0.5)


def test_equation_and_table_differ_at_140_f_as_published():
    # liquisearch.com, "equilibrium moisture content": 140 °F and 55 %, 8.4 by the equation, 8.0 in the table.
    assert wood.equilibrium_moisture(60, 55) == pytest.approx(8.4, abs=0.05)
    assert wood.equilibrium_moisture(60, 55) == pytest.approx(8.0, abs=0.5)


# Constants in °F as read in a public program that cites Simpson and the Wood Handbook; the kit's are the ones
# in °C. They were fitted apart, so they agree to 0.1 point only.
def fahrenheit_form(temp_f, rh):
    h = rh / 100
    w = 330 + 0.452 * temp_f + 0.00415 * temp_f**2
    k = 0.791 + 4.63e-4 * temp_f - 8.44e-7 * temp_f**2
    k1 = 6.34 + 7.75e-4 * temp_f - 9.35e-5 * temp_f**2
    k2 = 1.09 + 2.84e-2 * temp_f - 9.04e-5 * temp_f**2
    kh = k * h
    return 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2))


@pytest.mark.parametrize("temp_f", [30, 50, 70, 100, 140])
@pytest.mark.parametrize("rh", [20, 50, 80])
def test_both_published_sets_of_constants_agree(temp_f, rh):
    ours = wood.equilibrium_moisture((temp_f - 32) / 1.8, rh)
    assert ours == pytest.approx(fahrenheit_form(temp_f, rh), abs=0.1)


# CoolProp, run here: liquid water at start to saturated steam at 100 °C, 101.325 kPa. The kit's round figures
# are within 0.3 % of it.
@pytest.mark.parametrize("start_c", [5, 20, 60])
def test_heat_to_drive_off_water_is_coolprops(coolprop, start_c):
    steam = coolprop.PropsSI("H", "P", 101325, "Q", 1, "Water")
    liquid = coolprop.PropsSI("H", "T", start_c + 273.15, "P", 101325, "Water")
    water_kg = 0.25 / 1.25
    kilojoules = water_kg * (steam - liquid) / 1000
    assert wood.drying_heat(1000, 25, start_c) == pytest.approx(kilojoules, rel=3e-3)


def test_burn_rate_spans_the_published_runs():
    # BioResources 12(4):7552, pine flour: front 0.0014 to 0.0018 cm/s, bed 0.204 to 0.234 g/cm³.
    rate = smoke.burn_rate(100)
    assert rate.low == pytest.approx(0.0014 * 0.2038 * 100 * 3600, rel=1e-9)
    assert rate.high == pytest.approx(0.0018 * 0.2343 * 100 * 3600, rel=1e-9)


# EU Directive 2017/164 prints the limits for carbon monoxide in both units: 20 ppm is 23 mg/m³, 100 is 117.
# Printed to 1 mg/m³; the directive's 100 ppm row was rounded from 1.165 or 1.17.
@pytest.mark.parametrize(("ppm", "mg"), [(20, 23), (100, 117)])
def test_carbon_monoxide_units_match_the_directive(ppm, mg):
    assert smoke.ppm_to_mg_m3(ppm) == pytest.approx(mg, abs=0.6)


def test_useful_smoke_falls_by_35_percent_over_150_k():
    # Smoke-condensate study (scilit 23b1a9d9): active components fall 35 % as temperature rises by 150 K.
    cool, hot = smoke.smoke_quality(350, extrapolate=True), smoke.smoke_quality(500)
    assert hot.useful_relative / cool.useful_relative == pytest.approx(0.65)
