"""Salt: how much to weigh, how fast it goes in, and how free it leaves the water."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.basics.errors import check_range
from kit.process.physics.brine import (
    SATURATED_PCT,
    WATER_G_MOL,
    brine_density,
    brine_pct,
    molality,
    pct_to_salometer,
    salometer_at,
    salometer_to_pct,
    salt_per_kg_water,
    salt_per_litre_brine,
)
from kit.process.physics.numeric import as_given
from kit.process.physics.uptake import fourier_for_uptake, fourier_number, uptake_fraction, uptake_profile

Array = NDArray[np.float64]

__all__ = [
    "SATURATED_PCT",
    "Seasoned",
    "Seasoning",
    "brine_density",
    "brine_pct",
    "cure_water_activity",
    "fourier_for_uptake",
    "fourier_number",
    "molality",
    "pct_to_salometer",
    "salometer_at",
    "salometer_to_pct",
    "salt_from_sodium",
    "salt_in_total",
    "salt_on_fish",
    "salt_per_kg_water",
    "salt_per_litre_brine",
    "season",
    "sugar_activity",
    "uptake_fraction",
    "uptake_profile",
    "water_activity",
    "water_phase_salt",
]


def salt_on_fish(fish_g: ArrayLike, salt_pct: ArrayLike) -> Any:
    """Return the salt to weigh when the card asks for a percentage ON the weight of the fish. [g]

    Parameters
    ----------
    fish_g : float or array
        Trimmed fish, 0 or more. [g]
    salt_pct : float or array
        Salt on the weight of the fish, 0 to 100. [g per 100 g fish]

    Raises
    ------
    OutOfRange
        If a number is negative or missing, or the percentage above 100.

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> salt_on_fish(1600, 2.5)
    40.0
    """
    check_range("fish_g", fish_g, at_least=0)
    check_range("salt_pct", salt_pct, at_least=0, at_most=100)
    return as_given(np.asarray(fish_g, dtype=float) * np.asarray(salt_pct, dtype=float) / 100)


def salt_in_total(fish_g: ArrayLike, salt_pct: ArrayLike) -> Any:
    """Return the salt to weigh so that it is a percentage OF fish plus salt. [g]

    A share of the total needs a little more salt than the same figure on the fish.

    Parameters
    ----------
    fish_g : float or array
        Trimmed fish, 0 or more. [g]
    salt_pct : float or array
        Salt in the whole, 0 or more, below 100. [g per 100 g fish + salt]

    Raises
    ------
    OutOfRange
        If a number is negative or missing, or the percentage not below 100.

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> round(salt_in_total(1600, 2.5), 2)
    41.03
    """
    check_range("fish_g", fish_g, at_least=0)
    check_range("salt_pct", salt_pct, at_least=0, below=100)
    pct = np.asarray(salt_pct, dtype=float)
    return as_given(np.asarray(fish_g, dtype=float) * pct / (100 - pct))


def water_phase_salt(salt_pct: ArrayLike, moisture_pct: ArrayLike) -> Any:
    """Return the salt in the water phase of a food, as a mass percentage.

    Fat and protein hold almost no salt, so germs meet the brine, not the average: the same 3 g of salt is
    stronger in a drier fillet.

    Parameters
    ----------
    salt_pct : float or array
        NaCl in the whole food, 0 or more. [g per 100 g food]
    moisture_pct : float or array
        Water in the whole food, above 0. [g per 100 g food]

    Returns
    -------
    float or array
        NaCl in salt plus water. [g per 100 g of salt + water]

    Raises
    ------
    OutOfRange
        If salt is negative, moisture not above 0, or their sum above 100.

    Notes
    -----
    Source: ``fao-torry-82``, and state rules that quote the same sum. A definition: no fitted number.

    Examples
    --------
    >>> round(water_phase_salt(salt_pct=2.5, moisture_pct=65.0), 3)
    3.704
    """
    check_range("salt_pct", salt_pct, at_least=0)
    check_range("moisture_pct", moisture_pct, above=0, likely_cause="Is it a percentage of the whole food?")
    salt, water = np.asarray(salt_pct, dtype=float), np.asarray(moisture_pct, dtype=float)
    check_range(
        "salt_pct + moisture_pct",
        salt + water,
        at_most=100,
        likely_cause="Were both measured on the whole food, not on dry matter?",
    )
    return as_given(100 * salt / (salt + water))


def water_activity(wps_pct: ArrayLike) -> Any:
    """Return the water activity of a brine of NaCl at 25 °C. [-]

    Germs live on the free water: 3.5 % salt in the water takes away 2 % of it, a saturated brine a quarter.
    Between a fridge and a kitchen it changes by up to 0.005 in strong brine, far less in fish.

    Parameters
    ----------
    wps_pct : float or array
        Water-phase salt, 0 to 26.5, where it is saturated. [g per 100 g of salt + water]

    Returns
    -------
    float or array
        Water activity, 1 for pure water.

    Notes
    -----
    Source: ``pitzer-1973``: osmotic coefficient with beta0 0.0765, beta1 0.2664, C 0.00127, A 0.3915.
    Within 0.0015 of the published correlation of ``tang-1986`` up to saturation.

    Examples
    --------
    >>> round(water_activity(3.5), 3), round(water_activity(26.3), 3)
    (0.98, 0.754)
    """
    check_range(
        "wps_pct",
        wps_pct,
        at_least=0,
        at_most=26.5,
        likely_cause="Brine saturates near 26.4 %. Was salt on dry matter, or per kg of water, given?",
    )
    return as_given(_pitzer_activity(np.asarray(molality(wps_pct), dtype=float)))


def _pitzer_activity(m: Array) -> Array:
    root = np.sqrt(m)
    osmotic = (
        1 - 0.3915 * root / (1 + 1.2 * root) + m * (0.0765 + 0.2664 * np.exp(-2 * root)) + 0.00127 * m**2
    )
    return np.asarray(np.exp(-2 * WATER_G_MOL / 1000 * osmotic * m))


def sugar_activity(sugar_g: ArrayLike, water_g: ArrayLike) -> Any:
    """Return the water activity of sucrose in water, alone. [-]

    Parameters
    ----------
    sugar_g : float or array
        Sucrose, 0 or more; up to 2 g a gram of water. [g]
    water_g : float or array
        Water, above 0. [g]

    Notes
    -----
    Source: ``norrish-1966``: aw = Xw exp(-6.47 Xs²) in mole fractions; form read, 6.47 from memory.

    Examples
    --------
    >>> round(sugar_activity(342.3, 1000), 4)
    0.9803
    """
    check_range("sugar_g", sugar_g, at_least=0)
    check_range("water_g", water_g, above=0)
    ratio = np.asarray(sugar_g, dtype=float) / np.asarray(water_g, dtype=float)
    check_range(
        "sugar_g / water_g", ratio, at_most=2.0, likely_cause="More than 2 g a gram does not dissolve."
    )
    sugar, water = ratio / 342.297, 1 / WATER_G_MOL
    share = sugar / (sugar + water)
    return as_given((1 - share) * np.exp(-6.47 * share**2))


def cure_water_activity(salt_g: ArrayLike, sugar_g: ArrayLike, water_g: ArrayLike) -> Any:
    """Return the water activity of salt and sugar together in the water of a fish. [-]

    At cure levels the sugar lowers it by less than 0.002: sugar is for taste and colour, salt keeps.

    Parameters
    ----------
    salt_g, sugar_g : float or array
        In the fish, 0 or more. [g]
    water_g : float or array
        In the fish, above 0. [g]

    Raises
    ------
    OutOfRange
        If a mass is outside its range, or the salt would not dissolve.

    Notes
    -----
    Source: ``ross-1975``: the activities of the single solutes, each in all the water, multiply.

    Examples
    --------
    >>> round(cure_water_activity(2.5, 0.8, 68), 4), round(water_activity(water_phase_salt(2.5, 68)), 4)
    (0.9787, 0.9793)
    """
    check_range("salt_g", salt_g, at_least=0)
    check_range("water_g", water_g, above=0)
    salt, water = np.asarray(salt_g, dtype=float), np.asarray(water_g, dtype=float)
    return as_given(water_activity(100 * salt / (salt + water)) * sugar_activity(sugar_g, water_g))


@dataclass(frozen=True)
class Seasoning:
    """Something salty that goes on the fish: its mass [g], its salt and water [g per 100 g of it]."""

    name: str
    mass_g: float
    salt_pct: float
    moisture_pct: float


@dataclass(frozen=True)
class Seasoned:
    """Fish with its seasonings: mass [g], salt and water [g per 100 g], water-phase salt [%]."""

    mass_g: float
    salt_pct: float
    moisture_pct: float
    wps_pct: float


def season(fish_g: float, salt_pct: float, moisture_pct: float, seasonings: Iterable[Seasoning]) -> Seasoned:
    """Return the final balance of a fish with what was put on it, mixed through.

    A garnish of dried seaweed or a spoon of soy is salt too. It belongs in the sum for taste and for the
    label; it does not count for safety, because it sits on the outside.

    Parameters
    ----------
    fish_g : float
        Fish, above 0. [g]
    salt_pct, moisture_pct : float
        Of the fish, as in :func:`water_phase_salt`. [g per 100 g]
    seasonings : iterable of Seasoning
        Mass 0 or more; salt plus water up to 100.

    Notes
    -----
    Source: ``definition``. The salt of a seasoning is on its label.

    Examples
    --------
    >>> plate = season(120, 2.0, 65, [Seasoning("dried seaweed", 3, 8.0, 6.0)])
    >>> round(plate.salt_pct, 2), round(plate.wps_pct, 2)
    (2.15, 3.27)
    """
    check_range("fish_g", fish_g, above=0)
    water_phase_salt(salt_pct, moisture_pct)
    mass, salt, water = fish_g, fish_g * salt_pct / 100, fish_g * moisture_pct / 100
    for one in seasonings:
        cause = f"Look at the label of {one.name}."
        check_range(f"mass of {one.name}", one.mass_g, at_least=0)
        check_range(f"salt in {one.name}", one.salt_pct, at_least=0, at_most=100, likely_cause=cause)
        check_range(f"water in {one.name}", one.moisture_pct, at_least=0, at_most=100, likely_cause=cause)
        both = one.salt_pct + one.moisture_pct
        check_range(f"salt + water in {one.name}", both, at_most=100, likely_cause=cause)
        mass += one.mass_g
        salt += one.mass_g * one.salt_pct / 100
        water += one.mass_g * one.moisture_pct / 100
    return Seasoned(mass, 100 * salt / mass, 100 * water / mass, 100 * salt / (salt + water))


def salt_from_sodium(sodium_g: ArrayLike, factor: float = 2.5) -> Any:
    """Return the salt that a label's sodium stands for. [g]

    Parameters
    ----------
    sodium_g : float or array
        Sodium, 0 or more. [g]
    factor : float
        2.5 on European labels, 2.54 by weight of the atoms; 2.4 to 2.6. [-]

    Notes
    -----
    Source: ``eu-1169-2011``, annex I (from memory).

    Examples
    --------
    >>> salt_from_sodium(0.8)
    2.0
    """
    check_range("sodium_g", sodium_g, at_least=0)
    check_range("factor", factor, at_least=2.4, at_most=2.6)
    return as_given(np.asarray(sodium_g, dtype=float) * factor)
