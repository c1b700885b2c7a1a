"""Water and juice that leave a piece: from which depth they are taken, so that the masses close."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.basics.errors import OutOfRange
from kit.process.physics.brine import SATURATED_PCT
from kit.process.steps.fillet import Fillet

Array = NDArray[np.float64]

GENTLE_LOSS_PCT, ROAST_LOSS_PCT = (6.3, 9.1), (11.6, 16.2)
"""Published losses of salmon in the cook: in a bag at 57 to 63 °C, and steamed or roasted; the second holds
what evaporates, too. ``gluchowski-2020``. [g per 100 g of raw portion]"""
JUICE_C = (30.0, 50.0, 57.0, 63.0, 72.0, 85.0, 100.0)
JUICE_PCT = (0.0, 4.5, 6.3, 9.1, 11.6, 14.0, 15.0)
"""Juice that flesh has let go of once it has been this hot: see :func:`juice`. [°C], [g per 100 g]"""
JUICE_SPREAD = (0.75, 1.25)
"""One fish against the middle: how the seen 6.3 to 9.1 % lie around their own; ours. [1]"""
DRYING_DEPTH_MM = 2.0
"""How deep the water that evaporates in an hour or two comes from; common practice, no source. [mm]"""
LEAST_WATER_G_100G = 5.0
"""Evaporation never dries a layer below this. [g per 100 g of raw flesh]"""
MOST_SQUEEZED = 0.95
"""No layer gives more of its water than this as juice; ours, no source. [1]"""


def juice(hottest_c: ArrayLike) -> Array:
    """Return the juice that flesh has let go of, by the hottest it has been so far. [g per 100 g put in]

    Setting protein squeezes it out: it comes even in steam, and a hotter finish costs more of it. That is why
    cooks want a soft finish. What it costs: below 63 °C the published tables give no time for Listeria.

    Parameters
    ----------
    hottest_c : float or array
        Highest temperature so far at each depth. [°C]

    Notes
    -----
    Source: ``gluchowski-2020`` and ``gluchowski-2019`` for 6.3 and 9.1 % in bags at 57 and 63 °C (that the
    lower loss belongs to the lower temperature is our reading); ``rora-regost-2003`` for the start at 30 °C;
    ``memory-juice`` (from memory) for the rest of the line. A fish may be a quarter off either way.

    Examples
    --------
    >>> juice([20.0, 57.0, 63.0]).tolist()
    [0.0, 6.3, 9.1]
    """
    return np.asarray(np.interp(np.asarray(hottest_c, dtype=float), JUICE_C, JUICE_PCT))


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
        How hard each depth is squeezed, such as what :func:`juice` makes of it, 0 or more. [1]
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
