"""M. M. Yovanovich, single-term transient plane wall worksheet, University of Waterloo
(mhtl.uwaterloo.ca, dfwall1term1.html). Seen: the explicit root and the inputs of the example.

The root is an approximation: over Biot 0.01 to 100 it strays from the exact one by 0.22 % at most, near
Biot 3. The tolerance is 0.25 %.
"""

import math

import pytest

from kit.process.physics.heat import slab_first_term, slab_heat_fraction, slab_theta


def explicit_root(biot):
    return math.pi / 2 / (1 + (math.pi / 2 / math.sqrt(biot)) ** 2.139) ** (1 / 2.139)


@pytest.mark.parametrize("biot", [0.01, 0.03, 0.1, 0.2, 0.3, 0.5, 0.8, 1, 2, 3, 5, 10, 20, 30, 50, 100])
def test_first_root(biot):
    assert slab_first_term(biot)[0] == pytest.approx(explicit_root(biot), rel=0.0025)


def test_worked_example():
    biot, fourier = 100 * 0.1 / 20, 20e-6 * 600 / 0.1**2
    root = explicit_root(biot)
    coefficient = 2 * math.sin(root) / (root + math.sin(root) * math.cos(root))
    theta = coefficient * math.exp(-(root**2) * fourier)
    assert slab_theta(biot, fourier, 0) == pytest.approx(theta, rel=0.003)
    assert slab_theta(biot, fourier, 1) == pytest.approx(theta * math.cos(root), rel=0.003)
    assert slab_heat_fraction(biot, fourier) == pytest.approx(1 - theta * math.sin(root) / root, rel=0.003)
