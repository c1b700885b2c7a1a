"""The growth explorer of lesson 6: its curve is the science's own, and it says what the sum is not."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from kit.process.microbes.growth import listeria_log10
from kit.process.physics.trace import Trace
from kit.views.explorers.chilling import (
    NIGHT_C,
    NIGHT_DAYS,
    NIGHT_FROM_DAY,
    growth_over_days,
    listeria_in_the_pack,
)

START: dict[str, Any] = {"store_c": 3.0, "wps_pct": 3.0, "ph": 6.1, "days": 10.0, "night": "none"}


def end(**changed: Any) -> float:
    return float(growth_over_days({**START, **changed})[1][-1])


@pytest.mark.parametrize("store_c", [0.0, 3.0, 7.5, 10.0])
def test_the_curve_ends_where_the_science_says(store_c: float):
    record = Trace(np.array([0.0, 10 * 1440.0]), np.array([store_c, store_c]))
    assert end(store_c=store_c) == pytest.approx(listeria_log10(record, 3.0, 6.1), rel=1e-6)


def test_a_warm_night_adds_its_own_growth():
    night = Trace(np.array([0.0, NIGHT_DAYS * 1440]), np.array([NIGHT_C, NIGHT_C]))
    cold = end() * (1 - NIGHT_DAYS / START["days"])
    assert end(night="warm") == pytest.approx(cold + listeria_log10(night, 3.0, 6.1), rel=0.01)
    # before the night nothing is added
    assert end(night="warm", days=NIGHT_FROM_DAY - 1) == end(days=NIGHT_FROM_DAY - 1)


def test_cold_salt_and_a_low_ph_slow_it_and_stop_nothing():
    assert 0 < end(store_c=2.0) < end() < end(store_c=6.0)
    assert 0 < end(wps_pct=6.0) < end() < end(wps_pct=0.0)
    assert 0 < end(ph=5.4) < end() < end(ph=6.6)


def test_it_says_that_it_is_a_ceiling_from_memory_that_sets_no_date():
    told = " ".join(listeria_in_the_pack(START).facts)
    for words in ("ceiling", "no lag", "from memory: confirm", "sets no date", "competent person"):
        assert words in told


def test_off_the_chart_is_said_and_not_drawn_as_a_number():
    drawing = listeria_in_the_pack({**START, "store_c": 10.0, "wps_pct": 0.0, "days": 21.0})
    assert "more than 6 log, off the chart" in drawing.facts[0]
