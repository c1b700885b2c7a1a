"""Keeping: growth is a ceiling and says so, cold beats salt, freezing is proved at the core."""

import numpy as np
import pytest

from kit.basics.errors import BadData, OutOfRange
from kit.process.physics.trace import Trace
from kit.process.steps import cure, fillet, keep


def piece(thickness_mm=24.0, temp_c=3.0):
    return fillet.raw("trout, farmed", thickness_mm, 180, temp_c=temp_c)


def flat(temp_c, days):
    return Trace(np.array([0.0, days * 1440.0]), np.array([temp_c, temp_c], dtype=float))


def test_every_result_says_that_its_numbers_are_from_memory():
    life = keep.shelf_life(3, 3.5, listeria_log10_allowed=1, longest_days=10)
    for result in (keep.listeria_growth(4, 3.5), keep.keep(piece(), 5), life):
        assert result.seen is False
        for words in ("from memory", "no lag", "ceiling", "competent person"):
            assert words in result.note


def test_cold_does_most_and_salt_helps():
    base = keep.listeria_rate(4, 3.5)
    assert keep.listeria_rate(8, 3.5) > 2.4 * base
    assert keep.listeria_rate(3, 3.5) < 0.8 * base
    assert 0.6 * base < keep.listeria_rate(4, 5.0) < 0.9 * base
    assert keep.listeria_rate(4, 3.5, ph=5.5) < base
    assert keep.listeria_rate(4, 3.5, phenol_ppm=10) < base


def test_growth_stops_where_the_model_ends():
    assert keep.listeria_rate(-5, 3.5, extrapolate=True) == 0
    assert keep.listeria_rate(10, 14, extrapolate=True) == 0
    assert keep.listeria_growth(-5, 3, extrapolate=True).days_per_log10.low == float("inf")
    assert keep.listeria_growth(-5, 3, extrapolate=True).extrapolated
    assert not keep.listeria_growth(4, 3).extrapolated


def test_days_are_a_band_of_a_factor_of_one_and_a_half():
    two = keep.listeria_growth(4, 3.5).days_to(2)
    assert two.high / two.middle == pytest.approx(1.5)
    assert two.middle / two.low == pytest.approx(1.5)


def test_growth_over_a_record_adds_up():
    steady = keep.listeria_log10(flat(4, 10), 3.5)
    assert steady == pytest.approx(10 / keep.listeria_growth(4, 3.5).days_per_log10.middle, rel=1e-9)
    ramp = Trace(np.array([0.0, 1440.0]), np.array([2.0, 12.0]))
    fine = np.linspace(2, 12, 100_001)
    exact = float(np.mean(keep.listeria_rate(fine, 3.5))) * 24 / np.log(10)
    assert keep.listeria_log10(ramp, 3.5) == pytest.approx(exact, rel=1e-3)


def test_four_times_as_fast_at_ten_degrees():
    assert keep.spoilage_rate(np.array([0.0, 5, 10])) == pytest.approx([1, 2.25, 4])
    bench = Trace(np.array([0.0, 1440.0, 1441.0, 2881.0]), np.array([10.0, 10.0, 0.0, 0.0]))
    assert keep.ice_days(bench) == pytest.approx(5, abs=0.01)
    assert keep.days_left(flat(0, 4), 12, 0) == pytest.approx(8)
    assert keep.days_left(flat(10, 4), 12, 0) == 0


def test_a_warm_afternoon_costs_more_than_days_of_cold():
    cold = keep.keep(piece(), 10, 3.0)
    spell = keep.keep(piece(), 10, [(0, 3), (4, 3), (4.05, 20), (4.35, 20), (4.4, 3)])
    gained = spell.listeria_log10 - cold.listeria_log10
    assert gained > 4 * cold.listeria_log10 / 10
    assert 12 < spell.warmest_c < 20
    assert cold.trace.phase("store").minutes == 14_400


def test_the_fillet_follows_its_store_as_one_lump():
    warm = keep.keep(piece(temp_c=15), 0.5, 3.0)
    assert warm.trace.core_c[0] == pytest.approx(15)
    assert np.all(np.diff(warm.trace.core_c) < 0)
    assert warm.fillet.core_temp_c == pytest.approx(3, abs=0.1)
    rate = -np.log((warm.trace.core_c[100] - 3) / 12) / warm.trace.time_min[100]
    again = -np.log((warm.trace.core_c[200] - 3) / 12) / warm.trace.time_min[200]
    assert rate == pytest.approx(again, rel=1e-9)


def test_salt_goes_on_evening_out_in_the_pack_and_the_mass_stays():
    cured = cure.cure(piece(), 4).fillet
    kept = keep.keep(cured, 14)
    assert kept.fillet.mass_g == pytest.approx(cured.mass_g, rel=1e-9)
    assert np.ptp(kept.fillet.wps_pct) < 0.2 * np.ptp(cured.wps_pct)
    assert kept.listeria_log10_weakest >= kept.listeria_log10
    assert keep.keep(piece(), 14).listeria_log10 > kept.listeria_log10


def test_the_shortest_limit_wins():
    by_rule = keep.shelf_life(1, 5, listeria_log10_allowed=2, longest_days=5)
    assert (by_rule.decides, by_rule.days.middle) == ("the rule", 5)
    by_germs = keep.shelf_life(8, 3, listeria_log10_allowed=1, longest_days=14)
    assert by_germs.decides == "growth of Listeria"
    assert by_germs.days.low < by_germs.days.middle < by_germs.days.high <= 14
    by_nose = keep.shelf_life(5, 5, listeria_log10_allowed=3, longest_days=30, spoils_on_ice_days=9)
    assert by_nose.decides == "spoilage"
    assert by_nose.days.middle == pytest.approx(4)


