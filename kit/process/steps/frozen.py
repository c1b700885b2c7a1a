"""Freezing and thawing: how long it takes, and how long a piece was cold enough for parasites."""

from dataclasses import dataclass

import numpy as np

from kit.basics.errors import OutOfRange, check_range
from kit.process.physics.food import properties
from kit.process.physics.numeric import Band
from kit.process.physics.trace import Trace
from kit.process.steps.fillet import Fillet

FREEZING_C = -1.5
"""Where unsalted fish begins to freeze; salted fish lower. From memory."""
LATENT_J_KG = 333_550.0
"""Heat of fusion of ice. [J/kg]"""
FROZEN_CONDUCTIVITY = 1.5
"""Of frozen fish near -15 °C, 1.2 to 1.8 from memory. [W/(m·K)]"""
DOUBT = 1.3
"""Plank's time is right within about this factor."""


@dataclass(frozen=True)
class FrozenHold:
    """Longest unbroken time a core was at or below a temperature [h], and whether it was long enough.

    ``known`` is False if a gap in the readings could have hidden the answer.
    """

    hours: float
    long_enough: bool
    known: bool
    why: str = ""


def frozen_hold(trace: Trace, limit_c: float, hours: float, *, max_gap_min: float = 60.0) -> FrozenHold:
    """Return whether a core stayed cold enough, long enough, to kill parasites. The limits are arguments.

    It is the warmest part that counts, and that is the core. A freezer's dial proves nothing about it. Cold
    kills worms, not germs.

    Parameters
    ----------
    trace : Trace
        Core temperatures; NaN marks a gap.
    limit_c : float
        At or below, -60 to -5, from the rule. [°C]
    hours : float
        Unbroken, above 0 and up to 2000, from the rule. [h]
    max_gap_min : float
        A longer gap between readings breaks the proof, above 0. [min]

    Notes
    -----
    Source: ``definition``: straight lines between readings. Rules differ: read yours.

    Examples
    --------
    >>> day = Trace(np.arange(0, 1801.0, 30), np.full(61, -21.0))
    >>> frozen_hold(day, -20, 24)
    FrozenHold(hours=30.0, long_enough=True, known=True, why='')
    """
    check_range(
        "limit_c", limit_c, at_least=-60, at_most=-5, likely_cause="Parasite limits are -20 °C or so."
    )
    check_range("hours", hours, above=0, at_most=2000)
    check_range("max_gap_min", max_gap_min, above=0)
    seen = np.isfinite(trace.core_c)
    strict = _longest(trace.time_min[seen], trace.core_c[seen], limit_c, max_gap_min)
    kind = _longest(trace.time_min[seen], trace.core_c[seen], limit_c, float("inf"))
    if strict >= hours * 60:
        return FrozenHold(strict / 60, True, True)
    if kind >= hours * 60:
        why = "There is a gap in the readings: it cannot be told whether the piece stayed cold."
        return FrozenHold(strict / 60, False, False, why)
    return FrozenHold(
        strict / 60, False, True, f"{strict / 60:.1f} h at or below {limit_c:g} °C, not {hours:g} h."
    )


def _longest(time_min: np.ndarray, core_c: np.ndarray, limit_c: float, max_gap_min: float) -> float:
    """Return the longest unbroken stretch at or below the limit. [min]"""
    best, start = 0.0, None
    for row, (minute, temp) in enumerate(zip(time_min, core_c, strict=True)):
        gap = row > 0 and minute - time_min[row - 1] > max_gap_min
        before = None if row == 0 or gap else float(core_c[row - 1])
        if gap:
            start = None
        if temp <= limit_c:
            if start is None:
                start = minute
                if before is not None:
                    start -= (minute - time_min[row - 1]) * (limit_c - temp) / (before - temp)
            best = max(best, minute - start)
        elif start is not None and before is not None:
            share = (limit_c - before) / (temp - before)
            best = max(best, time_min[row - 1] + share * (minute - time_min[row - 1]) - start)
            start = None
    return float(best)


