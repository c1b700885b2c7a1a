"""ASHRAE Handbook, Fundamentals, psychrometrics, tables 2 and 3, as quoted by the tests of two open packages
(ijlyttle/humidr, smartmic/MyPsychro). Seen in those packages, not in the handbook itself.

Saturation pressure: half a unit in the last place quoted. Humidity ratio 0.5 %, enthalpy 0.5 % of its own
size or 0.1 kJ/kg: the tables hold the enhancement factor that ideal gases leave out. Wet bulb and dew
point 0.05 K.
"""

import pytest

from kit.process.physics.air import moist_air, saturation_pressure

PRESSURE = [(5.0, 872.5, 0.05), (20.0, 2338.8, 0.05), (-10.0, 259.90, 0.005)]
SATURATED = [  # °C, kg/kg, kJ/kg
    (-10.0, 1.6062e-3, -6.072),
    (5.0, 5.424e-3, 18.639),
    (20.0, 1.4758e-2, 57.555),
]
DRY = [(20.0, 5.84), (5.0, -3.16)]


@pytest.mark.parametrize(("temp_c", "pascal", "half_unit"), PRESSURE)
def test_saturation_pressure(temp_c, pascal, half_unit):
    assert saturation_pressure(temp_c) == pytest.approx(pascal, abs=half_unit)


@pytest.mark.parametrize(("temp_c", "ratio", "kilojoule"), SATURATED)
def test_saturated_air(temp_c, ratio, kilojoule):
    state = moist_air(temp_c, 100)
    assert state.humidity_ratio == pytest.approx(ratio, rel=0.005)
    assert state.enthalpy_j_kg / 1000 == pytest.approx(kilojoule, rel=0.005, abs=0.1)


@pytest.mark.parametrize(("temp_c", "wet_bulb_c"), DRY)
def test_wet_bulb_of_dry_air(temp_c, wet_bulb_c):
    assert moist_air(temp_c, 0).wet_bulb_c == pytest.approx(wet_bulb_c, abs=0.05)


def test_a_room_at_1002_hectopascal():
    state = moist_air(22.9, 23, 100_200)
    assert state.wet_bulb_c == pytest.approx(11.64, abs=0.05)
    assert state.dew_point_c == pytest.approx(0.67, abs=0.05)
    assert state.humidity_ratio == pytest.approx(0.00401, abs=5e-6 + 0.005 * 0.00401)
    assert state.enthalpy_j_kg / 1000 == pytest.approx(33.2, abs=0.15)
