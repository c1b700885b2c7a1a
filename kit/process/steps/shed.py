"""Water and juice that leave a piece: from which depth they are taken, so that the masses close."""

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import OutOfRange
from kit.process.physics.brine import SATURATED_PCT
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
MOST_SQUEEZED = 0.95
"""No layer gives more of its water than this as juice; ours, no source. [1]"""


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
        With exactly that much less water, taken from the layers near each face; salt stays behind. A layer
        whose water is saturated gives no more while another has some to give: the water comes from below it.

    Raises
    ------
    OutOfRange
        If there is not that much water to lose.

    Notes
    -----
    That a saturated layer keeps its water while the next one gives is ours, no source. Where every layer is
    saturated, as in thin fish after days in salt, the water goes on and the salt it held is crystals.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> piece = fillet.raw("char, farmed", 20, 150)
    >>> round(evaporate(piece, np.array([3.0, 0.0])).mass_g, 6)
    147.0
    """
    water = np.array(fillet.water_g_100g)
    saturated = np.maximum(LEAST_WATER_G_100G, fillet.salt_g_100g * (100 / SATURATED_PCT - 1))
    for side, grams in enumerate(lost_g):
        depth = fillet.depth_mm if side == 0 else fillet.thickness_mm - fillet.depth_mm
        reach = np.exp(-depth / DRYING_DEPTH_MM)
        amount = float(grams) * 100 / fillet.raw_mass_g
        before_crystals = min(amount, float(fillet.weight @ np.maximum(water - saturated, 0)))
        water = _take(water, saturated, fillet.weight, reach, before_crystals)
        if amount > before_crystals:
            dry = np.full_like(water, LEAST_WATER_G_100G)
            water = _take(water, dry, fillet.weight, reach, amount - before_crystals)
    return fillet.replace(water_g_100g=water)


def _take(water: Array, least: Array, weight: Array, reach: Array, amount: float) -> Array:
    """Take water by reach; what a dry layer cannot give is asked of the others."""
    left = amount
    for _ in range(50):
        spare = np.maximum(water - least, 0)
        if left <= 1e-12 * max(amount, 1.0):
            return water
        if float(weight @ spare) < left * (1 - 1e-9):
            break
        pull = reach * (spare > 0) + 1e-9 * (spare > 0)
        taken = np.minimum(left * pull / float(weight @ pull), spare)
        water = water - taken
        left -= float(weight @ taken)
    raise OutOfRange("the water evaporated", round(amount, 1), "less than the piece holds, in g per 100 g")


def squeeze(fillet: Fillet, pull: Array, juice_g: float) -> Fillet:
    """Return the fillet after juice has been squeezed out: from each depth by what it still holds.

    A layer that has dried has little left to give, so little comes from there, and little of its salt.

    Parameters
    ----------
    fillet : Fillet
        Before.
    pull : array of shape (n,)
        How hard each depth is squeezed, such as the share of its protein that has set, 0 to 1. [1]
    juice_g : float
        Juice that leaves in all, 0 or more. [g]

    Returns
    -------
    Fillet
        Each layer has given water and dissolved salt in equal shares: its water-phase salt is as before.

    Raises
    ------
    OutOfRange
        If the piece does not hold that much juice.

    Notes
    -----
    That juice carries the salt of the layer it comes from is a balance; that a wet layer gives in proportion
    to what it holds is ours, no source.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> piece = fillet.raw("char, farmed", 20, 150)
    >>> round(squeeze(piece, np.ones_like(piece.weight), 12.0).mass_g, 6)
    138.0
    """
    dissolved = fillet.dissolved_g_100g
    holds = fillet.water_g_100g + dissolved
    in_reach = float(fillet.weight @ (pull * holds)) * fillet.raw_mass_g / 100
    gone = pull * juice_g / in_reach if juice_g > 0 else np.zeros_like(pull)
    if gone.max() > MOST_SQUEEZED:
        raise OutOfRange("the juice squeezed out", f"{juice_g:.1f} g", "less than the piece holds")
    return fillet.replace(
        water_g_100g=fillet.water_g_100g * (1 - gone), salt_g_100g=fillet.salt_g_100g - dissolved * gone
    )