# ------------------------------------------------------------------ freezing and thawing


def test_freezing_is_proved_at_the_core_by_an_unbroken_stretch():
    time = np.arange(0, 60 * 40.0, 30)
    core = np.interp(time / 60, [0, 6, 33, 34], [2, -20, -20, -5])
    done = keep.frozen_hold(Trace(time, core), -20, 24)
    assert done.long_enough
    assert done.hours == pytest.approx(27, abs=0.05)
    short = keep.frozen_hold(Trace(time, core), -20, 28)
    assert not short.long_enough
    assert short.known
    assert "not 28 h" in short.why


def test_a_warm_spell_starts_the_clock_again():
    time = np.arange(0, 60 * 40.0, 30)
    core = np.full(time.shape, -21.0)
    core[40] = -12.0
    assert keep.frozen_hold(Trace(time, core), -20, 24).hours < 20


def test_a_gap_in_the_readings_is_not_a_proof():
    time = np.concatenate([np.arange(0, 600.0, 30), np.arange(1000.0, 2000, 30)])
    gap = keep.frozen_hold(Trace(time, np.full(time.shape, -22.0)), -20, 24)
    assert not gap.long_enough
    assert not gap.known
    missing = np.full(60, -22.0)
    missing[20:30] = np.nan
    assert not keep.frozen_hold(Trace(np.arange(60) * 30.0, missing), -20, 24).known


def test_the_door_shuts_hours_before_the_core_is_there():
    still, blown = keep.freezing_hours(piece(40), -25, 7), keep.freezing_hours(piece(40), -35, 30)
    assert still.middle > 4 * blown.middle
    assert still.low < still.middle < still.high
    thin, thick = keep.freezing_hours(piece(15), -30, 25), keep.freezing_hours(piece(30), -30, 25)
    assert 2 < thick.middle / thin.middle < 4
    one = keep.freezing_hours(piece(), -30, 25, sides=1)
    assert 2 < one.middle / keep.freezing_hours(piece(), -30, 25).middle < 4


def test_thawing_takes_longer_than_freezing():
    # Ice carries heat three times better than water, and a fridge is only a little above melting fish.
    freeze, thaw = keep.freezing_hours(piece(), -25, 12), keep.thaw_hours(piece(), 4, 12)
    assert thaw.middle > 3 * freeze.middle
    assert 8 < keep.thaw_hours(piece(), 4).middle < 24
    assert keep.thaw_hours(piece(), 10, 150).middle < 3


BAD = [
    (lambda: keep.listeria_rate(30, 3), "extrapolate=True"),
    (lambda: keep.listeria_rate(4, 9), "extrapolate=True"),
    (lambda: keep.listeria_rate(float("nan"), 3), "temp_c is nan"),
    (lambda: keep.listeria_rate(4, float("nan")), "wps_pct is nan"),
    (lambda: keep.listeria_rate(4, 3, ph=4.5), "pH near 6.1"),
    (lambda: keep.listeria_rate(4, 3, phenol_ppm=40), "phenol_ppm is 40"),
    (lambda: keep.listeria_growth(4, 3).days_to(0), "log10 is 0"),
    (lambda: keep.listeria_log10(flat(float("nan"), 2), 3), "gap"),
    (lambda: keep.spoilage_rate(20), "chilled fresh fish"),
    (lambda: keep.days_left(flat(2, 1), 0, 2), "life_on_ice_days is 0"),
    (lambda: keep.ice_days(Trace(np.array([0.0]), np.array([1.0]))), "2 or more"),
    (lambda: keep.keep(piece(), 100), "days, not hours"),
    (lambda: keep.keep(piece(temp_c=60), 5), "Chill it before packing"),
    (lambda: keep.keep(piece(), 5, 38), "°F, or a freezer"),
    (lambda: keep.keep(piece(), 5, float("nan")), "store_c is nan"),
    (lambda: keep.shelf_life(3, 3, listeria_log10_allowed=0, longest_days=10), "listeria_log10_allowed is 0"),
    (
        lambda: keep.shelf_life(3, 3, listeria_log10_allowed=1, longest_days=float("nan")),
        "longest_days is nan",
    ),
    (lambda: keep.frozen_hold(flat(-20, 1), 5, 24), "limit_c is 5"),
    (lambda: keep.frozen_hold(flat(-20, 1), -20, float("nan")), "hours is nan"),
    (lambda: keep.freezing_hours(piece(), -15, 20, core_to_c=-18), "colder than that"),
    (lambda: keep.freezing_hours(piece(), -30, 1), "heat_transfer_w_m2_k is 1"),
    (lambda: keep.freezing_hours(piece(), -30, 20, sides=3), "1 or 2"),
    (lambda: keep.thaw_hours(piece(), 30), "around_c is 30"),
]


@pytest.mark.parametrize(("call", "words"), BAD)
def test_a_number_outside_its_range_is_refused_with_the_likely_cause(call, words):
    with pytest.raises(OutOfRange, match=words):
        call()


@pytest.mark.parametrize("pairs", [[], [(1, 3)], [(0, 3), (0, 4)], [(0, 3), (2, 4), (1, 3)]])
def test_a_store_record_of_the_wrong_form_is_refused(pairs):
    with pytest.raises(BadData):
        keep.keep(piece(), 3, pairs)
