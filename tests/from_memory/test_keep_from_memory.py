"""Keeping: rows from memory of the named sources, never counted as published."""

import pytest

from kit.process.steps import keep


# After Mejlholm & Dalgaard, with the common quadratic for water activity; ours is Pitzer's, 1.5 % lower here.
@pytest.mark.parametrize(
    ("temp_c", "rate", "days"), [(3, 0.01263, 15.2), (4, 0.01734, 11.1), (8, 0.0436, 4.4)]
)
def test_listeria_in_smoked_fish(temp_c, rate, days):
    growth = keep.listeria_growth(temp_c, 3.5, 6.1)
    assert growth.rate_per_h == pytest.approx(rate, rel=0.02)
    assert growth.days_to(2).middle == pytest.approx(days, rel=0.02)


# Square-root rule of spoilage, fresh fish of temperate waters.
@pytest.mark.parametrize(("temp_c", "rate"), [(-1, 0.81), (2, 1.44), (4, 1.96), (8, 3.24), (15, 6.25)])
def test_relative_rate_of_spoilage(temp_c, rate):
    assert keep.spoilage_rate(temp_c) == pytest.approx(rate)
