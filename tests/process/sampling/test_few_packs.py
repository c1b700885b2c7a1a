"""Few packs: a bound holds as often as it says."""

import numpy as np
import pytest

from kit.basics.errors import BadData, OutOfRange
from kit.process.sampling.few_packs import most_packs_below, tolerance_factor


def test_the_bound_holds_as_often_as_it_says():
    rng = np.random.default_rng(5)
    counts = rng.normal(1.0, 0.3, (20_000, 5))
    bound = counts.mean(axis=1) + tolerance_factor(5) * counts.std(axis=1, ddof=1)
    assert (bound >= 1.0 + 1.6449 * 0.3).mean() == pytest.approx(0.95, abs=0.005)


def test_what_says_nothing_is_refused():
    with pytest.raises(BadData, match="1 packs"):
        most_packs_below([0.7])
    with pytest.raises(OutOfRange):
        most_packs_below([0.7, float("nan")])
