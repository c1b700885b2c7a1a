"""Questions to mend, the most harmful first. A rule of ours, said in full, and no judgement of anybody."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from kit.statistics.feedback import idle_slips, second_tries, slip_shares
from kit.statistics.items import Setting, question_figures

if TYPE_CHECKING:
    from pandas import DataFrame

NEARLY_NOBODY, NEARLY_ALL, MOSTLY = 0.15, 0.95, 0.5
"""A safety item: the whole interval of its share right lies below the first, or above the second. Ours."""
HARM = {
    "the able miss it": 4.0,
    "safety: nearly all miss it": 4.0,
    "a message that helps less than none": 2.0,
    "most wrong answers have no name": 1.0,
    "safety: nearly all get it": 0.5,
    "a slip that nobody makes": 0.1,
}
"""What each fault weighs, for each person it touches. Ours: what teaches wrongly before what is dull."""
_SAFETY = 2.0


def questions_to_mend(
    attempts: DataFrame,
    bank: DataFrame,
    declared: DataFrame | None = None,
    *,
    setting: Setting = "practice",
) -> DataFrame:
    """Return what is wrong with which question, ranked by harm.

    A fault is named only where a whole 95 % interval says so, so chance alone names few. Harm is the weight
    of the fault in ``HARM``, twice that where the question serves a safety-critical criterion, times the
    people it touched.

    Parameters
    ----------
    attempts : DataFrame
        From ``kit.tables.attempts``.
    bank : DataFrame
        From ``kit.tables.bank``: ``exercise``, ``serves`` and ``safety_critical``.
    declared : DataFrame, optional
        From ``kit.statistics.declared_slips``; without it no slip is called idle.
    setting : {"practice", "supervised"}
        Which attempts.

    Returns
    -------
    DataFrame
        ``exercise``, ``fault``, ``slip`` where there is one, ``safety_critical``; ``figure`` with ``low``,
        ``high`` and ``n``, what says so; ``people``, touched; ``harm``.

    Examples
    --------
    >>> from kit.statistics.invented_crew import BACKWARDS, Planted, invented_attempts, invented_bank
    >>> bad = (Planted("invented-003", BACKWARDS),)
    >>> found = questions_to_mend(invented_attempts(300, 20, planted=bad), invented_bank(20))
    >>> found.loc[0, ["exercise", "fault"]].tolist()
    ['invented-003', 'the able miss it']
    """
    import pandas as pd

    evidence = bank[bank["serves"] == "evidence"]
    critical = set(evidence.loc[evidence["safety_critical"].astype(bool), "exercise"])
    found = [
        *_of_figures(question_figures(attempts, setting=setting), critical),
        _unnamed(slip_shares(attempts, setting=setting)),
        _lame(second_tries(attempts, setting=setting)),
    ]
    if declared is not None:
        idle = idle_slips(attempts, declared, setting=setting)
        found.append(
            idle.assign(fault="a slip that nobody makes", figure=0.0, low=0.0, high=idle["at_most"])
            .assign(n=idle["could_have"], people=idle["could_have"])
            .drop(columns=["could_have", "at_most"])
        )
    columns = ["exercise", "fault", "slip", "safety_critical", "figure", "low", "high", "n", "people", "harm"]
    some = [part for part in found if len(part)]
    table = pd.concat(some) if some else pd.DataFrame(columns=columns)
    table["safety_critical"] = table["exercise"].isin(critical).astype("boolean")
    twice = np.where(table["safety_critical"], _SAFETY, 1.0)
    table["harm"] = table["fault"].map(HARM).astype(float) * twice * table["people"].astype(float)
    table = table.reindex(columns=columns)
    kinds = {**dict.fromkeys(["exercise", "fault", "slip"], "string"), "n": "Int64", "people": "Int64"}
    kinds |= dict.fromkeys(["figure", "low", "high", "harm"], "Float64")
    return table.astype(kinds).sort_values(
        ["harm", "exercise"], ascending=[False, True], kind="stable", ignore_index=True
    )


def _of_figures(figures: DataFrame, critical: set[str]) -> list[DataFrame]:
    """The faults that facility and discrimination show."""
    safety = figures["exercise"].isin(critical)
    backwards = figures["discrimination_high"] < 0
    hard = safety & (figures["facility_high"] < NEARLY_NOBODY)
    easy = safety & (figures["facility_low"] > NEARLY_ALL)
    parts = []
    for fault, rows, name, n in (
        ("the able miss it", backwards, "discrimination", "discrimination_people"),
        ("safety: nearly all miss it", hard, "facility", "people"),
        ("safety: nearly all get it", easy, "facility", "people"),
    ):
        part = figures[rows.fillna(False).astype(bool)]
        parts.append(
            part[["exercise", "people"]].assign(
                fault=fault,
                figure=part[name],
                low=part[f"{name}_low"],
                high=part[f"{name}_high"],
                n=part[n],
            )
        )
    return parts


def _unnamed(shares: DataFrame) -> DataFrame:
    """Questions where more than half of the misses show no known slip, the whole interval above."""
    part = shares[(shares["slip"] == "") & (shares["share_low"] > MOSTLY).fillna(False)]
    return part[["exercise"]].assign(
        fault="most wrong answers have no name",
        figure=part["share"],
        low=part["share_low"],
        high=part["share_high"],
        n=part["misses"],
        people=part["times"],
    )


def _lame(tries: DataFrame) -> DataFrame:
    """Messages after which fewer are right than after the generic one, the whole interval below 0."""
    part = tries[(tries["gain_high"] < 0).fillna(False)]
    return part[["exercise", "slip", "people"]].assign(
        fault="a message that helps less than none",
        figure=part["gain"],
        low=part["gain_low"],
        high=part["gain_high"],
        n=part["tried_again"],
    )
