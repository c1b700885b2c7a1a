"""How tutors judge over time: month by month, and whether lately is another than before.

Three measures, none of which knows who is right: how often a second signature disagreed, how far a tutor
agrees with another who saw the same work, and the days from seeing to entering. Small n are hidden.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kit.basics.errors import check_range
from kit.statistics.agreement import LEAST_CASES, agreement_by_month, days_until_entered, overturned
from kit.statistics.statistic import difference_interval

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from pandas import DataFrame

LATELY_MONTHS = 3
"""How many months count as lately, this one among them. Ours."""
_KEYS = ["tutor", "month"]


def shared_ratings(observations: DataFrame) -> DataFrame:
    """Return what several tutors said of the same work, each rating a row.

    Parameters
    ----------
    observations : DataFrame
        From ``kit.tables.observations``. The same work is one person's batch of one day; what was not seen
        says nothing, and of one tutor's ratings of it the last counts.

    Returns
    -------
    DataFrame
        ``case``, ``tutor``, ``day``, ``rating``: for ``agreement_by_month``.

    Examples
    --------
    >>> import pandas as pd
    >>> seen = pd.DataFrame({"person": "p", "batch": "B1", "criterion": "A", "observer": ["T1", "T2", "T3"]})
    >>> seen = seen.assign(day=pd.Timestamp("2026-03-02"), outcome=["met", "not met", "not seen"])
    >>> shared_ratings(seen)[["tutor", "rating"]].to_numpy().tolist()
    [['T1', 'met'], ['T2', 'not met']]
    """
    batch = observations["batch"].fillna("").astype(str)
    told = observations[(batch != "") & observations["outcome"].isin(["met", "not met"])]
    case = told["person"].astype(str) + " " + told["batch"].astype(str)
    case = case + " " + told["criterion"].astype(str) + " " + told["day"].astype(str)
    made = told.assign(case=case, tutor=told["observer"], rating=told["outcome"].astype(str))
    made = made[["case", "tutor", "day", "rating"]].drop_duplicates(["case", "tutor"], keep="last")
    several = made.groupby("case")["tutor"].transform("nunique") > 1
    return made[several].reset_index(drop=True)


def judging_by_month(
    decisions: DataFrame, observations: DataFrame, *, least_n: int = LEAST_CASES
) -> DataFrame:
    """Return each tutor's judging month by month.

    Parameters
    ----------
    decisions, observations : DataFrame
        From ``kit.tables``. A decision belongs to the month in which it was made.
    least_n : int
        Fewer in a month, and its figure is empty.

    Returns
    -------
    DataFrame
        ``tutor``, ``month`` period; ``looked_at``, ``disagreed``, ``share`` with ``share_low`` and
        ``share_high``, as ``overturned`` gives them; ``observations``, ``days`` with ``days_low`` and
        ``days_high``, as ``days_until_entered``; ``cases``, ``kappa`` with ``low`` and ``high``, as
        ``agreement_by_month``, of work that another tutor saw too.
    """
    import pandas as pd

    signed = _monthly(decisions, lambda part: overturned(part, least_n=least_n))
    entered = _monthly(observations, lambda part: days_until_entered(part, least_n=least_n))
    agreed = agreement_by_month(shared_ratings(observations), least_n=least_n)
    agreed = agreed.astype({"month": "period[M]", "tutor": "string"})
    table = signed.merge(entered, on=_KEYS, how="outer").merge(agreed, on=_KEYS, how="outer")
    counts = ["looked_at", "disagreed", "observations", "cases"]
    table[counts] = table[counts].astype("Int64").fillna(0)
    return pd.DataFrame(table.sort_values(_KEYS).reset_index(drop=True))


def drift(decisions: DataFrame, today: date, *, least_n: int = LEAST_CASES) -> DataFrame:
    """Return how much more often each tutor was disagreed with lately than before.

    Parameters
    ----------
    decisions : DataFrame
        From ``kit.tables.decisions``. Only what a second person has looked at counts.
    today : date
        The day to look from; ``LATELY_MONTHS`` months up to it are lately.
    least_n : int
        Fewer on either side, and the difference is empty.

    Returns
    -------
    DataFrame
        ``tutor``; ``lately`` of ``lately_looked_at`` and ``before`` of ``before_looked_at``, disagreements;
        ``difference`` of the two shares, with ``difference_low`` and ``difference_high``. Drift shows only
        where the whole interval lies on one side of 0.

    Examples
    --------
    >>> import pandas as pd
    >>> from datetime import date
    >>> made = pd.DataFrame({"decided_by": "T1", "second_signature": ["agreed"] * 40 + ["disagreed"] * 8})
    >>> made["day"] = pd.to_datetime(["2025-09-01"] * 36 + ["2026-02-20"] * 12)
    >>> found = drift(made, date(2026, 3, 2)).iloc[0]
    >>> f"{found['lately']} of {found['lately_looked_at']}", bool(found["difference_low"] > 0)
    ('8 of 12', True)
    """
    import numpy as np
    import pandas as pd

    check_range("least_n", least_n, at_least=1)
    first = pd.Timestamp(today).to_period("M") - (LATELY_MONTHS - 1)
    lately = pd.to_datetime(decisions["day"]).dt.to_period("M") >= first
    sides = {"lately": decisions[lately], "before": decisions[~lately]}
    made = [
        overturned(part, least_n=least_n)
        .set_index("tutor")[["disagreed", "looked_at"]]
        .set_axis([side, f"{side}_looked_at"], axis=1)
        for side, part in sides.items()
    ]
    table = made[0].join(made[1], how="outer").fillna(0).astype("int64")
    now, then, n_now, n_then = (
        table[each].to_numpy() for each in ("lately", "before", "lately_looked_at", "before_looked_at")
    )
    enough = (n_now >= least_n) & (n_then >= least_n)
    low, high = difference_interval(now, n_now, then, n_then)
    gap = now / np.maximum(n_now, 1) - then / np.maximum(n_then, 1)
    for name, values in (("difference", gap), ("difference_low", low), ("difference_high", high)):
        table[name] = pd.array(np.where(enough, values, np.nan), dtype="Float64")
    return table.rename_axis("tutor").reset_index()


def _monthly(table: DataFrame, of: Callable[[DataFrame], DataFrame]) -> DataFrame:
    """Return a figure by tutor of each month's rows, with the month beside it."""
    import pandas as pd

    months = pd.to_datetime(table["day"]).dt.to_period("M")
    parts = [of(part).assign(month=str(month)) for month, part in table.groupby(months)]
    made = pd.concat(parts, ignore_index=True) if parts else of(table).assign(month=None)
    return made.astype({"month": "period[M]", "tutor": "string"})
