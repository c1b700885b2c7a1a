"""Where the line lies: the modified Angoff method for a paper, borderline regression for a practical."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from kit.basics.errors import BadData, check_range
from kit.statistics.statistic import CONFIDENCE, as_scores, library

if TYPE_CHECKING:
    from pandas import DataFrame

WANTED_JUDGES = 10
"""About how many judges a cut wants; with fewer the error is said, and it is wide."""


@dataclass(frozen=True)
class AngoffCut:
    """What the judges' last round says. Scores in points, one an item.

    ``error`` is the standard error from the spread of the judges' sums; ``spread`` their standard deviation,
    ``item_spread`` that of the judges on each item. ``moved`` is how far the cut went from the first round to
    the last, and ``calmed`` what is left of the first spread (1 is all of it); NaN after one round.
    """

    cut: float
    low: float
    high: float
    share_pct: float
    error: float
    spread: float
    judges: int
    items: int
    item_spread: tuple[float, ...]
    moved: float
    calmed: float

    @property
    def few_judges(self) -> bool:
        """Whether fewer judged than is wanted."""
        return self.judges < WANTED_JUDGES


@dataclass(frozen=True)
class BorderlineCut:
    """The score at the borderline grade. ``low`` to ``high`` is the interval of the line there."""

    cut: float
    low: float
    high: float
    slope: float
    intercept: float
    explained: float
    n: int


def angoff_cut(first_round: DataFrame, second_round: DataFrame | None = None) -> AngoffCut:
    """Return the cut score of a paper from judges' estimates.

    Each judge says, item by item, the chance that a barely competent person is right. A judge's sum is that
    person's expected score; the cut is the mean of the sums. After talking, the judges do it once more.

    Parameters
    ----------
    first_round, second_round : DataFrame
        Judges × items, from 0 to 1. The last round counts. At least 2 judges. [chance]

    Raises
    ------
    OutOfRange
        If a chance lies outside 0 to 1.
    BadData
        If a sheet is half filled, there are fewer than 2 judges, or the two rounds differ in judges or items.

    Notes
    -----
    A safety-critical item stays conjunctive above any cut. Source: Angoff (1971) in *Educational
    Measurement*; from memory.

    Examples
    --------
    >>> import pandas as pd
    >>> sheets = pd.DataFrame([[0.5, 0.6, 0.7, 0.8], [0.6, 0.6, 0.7, 0.8], [0.5, 0.6, 0.7, 0.8]])
    >>> found = angoff_cut(sheets)
    >>> round(found.cut, 4), round(found.share_pct, 1), round(found.error, 4)
    (2.6333, 65.8, 0.0333)
    """
    from scipy.stats import t

    before = _sheets(first_round, "first round")
    last = before if second_round is None else _sheets(second_round, "second round")
    if second_round is not None and not _same(first_round, second_round):
        raise BadData("second round", "other judges or items than in the first", "the same rows and columns")
    sums = last.sum(axis=1)
    judges, items = last.shape
    spread = float(sums.std(ddof=1))
    error, cut, was = spread / judges**0.5, float(sums.mean()), float(before.sum(axis=1).std(ddof=1))
    far = float(t.ppf(0.5 + CONFIDENCE / 2, judges - 1)) * error
    twice = second_round is not None
    return AngoffCut(
        cut=cut,
        low=max(cut - far, 0.0),
        high=min(cut + far, float(items)),
        share_pct=100 * cut / items,
        error=error,
        spread=spread,
        judges=judges,
        items=items,
        item_spread=tuple(float(each) for each in last.std(axis=0, ddof=1)),
        moved=cut - float(before.sum(axis=1).mean()) if twice else float("nan"),
        calmed=spread / was if twice and was else float("nan"),
    )


def borderline_cut(
    grades: Any, scores: Any, borderline: float, *, least: float = 0.0, most: float | None = None
) -> BorderlineCut:
    """Return the cut score of a practical: the score that the line gives at the borderline grade.

    The examiner of a station gives points from a checklist and, apart from it, one grade for the whole.

    Parameters
    ----------
    grades, scores : array_like
        Of each person: the grade of the whole, and the points of the checklist. At least 3 people.
    borderline : float
        The grade that means "just about". It lies within the grades that were given.
    least, most : float
        The ends of the checklist's scale, if it has them. [points]

    Raises
    ------
    OutOfRange
        If the borderline grade lies outside the grades given, or the cut outside the scale.
    BadData
        If grades and scores do not pair, are fewer than 3, or all grades are one.

    Notes
    -----
    By ``statsmodels``, ordinary least squares.

    Examples
    --------
    >>> found = borderline_cut([1, 1, 2, 2, 2, 3, 3, 3], [45, 52, 58, 61, 66, 70, 74, 80], borderline=2)
    >>> round(found.cut, 4), round(found.slope, 4), round(found.intercept, 4)
    (61.6154, 13.0769, 35.4615)
    """
    given, points = (np.asarray(each, dtype=float).ravel() for each in (grades, scores))
    _check_pairs(given, points)
    check_range(
        "borderline",
        borderline,
        at_least=float(given.min()),
        at_most=float(given.max()),
        likely_cause="A line says little beyond the grades that were given.",
    )
    check_range(
        "points", points, at_least=least, at_most=most, likely_cause="Is the scale of the checklist another?"
    )
    models = library("statsmodels.api")
    line = models.OLS(points, models.add_constant(given)).fit()
    there = line.get_prediction([[1.0, borderline]])
    (low, high), cut = there.conf_int(alpha=1 - CONFIDENCE)[0], float(there.predicted_mean[0])
    check_range(
        "cut", cut, at_least=least, at_most=most, likely_cause="Do scores and grades belong together?"
    )
    return BorderlineCut(
        cut,
        float(low),
        float(high),
        float(line.params[1]),
        float(line.params[0]),
        float(line.rsquared),
        len(given),
    )


def _check_pairs(given: Any, points: Any) -> None:
    where = "grades and scores"
    if len(given) != len(points):
        raise BadData(where, f"{len(given)} grades and {len(points)} scores", "one of each a person")
    if np.isnan(given).any() or np.isnan(points).any():
        raise BadData(where, "a person without a grade or a score", "both of everybody")
    if len(given) < 3:
        raise BadData(where, f"{len(given)} people", "at least 3")
    if len(set(given)) < 2:
        raise BadData(where, f"everybody has the grade {given[0]:g}", "at least two grades")


def _sheets(sheets: DataFrame, where: str) -> Any:
    found = as_scores(sheets, where)
    if len(found) < 2 or not found.shape[1]:
        raise BadData(
            where, f"{len(found)} judges and {found.shape[1]} items", "at least 2 judges and 1 item"
        )
    rows, columns = np.nonzero(np.isnan(found))
    if len(rows):
        names, items = (
            list(getattr(sheets, "index", range(len(found)))),
            list(getattr(sheets, "columns", range(found.shape[1]))),
        )
        empty = ", ".join(
            f"judge {names[row]}, item {items[column]}" for row, column in zip(rows, columns, strict=True)
        )
        raise BadData(where, f"half filled: {empty}", "a chance of every judge for every item")
    check_range(where, found, at_least=0, at_most=1, likely_cause="Was a chance given in per cent?")
    return found


def _same(first: DataFrame, second: DataFrame) -> bool:
    both = (first, second)
    if all(hasattr(each, "index") for each in both):
        return list(first.index) == list(second.index) and list(first.columns) == list(second.columns)
    return np.shape(first) == np.shape(second)
