"""Small helpers of the science: a scalar in gives a float out, and counts are whole numbers."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from kit.errors import OutOfRange, check_range


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
    kit.errors.OutOfRange: n is 2.5; it must be a whole number.
    """
    if value is None:
        raise OutOfRange(name, value, "a whole number", likely_cause)
    check_range(name, value, at_least=at_least, at_most=at_most, likely_cause=likely_cause)
    numbers = np.atleast_1d(np.asarray(value, dtype=float))
    broken = numbers != np.round(numbers)
    if np.any(broken):
        raise OutOfRange(name, float(numbers[broken][0]), "a whole number", likely_cause)
