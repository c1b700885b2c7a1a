"""Small helpers of the science: float in, float out; whole numbers; figures known only as a band."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from kit.basics.errors import OutOfRange, check_range


@dataclass(frozen=True)
class Band:
    """A figure that is only known to lie between two ends, with the one that is used in between.

    Examples
    --------
    >>> Band.around(2.0, 8.0)
    Band(low=2.0, middle=4.0, high=8.0)
    """

    low: float
    middle: float
    high: float

    @classmethod
    def around(cls, low: float, high: float) -> Band:
        """Return the band with the geometric mean as its middle."""
        return cls(low, sqrt(low * high), high)


def as_given(value: Any) -> Any:
    """Return a plain float for a single number, and arrays as they are.

    Examples
    --------
    >>> as_given(np.float64(0.5)), as_given(np.array([1.0])).shape
    (0.5, (1,))
    """
    return float(value) if np.ndim(value) == 0 else value


def check_whole(
    name: str,
    value: ArrayLike | None,
    *,
    at_least: float | None = None,
    at_most: float | None = None,
    likely_cause: str = "",
) -> None:
    """Raise OutOfRange unless ``value`` holds whole numbers within the bounds.

    Examples
    --------
    >>> check_whole("n", 13, at_least=1)
    >>> check_whole("n", 2.5, at_least=1)
    Traceback (most recent call last):
    ...
    kit.basics.errors.OutOfRange: n is 2.5; it must be a whole number.
    """
    if value is None:
        raise OutOfRange(name, value, "a whole number", likely_cause)
    check_range(name, value, at_least=at_least, at_most=at_most, likely_cause=likely_cause)
    numbers = np.atleast_1d(np.asarray(value, dtype=float))
    broken = numbers != np.round(numbers)
    if np.any(broken):
        raise OutOfRange(name, float(numbers[broken][0]), "a whole number", likely_cause)
