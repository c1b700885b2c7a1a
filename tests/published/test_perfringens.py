"""C. perfringens while food cools.

One-step dynamic analysis of C. perfringens in roasted chicken and braised beef (Food Control; abstract seen
in a stored medical index): Tmin 8.8, Topt 46.4, Tmax 51.5 °C, mu 6.06 1/h, and 10.3, 43.5, 53.4, 5.64. The
cardinal form of Rosso is an assumption, so only what the abstract itself says is checked here: no growth at
the two ends, and the best rate at the best temperature. No tolerance but rounding.
"""

from __future__ import annotations

import numpy as np
import pytest

from kit.process.microbes.spores import perfringens_rate

PUBLISHED = [("roasted chicken", 8.8, 46.4, 51.5, 6.06), ("braised beef", 10.3, 43.5, 53.4, 5.64)]


@pytest.mark.parametrize(("product", "low", "best", "high", "rate"), PUBLISHED)
def test_the_best_rate_is_at_the_best_temperature(product, low, best, high, rate):
    assert perfringens_rate(best, product) == pytest.approx(rate, abs=1e-9)
    everywhere = perfringens_rate(np.linspace(low, high, 2001), product)
    assert everywhere.max() == pytest.approx(rate, abs=1e-4)


@pytest.mark.parametrize(("product", "low", "best", "high", "rate"), PUBLISHED)
def test_nothing_grows_at_the_ends_and_beyond(product, low, best, high, rate):
    assert perfringens_rate(np.array([low, high, low - 3, high + 3]), product).tolist() == [0, 0, 0, 0]
