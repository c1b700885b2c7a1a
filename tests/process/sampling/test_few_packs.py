"""Few packs: a bound holds as often as it says."""

import numpy as np
import pytest

from kit.basics.errors import OutOfRange
from kit.process.sampling.few_packs import tolerance_factor


def test_the_bound_holds_as_often_as_it_says():
    rng = np.random.default_rng(5)
    counts = rng.normal(1.0, 0.3, (20_000, 5))
    bound = counts.mean(axis=1) + tolerance_factor(5) * counts.std(axis=1, ddof=1)
    assert (bound >= 1.0 + 1.6449 * 0.3).mean() == pytest.approx(0.95, abs=0.005)


@pytest.mark.parametrize("wrong", [(1, 0.95, 0.95), (5, 1.0, 0.95), (5, 0.95, 0.0)])
def test_what_says_nothing_is_refused(wrong):
    with pytest.raises(OutOfRange):
        tolerance_factor(*wrong)
