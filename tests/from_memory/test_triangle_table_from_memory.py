"""The fewest right answers of a triangle test, from memory: rows of ISO 4120, at 5 % and 1 %."""

import pytest

from kit.process.sampling.tasting import least_right


@pytest.mark.parametrize(
    ("tasters", "at_5_pct", "at_1_pct"),
    [(6, 5, 6), (8, 6, 7), (10, 7, 8), (12, 8, 9), (15, 9, 10), (18, 10, 12), (24, 13, 15), (30, 15, 17)],
)
def test_the_fewest_right_answers(tasters, at_5_pct, at_1_pct):
    assert (least_right(tasters), least_right(tasters, 0.01)) == (at_5_pct, at_1_pct)
