"""Moist air: shapes, edges, what must hold everywhere, and the laminar plate."""

import ht
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.basics.errors import OutOfRange
from kit.process.physics.air import (
    air_properties,
    mass_transfer,
    moist_air,
    plate_heat_transfer,
    saturation_pressure,
)


def test_numbers_in_numbers_out_and_arrays_in_arrays_out():
    one, many = moist_air(20, 50), moist_air(np.array([20.0, 30.0]), 50)
    for name in ("humidity_ratio", "wet_bulb_c", "dew_point_c", "enthalpy_j_kg", "vapour_kg_m3"):
        assert isinstance(getattr(one, name), float)
        assert getattr(many, name).shape == (2,)
        assert getattr(many, name)[0] == pytest.approx(getattr(one, name), rel=1e-12)
    assert isinstance(saturation_pressure(20), float)
    assert saturation_pressure([20.0, 30.0]).shape == (2,)


@given(st.floats(-20, 95), st.floats(1, 99))
def test_dew_point_below_wet_bulb_below_dry_bulb(temp_c, rh_pct):
    state = moist_air(temp_c, rh_pct)
    assert (
        state.dew_point_c <= state.wet_bulb_c + 0.35
    )  # over ice the wet bulb can sit just under the frost point
    assert state.wet_bulb_c <= temp_c + 1e-6
    assert saturation_pressure(state.dew_point_c) == pytest.approx(
        rh_pct / 100 * saturation_pressure(temp_c), rel=1e-6
    )


@given(st.floats(-10, 90), st.floats(5, 90))
def test_damper_air_is_wetter_and_has_a_higher_wet_bulb(temp_c, rh_pct):
    drier, damper = moist_air(temp_c, rh_pct), moist_air(temp_c, rh_pct + 5)
    assert damper.humidity_ratio > drier.humidity_ratio
    assert damper.wet_bulb_c > drier.wet_bulb_c


def test_saturated_air_has_one_temperature():
    state = moist_air(40, 100)
    assert state.wet_bulb_c == pytest.approx(40, abs=1e-4)
    assert state.dew_point_c == pytest.approx(40, abs=1e-4)


def test_dry_air_has_no_dew_point_above_minus_100():
    assert moist_air(20, 0).dew_point_c == -100


@pytest.mark.parametrize(("speed", "length"), [(0.3, 0.25), (1.0, 0.25), (3.0, 0.25), (1.0, 0.1)])
def test_the_plate_agrees_with_a_heat_transfer_library(speed, length):
    # ht, run here: its laminar mean Nusselt number for a plate is the same 0.664 Re^(1/2) Pr^(1/3).
    film = air_properties(3.0)
    nusselt = ht.conv_external.Nu_horizontal_plate_laminar_Baehr(
        Re=speed * length / film.viscosity_m2_s, Pr=film.prandtl
    )
    expected = nusselt * film.conductivity_w_m_k / length
    assert plate_heat_transfer(speed, length, 3.0) == pytest.approx(expected, rel=0.01)


def test_mass_transfer_goes_with_heat_transfer():
    assert mass_transfer(20, 40) == pytest.approx(2 * mass_transfer(10, 40))
    assert 0.83 < air_properties(60).lewis < 0.90


@pytest.mark.parametrize(
    "call",
    [
        lambda: moist_air(20, 130),
        lambda: moist_air(20, float("nan")),
        lambda: moist_air(float("nan"), 50),
        lambda: moist_air(20, 50, 1013),
        lambda: moist_air(110, 90),
        lambda: saturation_pressure(400),
        lambda: saturation_pressure([20.0, float("nan")]),
        lambda: plate_heat_transfer(0, 0.25, 3),
        lambda: plate_heat_transfer(20, 2, 3),
        lambda: air_properties(300),
        lambda: mass_transfer(-1, 20),
    ],
)
def test_bad_numbers_are_refused(call):
    with pytest.raises(OutOfRange):
        call()
