"""Inspectors: how well one tells a bone from no bone, and how far two agree."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from kit.basics.errors import BadData, OutOfRange
from kit.process.physics.numeric import check_whole

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Detection:
    """How well an inspector tells a bone from no bone.

    ``criterion`` above 0 is a cautious inspector, who misses rather than cries wolf. ``area`` is the chance
    of picking the fillet with the bone out of two. ``corrected`` says that a rate was 0 or 1 and the
    log-linear correction was used.
    """

    hit_rate: float
    false_alarm_rate: float
    d_prime: float
    criterion: float
    likelihood_ratio: float
    area: float
    corrected: bool


def detection(hits: int, misses: int, false_alarms: int, correct_rejections: int) -> Detection:
    """Return how well an inspector tells a bone from no bone, and which way they lean.

    Two inspectors with the same misses can differ: one sees badly, the other is merely too cautious.

    Parameters
    ----------
    hits, misses : int
        Pieces with a bone that were called "bone", and those that were not. [pieces]
    false_alarms, correct_rejections : int
        Clean pieces that were called "bone", and those that were not. [pieces]

    Raises
    ------
    OutOfRange
        If a count is negative or not whole, or there was no piece with, or none without, a bone.

    Notes
    -----
    Source: ``stanislaw-todorov-1999``; log-linear correction: ``hautus-1995``, used only if a rate is 0 or 1.

    Examples
    --------
    >>> found = detection(70, 30, 10, 90)
    >>> round(found.d_prime, 3), round(found.criterion, 3), found.corrected
    (1.806, 0.379, False)
    """
    counts = {
        "hits": hits,
        "misses": misses,
        "false_alarms": false_alarms,
        "correct_rejections": correct_rejections,
    }
    for name, count in counts.items():
        check_whole(name, count, at_least=0, likely_cause="These are counts of pieces, not rates.")
    signals, noise = hits + misses, false_alarms + correct_rejections
    check_whole(
        "hits + misses", signals, at_least=1, likely_cause="Without a piece with a bone no rate exists."
    )
    check_whole(
        "false_alarms + correct_rejections", noise, at_least=1, likely_cause="No clean piece was shown."
    )
    corrected = hits in (0, signals) or false_alarms in (0, noise)
    if corrected:
        hit_rate, false_rate = (hits + 0.5) / (signals + 1), (false_alarms + 0.5) / (noise + 1)
    else:
        hit_rate, false_rate = hits / signals, false_alarms / noise
    z_hit, z_false = float(special.ndtri(hit_rate)), float(special.ndtri(false_rate))
    return Detection(
        hit_rate,
        false_rate,
        z_hit - z_false,
        -0.5 * (z_hit + z_false),
        float(np.exp(0.5 * (z_false**2 - z_hit**2))),
        float(special.ndtr((z_hit - z_false) / np.sqrt(2))),
        corrected,
    )


def d_prime(hits: int, misses: int, false_alarms: int, correct_rejections: int) -> float:
    """Return d', how far apart "bone" and "no bone" look to an inspector. [-]

    0 is guessing; 1 is poor; above 3 almost nothing is missed. See :func:`detection` for the rest.

    Parameters
    ----------
    hits, misses, false_alarms, correct_rejections : int
        Counts of pieces, as in :func:`detection`. [pieces]

    Raises
    ------
    OutOfRange
        As :func:`detection`.

    Notes
    -----
    Source: ``stanislaw-todorov-1999``, with the log-linear correction of ``hautus-1995`` when needed.

    Examples
    --------
    >>> round(d_prime(25, 0, 1, 49), 4)
    3.9594
    """
    return detection(hits, misses, false_alarms, correct_rejections).d_prime


def cohen_kappa(table: ArrayLike) -> float:
    """Return Cohen's kappa: how far two inspectors agree beyond chance. [-]

    Two inspectors who pass nearly everything agree nearly always. Kappa takes that luck away.

    Parameters
    ----------
    table : square array of counts
        Rows are the first inspector's calls, columns the second's, in the same order. [pieces]

    Raises
    ------
    BadData
        If the table is not square, or holds nothing.
    OutOfRange
        If a count is negative or not whole, or kappa is undefined because both used one category only.

    Notes
    -----
    Source: ``cohen-1960``.

    Examples
    --------
    >>> round(cohen_kappa([[20, 5], [10, 15]]), 3)
    0.4
    """
    counts = np.asarray(table, dtype=float)
    if counts.ndim != 2 or counts.shape[0] != counts.shape[1] or counts.shape[0] < 2:
        raise BadData(
            "kappa table", f"its shape is {counts.shape}", "a square table of two or more categories"
        )
    check_whole("table", counts, at_least=0, likely_cause="These are counts of pieces, not shares.")
    total = counts.sum()
    if total == 0:
        raise BadData("kappa table", "it holds no piece", "at least one piece judged by both")
    observed = float(np.trace(counts) / total)
    expected = float(counts.sum(axis=0) @ counts.sum(axis=1) / total**2)
    return _beyond_chance(observed, expected)


def fleiss_kappa(table: Sequence[Sequence[int]] | Array) -> float:
    """Return Fleiss' kappa for several inspectors. [-]

    Parameters
    ----------
    table : array of counts
        One row a piece, one column a category: how many inspectors chose it. Every row has the same sum,
        2 or more. [inspectors]

    Raises
    ------
    BadData
        If the rows do not have one sum of 2 or more.
    OutOfRange
        If a count is negative or not whole, or all calls fell into one category.

    Notes
    -----
    Source: ``fleiss-1971``.

    Examples
    --------
    >>> round(fleiss_kappa([[3, 0], [2, 1], [0, 3], [1, 2]]), 3)
    0.333
    """
    counts = np.asarray(table, dtype=float)
    if counts.ndim != 2 or counts.size == 0:
        raise BadData("kappa table", f"its shape is {counts.shape}", "one row a piece, one column a category")
    check_whole("table", counts, at_least=0, likely_cause="These are counts of inspectors.")
    raters = counts.sum(axis=1)
    if raters[0] < 2 or np.any(raters != raters[0]):
        raise BadData(
            "kappa table", "rows have different sums, or below 2", "every piece judged by the same number"
        )
    agreement = float(np.mean((np.sum(counts**2, axis=1) - raters) / (raters * (raters - 1))))
    expected = float(np.sum((counts.sum(axis=0) / counts.sum()) ** 2))
    return _beyond_chance(agreement, expected)


def _beyond_chance(observed: float, expected: float) -> float:
    if 1 - expected < 1e-12:
        raise OutOfRange(
            "agreement expected by chance",
            expected,
            "below 1",
            "Everyone used one category only, so kappa is undefined: show them pieces of both kinds.",
        )
    return (observed - expected) / (1 - expected)
