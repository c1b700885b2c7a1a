"""A crew that never was, and questions planted among its answers that do badly. For trying figures out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from kit.basics.errors import OutOfRange, check_range

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from pandas import DataFrame

BACKWARDS, TOO_HARD, TOO_EASY, LAME = "backwards", "too hard", "too easy", "lame message"
FAULTS = (BACKWARDS, TOO_HARD, TOO_EASY, LAME)
"""The able miss it; nearly all miss it; nearly all get it; its message helps less than none."""
_DRIVEN = 0.75
_AFTER_MESSAGE, _AFTER_NONE, _AFTER_LAME = 0.75, 0.55, 0.2
_NAMED = 0.8
GUESSED = 0.25
"""How often an invented guesser is right, whatever is asked."""


@dataclass(frozen=True)
class Planted:
    """A fault planted in a question: which, and where."""

    exercise: str
    fault: str


def exercise_name(number: int) -> str:
    """Return the id of an invented exercise.

    Examples
    --------
    >>> exercise_name(7)
    'invented-007'
    """
    return f"invented-{number:03d}"


def person_name(number: int) -> str:
    """Return the id of an invented person.

    Examples
    --------
    >>> person_name(7)
    'P00007'
    """
    return f"P{number:05d}"


def true_difficulties(exercises: int) -> NDArray[Any]:
    """Return the difficulties that the invented exercises have, evenly from −1.5 to 1.5. [logits]

    Examples
    --------
    >>> true_difficulties(3).tolist()
    [-1.5, 0.0, 1.5]
    """
    return np.linspace(-1.5, 1.5, exercises) if exercises > 1 else np.zeros(1)


def invented_bank(exercises: int) -> DataFrame:
    """Return a bank for the invented exercises: every third serves a safety-critical criterion.

    Examples
    --------
    >>> invented_bank(3)["safety_critical"].tolist()
    [True, False, False]
    """
    import pandas as pd

    numbers = range(exercises)
    return pd.DataFrame(
        {
            "exercise": pd.Series([exercise_name(each) for each in numbers], dtype="string"),
            "serves": "evidence",
            "safety_critical": pd.Series([each % 3 == 0 for each in numbers], dtype="boolean"),
        }
    )


def invented_attempts(
    people: int,
    exercises: int,
    *,
    planted: Sequence[Planted] = (),
    met_share: float = 1.0,
    guessers: float = 0.0,
    forgetful: float = 0.0,
    seed: int = 1,
) -> DataFrame:
    """Return the attempts of an invented crew: who misses reads a message, and most of them try once more.

    Abilities are normal, and answers follow the Rasch model, but for the planted questions. 80 % of the
    misses show a named slip, "slip one" or "slip two".

    Parameters
    ----------
    people, exercises : int
        How many, from 1.
    planted : sequence of Planted
        Questions that do badly.
    met_share : float
        What share of the exercises each person meets, above 0 to 1.
    guessers, forgetful : float
        What share of the people they are, from 0 to 1 together. A guesser is right one time in four whatever
        is asked; a forgetful person ends 2 logits below where they began.
    seed : int
        The same seed gives the same crew on every machine.

    Returns
    -------
    DataFrame
        The columns of ``kit.tables.attempts`` that the figures here read.

    Raises
    ------
    OutOfRange
        If there is nobody, nothing to answer, or an unknown fault.

    Examples
    --------
    >>> found = invented_attempts(people=3, exercises=4)
    >>> int(found["right_first_time"].notna().sum())
    12
    """
    check_range("people", people, at_least=1)
    check_range("exercises", exercises, at_least=1)
    check_range("met_share", met_share, above=0, at_most=1)
    for each in planted:
        if each.fault not in FAULTS:
            raise OutOfRange("fault", each.fault, f"one of {', '.join(FAULTS)}")
    random = np.random.RandomState(seed)  # its stream never changes; that of Generator may
    check_range("guessers + forgetful", guessers + forgetful, at_least=0, at_most=1)
    ability = random.normal(size=people)[:, None]
    manner = (
        np.arange(people)[:, None] / people
    )  # the first are guessers, the next forgetful, the rest steady
    fades = (manner >= guessers) & (manner < guessers + forgetful)
    faded = ability - fades * np.linspace(0, 2, exercises)[None, :]
    chance = _chances(faded, manner < guessers, planted)
    right = random.random_sample(chance.shape) < chance
    met = random.random_sample(chance.shape) < met_share
    person, item = np.nonzero(met)
    slip = np.where(random.random_sample(len(person)) < _NAMED, "slip one", "")
    slip = np.where((slip != "") & (random.random_sample(len(person)) < 0.4), "slip two", slip)
    lame = np.isin(item, [_number(each.exercise) for each in planted if each.fault == LAME])
    after = np.where(slip == "", _AFTER_NONE, np.where(lame, _AFTER_LAME, _AFTER_MESSAGE))
    again = random.random_sample(len(person)) < _DRIVEN
    then = random.random_sample(len(person)) < after
    seconds = random.gamma(4.0, 15.0, size=(2, len(person)))
    return _as_attempts(person, item, right[person, item], slip, again, then, seconds)


def _chances(ability: NDArray[Any], guesses: NDArray[Any], planted: Sequence[Planted]) -> NDArray[Any]:
    exercises = ability.shape[1]
    chance = 1 / (1 + np.exp(true_difficulties(exercises)[None, :] - ability))
    backwards = [_number(each.exercise) for each in planted if each.fault == BACKWARDS]
    chance[:, backwards] = 1 / (1 + np.exp(ability[:, backwards]))
    chance = np.where(guesses, GUESSED, chance)
    for each in planted:
        if each.fault in (TOO_HARD, TOO_EASY):  # for whoever comes
            chance[:, _number(each.exercise)] = 0.02 if each.fault == TOO_HARD else 0.99
    return np.asarray(chance)


def _number(exercise: str) -> int:
    return int(exercise.rpartition("-")[2])


def _as_attempts(
    person: NDArray[Any],
    item: NDArray[Any],
    right: NDArray[Any],
    slip: NDArray[Any],
    again: NDArray[Any],
    then: NDArray[Any],
    seconds: NDArray[Any],
) -> DataFrame:
    """First tries, each followed by the second one if there was one, in the order of the lines."""
    import pandas as pd

    first = pd.DataFrame({"person": person, "item": item, "right": right, "took": seconds[0], "turn": 0})
    first["slip"] = np.where(right, "", slip)
    second = first[~right & again].assign(right=then[~right & again], took=seconds[1][~right & again], turn=1)
    second.loc[second["right"], "slip"] = ""
    lines = pd.concat([first, second]).sort_values(["person", "item", "turn"], kind="stable")
    lines = lines.reset_index(drop=True)
    names = np.array([exercise_name(each) for each in range(int(item.max()) + 1 if len(item) else 0)])
    people = np.array([person_name(each) for each in range(int(person.max()) + 1 if len(person) else 0)])
    at = lines.groupby("person")["took"].cumsum().round()
    verdict = np.where(lines["right"], "right", "not yet")
    return pd.DataFrame(
        {
            "person": pd.Series(people[lines["person"]], dtype="string"),
            "line": lines.groupby("person").cumcount().add(2).astype("Int64"),
            "at_utc": pd.Timestamp("2026-03-02 08:00", tz="UTC") + pd.to_timedelta(at, unit="s"),
            "exercise": pd.Series(names[lines["item"]], dtype="string"),
            "version": pd.array([1] * len(lines), dtype="Int64"),
            "occasion": pd.array([1] * len(lines), dtype="Int64"),
            "verdict": pd.Categorical(verdict, categories=["right", "partly", "not yet"]),
            "slip": lines["slip"].astype("string"),
            "right_first_time": lines["right"].astype("boolean").where(lines["turn"] == 0),
            "with_help": pd.Series(False, index=lines.index, dtype="boolean").where(lines["turn"] == 0),
        }
    )


def invented_ratings(cases: int = 40, *, months: int = 2, seed: int = 1) -> DataFrame:
    """Return what three invented tutors say of the same cases; the third lets most pass in the last month.

    A tenth of the ratings is missing, and the other two tutors agree nine times in ten.

    Examples
    --------
    >>> sorted(invented_ratings(cases=4)["tutor"].unique())
    ['T1', 'T2', 'T3']
    """
    import pandas as pd

    check_range("cases", cases, at_least=1)
    check_range("months", months, at_least=1)
    random = np.random.RandomState(seed)
    case, tutor = np.divmod(np.arange(3 * cases), 3)
    month = case * months // cases
    true = (random.random_sample(cases) < 0.5)[case]
    said = np.where(random.random_sample(3 * cases) < 0.05, ~true, true)
    lenient = (tutor == 2) & (month == months - 1) & (random.random_sample(3 * cases) < 0.8)
    day = pd.Timestamp("2026-01-15") + pd.Series(month).map(lambda each: pd.DateOffset(months=each))
    made = pd.DataFrame(
        {
            "case": pd.Series(case, dtype="Int64"),
            "tutor": pd.Series([f"T{each + 1}" for each in tutor], dtype="string"),
            "day": day,
            "rating": pd.Series((said | lenient).astype(int), dtype="Int64"),
        }
    )
    return made[random.random_sample(3 * cases) >= 0.1].reset_index(drop=True)
