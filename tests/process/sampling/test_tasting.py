"""Tasting: chance against a simulation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.basics.errors import OutOfRange
from kit.process.sampling.tasting import chance_of, least_right, taste_it_pct


def test_guessing_alone_does_it_as_often_as_said():
    rng = np.random.default_rng(11)
    right = (rng.integers(0, 3, (100_000, 24)) == 0).sum(axis=1)
    assert chance_of(12, 24) == pytest.approx((right >= 12).mean(), abs=0.004)


@given(st.integers(1, 60), st.sampled_from([0.05, 0.01, 0.1]))
def test_the_fewest_right_answers_are_the_fewest(tasters, risk):
    need = least_right(tasters, risk)
    assert need > tasters or chance_of(need, tasters) <= risk
    assert chance_of(min(need - 1, tasters), tasters) > risk


@given(st.floats(0, 1))
def test_the_lucky_ones_are_taken_off(share):
    tasters = 3_000_000
    right = round(tasters * (share + (1 - share) / 3))
    assert taste_it_pct(right, tasters) == pytest.approx(100 * share, abs=0.01)


def test_what_cannot_be_is_refused():
    with pytest.raises(OutOfRange):
        chance_of(13, 12)
