"""Sampling plans, intervals, d' and kappa: edges, arrays, and every way to ask them wrongly."""

import numpy as np
import pytest

from kit.basics.errors import BadData, OutOfRange
from kit.process.sampling import bones


def test_a_plan_accepts_a_clean_lot_and_refuses_a_rotten_one():
    assert bones.acceptance_probability(13, 2, 0.0) == 1
    assert bones.acceptance_probability(13, 2, 1.0) == 0
    assert bones.acceptance_probability(13, 13, 1.0) == 1
    assert bones.acceptance_probability(10, 0, lot=50, defectives=0) == 1
    assert bones.acceptance_probability(50, 4, lot=50, defectives=5) == 0


def test_a_large_lot_turns_into_the_binomial():
    small = bones.acceptance_probability(13, 2, lot=100_000, defectives=5_000)
    assert small == pytest.approx(bones.acceptance_probability(13, 2, 0.05), abs=1e-4)


def test_arrays_come_back_as_arrays_and_scalars_as_floats():
    assert isinstance(bones.acceptance_probability(13, 2, 0.05), float)
    assert bones.acceptance_probability(13, 2, [0.0, 0.05]).shape == (2,)
    assert bones.acceptance_probability(10, 0, lot=50, defectives=np.array([1, 5])).shape == (2,)
    assert bones.rule_of_three(np.array([30, 60])).shape == (2,)
    assert bones.sample_size_none_found([0.01, 0.05]).tolist() == [299, 59]


def test_the_operating_curve_falls_and_can_be_read_backwards():
    curve = bones.operating_curve(89, 2, p_max=0.1)
    assert curve.accepted[0] == 1
    assert np.all(np.diff(curve.accepted) < 0)
    quality = bones.quality_accepted_with(89, 2, 0.10)
    assert bones.acceptance_probability(89, 2, quality) == pytest.approx(0.10, abs=1e-9)


def test_intervals_close_at_none_and_all():
    assert bones.exact_interval(0, 10).low == 0
    assert bones.exact_interval(10, 10).high == 1
    wide, narrow = bones.exact_interval(2, 50, 0.99), bones.exact_interval(2, 50, 0.8)
    assert wide.low < narrow.low < 2 / 50 < narrow.high < wide.high


def test_the_rule_of_three_is_within_5_percent_from_30_on():
    n = np.arange(30, 1000)
    assert np.max(np.abs(bones.rule_of_three(n) / bones.upper_bound_none_found(n) - 1)) < 0.06


def test_sample_size_is_the_smallest_that_proves_it():
    for p in (0.01, 0.02, 0.05, 0.5):
        n = bones.sample_size_none_found(p)
        assert (1 - p) ** n <= 0.05 < (1 - p) ** (n - 1)


def test_the_log_linear_correction_is_used_only_when_needed():
    assert not bones.detection(24, 1, 1, 49).corrected
    assert bones.detection(25, 0, 1, 49).corrected
    assert bones.detection(20, 5, 0, 50).corrected
    assert np.isfinite(bones.d_prime(25, 0, 0, 50))


def test_guessing_has_no_sensitivity_and_a_coward_has_a_criterion():
    assert bones.d_prime(30, 70, 30, 70) == pytest.approx(0)
    careful, eager = bones.detection(50, 50, 2, 98), bones.detection(98, 2, 50, 50)
    assert careful.d_prime == pytest.approx(eager.d_prime)
    assert careful.criterion == pytest.approx(-eager.criterion)
    assert careful.criterion > 0


BAD = [
    (lambda: bones.acceptance_probability(0, 0, 0.1), "n is 0"),
    (lambda: bones.acceptance_probability(13, 14, 0.1), "swapped"),
    (lambda: bones.acceptance_probability(13, 2, 5), "not a percentage"),
    (lambda: bones.acceptance_probability(13, 2, float("nan")), "p is nan"),
    (lambda: bones.acceptance_probability(13.5, 2, 0.1), "whole number"),
    (lambda: bones.acceptance_probability(60, 2, lot=50, defectives=5), "larger than its lot"),
    (lambda: bones.acceptance_probability(10, 2, lot=50, defectives=51), "defectives is 51"),
    (lambda: bones.operating_curve(13, 2, p_max=0), "p_max is 0"),
    (lambda: bones.operating_curve(13, 2, points=1), "points is 1"),
    (lambda: bones.quality_accepted_with(13, 13, 0.1), "accepts everything"),
    (lambda: bones.quality_accepted_with(13, 2, 1.0), "chance is 1"),
    (lambda: bones.exact_interval(11, 10), "swapped"),
    (lambda: bones.exact_interval(1, 10, 95), "not a percentage"),
    (lambda: bones.upper_bound_none_found(0), "n is 0"),
    (lambda: bones.rule_of_three(2), "prove nothing"),
    (lambda: bones.sample_size_none_found(0), "p is 0"),
    (lambda: bones.sample_size_none_found(float("nan")), "p is nan"),
    (lambda: bones.d_prime(0.9, 0.1, 0.1, 0.9), "not rates"),
    (lambda: bones.d_prime(0, 0, 1, 9), "no rate exists"),
    (lambda: bones.d_prime(1, 1, 0, 0), "No clean piece"),
    (lambda: bones.d_prime(float("nan"), 1, 1, 1), "hits is nan"),
    (lambda: bones.cohen_kappa([[10, 0], [0, 0]]), "undefined"),
    (lambda: bones.cohen_kappa([[10, -1], [0, 2]]), "table is -1"),
    (lambda: bones.cohen_kappa([[10, float("nan")], [0, 2]]), "table is nan"),
    (lambda: bones.fleiss_kappa([[3, 0], [3, 0]]), "undefined"),
]


@pytest.mark.parametrize(("call", "words"), BAD)
def test_a_number_outside_its_range_is_refused_with_the_likely_cause(call, words):
    with pytest.raises(OutOfRange, match=words):
        call()


@pytest.mark.parametrize(
    "call",
    [
        lambda: bones.acceptance_probability(13, 2),
        lambda: bones.acceptance_probability(13, 2, lot=50),
        lambda: bones.acceptance_probability(13, 2, 0.1, lot=50, defectives=5),
        lambda: bones.cohen_kappa([[1, 2, 3], [1, 2, 3]]),
        lambda: bones.cohen_kappa([[0, 0], [0, 0]]),
        lambda: bones.cohen_kappa([[5]]),
        lambda: bones.fleiss_kappa([[3, 0], [2, 2]]),
        lambda: bones.fleiss_kappa([[1, 0], [0, 1]]),
        lambda: bones.fleiss_kappa([]),
    ],
)
def test_a_question_of_the_wrong_form_is_refused(call):
    with pytest.raises(BadData):
        call()
