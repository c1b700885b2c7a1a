"""What the answer books hold, as DataFrames: every attempt, the slips in them, and what practice shows."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from typing import TYPE_CHECKING, get_args

from kit.criteria import KINDS as KINDS_OF_CRITERION
from kit.criteria import steps
from kit.exercises.catalogue import Catalogue
from kit.marking import model
from kit.records.competence.standings import practice_of
from kit.records.intake.attempts import marked_attempts
from kit.tables.frames import COUNT, DAY, MOMENT, NUMBER, TEXT, YES_NO, Columns, Row, Words, called, frame

if TYPE_CHECKING:
    from pandas import DataFrame

    from kit.records import Records

VERDICTS = Words(get_args(model.Verdict))
STEPS, KINDS = Words(tuple(steps())), Words(KINDS_OF_CRITERION)
ATTEMPTS: Columns = {
    "person": TEXT,
    "line": COUNT,
    "at_utc": MOMENT,
    "day": DAY,
    "lesson": COUNT,
    "exercise": TEXT,
    "version": COUNT,
    "occasion": COUNT,
    "rule_profile": TEXT,
    "points": NUMBER,
    "points_possible": NUMBER,
    "verdict": VERDICTS,
    "slip": TEXT,
    "counts": YES_NO,
    "right_first_time": YES_NO,
    "with_help": YES_NO,
}
SLIPS: Columns = {
    "lesson": COUNT,
    "exercise": TEXT,
    "slip": TEXT,
    "times": COUNT,
    "people": COUNT,
    "share_of_misses_pct": NUMBER,
}
SHOWN: Columns = {"safety_critical": YES_NO, "days": COUNT, "trying": COUNT, "shown_pct": NUMBER}
PRACTICE: Columns = {
    "person": TEXT,
    "step": STEPS,
    "criterion": TEXT,
    "kind": KINDS,
    "safety_critical": YES_NO,
    "shown": YES_NO,
    "days_right": COUNT,
    "days_needed": COUNT,
    "variants_tried": COUNT,
    "first_day": DAY,
    "last_day": DAY,
    "first_shown_day": DAY,
    "days_until_shown": COUNT,
}


def attempts(records: Records, *, names: bool = False) -> DataFrame:
    """Return every attempt with the mark it got when its book was taken in, a row each.

    For very large records, read it in parts: ``in_chunks("attempts", records)``.

    Parameters
    ----------
    records : Records
        From ``open_records``.
    names : bool
        Real names in place of pseudonyms.

    Returns
    -------
    DataFrame
        ``person`` string, a pseudonym; ``line`` Int64, of the answer book, from 1; ``at_utc`` datetime in UTC
        and ``day`` local datetime, by the apprentice's clock; ``lesson`` Int64; ``exercise`` string;
        ``version`` Int64, of the exercise; ``occasion`` Int64, the how-manieth variant; ``rule_profile``
        string; ``points`` and ``points_possible`` Float64, empty where today's kit draws another question;
        ``verdict`` category; ``slip`` string, empty where none was found; ``counts`` boolean, whether it may
        be evidence; ``right_first_time`` boolean, without help, empty unless it was the first try at its
        variant; ``with_help`` boolean, of first tries.

    Examples
    --------
    >>> import kit, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = kit.open_records(f"{folder}/records.db")
    ...     str(attempts(records).dtypes["points"])
    ...     records.close()
    'Float64'
    """
    return frame(ATTEMPTS, attempt_rows(records, names))


def slips(records: Records) -> DataFrame:
    """Return which slips were found in wrong answers, the most frequent first.

    Parameters
    ----------
    records : Records
        From ``open_records``.

    Returns
    -------
    DataFrame
        ``lesson`` Int64; ``exercise`` string; ``slip`` string, empty for wrong answers that show no known
        slip; ``times`` Int64, attempts; ``people`` Int64, who made it; ``share_of_misses_pct`` Float64, of
        the attempts at that exercise that were not right. [%]

    Examples
    --------
    >>> import kit, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = kit.open_records(f"{folder}/records.db")
    ...     list(slips(records).columns)[:4]
    ...     records.close()
    ['lesson', 'exercise', 'slip', 'times']
    """
    times: Counter[tuple[str, str]] = Counter()
    people: dict[tuple[str, str], set[str]] = defaultdict(set)
    misses: Counter[str] = Counter()
    for one in marked_attempts(records):
        if one.verdict in ("not yet", "partly"):
            times[one.exercise, one.slip] += 1
            people[one.exercise, one.slip].add(one.person)
            misses[one.exercise] += 1
    lessons = lesson_of()
    rows = [
        (
            lessons.get(exercise),
            exercise,
            slip,
            count,
            len(people[exercise, slip]),
            100 * count / misses[exercise],
        )
        for (exercise, slip), count in sorted(times.items(), key=lambda each: (-each[1], each[0]))
    ]
    return frame(SLIPS, rows)


def practice(records: Records, *, names: bool = False) -> DataFrame:
    """Return how far each person's practice has come on each criterion that they touched.

    Practice is unsupervised. It shows knowledge and prepares for doing the work; it decides nothing.

    Parameters
    ----------
    records : Records
        From ``open_records``.
    names : bool
        Real names in place of pseudonyms.

    Returns
    -------
    DataFrame
        ``person`` string; ``step`` category, in the order of the work; ``criterion`` string; ``kind``
        category, knowledge or performance; ``safety_critical`` boolean; ``shown`` boolean, as it stands;
        ``days_right`` and ``days_needed`` Int64, different days with a variant right first time;
        ``variants_tried`` Int64; ``first_day`` and ``last_day`` datetime; ``first_shown_day`` datetime,
        empty if it never was, kept if a later miss took it away; ``days_until_shown`` Int64, from
        ``first_day`` to ``first_shown_day``. [days]

    Examples
    --------
    >>> import kit, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = kit.open_records(f"{folder}/records.db")
    ...     practice(records).empty
    ...     records.close()
    True
    """
    return frame(PRACTICE, practice_rows(records, names))


def shown_by_day(practice: DataFrame) -> DataFrame:
    """Return what share of those who try a criterion has shown it so many days after they began.

    Who has not shown it yet counts for as long as they have tried, and not as a failure: the estimate of
    Kaplan and Meier. The mean over those who have shown it would be too short. Only what is to be known
    counts here. It takes those who stopped for like those who went on; where many stopped early, it says
    little.

    Parameters
    ----------
    practice : DataFrame
        From ``practice``; all of it, or the rows of interest.

    Returns
    -------
    DataFrame
        ``safety_critical`` boolean; ``days`` Int64, since the first try [days]; ``trying`` Int64, pairs of
        person and criterion that had come so far without it; ``shown_pct`` Float64, up to that day. [%]

    Examples
    --------
    >>> import pandas as pd
    >>> three = pd.DataFrame({"days_until_shown": [1, None, 3], "kind": "knowledge"})
    >>> three["safety_critical"] = False
    >>> three["first_day"], three["last_day"] = pd.Timestamp("2026-03-02"), pd.Timestamp("2026-03-08")
    >>> shown_by_day(three)[["days", "trying", "shown_pct"]].to_numpy(dtype=float).round(1).tolist()
    [[1.0, 3.0, 33.3], [3.0, 2.0, 66.7]]
    """
    known = practice[practice["kind"] == "knowledge"]
    tried = (known["last_day"] - known["first_day"]).dt.days
    days, shown = known["days_until_shown"].fillna(tried), known["days_until_shown"].notna()
    rows: list[Row] = []
    for critical in (False, True):
        mine = (known["safety_critical"] == critical).to_numpy(dtype=bool)
        not_yet = 1.0
        for day in sorted(days[mine & shown].unique()):
            trying = int((days[mine] >= day).sum())
            not_yet *= 1 - int((days[mine & shown] == day).sum()) / trying
            rows.append((critical, day, trying, 100 * (1 - not_yet)))
    return frame(SHOWN, rows)


def lesson_of() -> dict[str, int]:
    """Return the lesson of each exercise of today's bank."""
    from kit import exercises

    return {name: exercises.info(name).lesson for name in (*exercises.ids(), *exercises.explain_ids())}


def attempt_rows(records: Records, names: bool) -> Iterator[Row]:
    """Yield the rows of ``attempts``."""
    who, lessons = called(records, names), lesson_of()
    for one in marked_attempts(records):
        person, line, at, day, exercise, *rest = one
        yield who[person], line, at, day, lessons.get(exercise), exercise, *rest


def practice_rows(records: Records, names: bool) -> Iterator[Row]:
    """Yield the rows of ``practice``."""
    catalogue, who = Catalogue(), called(records, names)
    for person, name, found in practice_of(records, catalogue):
        criterion = catalogue.criteria[name]
        waited = (found.first_held - found.first_day).days if found.first_held and found.first_day else None
        yield (
            who[person],
            criterion.step,
            name,
            criterion.kind,
            criterion.safety_critical,
            found.held,
            found.days_right,
            found.days_needed,
            found.first_tries,
            found.first_day,
            found.last_day,
            found.first_held,
            waited,
        )
