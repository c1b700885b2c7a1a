"""Salt and water through cure, rinse, drying and store: nothing lost, nothing made, whatever the settings."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kit.process.physics import heat, salt
from kit.process.steps import cure, fillet, keep, pellicle
from kit.process.steps.pellicle import Draught


def grams(one, column):
    return one.raw_mass_g * float(one.weight @ getattr(one, column)) / 100


@pytest.mark.slow
@settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(
    species=st.sampled_from(["trout, farmed", "char, farmed"]),
    thickness_mm=st.floats(6, 60),
    skin_on=st.booleans(),
    hours=st.floats(0.3, 30),
    strength=st.floats(4, 26.39),
    rinse_min=st.floats(0.5, 30),
    dry_h=st.floats(0.5, 48),
    air_c=st.floats(4, 38),
    rh_pct=st.floats(30, 98),
    speed=st.floats(0.1, 6),
    days=st.floats(0.5, 20),
)
def test_a_day_closes_to_the_gram(
    species, thickness_mm, skin_on, hours, strength, rinse_min, dry_h, air_c, rh_pct, speed, days
):
    raw = fillet.raw(species, thickness_mm, 200, skin_on=skin_on)
    cured = cure.cure(raw, hours, surface_wps_pct=strength)
    rinsed = cure.rinse(cured.fillet, rinse_min)
    dried = pellicle.dry(rinsed.fillet, dry_h, Draught(air_c, rh_pct, speed))
    chilled = dried.fillet.replace(temp_c=np.full(raw.temp_c.shape, 4.0))
    kept = keep.keep(chilled, days)
    steps = [raw, cured.fillet, rinsed.fillet, dried.fillet, kept.fillet]
    for before, after, gained in zip(
        steps, steps[1:], [cured.salt_g.middle, rinsed.salt_g.middle, 0, 0], strict=False
    ):
        assert grams(after, "salt_g_100g") - grams(before, "salt_g_100g") == pytest.approx(gained, abs=1e-7)
        dry_matter = after.mass_g - grams(after, "salt_g_100g") - grams(after, "water_g_100g")
        assert dry_matter == pytest.approx(raw.mass_g * raw.composition.dry_pct / 100, abs=1e-7)
        assert np.all(np.isfinite(after.wps_pct))
        assert after.salt_g_100g.min() >= 0
        assert after.water_g_100g.min() >= 0
    assert dried.water_lost_g == pytest.approx(rinsed.fillet.mass_g - dried.fillet.mass_g, abs=1e-7)
    assert dried.fillet.mass_g == pytest.approx(kept.fillet.mass_g, abs=1e-6)
    assert np.all(cured.fillet.wps_pct <= strength + 1e-6)
    assert dried.trace.core_c.max() <= max(air_c, rinsed.fillet.core_temp_c) + 3


def test_uptake_is_the_heat_series_without_surface_resistance():
    # Salt and heat obey one equation: at a very large Biot number a slab's temperatures are a plane sheet's.
    for fourier in (0.02, 0.1, 0.4, 1.0):
        for place in (0.0, 0.5, 0.9):
            theta = heat.slab_theta(1e7, fourier, place)
            assert salt.uptake_profile(fourier, place) == pytest.approx(1 - theta, abs=2e-6)
        assert salt.uptake_fraction(fourier) == pytest.approx(heat.slab_heat_fraction(1e7, fourier), abs=2e-6)
