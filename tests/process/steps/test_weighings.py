"""Fits to a learner's own weighings: they come back, they widen with scatter, they say when they guess."""

import numpy as np
import pytest

from kit.basics.errors import BadData, OutOfRange
from kit.process.steps import cure

HOURS = np.array([0, 0.5, 1, 2, 4, 8, 12, 24.0])


def test_a_clean_curve_comes_back():
    found = cure.fit_first_order(HOURS, cure.first_order(HOURS, 0.4, 11, 0.15))
    assert [band.middle for band in found.numbers.values()] == pytest.approx([0.4, 11, 0.15], rel=1e-5)
    loss = cure.fit_peleg(HOURS, cure.peleg(HOURS, 100, -0.9, -0.08))
    assert [band.middle for band in loss.numbers.values()] == pytest.approx([100, -0.9, -0.08], rel=1e-4)
    assert found.trusted
    assert loss.trusted


@pytest.mark.slow
def test_the_bands_hold_the_truth_about_95_times_in_100():
    rng = np.random.default_rng(5)
    held = 0
    for _ in range(200):
        values = cure.first_order(HOURS, 0.4, 11, 0.15) + rng.normal(0, 0.25, HOURS.size)
        band = cure.fit_first_order(HOURS, values).numbers["end"]
        held += band.low <= 11 <= band.high
    assert 180 <= held <= 200


def test_weighings_that_stop_too_early_are_not_trusted():
    early = np.array([0, 0.25, 0.5, 0.75, 1.0])
    found = cure.fit_first_order(early, cure.first_order(early, 0.4, 11, 0.15))
    assert not found.trusted
    assert "Weigh for longer" in found.why


def test_beyond_the_last_weighing_one_has_to_ask():
    found = cure.fit_peleg(HOURS, cure.peleg(HOURS, 0.5, 0.6, 0.08))
    assert found.at(24) == pytest.approx(cure.peleg(24, 0.5, 0.6, 0.08), rel=1e-4)
    with pytest.raises(OutOfRange, match="no weighing beyond"):
        found.at(36)
    assert found.at(36, extrapolate=True) > found.at(24)


def test_order_of_the_weighings_does_not_matter():
    values = cure.first_order(HOURS, 0.4, 11, 0.15)
    shuffled = np.array([3, 0, 7, 5, 1, 6, 2, 4])
    one, two = cure.fit_first_order(HOURS, values), cure.fit_first_order(HOURS[shuffled], values[shuffled])
    assert one.numbers["rate_per_h"].middle == pytest.approx(two.numbers["rate_per_h"].middle)


def test_water_per_salt_from_two_weighings():
    assert cure.water_per_salt(1000, 1000 + 20 - 50, 20) == pytest.approx(2.5)
    with pytest.raises(OutOfRange, match="left in the tray"):
        cure.water_per_salt(1000, 500, 10)


@pytest.mark.parametrize(
    ("hours", "values"),
    [
        ([0, 1, 2], [1, 2, 3]),
        ([0, 1, 2, 2], [1, 2, 3, 3]),
        ([0, 1, 2, 3], [1, 2, 3]),
        ([0, 1, 2, 3], [5, 5, 5, 5]),
    ],
)
@pytest.mark.parametrize("fit", [cure.fit_first_order, cure.fit_peleg])
def test_too_little_to_fit_is_refused(fit, hours, values):
    with pytest.raises(BadData):
        fit(hours, values)


@pytest.mark.parametrize("fit", [cure.fit_first_order, cure.fit_peleg])
def test_missing_numbers_are_refused(fit):
    with pytest.raises(OutOfRange, match="Is a weighing missing"):
        fit([0, 1, 2, 3], [1, float("nan"), 2, 3])
    with pytest.raises(OutOfRange, match="hours is -1"):
        fit([-1, 1, 2, 3], [1, 1.5, 2, 3])


def test_curves_refuse_nonsense():
    for call, words in (
        (lambda: cure.first_order(-1, 0, 1, 0.1), "hours is -1"),
        (lambda: cure.first_order(1, 0, 1, 0), "rate_per_h is 0"),
        (lambda: cure.first_order(1, float("nan"), 1, 0.1), "start and end is nan"),
        (lambda: cure.peleg(1, 0, 1, -1), "above 0 for a gain"),
    ):
        with pytest.raises(OutOfRange, match=words):
            call()
    assert cure.peleg(np.array([0.0, 1.0]), 0.5, 0.6, 0.08).shape == (2,)
