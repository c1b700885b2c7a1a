"""The LSAT-6: 1,000 people, 5 items (Bock and Lieberman 1970, Psychometrika 35, 179).

The counts of the 32 patterns are typed from memory. Seen: the five shares right, printed with the data set of
an R package, which these counts reproduce. Alpha and the marginal and conditional difficulties were computed
from the counts apart from this kit, before it could; they are no printed values.
"""

import numpy as np
import pytest

from kit.statistics import alpha, persons, rasch, rasch_marginal

COUNTS = [3, 6, 2, 11, 1, 1, 3, 4, 1, 8, 0, 16, 0, 3, 2, 15, 10, 29, 14, 81, 3, 28, 15, 80, 16, 56, 21]
COUNTS += [173, 11, 61, 28, 298]
ANSWERS = np.repeat([[int(each) for each in f"{pattern:05b}"] for pattern in range(32)], COUNTS, axis=0)


def test_shares_right_and_alpha():
    assert ANSWERS.shape == (1000, 5)
    assert ANSWERS.mean(axis=0) == pytest.approx([0.924, 0.709, 0.553, 0.763, 0.870], abs=1e-12)
    assert alpha(ANSWERS).value == pytest.approx(0.294997, abs=5e-7)


def test_conditional_difficulties():
    found = rasch(ANSWERS)
    assert found.difficulty == pytest.approx([-1.2561, 0.4749, 1.2360, 0.1684, -0.6232], abs=5e-5)
    assert found.left_out == ()


def test_marginal_slope_difficulties_and_likelihood():
    found = rasch_marginal(ANSWERS)
    assert found.slope == pytest.approx(0.7551, abs=5e-5)
    assert found.difficulty == pytest.approx([-3.6153, -1.3224, -0.3176, -1.7301, -2.7802], abs=1e-4)
    assert found.log_likelihood == pytest.approx(-2466.938, abs=5e-4)


def test_both_ways_agree_once_on_one_scale():
    marginal = rasch_marginal(ANSWERS)
    in_logits = marginal.difficulty * marginal.slope
    assert in_logits - in_logits.mean() == pytest.approx(rasch(ANSWERS).difficulty, abs=0.02)


def test_standard_errors_are_those_of_the_second_derivatives():
    """By differences of the gradient, which is exact. Covariances are approximated: 1 % at five items."""
    from kit.statistics import rasch as module
    from kit.statistics.rasch import RaschFit

    found = module(ANSWERS)
    assert isinstance(found, RaschFit)
    curve = np.array([[_slope(found.difficulty, i, j) for j in range(5)] for i in range(5)])
    flat = np.full((5, 5), 1 / 25)
    exact = np.sqrt(np.diag(np.linalg.inv(-curve + flat) - np.ones((5, 5))))
    assert found.error == pytest.approx(exact, rel=0.01)


def _height(difficulty: np.ndarray) -> float:
    """The conditional log-likelihood, by adding up every pattern: nothing of the kit's own way."""
    patterns = np.array([[int(each) for each in f"{number:05b}"] for number in range(32)])
    weight = np.exp(-(patterns @ difficulty))
    totals = patterns.sum(axis=1)
    symmetric = np.array([weight[totals == total].sum() for total in range(6)])
    return float((np.array(COUNTS) * (np.log(weight) - np.log(symmetric[totals]))).sum())


def _slope(at: np.ndarray, i: int, j: int, h: float = 1e-3) -> float:
    one, two = np.eye(5)[i] * h, np.eye(5)[j] * h
    return (
        _height(at + one + two) - _height(at + one - two) - _height(at - one + two) + _height(at - one - two)
    ) / (4 * h * h)


def test_the_likelihood_is_the_sum_over_patterns():
    found = rasch(ANSWERS)
    assert found.log_likelihood == pytest.approx(_height(found.difficulty), abs=1e-6)
    for item in range(5):
        for step in (0.01, -0.01):
            beside = found.difficulty + step * np.eye(5)[item]
            assert _height(beside) < found.log_likelihood


def test_items_and_people_fit():
    """Data that are known to follow the model: every item's mean square lies within 0.1 of 1."""
    found = rasch(ANSWERS)
    for squares in (found.infit, found.outfit):
        assert squares == pytest.approx(np.ones(5), abs=0.1)
    people = persons(ANSWERS, found)
    assert np.all(np.diff(np.unique(people.ability.round(9))) > 0)
    assert len(np.unique(people.ability.round(9))) == 6, "one ability a total"
