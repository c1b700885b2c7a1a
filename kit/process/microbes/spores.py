"""Clostridium perfringens while food cools: the most it could grow, with no lag."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.basics.errors import BadData, UnknownName, check_range
from kit.process.physics.numeric import as_given

Array = NDArray[np.float64]

CEILING = (
    "Growth of C. perfringens is counted with no lag: a ceiling, not a forecast. For one published cooling "
    "of 8 h it gives about 7.5 log where 0.5 was measured: spores need time to wake. It releases no batch."
)


@dataclass(frozen=True)
class Cardinal:
    """The cardinal temperatures of a germ in one food, and its best growth rate. [°C], [1/h, in ln]"""

    lowest_c: float
    best_c: float
    highest_c: float
    best_rate_per_h: float


PRODUCTS: dict[str, Cardinal] = {
    "roasted chicken": Cardinal(8.8, 46.4, 51.5, 6.06),
    "braised beef": Cardinal(10.3, 43.5, 53.4, 5.64),
}
"""Seen in ``perfringens-one-step``. Nobody measured smoked trout; the faster of the two is the default."""


@dataclass(frozen=True)
class Ceiling:
    """The most that C. perfringens could grow in a record. [log10]

    ``in_zone_min`` is the time between its lowest and its highest growth temperature. [min]
    """

    log10: float
    in_zone_min: float
    product: str
    note: str = CEILING


def perfringens_rate(temp_c: ArrayLike, product: str = "roasted chicken") -> Any:
    """Return the growth rate of C. perfringens by the cardinal temperature model, without lag.

    It grows faster than any other germ in a kitchen: at 46 °C it doubles in about 7 min.

    Parameters
    ----------
    temp_c : float or array
        -60 to 150; outside the cardinal temperatures the rate is 0. [°C]
    product : str
        A name of ``PRODUCTS``.

    Returns
    -------
    float or array
        [1/h, in natural logs]

    Raises
    ------
    UnknownName
        If there is no such product.

    Notes
    -----
    Source: ``perfringens-one-step`` for the four figures. The form of Rosso is an assumption: the paper may
    use another.

    Examples
    --------
    >>> round(perfringens_rate(46.4), 2), perfringens_rate(60.0)
    (6.06, 0.0)
    """
    check_range("temp_c", temp_c, at_least=-60, at_most=150, likely_cause="Was it given in °F?")
    if product not in PRODUCTS:
        raise UnknownName("product", product, PRODUCTS)
    low, best, high = (getattr(PRODUCTS[product], name) for name in ("lowest_c", "best_c", "highest_c"))
    temp = np.asarray(temp_c, dtype=float)
    under = (best - low) * ((best - low) * (temp - best) - (best - high) * (best + low - 2 * temp))
    inside = (temp > low) & (temp < high)
    over = (temp - high) * (temp - low) ** 2
    rate = np.where(inside, over / np.where(inside, under, 1.0), 0.0)
    return as_given(PRODUCTS[product].best_rate_per_h * rate)


def perfringens_ceiling(
    time_min: ArrayLike, core_c: ArrayLike, product: str = "roasted chicken", *, step_min: float = 1.0
) -> Ceiling:
    """Return the most that C. perfringens could have grown along a record, with no lag.

    Parameters
    ----------
    time_min, core_c : arrays of shape (n,)
        A record without gaps, time strictly rising. [min, °C]
    product : str
        A name of ``PRODUCTS``.
    step_min : float
        The sum is taken in steps no longer than this, above 0. [min]

    Raises
    ------
    BadData
        If the record has a gap, does not rise, or is too short: growth in a gap cannot be known.

    Notes
    -----
    Source: ``perfringens-one-step``; straight lines between the readings.

    Examples
    --------
    >>> round(perfringens_ceiling([0, 60], [46.4, 46.4]).log10, 2)
    2.63
    """
    check_range("step_min", step_min, above=0)
    time, core = np.asarray(time_min, dtype=float), np.asarray(core_c, dtype=float)
    if time.ndim != 1 or time.shape != core.shape or np.any(~np.isfinite(time)) or np.any(~np.isfinite(core)):
        raise BadData("record", "a reading is missing", "a record without gaps", "What grew in a gap?")
    if time.size > 1 and np.any(np.diff(time) <= 0):
        raise BadData("record", "time does not rise", "strictly rising minutes")
    if time.size < 2:
        return Ceiling(0.0, 0.0, product)
    grid = np.unique(np.concatenate([time, np.arange(time[0], time[-1], step_min)]))
    rate = perfringens_rate(np.interp(grid, time, core), product)
    zone = np.asarray(rate) > 0
    inside = float(np.sum(np.diff(grid)[zone[1:] & zone[:-1]]))
    return Ceiling(float(np.trapezoid(rate, grid)) / 60 / math.log(10), inside, product)
