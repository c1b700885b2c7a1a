"""Lethality: exact over straight lines, nothing for gaps, and what is extrapolated kept apart."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.process.microbes.death import (
    equivalent_minutes,
    held_minutes,
    lethal_rate,
    lethality,
    log_reduction,
    six_d_minutes,
    trace_minutes,
)
from kit.process.microbes.inactivation import d_sets, fit_z, heat_tables

temps = st.lists(st.floats(0, 95), min_size=3, max_size=12)


@given(temps, st.integers(1, 10))
def test_lethality_adds_up_over_parts(trace, cut):
    time = np.arange(len(trace), dtype=float) * 3
    cut = min(cut, len(trace) - 1)
    whole = trace_minutes(time, trace, 70, 7.5)
    parts = trace_minutes(time[: cut + 1], trace[: cut + 1], 70, 7.5) + trace_minutes(
        time[cut:], trace[cut:], 70, 7.5
    )
    assert whole == pytest.approx(parts, rel=1e-9, abs=1e-12)


@given(st.floats(20, 95), st.floats(20, 95), st.floats(0.1, 60))
def test_a_straight_line_is_summed_exactly(start_c, end_c, minutes):
    exact, _ = quad(lambda t: 10 ** ((start_c + (end_c - start_c) * t / minutes - 70) / 7.5), 0, minutes)
    assert trace_minutes([0, minutes], [start_c, end_c], 70, 7.5) == pytest.approx(exact, rel=1e-6)


def test_worked_integrals():
    # Our own arithmetic from the closed form P = z / (ln 10 r) (10^((T2-Tref)/z) - 10^((T1-Tref)/z)).
    assert trace_minutes([0, 30], [50, 65], 70, 7.5) == pytest.approx(1.3895, abs=5e-5)
    assert trace_minutes([0, 59, 89], [4, 63, 63], 70, 7.5) == pytest.approx(3.8775, abs=5e-4)
    assert equivalent_minutes(17.15, 63, 70, 7.5) == pytest.approx(2.0, abs=1e-3)


def test_a_gap_gives_no_credit_on_either_side():
    assert trace_minutes([0, 10, 20, 30], [70, 70, 70, 70], 70, 7.5) == pytest.approx(30)
    assert trace_minutes([0, 10, 20, 30], [70, 70, float("nan"), 70], 70, 7.5) == pytest.approx(10)
    assert trace_minutes([0, 10, 40], [70, 70, 70], 70, 7.5, max_gap_min=15) == pytest.approx(10)


def test_credit_may_start_at_a_temperature():
    whole = trace_minutes([0, 20], [50, 70], 70, 7.5)
    above = trace_minutes([0, 20], [50, 70], 70, 7.5, credit_from_c=60)
    assert above == pytest.approx(trace_minutes([0, 10], [60, 70], 70, 7.5))
    assert above < whole


def test_reaching_is_not_holding():
    time, core = [0, 30, 40, 50, 80], [4, 60, 66, 60, 40]
    assert held_minutes(time, core, 66) == 0
    assert held_minutes(time, core, 60) == pytest.approx(20)
    assert held_minutes(time, core, 63) == pytest.approx(10)
    assert held_minutes(time, core, 67) == 0


def test_a_gap_or_a_dip_breaks_the_hold():
    assert held_minutes([0, 10, 20, 30, 40], [65, 65, float("nan"), 65, 65], 63) == pytest.approx(10)
    assert held_minutes([0, 10, 12, 14, 40], [65, 65, 60, 65, 65], 63) == pytest.approx(26 + 2 * 2 / 5)
    assert held_minutes([0, 10, 40], [65, 65, 65], 63, max_gap_min=20) == pytest.approx(10)


def test_below_the_table_it_says_extrapolated():
    low, high = lethality([0, 110], [57, 57], "listeria"), lethality([0, 5], [68, 68], "listeria")
    assert low.extrapolated and not high.extrapolated
    assert low.within_table == 0
    assert high.within_table == pytest.approx(high.log_reduction)
    assert not low.seen


@pytest.mark.slow
@given(st.floats(85, 90), st.floats(90, 99))
def test_the_bend_in_the_botulinum_tables_is_summed_piece_by_piece(start_c, end_c):
    for organism in ("botulinum_np_uk", "botulinum_np_us"):
        exact, _ = quad(
            lambda t, o=organism: 6 / six_d_minutes(o, start_c + (end_c - start_c) * t / 10), 0, 10, limit=200
        )
        assert lethality([0, 10], [start_c, end_c], organism).log_reduction == pytest.approx(exact, rel=1e-4)


@pytest.mark.parametrize("organism", heat_tables())
def test_outside_the_table_one_must_ask(organism):
    table = heat_tables()[organism]
    for temp_c in (table.low_c - 0.1, table.high_c + 0.1):
        with pytest.raises(OutOfRange, match="extrapolate"):
            six_d_minutes(organism, temp_c)
        assert six_d_minutes(organism, temp_c, extrapolate=True) > 0
    assert isinstance(six_d_minutes(organism, 90 if organism != "listeria" else 70), float)
    assert six_d_minutes(organism, [table.low_c, table.high_c]).shape == (2,)


def test_the_us_table_asks_for_more_than_the_uk_one_below_90():
    assert six_d_minutes("botulinum_np_us", 85) > six_d_minutes("botulinum_np_uk", 85)
    assert six_d_minutes("botulinum_np_us", 95) == pytest.approx(six_d_minutes("botulinum_np_uk", 95))


def test_hot_smoking_does_not_touch_the_spores():
    assert lethality([0, 30], [63, 63], "botulinum_np_uk").log_reduction < 0.02


@pytest.mark.parametrize("key", d_sets())
def test_measured_sets_are_plausible(key):
    found = d_sets()[key]
    assert found.source and found.organism and found.food
    assert 3 <= found.z_published_c[0] <= found.z_published_c[1] <= 8
    assert found.points or (found.d_low_min and found.d_high_min and found.at_c)
    if len(found.points) > 2:
        z_c, d60_min = fit_z(*zip(*found.points, strict=True))
        # The tilapia sets hold the longer of each pair of times, so their line is flatter than published.
        assert found.z_published_c[0] - 0.6 <= z_c <= found.z_published_c[1] + 0.6
        assert 0.3 < d60_min < 10


@given(st.floats(3, 12), st.floats(0.1, 20))
def test_fitting_gives_back_what_made_the_points(z_c, d60_min):
    at = np.array([55.0, 58, 61, 64])
    found = fit_z(at, d60_min * 10 ** ((60 - at) / z_c))
    assert found == pytest.approx((z_c, d60_min), rel=1e-9)


def test_log_reduction():
    assert log_reduction(3.0, 0.5) == pytest.approx(6.0)
    assert lethal_rate([62.5, 70.0], 70, 7.5) == pytest.approx([0.1, 1.0])


@pytest.mark.parametrize(
    ("call", "error"),
    [
        (lambda: lethal_rate(float("nan"), 70, 7.5), OutOfRange),
        (lambda: lethal_rate(60, 70, 0), OutOfRange),
        (lambda: equivalent_minutes(-1, 60, 70, 7.5), OutOfRange),
        (lambda: trace_minutes([0, 1], [60], 70, 7.5), BadData),
        (lambda: trace_minutes([0, 0], [60, 60], 70, 7.5), BadData),
        (lambda: trace_minutes([0, 1], [60, math.inf], 70, 7.5), BadData),
        (lambda: trace_minutes([0, 1], [60, 60], 70, 7.5, max_gap_min=0), OutOfRange),
        (lambda: held_minutes([0, 1], [60, 60], float("nan")), OutOfRange),
        (lambda: six_d_minutes("salmonella", 70), UnknownName),
        (lambda: lethality([0, 1], [60, 60], "salmonella"), UnknownName),
        (lambda: log_reduction(1, 0), OutOfRange),
        (lambda: fit_z([60, 60], [1, 2]), OutOfRange),
        (lambda: fit_z([58, 60], [1, 2]), BadData),
    ],
)
def test_bad_input_is_refused(call, error):
    with pytest.raises(error):
        call()
