"""The cabinet's air as an outcome: balances, what a load does to it, and the piece that hangs in it."""

import dataclasses

import numpy as np
import psychrolib
import pytest

from kit.basics.errors import BadData, OutOfRange
from kit.process.day import BatchCard
from kit.process.day import run as run_day
from kit.process.physics import air, salt
from kit.process.steps import fillet, kiln_air
from kit.process.steps import kiln as kiln_steps
from kit.process.steps.cabinet import CabinetPlan
from kit.process.steps.cook import cook
from kit.process.steps.kiln import Kiln, KilnStage, in_its_air, run
from kit.process.whole import whole_fillet

PIECE = fillet.raw("salmon, farmed", 26, 200)
COOK = [
    KilnStage("smoke", 60, 25, vents=0.3),
    KilnStage("cook", 80, 120, until_core_c=64),
    KilnStage("hold", 72, 30),
]
CARD = BatchCard(64, 3, species="salmon, farmed", thickness_mm=26, mass_g=200)


@pytest.fixture(scope="module")
def plain():
    return run(Kiln(), PIECE, 12, COOK, probed=3)


@pytest.mark.slow
@pytest.mark.parametrize("kiln", [Kiln(), Kiln(steam_g_h=4000, racks=6), Kiln(heater_w=1500, vents_m3_h=400)])
def test_water_and_heat_add_up(kiln):
    staged = [dataclasses.replace(each, steam_rh_pct=45) for each in COOK]
    found = run(kiln, PIECE, 12, staged)
    assert found.water_error < 0.01
    assert found.heat_error < 0.01


@pytest.mark.slow
def test_no_small_kiln_has_80_degrees_at_45_percent_unasked(plain):
    in_cook = (plain.time_min > plain.phases[1].start_min + 5) & (plain.time_min < plain.phases[1].end_min)
    assert float(plain.air_c[in_cook].max()) > 79
    assert float(plain.rh_pct[in_cook].max()) < 35
    asked = run(
        Kiln(steam_g_h=8000), PIECE, 12, [dataclasses.replace(each, steam_rh_pct=45) for each in COOK]
    )
    assert 40 < float(np.interp(40, asked.time_min, asked.rh_pct[:, 0])) < 50


@pytest.mark.slow
def test_water_settles_on_a_set_pellicle_only_where_steam_makes_it(plain):
    asked = run(
        Kiln(steam_g_h=8000), PIECE, 12, [dataclasses.replace(each, steam_rh_pct=45) for each in COOK]
    )
    assert plain.condensed_g_m2.max() < 10
    assert asked.condensed_g_m2.min() > 100


def test_a_full_cabinet_is_damp_and_its_last_rack_is_cool():
    few, many = (run(Kiln(), PIECE, kg, [KilnStage("cook", 75, 40)]) for kg in (3, 30))
    assert many.rh_pct[-1, 0] > few.rh_pct[-1, 0] + 5
    spread = [float(np.ptp(each.at(10)[0])) for each in (few, many)]
    assert spread[1] > 4 * spread[0] > 0
    assert np.all(np.diff(many.at(10)[0]) < 0)
    assert np.all(np.diff(many.core_c[-1]) < 0)


@pytest.mark.slow
def test_open_vents_dry_the_air_and_cost_heat():
    shut, opened = (run(Kiln(), PIECE, 12, [KilnStage("cook", 75, 60, vents=vents)]) for vents in (0, 1))
    assert opened.rh_pct[-1, 0] < 0.6 * shut.rh_pct[-1, 0]
    assert opened.heater_w[-1] > shut.heater_w[-1] + 1000
    assert opened.core_c[-1, 0] < shut.core_c[-1, 0]


def test_stages_are_climbed_one_after_the_other():
    ramp = [KilnStage("30", 30, 20), KilnStage("50", 50, 20), KilnStage("80", 80, 20)]
    found = run(Kiln(), PIECE, 12, ramp)
    for minute, set_c in ((19, 30), (39, 50), (59, 80)):
        assert found.at(minute)[0][0] == pytest.approx(set_c, abs=1.2)
    assert [each.name for each in found.phases] == ["30", "50", "80"]


