"""Answers that are alike beyond chance: two sittings, or two answer books, that share answers and slips.

It accuses nobody. Two who learned from one person, or worked side by side on purpose, look the same. So a
pair that stands out is one to ask aloud, and changes no mark.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from kit.basics.errors import check_range

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from pandas import DataFrame

LEAST_SHARED = 20
"""Fewer questions that both answered, and a pair is not compared. Ours."""
FALSE_ALARMS = 0.01
"""How often a whole crew in which nobody copied may show any pair at all."""
_ROUNDS, _SPREAD, _LOOK_FROM = 40, 1.5, 3.0


def alike(
    answers: DataFrame, *, false_alarms: float = FALSE_ALARMS, least_shared: int = LEAST_SHARED
) -> DataFrame:
    """Return the pairs whose answers match more often than their knowing lets expect.

    A match is a question that both got right, or at which both made the same named slip. A wrong answer that
    shows no named slip matches nothing.

    Parameters
    ----------
    answers : DataFrame
        ``person``, ``exercise``, ``right`` boolean, ``slip`` string: one row a person and question, from
        first tries of practice or from sittings, never both. With ``at_utc``, how far apart in time the
        matches lie is told too.
    false_alarms : float
        How often a crew in which nobody copied may show a pair, above 0 to 0.5.
    least_shared : int
        Fewer questions that both answered, and a pair is left out.

    Returns
    -------
    DataFrame
        ``first`` and ``second``; ``shared`` questions; ``matches``, with ``expected`` of them; ``slips``, how
        many matches are the same slip; ``chance`` that two who know so much match so often; ``apart_min``,
        the median time between matching answers, empty without times. [min] The least likely first. Only
        pairs below the line are in it; ``attrs["pairs"]`` says how many were compared, and
        ``attrs["line"]`` the chance below which one is shown.

    Raises
    ------
    OutOfRange
        If the rate is no such share.

    Notes
    -----
    The generalized binomial test on the number of matches, not conditional on either of the two: matches are
    independent, each with a chance of its own. Source: van der Linden and Sotaridona (2006), J. Educ. Behav.
    Stat. 31, 283; its abstract was seen, the formula is from memory. There a nominal model gives the
    chances; here it is a Rasch model of being right, and the crew's shares of each slip, with one pair added
    that matches and one that does not. The line is divided by the number of pairs (Bonferroni; from memory).

    Examples
    --------
    >>> from kit.statistics.invented_sittings import copied, invented_sittings
    >>> sat = copied(invented_sittings(60, 40, seed=2), "P00003", "P00041", share=0.8, seed=2)
    >>> alike(sat)[["first", "second"]].to_numpy().tolist()
    [['P00003', 'P00041']]
    """
    import pandas as pd

    check_range("false_alarms", false_alarms, above=0, at_most=0.5)
    check_range("least_shared", least_shared, at_least=2)
    people, right, slips = _tables(answers)
    met = ~np.isnan(right)
    shared = met.astype(np.float32) @ met.T.astype(np.float32)
    first, second = np.nonzero(np.triu(shared >= least_shared, 1))
    line = false_alarms / max(len(first), 1)
    chance = np.where(met, _chances(right), 0.0)
    slip = _slip_matches(right, slips)
    count, same_slip = _matches(right, slips)
    mean, spread = _expected(chance, met, slip)
    far = (count[first, second] - mean[first, second]) / np.maximum(spread[first, second], 1e-9)
    rows = []
    for one, two in zip(first[far > _LOOK_FROM], second[far > _LOOK_FROM], strict=True):
        both = met[one] & met[two]
        each = _match_chance(chance[one, both], chance[two, both], slip[both])
        tail = _at_least(each, int(count[one, two]))
        if tail < line:
            told = (people[one], people[two], int(shared[one, two]), int(count[one, two]), mean[one, two])
            rows.append((*told, int(same_slip[one, two]), tail))
    columns = ["first", "second", "shared", "matches", "expected", "slips", "chance"]
    made = pd.DataFrame(rows, columns=columns).sort_values("chance", kind="stable").reset_index(drop=True)
    named = zip(made["first"], made["second"], strict=True)
    made["apart_min"] = [_apart(answers, one, two) for one, two in named]
    made["apart_min"] = made["apart_min"].astype("Float64")
    made.attrs |= {"pairs": len(first), "line": line}
    return made


def _tables(answers: DataFrame) -> tuple[NDArray[Any], NDArray[Any], NDArray[Any]]:
    """Return people, right as people × questions with NaN, and a code of the named slip there; 0 is none."""
    import pandas as pd

    who, people = pd.factorize(answers["person"], sort=True)
    what, exercises = pd.factorize(answers["exercise"], sort=True)
    right = np.full((len(people), len(exercises)), np.nan)
    right[who, what] = answers["right"].astype(float)
    named = answers["slip"].fillna("").astype(str).where(~answers["right"].astype(bool), "")
    codes = pd.factorize(pd.Series(["", *named]))[0][1:]
    slips = np.zeros(right.shape, dtype=np.int64)
    slips[who, what] = codes
    return np.asarray(people), right, slips


def _chances(right: NDArray[Any]) -> NDArray[Any]:
    """Return how likely each person is right at each question: a Rasch model, both sides held to a normal."""
    met = ~np.isnan(right)
    told = np.where(met, right, 0.0)
    ability, difficulty = np.zeros((len(right), 1)), np.zeros((1, right.shape[1]))
    chance = np.full(right.shape, 0.5)
    for _ in range(_ROUNDS):
        for axis, part, sign in ((1, ability, 1.0), (0, difficulty, -1.0)):
            chance = 1 / (1 + np.exp(difficulty - ability))
            slope = (np.where(met, told - chance, 0.0)).sum(axis, keepdims=True) * sign - part / _SPREAD**2
            bend = np.where(met, chance * (1 - chance), 0.0).sum(axis, keepdims=True) + 1 / _SPREAD**2
            part += np.clip(slope / bend, -1, 1)
    return chance


def _slip_matches(right: NDArray[Any], slips: NDArray[Any]) -> NDArray[Any]:
    """Return for each question how likely two who miss it make the same named slip, by the crew's shares."""
    found = np.empty(slips.shape[1])
    for place in range(slips.shape[1]):
        times = np.unique(slips[slips[:, place] > 0, place], return_counts=True)[1].astype(float)
        missed = float((right[:, place] == 0).sum())
        found[place] = ((times * (times - 1)).sum() + 1) / (missed * (missed - 1) + 2)
    return found


