"""Smoke: how fast chips burn, how hot they make it, and what the air of the room adds up to."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.basics.errors import BadData, OutOfRange, check_range
from kit.process.physics.numeric import Band, as_given

Array = NDArray[np.float64]

SMOULDER_LOW_KG_M2_H = 0.0014 * 0.2038 * 36_000
SMOULDER_HIGH_KG_M2_H = 0.0018 * 0.2343 * 36_000
"""Speed of the front [cm/s] times density of the bed [g/cm³], slowest and fastest published run."""

CAUTION = (
    "A sum, not a measurement. If the alarm sounds or a head aches: everyone out, ventilate, call for help. "
    "Local law sets the limit; a competent person judges the room."
)


def burn_rate(tray_area_cm2: float) -> Band:
    """Return how fast a smouldering tray of chips or dust burns, as a band. [g/h]

    The glow eats into the bed at a walking snail's pace: 100 cm² burns 100 to 150 g an hour. Forced air, or
    flames, burn far more and make poor smoke.

    Parameters
    ----------
    tray_area_cm2 : float
        Area that glows, 1 to 10,000. [cm²]

    Notes
    -----
    Source: ``smoulder-pine-flour``: front 0.0014 to 0.0018 cm/s in beds of 0.204 to 0.234 g/cm³. Your
    chips may differ by a factor of 1.5: weigh the tray before and after.

    Examples
    --------
    >>> rate = burn_rate(100)
    >>> round(rate.low), round(rate.high)
    (103, 152)
    """
    check_range("tray_area_cm2", tray_area_cm2, at_least=1, at_most=10_000, likely_cause="Is it in cm²?")
    area_m2 = tray_area_cm2 / 10_000
    return Band.around(1000 * SMOULDER_LOW_KG_M2_H * area_m2, 1000 * SMOULDER_HIGH_KG_M2_H * area_m2)


def chips_for(smoke_min: float, tray_area_cm2: float, moisture_dry_pct: float = 0.0) -> Band:
    """Return the chips to weigh for a time of smoke, as a band. [g]

    Parameters
    ----------
    smoke_min : float
        Time of smoke, 0 to 2880. [min]
    tray_area_cm2 : float
        Area that glows, 1 to 10,000. [cm²]
    moisture_dry_pct : float
        Water in the chips, 0 to 60: only the dry wood burns. [g per 100 g dry wood]

    Notes
    -----
    Source: ``smoulder-pine-flour``, ``definition``.

    Examples
    --------
    >>> need = chips_for(90, 150, moisture_dry_pct=12)
    >>> round(need.low), round(need.high)
    (259, 383)
    """
    check_range("smoke_min", smoke_min, at_least=0, at_most=2880)
    check_range("moisture_dry_pct", moisture_dry_pct, at_least=0, at_most=60, likely_cause="Soaked chips?")
    rate, wetter = burn_rate(tray_area_cm2), 1 + moisture_dry_pct / 100
    return Band(*(per_hour * smoke_min / 60 * wetter for per_hour in (rate.low, rate.middle, rate.high)))


def smoke_minutes(chips_g: float, tray_area_cm2: float, moisture_dry_pct: float = 0.0) -> Band:
    """Return how long a weight of chips smokes, as a band; the low end is the fast burn. [min]

    Parameters
    ----------
    chips_g : float
        Chips with their water, 0 to 100,000. [g]
    tray_area_cm2 : float
        Area that glows, 1 to 10,000. [cm²]
    moisture_dry_pct : float
        Water in the chips, 0 to 60. [g per 100 g dry wood]

    Notes
    -----
    Source: ``smoulder-pine-flour``, ``definition``.

    Examples
    --------
    >>> lasts = smoke_minutes(320, 150, moisture_dry_pct=12)
    >>> round(lasts.low), round(lasts.high)
    (75, 111)
    """
    check_range("chips_g", chips_g, at_least=0, at_most=100_000, likely_cause="Is it in grams?")
    check_range("moisture_dry_pct", moisture_dry_pct, at_least=0, at_most=60, likely_cause="Soaked chips?")
    rate, dry_g = burn_rate(tray_area_cm2), chips_g / (1 + moisture_dry_pct / 100)
    return Band(*(dry_g / per_hour * 60 for per_hour in (rate.high, rate.middle, rate.low)))


SMOKE_SHARE = (0.05, 0.20)
"""Share of the dry wood that leaves a smoulder as tar and fine drops; from memory, confirm. [1]"""
USUAL_TRAY_CM2, USUAL_FRESH_M3_H = 80.0, 33.0
"""The usual tray, and fresh air of a small kiln whose vents are a third open; ours. [cm²], [m³/h]"""
GOLD_MIN = (15.0, 25.0, 35.0)
"""Minutes of that smoke to a light gold on a set pellicle; common practice, no source. [min]"""


def smoke_density(tray_area_cm2: float, fresh_air_m3_h: float) -> Band:
    """Return how much smoke hangs in a cabinet once as much leaves as is made, as a band. [g/m³]

    Twice the glow makes it twice as dense, twice the fresh air half as dense. What settles on walls and fish
    is left out, so the truth is rather at the low end.

    Parameters
    ----------
    tray_area_cm2 : float
        Area that glows, 1 to 10,000. [cm²]
    fresh_air_m3_h : float
        Air that passes through the cabinet, above 0 to 10,000. [m³/h]

    Notes
    -----
    Source: ``smoulder-pine-flour`` for the burn, ``definition`` (in = out); the share of the wood that
    becomes smoke is from memory: confirm.

    Examples
    --------
    >>> dense = smoke_density(80, 33)
    >>> round(dense.low, 2), round(dense.high, 2)
    (0.12, 0.74)
    """
    check_range("fresh_air_m3_h", fresh_air_m3_h, above=0, at_most=10_000)
    rate = burn_rate(tray_area_cm2)
    low, high = (share / fresh_air_m3_h for share in SMOKE_SHARE)
    return Band.around(rate.low * low, rate.high * high)


def colour_minutes(tray_area_cm2: float, fresh_air_m3_h: float) -> Band:
    """Return how long until a dry face is a light gold, as a band: the denser the smoke, the sooner. [min]

    Colour is taken to go with density times minutes. A wet face takes colour badly, and streaks: this is for
    a set pellicle. Look at the fish, not at the clock alone.

    Parameters
    ----------
    tray_area_cm2, fresh_air_m3_h : float
        As in :func:`smoke_density`. [cm²], [m³/h]

    Notes
    -----
    Source: ``definition``; the minutes of the usual smoke are common practice, no source.

    Examples
    --------
    >>> usual, twice = colour_minutes(80, 33), colour_minutes(160, 33)
    >>> (usual.low, usual.high), (twice.low, twice.high)
    ((15.0, 35.0), (7.5, 17.5))
    """
    check_range("fresh_air_m3_h", fresh_air_m3_h, above=0, at_most=10_000)
    usual = smoke_density(USUAL_TRAY_CM2, USUAL_FRESH_M3_H).middle
    times = usual / smoke_density(tray_area_cm2, fresh_air_m3_h).middle
    return Band(*(minutes * times for minutes in GOLD_MIN))


@dataclass(frozen=True)
class SmokeQuality:
    """What a generation temperature does: tarry PAH [relative to 400 °C] and useful smoke [to 350 °C].

    ``seen`` is False where the figures are from memory; ``extrapolated`` is True outside the published range.
    """

    generation_c: float
    benzo_a_pyrene_ug_100g_sawdust: float
    pah_relative: float
    useful_relative: float
    extrapolated: bool
    seen: bool = False
    note: str = (
        "Benzo[a]pyrene against temperature is from memory: a direction, not a limit. Measure the fish."
    )


def smoke_quality(generation_c: float, *, extrapolate: bool = False) -> SmokeQuality:
    """Return what the temperature of the glow does to the smoke: hotter is dirtier and weaker.

    Aim near 400 °C. Every flare-up, draught or dry pile pushes it up, and carcinogens with it.

    Parameters
    ----------
    generation_c : float
        Temperature where the smoke is made, 400 to 500; with ``extrapolate`` 300 to 1000. [°C]
    extrapolate : bool
        Go beyond the range where both published trends hold.

    Notes
    -----
    Source: ``toth-blaas-1972`` (from memory): benzo[a]pyrene 5 to 20 µg per 100 g sawdust, in line from 400
    to 1000 °C; ``smoke-condensate``: useful components fall by 35 % over 150 K between 350 and 500 °C.

    Examples
    --------
    >>> hot = smoke_quality(500)
    >>> round(hot.pah_relative, 2), round(hot.useful_relative, 2), hot.seen
    (1.5, 0.65, False)
    """
    low, high = (300.0, 1000.0) if extrapolate else (400.0, 500.0)
    cause = "Both published trends hold from 400 to 500 °C. Ask for extrapolate=True to go on."
    check_range("generation_c", generation_c, at_least=low, at_most=high, likely_cause=cause)
    sawdust = max(0.0, 5 + 15 * (generation_c - 400) / 600)
    useful = max(0.0, 1 - 0.35 * (generation_c - 350) / 150)
    return SmokeQuality(generation_c, sawdust, sawdust / 5, useful, not 400 <= generation_c <= 500)


@dataclass(frozen=True)
class PublishedPah:
    """A published measurement of PAH in smoked fish. [µg/kg]"""

    what: str
    benzo_a_pyrene_ug_kg: float
    pah4_ug_kg: float
    source: str


PUBLISHED_PAH = (PublishedPah("mean of 80 smoked fish, Finland 2012", 0.7, 3.9, "finland-pah-2012"),)
"""What was found in real fish. Hotter generation and less than 5 m from fire to fish gave more."""


def ppm_to_mg_m3(ppm: ArrayLike, temp_c: float = 20.0) -> Any:
    """Return carbon monoxide in mg/m³ from ppm, at 101.325 kPa. [mg/m³]

    Parameters
    ----------
    ppm : float or array
        Carbon monoxide by volume, 0 to 1,000,000. [ppm]
    temp_c : float
        Air temperature, -30 to 60. [°C]

    Notes
    -----
    Source: ``definition``: ideal gas, 28.010 g/mol.

    Examples
    --------
    >>> round(ppm_to_mg_m3(20))
    23
    """
    check_range("ppm", ppm, at_least=0, at_most=1e6)
    check_range("temp_c", temp_c, at_least=-30, at_most=60)
    return as_given(np.asarray(ppm, dtype=float) * 28.010e-3 * 101325 / (8.314462 * (temp_c + 273.15)))


@dataclass(frozen=True)
class Exposure:
    """Carbon monoxide breathed in: highest 8-hour and 15-minute mean, shift mean over 8 hours, peak. [ppm]

    ``shift_ppm`` spreads the whole log over 8 hours: above ``eight_hour_ppm`` if the log is longer than that.
    Time before and after the log counts as clean air, which a log must deserve.
    """

    eight_hour_ppm: float
    fifteen_min_ppm: float
    shift_ppm: float
    peak_ppm: float
    caution: str = CAUTION


def exposure(time_min: ArrayLike, ppm: ArrayLike) -> Exposure:
    """Return what a log of carbon monoxide adds up to: the highest mean over 8 hours and over 15 minutes.

    Limits are set for both: a long faint leak and a short thick cloud are two ways to be poisoned. The gas
    has no smell. This is a sum of readings, never a reason to stay in a room.

    Parameters
    ----------
    time_min : array
        Rising times of the readings, no more than 15 minutes apart. [min]
    ppm : array
        Readings where the person breathes, 0 to 10,000; straight lines between them. [ppm]

    Raises
    ------
    BadData
        If times do not rise, lengths differ, or there are fewer than two readings.
    OutOfRange
        If a reading is missing or outside its range, or two are more than 15 minutes apart.

    Notes
    -----
    Source: ``definition``: time-weighted means. Limits are rules data and differ from land to land.

    Examples
    --------
    >>> log = exposure([0, 10, 20, 30], [0, 120, 120, 0])
    >>> round(log.eight_hour_ppm, 1), round(log.fifteen_min_ppm, 1), log.peak_ppm
    (5.0, 115.0, 120.0)
    """
    time, level = np.asarray(time_min, dtype=float), np.asarray(ppm, dtype=float)
    if time.ndim != 1 or time.shape != level.shape or time.size < 2:
        raise BadData(
            "carbon monoxide log", f"{time.size} times and {level.size} readings", "two or more of each"
        )
    check_range("time_min", time)
    check_range("ppm", level, at_least=0, at_most=10_000, likely_cause="Is a reading missing, or in mg/m³?")
    apart = np.diff(time)
    if np.any(apart <= 0):
        raise BadData("carbon monoxide log", "time does not rise from row to row", "strictly rising minutes")
    if np.any(apart > 15):
        cause = "A 15-minute mean cannot be known from such readings: log every minute."
        raise OutOfRange("minutes between readings", float(apart.max()), "15 or less", cause)
    total = np.concatenate([[0.0], np.cumsum(apart * (level[1:] + level[:-1]) / 2)])
    return Exposure(
        _highest_sum(time, level, total, 480.0) / 480,
        _highest_sum(time, level, total, 15.0) / 15,
        float(total[-1]) / 480,
        float(level.max()),
    )


def _highest_sum(time: Array, level: Array, total: Array, window_min: float) -> float:
    """Return the largest ppm-minutes in any window; it begins at a reading, or where both ends read alike."""

    def reading(at: Array) -> Array:
        return np.interp(at, time, level, left=0.0, right=0.0)

    def summed(at: Array) -> Array:
        index = np.clip(np.searchsorted(time, at, side="right") - 1, 0, time.size - 2)
        inside = np.clip(at, time[0], time[-1]) - time[index]
        slope = (level[index + 1] - level[index]) / (time[index + 1] - time[index])
        return np.asarray(total[index] + inside * (level[index] + slope * inside / 2))

    starts = np.unique(np.concatenate([time, time - window_min]))
    nudge = 1e-9 * np.diff(starts)
    left, right = starts[:-1] + nudge, starts[1:] - nudge
    gain_left, gain_right = (reading(at + window_min) - reading(at) for at in (left, right))
    crosses = gain_left * gain_right < 0
    share = gain_left[crosses] / (gain_left[crosses] - gain_right[crosses])
    starts = np.concatenate([starts, left[crosses] + share * (right - left)[crosses]])
    return float(np.max(summed(starts + window_min) - summed(starts)))
