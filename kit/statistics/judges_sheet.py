"""Reading sheets for a cut score: judges' chances, a row a judge; a practical's grades, a row a person."""

from __future__ import annotations

import csv
import io
import math
from pathlib import Path
from typing import TYPE_CHECKING

from kit.basics.errors import BadData
from kit.basics.given_files import read_given

if TYPE_CHECKING:
    from pandas import DataFrame

_MOST_BYTES = 1_000_000
_MOST_NAMED = 12  # so many faulty cells are named in one message


def read_sheet(path: Path) -> DataFrame:
    """Return the chances of one round in a file, judges × tasks. See ``sheet_of``."""
    return sheet_of(read_given(path, "a judges' sheet as CSV", _MOST_BYTES), str(path))


def read_grades(path: Path) -> DataFrame:
    """Return the grades and points of a practical in a file. See ``grades_of``."""
    return grades_of(read_given(path, "grades and points as CSV", _MOST_BYTES), str(path))


def sheet_of(data: bytes, where: str) -> DataFrame:
    """Return the chances of one round, judges × tasks.

    Raises
    ------
    BadData
        If it is no such table. One message names every cell that is no number from 0 to 1.

    Examples
    --------
    >>> sheet_of(b"judge,q1,q2\\nA,0.5,0.9\\nB,0.6,0.8", "round.csv").to_numpy().tolist()
    [[0.5, 0.9], [0.6, 0.8]]
    """
    import pandas as pd

    rows = _rows(data, where)
    if len(rows) < 2 or len(rows[0]) < 2:
        raise BadData(where, "it holds no judge, or no task", "a head of task names, then a row a judge")
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
    _say(where, faults, "a chance from 0 to 1 in each cell")
    return pd.DataFrame.from_dict(table, orient="index", columns=head[1:])


def grades_of(data: bytes, where: str) -> DataFrame:
    """Return the examiner's grade and the checklist's points of each person at a practical.

    Parameters
    ----------
    data : bytes
        A CSV with the head ``person,grade,points``, then a row a person.
    where : str
        The file, for messages.

    Raises
    ------
    BadData
        If it is no such table. One message names every cell that is no number.

    Examples
    --------
    >>> grades_of(b"person,grade,points\\nIda,2,61.5\\nTam,3,70", "bench.csv")["points"].tolist()
    [61.5, 70.0]
    """
    import pandas as pd

    rows, head = _rows(data, where), ["person", "grade", "points"]
    if not rows or [each.strip().casefold() for each in rows[0]] != head:
        raise BadData(where, "its head is another", f"the head {','.join(head)}, then a row a person")
    faults: list[str] = []
    table = []
    for row in rows[1:]:
        cells = [*row[1:], *[""] * (len(head) - len(row))]
        if len(row) > len(head):
            faults.append(f"{row[0]} has {len(row) - len(head)} cells too many")
        named = zip(head[1:], cells, strict=False)
        table.append([row[0], *(_number(cell, f"{row[0]}, {name}", faults) for name, cell in named)])
    _say(where, faults, "a number in each cell; leave out who was not graded")
    return pd.DataFrame(table, columns=head)


def _rows(data: bytes, where: str) -> list[list[str]]:
    """Return the rows of a CSV that hold anything; a spreadsheet may part them with a semicolon."""
    try:
        text = data.decode("utf-8-sig")
        parted = ";" if ";" in text.partition("\n")[0] else ","
        found = [row for row in csv.reader(io.StringIO(text), delimiter=parted) if any(row)]
    except (UnicodeDecodeError, csv.Error):
        raise BadData(where, "it is no table in UTF-8", "a CSV file") from None
    return [[_plain(cell) for cell in row] for row in found] if parted == ";" else found


def _plain(cell: str) -> str:
    """Return a cell with a decimal point: where semicolons part cells, a comma is a decimal one."""
    number = cell.strip().replace(",", ".", 1)
    return number if number.replace(".", "", 1).isdigit() else cell


def _say(where: str, faults: list[str], wanted: str) -> None:
    if faults:
        more = f"; and {len(faults) - _MOST_NAMED} more" if len(faults) > _MOST_NAMED else ""
        raise BadData(where, "; ".join(faults[:_MOST_NAMED]) + more, wanted)


def _number(cell: str, where: str, faults: list[str]) -> float:
    try:
        value = float(cell)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        faults.append(_told(cell, where))
    return value


def _told(cell: str, where: str) -> str:
    return f"{where}: {'empty' if not cell.strip() else repr(cell[:12])}"


def _chance(cell: str, where: str, faults: list[str]) -> float:
    try:
        value = float(cell)
    except ValueError:
        value = -1.0
    if not 0.0 <= value <= 1.0:
        faults.append(_told(cell, where))
    return value