def test_a_weak_heater_is_late():
    strong, weak = (
        run(Kiln(heater_w=watts), PIECE, 25, [KilnStage("cook", 80, 30)]) for watts in (9000, 2000)
    )
    assert weak.at(8)[0][0] < strong.at(8)[0][0] - 10


# With hardly any fish in it a cabinet at rest holds the room's water and the steam, thinned by the fresh air;
# what humidity that is at its temperature, psychrolib says, in formulas of its own.
@pytest.mark.slow
def test_an_empty_cabinet_comes_to_the_humidity_that_psychrolib_gives():
    psychrolib.SetUnitSystem(psychrolib.SI)
    room = Kiln(steam_g_h=1000, vents_m3_h=60, leak_m3_h=0.001)
    found = run(room, PIECE, 0.001, [KilnStage("cook", 70, 240, vents=1.0, steam_rh_pct=100)])
    ratio = psychrolib.GetHumRatioFromRelHum(18.0, 0.6, 101325.0)
    dry_air_kg_h = 60 * 1.2 / (1 + ratio)
    expected = psychrolib.GetRelHumFromHumRatio(float(found.air_c[-1, 0]), ratio + 1 / dry_air_kg_h, 101325.0)
    assert found.rh_pct[-1, 0] == pytest.approx(100 * expected, rel=0.02)


@pytest.mark.slow
def test_a_piece_followed_in_that_air_becomes_as_hot_as_the_kiln_says():
    plan = CabinetPlan(
        core_target_c=64, cabinet_c=80, rh_pct=45, smoke_min=25, smoke_c=60, hold_c=72, hold_min=20
    )
    there = in_its_air(Kiln(), PIECE, 12, dataclasses.replace(plan, wetness=0.2))
    followed = cook(PIECE, there)
    own = run(Kiln(), PIECE, 12, COOK, probed=3)
    for minute in (20.0, 40.0, 60.0):
        ours = np.interp(minute, followed.trace.time_min, followed.trace.core_c)
        assert ours == pytest.approx(np.interp(minute, own.time_min, own.core_c[:, 3]), abs=0.5)
    assert followed.energy_error < 0.005


@pytest.mark.slow
def test_more_depths_change_hardly_anything(plain, monkeypatch):
    monkeypatch.setattr(kiln_air, "NODES", 41)
    fine = run(Kiln(), PIECE, 12, COOK, probed=3)
    for minute in (20, 50, 80):
        assert np.interp(minute, fine.time_min, fine.core_c[:, 3]) == pytest.approx(
            np.interp(minute, plain.time_min, plain.core_c[:, 3]), abs=0.4
        )
        assert fine.at(minute)[1][0] == pytest.approx(plain.at(minute)[1][0], abs=1.0)


@pytest.mark.slow
def test_a_day_in_a_kiln_takes_its_humidity_from_it_and_still_holds():
    record = run_day(CARD.replace(kiln=Kiln()))
    assert record.cook.held_min >= CARD.hold_min
    assert record.cook.peak_core_c < 64 + 3.5
    assert record.cook.condensed_pct < 0.1
    as_set = run_day(CARD.replace(rh_pct=45.0))
    assert as_set.cook.condensed_pct > 3
    assert record.cook.evaporation_pct > as_set.cook.evaporation_pct


@pytest.mark.slow
def test_a_day_that_asks_for_nothing_gets_the_air_of_a_plain_small_kiln():
    """Nobody has 45 % at 80 °C unasked: dry while it smokes, damper as the load gives water off, no fog."""
    record = run_day(CARD)
    path, smoked = record.cook.plan.air, record.cook.trace.phase("smoke")
    assert path is not None and smoked is not None
    assert record.cook.plan.air_at(smoked.end_min)[1] < 20
    assert np.all(np.diff(path.rh_pct[path.time_min > smoked.end_min + 2]) > -0.1)
    assert record.cook.condensed_pct < 1
    assert record.cook.held_min >= CARD.hold_min
    assert record.cook.peak_core_c < 64 + 3.5
    opened = run_day(CARD.replace(vents=1.0))
    assert opened.cook.plan.air_at(60)[1] < 0.6 * record.cook.plan.air_at(60)[1]
    assert run_day(CARD.replace(load_kg=5.0)).cook.evaporation_pct > record.cook.evaporation_pct


