"""Sittings that never were: one paper, who sat it, and somebody who copied. For trying figures out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from kit.basics.errors import UnknownName, check_range
from kit.statistics.invented_crew import GUESSED, exercise_name, person_name, true_difficulties

if TYPE_CHECKING:
    from pandas import DataFrame

_SLIPS = ("slip one", "slip two", "slip three", "")
_SHARES = (0.4, 0.25, 0.15, 0.2)  # the last is a miss without a named slip
LATER_S = 30
"""So long after the other who copies writes it down. [s]"""


def invented_sittings(
    people: int, tasks: int, *, guessers: float = 0.0, forgetful: float = 0.0, seed: int = 1
) -> DataFrame:
    """Return what an invented crew answered on one paper, nobody copying.

    Abilities are normal and answers follow the Rasch model. A guesser is right one time in four at any task;
    a forgetful person knows 1 logit less than they did.

    Parameters
    ----------
    people, tasks : int
        How many, from 1.
    guessers, forgetful : float
        What share of the people they are, from 0 to 1 together.
    seed : int
        The same seed gives the same crew on every machine.

    Returns
    -------
    DataFrame
        ``person``, ``exercise``, ``right``, ``slip`` and ``at_utc``, a row a person and task.

    Examples
    --------
    >>> invented_sittings(people=3, tasks=4).shape
    (12, 5)
    """
    import pandas as pd

    check_range("people", people, at_least=1)
    check_range("tasks", tasks, at_least=1)
    check_range("guessers + forgetful", guessers + forgetful, at_least=0, at_most=1)
    random = np.random.RandomState(seed)  # its stream never changes
    ability, manner = random.normal(size=people), random.random_sample(people)
    ability = np.where((manner >= guessers) & (manner < guessers + forgetful), ability - 1.0, ability)
    chance = 1 / (1 + np.exp(true_difficulties(tasks)[None, :] - ability[:, None]))
    chance = np.where((manner < guessers)[:, None], GUESSED, chance)
    right = random.random_sample(chance.shape) < chance
    slip = random.choice(len(_SLIPS), size=chance.shape, p=_SHARES)
    took_s = random.gamma(4.0, 25.0, size=chance.shape).cumsum(axis=1)
    person, item = np.indices(chance.shape).reshape(2, -1)
    at = pd.Timestamp("2026-03-02 08:00", tz="UTC") + pd.to_timedelta(took_s.ravel().round(), unit="s")
    named = np.array(_SLIPS, dtype=object)[slip]
    return pd.DataFrame(
        {
            "person": pd.Series([person_name(each) for each in person], dtype="string"),
            "exercise": pd.Series([exercise_name(each) for each in item], dtype="string"),
            "right": right.ravel(),
            "slip": pd.Series(np.where(right, "", named).ravel(), dtype="string"),
            "at_utc": at,
        }
    )


def copied(sat: DataFrame, source: str, copier: str, *, share: float, seed: int = 1) -> DataFrame:
    """Return the same sittings, in which one copied a share of the tasks from another, half a minute later.

    Raises
    ------
    UnknownName
        If one of the two did not sit.

    Examples
    --------
    >>> sat = copied(invented_sittings(3, 8), "P00000", "P00002", share=1.0)
    >>> one, two = (sat[sat["person"] == who]["right"].tolist() for who in ("P00000", "P00002"))
    >>> one == two
    True
    """
    check_range("share", share, at_least=0, at_most=1)
    for who in (source, copier):
        if who not in set(sat["person"]):
            raise UnknownName("person", who, sorted(set(sat["person"]))[:20])
    made, random = sat.copy(), np.random.RandomState(seed)
    mine, theirs = (np.flatnonzero(made["person"] == who) for who in (copier, source))
    taken = random.random_sample(len(mine)) < share
    to, source_rows = made.index[mine[taken]], sat.iloc[theirs[taken]]
    for name in ("right", "slip"):
        made.loc[to, name] = source_rows[name].to_numpy()
    made.loc[to, "at_utc"] = (source_rows["at_utc"] + np.timedelta64(LATER_S, "s")).to_numpy()
    return made
