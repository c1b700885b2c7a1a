"""A pack on its way: stages add up, and warm hours are counted."""

import pytest

from kit.basics.errors import OutOfRange
from kit.process.microbes.growth import listeria_growth
from kit.process.microbes.shelf_log import (
    LogStage,
    growth_band,
    growth_by_stage,
    hours_above,
)

WAY = [LogStage("store", 120, 3.0), LogStage("van", 6, 12.0), LogStage("home", 72, 8.0)]


def test_each_stage_is_its_days_over_the_days_for_tenfold():
    for stage, grown in zip(WAY, growth_by_stage(WAY, 3.0), strict=True):
        days = listeria_growth(stage.temp_c, 3.0).days_per_log10.middle
        assert grown == pytest.approx(stage.hours / 24 / days, rel=1e-6)


def test_the_band_is_a_factor_either_way():
    band = growth_band(WAY, 3.0)
    assert band.middle == pytest.approx(sum(growth_by_stage(WAY, 3.0)))
    assert band.high / band.low == pytest.approx(1.5**2)


def test_hours_at_the_limit_are_not_above_it():
    assert hours_above(WAY) == 78 and hours_above(WAY, 8.0) == 6


def test_a_stage_of_no_time_is_refused():
    with pytest.raises(OutOfRange, match="van"):
        growth_by_stage([LogStage("van", 0, 12)], 3.0)
