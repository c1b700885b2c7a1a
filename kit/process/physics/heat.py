"""How heat soaks into a slab: the exact series for a dry slab whose properties stay the same.

The yardstick for ``kit.process.physics.slab``, which solves everything the series has to leave out.
"""

import math
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.basics.errors import check_range

Array = NDArray[np.float64]


@lru_cache(maxsize=128)
def _roots(biot: float, count: int) -> Array:
    """Return the first roots of z tan z = Bi by halving, then two Newton steps."""
    base = np.arange(count) * np.pi
    if math.isinf(biot):
        return np.asarray(base + np.pi / 2)
    low, high = base.copy(), base + np.pi / 2
    for _ in range(30):
        middle = 0.5 * (low + high)
        # Divided by the sign of cos, so that every branch rises.
        over = (middle - base) - np.arctan2(biot, middle) > 0
        high, low = np.where(over, middle, high), np.where(over, low, middle)
    root = 0.5 * (low + high)
    for _ in range(2):
        root = root - ((root - base) - np.arctan2(biot, root)) / (1 + biot / (root**2 + biot**2))
    root.flags.writeable = False
    return root


def _coefficients(root: Array) -> Array:
    found: Array = 4 * np.sin(root) / (2 * root + np.sin(2 * root))
    return found


def slab_first_term(biot: ArrayLike) -> tuple[Any, Any]:
    """Return the first root and its coefficient for a slab heated on both faces.

    One term is enough once the core has begun to follow (Fourier number above 0.2).

    Parameters
    ----------
    biot : float or array
        h times HALF the thickness over k, above 0. [1]

    Returns
    -------
    zeta1, c1 : float or array
        Root [rad] and coefficient [1].

    Raises
    ------
    OutOfRange
        If a Biot number is 0 or less.

    Notes
    -----
    Source: ``incropera``, plane wall with convection. Exact.

    Examples
    --------
    >>> zeta1, c1 = slab_first_term(0.5)
    >>> round(zeta1, 4), round(c1, 4)
    (0.6533, 1.0701)
    """
    check_range("biot", biot, above=0)
    roots = np.array([_roots(float(value), 1)[0] for value in np.ravel(np.asarray(biot, dtype=float))])
    shape = np.shape(biot)
    coefficients = _coefficients(roots)
    if not shape:
        return float(roots[0]), float(coefficients[0])
    return roots.reshape(shape), coefficients.reshape(shape)


def slab_theta(biot: ArrayLike, fourier: ArrayLike, x: ArrayLike, *, terms: int | None = None) -> Any:
    """Return how far a point in a slab still is from the air: 1 at the start, 0 when it has caught up.

    The yardstick for the solver: constant properties, dry surface, both faces alike.

    Parameters
    ----------
    biot : float or array
        h times HALF the thickness over k, 0 or more. [1]
    fourier : float or array
        Diffusivity times time over HALF the thickness squared, 0 or more. [1]
    x : float or array
        Place: 0 the centre, 1 the surface. [1]
    terms : int, optional
        Terms of the series; by default as many as the shortest time needs, up to 2,000.

    Returns
    -------
    float or array
        (T - T_air) / (T_start - T_air). [1]

    Notes
    -----
    Source: ``incropera``, plane wall with convection. Exact from Fourier 1e-6; exactly 1 at 0.

    Examples
    --------
    >>> round(slab_theta(biot=0.5, fourier=1.2, x=0), 4)
    0.6412
    """
    check_range("biot", biot, at_least=0)
    check_range("fourier", fourier, at_least=0)
    check_range("x", x, at_least=0, at_most=1, likely_cause="0 is the centre, 1 the surface.")
    bi, fo, place = np.broadcast_arrays(*(np.asarray(value, dtype=float) for value in (biot, fourier, x)))
    theta = np.ones(bi.shape)
    started = (fo > 0) & (bi > 0)
    count = terms if terms is not None else _terms_needed(fo[started])
    for value in np.unique(bi[started]):
        here = started & (bi == value)
        root = _roots(float(value), count)
        wave = np.exp(-np.outer(fo[here], root**2)) * np.cos(np.outer(place[here], root))
        theta[here] = wave @ _coefficients(root)
    return float(theta) if theta.ndim == 0 else theta


def _terms_needed(fourier: Array) -> int:
    shortest = float(fourier.min()) if fourier.size else 1.0
    return int(min(2000, max(60, math.ceil(math.sqrt(36 / max(shortest, 1e-9)) / math.pi) + 2)))


def slab_heat_fraction(biot: ArrayLike, fourier: ArrayLike, *, terms: int | None = None) -> Any:
    """Return the share of all the heat a slab can take that it has taken by now.

    Parameters
    ----------
    biot, fourier : float or array
        As for ``slab_theta``. [1]
    terms : int, optional
        Terms of the series.

    Returns
    -------
    float or array
        From 0 to 1. [1]

    Notes
    -----
    Source: ``incropera``, plane wall with convection. Exact.

    Examples
    --------
    >>> round(slab_heat_fraction(biot=0.5, fourier=1.2), 4)
    0.4034
    """
    check_range("biot", biot, at_least=0)
    check_range("fourier", fourier, at_least=0)
    bi, fo = np.broadcast_arrays(np.asarray(biot, dtype=float), np.asarray(fourier, dtype=float))
    taken = np.zeros(bi.shape)
    started = (fo > 0) & (bi > 0)
    count = terms if terms is not None else _terms_needed(fo[started])
    for value in np.unique(bi[started]):
        here = started & (bi == value)
        root = _roots(float(value), count)
        share = _coefficients(root) * np.sin(root) / root
        taken[here] = 1 - np.exp(-np.outer(fo[here], root**2)) @ share
    return float(taken) if taken.ndim == 0 else taken
