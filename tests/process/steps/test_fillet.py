"""One fillet: its grid, its masses, and what it refuses."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.process.physics.brine import SATURATED_PCT
from kit.process.steps import fillet, shed


@given(st.integers(5, 200))
def test_the_grid_is_symmetric_and_whole(half):
    fraction, weight = fillet.grid(2 * half + 1)
    assert weight.sum() == pytest.approx(1, abs=1e-12)
    assert np.all(np.diff(fraction) > 0)
    assert fraction == pytest.approx(1 - fraction[::-1], abs=1e-12)
    assert fraction[half] == 0.5


def test_a_raw_fillet_weighs_what_it_weighs():
    piece = fillet.raw("salmon, farmed", 30, 250, skin_on=False)
    assert piece.mass_g == pytest.approx(250, abs=1e-9)
    assert piece.moisture_pct == pytest.approx(piece.composition.water_pct)
    assert piece.mean_wps_pct == piece.salt_pct == 0
    assert piece.present_composition.water_pct == pytest.approx(piece.composition.water_pct, abs=0.1)
    assert piece.area_cm2 * piece.thickness_mm / 10 == pytest.approx(250 / 1.04, rel=0.02)


def test_salt_and_water_count_on_raw_flesh():
    piece = fillet.raw("char, farmed", 20, 200)
    salted = piece.replace(salt_g_100g=piece.salt_g_100g + 2.0)
    assert salted.mass_g == pytest.approx(204)
    assert salted.salt_pct == pytest.approx(100 * 4 / 204)
    assert salted.mean_wps_pct == pytest.approx(100 * 2 / (2 + piece.composition.water_pct))


def test_the_core_is_the_middle_and_profiles_are_read_only():
    piece = fillet.raw("char, farmed", 20, 200)
    warm = piece.replace(temp_c=piece.depth_mm)
    assert warm.core_temp_c == pytest.approx(10)
    assert warm.temp_at(0.25) == pytest.approx(5)
    with pytest.raises(ValueError, match="read-only"):
        warm.temp_c[0] = 99


@given(st.floats(0, 8), st.floats(0, 4))
def test_evaporation_takes_exactly_what_it_says(flesh_g, skin_g):
    piece = fillet.raw("char, farmed", 20, 200)
    after = shed.evaporate(piece, np.array([flesh_g, skin_g]))
    assert after.mass_g == pytest.approx(200 - flesh_g - skin_g, abs=1e-9)
    assert np.all(after.water_g_100g >= shed.LEAST_WATER_G_100G - 1e-9)
    assert after.water_g_100g[40] > 0.9 * piece.water_g_100g[40]


def test_juice_takes_salt_along_and_leaves_the_water_phase_as_it_was():
    piece = fillet.raw("char, farmed", 20, 200)
    salted = piece.replace(salt_g_100g=2.0 + 0.1 * piece.depth_mm)
    after = shed.squeeze(salted, np.ones_like(piece.weight), 20.0)
    assert after.mass_g == pytest.approx(salted.mass_g - 20, abs=1e-9)
    assert after.wps_pct == pytest.approx(salted.wps_pct, rel=1e-9)


def test_a_layer_that_has_dried_gives_little_juice_and_little_of_its_salt():
    piece = fillet.raw("char, farmed", 20, 200)
    salted = piece.replace(salt_g_100g=np.full_like(piece.depth_mm, 2.5))
    dried = shed.evaporate(salted, np.array([12.0, 0.0]))
    after = shed.squeeze(dried, np.ones_like(piece.weight), 20.0)
    assert after.mean_wps_pct == pytest.approx(dried.mean_wps_pct, rel=1e-9)
    brine_g = 200 * float(piece.weight @ (dried.water_g_100g + dried.salt_g_100g)) / 100
    assert salted.salt_g - after.salt_g == pytest.approx(salted.salt_g * 20 / brine_g, rel=1e-9)


def test_a_layer_dries_no_further_than_saturated_brine():
    piece = fillet.raw("char, farmed", 20, 200)
    salted = piece.replace(salt_g_100g=8.0 * np.exp(-piece.depth_mm / 3))
    dried = shed.evaporate(salted, np.array([50.0, 10.0]))
    assert float(dried.wps_pct.max()) <= SATURATED_PCT + 1e-9
    assert dried.salt_g == pytest.approx(salted.salt_g, rel=1e-12)
    assert dried.mass_g == pytest.approx(salted.mass_g - 60, abs=1e-6)


def test_more_than_there_is_cannot_leave():
    piece = fillet.raw("char, farmed", 20, 200)
    with pytest.raises(OutOfRange):
        shed.evaporate(piece, np.array([190.0, 0.0]))
    with pytest.raises(OutOfRange):
        shed.squeeze(piece, np.ones_like(piece.weight), 190.0)


def test_bad_fillets_are_refused():
    with pytest.raises(OutOfRange):
        fillet.raw("char, farmed", 0, 200)
    with pytest.raises(OutOfRange):
        fillet.raw("char, farmed", 20, float("nan"))
    with pytest.raises(OutOfRange):
        fillet.raw("char, farmed", 20, 200, temp_c=float("nan"))
    with pytest.raises(OutOfRange, match="odd"):
        fillet.raw("char, farmed", 20, 200, nodes=40)
    with pytest.raises(UnknownName):
        fillet.raw("shark", 20, 200)
    piece = fillet.raw("char, farmed", 20, 200)
    with pytest.raises(BadData):
        piece.replace(temp_c=np.zeros(5))
    with pytest.raises(BadData):
        piece.replace(weight=piece.weight * 2)
