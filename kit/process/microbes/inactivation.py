"""Published heat treatments and measured heat resistance, read from ``inactivation.toml``."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.basics.errors import BadData, OutOfRange, UnknownName, check_range

Array = NDArray[np.float64]


@dataclass(frozen=True)
class HeatTable:
    """A published heat treatment worth six decimal reductions of one organism."""

    key: str
    title: str
    ref_c: float
    ref_minutes: float
    steps: tuple[tuple[float, float], ...]
    low_c: float
    high_c: float
    source: str
    seen: bool
    note: str

    def minutes(self, temp_c: ArrayLike) -> Array:
        """Return the minutes for 6D by the formula, in range or not. [min]"""
        temp = np.asarray(temp_c, dtype=float)
        z = np.select([temp < below for below, _ in self.steps], [step for _, step in self.steps])
        found: Array = self.ref_minutes * 10 ** ((self.ref_c - temp) / z)
        return found


@dataclass(frozen=True)
class _HeatFile:
    table: tuple[dict[str, Any], ...]
    set: tuple[DSet, ...]


@lru_cache(maxsize=1)
def _file() -> _HeatFile:
    from kit.basics.data_files import shipped

    return shipped("kit.process.microbes", "inactivation.toml", _HeatFile)


@lru_cache(maxsize=1)
def heat_tables() -> dict[str, HeatTable]:
    """Return the published 6D tables by organism.

    Examples
    --------
    >>> sorted(heat_tables())
    ['botulinum_np_uk', 'botulinum_np_us', 'listeria']
    """
    from kit.basics.data_files import build

    rows = [
        {**row, "steps": [(step.get("below_c", math.inf), step["z_c"]) for step in row["steps"]]}
        for row in _file().table
    ]
    return {table.key: table for table in build(list[HeatTable], rows, "inactivation.toml")}


def heat_table(organism: str) -> HeatTable:
    """Return the 6D table of one organism.

    Raises
    ------
    UnknownName
        If there is none.

    Examples
    --------
    >>> heat_table("botulinum_np_uk").seen
    True
    """
    if organism not in heat_tables():
        raise UnknownName("organism", organism, heat_tables())
    return heat_tables()[organism]


@dataclass(frozen=True)
class DSet:
    """Decimal reduction times measured in one food."""

    key: str
    organism: str
    food: str
    z_published_c: tuple[float, float]
    source: str
    seen: bool
    points: tuple[tuple[float, float], ...] = ()
    d_low_min: float | None = None
    d_high_min: float | None = None
    at_c: float | None = None
    note: str = ""


@lru_cache(maxsize=1)
def d_sets() -> dict[str, DSet]:
    """Return the measured sets by key.

    Examples
    --------
    >>> d_sets()["listeria-mussels"].points[0]
    (56.0, 48.09)
    """
    return {one.key: one for one in _file().set}


def fit_z(temps_c: ArrayLike, d_min: ArrayLike) -> tuple[float, float]:
    """Return z and the D value at 60 °C of the straight line through measured D values.

    Parameters
    ----------
    temps_c : array of shape (n,)
        At least two different temperatures. [°C]
    d_min : array of shape (n,)
        Minutes for one power of ten, above 0. [min]

    Returns
    -------
    z_c, d60_min : float
        [°C, min]

    Raises
    ------
    OutOfRange
        If a D value is 0 or less, or fewer than two temperatures differ.
    BadData
        If longer times go with higher temperatures.

    Notes
    -----
    Source: ``bigelow-1921``: log10 D falls along a line.

    Examples
    --------
    >>> z_c, d60_min = fit_z([58, 60, 62], [14.14, 5.0, 1.768])
    >>> round(z_c, 2), round(d60_min, 2)
    (4.43, 5.0)
    """
    temps = np.asarray(temps_c, dtype=float)
    check_range("temps_c", temps, at_least=0, at_most=150)
    check_range("d_min", d_min, above=0)
    if np.unique(temps).size < 2:
        raise OutOfRange("the number of temperatures", int(np.unique(temps).size), "2 or more")
    slope, level = np.polyfit(temps - 60, np.log10(np.asarray(d_min, dtype=float)), 1)
    if slope >= 0:
        raise BadData("D values", "they rise with temperature", "shorter times at higher temperatures")
    return float(-1 / slope), float(10**level)
