"""Water and juice that leave a piece: from which depth they are taken, so that the masses close."""

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import OutOfRange
from kit.process.steps.fillet import Fillet

Array = NDArray[np.float64]

COOK_OUT_RANGE_PCT = (6.3, 16.2)
"""Cooking loss of salmon, gentlest to hardest way of cooking; ``gluchowski-2020``. [g per 100 g]"""
SETS_FROM_C, SETS_BY_C = 30.0, 60.0
"""Between these the protein sets and lets go of its juice; ``food-biophysics-2020``. [°C]"""
DRYING_DEPTH_MM = 2.0
"""How deep the water that evaporates in an hour or two comes from; common practice, no source. [mm]"""
LEAST_WATER_G_100G = 5.0
"""Evaporation never dries a layer below this. [g per 100 g of raw flesh]"""


def set_share(profile_c: Array) -> Array:
    """Return how much of the protein has set, by the hottest each depth has been so far.

    Cooking loss is squeezed out by setting protein, not evaporated: it comes even in steam.

    Parameters
    ----------
    profile_c : array of shape (m, n)
        Temperatures, one row a time. [°C]

    Returns
    -------
    array of shape (m, n)
        From 0 to 1. [1]

    Notes
    -----
    Source: ``food-biophysics-2020``: most of it between 30 and 60 °C. A straight line between them is ours.

    Examples
    --------
    >>> set_share(np.array([[20.0], [45.0], [30.0]])).ravel().tolist()
    [0.0, 0.5, 0.5]
    """
    hottest = np.maximum.accumulate(profile_c, axis=0)
    share: Array = np.clip((hottest - SETS_FROM_C) / (SETS_BY_C - SETS_FROM_C), 0, 1)
    return share


def evaporate(fillet: Fillet, lost_g: Array) -> Fillet:
    """Return the fillet after water has left through its faces.

    Parameters
    ----------
    fillet : Fillet
        Before.
    lost_g : array of two
        Water lost through the flesh face and through the other, 0 or more. [g]

    Returns
    -------
    Fillet
        With exactly that much less water, taken from the layers near each face; salt stays behind.

    Raises
    ------
    OutOfRange
        If there is not that much water to lose.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> piece = fillet.raw("char, farmed", 20, 150)
    >>> round(evaporate(piece, np.array([3.0, 0.0])).mass_g, 6)
    147.0
    """
    water = np.array(fillet.water_g_100g)
    for side, grams in enumerate(lost_g):
        depth = fillet.depth_mm if side == 0 else fillet.thickness_mm - fillet.depth_mm
        reach = np.exp(-depth / DRYING_DEPTH_MM)
        water = _take(water, fillet.weight, reach, float(grams) * 100 / fillet.raw_mass_g)
    return fillet.replace(water_g_100g=water)


def _take(water: Array, weight: Array, reach: Array, amount: float) -> Array:
    """Take water by reach; what a dry layer cannot give is asked of the others."""
    left = amount
    for _ in range(50):
        spare = np.maximum(water - LEAST_WATER_G_100G, 0)
        if left <= 1e-12 * max(amount, 1.0):
            return water
        if float(weight @ spare) < left:
            break
        pull = reach * (spare > 0) + 1e-9 * (spare > 0)
        taken = np.minimum(left * pull / float(weight @ pull), spare)
        water = water - taken
        left -= float(weight @ taken)
    raise OutOfRange("the water evaporated", round(amount, 1), "less than the piece holds, in g per 100 g")


def squeeze(fillet: Fillet, juice_g: Array) -> Fillet:
    """Return the fillet after juice has been squeezed out of each depth: water and salt in equal shares.

    Parameters
    ----------
    fillet : Fillet
        Before.
    juice_g : array of shape (n,)
        Juice each layer lets go of, 0 or more. [g]

    Returns
    -------
    Fillet
        The water-phase salt of each layer is as before.

    Raises
    ------
    OutOfRange
        If a layer does not hold that much juice.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> piece = fillet.raw("char, farmed", 20, 150)
    >>> round(squeeze(piece, 12 * piece.weight).mass_g, 6)
    138.0
    """
    juice = juice_g * 100 / fillet.raw_mass_g / fillet.weight
    holds = fillet.water_g_100g + fillet.salt_g_100g
    short = juice > 0.95 * holds
    if np.any(short):
        # A layer that has dried gives what it can; the rest comes from its neighbours in proportion.
        cut = np.where(short, 0.95 * holds, juice)
        missing = float(fillet.weight @ (juice - cut))
        room = np.where(short, 0.0, 0.95 * holds - cut)
        if missing > float(fillet.weight @ room):
            raise OutOfRange(
                "the juice squeezed out", round(float(juice.max()), 1), "less than the piece holds"
            )
        juice = cut + room * missing / float(fillet.weight @ room)
    kept = 1 - juice / np.maximum(holds, 1e-12)
    return fillet.replace(water_g_100g=fillet.water_g_100g * kept, salt_g_100g=fillet.salt_g_100g * kept)
