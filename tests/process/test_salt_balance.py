"""Salt through a whole day: every gram is in the fish or in the ledger, and drying never takes it away.

That salt is neither made nor lost is a balance; saturation is 26.395 % by mass (see
`kit.process.physics.brine`).
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.process.day import BatchCard, run
from kit.process.faults import FAULTS, with_faults
from kit.process.physics.brine import SATURATED_PCT
from kit.process.steps import fillet, shed

CARD = BatchCard(core_target_c=64, chill_target_c=3)
STEPS = ("cure", "rinse", "rest", "dry", "cook", "chill", "keep")


def holds(day) -> None:
    """The ledger closes within 0.1 % of the salt taken up, and no layer holds more than brine can."""
    told = day.masses
    assert abs(told.salt_error_g) <= 0.001 * told.salt_in_cure_g
    assert abs(told.error_g) < 1e-6
    found = told.salt_rinsed_g + told.salt_in_juice_g + float(day.fillet.salt_g)
    assert found == pytest.approx(told.salt_in_cure_g, rel=0.001)
    assert min(told.salt_in_cure_g, told.salt_rinsed_g, told.salt_in_juice_g) > 0
    for step in ("rest", "dry", "chill", "keep"):  # these take water, or nothing: never salt
        before = getattr(day, STEPS[STEPS.index(step) - 1]).fillet.salt_g
        assert getattr(day, step).fillet.salt_g == pytest.approx(before, rel=0.001), step
    for step in STEPS:
        piece = getattr(day, step).fillet
        whole_pct = 100 * piece.salt_g_100g / (piece.salt_g_100g + piece.water_g_100g)
        assert float(whole_pct.max()) <= SATURATED_PCT + 1e-6, f"{step}: brine holds it all, no crystals"


def salt_and_brine_g(piece) -> tuple[float, float]:
    """Return the salt, and the salt and water together. [g]"""
    return piece.salt_g, piece.salt_g + piece.mass_g * piece.moisture_pct / 100


@pytest.mark.parametrize("rh_pct", [None, 20, 45, 70])
@pytest.mark.parametrize("thickness_mm", [20, 26, 45])
def test_the_salt_closes_and_drying_never_lowers_it_in_the_water(rh_pct, thickness_mm):
    day = run(CARD.replace(rh_pct=rh_pct, thickness_mm=thickness_mm))
    holds(day)
    wps = [getattr(day, step).fillet.mean_wps_pct for step in ("dry", "cook", "chill")]
    # No layer weakens. The mean may, and only where the juice was stronger than it: the hottest layers are
    # the salty ones (a loin of 45 mm at 70 %: juice 1.53 %, mean 1.47 %). By how much is a balance.
    assert float(np.min(day.cook.fillet.wps_pct - day.dry.fillet.wps_pct)) >= -1e-9
    juice_pct = 100 * day.cook.salt_in_juice_g / day.masses.juice_g
    assert juice_pct > wps[0] or wps == sorted(wps)
    assert wps[2] > wps[1]
    salt_g, brine_g = salt_and_brine_g(day.dry.fillet)
    left_g = salt_g - day.cook.salt_in_juice_g
    gone_g = day.masses.juice_g + day.cook.evaporation_pct * day.dry.fillet.mass_g / 100
    assert wps[1] == pytest.approx(100 * left_g / (brine_g - gone_g), rel=1e-9)


@pytest.mark.slow
def test_drier_air_leaves_a_saltier_loin():
    """Before, a loin in air of 20 % came out weaker than it went in: juice took salt that was not there."""
    dry, moist = (run(CARD.replace(rh_pct=rh, thickness_mm=45, cure_h=20)) for rh in (20, 70))
    assert dry.cook.evaporation_pct > moist.cook.evaporation_pct
    assert dry.cook.fillet.mean_wps_pct > 1.02 * dry.dry.fillet.mean_wps_pct
    assert dry.cook.fillet.mean_wps_pct > moist.cook.fillet.mean_wps_pct
    assert float(np.min(moist.cook.fillet.wps_pct - moist.dry.fillet.wps_pct)) >= -1e-9


def test_juice_carries_the_salt_of_the_water_it_is():
    """By hand: juice of j g from a piece that holds s g of salt in b g of brine carries about j * s / b."""
    day = run(CARD)
    piece, juice_g = day.dry.fillet, day.masses.juice_g
    brine_g = piece.mass_g * (piece.moisture_pct + piece.salt_pct) / 100
    assert day.cook.salt_in_juice_g == pytest.approx(juice_g * piece.salt_g / brine_g, rel=0.1)


@pytest.mark.slow
def test_a_thicker_piece_of_the_load_took_up_less_salt_in_the_same_hours():
    """The weakest part of a load is its thickest piece: it is cured as what it is, not as the probed one."""
    load, alone = run(CARD.replace(others_mm=(40.0,))), run(CARD.replace(thickness_mm=40.0))
    assert load.others[0].fillet.mean_wps_pct == pytest.approx(alone.cook.fillet.mean_wps_pct, rel=0.05)
    assert load.others[0].fillet.mean_wps_pct < 0.8 * load.cook.fillet.mean_wps_pct


@pytest.mark.parametrize("name", sorted(FAULTS))
def test_it_closes_whatever_goes_wrong(name):
    holds(run(CARD, with_faults(CARD, [name])))


@pytest.mark.slow
@settings(max_examples=12, deadline=None)
@given(
    thickness_mm=st.floats(14, 50),
    cure_h=st.floats(1, 24),
    rh_pct=st.floats(25, 80),
    cabinet_c=st.floats(70, 90),
    dry_h=st.floats(0.5, 14),
)
def test_it_closes_for_any_day(thickness_mm, cure_h, rh_pct, cabinet_c, dry_h):
    piece = CARD.replace(thickness_mm=thickness_mm, cure_h=cure_h, dry_h=dry_h)
    holds(run(piece.replace(rh_pct=rh_pct, cabinet_c=cabinet_c, max_cook_min=120)))


def test_thin_fish_after_days_in_salt_dries_on_with_crystals_and_no_stronger_brine():
    day = run(CARD.replace(thickness_mm=16, skin_on=False, cure_h=48, rh_pct=45))
    cooked = day.cook.fillet
    assert float(np.max(cooked.salt_g_100g - cooked.dissolved_g_100g)) > 1
    assert float(cooked.wps_pct.max()) <= SATURATED_PCT + 1e-9 and cooked.mean_wps_pct <= SATURATED_PCT + 1e-9
    assert abs(day.masses.salt_error_g) <= 0.001 * day.masses.salt_in_cure_g
    assert day.masses.salt_in_juice_g <= day.masses.juice_g * SATURATED_PCT / 100 + 1e-9


@given(
    face_g_100g=st.floats(0, 16),
    reach_mm=st.floats(0.5, 20),
    flesh_g=st.floats(0, 40),
    skin_g=st.floats(0, 10),
    juice_g=st.floats(0.1, 30),
)
def test_water_that_leaves_never_weakens_a_layer_and_juice_never_changes_one(
    face_g_100g, reach_mm, flesh_g, skin_g, juice_g
):
    raw = fillet.raw("char, farmed", 26, 210)
    salted = raw.replace(salt_g_100g=face_g_100g * np.exp(-raw.depth_mm / reach_mm))
    dried = shed.evaporate(salted, np.array([flesh_g, skin_g]))
    assert np.all(dried.wps_pct >= salted.wps_pct - 1e-9)
    assert float(dried.wps_pct.max()) <= SATURATED_PCT + 1e-9
    assert dried.salt_g == pytest.approx(salted.salt_g, rel=1e-12)
    pull = np.linspace(0.2, 1, dried.depth_mm.size)
    after = shed.squeeze(dried, pull, juice_g)
    assert after.wps_pct == pytest.approx(dried.wps_pct, rel=1e-9)
    water_g = dried.mass_g - dried.salt_g - (after.mass_g - after.salt_g)
    assert water_g + dried.salt_g - after.salt_g == pytest.approx(juice_g, rel=1e-9)
    assert (dried.salt_g - after.salt_g) <= juice_g * SATURATED_PCT / 100 + 1e-9
