"""One figure with its interval and its n, and the shares that most figures here are."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Any

import numpy as np

from kit.basics.errors import BadData, check_range

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

CONFIDENCE = 0.95
"""How sure every interval here is, both ends together."""


@dataclass(frozen=True)
class Statistic:
    """A figure, the ends of its interval, and how many it rests on; hidden where those are too few.

    ``value``, ``low`` and ``high`` are NaN where there is no figure: too few, or ``why_not`` says why.

    Examples
    --------
    >>> print(Statistic("facility", 0.72, 0.61, 0.81, n=80, least_n=10))
    facility 0.72 (0.61 to 0.81, n 80)
    >>> print(Statistic("facility", 0.75, 0.3, 0.95, n=4, least_n=10))
    facility: hidden, n 4 is below 10
    """

    name: str
    value: float
    low: float
    high: float
    n: int
    least_n: int = 0
    why_not: str = ""

    def __post_init__(self) -> None:
        if self.n < self.least_n:
            for part in ("value", "low", "high"):
                object.__setattr__(self, part, math.nan)

    @property
    def shown(self) -> bool:
        """Whether there is a figure to show."""
        return not math.isnan(self.value)

    def __str__(self) -> str:
        if self.shown:
            return f"{self.name} {self.value:.2f} ({self.low:.2f} to {self.high:.2f}, n {self.n})"
        if self.n < self.least_n:
            return f"{self.name}: hidden, n {self.n} is below {self.least_n}"
        return f"{self.name}: none, {self.why_not or 'it is not defined here'} (n {self.n})"


def library(module: str) -> Any:
    """Return a module of ``statsmodels``, or say how to get it.

    Raises
    ------
    BadData
        If it is not installed.

    Examples
    --------
    >>> library("statsmodels.nowhere")
    Traceback (most recent call last):
    ...
    kit.basics.errors.BadData: statsmodels.nowhere: not installed. Expected: pip install \
