"""How sure a probe is: checks against a reference, their uncertainty, drift, and the batches in doubt."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from kit.basics.errors import BadData, check_range

FOR_95_PCT = 2.0
"""Coverage factor: so many standard uncertainties stand on each side for about 95 %. Source: ``gum-2008``."""


@dataclass(frozen=True)
class ProbeCheck:
    """One check: what the reference showed, what the probe showed, and how sure their difference is. [°C]"""

    reference_c: float
    shown_c: float
    expanded_c: float

    @property
    def error_c(self) -> float:
        """How much too high the probe shows; below 0 where it shows too little. [°C]"""
        return self.shown_c - self.reference_c


@dataclass(frozen=True)
class ProbeError:
    """How much too high a probe shows, and the uncertainty of that, for about 95 %. [°C]"""

    error_c: float
    expanded_c: float


@dataclass(frozen=True)
class ProbedBatch:
    """A batch whose core was read with a probe: its code, its day counted from any start, and the reading."""

    code: str
    day: float
    shown_c: float


def expanded_of_limits(half_width_c: float) -> float:
    """Return the uncertainty for about 95 % of a value that may lie anywhere within ± so much. [°C]

    A display that steps by 0.2 °C hides up to 0.1 °C on each side.

    Parameters
    ----------
    half_width_c : float
        Half of the whole width, 0 or more. [°C]

    Notes
    -----
    Source: ``gum-2008``, 4.3.7: a rectangular distribution, the half width over √3, times 2.

    Examples
    --------
    >>> round(expanded_of_limits(0.5), 3)
    0.577
    """
    check_range("half_width_c", half_width_c, at_least=0)
    return FOR_95_PCT * half_width_c / sqrt(3)


def combined_uncertainty(parts: Sequence[float]) -> float:
    """Return the uncertainty of a sum whose parts have nothing to do with each other.

    Parts rarely all push the same way, so they are not added: their squares are.

    Parameters
    ----------
    parts : sequence of float
        The uncertainty of each part, all of one coverage, 0 or more. [°C]

    Notes
    -----
    Source: ``gum-2008``, 5.1.2.

    Examples
    --------
    >>> round(combined_uncertainty([0.3, 0.4]), 6)
    0.5
    """
    check_range("parts", np.asarray(parts, dtype=float), at_least=0)
    return hypot(*parts)


def error_between(ice: ProbeCheck, warm: ProbeCheck, temp_c: float) -> ProbeError:
    """Return the error of a probe between two checks, as a straight line from one to the other.

    Parameters
    ----------
    ice, warm : ProbeCheck
        A check at a low and at a high temperature.
    temp_c : float
        Where the probe is used, from the low reference to the high one. [°C]

    Raises
    ------
    BadData
        If the warm check is not above the cold one.

    Notes
    -----
    Source: ``gum-2008``, 5.1.2, for a weighted mean of two independent checks. That a probe errs along a
    straight line is an assumption; a third check between the two would show it.

    Examples
    --------
    >>> error_between(ProbeCheck(0, 0.2, 0.3), ProbeCheck(80, 81.0, 0.4), 60)
    ProbeError(error_c=0.8, expanded_c=0.309...)
    """
    if warm.reference_c <= ice.reference_c:
        raise BadData("checks", "the warm check is not above the cold one", "two temperatures, the low first")
    check_range("temp_c", temp_c, at_least=ice.reference_c, at_most=warm.reference_c)
    share = (temp_c - ice.reference_c) / (warm.reference_c - ice.reference_c)
    error = ice.error_c + share * (warm.error_c - ice.error_c)
    return ProbeError(error, hypot((1 - share) * ice.expanded_c, share * warm.expanded_c))


def surely_reached(shown_c: float, error: ProbeError) -> float:
    """Return the temperature that a reading surely stands for. An error counts only against the cook. [°C]

    Examples
    --------
    >>> surely_reached(68.0, ProbeError(0.5, 0.25)), surely_reached(68.0, ProbeError(-0.5, 0.25))
    (67.25, 67.75)
    """
    return shown_c - max(error.error_c, 0.0) - error.expanded_c


def batches_in_doubt(
    batches: Iterable[ProbedBatch], good_day: float, limit_c: float, error: ProbeError
) -> tuple[str, ...]:
    """Return the batches that are in doubt after a check found a probe to show too much.

    Nobody knows on which day it went wrong. So every reading since the last good check is taken as if the
    whole error was there already.

    Parameters
    ----------
    batches : iterable of ProbedBatch
        Read with this probe.
    good_day : float
        The day of the last good check; batches of that day or before were read with a good probe.
    limit_c : float
        What the core had to reach. [°C]
    error : ProbeError
        What the check found.

    Examples
    --------
    >>> read = [ProbedBatch("A", 1, 70.1), ProbedBatch("B", 5, 70.1), ProbedBatch("C", 6, 74.0)]
    >>> batches_in_doubt(read, good_day=3, limit_c=70, error=ProbeError(1.2, 0.4))
    ('B',)
    """
    return tuple(
        each.code for each in batches if each.day > good_day and surely_reached(each.shown_c, error) < limit_c
    )
