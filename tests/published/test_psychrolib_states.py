"""PsychroLib (Meyer and Thevenard 2019), run here: the reference for moist air at standard pressure.

It solves the same handbook equations, one number at a time. Humidity ratio and enthalpy agree to rounding;
PsychroLib stops its own wet-bulb search at 0.001 K, so wet bulb is held to 0.002 K.
"""

import psychrolib
import pytest

from kit.process.physics.air import moist_air, saturation_pressure

psychrolib.SetUnitSystem(psychrolib.SI)
STATES = [(-10, 60), (-2, 90), (3, 70), (3, 90), (10, 80), (20, 50), (25, 50), (40, 50), (55, 25), (71, 30)]
STATES += [(71, 50), (71, 70), (80, 45), (90, 20), (95, 60)]


@pytest.mark.parametrize("temp_c", [-60, -20, -5, 0, 0.01, 0.02, 5, 20, 40, 60, 80, 100, 150])
def test_saturation_pressure(temp_c):
    assert saturation_pressure(temp_c) == pytest.approx(psychrolib.GetSatVapPres(temp_c), rel=1e-9)


@pytest.mark.parametrize(("temp_c", "rh_pct"), STATES)
def test_state(temp_c, rh_pct):
    state = moist_air(temp_c, rh_pct)
    ratio = psychrolib.GetHumRatioFromRelHum(temp_c, rh_pct / 100, 101325)
    assert state.humidity_ratio == pytest.approx(ratio, rel=1e-9)
    assert state.enthalpy_j_kg == pytest.approx(psychrolib.GetMoistAirEnthalpy(temp_c, ratio), rel=1e-9)
    wet_bulb = psychrolib.GetTWetBulbFromRelHum(temp_c, rh_pct / 100, 101325)
    assert state.wet_bulb_c == pytest.approx(wet_bulb, abs=0.002)
    dew_point = psychrolib.GetTDewPointFromRelHum(temp_c, rh_pct / 100)
    assert state.dew_point_c == pytest.approx(dew_point, abs=0.002)
