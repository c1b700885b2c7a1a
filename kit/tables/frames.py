"""How rows become a DataFrame: each table has its columns, with a type each, whatever the rows hold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING, Any

from kit.records.people.crew import names_of
from kit.records.people.pseudonyms import pseudonyms

if TYPE_CHECKING:
    from pandas import DataFrame

    from kit.records import Records

Row = Sequence[Any]
TEXT, COUNT, NUMBER, YES_NO = "string", "Int64", "Float64", "boolean"
DAY, MOMENT = "datetime64[s]", "datetime64[s, UTC]"


@dataclass(frozen=True)
class Words:
    """The type of a column that holds one of a few known words, in their own order."""

    words: tuple[str, ...]


Columns = Mapping[str, str | Words]
"""The columns of a table by name. Every one may be empty, which pandas shows as NA or NaT."""


def frame(columns: Columns, rows: Iterable[Row]) -> DataFrame:
    """Return rows as a DataFrame with these columns and types, also if there is no row.

    Examples
    --------
    >>> frame({"core_c": NUMBER, "phase": Words(("cook", "chill"))}, [(63.1, "cook"), (None, None)])
       core_c phase
    0    63.1  cook
    1    <NA>   NaN
    """
    import pandas as pd

    values = list(zip(*rows, strict=True)) or [()] * len(columns)
    made = {
        name: pd.Series(
            list(column),
            dtype=pd.CategoricalDtype(list(kind.words), ordered=True) if isinstance(kind, Words) else kind,
        )
        for (name, kind), column in zip(columns.items(), values, strict=True)
    }
    return pd.DataFrame(made)


def frames(columns: Columns, rows: Iterable[Row], at_once: int) -> Iterator[DataFrame]:
    """Yield rows as DataFrames of so many rows each, so that they need not fit into memory.

    Examples
    --------
    >>> [len(part) for part in frames({"line": COUNT}, [(1,), (2,), (3,)], at_once=2)]
    [2, 1]
    """
    waiting = iter(rows)
    while part := list(islice(waiting, at_once)):
        yield frame(columns, part)


def called(records: Records, names: bool) -> dict[str, str]:
    """Return what each person id is called in a table: a pseudonym, or the name if that is asked for."""
    with records.reading() as connection:
        return names_of(connection) if names else pseudonyms(connection)
