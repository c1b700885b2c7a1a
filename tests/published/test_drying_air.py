"""Drying air against psychrolib and ht, general-purpose libraries, run here."""

import ht
import psychrolib
import pytest

from kit.process.physics import air
from kit.process.steps import pellicle

psychrolib.SetUnitSystem(psychrolib.SI)


# psychrolib, run here: the thermodynamic wet bulb. A wet face without radiation settles within 1.3 K of it
# (Lewis number 0.87, not 1), which is what textbooks say of a wet-bulb thermometer.
@pytest.mark.parametrize(
    ("air_c", "rh_pct"),
    [(0, 70), (3, 60), (3, 80), (3, 90), (10, 80), (12, 60), (20, 50), (25, 50), (30, 30)],
)
def test_a_wet_face_settles_near_the_wet_bulb_of_psychrolib(air_c, rh_pct):
    wet_bulb = psychrolib.GetTWetBulbFromRelHum(air_c, rh_pct / 100, 101325)
    face = pellicle.wet_surface(pellicle.Draught(air_c, rh_pct, 3.0), 1.0, radiation=False)
    assert face.temp_c == pytest.approx(wet_bulb, abs=1.3)
    assert face.wet_bulb_c == pytest.approx(wet_bulb, abs=0.05)


# psychrolib, run here: the same water at another temperature, and the humidity it then makes.
@pytest.mark.parametrize(("sensor_c", "rh_pct", "fish_c"), [(1, 90, 4), (3, 80, 5), (18, 60, 24), (4, 70, 2)])
def test_humidity_at_the_fish_is_psychrolibs(sensor_c, rh_pct, fish_c):
    ratio = psychrolib.GetHumRatioFromRelHum(sensor_c, rh_pct / 100, 101325)
    there = 100 * psychrolib.GetRelHumFromHumRatio(fish_c, ratio, 101325)
    assert pellicle.rh_at_fish(sensor_c, rh_pct, fish_c) == pytest.approx(there, abs=0.05)


# ht, run here: laminar Nusselt number of a plate (Baehr), 0.664 Re^0.5 Pr^(1/3) for Prandtl near 0.7, mean.
# Baehr's form differs from the plain one by up to 1 %.
@pytest.mark.parametrize("speed", [0.3, 1.0, 3.0])
def test_heat_transfer_of_a_smooth_stream_is_that_of_ht(speed):
    film = air.air_properties(3.0)
    reynolds = speed * 0.25 / film.viscosity_m2_s
    nusselt = ht.conv_external.Nu_horizontal_plate_laminar_Baehr(Re=reynolds, Pr=film.prandtl)
    draught = pellicle.Draught(3.0, 80, speed, turbulence=1.0)
    assert draught.heat_transfer_w_m2_k == pytest.approx(nusselt * film.conductivity_w_m_k / 0.25, rel=0.02)
