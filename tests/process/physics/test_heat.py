"""The exact series: its limits, its edges, and that it satisfies what it claims to solve."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.basics.errors import OutOfRange
from kit.process.physics.heat import slab_first_term, slab_heat_fraction, slab_theta


@given(st.floats(1e-4, 1e4))
def test_the_first_root_solves_its_equation(biot):
    zeta1, _ = slab_first_term(biot)
    assert 0 < zeta1 < math.pi / 2
    assert zeta1 * math.sin(zeta1) == pytest.approx(biot * math.cos(zeta1), rel=1e-9, abs=1e-9)


def test_a_thin_slab_warms_as_one_lump():
    assert slab_theta(1e-5, 1e4, [0, 0.5, 1]) == pytest.approx(math.exp(-0.1), rel=1e-4)


def test_a_fixed_surface_gives_the_classical_series():
    n = np.arange(200)
    root = (n + 0.5) * np.pi
    fourier = 0.05
    centre = np.sum(2 * (-1.0) ** n / root * np.exp(-(root**2) * fourier))
    assert slab_theta(1e9, fourier, 0) == pytest.approx(centre, abs=1e-6)


def test_before_the_core_feels_it_the_surface_follows_the_half_space():
    biot, fourier = 2.0, 0.002
    y = biot * math.sqrt(fourier)
    assert slab_theta(biot, fourier, 1) == pytest.approx(math.exp(y * y) * math.erfc(y), abs=1e-6)


def test_at_the_start_and_without_transfer_nothing_has_moved():
    assert slab_theta(1.0, 0.0, [0.0, 1.0]).tolist() == [1.0, 1.0]
    assert slab_theta(0.0, 5.0, 0.3) == 1.0
    assert slab_heat_fraction(1.0, 0.0) == 0.0


@given(st.floats(0.01, 100), st.floats(0.001, 5), st.floats(0.01, 1))
def test_later_is_nearer_the_air(biot, fourier, more):
    assert slab_theta(biot, fourier + more, 0.4) <= slab_theta(biot, fourier, 0.4) + 1e-12


@pytest.mark.parametrize(("biot", "fourier"), [(0.1, 0.3), (1, 0.05), (8, 0.6)])
def test_heat_fraction_is_one_less_the_mean_of_theta(biot, fourier):
    x = np.linspace(0, 1, 2001)
    mean = np.trapezoid(slab_theta(biot, fourier, x), x)
    assert slab_heat_fraction(biot, fourier) == pytest.approx(1 - mean, abs=1e-6)


def test_shapes_are_kept():
    assert isinstance(slab_theta(1, 1, 0), float)
    assert slab_theta([[0.5], [1.0]], [0.1, 0.2, 0.3], 0).shape == (2, 3)
    zeta1, c1 = slab_first_term([0.1, 1.0])
    assert zeta1.shape == c1.shape == (2,)
    assert slab_theta(1.0, [0.1, 0.2], 0)[1] == slab_theta(1.0, 0.2, 0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: slab_first_term(0),
        lambda: slab_first_term(float("nan")),
        lambda: slab_theta(-1, 1, 0),
        lambda: slab_theta(1, -1, 0),
        lambda: slab_theta(1, 1, 1.2),
        lambda: slab_heat_fraction(1, float("nan")),
    ],
)
def test_bad_numbers_are_refused(call):
    with pytest.raises(OutOfRange):
        call()
