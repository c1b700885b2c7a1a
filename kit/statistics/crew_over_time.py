"""The crew over time: progress by week, days until a step is mastered, refreshers, forecasts with a band.

A step is mastered on the first day by which each of its criteria was decided competent at least once. Whether
a decision still holds is another question: the board answers it. What was brought in from before is left out.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from kit import criteria
from kit.basics.errors import BadData
from kit.records.competence.decision_state import REFRESHER_DAYS
from kit.records.ledger.projection import COMPETENT
from kit.statistics.statistic import CONFIDENCE, library

if TYPE_CHECKING:
    from datetime import date

    from pandas import DataFrame, Series

LEAST_MASTERED = 10
"""Fewer people who mastered a step, and its days are empty. Ours."""
LEAST_DECIDED = 5
"""Fewer criteria decided competent, and a person has no forecast. Ours."""
BAND = 0.8
"""How often the day of a forecast lies within its band, if the pace stays as it was."""
_POINTS = (0.5, (1 - BAND) / 2, (1 + BAND) / 2)
_NEEDED = ("person", "day", "criterion", "decision", "brought_in")


def first_competent(decisions: DataFrame) -> DataFrame:
    """Return the first day on which each person was decided competent here on each criterion.

    Parameters
    ----------
    decisions : DataFrame
        From ``kit.tables.decisions``.

    Returns
    -------
    DataFrame
        ``person``, ``criterion``, ``day``.

    Raises
    ------
    BadData
        If a column is missing.
    """
    missing = [name for name in _NEEDED if name not in decisions]
    if missing:
        raise BadData("decisions", f"no column {', '.join(missing)}", "a table from kit.tables.decisions")
    here = decisions[(decisions["decision"] == COMPETENT) & ~decisions["brought_in"].astype(bool)]
    first = here.groupby(["person", "criterion"], observed=True)["day"].min()
    return first.reset_index()


def progress_by_week(decisions: DataFrame) -> DataFrame:
    """Return how many criteria each person was newly competent on in each week, and so far.

    Returns
    -------
    DataFrame
        ``person``, ``week`` datetime, its Monday; ``new`` and ``so_far``, criteria. Weeks with none are left
        out.

    Examples
    --------
    >>> import pandas as pd
    >>> made = pd.DataFrame({"person": "p", "criterion": ["A", "B", "C", "A"], "decision": "competent"})
    >>> made["day"] = pd.to_datetime(["2026-03-02", "2026-03-04", "2026-03-10", "2026-03-20"])
    >>> progress_by_week(made.assign(brought_in=False))[["new", "so_far"]].to_numpy().tolist()
    [[2, 2], [1, 3]]
    """
    first = first_competent(decisions)
    first["week"] = first["day"].dt.to_period("W").dt.start_time
    table = first.groupby(["person", "week"], observed=True).size().rename("new").reset_index()
    table["so_far"] = table.groupby("person", observed=True)["new"].cumsum()
    return table


def steps_mastered(decisions: DataFrame, steps: Mapping[str, Sequence[str]] | None = None) -> DataFrame:
    """Return for each person and step how many criteria were decided competent, and when the last of them.

    Parameters
    ----------
    decisions : DataFrame
        From ``kit.tables.decisions``.
    steps : mapping, optional
        The criteria of each step. Default: the kit's own.

    Returns
    -------
    DataFrame
        ``person``, ``step``, ``competent`` and ``of``, criteria; ``mastered_day``, empty until all are.

    Examples
    --------
    >>> import pandas as pd
    >>> made = pd.DataFrame({"person": "p", "criterion": ["A", "B"], "decision": "competent"})
    >>> made["day"] = pd.to_datetime(["2026-03-02", "2026-03-09"])
    >>> found = steps_mastered(made.assign(brought_in=False), {"one": ["A", "B"], "two": ["C"]})
    >>> found[["step", "competent", "of"]].to_numpy().tolist(), str(found["mastered_day"].iloc[0].date())
    ([['one', 2, 2], ['two', 0, 1]], '2026-03-09')
    """
    import pandas as pd

    parts = steps or _own_steps()
    days = dict(first_competent(decisions).set_index(["person", "criterion"])["day"].items())
    rows = []
    for person in decisions["person"].unique():
        for step, names in parts.items():
            found = [days[person, name] for name in names if (person, name) in days]
            whole = max(found) if len(found) == len(names) and found else pd.NaT
            rows.append((person, step, len(found), len(names), whole))
    table = pd.DataFrame(rows, columns=["person", "step", "competent", "of", "mastered_day"])
    return table.astype({"mastered_day": "datetime64[ns]"})


def days_to_master(mastered: DataFrame, begun: Series[Any], today: date) -> DataFrame:
    """Return how many days half of the people took to master each step, with an interval.

    Who has not mastered it yet counts for as long as they have tried, and not as a failure.

    Parameters
    ----------
    mastered : DataFrame
        From ``steps_mastered``.
    begun : Series
        The day on which each person began, by person. Others are left out.
    today : date
        The day to look from.

    Returns
    -------
    DataFrame
        ``step``, ``people``, ``mastered``; ``days`` with ``days_low`` and ``days_high``: the median by Kaplan
        and Meier, empty below ``LEAST_MASTERED`` or where half have not mastered it. [days]

    Notes
    -----
    By ``statsmodels``. Source: Kaplan and Meier (1958), J. Am. Stat. Assoc. 53, 457; from memory.
    """
    import pandas as pd

    survival = library("statsmodels.duration.survfunc").SurvfuncRight
    known = mastered[mastered["person"].isin(begun.index)]
    columns = ["step", "people", "mastered", "days", "days_low", "days_high"]
    if known.empty:
        return pd.DataFrame(columns=columns)
    end = known["mastered_day"].fillna(pd.Timestamp(today))
    took = (end - pd.to_datetime(known["person"].map(begun))).dt.days.clip(lower=0) + 1
    rows = []
    for step, part in known.groupby("step", sort=False, observed=True):
        done = part["mastered_day"].notna()
        middle: tuple[float, ...] = (math.nan,) * 3
        if done.sum() >= LEAST_MASTERED:
            curve = survival(took[part.index].to_numpy(), done.to_numpy(dtype=int))
            with np.errstate(divide="ignore", invalid="ignore"):  # at the end, once nobody is left
                low, high = curve.quantile_ci(0.5, alpha=1 - CONFIDENCE)
            middle = tuple(float(each) - 1 for each in (curve.quantile(0.5), low, high))
        rows.append((step, len(part), int(done.sum()), *middle))
    table = pd.DataFrame(rows, columns=columns)
    return table.astype(dict.fromkeys(["days", "days_low", "days_high"], "Float64"))


def forecast(mastered: DataFrame, begun: Series[Any], today: date) -> DataFrame:
    """Return by when each person will have mastered each step at their pace, in the order of the work.

    What is left of earlier steps comes first, so a late step is forecast late. Who goes another way reaches
    a step sooner or later than this says.

    Parameters
    ----------
    mastered : DataFrame
        From ``steps_mastered``, each person's steps in the order of the work.
    begun : Series
        The day on which each person began, by person.
    today : date
        The day to look from.

    Returns
    -------
    DataFrame
        ``person``, ``step``, ``left`` criteria of it; ``day`` with ``day_low`` and ``day_high``, the band of
        ``BAND``. Empty where the person was decided competent on fewer than ``LEAST_DECIDED`` criteria. Steps
        that are mastered are left out.

    Notes
    -----
    The pace is the person's own: criteria decided competent since they began. Decisions are taken to come one
    by one, by chance, at a steady pace; the time for more of them then follows a beta prime law. Several
    signed on one day, a holiday or a slow season make the true band wider. A rule of ours.
    """
    import pandas as pd
    from scipy.stats import betaprime

    pace = mastered.groupby("person", observed=True)["competent"].sum()
    left_here = (mastered["of"] - mastered["competent"]).astype("int64")
    left_so_far = left_here.groupby(mastered["person"], observed=True).cumsum()
    rows = []
    open_now = mastered.assign(until_then=left_so_far)[mastered["competent"] < mastered["of"]]
    for row in open_now.to_dict("records"):
        person, left = row["person"], int(row["of"] - row["competent"])
        days: tuple[Any, ...] = (pd.NaT,) * 3
        if person in begun.index and pace[person] >= LEAST_DECIDED:
            so_far = max((pd.Timestamp(today) - pd.Timestamp(begun[person])).days, 1)
            ends = betaprime.ppf(_POINTS, int(row["until_then"]), pace[person] + 0.5)
            days = tuple(pd.Timestamp(today) + pd.Timedelta(days=round(so_far * each)) for each in ends)
        rows.append((person, row["step"], left, *days))
    table = pd.DataFrame(rows, columns=["person", "step", "left", "day", "day_low", "day_high"])
    return table.astype(dict.fromkeys(["day", "day_low", "day_high"], "datetime64[ns]"))


def refreshers(decisions: DataFrame) -> DataFrame:
    """Return for each person and step what has to be refreshed, and by when.

    Parameters
    ----------
    decisions : DataFrame
        From ``kit.tables.decisions``, on the day to look from. What was brought in from before counts too.

    Returns
    -------
    DataFrame
        ``person``, ``step``; ``hold``, criteria on which the decision holds today; ``due``, those of them
        that end within ``REFRESHER_DAYS``; ``run_out``, criteria whose decision ended;
        ``next_review_day``, the first day on which one that holds today ends, empty where none holds.

    Examples
    --------
    >>> import pandas as pd
    >>> made = pd.DataFrame({"person": "p", "step": "cook", "criterion": list("ABC")})
    >>> made["decision"] = "competent"
    >>> made["days_to_review"], made["holds"] = [200, 12, -3], [True, True, False]
    >>> made["review_day"] = pd.Timestamp("2026-03-02") + pd.to_timedelta(made["days_to_review"], unit="D")
    >>> refreshers(made)[["hold", "due", "run_out", "next_review_day"]].astype(str).to_numpy().tolist()
    [['2', '1', '1', '2026-03-14']]
    """
    import pandas as pd

    last = decisions.groupby(["person", "criterion"], observed=True).tail(1)  # in the order of the acts
    last = last[last["decision"] == COMPETENT]
    ends, holds = last["days_to_review"].astype(float), last["holds"].astype(bool)
    told = pd.DataFrame(
        {
            "person": last["person"].astype(str),
            "step": last["step"].astype(str),
            "hold": holds,
            "due": holds & (ends <= REFRESHER_DAYS),
            "run_out": ~holds & (ends < 0),
            "next_review_day": last["review_day"].where(holds),
        }
    )
    by = told.groupby(["person", "step"], sort=False)
    table = by.agg(
        hold=("hold", "sum"),
        due=("due", "sum"),
        run_out=("run_out", "sum"),
        next_review_day=("next_review_day", "min"),
    ).reset_index()
    return table[table[["hold", "run_out"]].sum(axis=1) > 0].reset_index(drop=True)


def begun_days(*tables: DataFrame) -> Series[Any]:
    """Return the first day of each person in tables with ``person`` and ``day``, such as attempts.

    Examples
    --------
    >>> import pandas as pd
    >>> one = pd.DataFrame({"person": ["p", "p"], "day": pd.to_datetime(["2026-03-04", "2026-03-02"])})
    >>> str(begun_days(one)["p"].date())
    '2026-03-02'
    """
    import pandas as pd

    told = pd.concat([table[["person", "day"]] for table in tables], ignore_index=True)
    return pd.to_datetime(told["day"]).groupby(told["person"]).min()


def _own_steps() -> dict[str, list[str]]:
    return {step: [each.id for each in criteria.at(step)] for step in criteria.steps()}
