"""Cut scores against worked examples.

Angoff: three judges whose sums are 2.6, 2.7 and 2.6 of 4 points give 2.6333, 65.8 %. Seen in a worked
example; the single chances here are ours, the sums are the example's.
Borderline regression: the example is ours, worked out apart from this kit; the line is checked by SciPy.
"""

import pandas as pd
import pytest
from scipy.stats import linregress

from kit.statistics import angoff_cut, borderline_cut

JUDGES = pd.DataFrame(
    [[0.9, 0.7, 0.6, 0.4], [0.8, 0.8, 0.6, 0.5], [0.9, 0.6, 0.7, 0.4]],
    index=["one", "two", "three"],
    columns=["q1", "q2", "q3", "q4"],
)
GRADES, SCORES = [1, 1, 2, 2, 2, 3, 3, 3], [45, 52, 58, 61, 66, 70, 74, 80]


def test_the_cut_of_three_judges():
    assert JUDGES.sum(axis=1).tolist() == pytest.approx([2.6, 2.7, 2.6])
    found = angoff_cut(JUDGES)
    assert found.cut == pytest.approx(2.6333, abs=5e-5)
    assert found.share_pct == pytest.approx(65.8, abs=0.05)
    assert found.error == pytest.approx(
        JUDGES.sum(axis=1).sem(), abs=1e-12
    )  # pandas' standard error of a mean
    assert found.few_judges


def test_the_line_through_grades_and_scores():
    found, line = borderline_cut(GRADES, SCORES, 2), linregress(GRADES, SCORES)
    assert found.slope == pytest.approx(13.0769, abs=5e-5)
    assert found.intercept == pytest.approx(35.4615, abs=5e-5)
    assert found.cut == pytest.approx(61.6154, abs=5e-5)
    assert (found.slope, found.intercept) == pytest.approx((line.slope, line.intercept), abs=1e-9)
    assert found.explained == pytest.approx(line.rvalue**2, abs=1e-9)
    assert found.low < found.cut < found.high