def freezing_hours(
    fillet: Fillet, air_c: float, heat_transfer_w_m2_k: float, *, core_to_c: float = -18.0, sides: int = 2
) -> Band:
    """Return how long a piece takes to freeze through, as a band. [h]

    The clock of a parasite rule starts only when the core is there, not when the door shuts.

    Parameters
    ----------
    fillet : Fillet
        Unfrozen.
    air_c : float
        Of the freezer, -60 to -10, below ``core_to_c``. [°C]
    heat_transfer_w_m2_k : float
        3 to 500: 5 to 10 in still air, 20 to 40 blown, 100 and more in brine. [W/(m²·K)]
    core_to_c : float
        -40 to -5. [°C]
    sides : int
        Faces that meet the cold: 1 or 2.

    Notes
    -----
    Source: ``plank-1913``: slab, P = 1/2 and R = 1/8, with all the heat from start to end in place of the
    latent heat alone. Right within about 30 %.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> need = freezing_hours(fillet.raw("trout, farmed", 25, 200), -30, 25)
    >>> round(need.low, 1), round(need.high, 1)
    (1.1, 1.9)
    """
    check_range("air_c", air_c, at_least=-60, at_most=-10)
    check_range(
        "core_to_c", core_to_c, above=air_c, at_most=-5, likely_cause="The air must be colder than that."
    )
    check_range("fillet.core_temp_c", fillet.core_temp_c, at_least=FREEZING_C, at_most=60)
    heat = _heat_j_m3(fillet, fillet.core_temp_c, core_to_c)
    return _plank(fillet, heat, FREEZING_C - air_c, heat_transfer_w_m2_k, FROZEN_CONDUCTIVITY, sides)


def thaw_hours(
    fillet: Fillet,
    around_c: float,
    heat_transfer_w_m2_k: float = 12.0,
    *,
    from_c: float = -18.0,
    sides: int = 2,
) -> Band:
    """Return how long a frozen piece takes to thaw, as a band. [h]

    A fridge takes a night because it is cold and its air is still. Thaw in the fridge, on a rack over a tray.
    Warm water saves hours and spends them on germs at the surface.

    Parameters
    ----------
    fillet : Fillet
        Its thickness and make-up.
    around_c : float
        Air or water around it, 1 to 20. [°C]
    heat_transfer_w_m2_k : float
        3 to 500: 8 to 15 in a fridge, dew and radiation included; 100 and more in running water. [W/(m²·K)]
    from_c : float
        Frozen at, -40 to -5. [°C]
    sides : int
        Faces that meet air or water: 1 or 2.

    Notes
    -----
    Source: ``plank-1913``, with the conductivity of thawed flesh. Right within about 30 %.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> fridge = thaw_hours(fillet.raw("trout, farmed", 25, 200), 3)
    >>> round(fridge.low, 1), round(fridge.high, 1)
    (15.1, 25.5)
    """
    check_range(
        "around_c", around_c, at_least=1, at_most=20, likely_cause="Colder does not thaw, warmer is unsafe."
    )
    check_range("from_c", from_c, at_least=-40, at_most=-5)
    heat = _heat_j_m3(fillet, 0.0, from_c)
    conductivity = float(properties(fillet.composition, 0.0).conductivity_w_m_k)
    return _plank(fillet, heat, around_c - FREEZING_C, heat_transfer_w_m2_k, conductivity, sides)


def _heat_j_m3(fillet: Fillet, warm_c: float, cold_c: float) -> float:
    """Return the heat between two temperatures; at -18 °C about 90 % of the water is ice."""
    flesh = properties(fillet.composition, max(warm_c, 0.0))
    water = fillet.moisture_pct / 100
    ice = water * (1 - FREEZING_C / cold_c)
    sensible = flesh.specific_heat_j_kg_k * (warm_c - FREEZING_C) + 1900.0 * (FREEZING_C - cold_c)
    return float(flesh.density_kg_m3 * (LATENT_J_KG * ice + sensible))


def _plank(fillet: Fillet, heat: float, drive: float, h: float, conductivity: float, sides: int) -> Band:
    check_range("heat_transfer_w_m2_k", h, at_least=3, at_most=500)
    if sides not in (1, 2):
        raise OutOfRange("sides", sides, "1 or 2")
    through = fillet.thickness_mm / 1000 * 2 / sides
    hours = heat / drive * (through / (2 * h) + through**2 / (8 * conductivity)) / 3600
    return Band(hours / DOUBT, hours, hours * DOUBT)
