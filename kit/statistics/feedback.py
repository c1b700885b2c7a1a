"""Which slips are made, which wrong answers have no name yet, and whether the message to a slip helps."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from kit.statistics.items import LEAST_FACILITY, Setting, first_meetings, of_setting
from kit.statistics.statistic import difference_interval, share_interval

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pandas import DataFrame

LEAST_MISSES = 10
"""Fewer misses or second tries than this, and a share of them is empty. Ours."""
_KEYS = ["exercise", "slip"]


def slip_shares(
    attempts: DataFrame, *, setting: Setting = "practice", least_n: int = LEAST_MISSES
) -> DataFrame:
    """Return which share of the first misses of a question shows each slip; an empty name is an unnamed slip.

    Parameters
    ----------
    attempts : DataFrame
        From ``kit.tables.attempts``. First meetings alone count, so people and misses are one number.
    setting : {"practice", "supervised"}
        Which attempts.
    least_n : int
        Fewer misses of the question, and its shares are empty.

    Returns
    -------
    DataFrame
        ``exercise``, ``slip``, ``times``, ``misses`` of the question; ``share`` with ``share_low`` and
        ``share_high``.

    Examples
    --------
    >>> from kit.statistics.invented_crew import invented_attempts
    >>> found = slip_shares(invented_attempts(people=200, exercises=1))
    >>> found["slip"].tolist(), bool(found["times"].sum() == found["misses"].iloc[0])
    (['', 'slip one', 'slip two'], True)
    """
    met = first_meetings(attempts, setting=setting)
    missed = met[met["verdict"].isin(["not yet", "partly"])]
    table = missed.groupby(_KEYS, observed=True).size().rename("times").reset_index()
    table["misses"] = table.groupby("exercise")["times"].transform("sum")
    times, misses = table["times"].to_numpy(), table["misses"].to_numpy()
    low, high = share_interval(times, misses)
    shown = misses >= least_n
    for name, values in (("share", times / np.maximum(misses, 1)), ("share_low", low), ("share_high", high)):
        table[name] = np.where(shown, values, np.nan)
    return table.astype({"share": "Float64", "share_low": "Float64", "share_high": "Float64"})


def second_tries(
    attempts: DataFrame, *, setting: Setting = "practice", least_n: int = LEAST_MISSES
) -> DataFrame:
    """Return how often the try after each message is right, against the try after the generic message.

    A person counts once: by the first meeting, missed, and the next try at that same variant. Who did not try
    again counts in ``people`` alone. The generic message is what an unnamed slip gets. Where a question has
    too few of those, the generic ones of all questions stand in: ``against`` says which.

    Parameters
    ----------
    attempts : DataFrame
        From ``kit.tables.attempts``.
    setting : {"practice", "supervised"}
        Which attempts.
    least_n : int
        Fewer second tries on either side, and the figures are empty.

    Returns
    -------
    DataFrame
        ``exercise``, ``slip``; ``people`` who read the message, ``tried_again``; ``right`` with ``right_low``
        and ``right_high``, the share of second tries; ``against``, "its own" or "all questions", with
        ``generic_tries`` and ``generic_right``; ``gain`` with ``gain_low`` and ``gain_high``, right less
        generic right.

    Notes
    -----
    It compares people who made different slips, so a gain is no proof: a harder slip has a lower share. A
    hint between the two tries is not seen here.

    Examples
    --------
    >>> from kit.statistics.invented_crew import invented_attempts
    >>> found = second_tries(invented_attempts(people=2_000, exercises=1))
    >>> bool(found.set_index("slip").loc["slip one", "gain_low"] > 0)
    True
    """
    pairs = _pairs(attempts, setting)
    by = pairs.groupby(_KEYS, observed=True)["then"]
    table = by.agg(people="size", tried_again="count", hits="sum").reset_index()
    generic = table[table["slip"] == ""].set_index("exercise")[["tried_again", "hits"]]
    table = table[table["slip"] != ""].reset_index(drop=True)
    own = generic.reindex(table["exercise"]).fillna(0).to_numpy(dtype=float)
    enough = own[:, 0] >= least_n
    n, hits = np.where(enough[:, None], own, generic.sum().to_numpy(dtype=float)).T
    table["against"] = np.where(enough, "its own", "all questions")
    table["generic_tries"] = n.astype(int)
    mine, right = table["tried_again"].to_numpy(dtype=float), table["hits"].to_numpy(dtype=float)
    shown = (mine >= least_n) & (n >= least_n)
    with np.errstate(invalid="ignore", divide="ignore"):
        share, plain = right / mine, hits / n
    columns: dict[str, Any] = {"generic_right": plain, "right": share, "gain": share - plain}
    columns["right_low"], columns["right_high"] = share_interval(right, mine)
    columns["gain_low"], columns["gain_high"] = difference_interval(right, mine, hits, n)
    for name, values in columns.items():
        table[name] = np.where(shown, values, np.nan)
    order = ["right", "right_low", "right_high", "generic_right", "gain", "gain_low", "gain_high"]
    table = table.drop(columns="hits").astype(dict.fromkeys(order, "Float64"))
    front = ["exercise", "slip", "people", "tried_again", "against", "generic_tries"]
    return table[[*front, *order]]


def declared_slips(names: Iterable[str], *, variants: int = 40) -> DataFrame:
    """Return the slips that the bank's questions name, and in which share of their variants each stands.

    Parameters
    ----------
    names : iterable of str
        Ids of exercises that are marked by the kit.
    variants : int
        How many variants are drawn of each, from 1.

    Returns
    -------
    DataFrame
        ``exercise``, ``slip``, ``in_share`` of the variants.

    Examples
    --------
    >>> declared_slips(["salt-for-brine"], variants=3)["in_share"].tolist()
    [1.0, 1.0]
    """
    import pandas as pd

    from kit import exercises

    rows = []
    for name in names:
        drawn = [{slip.name for slip in exercises.question(name, seed).slips} for seed in range(variants)]
        for slip in sorted(set().union(*drawn)):
            rows.append((name, slip, sum(slip in each for each in drawn) / variants))
    made = pd.DataFrame(rows, columns=["exercise", "slip", "in_share"])
    return made.astype({"exercise": "string", "slip": "string", "in_share": "Float64"})


def idle_slips(
    attempts: DataFrame,
    declared: DataFrame,
    *,
    setting: Setting = "practice",
    least_n: int = 3 * LEAST_FACILITY,
) -> DataFrame:
    """Return the slips that nobody made although enough people missed a variant that has them.

    Parameters
    ----------
    attempts : DataFrame
        From ``kit.tables.attempts``.
    declared : DataFrame
        From ``declared_slips``.
    setting : {"practice", "supervised"}
        Which attempts.
    least_n : int
        Fewer misses that could have shown the slip, and it is not called idle.

    Returns
    -------
    DataFrame
        ``exercise``, ``slip``, ``could_have``, misses of variants with it, as drawn by chance; ``at_most``,
        the upper end of the interval of its share.

    Examples
    --------
    >>> import pandas as pd
    >>> from kit.statistics.invented_crew import invented_attempts
    >>> named = pd.DataFrame({"exercise": "invented-000", "slip": ["slip one", "slip nine"], "in_share": 1.0})
    >>> idle_slips(invented_attempts(people=400, exercises=1), named)["slip"].tolist()
    ['slip nine']
    """
    met = first_meetings(attempts, setting=setting)
    misses = met[met["verdict"].isin(["not yet", "partly"])].groupby("exercise", observed=True).size()
    made = of_setting(attempts, setting)[_KEYS].drop_duplicates()
    table = declared.merge(made.assign(made=True), on=_KEYS, how="left")
    could = table["exercise"].map(misses).fillna(0).astype(float) * table["in_share"].astype(float)
    table["could_have"] = could.round().astype(int)
    idle = table[table["made"].isna() & (table["could_have"] >= least_n)].reset_index(drop=True)
    zero = np.zeros(len(idle))
    idle["at_most"] = share_interval(zero, idle["could_have"].to_numpy())[1]
    return idle[["exercise", "slip", "could_have", "at_most"]]


def _pairs(attempts: DataFrame, setting: Setting) -> DataFrame:
    """Each first meeting that was missed, with ``then``: whether the next try at that variant was right."""
    variant = ["person", "exercise", "version", "occasion"]
    met = first_meetings(attempts, setting=setting)
    missed = met[met["verdict"].isin(["not yet", "partly"])]
    tries = of_setting(attempts, setting)
    later = tries[tries["right_first_time"].isna() & tries["verdict"].isin(["right", "partly", "not yet"])]
    later = later.sort_values(["person", "line"], kind="stable").drop_duplicates(variant)
    later = later[variant].assign(then=(later["verdict"] == "right").astype(float))
    return missed[[*variant, "slip"]].merge(later, on=variant, how="left")
