"""Curves through a learner's own weighings of curing fish, with the doubt that belongs to them."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.basics.errors import BadData, check_range
from kit.process.physics import brine
from kit.process.physics.numeric import Band, as_given

Array = NDArray[np.float64]

WATER_PER_SALT = 2.5
"""Grams of water out for a gram of salt in, dry salting: 2 to 3, from memory. Measure your own."""


def first_order(hours: ArrayLike, start: float, end: float, rate_per_h: float) -> Any:
    """Return a quantity that walks from a start towards an end, ever slower. [unit of start and end]

    Parameters
    ----------
    hours : float or array
        0 or more. [h]
    start, end : float
        Salt or water at the start and after a very long time. [any unit]
    rate_per_h : float
        Above 0. [1/h]

    Notes
    -----
    Source: ``zugarramurdi-lupin-1980``: X = X0 exp(-kt) + Xe (1 - exp(-kt)).

    Examples
    --------
    >>> round(first_order(4.5, 0.005, 0.20, 0.05), 5)
    0.04429
    """
    check_range("hours", hours, at_least=0)
    check_range("start and end", [start, end])
    check_range("rate_per_h", rate_per_h, above=0)
    fading = np.exp(-rate_per_h * np.asarray(hours, dtype=float))
    return as_given(start * fading + end * (1 - fading))


def peleg(hours: ArrayLike, start: float, k1: float, k2: float) -> Any:
    """Return a quantity that starts at a rate 1/k1 and levels off 1/k2 above its start. [unit of start]

    Parameters
    ----------
    hours : float or array
        0 or more. [h]
    start : float
        At the start. [any unit]
    k1, k2 : float
        Above 0; or both below 0 for a loss. [h per unit, 1 per unit]

    Raises
    ------
    OutOfRange
        If a number is missing or outside its range, or k1 and k2 differ in sign.

    Notes
    -----
    Source: ``peleg-1988``: M = M0 + t / (k1 + k2 t).

    Examples
    --------
    >>> round(peleg(4.5, 0.005, 60, 4), 5)
    0.06269
    """
    check_range("hours", hours, at_least=0)
    check_range("start, k1 and k2", [start, k1, k2])
    check_range(
        "k1 * k2", k1 * k2, above=0, likely_cause="Both are above 0 for a gain, both below 0 for a loss."
    )
    time = np.asarray(hours, dtype=float)
    return as_given(start + time / (k1 + k2 * time))


@dataclass(frozen=True)
class Fit:
    """A fitted curve: each number as a band (95 %), what the points scatter by, and how much to trust it.

    ``trusted`` is False if the weighings stop before the curve bends, so that its end is a guess.
    """

    form: str
    numbers: dict[str, Band]
    scatter: float
    points: int
    longest_h: float
    trusted: bool
    why: str

    def at(self, hours: ArrayLike, *, extrapolate: bool = False) -> Any:
        """Return the fitted curve at a time; beyond the last weighing only with ``extrapolate``.

        Raises
        ------
        OutOfRange
            If a time is negative or missing, or beyond the last weighing without ``extrapolate``.
        """
        cause = "There is no weighing beyond that. Ask for extrapolate=True to go on."
        check_range(
            "hours", hours, at_least=0, at_most=None if extrapolate else self.longest_h, likely_cause=cause
        )
        middles = [band.middle for band in self.numbers.values()]
        return (first_order if self.form == "first order" else peleg)(hours, *middles)


def fit_first_order(hours: ArrayLike, values: ArrayLike) -> Fit:
    """Return the first-order curve through your own weighings, with 95 % bands.

    Parameters
    ----------
    hours : array
        Times of the weighings, 4 or more different ones. [h]
    values : array
        Salt, water or weight at those times, any one unit.

    Raises
    ------
    BadData
        If there are too few weighings, they do not change, or no curve can be found.
    OutOfRange
        If a time is negative or a number missing.

    Notes
    -----
    Source: ``zugarramurdi-lupin-1980``; fitted by SciPy's least squares, Student's t for the bands.

    Examples
    --------
    >>> t = np.array([0, 1, 2, 4, 8, 16])
    >>> found = fit_first_order(t, first_order(t, 0.5, 12, 0.2))
    >>> round(found.numbers["rate_per_h"].middle, 4), found.trusted
    (0.2, True)
    """
    time, value = _checked(hours, values)
    slope = max(1 / (time.max() / 2), 1e-6)

    def curve(t: Array, start: float, end: float, rate: float) -> Array:
        return np.asarray(start * np.exp(-rate * t) + end * (1 - np.exp(-rate * t)))

    bounds = ([-np.inf, -np.inf, 1e-6], [np.inf, np.inf, 1e3])
    guess = [value[0], value[-1], slope]
    numbers, scatter = _fit(curve, ("start", "end", "rate_per_h"), time, value, guess, bounds)
    bend = numbers["rate_per_h"].middle * time.max()
    return _fitted("first order", numbers, scatter, time, bool(bend > 1))


def fit_peleg(hours: ArrayLike, values: ArrayLike) -> Fit:
    """Return Peleg's curve through your own weighings, with 95 % bands.

    Parameters
    ----------
    hours : array
        Times of the weighings, 4 or more different ones. [h]
    values : array
        Salt, water or weight at those times, any one unit.

    Raises
    ------
    BadData
        If there are too few weighings, they do not change, or no curve can be found.
    OutOfRange
        If a time is negative or a number missing.

    Notes
    -----
    Source: ``peleg-1988``; fitted by SciPy's least squares, Student's t for the bands.

    Examples
    --------
    >>> t = np.array([0, 1, 2, 4, 8, 16])
    >>> found = fit_peleg(t, peleg(t, 0.5, 0.6, 0.08))
    >>> round(found.numbers["k1"].middle, 4), round(found.numbers["k2"].middle, 4)
    (0.6, 0.08)
    """
    time, value = _checked(hours, values)
    gain = value[-1] - value[0]
    sign = 1.0 if gain > 0 else -1.0
    low, high = (1e-9, np.inf) if gain > 0 else (-np.inf, -1e-9)

    def curve(t: Array, start: float, k1: float, k2: float) -> Array:
        return np.asarray(start + t / (k1 + k2 * t))

    guess = [value[0], sign * time.max() / (2 * abs(gain)), sign / (2 * abs(gain))]
    bounds = ([-np.inf, low, low], [np.inf, high, high])
    numbers, scatter = _fit(curve, ("start", "k1", "k2"), time, value, guess, bounds)
    bend = numbers["k2"].middle * time.max() / numbers["k1"].middle
    return _fitted("Peleg", numbers, scatter, time, bool(bend > 0.5))


def _fitted(form: str, numbers: dict[str, Band], scatter: float, time: Array, bent: bool) -> Fit:
    why = "" if bent else "The weighings stop before the curve bends: its end is a guess. Weigh for longer."
    return Fit(form, numbers, scatter, time.size, float(time.max()), bent, why)


def _checked(hours: ArrayLike, values: ArrayLike) -> tuple[Array, Array]:
    time, value = np.asarray(hours, dtype=float), np.asarray(values, dtype=float)
    if time.ndim != 1 or time.shape != value.shape:
        raise BadData("weighings", f"{time.size} times and {value.size} values", "one value for each time")
    check_range("hours", time, at_least=0)
    check_range("values", value, likely_cause="Is a weighing missing?")
    order = np.argsort(time)
    time, value = time[order], value[order]
    if np.unique(time).size < 4:
        raise BadData("weighings", f"{np.unique(time).size} different times", "4 or more")
    if abs(value[-1] - value[0]) <= 1e-9 * max(1.0, float(np.abs(value).max())):
        raise BadData("weighings", "the last is the same as the first", "a change to fit")
    return time, value


def _fit(
    curve: Callable[..., Array],
    names: tuple[str, ...],
    time: Array,
    value: Array,
    guess: list[float],
    bounds: tuple[list[float], list[float]],
) -> tuple[dict[str, Band], float]:
    import warnings

    from scipy.optimize import OptimizeWarning, curve_fit
    from scipy.special import stdtrit

    size = max(float(np.ptp(value)), 1e-12)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", OptimizeWarning)
            found, spread = curve_fit(
                curve, time, value, p0=guess, bounds=bounds, max_nfev=4000, x_scale="jac"
            )
    except (RuntimeError, OptimizeWarning) as problem:
        raise BadData("weighings", "no curve of this form fits", "values that level off") from problem
    scatter = float(np.sqrt(np.mean((curve(time, *found) - value) ** 2)))
    wide = float(stdtrit(max(time.size - 3, 1), 0.975)) * np.sqrt(np.diag(spread))
    if not np.all(np.isfinite(wide)) or scatter > 0.5 * size:
        raise BadData("weighings", "no curve of this form fits", "values that level off")
    bands = {
        name: Band(float(at - off), float(at), float(at + off))
        for name, at, off in zip(names, found, wide, strict=True)
    }
    return bands, scatter


def water_per_salt(mass_before_g: float, mass_after_g: float, salt_taken_g: float) -> float:
    """Return how many grams of water a fish gave up for each gram of salt it took: r, from two weighings.

    The one number of the cure that a class can measure in a day. Books say 2 to 3 for dry salt.

    Parameters
    ----------
    mass_before_g, mass_after_g : float
        Fish before and after curing, wiped dry, above 0. [g]
    salt_taken_g : float
        Salt now in it, above 0: weighed in less weighed out, or by analysis. [g]

    Raises
    ------
    OutOfRange
        If a number is missing or outside its range, or the balance is impossible.

    Notes
    -----
    Source: ``definition``: after = before + salt - water.

    Examples
    --------
    >>> round(water_per_salt(1200, 1164, 24), 2)
    2.5
    """
    check_range("mass_before_g", mass_before_g, above=0)
    check_range("mass_after_g", mass_after_g, above=0)
    check_range("salt_taken_g", salt_taken_g, above=0)
    ratio = (mass_before_g + salt_taken_g - mass_after_g) / salt_taken_g
    cause = "Was the brine weighed with the fish, or salt left in the tray not taken off?"
    check_range("water per salt", ratio, at_least=-3, at_most=20, likely_cause=cause)
    return ratio


@dataclass(frozen=True)
class Balance:
    """What a cure weighs: salt in, water out, mass after [g]; loss and salt in it [%]."""

    salt_g: float
    water_out_g: float
    mass_g: float
    loss_pct: float
    salt_pct: float


def mass_balance(
    fish_g: float, moisture_pct: float, wps_pct: float, water_per_salt: float = WATER_PER_SALT
) -> Balance:
    """Return what a fish weighs once its mean water-phase salt has been reached by curing.

    Parameters
    ----------
    fish_g : float
        Before, above 0. [g]
    moisture_pct : float
        Water in it, above 0 and below 100. [g per 100 g]
    wps_pct : float
        Mean after the cure, 0 to 26.395. [g per 100 g of salt + water]
    water_per_salt : float
        Grams of water out for a gram of salt in, -3 to 5. [g/g]

    Notes
    -----
    Source: ``definition``: S / (S + W - r S) = WPS / 100, and after = before + S - r S.

    Examples
    --------
    >>> after = mass_balance(1000, 71, 2.62)
    >>> round(after.salt_g, 1), round(after.loss_pct, 2), round(after.salt_pct, 2)
    (17.9, 2.68, 1.84)
    """
    check_range("fish_g", fish_g, above=0)
    check_range("moisture_pct", moisture_pct, above=0, below=100)
    check_range("wps_pct", wps_pct, at_least=0, at_most=brine.SATURATED_PCT)
    check_range("water_per_salt", water_per_salt, at_least=-3, at_most=5)
    share, water = wps_pct / 100, fish_g * moisture_pct / 100
    salt = share * water / (1 + (water_per_salt - 1) * share)
    after = fish_g + salt - water_per_salt * salt
    return Balance(salt, water_per_salt * salt, after, 100 * (fish_g - after) / fish_g, 100 * salt / after)
