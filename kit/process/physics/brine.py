"""Brine: its strength on every basis that a table may use, and its density."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from kit.basics.errors import check_range
from kit.process.physics.numeric import as_given

SATURATED_PCT = 26.395
"""Salt in saturated brine at 60 °F, by mass: 100 degrees on the salometer. [g per 100 g brine]"""

NACL_G_MOL = 58.443
WATER_G_MOL = 18.0153
_DENSITY_20C = (998.309, 7.03646, 0.0169173, 0.00024084)


def salometer_to_pct(degrees: ArrayLike) -> Any:
    """Return the strength of a brine from its salometer reading at 60 °F (15.6 °C). [g per 100 g brine]

    The scale is the share of saturation: 100° is 26.395 % salt by mass.

    Parameters
    ----------
    degrees : float or array
        Salometer reading, 0 to 100. [degrees]

    Raises
    ------
    OutOfRange
        If a reading is below 0, above 100, or missing.

    Notes
    -----
    Source: ``salometer-note``. A few salometers are made for 25 % or for 38 °F: read the stem.

    Examples
    --------
    >>> round(salometer_to_pct(80), 2)
    21.12
    """
    check_range("degrees", degrees, at_least=0, at_most=100, likely_cause="100 degrees is saturated brine.")
    return as_given(np.asarray(degrees, dtype=float) * SATURATED_PCT / 100)


def salometer_at(degrees: ArrayLike, brine_c: ArrayLike) -> Any:
    """Return what a 60 °F salometer would read in the same brine at 60 °F (15.6 °C). [degrees]

    Cold brine is denser and reads too strong, warm brine too weak: one degree for every 5.6 °C.

    Parameters
    ----------
    degrees : float or array
        Reading, 0 to 100. [degrees]
    brine_c : float or array
        Temperature of the brine, 0 to 40. [°C]

    Notes
    -----
    Source: ``bc-salt-brine``: a rule of thumb, for readings that are not near an end of the scale.

    Examples
    --------
    >>> salometer_at(60, 4.4)
    58.0
    """
    check_range("degrees", degrees, at_least=0, at_most=100, likely_cause="100 degrees is saturated brine.")
    check_range("brine_c", brine_c, at_least=0, at_most=40, likely_cause="Was it given in °F?")
    shift = (np.asarray(brine_c, dtype=float) - 15.6) / 5.6
    return as_given(np.clip(np.asarray(degrees, dtype=float) + shift, 0, 100))


def pct_to_salometer(pct: ArrayLike) -> Any:
    """Return the salometer reading of a brine at 60 °F (15.6 °C). [degrees]

    Parameters
    ----------
    pct : float or array
        Salt by mass, 0 to 26.395. [g per 100 g brine]

    Notes
    -----
    Source: ``salometer-note``.

    Examples
    --------
    >>> round(pct_to_salometer(15.837), 6)
    60.0
    """
    _check_brine("pct", pct)
    return as_given(np.asarray(pct, dtype=float) * 100 / SATURATED_PCT)


def brine_pct(salt_g: ArrayLike, water_g: ArrayLike) -> Any:
    """Return the strength of a brine made from salt and water. [g per 100 g brine]

    Parameters
    ----------
    salt_g, water_g : float or array
        Salt, 0 or more; water, above 0. [g]

    Raises
    ------
    OutOfRange
        If the salt is negative, there is no water, or the salt would not all dissolve.

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> brine_pct(250, 1000)
    20.0
    """
    check_range("salt_g", salt_g, at_least=0)
    check_range("water_g", water_g, above=0)
    salt, water = np.asarray(salt_g, dtype=float), np.asarray(water_g, dtype=float)
    strength = 100 * salt / (salt + water)
    check_range(
        "brine strength",
        strength,
        at_most=SATURATED_PCT,
        likely_cause="More than 358.6 g a kilogram of water stays on the bottom.",
    )
    return as_given(strength)


def salt_per_kg_water(pct: ArrayLike) -> Any:
    """Return the salt to stir into a kilogram of water for a brine of given strength. [g per kg water]

    Three tables call themselves "grams per kilo": per kg of brine, per litre of brine, per kg of water. For
    a saturated brine that is 264, 318 and 359 g. This one is what you weigh.

    Parameters
    ----------
    pct : float or array
        Salt by mass, 0 to 26.395. [g per 100 g brine]

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> round(salt_per_kg_water(SATURATED_PCT), 1)
    358.6
    """
    _check_brine("pct", pct)
    strength = np.asarray(pct, dtype=float)
    return as_given(1000 * strength / (100 - strength))


def brine_density(pct: ArrayLike) -> Any:
    """Return the density of a brine at 20 °C. [kg/m³]

    Parameters
    ----------
    pct : float or array
        Salt by mass, 0 to 26.395. [g per 100 g brine]

    Notes
    -----
    Source: ``coolprop-mna``, whose values at 20 °C this cubic repeats to 0.1 kg/m³ up to 23 %;
    above, it meets the table of ``umk-nacl`` to 0.2 kg/m³.

    Examples
    --------
    >>> round(brine_density(10.0))
    1071
    """
    _check_brine("pct", pct)
    x = np.asarray(pct, dtype=float)
    return as_given(_DENSITY_20C[0] + x * (_DENSITY_20C[1] + x * (_DENSITY_20C[2] + x * _DENSITY_20C[3])))


def salt_per_litre_brine(pct: ArrayLike) -> Any:
    """Return the salt in a litre of brine at 20 °C. [g per litre brine]

    Not what to put into a litre of water: the brine takes more room than its water did.

    Parameters
    ----------
    pct : float or array
        Salt by mass, 0 to 26.395. [g per 100 g brine]

    Notes
    -----
    Source: ``definition``, with the density of :func:`brine_density`.

    Examples
    --------
    >>> round(salt_per_litre_brine(10.0))
    107
    """
    return as_given(brine_density(pct) * np.asarray(pct, dtype=float) / 100)


def molality(pct: ArrayLike) -> Any:
    """Return moles of NaCl in a kilogram of water. [mol/kg]

    Parameters
    ----------
    pct : float or array
        Salt in salt plus water, 0 or more, below 100. [g per 100 g]

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> round(molality(26.3), 3)
    6.106
    """
    check_range("pct", pct, at_least=0, below=100)
    strength = np.asarray(pct, dtype=float)
    return as_given(1000 * strength / (NACL_G_MOL * (100 - strength)))


def _check_brine(name: str, pct: ArrayLike) -> None:
    check_range(
        name,
        pct,
        at_least=0,
        at_most=SATURATED_PCT,
        likely_cause="Brine saturates at 26.395 % by mass. Was it given per kg of water?",
    )
