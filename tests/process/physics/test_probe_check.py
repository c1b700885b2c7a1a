"""The probe: uncertainties against a simulation, errors that only count against the cook, and doubt."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.basics.errors import BadData, OutOfRange
from kit.process.physics.probe_check import (
    ProbeCheck,
    ProbedBatch,
    ProbeError,
    batches_in_doubt,
    combined_uncertainty,
    error_between,
    expanded_of_limits,
    surely_reached,
)

ICE, WARM = ProbeCheck(0.0, 0.2, 0.3), ProbeCheck(80.0, 81.0, 0.4)


def test_two_parts_combine_as_a_simulation_says():
    rng = np.random.default_rng(7)
    flat = rng.uniform(-0.5, 0.5, 200_000)  # a display with steps of 1 °C
    bell = rng.normal(0, 0.2, 200_000)
    ours = combined_uncertainty([expanded_of_limits(0.5), 2 * 0.2])
    assert ours == pytest.approx(2 * np.std(flat + bell), rel=0.01)


def test_the_error_is_that_of_the_check_at_each_end():
    assert error_between(ICE, WARM, 0) == ProbeError(pytest.approx(0.2), pytest.approx(0.3))
    assert error_between(ICE, WARM, 80) == ProbeError(pytest.approx(1.0), pytest.approx(0.4))


@given(st.floats(0, 80))
def test_between_two_checks_it_is_never_less_sure_than_the_worse_one(temp_c):
    found = error_between(ICE, WARM, temp_c)
    assert 0.2 - 1e-9 <= found.error_c <= 1.0 + 1e-9
    assert found.expanded_c <= 0.4 + 1e-9


@given(st.floats(50, 90), st.floats(-3, 3), st.floats(0, 1))
def test_an_error_never_adds_heat(shown, error, unsure):
    assert surely_reached(shown, ProbeError(error, unsure)) <= shown


def test_what_was_read_before_the_good_check_is_never_in_doubt_and_an_edge_is_met():
    read = [ProbedBatch("before", 3, 60.0), ProbedBatch("edge", 5, 69.1), ProbedBatch("low", 6, 69.0)]
    assert batches_in_doubt(read, 3, 68.0, ProbeError(0.8, 0.3)) == ("low",)


def test_what_cannot_be_is_refused():
    with pytest.raises(OutOfRange):
        error_between(ICE, WARM, 95)
    with pytest.raises(BadData, match="warm check"):
        error_between(WARM, ICE, 40)
    with pytest.raises(OutOfRange):
        combined_uncertainty([0.2, -0.1])