def _matches(right: NDArray[Any], slips: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
    """Return for every pair how many questions both got right or slipped at alike, and the latter alone."""
    told = np.nan_to_num(right).astype(np.float32)
    same = np.zeros((len(right), len(right)), dtype=np.float32)
    for place in range(slips.shape[1]):
        for code in np.unique(slips[slips[:, place] > 0, place]):
            who = np.flatnonzero(slips[:, place] == code)
            same[np.ix_(who, who)] += 1
    return told @ told.T + same, same


def _expected(
    chance: NDArray[Any], met: NDArray[Any], slip: NDArray[Any]
) -> tuple[NDArray[Any], NDArray[Any]]:
    """Return for every pair the expected matches, and their standard deviation."""
    right = chance.astype(np.float32)
    wrong = np.where(met, 1 - chance, 0.0).astype(np.float32)
    weight = slip.astype(np.float32)
    mean = right @ right.T + (wrong * weight) @ wrong.T
    square = (right**2) @ (right**2).T + 2 * (right * wrong * weight) @ (right * wrong).T
    square = square + (wrong**2 * weight**2) @ (wrong**2).T
    return mean, np.sqrt(np.maximum(mean - square, 0))


def _match_chance(one: NDArray[Any], two: NDArray[Any], slip: NDArray[Any]) -> NDArray[Any]:
    return np.asarray(one * two + (1 - one) * (1 - two) * slip)


def _at_least(chances: NDArray[Any], count: int) -> float:
    """Return how likely so many of independent events happen, or more, each with a chance of its own.

    Examples
    --------
    >>> round(_at_least(np.array([0.5, 0.5, 0.5]), 2), 3)
    0.5
    """
    spread = np.array([1.0])
    for each in chances:
        spread = np.convolve(spread, [1 - each, each])
    return float(spread[count:].sum())


def _apart(answers: DataFrame, first: str, second: str) -> float | None:
    if "at_utc" not in answers:
        return None
    told = answers[["person", "exercise", "right", "slip", "at_utc"]]
    one, two = (told[told["person"] == who] for who in (first, second))
    both = one.merge(two, on="exercise", suffixes=("", "_two"))
    named = both["slip"].fillna("").ne("") & both["slip"].eq(both["slip_two"])
    same = (both["right"] & both["right_two"]) | (~both["right"] & ~both["right_two"] & named)
    gap_s = (both["at_utc"] - both["at_utc_two"])[same].abs().dt.total_seconds()
    return float(gap_s.median() / 60) if len(gap_s) else None
