"""Alpha, KR-20, KR-21, the error of a score and point-biserials of two data sets that come with a library.

Data: ``cronbach_alpha`` and ``cronbach_wide_missing`` of ``pingouin`` 0.7.0. Seen: both were read from the
library, and its ``cronbach_alpha`` was run on them, listwise and pairwise. KR-20, KR-21, error and
correlations were worked out apart from this kit, from the textbook formulas, and are marked "computed".
"""

import math

import numpy as np
import pytest

from kit.statistics import alpha, error_of_measurement, kr20, kr21
from kit.statistics.statistic import correlation_interval, difference_interval, share_interval

_ = math.nan
LIKERT = [
    [3, 2, 2, 4, 1, 4, 5, 1, 4, 3],
    [5, 5, 4, 6, 3, 5, 1, 2, 5, 5],
    [7, 5, 3, 5, 5, 6, 4, 3, 3, 6],
    [2, 3, 4, 3, 3, 2, 2, 2, 6, 6],
    [6, 5, 5, 6, 5, 4, 4, 4, 6, 7],
    [1, 2, 2, 3, 4, 2, 5, 2, 3, 5],
    [4, 3, 3, 5, 3, 5, 2, 1, 2, 4],
    [2, 5, 4, 4, 3, 7, 2, 2, 4, 6],
    [6, 2, 5, 5, 5, 1, 6, 5, 2, 3],
    [5, 2, 4, 6, 4, 3, 5, 3, 1, 7],
    [4, 1, 3, 5, 2, 5, 3, 2, 3, 4],
    [4, 4, 2, 3, 2, 5, 3, 4, 2, 3],
    [5, 5, 5, 6, 2, 3, 3, 2, 4, 4],
    [6, 5, 5, 5, 4, 2, 2, 1, 4, 6],
    [4, 4, 3, 5, 5, 3, 1, 3, 2, 3],
]
GAPS = [
    [1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1],
    [1, 1, 1, 1, 1, 1, 1, 1, 0, 1, 0],
    [_, 0, 1, 1, _, 1, 1, 1, 1, 0, 0],
    [1, 1, 1, 0, 1, 1, 0, 1, 1, 0, 0],
    [1, 1, 1, 1, 1, 0, 0, 0, 1, 0, 0],
    [0, 1, _, 0, 1, 1, 1, 1, 0, 0, 0],
    [1, 1, 1, 1, 0, 0, 1, 0, 0, 0, 0],
    [1, 1, 1, 1, 1, 0, 0, 0, 0, 0, 0],
    [0, 1, 0, 1, 1, 0, 0, 0, 0, 1, 0],
    [1, 0, 0, 1, 0, 1, 0, 0, _, 0, 0],
    [1, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0],
    [1, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0],
]


def test_alpha_of_fifteen_people_and_ten_items_with_its_interval():
    found = alpha(LIKERT, least_n=0)
    assert found.value == pytest.approx(0.5917188485995826, abs=1e-12)
    assert (found.low, found.high) == pytest.approx((0.195, 0.840), abs=5e-4)  # printed to 3 decimals
    assert found.n == 15


def test_alpha_with_gaps_listwise_and_pairwise():
    assert alpha(GAPS, least_n=0).value == pytest.approx(0.801694915, abs=1e-9)
    assert alpha(GAPS, least_n=0).n == 9
    assert alpha(GAPS, gaps="pairwise", least_n=0).value == pytest.approx(0.732660835, abs=1e-9)


def test_kr20_takes_the_population_variance_of_the_totals():
    """Computed. With the sample's variance it would be 0.8348, which is wrong: KR-20 equals alpha."""
    assert kr20(GAPS, least_n=0).value == pytest.approx(0.801694915, abs=1e-9)
    assert kr20(GAPS, least_n=0).value == pytest.approx(alpha(GAPS, least_n=0).value, abs=1e-12)


def test_kr21_and_the_error_of_measurement():
    """Computed, both to 6 decimals or more."""
    assert kr21(GAPS, least_n=0).value == pytest.approx(0.685762712, abs=1e-9)
    assert error_of_measurement(GAPS, least_n=0).value == pytest.approx(1.274755, abs=5e-7)


@pytest.mark.parametrize(("item", "raw", "removed"), [(5, 0.8442, 0.7807), (3, 0.1540, 0.0)])
def test_item_removed_point_biserials(item: int, raw: float, removed: float):
    """Computed, questions 6 and 4 of the nine people without a gap; printed to 4 decimals."""
    from kit.statistics.items import rest_correlation

    whole = np.array([row for row in GAPS if not any(math.isnan(each) for each in row)])
    person, column = np.indices(whole.shape)
    found, many = rest_correlation(person.ravel(), column.ravel(), whole.ravel(), 11)
    assert found[item] == pytest.approx(removed, abs=5e-5)
    assert many[item] == 9
    assert np.corrcoef(whole[:, item], whole.sum(axis=1))[0, 1] == pytest.approx(raw, abs=5e-5)


def test_wilson_and_newcombe_intervals():
    """Newcombe (1998), Stat. Med. 17: 81 of 263 and 56/70 less 48/80; from memory, printed to 4 decimals."""
    assert [float(end) for end in share_interval(81, 263)] == pytest.approx([0.2553, 0.3662], abs=5e-5)
    found = [float(end) for end in difference_interval(56, 70, 48, 80)]
    assert found == pytest.approx([0.0524, 0.3339], abs=5e-5)


def test_the_intervals_are_those_of_the_reference_library():
    from scipy.stats import pearsonr
    from statsmodels.stats.proportion import confint_proportions_2indep

    for counts in ((3, 10, 9, 12), (0, 7, 7, 7), (40, 90, 20, 30)):
        ours = [float(end) for end in difference_interval(*counts)]
        assert ours == pytest.approx(confint_proportions_2indep(*counts, method="newcomb"), abs=1e-12)
    x, y = np.array(LIKERT, dtype=float)[:, :2].T
    there = pearsonr(x, y)
    ours = [float(end) for end in correlation_interval(there.statistic, len(x))]
    assert ours == pytest.approx(tuple(there.confidence_interval()), abs=1e-9)
