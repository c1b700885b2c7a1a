"""Ice, boiling water and heights, against two reference libraries and a rule of thumb."""

from __future__ import annotations

import psychrolib
import pytest

from kit.basics.errors import OutOfRange
from kit.process.physics.thermometer import boiling_point, fahrenheit_to_celsius, standard_pressure


@pytest.mark.parametrize("altitude_m", [-400, 0, 305, 1000, 2500, 5000])
def test_the_pressure_is_that_of_a_reference_library(altitude_m: float):
    # psychrolib 2.5, GetStandardAtmPressure, in SI.
    psychrolib.SetUnitSystem(psychrolib.SI)
    assert standard_pressure(altitude_m) == pytest.approx(
        psychrolib.GetStandardAtmPressure(altitude_m), rel=1e-6
    )


@pytest.mark.parametrize("altitude_m", [-400, 0, 305, 1000, 2500, 5000])
def test_water_boils_where_a_reference_library_says(coolprop, altitude_m: float):
    # CoolProp, IAPWS-95 water, boiling at that pressure. Two equations of state: within 0.03 K.
    found = coolprop.PropsSI("T", "P", standard_pressure(altitude_m), "Q", 0, "Water") - 273.15
    assert boiling_point(altitude_m) == pytest.approx(found, abs=0.03)


def test_it_falls_by_about_one_degree_in_a_thousand_feet():
    # McGee, On Food and Cooking, 2004: about 1 °C for each 1000 ft (305 m).
    assert boiling_point(0) - boiling_point(305) == pytest.approx(1.0, abs=0.1)


def test_both_scales_meet_at_minus_forty():
    assert fahrenheit_to_celsius(-40) == pytest.approx(-40)
    assert fahrenheit_to_celsius(32) == 0


@pytest.mark.parametrize("wrong", [9000, -900, float("nan")])
def test_a_height_out_of_range_is_refused(wrong: float):
    with pytest.raises(OutOfRange, match="altitude_m"):
        boiling_point(wrong)
