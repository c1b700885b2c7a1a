"""Kappa and Krippendorff's alpha against printed figures and against the libraries that are kept for them.

Cohen's: three tables with their values, run in ``statsmodels`` 0.15.0; seen.
Krippendorff's "C" data, four raters and twelve units with gaps: data and 0.743, 0.815, 0.849 seen in the
tests of a public R package (``icr_kripp_alpha``); ratio 0.797 from memory.
Fleiss (1971), 10 patients and 14 raters: the first four rows of the table were seen with a public
implementation; the rest and the value 0.210 are from memory.
"""

import numpy as np
import pytest

from kit.statistics import cohen_kappa, fleiss_kappa, krippendorff_alpha

_ = float("nan")
C_DATA = np.array(
    [
        [1, 2, 3, 3, 2, 1, 4, 1, 2, _, _, _],
        [1, 2, 3, 3, 2, 2, 4, 1, 2, 5, _, 3],
        [_, 3, 3, 3, 2, 3, 4, 2, 2, 5, 1, _],
        [1, 2, 3, 3, 2, 4, 4, 1, 2, 5, 1, _],
    ]
).T
PATIENTS = [
    [0, 0, 0, 0, 14],
    [0, 2, 6, 4, 2],
    [0, 0, 3, 5, 6],
    [0, 3, 9, 2, 0],
    [2, 2, 8, 1, 1],
    [7, 7, 0, 0, 0],
    [3, 2, 6, 3, 0],
    [2, 5, 3, 2, 2],
    [6, 5, 2, 1, 0],
    [0, 2, 2, 3, 7],
]


@pytest.mark.parametrize(
    ("table", "kappa"),
    [([[20, 5], [10, 15]], 0.40), ([[45, 15], [25, 15]], 0.1304), ([[25, 35], [5, 35]], 0.2593)],
)
def test_cohens_kappa_of_printed_tables(table: list[list[int]], kappa: float):
    pairs = [(i, j) for i in (0, 1) for j in (0, 1) for _ in range(table[i][j])]
    first, second = zip(*pairs, strict=True)
    found = cohen_kappa(first, second)
    assert found.value == pytest.approx(kappa, abs=5e-5)
    assert found.low < found.value < found.high
    assert found.n == len(pairs)


def test_fleiss_kappa_of_ten_patients():
    assert fleiss_kappa(PATIENTS).value == pytest.approx(0.210, abs=5e-4)


@pytest.mark.parametrize(
    ("level", "alpha"), [("nominal", 0.743), ("ordinal", 0.815), ("interval", 0.849), ("ratio", 0.797)]
)
def test_krippendorffs_alpha_of_the_c_data(level, alpha: float):
    found = krippendorff_alpha(C_DATA, level=level)
    assert found.value == pytest.approx(alpha, abs=5e-4)
    assert found.n == 11, "a unit with one rating says nothing"


@pytest.mark.parametrize("level", ["nominal", "ordinal", "interval", "ratio"])
@pytest.mark.parametrize("seed", range(5))
def test_krippendorffs_alpha_is_that_of_the_kept_library(level, seed: int):
    import krippendorff

    random = np.random.RandomState(seed)
    truth = random.randint(0, 5, size=(30, 1))
    ratings = np.clip(truth + random.randint(-1, 2, size=(30, 4)), 0, 6).astype(float)
    ratings[random.random_sample(ratings.shape) < 0.3] = np.nan
    there = krippendorff.alpha(reliability_data=ratings.T, level_of_measurement=level)
    assert krippendorff_alpha(ratings, level=level).value == pytest.approx(there, abs=1e-12)
