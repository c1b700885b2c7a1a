"""Reading judges' sheets for a cut score: a CSV of chances, a row a judge, a column a task."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import TYPE_CHECKING

from kit.basics.errors import BadData
from kit.basics.given_files import read_given

if TYPE_CHECKING:
    from pandas import DataFrame

_MOST_BYTES = 1_000_000


def read_sheet(path: Path) -> DataFrame:
    """Return the chances of one round, judges × tasks.

    Raises
    ------
    BadData
        If it is no such table. One message names every cell that is no number from 0 to 1.
    """
    import pandas as pd

    data = read_given(path, "a judges' sheet as CSV", _MOST_BYTES)
    try:
        rows = [row for row in csv.reader(io.StringIO(data.decode("utf-8-sig"))) if any(row)]
    except (UnicodeDecodeError, csv.Error):
        raise BadData(str(path), "it is no table in UTF-8", "a CSV file") from None
    if len(rows) < 2 or len(rows[0]) < 2:
        raise BadData(str(path), "it holds no judge, or no task", "a head of task names, then a row a judge")
    head, table = rows[0], {}
    faults: list[str] = []
    for row in rows[1:]:
        cells = [*row[1:], *[""] * (len(head) - len(row))]
        named = zip(head[1:], cells, strict=False)
        table[row[0]] = [_chance(cell, f"{row[0]}, {name}", faults) for name, cell in named]
        if len(row) > len(head):
            faults.append(f"{row[0]} has {len(row) - len(head)} cells too many")
    if len(table) < len(rows) - 1:
        faults.append("a judge stands twice")
    if faults:
        raise BadData(str(path), "; ".join(faults[:12]), "a chance from 0 to 1 in each cell")
    return pd.DataFrame.from_dict(table, orient="index", columns=head[1:])


def _chance(cell: str, where: str, faults: list[str]) -> float:
    try:
        value = float(cell)
    except ValueError:
        value = -1.0
    if not 0.0 <= value <= 1.0:
        faults.append(f"{where}: {'empty' if not cell.strip() else repr(cell[:12])}")
    return value