'smokehouse-kit[statistics]'.
    """
    try:
        return import_module(module)
    except ModuleNotFoundError:
        raise BadData(module, "not installed", "pip install 'smokehouse-kit[statistics]'") from None


def without(name: str, n: int, least_n: int, why_not: str) -> Statistic:
    """Return a statistic that has no figure, and why."""
    return Statistic(name, math.nan, math.nan, math.nan, n, least_n, why_not)


def share_interval(count: ArrayLike, n: ArrayLike) -> tuple[NDArray[Any], NDArray[Any]]:
    """Return the ends of Wilson's interval of a share, NaN where n is 0.

    Parameters
    ----------
    count, n : array_like
        How many of how many. Any one shape.

    Returns
    -------
    (ndarray, ndarray)
        The lower and the upper end, from 0 to 1.

    Notes
    -----
    By ``statsmodels``. Source: Wilson (1927), J. Am. Stat. Assoc. 22, 209; from memory.

    Examples
    --------
    >>> low, high = share_interval(81, 263)
    >>> round(float(low), 4), round(float(high), 4)
    (0.2553, 0.3662)
    """
    counts, of = np.asarray(count, dtype=float), np.asarray(n, dtype=float)
    with np.errstate(invalid="ignore", divide="ignore"):
        low, high = library("statsmodels.stats.proportion").proportion_confint(
            counts, of, alpha=1 - CONFIDENCE, method="wilson"
        )
    some = of > 0
    return np.where(some, np.maximum(low, 0), np.nan), np.where(some, np.minimum(high, 1), np.nan)


def difference_interval(
    count: ArrayLike, n: ArrayLike, other_count: ArrayLike, other_n: ArrayLike
) -> tuple[NDArray[Any], NDArray[Any]]:
    """Return the ends of the interval of one share less another of other people, NaN where an n is 0.

    Notes
    -----
    Source: Newcombe (1998), Stat. Med. 17, 873, hybrid score method; from memory. It squares and adds the
    distances of each share from the ends of its Wilson interval.

    Examples
    --------
    >>> [round(float(end), 4) for end in difference_interval(56, 70, 48, 80)]
    [0.0524, 0.3339]
    """
    low, high = share_interval(count, n)
    other_low, other_high = share_interval(other_count, other_n)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.asarray(count, dtype=float) / np.asarray(n, dtype=float)
        other = np.asarray(other_count, dtype=float) / np.asarray(other_n, dtype=float)
    between = share - other
    down = np.sqrt((share - low) ** 2 + (other_high - other) ** 2)
    up = np.sqrt((high - share) ** 2 + (other - other_low) ** 2)
    return between - down, between + up


def correlation_interval(r: ArrayLike, n: ArrayLike) -> tuple[NDArray[Any], NDArray[Any]]:
    """Return the ends of Fisher's interval of a correlation, NaN where n is 3 or less.

    Examples
    --------
    >>> [round(float(end), 3) for end in correlation_interval(0.5, 103)]
    [0.339, 0.632]
    """
    from scipy.stats import norm

    many = np.asarray(n, dtype=float)
    spread = norm.ppf(0.5 + CONFIDENCE / 2) / np.sqrt(np.where(many > 3, many - 3, np.nan))
    middle = np.arctanh(np.clip(np.asarray(r, dtype=float), -0.999999, 0.999999))
    return np.tanh(middle - spread), np.tanh(middle + spread)


def median_interval(values: ArrayLike) -> tuple[float, float, float]:
    """Return the median and the ends of its interval by order statistics, NaN where there is nothing.

    Examples
    --------
    >>> median_interval([3, 1, 2, 5, 4, 6, 7, 8, 9, 10])
    (5.5, 2.0, 9.0)
    """
    from scipy.stats import binom

    known = np.sort(np.asarray(values, dtype=float).ravel())
    known = known[~np.isnan(known)]
    n = len(known)
    if not n:
        return math.nan, math.nan, math.nan
    first = int(max(binom.ppf(0.5 - CONFIDENCE / 2, n, 0.5) - 1, 0))
    return float(np.median(known)), float(known[first]), float(known[n - 1 - first])


def jackknife(
    name: str, of: Callable[[NDArray[Any]], float], units: NDArray[Any], least_n: int, why_not: str
) -> Statistic:
    """Return a statistic with the interval that leaving out one unit (a row) after the other gives.

    Parameters
    ----------
    of : callable
        From an array of units to the figure; NaN where it is not defined.
    units : ndarray
        A row each, at least 1.
    """
    from scipy.stats import t

    n, value = len(units), float(of(units))
    if math.isnan(value) or n < 3:
        return Statistic(name, value, math.nan, math.nan, n, max(least_n, 3), why_not)
    each = np.array([of(np.delete(units, left_out, axis=0)) for left_out in range(n)])
    each = each[~np.isnan(each)]
    error = math.sqrt((len(each) - 1) / len(each) * float(((each - each.mean()) ** 2).sum()))
    far = float(t.ppf(0.5 + CONFIDENCE / 2, n - 1)) * error
    return Statistic(name, value, max(value - far, -1.0), min(value + far, 1.0), n, least_n)


def as_right_or_wrong(answers: ArrayLike, name: str = "answers") -> NDArray[Any]:
    """Return persons × items as floats of 1, 0 and NaN, or raise.

    Raises
    ------
    BadData
        If it is no table of rows and columns.
    OutOfRange
        If there is anything but right (1), wrong (0) and nothing.
    """
    found = as_scores(answers, name)
    kept = found[~np.isnan(found)]
    odd = kept[(kept != 0) & (kept != 1)]
    check_range(name, odd, at_least=0, at_most=1, likely_cause="Were these points, not right or wrong?")
    if odd.size:
        raise BadData(name, f"{odd[0]:g} is neither 1, right, nor 0, wrong", "1, 0 or nothing")
    return found


def as_scores(answers: ArrayLike, name: str = "answers") -> NDArray[Any]:
    """Return persons × items as floats, NaN where there is none, or raise BadData."""
    try:
        if hasattr(answers, "to_numpy"):
            found = np.asarray(answers.to_numpy(dtype=float, na_value=np.nan), dtype=float)
        else:
            found = np.asarray(answers, dtype=float)
    except (TypeError, ValueError):
        raise BadData(name, "not all of them are numbers", "a row a person, a column an item") from None
    if found.ndim != 2:
        raise BadData(name, f"{found.ndim} dimensions", "a row a person, a column an item")
    if np.isinf(found).any():
        raise BadData(name, "an infinite number", "finite numbers, or nothing")
    return found
