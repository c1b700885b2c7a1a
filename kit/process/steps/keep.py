"""Keeping: what a store does to smoked fish, and which of its limits comes first."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import BadData, check_range
from kit.process.microbes.growth import (
    FROM_MEMORY,
    Growth,
    days_left,
    ice_days,
    listeria_growth,
    listeria_log10,
    listeria_rate,
    spoilage_rate,
)
from kit.process.physics.numeric import Band
from kit.process.physics.trace import Phase, Trace
from kit.process.steps import cure
from kit.process.steps.fillet import Fillet
from kit.process.steps.frozen import FrozenHold, freezing_hours, frozen_hold, thaw_hours

Array = NDArray[np.float64]

__all__ = [
    "FrozenHold",
    "Growth",
    "Kept",
    "ShelfLife",
    "days_left",
    "freezing_hours",
    "frozen_hold",
    "ice_days",
    "keep",
    "listeria_growth",
    "listeria_log10",
    "listeria_rate",
    "shelf_life",
    "spoilage_rate",
    "thaw_hours",
]


@dataclass(frozen=True)
class Kept:
    """A fillet after its time in the store: growth of Listeria as a ceiling, and where the salt has got to.

    ``listeria_log10`` counts with the mean water-phase salt, ``listeria_log10_weakest`` with that of the
    weakest place. Both are from memory and without lag.
    """

    fillet: Fillet
    trace: Trace
    listeria_log10: float
    listeria_log10_weakest: float
    warmest_c: float
    seen: bool = False
    note: str = FROM_MEMORY


def keep(
    fillet: Fillet,
    days: float,
    store_c: float | Sequence[tuple[float, float]] = 3.0,
    *,
    ph: float = 6.1,
    phenol_ppm: float = 0.0,
    heat_transfer_w_m2_k: float = 6.0,
) -> Kept:
    """Return a packed fillet after some days in a cold store.

    One warm afternoon can cost more than a week of cold. In the pack the salt goes on evening out; the mass
    stays.

    Parameters
    ----------
    fillet : Fillet
        Chilled, in its pack: -2 to 25 °C.
    days : float
        0.02 to 60. [days]
    store_c : float or sequence of (day, temperature)
        -2 to 25. Pairs begin at day 0 and rise; straight lines between, level after the last. [°C]
    ph, phenol_ppm : float
        As in ``growth.listeria_rate``.
    heat_transfer_w_m2_k : float
        Between store and pack, 2 to 50. [W/(m²·K)]

    Raises
    ------
    BadData
        If the pairs do not begin at 0 and rise.

    Notes
    -----
    Source: ``memory-listeria``, ``crank-1975``, ``memory-diffusivity``. The fillet follows as one lump.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> fish = fillet.raw("trout, farmed", 24, 180)
    >>> cold, spell = keep(fish, 7, 3.0), keep(fish, 7, [(0, 3), (2, 3), (2.1, 15), (2.5, 15), (2.6, 3)])
    >>> round(cold.listeria_log10, 1), round(spell.listeria_log10, 1)
    (1.2, 1.9)
    """
    check_range("days", days, at_least=0.02, at_most=60, likely_cause="Give days, not hours.")
    check_range("heat_transfer_w_m2_k", heat_transfer_w_m2_k, at_least=2, at_most=50)
    check_range(
        "fillet.temp_c", fillet.temp_c, at_least=-2, at_most=25, likely_cause="Chill it before packing."
    )
    day, store = _record(days, store_c)
    warmth = _follow(fillet, day, store, heat_transfer_w_m2_k)
    middle = float(np.clip(np.trapezoid(warmth, day) / days, -1, 25))
    rested = (
        cure.equalise(fillet, min(days * 24, 720.0), temp_c=middle).fillet if fillet.salt_pct > 0 else fillet
    )
    after = rested.replace(temp_c=np.full(fillet.temp_c.shape, warmth[-1]))
    trace = Trace(
        day * 1440,
        warmth,
        surface_c=warmth,
        air_c=store,
        mass_g=np.full(day.shape, after.mass_g),
        phases=(Phase("store", 0.0, days * 1440),),
    )
    growth = [
        listeria_log10(trace, min(wps, 26.0), ph, phenol_ppm, extrapolate=True)
        for wps in (after.mean_wps_pct, float(after.wps_pct.min()))
    ]
    return Kept(after, trace, growth[0], growth[1], float(warmth.max()))


def _record(days: float, store_c: float | Sequence[tuple[float, float]]) -> tuple[Array, Array]:
    pairs = [(0.0, store_c)] if isinstance(store_c, int | float) else list(store_c)
    times, temps = np.array([float(at) for at, _ in pairs]), np.array([float(to) for _, to in pairs])
    check_range("store_c", temps, at_least=-2, at_most=25, likely_cause="Is it in °F, or a freezer?")
    if times.size == 0 or times[0] != 0 or np.any(np.diff(times) <= 0):
        raise BadData(
            "store_c", "the days do not begin at 0 and rise", "pairs such as (0, 3), (2, 3), (2.1, 12)"
        )
    even = np.linspace(0, days, 601)
    day = np.unique(np.concatenate([even, times[times <= days]]))
    return day, np.interp(day, times, temps)


def _follow(fillet: Fillet, day: Array, store: Array, heat_transfer: float) -> Array:
    """Return the temperature of the lump in a store that changes in straight lines: exact between rows."""
    from kit.process.physics.food import properties

    flesh = properties(fillet.composition, 3.0)
    stored = flesh.density_kg_m3 * flesh.specific_heat_j_kg_k * fillet.thickness_mm / 1000
    step = np.diff(day) * 86_400 * 2 * heat_transfer / stored
    fade, slope = np.exp(-step), np.diff(store) / step
    found = np.empty(day.shape)
    found[0] = float(fillet.weight @ fillet.temp_c)
    for row in range(step.size):
        lag = found[row] - store[row] + slope[row]
        found[row + 1] = store[row + 1] - slope[row] + lag * fade[row]
    return found


@dataclass(frozen=True)
class ShelfLife:
    """Days until the first limit, as a band, which limit that is, and all of them by name. [days]"""

    days: Band
    decides: str
    limits: dict[str, Band]
    seen: bool = False
    note: str = FROM_MEMORY


def shelf_life(
    store_c: float,
    wps_pct: float,
    *,
    listeria_log10_allowed: float,
    longest_days: float,
    ph: float = 6.1,
    phenol_ppm: float = 0.0,
    spoils_on_ice_days: float | None = None,
) -> ShelfLife:
    """Return how long smoked fish can be kept by sums alone, and which limit comes first.

    A sum proposes; tests of the product dispose. The shortest limit wins, and the rule's own limit is one.

    Parameters
    ----------
    store_c : float
        -2 to 15. [°C]
    wps_pct : float
        Water-phase salt of the loin, measured, 0 to 8. [g per 100 g of salt + water]
    listeria_log10_allowed : float
        Growth that your rule allows, above 0 and up to 3. [log10]
    longest_days : float
        Longest life that your rule allows, above 0 and up to 60. [days]
    ph, phenol_ppm : float
        As in ``growth.listeria_rate``.
    spoils_on_ice_days : float, optional
        Life on ice of your product by your own tasting, above 0 and up to 90. [days]

    Notes
    -----
    Source: ``memory-listeria``, ``square-root-spoilage`` (for smoked fish an analogy).

    Examples
    --------
    >>> life = shelf_life(4, 3.5, listeria_log10_allowed=1, longest_days=10)
    >>> round(life.days.middle, 1), life.decides, life.seen
    (5.6, 'growth of Listeria', False)
    """
    check_range("store_c", store_c, at_least=-2, at_most=15)
    check_range("listeria_log10_allowed", listeria_log10_allowed, above=0, at_most=3)
    check_range("longest_days", longest_days, above=0, at_most=60)
    limits = {
        "growth of Listeria": listeria_growth(store_c, wps_pct, ph, phenol_ppm).days_to(
            listeria_log10_allowed
        ),
        "the rule": Band(longest_days, longest_days, longest_days),
    }
    if spoils_on_ice_days is not None:
        check_range("spoils_on_ice_days", spoils_on_ice_days, above=0, at_most=90)
        days = spoils_on_ice_days / float(spoilage_rate(store_c))
        limits["spoilage"] = Band(days, days, days)
    decides = min(limits, key=lambda name: limits[name].middle)
    ends = [min(getattr(band, end) for band in limits.values()) for end in ("low", "middle", "high")]
    return ShelfLife(Band(*ends), decides, limits)
