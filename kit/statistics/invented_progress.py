"""Decisions about a crew that never was, over a year and a half. For trying figures about progress out."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import numpy as np
from dateutil.relativedelta import relativedelta

from kit import criteria
from kit.basics.errors import check_range

if TYPE_CHECKING:
    from pandas import DataFrame, Series

SLOWEST, FASTEST = 0.25, 0.9
"""The paces of the invented people. [criteria decided a day]"""
_OUT_OF_TURN = 12  # how far a criterion may come before or after its turn [places]


def invented_progress(
    people: int, today: date, *, days: int = 540, seed: int = 1
) -> tuple[DataFrame, Series[Any]]:
    """Return decisions like those of ``kit.tables.decisions``, and the day on which each person began.

    Everybody goes through the criteria in the order of the work, more or less, one by one at a pace of their
    own. Nobody is assessed again, so decisions run out.

    Parameters
    ----------
    people : int
        How many, from 1 to 1000. They began on days spread evenly over the time.
    today : date
        The day to look from.
    days : int
        How long ago the first of them began. [days]
    seed : int
        For another crew.

    Examples
    --------
    >>> made, begun = invented_progress(3, date(2026, 3, 2))
    >>> sorted(made["person"].unique()), str(begun.min().date())
    (['p-000', 'p-001', 'p-002'], '2024-09-08')
    """
    import pandas as pd

    check_range("people", people, at_least=1, at_most=1000)
    random, rows, begun = np.random.default_rng(seed), [], {}
    for place in range(people):
        person, start = f"p-{place:03d}", today - timedelta(days=days - days * place // people)
        begun[person] = pd.Timestamp(start)
        turn = np.arange(len(criteria.load())) + random.uniform(0, _OUT_OF_TURN, len(criteria.load()))
        waits = random.exponential(1 / random.uniform(SLOWEST, FASTEST), len(turn))
        for at, after in zip(np.argsort(turn), np.cumsum(waits), strict=True):
            day = start + timedelta(days=int(after))
            if day <= today:
                rows.append((person, day, *_decided(criteria.load()[at], day, today)))
    columns = ["person", "day", "criterion", "step", "review_day", "days_to_review", "holds"]
    table = pd.DataFrame(rows, columns=columns).assign(decision="competent", brought_in=False)
    return table.astype({"day": "datetime64[s]", "review_day": "datetime64[s]"}), pd.Series(begun)


def _decided(criterion: criteria.Criterion, day: date, today: date) -> tuple[str, str, date, int, bool]:
    review = day + relativedelta(months=criterion.review_months)
    left = (review - today).days
    return criterion.id, criterion.step, review, left, left >= 0
