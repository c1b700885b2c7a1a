"""How fast Listeria can grow in smoked fish, and how fast fresh fish spoils."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.basics.errors import OutOfRange, check_range
from kit.process.physics import salt
from kit.process.physics.numeric import Band, as_given
from kit.process.physics.trace import Trace

Array = NDArray[np.float64]

REFERENCE_PER_H, LOWEST_C, LOWEST_ACTIVITY, LOWEST_PH, MOST_PHENOL_PPM = 0.419, -2.83, 0.923, 4.97, 32.0
"""From memory; the rate is at 25 °C."""
BIOLOGY_FACTOR = 1.5
"""A good growth model is right within about this factor."""

FROM_MEMORY = (
    "The numbers of this growth model are from memory: confirm them before relying on it. It has no lag, so "
    "it is a ceiling. It leaves out lactate, carbon dioxide, nitrite and other germs, which all slow growth. "
    "It releases no batch: the local rule and a competent person decide."
)


@dataclass(frozen=True)
class Growth:
    """How fast Listeria monocytogenes can grow, as a ceiling without lag; every number from memory.

    ``rate_per_h`` is in natural logs. Days are bands: a factor of 1.5 either way; infinite without growth.
    ``extrapolated`` is True outside the range in which such models are checked.
    """

    rate_per_h: float
    days_per_log10: Band
    extrapolated: bool
    seen: bool = False
    note: str = FROM_MEMORY

    def days_to(self, log10: float) -> Band:
        """Return the days to a growth of so many powers of ten. [days]"""
        check_range("log10", log10, above=0)
        one = self.days_per_log10
        return Band(log10 * one.low, log10 * one.middle, log10 * one.high)


def listeria_rate(
    temp_c: ArrayLike,
    wps_pct: ArrayLike,
    ph: ArrayLike = 6.1,
    phenol_ppm: ArrayLike = 0.0,
    *,
    extrapolate: bool = False,
) -> Any:
    """Return the highest growth rate of Listeria monocytogenes in smoked fish, without lag. [1/h, in ln]

    Cold does most, salt helps, and neither stops it at the strengths people like to eat.

    Parameters
    ----------
    temp_c : float or array
        Store, -2 to 25; -20 to 35 with ``extrapolate``. Below -2.83 °C it is 0. [°C]
    wps_pct : float or array
        Water-phase salt, 0 to 8; to 26 with ``extrapolate``. [g per 100 g of salt + water]
    ph : float or array
        5.0 to 7.7. [-]
    phenol_ppm : float or array
        Smoke phenols in the flesh, 0 to 32. Not counting them is the cautious choice. [mg/kg]
    extrapolate : bool
        Go beyond the range in which such models are checked.

    Notes
    -----
    Source: ``memory-listeria`` (after Mejlholm and Dalgaard): square-root in temperature, linear in water
    activity, with pH and phenol. All numbers from memory.

    Examples
    --------
    >>> round(listeria_rate(4, 3.5), 5)
    0.01716
    """
    cold, hot, salty = (-20.0, 35.0, 26.0) if extrapolate else (-2.0, 25.0, 8.0)
    cause = "Growth models are checked from -2 to 25 °C and to 8 % salt. Ask for extrapolate=True to go on."
    check_range("temp_c", temp_c, at_least=cold, at_most=hot, likely_cause=cause)
    check_range("wps_pct", wps_pct, at_least=0, at_most=salty, likely_cause=cause)
    check_range("ph", ph, at_least=5.0, at_most=7.7, likely_cause="Smoked fish has a pH near 6.1.")
    check_range("phenol_ppm", phenol_ppm, at_least=0, at_most=MOST_PHENOL_PPM)
    warm = np.maximum(np.asarray(temp_c, dtype=float) - LOWEST_C, 0) / (25 - LOWEST_C)
    activity = np.asarray(salt.water_activity(wps_pct))
    wet = np.maximum(activity - LOWEST_ACTIVITY, 0) / (1 - LOWEST_ACTIVITY)
    sour = np.maximum(1 - 10 ** (LOWEST_PH - np.asarray(ph, dtype=float)), 0)
    smoky = ((MOST_PHENOL_PPM - np.asarray(phenol_ppm, dtype=float)) / MOST_PHENOL_PPM) ** 2
    return as_given(REFERENCE_PER_H * warm**2 * wet * sour * smoky)


def listeria_growth(
    temp_c: float, wps_pct: float, ph: float = 6.1, phenol_ppm: float = 0.0, *, extrapolate: bool = False
) -> Growth:
    """Return how fast Listeria can grow in a store at one temperature, with its doubt and its flag.

    Parameters
    ----------
    temp_c, wps_pct, ph, phenol_ppm, extrapolate
        As in :func:`listeria_rate`.

    Notes
    -----
    Source: ``memory-listeria``.

    Examples
    --------
    >>> store = listeria_growth(4, 3.5)
    >>> round(store.days_to(2).middle, 1), store.seen
    (11.2, False)
    """
    rate = float(listeria_rate(temp_c, wps_pct, ph, phenol_ppm, extrapolate=extrapolate))
    days = float(np.log(10)) / rate / 24 if rate > 0 else float("inf")
    outside = not (-2 <= temp_c <= 25 and wps_pct <= 8)
    return Growth(rate, Band(days / BIOLOGY_FACTOR, days, days * BIOLOGY_FACTOR), outside)


def listeria_log10(
    trace: Trace, wps_pct: float, ph: float = 6.1, phenol_ppm: float = 0.0, *, extrapolate: bool = False
) -> float:
    """Return the growth of Listeria over a temperature record, in powers of ten, without lag. [log10]

    Parameters
    ----------
    trace : Trace
        Core temperatures of a store, without gaps.
    wps_pct, ph, phenol_ppm, extrapolate
        As in :func:`listeria_rate`.

    Raises
    ------
    OutOfRange
        If the record has a gap, or a number is outside its range.

    Notes
    -----
    Source: ``memory-listeria``. Straight lines between rows; the rate is averaged over each.

    Examples
    --------
    >>> week = Trace(np.array([0.0, 7 * 1440.0]), np.array([4.0, 4.0]))
    >>> round(listeria_log10(week, 3.5), 2)
    1.25
    """
    cause = "A gap is never filled in: judge the time without readings as unknown."
    check_range("core_c", trace.core_c, likely_cause=cause)
    fine = _with_middles(trace)
    rate = listeria_rate(fine[1], wps_pct, ph, phenol_ppm, extrapolate=extrapolate)
    return float(np.trapezoid(rate, fine[0]) / 60 / np.log(10))


def spoilage_rate(temp_c: ArrayLike) -> Any:
    """Return how many times faster fresh fish spoils than on melting ice. [-]

    Four times faster at 10 °C: a day on the bench is four days of its life.

    Parameters
    ----------
    temp_c : float or array
        -3 to 15. [°C]

    Notes
    -----
    Source: ``square-root-spoilage``: (1 + 0.1 T)², fresh fish of temperate waters. Not established for
    hot-smoked or vacuum-packed fish: there it is an analogy.

    Examples
    --------
    >>> spoilage_rate(10)
    4.0
    """
    check_range("temp_c", temp_c, at_least=-3, at_most=15, likely_cause="The rule is for chilled fresh fish.")
    return as_given((1 + 0.1 * np.asarray(temp_c, dtype=float)) ** 2)


def ice_days(trace: Trace) -> float:
    """Return the days on ice that a temperature record has used up. [days]

    Times add: an hour at 10 °C and an hour at 0 °C use five hours of life on ice.

    Parameters
    ----------
    trace : Trace
        Core temperatures between -3 and 15 °C, without gaps.

    Raises
    ------
    OutOfRange
        If the record has a gap, or leaves the range.

    Notes
    -----
    Source: ``square-root-spoilage``.

    Examples
    --------
    >>> ice_days(Trace(np.array([0.0, 1440.0]), np.array([5.0, 5.0])))
    2.25
    """
    check_range("core_c", trace.core_c, likely_cause="A gap is never filled in.")
    fine = _with_middles(trace)
    return float(np.trapezoid(spoilage_rate(fine[1]), fine[0]) / 1440)


def days_left(trace: Trace, life_on_ice_days: float, store_c: float) -> float:
    """Return the days a fresh fish has left in a store, after what it has been through. [days]

    Parameters
    ----------
    trace : Trace
        Its record so far.
    life_on_ice_days : float
        Life on melting ice of that fish, above 0 and up to 40; from your own experience. [days]
    store_c : float
        Temperature from now on, -3 to 15. [°C]

    Notes
    -----
    Source: ``square-root-spoilage``.

    Examples
    --------
    >>> days_left(Trace(np.array([0.0, 1440.0]), np.array([5.0, 5.0])), 12, 0)
    9.75
    """
    check_range("life_on_ice_days", life_on_ice_days, above=0, at_most=40)
    return max(0.0, life_on_ice_days - ice_days(trace)) / float(spoilage_rate(store_c))


def _with_middles(trace: Trace) -> tuple[Array, Array]:
    """Return the record with points added, so that a curved rate is summed well along each straight line."""
    if trace.time_min.size < 2:
        raise OutOfRange("rows in the trace", int(trace.time_min.size), "2 or more")
    steps = np.maximum(1, np.ceil(np.abs(np.diff(trace.core_c)) / 0.5)).astype(int)
    first = np.cumsum(steps) - steps
    row = np.repeat(np.arange(steps.size), steps)
    place = np.append(row + (np.arange(row.size) - first[row]) / steps[row], steps.size)
    rows = np.arange(trace.time_min.size, dtype=float)
    return np.interp(place, rows, trace.time_min), np.interp(place, rows, trace.core_c)
