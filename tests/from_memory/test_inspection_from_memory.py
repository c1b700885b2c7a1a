"""Inspection rows from memory of the named books: never counted as published."""

import pytest

from kit.process.sampling import bones


# Montgomery, Introduction to Statistical Quality Control, sec. 15.2: the plan was read, the chances were not.
@pytest.mark.parametrize(("p", "accepted"), [(0.005, 0.9897), (0.02, 0.7366), (0.04, 0.3042), (0.06, 0.0919)])
def test_operating_curve_of_the_textbook_plan(p, accepted):
    assert bones.acceptance_probability(89, 2, p) == pytest.approx(accepted, abs=5e-5)


# Fleiss 1971, as widely reprinted: 10 subjects, 14 raters, 5 categories, kappa 0.210.
def test_fleiss_kappa_of_the_reprinted_table():
    table = [
        [0, 0, 0, 0, 14], [0, 2, 6, 4, 2], [0, 0, 3, 5, 6], [0, 3, 9, 2, 0], [2, 2, 8, 1, 1],
        [7, 7, 0, 0, 0], [3, 2, 6, 3, 0], [2, 5, 3, 2, 2], [6, 5, 2, 1, 0], [0, 2, 2, 3, 7],
    ]  # fmt: skip
    assert bones.fleiss_kappa(table) == pytest.approx(0.210, abs=5e-4)


def test_exact_bounds_when_none_was_found_in_30():
    assert bones.upper_bound_none_found(30) == pytest.approx(0.0950, abs=5e-5)
    assert bones.exact_interval(0, 30).high == pytest.approx(0.1157, abs=5e-5)


@pytest.mark.parametrize(("p", "n"), [(0.01, 299), (0.02, 149), (0.05, 59)])
def test_sample_sizes_to_rule_out_a_share(p, n):
    assert bones.sample_size_none_found(p) == n
