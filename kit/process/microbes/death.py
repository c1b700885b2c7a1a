"""What heat does to germs: how much a minute is worth at each temperature, and what a cook adds up to."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.basics.errors import BadData, OutOfRange, check_range
from kit.process.microbes.inactivation import heat_table

Array = NDArray[np.float64]

SIX_D = 6.0


def lethal_rate(temp_c: ArrayLike, ref_c: float, z_c: float) -> Any:
    """Return how many minutes at the reference temperature one minute at this temperature is worth.

    Every z degrees make a factor of ten: with z = 7.5 °C, a minute at 62.5 °C is worth 6 s at 70 °C.

    Parameters
    ----------
    temp_c : float or array
        Temperature, -60 to 200. [°C]
    ref_c : float
        Reference temperature, 0 to 150. [°C]
    z_c : float
        Degrees for a factor of ten, 1 to 50. [°C]

    Returns
    -------
    float or array
        Lethal rate. [min at ``ref_c`` per min]

    Notes
    -----
    Source: ``bigelow-1921``.

    Examples
    --------
    >>> round(lethal_rate(62.5, ref_c=70, z_c=7.5), 6)
    0.1
    """
    check_range("temp_c", temp_c, at_least=-60, at_most=200, likely_cause="Was it given in °F?")
    _check_reference(ref_c, z_c)
    rate = 10 ** ((np.asarray(temp_c, dtype=float) - ref_c) / z_c)
    return float(rate) if rate.ndim == 0 else rate


def equivalent_minutes(minutes: ArrayLike, temp_c: ArrayLike, ref_c: float, z_c: float) -> Any:
    """Return the minutes at the reference temperature that a stay at a steady temperature is worth.

    Parameters
    ----------
    minutes : float or array
        Time spent, 0 or more. [min]
    temp_c : float or array
        Steady temperature, -60 to 200. [°C]
    ref_c, z_c : float
        As for ``lethal_rate``. [°C]

    Returns
    -------
    float or array
        [min at ``ref_c``]

    Notes
    -----
    Source: ``bigelow-1921``.

    Examples
    --------
    >>> round(equivalent_minutes(30, 62.8, ref_c=70, z_c=7.5), 2)
    3.29
    """
    check_range("minutes", minutes, at_least=0)
    found = np.asarray(minutes, dtype=float) * lethal_rate(temp_c, ref_c, z_c)
    return float(found) if np.ndim(found) == 0 else found


def trace_minutes(
    time_min: ArrayLike,
    temp_c: ArrayLike,
    ref_c: float,
    z_c: float,
    *,
    credit_from_c: float | None = None,
    max_gap_min: float = math.inf,
) -> float:
    """Return the minutes at the reference temperature that a whole trace is worth.

    Between two readings the temperature is taken as a straight line, and the sum over it is exact.
    A missing reading gives no credit on either side of it: what was not measured did not happen.

    Parameters
    ----------
    time_min : array of shape (n,)
        Strictly rising. [min]
    temp_c : array of shape (n,)
        Core temperature; NaN marks a gap. [°C]
    ref_c, z_c : float
        As for ``lethal_rate``. [°C]
    credit_from_c : float, optional
        Nothing below this temperature counts. [°C]
    max_gap_min : float
        An interval longer than this gives no credit, above 0. [min]

    Returns
    -------
    float
        [min at ``ref_c``]

    Raises
    ------
    BadData
        If the two columns do not match or time does not rise.

    Notes
    -----
    Source: ``bigelow-1921``.

    Examples
    --------
    >>> round(trace_minutes([0, 30], [50, 65], ref_c=70, z_c=7.5), 4)
    1.3895
    """
    _check_reference(ref_c, z_c)
    pieces = _pieces(time_min, temp_c, [] if credit_from_c is None else [credit_from_c], max_gap_min)
    if credit_from_c is not None:
        pieces = pieces[:, 0.5 * (pieces[1] + pieces[2]) >= credit_from_c]
    return float(np.sum(_worth(pieces, ref_c, z_c)))


def held_minutes(
    time_min: ArrayLike, temp_c: ArrayLike, at_least_c: float, *, max_gap_min: float = math.inf
) -> float:
    """Return the longest unbroken stretch at or above a temperature.

    Reaching a temperature is not holding it: a rule that names both needs both.

    Parameters
    ----------
    time_min, temp_c : arrays of shape (n,)
        As for ``trace_minutes``; a gap breaks the stretch. [min, °C]
    at_least_c : float
        [°C]
    max_gap_min : float
        An interval longer than this breaks the stretch, above 0. [min]

    Returns
    -------
    float
        0 if the temperature was never reached, or only touched. [min]

    Raises
    ------
    BadData
        If the two columns do not match or time does not rise.

    Examples
    --------
    >>> held_minutes([0, 10, 20, 30], [50, 60, 60, 50], at_least_c=55)
    20.0
    """
    check_range("at_least_c", at_least_c, at_least=-60, at_most=200)
    pieces = _pieces(time_min, temp_c, [at_least_c], max_gap_min)
    longest, current, last_end = 0.0, 0.0, -math.inf
    for minutes, start_c, end_c, start_min in pieces.T:
        if min(start_c, end_c) < at_least_c - 1e-9:
            continue
        joined = start_min <= last_end + 1e-9
        current = current + minutes if joined else minutes
        last_end = start_min + minutes
        longest = max(longest, current)
    return float(longest)


def log_reduction(equivalent_min: float, d_min: float) -> float:
    """Return by how many powers of ten the germs were cut.

    Parameters
    ----------
    equivalent_min : float
        Minutes at some temperature, or worth that many; 0 or more. [min]
    d_min : float
        Minutes for one power of ten at the SAME temperature, above 0. [min]

    Returns
    -------
    float
        [log10]

    Notes
    -----
    Source: ``bigelow-1921``.

    Examples
    --------
    >>> round(log_reduction(2.0, 1 / 3), 6)
    6.0
    """
    check_range("equivalent_min", equivalent_min, at_least=0)
    check_range("d_min", d_min, above=0)
    return equivalent_min / d_min


def _check_reference(ref_c: float, z_c: float) -> None:
    check_range("ref_c", ref_c, at_least=0, at_most=150)
    check_range("z_c", z_c, at_least=1, at_most=50)


def _pieces(time_min: ArrayLike, temp_c: ArrayLike, levels_c: Sequence[float], max_gap_min: float) -> Array:
    """Cut a trace at the levels and drop what a gap touches: rows of minutes, start °C, end °C, start min."""
    time, temp = np.asarray(time_min, dtype=float), np.asarray(temp_c, dtype=float)
    if time.ndim != 1 or time.shape != temp.shape:
        raise BadData("trace", f"{temp.size} temperatures for {time.size} times", "one temperature a time")
    if not np.all(np.isfinite(time)) or np.any(np.diff(time) <= 0) or np.any(np.isinf(temp)):
        raise BadData("trace", "time does not rise, or a temperature is infinite", "strictly rising minutes")
    if not max_gap_min > 0:
        raise OutOfRange("max_gap_min", max_gap_min, "above 0 min")
    start, end, start_c, end_c = time[:-1], time[1:], temp[:-1], temp[1:]
    kept = np.isfinite(start_c) & np.isfinite(end_c) & (end - start <= max_gap_min + 1e-9)
    rows = np.array([start, end, start_c, end_c])[:, kept]
    for level in levels_c:
        rows = _cut(rows, level)
    return np.array([rows[1] - rows[0], rows[2], rows[3], rows[0]])


def _cut(rows: Array, level_c: float) -> Array:
    crossing = (rows[2] - level_c) * (rows[3] - level_c) < 0
    if not np.any(crossing):
        return rows
    across = rows[:, crossing]
    at = across[0] + (level_c - across[2]) / (across[3] - across[2]) * (across[1] - across[0])
    level = np.full(at.shape, level_c)
    before = np.array([across[0], at, across[2], level])
    after = np.array([at, across[1], level, across[3]])
    joined = np.hstack([rows[:, ~crossing], before, after])
    ordered: Array = joined[:, np.argsort(joined[0], kind="stable")]
    return ordered


def _worth(pieces: Array, ref_c: float, z_c: float) -> Array:
    """Return what each straight piece is worth, exactly: the mean of an exponential over a line."""
    rise = math.log(10) / z_c * (pieces[2] - pieces[1])
    flat = np.abs(rise) < 1e-9
    mean = np.where(flat, 1 + rise / 2, np.expm1(rise) / np.where(flat, 1.0, rise))
    worth: Array = pieces[0] * 10 ** ((pieces[1] - ref_c) / z_c) * mean
    return worth


@dataclass(frozen=True)
class Lethality:
    """What a trace is worth against one organism.

    Parameters
    ----------
    organism : str
        Key of the table.
    equivalent_min : float
        Minutes at ``ref_c`` it is worth, credit below the table included. [min]
    ref_c : float
        [°C]
    log_reduction : float
        Powers of ten: six times the share of the 6D treatment. [log10]
    within_table : float
        Of that, what was earned inside the published table's range. [log10]
    extrapolated : bool
        Whether any of the credit worth mentioning (0.01 log) was earned outside the range.
    source : str
        Key of the source.
    seen : bool
        False: the table is from memory, confirm.
    """

    organism: str
    equivalent_min: float
    ref_c: float
    log_reduction: float
    within_table: float
    extrapolated: bool
    source: str
    seen: bool


def six_d_minutes(organism: str, temp_c: ArrayLike, *, extrapolate: bool = False) -> Any:
    """Return the minutes at a steady core temperature that cut an organism to a millionth.

    Parameters
    ----------
    organism : str
        ``listeria``, ``botulinum_np_uk`` or ``botulinum_np_us``.
    temp_c : float or array
        Core temperature, within the published table unless ``extrapolate``. [°C]
    extrapolate : bool
        Go on by the formula outside the table, 40 to 130 °C. Such a value is not published: say so
        wherever it is shown.

    Returns
    -------
    float or array
        [min]

    Raises
    ------
    UnknownName
        If there is no such organism.
    OutOfRange
        If the temperature is outside the table and ``extrapolate`` was not asked for.

    Notes
    -----
    Source: ``cfa-2006`` (UK table, seen); ``fda-appendix-4`` (Listeria and US table, from memory, confirm).

    Examples
    --------
    >>> six_d_minutes("listeria", 70)
    2.0
    >>> round(six_d_minutes("listeria", 57, extrapolate=True))
    108
    """
    table = heat_table(organism)
    low, high = (40.0, 130.0) if extrapolate else (table.low_c, table.high_c)
    check_range(
        "temp_c",
        temp_c,
        at_least=low,
        at_most=high,
        likely_cause="" if extrapolate else "The published table ends there; ask to extrapolate, and say so.",
    )
    found = table.minutes(temp_c)
    return float(found) if np.ndim(found) == 0 else found


def lethality(
    time_min: ArrayLike, temp_c: ArrayLike, organism: str, *, max_gap_min: float = math.inf
) -> Lethality:
    """Return what a whole trace is worth against an organism, and how much of that is extrapolated.

    Parameters
    ----------
    time_min, temp_c : arrays of shape (n,)
        As for ``trace_minutes``; NaN marks a gap. [min, °C]
    organism : str
        ``listeria``, ``botulinum_np_uk`` or ``botulinum_np_us``.
    max_gap_min : float
        An interval longer than this gives no credit, above 0. [min]

    Raises
    ------
    UnknownName
        If there is no such organism.
    BadData
        If the two columns do not match or time does not rise.

    Notes
    -----
    Source: ``bigelow-1921`` for the sum, that of the table for the rest.

    Examples
    --------
    >>> cook = lethality([0, 30], [62.8, 62.8], "listeria")
    >>> round(cook.log_reduction, 1), cook.extrapolated
    (9.9, True)
    """
    table = heat_table(organism)
    bounds = [below for below, _ in table.steps if math.isfinite(below)]
    pieces = _pieces(time_min, temp_c, [*bounds, table.low_c, table.high_c], max_gap_min)
    middle = 0.5 * (pieces[1] + pieces[2])
    worth, lower = np.zeros(middle.shape), -math.inf
    for below, z_c in table.steps:
        here = (middle >= lower) & (middle < below)
        worth[here] = _worth(pieces[:, here], table.ref_c, z_c)
        lower = below
    inside = (middle >= table.low_c) & (middle <= table.high_c)
    per_minute = SIX_D / table.ref_minutes
    total, within = float(worth.sum()), float(worth[inside].sum())
    return Lethality(
        organism=organism,
        equivalent_min=total,
        ref_c=table.ref_c,
        log_reduction=total * per_minute,
        within_table=within * per_minute,
        extrapolated=(total - within) * per_minute > 0.01,
        source=table.source,
        seen=table.seen,
    )
