"""How far a set of items measures one thing: alpha, KR-20, KR-21 and the error of a score."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from kit.basics.errors import OutOfRange
from kit.statistics.statistic import CONFIDENCE, Statistic, as_right_or_wrong, as_scores, without

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

LEAST_PEOPLE = 30
"""Fewer people than this, and a reliability is hidden. Ours: below it the interval is half the scale."""


def alpha(
    scores: ArrayLike, *, gaps: Literal["listwise", "pairwise"] = "listwise", least_n: int = LEAST_PEOPLE
) -> Statistic:
    """Return Cronbach's coefficient alpha, with Feldt's interval.

    Parameters
    ----------
    scores : array_like
        People × items: points, or 1 and 0; NaN where somebody did not meet an item.
    gaps : {"listwise", "pairwise"}
        People with a gap are left out, or each covariance takes those who met both items.
    least_n : int
        Fewer people, and the figure is hidden.

    Returns
    -------
    Statistic
        At most 1; it can be negative. ``n`` is the number of people who count.

    Raises
    ------
    OutOfRange, BadData
        If ``gaps`` is neither of the two, or the scores are no table of numbers.

    Notes
    -----
    Source: Cronbach (1951), Psychometrika 16, 297; interval of Feldt (1965), Psychometrika 30, 357; both from
    memory.

    Examples
    --------
    >>> three = [[1, 1, 1], [1, 1, 0], [1, 0, 0], [0, 0, 0]]
    >>> round(alpha(three, least_n=0).value, 3)
    0.75
    """
    if gaps not in ("listwise", "pairwise"):
        raise OutOfRange("gaps", gaps, "'listwise' or 'pairwise'")
    found = as_scores(scores, "scores")
    if gaps == "listwise":
        found = _complete(found)
    covariances = _covariances(found)
    n, items = found.shape
    whole = float(covariances.sum())
    if items < 2 or n < 2 or np.isnan(whole) or whole <= 0:
        return without("alpha", n, least_n, "it needs 2 items, 2 people and scores that differ")
    value = items / (items - 1) * (1 - float(np.trace(covariances)) / whole)
    return _feldt("alpha", value, n, items, least_n)


def kr20(answers: ArrayLike, *, least_n: int = LEAST_PEOPLE) -> Statistic:
    """Return the reliability of right-or-wrong items by Kuder and Richardson's formula 20.

    The variance of the totals is that of the population, as p × q is: with the sample's, the figure is too
    high. So it equals ``alpha`` of the same answers.

    Parameters
    ----------
    answers : array_like
        People × items: 1, 0, or NaN. People with a gap are left out.

    Raises
    ------
    OutOfRange, BadData
        If an answer is neither right nor wrong.

    Notes
    -----
    Source: Kuder and Richardson (1937), Psychometrika 2, 151; from memory.

    Examples
    --------
    >>> round(kr20([[1, 1, 1], [1, 1, 0], [1, 0, 0], [0, 0, 0]], least_n=0).value, 3)
    0.75
    """
    found = _complete(as_right_or_wrong(answers))
    n, items = found.shape
    spread = float(found.sum(axis=1).var()) if n else 0.0
    if items < 2 or n < 2 or spread == 0:
        return without("KR-20", n, least_n, "it needs 2 items, 2 people and totals that differ")
    right = found.mean(axis=0)
    value = items / (items - 1) * (1 - float((right * (1 - right)).sum()) / spread)
    return _feldt("KR-20", value, n, items, least_n)


def kr21(answers: ArrayLike, *, least_n: int = LEAST_PEOPLE) -> Statistic:
    """Return Kuder and Richardson's formula 21, which takes all items for equally hard: a lower bound.

    Examples
    --------
    >>> round(kr21([[1, 1, 1], [1, 1, 0], [1, 0, 0], [0, 0, 0]], least_n=0).value, 3)
    0.6
    """
    found = _complete(as_right_or_wrong(answers))
    n, items = found.shape
    totals = found.sum(axis=1)
    spread = float(totals.var()) if n else 0.0
    if items < 2 or n < 2 or spread == 0:
        return without("KR-21", n, least_n, "it needs 2 items, 2 people and totals that differ")
    mean = float(totals.mean())
    value = items / (items - 1) * (1 - mean * (items - mean) / (items * spread))
    return _feldt("KR-21", value, n, items, least_n)


def error_of_measurement(scores: ArrayLike, *, least_n: int = LEAST_PEOPLE) -> Statistic:
    """Return the standard error of measurement: how far a score lies from the true one. [points]

    It is √(variance of the totals × (1 − alpha)), with the sample's variance; its ends follow from alpha's.

    Examples
    --------
    >>> round(error_of_measurement([[1, 1, 1], [1, 1, 0], [1, 0, 0], [0, 0, 0]], least_n=0).value, 3)
    0.645
    """
    found, name = _complete(as_scores(scores, "scores")), "standard error of measurement"
    about = alpha(found, least_n=0)
    if not about.shown:
        return without(name, len(found), least_n, about.why_not)
    spread = float(found.sum(axis=1).std(ddof=1))
    value, low, high = (spread * max(1 - each, 0.0) ** 0.5 for each in (about.value, about.high, about.low))
    return Statistic(name, value, low, high, len(found), least_n)


def _complete(found: NDArray[Any]) -> NDArray[Any]:
    return np.asarray(found[~np.isnan(found).any(axis=1)])


def _covariances(found: NDArray[Any]) -> NDArray[Any]:
    """Covariances of the items, each over those who met both. [points²]"""
    met = ~np.isnan(found)
    filled = np.where(met, found, 0.0)
    both = met.T.astype(float) @ met.astype(float)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = (filled.T @ met) / both  # [i, j]: the mean of i over those who met i and j
        return np.asarray((filled.T @ filled - both * mean * mean.T) / (both - 1))


def _feldt(name: str, value: float, n: int, items: int, least_n: int) -> Statistic:
    from scipy.stats import f

    people, spare = n - 1, (n - 1) * (items - 1)
    low = 1 - (1 - value) * float(f.ppf(0.5 + CONFIDENCE / 2, people, spare))
    high = 1 - (1 - value) * float(f.ppf(0.5 - CONFIDENCE / 2, people, spare))
    return Statistic(name, value, low, high, n, least_n)
