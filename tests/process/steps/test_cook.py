"""A cook from the door to the door: phases, the stall, the probe, the load, and that the masses close."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.process.steps import fillet, load, shed
from kit.process.steps.cook import CabinetPlan, Place, cook, cook_load

CHAR = fillet.raw("char, farmed", 22, 170, skin_on=False)
PLAN = CabinetPlan(
    core_target_c=64, cabinet_c=82, rh_pct=55, smoke_min=20, smoke_c=45, hold_min=12, carry_over_min=8
)


def test_the_phases_follow_each_other():
    done = cook(CHAR, PLAN)
    assert [phase.name for phase in done.trace.phases] == ["smoke", "cook", "hold", "carry-over"]
    assert done.phase_min["smoke"] == pytest.approx(20)
    assert done.phase_min["hold"] == pytest.approx(12)
    assert done.trace.time_min[-1] == pytest.approx(20 + done.phase_min["cook"] + 12 + 8)
    assert done.minutes_to_target == pytest.approx(20 + done.phase_min["cook"])
    at_target = np.interp(done.minutes_to_target, done.trace.time_min, done.trace.probe_c)
    assert at_target == pytest.approx(64, abs=0.01)
    assert done.trace.during("smoke").air_c[:-1] == pytest.approx(45)
    assert done.trace.during("cook").air_c[-2] == pytest.approx(82)
    assert done.trace.air_c[-1] == pytest.approx(20)
    assert done.held_min >= 12
    assert done.fillet.core_temp_c == pytest.approx(done.trace.core_c[-1])
    assert done.energy_error < 1e-3


def test_there_is_no_default_target():
    with pytest.raises(OutOfRange, match="core_target_c"):
        cook(CHAR, cabinet_c=80, rh_pct=50)


def test_the_mass_closes():
    done = cook(CHAR, PLAN)
    assert done.fillet.mass_g == pytest.approx(done.trace.mass_g[-1], abs=1e-9)
    assert done.fillet.mass_g == pytest.approx(CHAR.mass_g * (1 - done.loss_pct / 100), abs=1e-9)
    assert done.trace.mass_g[0] == pytest.approx(CHAR.mass_g)
    assert np.all(np.diff(done.trace.mass_g) <= 1e-6)


def test_cooking_loss_is_squeezed_out_not_evaporated():
    # Głuchowski 2020: salmon loses 6.3 to 16.2 % in cooking. Our evaporation alone stays far below it.
    done = cook(CHAR, PLAN)
    assert done.evaporation_pct < 5
    assert 6.3 < done.cook_out_pct < 16.2
    assert done.cook_out_range_pct[0] < done.cook_out_pct < done.cook_out_range_pct[1]
    assert cook(CHAR, PLAN, juice_factor=0.0).loss_pct == pytest.approx(done.evaporation_pct)


# Głuchowski 2020 (abstract read): salmon loses 6.3 to 9.1 % in bags at 57 to 63 °C (2019, abstract read), and
# 11.6 to 16.2 % steamed or roasted, where water evaporates too. The bands are printed; the figures are ours.
GENTLE = CabinetPlan(core_target_c=57, cabinet_c=66, rh_pct=75, wetness=0.2, carry_over_min=0)
ROAST = CabinetPlan(core_target_c=72, cabinet_c=120, rh_pct=20, wetness=0.3, carry_over_min=0)


def test_a_gentle_finish_loses_what_is_printed_for_bags():
    done = cook(CHAR, GENTLE)
    assert done.reached
    assert 6.3 <= done.cook_out_pct <= 9.1
    assert 6 <= done.loss_pct <= 9.5


def test_a_roast_loses_what_is_printed_for_roasts():
    done = cook(CHAR, ROAST)
    assert done.reached
    assert 11.6 <= done.loss_pct <= 16.2


def test_57_and_64_degrees_are_not_the_same_fish():
    """1.5 to 3 points lie between them, by a band from memory (confirm); before, both lost 11.25 %."""
    soft, firm = (cook(CHAR, GENTLE, core_target_c=core_c, cabinet_c=core_c + 9) for core_c in (57, 64))
    assert 1.5 <= firm.cook_out_pct - soft.cook_out_pct <= 3.5
    assert soft.listeria.equivalent_min < firm.listeria.equivalent_min


# From memory (confirm): juice of salmon or trout portions by core, without drying at the surface.
REMEMBERED = [(50.0, 4, 8), (60.0, 7, 11), (70.0, 10, 15), (80.0, 13, 19)]


@pytest.mark.parametrize(("core_c", "low", "high"), REMEMBERED)
def test_juice_by_temperature_is_within_the_remembered_band(core_c, low, high):
    assert low <= float(shed.juice(core_c)) <= high


def test_no_juice_leaves_below_30_degrees():
    # Rørå and Regost 2003 (abstract read): the loss of liquid from salmon muscle rises markedly from 30 °C.
    assert shed.juice([5.0, 29.9]).tolist() == [0, 0] and shed.juice(32.0) > 0


def test_a_door_does_not_squeeze_a_fish_twice():
    once = cook(CHAR, PLAN)
    opened = load.cook_with_doors(CHAR, PLAN, [(30, 0.1)])
    assert opened.cook_out_pct == pytest.approx(once.cook_out_pct, rel=0.03)


def test_juice_takes_its_salt_along():
    salted = CHAR.replace(salt_g_100g=CHAR.salt_g_100g + 2.0)
    after = cook(salted, PLAN).fillet
    assert after.mean_wps_pct > salted.mean_wps_pct
    assert after.salt_g_100g.mean() < 2.0


def test_a_cold_piece_gains_water_first():
    assert cook(CHAR, PLAN, rh_pct=70).condensed_pct > cook(CHAR, PLAN, rh_pct=40).condensed_pct > 0.5


def test_a_wet_piece_at_70_c_and_30_percent_stalls_near_48_c():
    # Common practice, no source: kitchens report a stall near 48 °C. The wet bulb of that air is 47.3 °C.
    done = cook(
        CHAR, core_target_c=62, cabinet_c=70, rh_pct=30, wetness=1.0, max_cook_min=300, carry_over_min=0
    )
    assert not done.reached
    assert done.minutes_to_target is None and done.core_minutes_to_target is None
    assert done.held_min == 0
    assert done.peak_core_c == pytest.approx(48, abs=1)
    assert done.ceiling_c == pytest.approx(done.peak_core_c, abs=0.1)
    assert done.phase_min["cook"] == pytest.approx(300)
    assert "hold" not in done.phase_min


def test_damper_air_or_a_drier_skin_gets_past_the_stall():
    stalled = CabinetPlan(core_target_c=62, cabinet_c=70, rh_pct=30, wetness=1.0)
    assert not cook(CHAR, stalled).reached
    assert cook(CHAR, stalled, rh_pct=80).reached
    assert cook(CHAR, stalled, wetness=0.05).reached
    assert cook(CHAR, stalled, dries_after_g_m2=150).reached


def test_reaching_a_core_temperature_is_not_holding_it():
    touched, held = cook(CHAR, PLAN, hold_min=0, carry_over_min=15), cook(CHAR, PLAN, hold_min=30)
    assert touched.reached and held.reached
    assert touched.held_min < 10 < 30 <= held.held_min
    assert held.listeria.log_reduction > touched.listeria.log_reduction + 5


def test_reaching_57_c_alone_is_no_pasteurisation():
    # The longer of the check values in our notes: 0.3 to 1.7 log on reaching 57 °C; six are asked for.
    done = cook(CHAR, PLAN, core_target_c=57, hold_min=0)
    assert done.listeria.log_reduction < 2
    assert done.listeria.extrapolated


@pytest.mark.parametrize(
    ("thickness_mm", "rh_pct", "smoke_c"), [(25, 35, 71.0), (28, 40, 71.0), (25, 40, 50.0), (22, 35, 50.0)]
)
def test_a_trout_sized_fillet_takes_about_an_hour(thickness_mm, rh_pct, smoke_c):
    # Common practice, no source: lowest cooking setting 71 °C, 18 min of smoke, then about 40 min more until
    # the core of a trout-sized salmonid fillet is at 57 °C: 58 min in all, held here to 25 %.
    # The model needs: skin on, 22 to 28 mm at the thickest, 35 to 40 % humidity at the fish, a set pellicle
    # (wetness 0.3), h 20 W/(m²·K), 4 °C to start with. At 50 % and 20 mm it is done in half the time.
    piece = fillet.raw("trout, farmed", thickness_mm, 180, temp_c=4.0)
    done = cook(piece, core_target_c=57, cabinet_c=71, rh_pct=rh_pct, smoke_min=18, smoke_c=smoke_c)
    assert done.phase_min["smoke"] == pytest.approx(18)
    assert done.minutes_to_target == pytest.approx(58, rel=0.25)


@pytest.mark.slow
@given(st.floats(12, 40), st.floats(1.05, 1.5))
@settings(max_examples=20, deadline=None)
def test_thicker_takes_longer_than_in_proportion(thickness_mm, times):
    thin, thick = (
        cook(
            fillet.raw("char, farmed", mm, 170, skin_on=False),
            PLAN,
            smoke_min=0,
            wetness=0.1,
            max_cook_min=900,
        )
        for mm in (thickness_mm, min(60.0, thickness_mm * times))
    )
    assert thick.minutes_to_target > thin.minutes_to_target
    assert thick.minutes_to_target / thin.minutes_to_target > times * 0.98


@pytest.mark.slow
@given(st.floats(75, 95), st.floats(1, 15), st.floats(20, 60))
@settings(max_examples=20, deadline=None)
def test_a_hotter_cabinet_is_never_slower(cabinet_c, more_c, rh_pct):
    cool, hot = (
        cook(CHAR, PLAN, cabinet_c=c, rh_pct=rh_pct, smoke_min=0) for c in (cabinet_c, cabinet_c + more_c)
    )
    assert (hot.minutes_to_target or math.inf) <= (cool.minutes_to_target or math.inf) + 0.05
    assert max(cool.energy_error, hot.energy_error) < 1e-3


def test_a_probe_off_the_centre_reads_high_and_stops_the_cook_too_soon():
    right, wrong = cook(CHAR, PLAN, hold_min=0), cook(CHAR, PLAN, hold_min=0, probe_depth=0.1)
    assert wrong.minutes_to_target < right.minutes_to_target
    during = wrong.trace.during("cook")
    assert during.probe_c[-1] == pytest.approx(64, abs=0.02)
    assert during.core_c[-1] < 63
    assert right.trace.probe_c == pytest.approx(right.trace.core_c)


def test_a_tray_that_blocks_one_face_takes_more_than_twice_as_long():
    rack, tray = cook(CHAR, PLAN, smoke_min=0), cook(CHAR, PLAN, smoke_min=0, tray=True, max_cook_min=600)
    assert tray.minutes_to_target > 2 * rack.minutes_to_target


def test_a_fixed_time_is_kept_whatever_the_probe_says():
    done = cook(CHAR, PLAN, cook_min=5.0, hold_min=0)
    assert done.phase_min["cook"] == pytest.approx(5)
    assert not done.reached
    assert done.core_minutes_to_target is None


def test_a_piece_already_there_needs_no_cook():
    hot = CHAR.replace(temp_c=np.full_like(CHAR.temp_c, 70.0))
    done = cook(hot, PLAN, smoke_min=0)
    assert done.minutes_to_target == 0
    assert done.phase_min["cook"] == 0
    assert done.phase_min["hold"] == pytest.approx(12)


def test_no_minutes_at_all_is_a_piece_unchanged():
    done = cook(CHAR, PLAN, smoke_min=0, cook_min=0.0, hold_min=0, carry_over_min=0)
    assert done.fillet.mass_g == pytest.approx(CHAR.mass_g)
    assert done.trace.time_min.tolist() == [0.0]


def test_carry_over_lifts_the_core_of_a_thick_dry_piece():
    thick = fillet.raw("char, farmed", 45, 600, skin_on=False)
    done = cook(
        thick, PLAN, smoke_min=0, hold_min=0, cabinet_c=110, rh_pct=20, wetness=0.05, carry_over_min=20
    )
    assert done.peak_core_c > 65.5


def test_water_is_not_lost_twice_when_the_phase_changes():
    whole = cook(CHAR, PLAN, smoke_c=82, smoke_rh_pct=55, cook_min=30.0, hold_min=0, carry_over_min=0)
    once = cook(CHAR, PLAN, smoke_min=0, cook_min=50.0, hold_min=0, carry_over_min=0)
    assert whole.evaporation_pct == pytest.approx(once.evaporation_pct, rel=5e-3)
    assert whole.condensed_pct == pytest.approx(once.condensed_pct, rel=5e-3)
    assert whole.trace.core_c[-1] == pytest.approx(once.trace.core_c[-1], abs=0.02)


def test_a_load_leaves_when_the_probed_piece_is_done():
    thin, thick = (fillet.raw("char, farmed", mm, 170, skin_on=False) for mm in (16, 28))
    places = [Place("thin", thin), Place("thick", thick), Place("thick, cool spot", thick, air_offset_c=-15)]
    by_thin, by_thick = (cook_load(places, PLAN, probed=name, hold_min=0) for name in ("thin", "thick"))
    assert by_thin.short == ("thick", "thick, cool spot")
    assert by_thick.short == ("thick, cool spot",)
    assert by_thick.coldest == "thick, cool spot"
    assert by_thick.pieces["thin"].evaporation_pct > by_thin.pieces["thin"].evaporation_pct
    assert {done.trace.time_min[-1] for done in by_thick.pieces.values()} == {
        by_thick.pieces["thick"].trace.time_min[-1]
    }


def test_a_shadowed_place_is_slower():
    places = [Place("open", CHAR), Place("behind the rack", CHAR, air_share=0.5)]
    load = cook_load(places, PLAN, hold_min=0)
    assert load.pieces["behind the rack"].peak_core_c < load.pieces["open"].peak_core_c - 2


@pytest.mark.parametrize(
    ("call", "error"),
    [
        (lambda: cook(CHAR, PLAN, core_target_c=145), OutOfRange),
        (lambda: cook(CHAR, PLAN, cabinet_c=float("nan")), OutOfRange),
        (lambda: cook(CHAR, PLAN, rh_pct=0.5, wetness=3), OutOfRange),
        (lambda: cook(CHAR, PLAN, rh_pct=140), OutOfRange),
        (lambda: cook(CHAR, PLAN, probe_depth=12), OutOfRange),
        (lambda: cook(CHAR, PLAN, smoke_min=-1), OutOfRange),
        (lambda: cook(CHAR, PLAN, smoke_minutes=5), UnknownName),
        (lambda: cook(CHAR.replace(temp_c=CHAR.temp_c - 20), PLAN), OutOfRange),
        (lambda: cook(CHAR, PLAN, carry_over_min=240, room_c=-25), OutOfRange),
        (lambda: cook_load([], PLAN), BadData),
        (lambda: cook_load([Place("a", CHAR), Place("a", CHAR)], PLAN), BadData),
        (lambda: cook_load([Place("a", CHAR)], PLAN, probed="b"), UnknownName),
        (lambda: Place("a", CHAR, air_offset_c=float("nan")), OutOfRange),
    ],
)
def test_bad_input_is_refused(call, error):
    with pytest.raises(error):
        call()
