"""How each question does: how many are right, whether the able ones are, how long it takes, what changed.

Every table is made from ``kit.tables.attempts``. A person counts once a question: by the first try at the
first variant ever met of it. A right answer after a hint counts as not right. A row says its n; figures that
rest on fewer than a stated n are empty.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Any, Literal, get_args

import numpy as np

from kit.basics.errors import BadData, UnknownName
from kit.statistics.statistic import (
    correlation_interval,
    difference_interval,
    median_interval,
    share_interval,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from pandas import DataFrame

Setting = Literal["practice", "supervised"]
"""Alone, or in a supervised sitting; the two are never added up."""
LEAST_FACILITY, LEAST_DISCRIMINATION, LEAST_OTHERS = 10, 30, 5
"""People for a share; people for a correlation; other questions that a person must have met for one. Ours."""
LONGEST_MIN = 30.0
"""A longer silence is a pause, not an answer being thought about: left out. Ours. [min]"""
_NEEDED = ("person", "line", "exercise", "version", "right_first_time")


def of_setting(attempts: DataFrame, setting: Setting) -> DataFrame:
    """Return the attempts of one setting. Without a column ``setting``, all of them are practice.

    Raises
    ------
    UnknownName
        If there is no such setting.
    BadData
        If a column of ``kit.tables.attempts`` is missing.
    """
    if setting not in get_args(Setting):
        raise UnknownName("setting", setting, get_args(Setting))
    missing = [name for name in _NEEDED if name not in attempts]
    if missing:
        raise BadData("attempts", f"no column {', '.join(missing)}", "a table from kit.tables.attempts")
    if "setting" in attempts:
        return attempts[attempts["setting"] == setting]
    return attempts if setting == "practice" else attempts.iloc[:0]


def first_meetings(attempts: DataFrame, *, setting: Setting = "practice") -> DataFrame:
    """Return the first try of each person at each question: one row for both, of the first variant met.

    Parameters
    ----------
    attempts : DataFrame
        From ``kit.tables.attempts``.
    setting : {"practice", "supervised"}
        Which attempts. They are told apart by a column ``setting``, where there is one.

    Returns
    -------
    DataFrame
        The rows of ``attempts`` that are such first tries, by person and line.

    Examples
    --------
    >>> from kit.statistics.invented_crew import invented_attempts
    >>> found = first_meetings(invented_attempts(people=20, exercises=6))
    >>> bool(found.duplicated(["person", "exercise"]).any())
    False
    """
    tries = of_setting(attempts, setting)
    tries = tries[tries["right_first_time"].notna()].sort_values(["person", "line"], kind="stable")
    return tries.drop_duplicates(["person", "exercise"])


def answer_table(attempts: DataFrame, *, setting: Setting = "practice") -> DataFrame:
    """Return people × questions of first meetings, 1, 0 or NaN, as reliability and the Rasch model take it.

    Examples
    --------
    >>> from kit.statistics.invented_crew import invented_attempts
    >>> answer_table(invented_attempts(people=20, exercises=6)).shape
    (20, 6)
    """
    met = first_meetings(attempts, setting=setting)
    right = met.assign(right=met["right_first_time"].astype(float))
    return right.pivot(index="person", columns="exercise", values="right")


def question_figures(
    attempts: DataFrame,
    *,
    setting: Setting = "practice",
    least_facility: int = LEAST_FACILITY,
    least_discrimination: int = LEAST_DISCRIMINATION,
) -> DataFrame:
    """Return facility, discrimination, time and exposure of each question, a row for each of its versions.

    Parameters
    ----------
    attempts : DataFrame
        From ``kit.tables.attempts``.
    setting : {"practice", "supervised"}
        Which attempts.
    least_facility, least_discrimination : int
        Fewer people, and the figure is empty.

    Returns
    -------
    DataFrame
        ``exercise``, ``version``; ``people`` who met it for the first time in this version; ``facility`` with
        ``facility_low`` and ``facility_high``, the share right; ``discrimination`` with ``…_low`` and
        ``…_high``, the correlation of being right here with being right elsewhere (item-removed
        point-biserial), over ``discrimination_people``; ``seconds`` with ``…_low`` and ``…_high``, the median
        [s], over ``seconds_people``; ``attempts`` and ``variants``, how much it was used.

    Notes
    -----
    People meet different questions. So "elsewhere" is the mean of right less facility over the others met, at
    least 5 of them; with no gaps the correlation is the usual one with the rest of the total. Seconds run
    from the answer before, so they count the reading in between too: an upper bound.

    Examples
    --------
    >>> from kit.statistics.invented_crew import invented_attempts
    >>> found = question_figures(invented_attempts(people=60, exercises=8))
    >>> bool(found["discrimination"].gt(found["discrimination_low"]).all())
    True
    """
    import pandas as pd

    met = first_meetings(attempts, setting=setting).reset_index(drop=True)
    keys = ["exercise", "version"]
    group, named = pd.factorize(pd.MultiIndex.from_frame(met[keys]), sort=True)
    right = met["right_first_time"].to_numpy(dtype=float)
    people = np.bincount(group, minlength=len(named)).astype(float)
    table = pd.DataFrame(list(named), columns=keys)
    table["people"] = people.astype(int)
    hits = np.bincount(group, right, minlength=len(named))
    low, high = share_interval(hits, people)
    _put(table, "facility", hits / np.maximum(people, 1), low, high, people >= least_facility)
    person, _ = pd.factorize(met["person"])
    found, many = rest_correlation(person, group, right, len(named))
    ends = correlation_interval(found, many)
    table["discrimination_people"] = many.astype(int)
    _put(table, "discrimination", found, *ends, many >= least_discrimination)
    timed = _seconds(attempts, setting).reindex(met.set_index(["person", "line"]).index).to_numpy()
    _add_seconds(table, timed, group, least_facility)
    return table.merge(_exposure(attempts, setting), on=keys, how="left").convert_dtypes()


def rest_correlation(
    person: NDArray[Any], item: NDArray[Any], right: NDArray[Any], items: int
) -> tuple[NDArray[Any], NDArray[Any]]:
    """Return each item's correlation with the rest, item removed, and over how many people.

    Parameters
    ----------
    person, item : ndarray of int
        Whose answer to what, from 0; each pair once.
    right : ndarray
        1 or 0.
    items : int
        How many items there are.

    Examples
    --------
    >>> person, item = np.divmod(np.arange(32), 8)
    >>> right = (person < 2).astype(float)
    >>> right[item == 7] = 1 - right[item == 7]  # the able miss the last one
    >>> rest_correlation(person, item, right, 8)[0].round(6).tolist()
    [1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, -1.0]
    """
    count = np.bincount(item, minlength=items)
    off = right - (np.bincount(item, right, minlength=items) / np.maximum(count, 1))[item]
    met, whole = np.bincount(person), np.bincount(person, off)
    others = met[person] - 1
    says = others >= LEAST_OTHERS
    rest = (whole[person] - off)[says] / others[says]
    here, x = item[says], right[says]

    def total(values: NDArray[Any]) -> NDArray[Any]:
        return np.bincount(here, values, minlength=items)

    many = total(np.ones(len(here)))
    with np.errstate(invalid="ignore", divide="ignore"):
        rest = rest - (total(rest) / many)[here]
        x = x - (total(x) / many)[here]
        found = total(x * rest) / np.sqrt(total(x * x) * total(rest * rest))
    return np.where(np.isfinite(found), found, np.nan), many


def measured_facility(attempts: DataFrame, *, least_n: int = LEAST_FACILITY) -> dict[str, float]:
    """Return the share right at the first meeting of each exercise that enough people met, in practice.

    Parameters
    ----------
    attempts : DataFrame
        From ``kit.tables.attempts``. Of an exercise the latest version alone counts.
    least_n : int
        Fewer people, and the exercise is left out.

    Examples
    --------
    >>> from kit.statistics.invented_crew import invented_attempts
    >>> len(measured_facility(invented_attempts(people=9, exercises=4)))
    0
    """
    figures = question_figures(attempts, least_facility=least_n).sort_values("version")
    latest = figures.drop_duplicates("exercise", keep="last").dropna(subset="facility")
    return {
        str(name): float(share) for name, share in zip(latest["exercise"], latest["facility"], strict=True)
    }


def version_changes(
    attempts: DataFrame, *, setting: Setting = "practice", least_n: int = LEAST_FACILITY
) -> DataFrame:
    """Return how the share right changed from each version of a question to the next, over different people.

    Returns
    -------
    DataFrame
        ``exercise``, ``version`` and ``version_before``; ``people`` and ``people_before``; ``facility`` and
        ``facility_before``; ``change`` with ``change_low`` and ``change_high``, empty below the least n.

    Examples
    --------
    >>> from kit.statistics.invented_crew import invented_attempts
    >>> len(version_changes(invented_attempts(people=20, exercises=6)))
    0
    """
    figures = question_figures(attempts, setting=setting, least_facility=0)
    figures = figures.sort_values(["exercise", "version"])[["exercise", "version", "people", "facility"]]
    before = figures.groupby("exercise").shift(1).add_suffix("_before")
    both = figures.join(before).dropna(subset="version_before").reset_index(drop=True)
    n, other = (both[name].to_numpy(dtype=float) for name in ("people", "people_before"))
    share, was = (both[name].to_numpy(dtype=float) for name in ("facility", "facility_before"))
    low, high = difference_interval(share * n, n, was * other, other)
    _put(both, "change", share - was, low, high, (n >= least_n) & (other >= least_n))
    return both


def _put(table: DataFrame, name: str, value: Any, low: Any, high: Any, shown: NDArray[Any]) -> None:
    """Write a figure and its ends into a table, empty where it is not to be shown."""
    for column, values in ((name, value), (f"{name}_low", low), (f"{name}_high", high)):
        table[column] = np.where(shown, values, np.nan)
        table[column] = table[column].astype("Float64")


def _seconds(attempts: DataFrame, setting: Setting) -> Any:
    """Seconds since the person's answer before, by person and line; empty after a pause and at the first."""
    lines = of_setting(attempts, setting)[["person", "line", "at_utc"]].sort_values(["person", "line"])
    took = lines.groupby("person")["at_utc"].diff().dt.total_seconds()
    took = took.where((took > 0) & (took <= 60 * LONGEST_MIN))
    return took.set_axis(lines.set_index(["person", "line"]).index)


def _add_seconds(table: DataFrame, took: NDArray[Any], group: NDArray[Any], least_n: int) -> None:
    """The median and its interval by order statistics, of each question."""
    order = np.lexsort((took, group))
    took, group = took[order], group[order]
    starts = np.searchsorted(group, np.arange(len(table) + 1))
    found = np.full((len(table), 3), np.nan)
    many = np.zeros(len(table), dtype=int)
    for row, (start, end) in enumerate(pairwise(starts)):
        known = took[start:end][~np.isnan(took[start:end])]
        many[row] = len(known)
        found[row] = median_interval(known)
    table["seconds_people"] = many
    _put(table, "seconds", found[:, 0], found[:, 1], found[:, 2], many >= least_n)


def _exposure(attempts: DataFrame, setting: Setting) -> DataFrame:
    used = of_setting(attempts, setting)
    by = used.groupby(["exercise", "version"], observed=True)
    return by.agg(attempts=("line", "size"), variants=("occasion", "nunique")).reset_index()
