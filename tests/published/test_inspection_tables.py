"""Inspection statistics against printed rows and against SciPy and statsmodels, run here.

Sources, each beside its rows. Rows from memory are not here: see tests/from_memory.
"""

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.inter_rater import cohens_kappa, fleiss_kappa
from statsmodels.stats.proportion import proportion_confint

from kit.process.sampling import bones

# Worked rows of a teaching note on signal detection (Schneider), read at docstoc 111295505 and
# slideplayer 6070164. Printed to 3 decimals.
SCHNEIDER = [  # hit rate, false-alarm rate, d', likelihood ratio
    (70, 10, 1.806, 1.981),
    (50, 40, 0.253, 1.033),
    (85, 5, 2.681, 2.261),
]


@pytest.mark.parametrize(("hit", "false", "d", "ratio"), SCHNEIDER)
def test_d_prime_matches_the_worked_rows(hit, false, d, ratio):
    found = bones.detection(hit, 100 - hit, false, 100 - false)
    assert found.d_prime == pytest.approx(d, abs=5e-4)
    assert found.likelihood_ratio == pytest.approx(ratio, abs=5e-4)


def test_d_prime_of_published_visual_inspection():
    # Schoonard et al. 1973, inspection of small circuits: 23 % missed, 2 % false alarms, d' 2.79
    # (as quoted in an encyclopaedia article on visual inspection).
    assert bones.d_prime(77, 23, 2, 98) == pytest.approx(2.79, abs=5e-3)


def test_cohen_kappa_of_a_printed_example():
    # easycalculation.com, "learn Cohen's kappa": two doctors, 20 patients. Printed as 0.21, cut not rounded.
    assert bones.cohen_kappa([[12, 2], [4, 2]]) == pytest.approx(0.21, abs=0.005)


def test_operating_curve_of_a_documented_example():
    # Reference page of the R package Planesmuestra (after Montgomery): n 125, c 2, p 0.1 gives 0.000210835.
    assert bones.acceptance_probability(125, 2, 0.1) == pytest.approx(0.000210835, abs=5e-10)


# SciPy's own distributions, run here; the kit uses the special functions underneath.
@pytest.mark.parametrize("p", [0.005, 0.02, 0.04, 0.06])
def test_binomial_acceptance_is_scipys(p):
    assert bones.acceptance_probability(89, 2, p) == pytest.approx(stats.binom.cdf(2, 89, p), abs=1e-12)


@pytest.mark.parametrize(("lot", "n", "c", "bad"), [(50, 10, 0, 1), (50, 10, 0, 5), (100, 15, 1, 5)])
def test_small_lot_acceptance_is_counted_out(lot, n, c, bad):
    from math import comb

    ways = sum(comb(bad, d) * comb(lot - bad, n - d) for d in range(c + 1)) / comb(lot, n)
    assert bones.acceptance_probability(n, c, lot=lot, defectives=bad) == pytest.approx(ways, abs=1e-12)


@pytest.mark.parametrize(("found", "n"), [(0, 10), (0, 100), (2, 50), (5, 20), (20, 20)])
@pytest.mark.parametrize("confidence", [0.9, 0.95])
def test_exact_intervals_are_statsmodels(found, n, confidence):
    low, high = proportion_confint(found, n, alpha=1 - confidence, method="beta")
    ends = bones.exact_interval(found, n, confidence)
    assert (ends.low, ends.high) == pytest.approx((low, high), abs=1e-10)


@pytest.mark.parametrize("table", [[[20, 5], [10, 15]], [[45, 15], [25, 15]], [[25, 35], [5, 35]]])
def test_cohen_kappa_is_statsmodels(table):
    assert bones.cohen_kappa(table) == pytest.approx(cohens_kappa(np.array(table)).kappa, abs=1e-12)


def test_fleiss_kappa_is_statsmodels():
    table = [[0, 0, 0, 0, 14], [0, 2, 6, 4, 2], [0, 0, 3, 5, 6], [0, 3, 9, 2, 0], [2, 2, 8, 1, 1]]
    assert bones.fleiss_kappa(table) == pytest.approx(fleiss_kappa(np.array(table)), abs=1e-12)
