"""The solver: against the exact series, its own energy, and the physics of a wet face."""

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from kit.basics.errors import BadData, OutOfRange
from kit.process.physics import air, food, slab
from kit.process.physics.heat import slab_theta
from kit.process.physics.slab import SEALED, Face
from kit.process.steps import fillet

CONDUCTIVITY, DENSITY, HEAT, START_C, AIR_C = 0.5, 1050.0, 3500.0, 5.0, 90.0
DIFFUSIVITY = CONDUCTIVITY / (DENSITY * HEAT)
MINUTES = np.array([0.0, 1, 2, 5, 10, 30, 60, 120])
FRACTION, WEIGHT = fillet.grid()
TROUT = fillet.raw("trout, farmed", 25, 180, temp_c=4.0)
FLESH = food.table(TROUT.composition)


def constant_table():
    rungs = np.linspace(-1, 150, 605)
    return food.make_table(rungs, np.full(605, DENSITY * HEAT), np.full(605, CONDUCTIVITY))


def dry(h, **more):
    return Face(AIR_C, rh_pct=0, h_w_m2_k=h, emissivity=0, **more)


def run(faces, minutes=MINUTES, thickness_mm=25, table=FLESH, start=TROUT.temp_c, **more):
    return slab.warm(start, FRACTION, WEIGHT, thickness_mm, table, faces, minutes, **more)


@pytest.mark.parametrize("thickness_mm", [15, 25, 40])
@pytest.mark.parametrize("h", [8, 20, 30])
@pytest.mark.parametrize("half", [True, False])
def test_every_point_is_within_a_hundredth_of_a_degree_of_the_series(h, thickness_mm, half):
    # ``half``: both faces alike, solved as half a slab. Otherwise the second face looks at other walls,
    # which means nothing to it at emissivity 0, so the whole slab is solved.
    faces = (dry(h), dry(h) if half else dry(h, walls_c=50.0))
    found = run(
        faces, thickness_mm=thickness_mm, table=constant_table(), start=np.full(FRACTION.size, START_C)
    )
    length = thickness_mm / 2000
    fourier = DIFFUSIVITY * MINUTES * 60 / length**2
    theta = slab_theta(
        h * length / CONDUCTIVITY, fourier[:, None], np.abs(2 * FRACTION - 1)[None, :], terms=60
    )
    exact = AIR_C + (START_C - AIR_C) * theta
    assert np.abs(found.temp_c - exact)[1:].max() <= 0.01


