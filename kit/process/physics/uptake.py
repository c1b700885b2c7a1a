"""How fast a slab takes up what stands at its faces: the series of a plane sheet."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from kit.basics.errors import OutOfRange, check_range
from kit.process.physics.numeric import as_given

Array = NDArray[np.float64]


def fourier_number(diffusivity_m2_s: ArrayLike, hours: ArrayLike, thickness_mm: ArrayLike, sides: int) -> Any:
    """Return D t / l², with l the HALF thickness if two faces are open and the FULL one if one is. [-]

    That choice changes the time by a factor of 4, so it is made here and nowhere else. Skin closes a face.

    Parameters
    ----------
    diffusivity_m2_s : float or array
        Above 0. [m²/s]
    hours : float or array
        0 or more. [h]
    thickness_mm : float or array
        FULL thickness, above 0. [mm]
    sides : int
        Open faces: 1 (skin on) or 2.

    Notes
    -----
    Source: ``crank-1975``, sec. 4.3.

    Examples
    --------
    >>> round(fourier_number(3e-10, 4, 24, 1), 4), round(fourier_number(3e-10, 4, 24, 2), 4)
    (0.0075, 0.03)
    """
    check_range("diffusivity_m2_s", diffusivity_m2_s, above=0, at_most=1e-6, likely_cause="Is it in m²/s?")
    check_range("hours", hours, at_least=0)
    check_range("thickness_mm", thickness_mm, above=0, likely_cause="Give the full thickness, in mm.")
    if sides not in (1, 2):
        raise OutOfRange("sides", sides, "1 (skin on) or 2")
    path_m = np.asarray(thickness_mm, dtype=float) / 1000 / sides
    return as_given(np.asarray(diffusivity_m2_s) * np.asarray(hours, dtype=float) * 3600 / path_m**2)


def uptake_fraction(fourier: ArrayLike) -> Any:
    """Return how much of its final salt a slab has taken up, faces held at constant strength. [-]

    Early on it grows with the square root of time: the second two hours bring far less than the first two.

    Parameters
    ----------
    fourier : float or array
        D t / l², 0 or more; l is the half thickness with two open faces, the full one with one. [-]

    Returns
    -------
    float or array
        Mean uptake over final uptake, 0 to 1.

    Notes
    -----
    Source: ``crank-1975``, eqs. 4.18 and 4.20: full series, and its short-time twin below 0.5. Both are
    exact there to 1e-12.

    Examples
    --------
    >>> round(uptake_fraction(0.05), 5), round(uptake_fraction(1.5), 5)
    (0.25231, 0.97998)
    """
    check_range("fourier", fourier, at_least=0, likely_cause="Time and diffusivity cannot be negative.")
    number = np.asarray(fourier, dtype=float)
    early = np.clip(number, 1e-30, 0.5)
    reach = np.arange(1, 6) / np.sqrt(early)[..., None]
    signs = np.array([-1, 1, -1, 1, -1])
    short = 2 * np.sqrt(early) * (1 / np.sqrt(np.pi) + 2 * np.sum(signs * _ierfc(reach), axis=-1))
    odd = 2 * np.arange(8) + 1
    late = np.maximum(number, 0.5)[..., None]
    long = 1 - np.sum(8 / (odd * np.pi) ** 2 * np.exp(-(odd**2) * np.pi**2 * late / 4), axis=-1)
    return as_given(np.where(number == 0, 0.0, np.where(number < 0.5, short, long)))


def _ierfc(x: Array) -> Array:
    return np.asarray(np.exp(-(x**2)) / np.sqrt(np.pi) - x * special.erfc(x))


def uptake_profile(fourier: ArrayLike, x: ArrayLike) -> Any:
    """Return the local uptake over the final one at a place in a slab. [-]

    Parameters
    ----------
    fourier : float or array
        D t / l², 0 or more, as in :func:`uptake_fraction`. [-]
    x : float or array
        Place: 0 at the middle (or at the skin, if one face is closed), 1 at the open face. [-]

    Notes
    -----
    Source: ``crank-1975``, eqs. 4.17 and 4.19.

    Examples
    --------
    >>> round(uptake_profile(0.15, 0.0), 5)
    0.13578
    """
    check_range("fourier", fourier, at_least=0)
    check_range("x", x, at_least=0, at_most=1, likely_cause="0 is the middle, 1 the open face.")
    number, place = np.broadcast_arrays(np.asarray(fourier, dtype=float), np.asarray(x, dtype=float))
    early, late = np.clip(number, 1e-30, 0.5)[..., None], np.maximum(number, 0.5)[..., None]
    n, there = np.arange(6), place[..., None]
    root = 2 * np.sqrt(early)
    waves = special.erfc((2 * n + 1 - there) / root) + special.erfc((2 * n + 1 + there) / root)
    short = np.sum((-1.0) ** n * waves, axis=-1)
    odd = 2 * np.arange(8) + 1
    fading = np.exp(-(odd**2) * np.pi**2 * late / 4) * np.cos(odd * np.pi * there / 2)
    long = 1 - np.sum(4 / (np.pi * odd) * (-1.0) ** np.arange(8) * fading, axis=-1)
    at_start = np.where(place == 1, 1.0, 0.0)
    return as_given(np.where(number == 0, at_start, np.where(number < 0.5, short, long)))


def fourier_for_uptake(fraction: float) -> float:
    """Return D t / l² at which a slab has taken up a given fraction: the time question turned round. [-]

    Parameters
    ----------
    fraction : float
        Mean uptake over final uptake, 0 or more, below 0.999. [-]

    Notes
    -----
    Source: ``crank-1975``; root found by SciPy.

    Examples
    --------
    >>> round(fourier_for_uptake(0.5) / 4, 5)
    0.04918
    """
    check_range(
        "fraction", fraction, at_least=0, below=0.999, likely_cause="Is it a share, not a percentage?"
    )
    if fraction == 0:
        return 0.0
    from scipy.optimize import brentq

    return float(brentq(lambda number: uptake_fraction(number) - fraction, 0.0, 4.0, xtol=1e-14))
