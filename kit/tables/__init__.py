"""For those who count: the records, the bank, verdicts and traces as pandas DataFrames.

Columns have a type whatever is in them, and their unit in their name: ``core_c``, ``days_until_shown``.
People go by pseudonyms that are stable within one records file; ``names=True`` gives real names. A pseudonym
hides a name. In a small group it does not hide the person: share such a table as you would share names.

Examples
--------
>>> import kit
>>> kit.tables.bank().groupby("lesson")["exercise"].nunique().index.tolist()
[0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10]
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from kit.basics.errors import UnknownName, check_range
from kit.tables import answers, seen_and_decided
from kit.tables.answers import attempts, practice, shown_by_day, slips
from kit.tables.bank_and_traces import bank, trace
from kit.tables.frames import frames
from kit.tables.seen_and_decided import decisions, observations, people, verdicts

if TYPE_CHECKING:
    from pandas import DataFrame

    from kit.records import Records

__all__ = [
    "attempts",
    "bank",
    "decisions",
    "in_chunks",
    "observations",
    "people",
    "practice",
    "shown_by_day",
    "slips",
    "trace",
    "verdicts",
]

_LARGE = {
    "attempts": (answers.ATTEMPTS, answers.attempt_rows),
    "practice": (answers.PRACTICE, answers.practice_rows),
    "observations": (seen_and_decided.OBSERVATIONS, seen_and_decided.observation_rows),
    "decisions": (seen_and_decided.DECISIONS, seen_and_decided.decision_rows),
    "verdicts": (seen_and_decided.VERDICTS, seen_and_decided.verdict_rows),
}


def in_chunks(
    table: str, records: Records, *, rows: int = 50_000, names: bool = False
) -> Iterator[DataFrame]:
    """Yield a table in parts, so that large records need not fit into memory.

    Parameters
    ----------
    table : str
        ``attempts``, ``practice``, ``observations``, ``decisions`` or ``verdicts``.
    records : Records
        From ``open_records``. All parts show the same moment of the records.
    rows : int
        The most rows in one part, from 1. [rows]
    names : bool
        Real names in place of pseudonyms.

    Yields
    ------
    DataFrame
        With the columns of that table. Nothing if there is no row.

    Raises
    ------
    UnknownName, OutOfRange
        If there is no such table, or ``rows`` is below 1.

    Examples
    --------
    >>> import kit, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = kit.open_records(f"{folder}/records.db")
    ...     sum(len(part) for part in in_chunks("attempts", records))
    ...     records.close()
    0
    """
    if table not in _LARGE:
        raise UnknownName("large table", table, _LARGE)
    check_range("rows", rows, at_least=1)
    columns, found = _LARGE[table]
    return frames(columns, found(records, names), rows)