def test_a_sealed_second_face_is_half_of_a_slab_twice_as_thick():
    start = np.full(FRACTION.size, START_C)
    single = run((dry(20), SEALED), thickness_mm=15, start=start)
    double = run((dry(20), dry(20)), thickness_mm=30, start=start)
    assert single.temp_c[-3, -1] == pytest.approx(double.temp_c[-3, FRACTION.size // 2], abs=0.02)


CABINETS = [
    (Face(71, 50, 20, 1.0), Face(71, 50, 20, 1.0)),
    (Face(71, 50, 20, 0.3), Face(71, 50, 20, 0.0)),
    (Face(80, 30, 12, 1.0, dries_after_g_m2=300), Face(80, 30, 12, 0.2)),
    (Face(90, 60, 28, 0.3), SEALED),
]


@pytest.mark.parametrize("faces", CABINETS)
def test_heat_through_the_faces_is_heat_found_inside(faces):
    found = run(faces, slab.output_times(120))
    assert found.heat_in_j_m2[-1].sum() == pytest.approx(found.heat_gain_j_m2[-1], rel=1e-3)


@pytest.mark.parametrize("faces", CABINETS)
def test_tighter_time_steps_change_nothing_that_matters(faces):
    minutes = slab.output_times(120)
    usual, tight = run(faces, minutes), run(faces, minutes, tolerance=0.01)
    assert np.abs(usual.temp_c - tight.temp_c).max() < 0.01


@pytest.mark.slow
@given(
    air_c=st.floats(30, 95),
    rh_pct=st.floats(0, 80),
    h=st.floats(4, 40),
    wetness=st.floats(0, 1),
    thickness_mm=st.floats(8, 50),
)
@settings(max_examples=40, deadline=None)
@example(air_c=71.37109375, rh_pct=46.230510111523316, h=15.6875, wetness=1.0, thickness_mm=50.0)
def test_energy_closes_and_nothing_passes_the_hottest_or_coldest_thing_around(
    air_c, rh_pct, h, wetness, thickness_mm
):
    face = Face(air_c, rh_pct, h, wetness)
    found = run((face, Face(air_c, rh_pct, h, 0.0)), slab.output_times(60), thickness_mm)
    moved = np.abs(found.heat_gain_j_m2).max()
    assert abs(found.heat_in_j_m2[-1].sum() - found.heat_gain_j_m2[-1]) <= 1e-3 * moved
    assert found.temp_c.max() <= max(air_c, 4.0) + 0.05
    assert found.temp_c.min() >= min(4.0, air.moist_air(air_c, rh_pct).wet_bulb_c - 3) - 0.05
    # water lost is the difference of two integrals: where a face turns from wetting to drying, after
    # 868 g/m² of dew in the case found, their rounding shows as −0.0014 g/m²
    assert np.all(np.diff(found.evaporated_g_m2, axis=0) >= -0.01)
    assert np.all(np.diff(found.condensed_g_m2, axis=0) >= -0.1)


def test_a_wet_face_stalls_near_48_and_a_dry_one_does_not():
    # Common practice, no source: a wet piece at 70 °C and 30 % stalls near 48 °C. The wet bulb is 47.3 °C.
    wet = Face(70, 30, 20, 1.0)
    assert slab.stall_temp(wet) == pytest.approx(48, abs=1)
    assert run((wet, wet), slab.output_times(300)).temp_c[-1] == pytest.approx(slab.stall_temp(wet), abs=0.05)
    assert slab.stall_temp(Face(70, 30, 20, 0.0)) == pytest.approx(70, abs=1e-3)


@given(st.floats(20, 60), st.floats(5, 90))
@settings(deadline=None)
def test_without_radiation_a_wet_face_is_within_two_degrees_of_the_wet_bulb(air_c, rh_pct):
    # Lewis number 0.85 to 0.89, not 1, and water activity 0.98: near the wet bulb, not on it.
    wet_bulb = air.moist_air(air_c, rh_pct).wet_bulb_c
    assert slab.stall_temp(Face(air_c, rh_pct, 20, 1.0, emissivity=0)) == pytest.approx(wet_bulb, abs=2.0)


def test_a_cold_piece_gains_condensate_whatever_its_skin():
    wet, sealed_skin = (run((Face(71, 60, 20, w),) * 2, slab.output_times(30)) for w in (1.0, 0.0))
    assert wet.condensed_g_m2[-1, 0] == pytest.approx(sealed_skin.condensed_g_m2[-1, 0], rel=1e-2)
    assert wet.condensed_g_m2[-1, 0] > 100
    assert sealed_skin.evaporated_g_m2[-1, 0] == 0


def test_a_face_that_dries_gets_past_its_stall():
    still, dries = Face(70, 30, 20, 1.0), Face(70, 30, 20, 1.0, dries_after_g_m2=200)
    minutes = slab.output_times(240)
    core = FRACTION.size // 2
    assert run((still, still), minutes).temp_c[-1, core] < 49
    assert run((dries, dries), minutes).temp_c[-1, core] > 55


def test_what_was_lost_before_is_carried_on():
    face = Face(70, 30, 20, 1.0, dries_after_g_m2=200)
    fresh, dried = run((face, face)), run((face, face), lost_g_m2=(600.0, 600.0))
    assert dried.evaporated_g_m2[0, 0] == pytest.approx(600)
    assert dried.temp_c[-1, 0] > fresh.temp_c[-1, 0] + 3


def test_it_cools_by_the_same_lines():
    cold = Face(1, 80, 25, 0.3)
    found = run((cold, cold), slab.output_times(180), start=np.full(FRACTION.size, 62.0))
    assert np.all(np.diff(found.temp_c[:, FRACTION.size // 2]) < 1e-6)
    assert found.heat_in_j_m2[-1].sum() < 0
    assert found.temp_c[-1].max() < 4


def test_bad_input_is_refused():
    with pytest.raises(BadData, match="do not rise"):
        run((dry(20), dry(20)), np.array([1.0, 2.0]))
    with pytest.raises(OutOfRange, match="percent"):
        Face(70, rh_pct=130)
    with pytest.raises(OutOfRange):
        Face(float("nan"))
    with pytest.raises(OutOfRange):
        Face(70, 50, 20, 1.2)
    with pytest.raises(OutOfRange, match="sealed"):
        slab.stall_temp(SEALED)
