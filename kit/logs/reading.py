"""From a logger's file to a record: which column is what, in which unit, and what was dropped on the way."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import BadData
from kit.basics.given_files import read_given
from kit.basics.quantities import term
from kit.basics.typed_text import shown_text
from kit.logs import cells, columns, stamps
from kit.logs.columns import LogTable
from kit.logs.doubts import Doubt, doubts_of
from kit.logs.text import SEPARATORS, decode, rows_of
from kit.process.physics.trace import Trace

Array = NDArray[np.float64]

LARGEST_BYTES = 64 * 1024 * 1024
COLDEST_C, HOTTEST_C = -60.0, 300.0
"""Readings beyond these are faults, whatever the logger meant. [°C]"""
HOTTEST_CORE_C = 80.0
"""A core hotter than this, in a file that names no unit, was hardly read in °C. [°C]"""
_NO_UNIT = "Unit: not stated; read as °C. If that is wrong, say --unit f."
AGREE_C = 1.0
"""Readings under one stamp that differ by more than this contradict each other. [°C]"""


@dataclass(frozen=True)
class LogOptions:
    """How a file is to be read where it does not say so itself. ``None`` means: find out, or ask.

    ``order`` is ``day`` or ``month`` (which comes first in 03/04/2025), ``elapsed`` is ``s``, ``min`` or
    ``h``, ``unit`` is ``c`` or ``f``, ``zone`` a name such as ``Europe/Dublin``. Columns are named by their
    heading or by their number from 1; ``core`` may name several.
    """

    core: str | tuple[str, ...] = ()
    air: str | None = None
    surface: str | None = None
    time: tuple[str, ...] = ()
    order: Literal["day", "month"] | None = None
    elapsed: Literal["s", "min", "h"] | None = None
    unit: Literal["c", "f"] | None = None
    zone: str | None = None


@dataclass(frozen=True)
class Log:
    """A logger's file as it was read.

    ``trace`` starts at 0 min; NaN marks a gap. Its core is the coldest of ``cores``, which holds each core's
    readings under its heading [°C]; where one is missing, the coldest is not known. ``began`` is the first
    stamp, if the file has stamps. ``notes`` say in plain words how it was read and what was dropped. ``gaps``
    counts core readings that are missing or faults. ``doubts`` are readings that no fish can have.
    """

    name: str
    trace: Trace
    began: datetime | None
    notes: tuple[str, ...]
    gaps: int
    columns: dict[str, str] = field(default_factory=dict)
    cores: dict[str, Array] = field(default_factory=dict)
    doubts: tuple[Doubt, ...] = ()


def read_log(source: str | Path | bytes, how: LogOptions | None = None, *, name: str = "") -> Log:
    """Return the record in a temperature logger's export. Nothing is guessed that could change a verdict.

    Parameters
    ----------
    source : path or bytes
        A text file: comma, semicolon or tab; point or comma in decimals; UTF-8, UTF-16 or Latin-1; lines of
        other matter above the data; time stamps, a clock, or elapsed time.
    how : LogOptions, optional
        What the file does not say itself.
    name : str
        What to call the file in messages.

    Raises
    ------
    BadData
        If it cannot be read, or could be read in two ways: the message names the line, what was expected
        and, where one helps, the option that settles it.

    Examples
    --------
    >>> log = read_log(b"time (min);Core (C)\\n0;62,5\\n1;9999\\n2;63,0\\n")
    >>> log.trace.core_c.tolist(), log.gaps
    ([62.5, nan, 63.0], 1)
    """
    how = how or LogOptions()
    if isinstance(source, bytes):
        data, name = source, name or "log"
    else:
        data = read_given(source, "a logger's export of one batch", LARGEST_BYTES)
        name = shown_text(name or Path(source).name)
    text, encoding = decode(data, name)
    rows, separator = rows_of(text, name)
    table = columns.table_of(rows, name)
    chosen, times = _times(table, how)
    places = columns.temperature_columns(table, chosen, _wanted(how))
    unit, unit_note = _unit(table, places, how.unit)
    readings = {place: _temperatures(table, place, unit) for each in places.values() for place in each}
    minutes, joined, sorting = _in_order(np.array(times.minutes), readings)
    named = {table.headings[place]: joined[place] for place in places["core"]}
    cores = {heading: _sound_core(table, heading, core, unit_note) for heading, core in named.items()}
    surface_c, air_c = (joined[places[role][0]] if role in places else None for role in ("surface", "air"))
    trace = Trace(minutes, np.min(list(cores.values()), axis=0), surface_c=surface_c, air_c=air_c)
    gaps = int(np.sum(~np.isfinite(trace.core_c)))
    notes = [
        f"{encoding}, split by {SEPARATORS[separator]}; {len(table.rows)} rows from line {table.first_line}.",
        *_columns_told(table, places),
        *times.notes,
        unit_note,
        *_left_out(table),
        *([f"Core readings missing or faulty, kept as gaps: {gaps}."] if gaps else []),
        *sorting,
    ]
    began = None if times.began is None else times.began + timedelta(minutes=min(times.minutes))
    used = {role: ", ".join(table.headings[place] for place in each) for role, each in places.items()}
    doubts = tuple(doubt for heading, core in named.items() for doubt in doubts_of(heading, minutes, core))
    return Log(name, trace, began, tuple(notes), gaps, used, cores, doubts)


def _wanted(how: LogOptions) -> dict[str, tuple[str, ...]]:
    told = {"core": how.core, "air": how.air, "surface": how.surface}
    return {role: (name,) if isinstance(name, str) else name or () for role, name in told.items()}


def _columns_told(table: LogTable, places: dict[str, tuple[int, ...]]) -> list[str]:
    told = [
        f"{role.capitalize()}: column {table.headings[place]!r}."
        for role, each in sorted(places.items())
        for place in each
    ]
    return [
        *told,
        *(["Several cores: each is judged, and the worst counts."] if len(places["core"]) > 1 else []),
    ]


def _times(table: LogTable, how: LogOptions) -> tuple[list[int], stamps.Times]:
    """Return the columns that tell the time, and the times."""
    chosen, form = columns.time_columns(table, how.time)
    if form == "elapsed":
        return chosen, stamps.elapsed_times(table, chosen[0], how.elapsed)
    if form == "clock":
        return chosen, stamps.clock_times(table, chosen[0])
    return chosen, stamps.stamp_times(table, chosen, how.order, how.zone)


def _sound_core(table: LogTable, heading: str, core_c: Array, unit_note: str) -> Array:
    """Return a core with gaps where none can be so hot; refuse a unit in doubt, and an empty column."""
    if unit_note == _NO_UNIT and np.any(core_c > HOTTEST_CORE_C):
        raise BadData(
            table.name, f"the core reads {np.nanmax(core_c):g} and no unit is given", "--unit c or --unit f"
        )
    bounds = term("core_temp_c")
    sound = np.where((core_c < bounds.low) | (core_c > bounds.high), np.nan, core_c)
    if np.all(np.isnan(sound)):
        raise BadData(
            table.where(0),
            f"the core column {heading!r} holds no reading that a core can have",
            "temperatures such as 62.5",
        )
    return sound


def _left_out(table: LogTable) -> list[str]:
    notes = []
    if table.cut_last is not None:
        notes.append(f"Line {table.cut_last} is cut short and was left out.")
    if table.after:
        notes.append(f"Lines after the data, left out: {len(table.after)}, from line {table.after[0]}.")
    if table.repeated:
        notes.append(f"Headings that come again were left out: {table.repeated}.")
    return notes


def _unit(table: LogTable, places: dict[str, tuple[int, ...]], told: str | None) -> tuple[str, str]:
    """Return the unit of the temperatures, and how it is known."""
    if told is not None:
        return told, f"Unit: °{told.upper()}, as told."
    headings = {cells.unit_of(table.headings[place]) for each in places.values() for place in each} - {None}
    step = max(len(table.rows) // 60, 1)
    inside = {cells.unit_of(row.cells[at]) for row in table.rows[::step] for at in places["core"]} - {None}
    above = {cells.unit_of(line) for line in table.noise} - {None}
    for where, found in (("heading", headings), ("cells", inside), ("lines above the data", above)):
        if len(found) > 1:
            raise BadData(table.name, f"the {where} name both °C and °F", "--unit c or --unit f")
        if found:
            unit = str(found.pop())
            return unit, f"Unit: °{unit.upper()}, from the {where}."
    return "c", _NO_UNIT


def _temperatures(table: LogTable, column: int, unit: str) -> Array:
    """Return a column in °C. Faults, blanks and what cannot be a temperature are gaps."""
    found = np.full(len(table.rows), np.nan)
    for index, cell in enumerate(table.column(column)):
        value = cells.number(cell)
        if value is None:
            if cell and not cells.is_fault_word(cell):
                raise BadData(
                    table.where(index),
                    f"{cell!r} in column {table.headings[column]!r} is no temperature",
                    "a temperature such as 62.5, or nothing",
                )
            continue
        if value not in cells.FAULT_NUMBERS:
            found[index] = (value - 32) / 1.8 if unit == "f" else value
    found[(found < COLDEST_C) | (found > HOTTEST_C)] = np.nan
    return found


def _in_order(minutes: Array, readings: dict[int, Array]) -> tuple[Array, dict[int, Array], list[str]]:
    """Sort the rows by time and join those under one stamp; say so."""
    notes: list[str] = []
    late = int(np.sum(np.diff(minutes) < 0))
    if late:
        notes.append(f"Rows out of order, sorted by time: {late}.")
    order = np.argsort(minutes, kind="stable")
    sorted_minutes = minutes[order]
    firsts = np.flatnonzero(np.append(True, np.diff(sorted_minutes) > 1e-9))
    joined = {place: _joined(column[order], firsts) for place, column in readings.items()}
    repeated = minutes.size - firsts.size
    if repeated:
        notes.append(f"Rows with a stamp that was there already: {repeated}.")
        against = sum(clash for _, clash in joined.values())
        if against:
            notes.append(f"Readings under one stamp that contradict each other, kept as gaps: {against}.")
    times = sorted_minutes[firsts] - sorted_minutes[0]
    return times, {place: column for place, (column, _) in joined.items()}, notes


def _joined(column: Array, firsts: NDArray[np.intp]) -> tuple[Array, int]:
    """Return one reading a stamp: the last of those that agree, a gap where they do not."""
    lasts = np.append(firsts[1:], column.size)
    found, clashes = column[lasts - 1].copy(), 0
    for place in np.flatnonzero(lasts - firsts > 1):
        there: Iterable[float] = column[firsts[place] : lasts[place]]
        known = [value for value in there if np.isfinite(value)]
        if known and max(known) - min(known) > AGREE_C:
            found[place], clashes = np.nan, clashes + 1
        elif known:
            found[place] = known[-1]
    return found, clashes
