"""Turning the heat down: the air in which a cooked fish holds its core, without going on to cook."""

import dataclasses
from functools import lru_cache

from kit.basics.errors import check_range
from kit.process.physics import air
from kit.process.physics.faces import Face, stall_temp

HOLD_ROOM_C = 3.0
"""How far above its target a fish settles in a cabinet turned down to hold it; ours, no source. [°C]"""


def same_vapour(rh_pct: float, from_c: float, to_c: float) -> float:
    """Return the humidity of air that is warmed or cooled with the vapour in it. [%]

    Parameters
    ----------
    rh_pct : float
        0 to 100. [%]
    from_c, to_c : float
        -45 to 150. [°C]

    Notes
    -----
    Source: ``definition``: the pressure of the vapour stays; what is over 100 % settles.

    Examples
    --------
    >>> round(same_vapour(45, 80, 70)), same_vapour(90, 80, 40)
    (68, 100.0)
    """
    check_range("rh_pct", rh_pct, at_least=0, at_most=100, likely_cause="Give percent: 60, not 0.6.")
    for name, temp in (("from_c", from_c), ("to_c", to_c)):
        check_range(name, temp, at_least=-45, at_most=150)
    ratio = air.saturation_pressure(from_c) / air.saturation_pressure(to_c)
    return float(min(100.0, rh_pct * ratio))


@lru_cache(maxsize=512)
def hold_air(face: Face, target_c: float, *, dry_skin: bool = True) -> float:
    """Return the air in which a fish settles just above its target: what the heat is turned down to. [°C]

    The vapour stays in the cabinet, so the humidity rises as the air cools. Where even the air of the cook is
    too little to hold a wet fish, it stays as it is.

    Parameters
    ----------
    face : Face
        The flesh face in the air of the cook.
    target_c : float
        What the core must not fall below, 20 to 120. [°C]
    dry_skin : bool
        The other face is dry, and takes the temperature of the air; otherwise it is as the flesh.

    Notes
    -----
    Source: ``chilton-colburn-1934``, by ``faces.stall_temp``. The core settles half-way between the faces.

    Examples
    --------
    >>> round(hold_air(Face(80, 45, 20, 0.2), 64))
    70
    """
    check_range("target_c", target_c, at_least=20, at_most=120)
    from scipy.optimize import brentq

    def room(air_c: float) -> float:
        there = dataclasses.replace(face, air_c=air_c, rh_pct=same_vapour(face.rh_pct, face.air_c, air_c))
        flesh = stall_temp(there)
        return 0.5 * (flesh + (air_c if dry_skin else flesh)) - target_c - HOLD_ROOM_C

    if target_c >= face.air_c or room(face.air_c) <= 0:
        return face.air_c
    return target_c if room(target_c) >= 0 else float(brentq(room, target_c, face.air_c, xtol=0.01))
