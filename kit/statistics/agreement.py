"""Whether tutors agree: kappa of two, kappa of several, and Krippendorff's alpha where there are gaps."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Literal, get_args

import numpy as np

from kit.basics.errors import BadData, UnknownName
from kit.statistics.statistic import (
    Statistic,
    as_scores,
    jackknife,
    library,
    median_interval,
    share_interval,
    without,
)

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray
    from pandas import DataFrame

Level = Literal["nominal", "ordinal", "interval", "ratio"]
"""What the difference of two ratings means: other, more, so much more, so many times."""
LEAST_CASES = 10
"""Fewer cases than this, and an agreement is hidden. Ours: one case more would still turn the sign."""
_ALIKE = "everybody gave one and the same rating"


def cohen_kappa(first: ArrayLike, second: ArrayLike, *, least_n: int = LEAST_CASES) -> Statistic:
    """Return how far two tutors agree beyond chance, by Cohen's kappa.

    Parameters
    ----------
    first, second : array_like
        The rating of each case, in one order: words or numbers. A case with a gap (None or NaN) is left out.
    least_n : int
        Fewer cases, and the figure is hidden.

    Returns
    -------
    Statistic
        From −1 to 1; 0 is chance. Not defined where both gave one rating to every case.

    Raises
    ------
    BadData
        If the two lists are of different lengths.

    Notes
    -----
    By ``statsmodels``, with its large-sample interval. Source: Cohen (1960), Educ. Psychol. Meas. 20, 37;
    from memory.

    Examples
    --------
    >>> one = ["met"] * 25 + ["not met"] * 25
    >>> two = ["met"] * 20 + ["not met"] * 5 + ["met"] * 10 + ["not met"] * 15
    >>> print(cohen_kappa(one, two))
    Cohen's kappa 0.40 (0.15 to 0.65, n 50)
    """
    from pandas import Series, crosstab

    name = "Cohen's kappa"
    one, two = (
        Series(np.asarray(each, dtype=object)).reset_index(drop=True).astype(object)
        for each in (first, second)
    )
    if len(one) != len(two):
        raise BadData("ratings", f"{len(one)} of one tutor and {len(two)} of the other", "one a case of each")
    kept = one.notna() & two.notna()
    one, two = one[kept], two[kept]
    words = sorted({*one, *two}, key=str)
    if len(words) < 2:
        return without(name, len(one), least_n, _ALIKE if len(one) else "no case was rated by both")
    table = crosstab(one, two).reindex(index=words, columns=words, fill_value=0)
    found = library("statsmodels.stats.inter_rater").cohens_kappa(table.to_numpy())
    low, high = max(float(found.kappa_low), -1.0), min(float(found.kappa_upp), 1.0)
    return Statistic(name, float(found.kappa), low, high, len(one), least_n)


def fleiss_kappa(counts: ArrayLike, *, least_n: int = LEAST_CASES) -> Statistic:
    """Return how far several tutors agree beyond chance, by Fleiss' kappa.

    Parameters
    ----------
    counts : array_like
        Cases × ratings: how many tutors gave that rating to that case. Every case has the same number of
        tutors; with gaps, take ``krippendorff_alpha``.

    Raises
    ------
    BadData
        If the cases were not all rated by the same number of tutors, or by fewer than 2.

    Notes
    -----
    By ``statsmodels``; the interval leaves out one case after the other. Source: Fleiss (1971), Psychol.
    Bull. 76, 378; from memory.

    Examples
    --------
    >>> round(fleiss_kappa([[3, 0], [2, 1], [0, 3], [3, 0]], least_n=0).value, 3)
    0.625
    """
    table, name = as_scores(counts, "counts"), "Fleiss' kappa"
    tutors = table.sum(axis=1)
    if np.isnan(tutors).any() or len(set(tutors)) > 1 or (tutors < 2).any():
        raise BadData(
            "counts",
            "not every case was rated by the same number of tutors, 2 or more",
            "one rating of each tutor for each case",
            "With gaps, take krippendorff_alpha.",
        )

    def kappa(cases: NDArray[Any]) -> float:
        alike = (cases.sum(axis=0) > 0).sum() < 2
        return math.nan if alike else float(library("statsmodels.stats.inter_rater").fleiss_kappa(cases))

    return jackknife(name, kappa, table, least_n, _ALIKE)


def krippendorff_alpha(
    ratings: ArrayLike, *, level: Level = "nominal", least_n: int = LEAST_CASES
) -> Statistic:
    """Return how far tutors agree where not each rated every case, by Krippendorff's alpha.

    Parameters
    ----------
    ratings : array_like
        Cases × tutors, numbers; NaN where there is none. A case with one rating says nothing and is left out.
    level : {"nominal", "ordinal", "interval", "ratio"}
        What the difference of two numbers means.

    Returns
    -------
    Statistic
        1 is full agreement, 0 is chance. ``n`` counts the cases with 2 ratings or more.

    Raises
    ------
    UnknownName, BadData
        If there is no such level, or the ratings are no table of numbers.

    Notes
    -----
    The interval leaves out one case after the other. Source: Krippendorff, *Content Analysis*, coincidence
    form of alpha; from memory.

    Examples
    --------
    >>> gap = float("nan")
    >>> ratings = [[1, 1], [2, 2], [3, 3], [2, gap], [3, 2], [1, 1]]
    >>> round(krippendorff_alpha(ratings, level="ordinal", least_n=0).value, 3)
    0.89
    """
    if level not in get_args(Level):
        raise UnknownName("level", level, get_args(Level))
    table = as_scores(ratings, "ratings")
    table = table[(~np.isnan(table)).sum(axis=1) >= 2]
    name = "Krippendorff's alpha"
    if not len(table):
        return without(name, 0, least_n, "no case was rated by two")
    return jackknife(name, lambda cases: _krippendorff(cases, level), table, least_n, _ALIKE)


def agreement_by_month(ratings: DataFrame, *, least_n: int = LEAST_CASES) -> DataFrame:
    """Return how each tutor agreed with the others, month by month: drift shows as a fall.

    Parameters
    ----------
    ratings : DataFrame
        ``case``, ``tutor``, ``day`` datetime, ``rating``: one row a rating. A tutor's rating of a case is
        set against each other tutor's rating of it.
    least_n : int
        Fewer cases in a month, and the figure is hidden.

    Returns
    -------
    DataFrame
        ``tutor``, ``month`` period, ``cases`` Int64, ``kappa``, ``low`` and ``high`` Float64.

    Examples
    --------
    >>> import pandas as pd
    >>> rows = [(case, who, "2026-03-04", case % 2) for case in range(12) for who in ("a", "b")]
    >>> two = pd.DataFrame(rows, columns=["case", "tutor", "day", "rating"])
    >>> agreement_by_month(two)["kappa"].tolist()
    [1.0, 1.0]
    """
    import pandas as pd

    dated = ratings.assign(month=pd.to_datetime(ratings["day"]).dt.to_period("M"))
    pairs = dated.merge(dated[["case", "tutor", "rating"]], on="case", suffixes=("", "_other"))
    pairs = pairs[pairs["tutor"] != pairs["tutor_other"]]
    rows = []
    for (tutor, month), part in pairs.groupby(["tutor", "month"]):
        found, cases = cohen_kappa(part["rating"], part["rating_other"], least_n=0), part["case"].nunique()
        kept = Statistic("kappa", found.value, found.low, found.high, cases, least_n)
        rows.append((tutor, month, cases, kept.value, kept.low, kept.high))
    made = pd.DataFrame(rows, columns=["tutor", "month", "cases", "kappa", "low", "high"])
    return made.astype({"cases": "Int64", "kappa": "Float64", "low": "Float64", "high": "Float64"})


def overturned(decisions: DataFrame, *, least_n: int = LEAST_CASES) -> DataFrame:
    """Return how often the second signature disagreed with each tutor's decisions.

    Parameters
    ----------
    decisions : DataFrame
        From ``kit.tables.decisions``. Only what a second person has looked at counts.
    least_n : int
        Fewer of those, and the share is empty.

    Returns
    -------
    DataFrame
        ``tutor``, ``looked_at``, ``disagreed``; ``share`` with ``share_low`` and ``share_high``.

    Examples
    --------
    >>> import pandas as pd
    >>> signed = ["agreed"] * 18 + ["disagreed"] * 2 + ["wanted"]
    >>> found = overturned(pd.DataFrame({"decided_by": "T1", "second_signature": signed}))
    >>> found[["looked_at", "disagreed"]].to_numpy().tolist()
    [[20, 2]]
    """
    looked = decisions[decisions["second_signature"].isin(["agreed", "disagreed"])]
    against = (looked["second_signature"] == "disagreed").rename("against")
    by = against.groupby(looked["decided_by"].rename("tutor"))
    table = by.agg(looked_at="size", disagreed="sum").reset_index()
    n, times = table["looked_at"].to_numpy(), table["disagreed"].to_numpy()
    low, high = share_interval(times, n)
    for name, values in (("share", times / np.maximum(n, 1)), ("share_low", low), ("share_high", high)):
        table[name] = np.where(n >= least_n, values, np.nan)
    return table.astype(dict.fromkeys(["share", "share_low", "share_high"], "Float64"))


def days_until_entered(observations: DataFrame, *, least_n: int = LEAST_CASES) -> DataFrame:
    """Return how many days each tutor takes from seeing the work to entering it.

    Parameters
    ----------
    observations : DataFrame
        From ``kit.tables.observations``; an observation counts once, whatever its points.
    least_n : int
        Fewer observations, and the figures are empty.

    Returns
    -------
    DataFrame
        ``tutor``, ``observations``; ``days``, the median, with ``days_low`` and ``days_high`` [days].

    Examples
    --------
    >>> import pandas as pd
    >>> seen = pd.DataFrame({"act": range(12), "observer": "T1", "day": pd.Timestamp("2026-03-02")})
    >>> seen["entered_day"] = seen["day"] + pd.to_timedelta([0] * 6 + [1] * 4 + [9, 9], unit="D")
    >>> days_until_entered(seen)[["days", "days_low", "days_high"]].to_numpy().tolist()
    [[0.5, 0.0, 1.0]]
    """
    import pandas as pd

    once = observations.drop_duplicates("act")
    took = (once["entered_day"] - once["day"]).dt.total_seconds() / 86_400
    rows = [
        (tutor, len(part), *(median_interval(part) if len(part) >= least_n else (math.nan,) * 3))
        for tutor, part in took.groupby(once["observer"])
    ]
    table = pd.DataFrame(rows, columns=["tutor", "observations", "days", "days_low", "days_high"])
    return table.astype(dict.fromkeys(["days", "days_low", "days_high"], "Float64"))


def _krippendorff(cases: NDArray[Any], level: Level) -> float:
    """1 − observed / expected disagreement, over the pairs of ratings inside each case."""
    met = ~np.isnan(cases)
    values, place = np.unique(cases[met], return_inverse=True)
    counts = np.zeros((len(cases), len(values)))
    np.add.at(counts, (np.nonzero(met)[0], place), 1)
    in_case = counts.sum(axis=1)
    counts, in_case = counts[in_case >= 2], in_case[in_case >= 2]
    pairs = (counts / (in_case[:, None] - 1)).T @ counts - np.diag(
        (counts / (in_case[:, None] - 1)).sum(axis=0)
    )
    each = pairs.sum(axis=1)
    apart = _apart(values, each, level)
    expected = float((np.outer(each, each) * apart).sum())
    if expected == 0:
        return math.nan
    return 1 - float((each.sum() - 1) * (pairs * apart).sum()) / expected


def _apart(values: NDArray[Any], each: NDArray[Any], level: Level) -> NDArray[Any]:
    """How far two ratings lie apart, squared."""
    one, two = values[:, None], values[None, :]
    if level == "nominal":
        return np.asarray(one != two, dtype=float)
    if level == "interval":
        return np.asarray((one - two) ** 2)
    if level == "ratio":
        whole = np.where(one + two == 0, 1.0, one + two)
        return np.asarray(((one - two) / whole) ** 2)
    up_to = np.cumsum(each)
    middle = up_to - each / 2
    return np.asarray((middle[:, None] - middle[None, :]) ** 2)