@pytest.mark.slow
def test_the_usual_air_is_that_of_the_same_kiln_followed_with_its_fish():
    """Kept for pieces that are alike, it is what the kiln gives with a load of the mean thickness."""
    path = kiln_steps.usual_air(15.2, 20, 80, 25, wetness=0.2)
    assert path is kiln_steps.usual_air(14.8, 20, 80, 25.3, wetness=0.21)
    load = fillet.raw("salmon, farmed", 15, 200)
    stages = [KilnStage("smoke", 80, 25, vents=0.3), KilnStage("cook", 80, 60)]
    own = run(Kiln(), load, 20, stages, wetness=0.2)
    for minute in (10, 40, 80):
        told = np.interp(minute, path.time_min, path.rh_pct)
        assert told == pytest.approx(own.at(minute)[1][-1], abs=0.5)


@pytest.mark.slow
def test_a_strong_brine_gives_its_water_off_more_slowly_and_a_dry_tail_hardly_any():
    light, strong = (run_day(CARD.replace(cure_h=hours)) for hours in (2, 24))
    assert strong.cook.plan.water_activity < 0.93 < light.cook.plan.water_activity
    assert strong.cook.evaporation_pct < light.cook.evaporation_pct
    side = whole_fillet(run_day(CARD.replace(thickness_mm=30, mass_g=1400, cure_h=20)))
    assert side.moisture_pct.min() > 15


@pytest.mark.slow
def test_the_hold_is_turned_down_by_the_vapour_there_is_and_a_door_is_followed_on_the_path():
    record = run_day(CARD.replace(doors=((8.0, 10.0),)))
    plan, hold = record.cook.plan, record.cook.trace.phase("hold")
    assert hold is not None and plan.hold_c is not None
    air_c = record.cook.trace.air_c
    assert air_c is not None
    seen_c = np.interp(hold.start_min + 5, record.cook.trace.time_min, air_c)
    assert seen_c == pytest.approx(plan.held_air(hold.start_min, True)[0], abs=0.1)
    assert plan.hold_c < CARD.cabinet_c
    shut = run_day(CARD)
    assert record.cook.minutes_to_target > shut.cook.minutes_to_target + 3


@pytest.mark.slow
def test_an_open_door_cools_the_kiln_and_keeps_the_fish_in_longer():
    shut, opened = (run_day(CARD.replace(kiln=Kiln(), doors=doors)) for doors in ((), ((8.0, 10.0),)))
    assert opened.cook.minutes_to_target > shut.cook.minutes_to_target + 3
    air_c = opened.cook.trace.air_c
    assert air_c is not None
    assert float(np.interp(40, opened.cook.trace.time_min, air_c)) < 70


def test_the_vapour_of_the_path_is_that_of_the_air(plain):
    path = plain.path(0)
    assert np.all(path.rh_pct <= 100.5)
    ratio = air.moist_air(path.air_c, np.minimum(path.rh_pct, 100)).humidity_ratio
    assert float(ratio[-1]) > float(ratio[0])


@pytest.mark.parametrize(
    ("wrong", "error"),
    [
        (lambda: run(Kiln(), PIECE, 12, []), BadData),
        (lambda: run(Kiln(), PIECE, [3, 3], COOK), BadData),
        (lambda: run(Kiln(), PIECE, 12, COOK, probed=4), BadData),
        (lambda: run(Kiln(), PIECE, 0, COOK), OutOfRange),
        (lambda: Kiln(racks=0), OutOfRange),
        (lambda: KilnStage("cook", 200, 5), OutOfRange),
        (lambda: run(Kiln(), PIECE, 2, COOK[:1]).path(9), BadData),
    ],
)
def test_what_cannot_be_is_refused(wrong, error):
    with pytest.raises(error):
        wrong()


def test_the_two_figures_of_a_load_are_what_their_notes_say():
    """4·ε·σ·T³ at 40 and 60 °C by hand; the activity of a light cure by Pitzer's form."""
    assert [4 * 0.95 * 5.670374e-8 * (273.15 + c) ** 3 for c in (40, 60)] == pytest.approx(
        [6.6, 8.0], abs=0.05
    )
    assert 6.6 < kiln_air.RADIATION_W_M2_K < 8.0
    assert float(salt.water_activity(3.5)) == pytest.approx(kiln_air.WATER_ACTIVITY, abs=0.002)
