"""From bytes to lines of text, and from lines to rows of cells."""

import csv
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from kit.basics.errors import BadData
from kit.logs.cells import sort_of

SEPARATORS = {";": "semicolon", "\t": "tab", ",": "comma", "|": "bar"}
_MARKS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_SAMPLE = 400


@dataclass(frozen=True)
class LogRow:
    """The cells of one line, and its number in the file."""

    line: int
    cells: list[str]


def decode(data: bytes, name: str) -> tuple[str, str]:
    """Return the text of a file and the encoding it was read in.

    UTF-8 and UTF-16 are known by their mark; else UTF-8 if it fits, else Latin-1.

    Examples
    --------
    >>> decode("Kern °C".encode("latin-1"), "a.csv")
    ('Kern °C', 'Latin-1')
    """
    if not data.strip():
        raise BadData(name, "the file is empty", "rows of times and temperatures")
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            try:
                return data.decode(encoding), encoding.upper().removesuffix("-SIG")
            except UnicodeDecodeError as error:
                raise BadData(name, f"byte {error.start} is not {encoding.upper()}", "a text file") from None
    if b"\x00" in data:
        line = data[: data.index(b"\x00")].count(b"\n") + 1
        raise BadData(f"{name}, line {line}", "this is not a text file", "the logger's export as text or CSV")
    try:
        return data.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError:
        return data.decode("latin-1"), "Latin-1"


def rows_of(text: str, name: str) -> tuple[list[LogRow], str]:
    """Return the rows that are not blank, and the separator that splits them best."""
    lines = text.splitlines()
    sample = [line for line in lines if line.strip()][:_SAMPLE]
    separator = max(SEPARATORS, key=lambda mark: _fit(sample, mark))
    if _fit(sample, separator)[0] == 0:
        raise BadData(
            f"{name}, line 1",
            "no row holds a time and a temperature",
            "rows such as 2025-03-05 14:02;63.1, split by comma, semicolon or tab",
        )
    return [row for row in _split(lines, separator, name) if any(cell for cell in row.cells)], separator


def _split(lines: list[str], separator: str, name: str) -> list[LogRow]:
    reader = csv.reader(lines, delimiter=separator, skipinitialspace=True)
    rows = []
    try:
        for cells in reader:
            rows.append(LogRow(reader.line_num, [cell.strip() for cell in cells]))
    except csv.Error as error:
        raise BadData(f"{name}, line {reader.line_num}", str(error), "cells split by one separator") from None
    return rows


def _fit(sample: list[str], separator: str) -> tuple[float, int]:
    """Score a separator: rows like data with one number of cells, by how much of them can be read."""
    shares: dict[int, float] = {}
    counts: Counter[int] = Counter()
    for line in sample:
        try:
            cells = next(csv.reader([line], delimiter=separator, skipinitialspace=True), [])
        except csv.Error:
            continue
        sorts = [sort_of(cell) for cell in cells]
        if looks_like_data(sorts):
            counts[len(cells)] += 1
            shares[len(cells)] = shares.get(len(cells), 0.0) + 1 - sorts.count("text") / len(sorts)
    best = max(shares, key=lambda count: shares[count], default=0)
    return (shares.get(best, 0.0), best)


def looks_like_data(sorts: Sequence[str]) -> bool:
    """Return whether a row of such cells can hold a time and a reading.

    Examples
    --------
    >>> looks_like_data(["stamp", "number"]), looks_like_data(["text", "number"])
    (True, False)
    """
    timed = sum(sort in ("stamp", "clock") for sort in sorts)
    numbers = sum(sort in ("number", "fault") for sort in sorts)
    if timed:
        return numbers >= 1 or sorts.count("blank") >= 1
    return numbers >= 2 and "number" in sorts and sorts[0] in ("number", "date", "fault")
