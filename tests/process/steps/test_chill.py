"""Chilling: the same slab as the cook, cold; and growth as a ceiling that says so."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.process.microbes.spores import perfringens_ceiling, perfringens_rate
from kit.process.physics import heat
from kit.process.physics.food import properties
from kit.process.steps import fillet
from kit.process.steps.chill import CHILLERS, Chiller, chill, chillers


def hot(mm: float = 25, temp_c: float = 57.0):
    return fillet.raw("trout, farmed", mm, 200, temp_c=temp_c)


# Computed with another solver (finite volumes, 40 cells) for 57 to 3 °C in air of -2 °C, dry surface, with
# radiation; its stated tolerance is 5 %. Not published: it checks one program against another.
OTHER_SOLVER = [  # mm, h, faces, minutes
    (25, 25, 2, 83),
    (20, 25, 2, 63),
    (30, 25, 2, 105),
    (25, 35, 2, 68),
    (25, 8, 2, 167),
    (25, 25, 1, 208),
    (25, 8, 1, 376),
]


@pytest.mark.parametrize(("mm", "h", "faces", "minutes"), OTHER_SOLVER)
def test_agrees_with_another_solver(mm, h, faces, minutes):
    chiller = Chiller(-2, 85, h, h if faces == 2 else 0, wetness=0)
    done = chill(hot(mm), chiller, core_target_c=3, max_min=900)
    assert done.minutes_to_target == pytest.approx(minutes, rel=0.05)


def test_follows_the_exact_series_where_properties_hardly_change():
    """From 12 to 2 °C, where conductivity moves by 1 %: within 0.1 °C of the series."""
    piece = hot(24, 12.0)
    chiller = Chiller(0.0, 100, 30, 30, 0.0, radiates=False)
    done = chill(piece, chiller, core_target_c=2, max_min=200)
    flesh = properties(piece.composition, 6.0)
    diffusivity = flesh.conductivity_w_m_k / flesh.density_kg_m3 / flesh.specific_heat_j_kg_k
    fourier = diffusivity * done.trace.time_min * 60 / 0.012**2
    biot = 30 * 0.012 / flesh.conductivity_w_m_k
    # nothing condenses here: the air is saturated at 0 °C and the face is warmer
    series = np.array([12 * heat.slab_theta(biot, each, 0.0) if each > 0 else 12.0 for each in fourier])
    assert np.max(np.abs(done.trace.core_c - series)) < 0.1


def test_ways_to_cool_stand_in_the_order_a_cook_expects():
    minutes = [
        chill(hot(25, 62), name, core_target_c=5, max_min=3000).minutes_to_target for name in chillers()
    ]
    by_name = dict(zip(chillers(), minutes, strict=True))
    assert by_name["ice"] < by_name["blast"] < by_name["walk-in"] < by_name["still tray"]
    assert by_name["walk-in"] < by_name["stacked trays"]


def test_waiting_at_the_pass_is_in_the_record_and_in_the_growth():
    at_once, late = (chill(hot(25, 62), core_target_c=3, wait_min=wait) for wait in (0, 90))
    assert late.trace.phase("carry-over").minutes == pytest.approx(90)
    assert late.minutes_to_target > at_once.minutes_to_target + 30
    assert late.perfringens.log10 > at_once.perfringens.log10 + 0.5


def test_an_overloaded_chiller_warms_and_takes_longer():
    alone = chill(hot(25, 62), core_target_c=3)
    full = chill(hot(25, 62), core_target_c=3, load_kg=60, power_w=1500)
    enough = chill(hot(25, 62), core_target_c=3, load_kg=5, power_w=20_000)
    assert full.warmest_air_c > 15 > alone.warmest_air_c
    assert full.minutes_to_target > 1.3 * alone.minutes_to_target
    assert enough.minutes_to_target == pytest.approx(alone.minutes_to_target, rel=0.02)


def test_a_target_below_the_air_is_a_result_and_not_an_error():
    done = chill(hot(), "walk-in", core_target_c=1, max_min=300)
    assert not done.reached and done.minutes_to_target is None
    assert done.trace.time_min[-1] == pytest.approx(300)


def test_stays_as_long_as_it_is_told():
    done = chill(hot(), "walk-in", core_target_c=8, until_min=400)
    assert done.reached and done.trace.time_min[-1] == pytest.approx(400)
    assert done.minutes_to_target < 400


@settings(max_examples=15, deadline=None)
@given(st.floats(12, 40), st.floats(40, 80), st.floats(8, 60))
def test_mass_closes_and_the_core_only_falls(mm, temp_c, h):
    piece = hot(mm, temp_c)
    done = chill(piece, Chiller(0.0, 85, h, h, 0.2), core_target_c=4, max_min=1200)
    lost_g = piece.mass_g * done.evaporation_pct / 100
    assert done.fillet.mass_g == pytest.approx(piece.mass_g - lost_g, abs=1e-6)
    assert done.trace.mass_g[-1] == pytest.approx(done.fillet.mass_g, abs=1e-6)
    assert np.all(np.diff(done.trace.core_c) <= 1e-3)


def test_growth_is_a_ceiling_and_says_so():
    cooled = perfringens_ceiling([0, 480], [51, 11])
    # science.toml: the no-lag sum for a log-linear 51 to 11 °C in 8 h is about 7.5 log; a straight line in
    # temperature is not that curve, so only the size is checked: several log, where 0.5 was measured.
    assert 4 < cooled.log10 < 12
    assert "ceiling" in cooled.note
    # one hour at the best temperature, by hand: 6.06 / ln 10
    assert perfringens_ceiling([0, 60], [46.4, 46.4]).log10 == pytest.approx(6.06 / math.log(10), abs=1e-6)
    assert perfringens_ceiling([0, 60], [2.0, 2.0]).log10 == 0
    assert perfringens_ceiling([0, 120], [46.4, 46.4]).in_zone_min == pytest.approx(120)


@pytest.mark.parametrize(
    "bad",
    [
        {"core_target_c": math.nan},
        {"core_target_c": 38},
        {"core_target_c": 3, "max_min": 0},
        {"core_target_c": 3, "wait_min": -1},
        {"core_target_c": 3, "room_c": 70},
        {"core_target_c": 3, "load_kg": -1},
        {"core_target_c": 3, "power_w": math.nan},
        {"core_target_c": 3, "until_min": 0},
    ],
)
def test_numbers_out_of_range_are_refused(bad):
    with pytest.raises(OutOfRange):
        chill(hot(), **bad)


def test_other_bad_input_is_refused():
    with pytest.raises(UnknownName, match="blast"):
        chill(hot(), "blas", core_target_c=3)
    with pytest.raises(OutOfRange, match="freeze"):
        Chiller(-18)
    with pytest.raises(OutOfRange):
        Chiller(math.nan)
    with pytest.raises(OutOfRange):
        perfringens_rate(math.nan)
    with pytest.raises(UnknownName):
        perfringens_rate(20, "trout")
    with pytest.raises(BadData, match="gap"):
        perfringens_ceiling([0, 1, 2], [50, math.nan, 40])
    with pytest.raises(BadData):
        perfringens_ceiling([0, 2, 1], [50, 45, 40])


def test_every_named_chiller_says_that_it_has_no_source():
    assert all(each.note == "common practice, no source" for each in CHILLERS.values())
