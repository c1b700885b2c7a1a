"""Wood: how moist it is, what drying it costs, how long it smokes, and which wood is refused."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from kit.basics.errors import KitError, UnknownName, check_range
from kit.process.physics.numeric import as_given

FIBRE_SATURATION_PCT = 30.0
"""Above about this much water (dry basis), the rest stands free in the hollows of the wood."""


class WoodRefused(KitError, ValueError):
    """A wood must not be burnt under food, or is not on the list and so is refused.

    Examples
    --------
    >>> print(WoodRefused("yew", "Taxine, a poison to the heart.", "paper"))
    yew is refused: Taxine, a poison to the heart. (grade of the source: paper)
    """

    def __init__(self, name: str, why: str, grade: str) -> None:
        self.name, self.why, self.grade = name, why, grade
        super().__init__(f"{name} is refused: {why} (grade of the source: {grade})")


@dataclass(frozen=True)
class Wood:
    """A wood or fuel of the list: use or refuse, why, and how good the source of that verdict is.

    Density is NaN where none was found; ``density_seen`` is False where it is from memory. [g/cm³]
    """

    names: tuple[str, ...]
    botanical: str
    verdict: str
    why: str
    grade: str
    source: str
    density_g_cm3: float = float("nan")
    density_low: float = float("nan")
    density_high: float = float("nan")
    density_basis: str = ""
    density_source: str = ""
    density_seen: bool = False

    @property
    def name(self) -> str:
        """The name that is shown."""
        return self.names[0]

    @property
    def usable(self) -> bool:
        """Whether the list lets it be used."""
        return self.verdict == "use"


@lru_cache(maxsize=1)
def woods() -> tuple[Wood, ...]:
    """Return the list of woods and fuels, used and refused.

    Examples
    --------
    >>> len(woods()) > 25, {wood.verdict for wood in woods()} == {"use", "refuse"}
    (True, True)
    """
    from kit.basics.data_files import shipped

    return shipped("kit.process.physics", "woods.toml", dict[str, tuple[Wood, ...]])["wood"]


def look_up(name: str) -> Wood:
    """Return the entry of a wood, used or refused, by any of its names.

    Raises
    ------
    UnknownName
        If it is not on the list. Then it is refused: see :func:`check_wood`.

    Notes
    -----
    Source: the key in each entry of ``woods.toml``.

    Examples
    --------
    >>> look_up("golden rain").verdict
    'refuse'
    """
    wanted = name.strip().lower()
    for wood in woods():
        if wanted in {one.lower() for one in (*wood.names, wood.botanical) if one}:
            return wood
    raise UnknownName("wood on the list", name, sorted(one for wood in woods() for one in wood.names))


def check_wood(name: str) -> Wood:
    """Return a wood that may be used; anything else is refused, an unlisted wood too.

    The list is a floor, not a licence: the wood in hand must be sound, dry, untreated and of known origin.

    Raises
    ------
    WoodRefused
        If the list refuses it, or does not know it.

    Notes
    -----
    Source: the key in each entry of ``woods.toml``.

    Examples
    --------
    >>> check_wood("beech").botanical
    'Fagus (sylvatica, grandifolia)'
    >>> check_wood("driftwood")
    Traceback (most recent call last):
    ...
    kit.process.physics.wood.WoodRefused: driftwood is refused: Arsenic, copper, chlorine, ...
    """
    try:
        wood = look_up(name)
    except UnknownName:
        cause = "It is not on the list. Unlisted is refused until a competent person has cleared it."
        raise WoodRefused(name, cause, "none") from None
    if not wood.usable:
        raise WoodRefused(name, wood.why, wood.grade)
    return wood


def equilibrium_moisture(temp_c: ArrayLike, rh_pct: ArrayLike, *, extrapolate: bool = False) -> Any:
    """Return the moisture that wood settles at in air of a given humidity. [g water per 100 g dry wood]

    Chips kept in a damp shed are damp chips, however long they lie there.

    Parameters
    ----------
    temp_c : float or array
        Air temperature, -10 to 60; to 120 with ``extrapolate``. [°C]
    rh_pct : float or array
        Relative humidity, 0 to 95; to 99.5 with ``extrapolate``. [%]
    extrapolate : bool
        Go beyond the range in which the equation was held against the table.

    Returns
    -------
    float or array
        Moisture on DRY basis.

    Notes
    -----
    Source: ``simpson-1998``, Hailwood-Horrobin with two hydrates; also ``wood-handbook``, eq. 4-5. Within
    0.1 point of the handbook's table up to 27 °C, 0.5 at 60 °C. Species differ by up to 1 point.

    Examples
    --------
    >>> round(equilibrium_moisture(21, 65), 1)
    12.0
    """
    hot, damp = (120.0, 99.5) if extrapolate else (60.0, 95.0)
    outside = "The equation was checked to 60 °C and 95 %. Ask for extrapolate=True to go on."
    check_range("temp_c", temp_c, at_least=-10, at_most=hot, likely_cause=outside)
    check_range("rh_pct", rh_pct, at_least=0, at_most=damp, likely_cause=outside)
    t, h = np.asarray(temp_c, dtype=float), np.asarray(rh_pct, dtype=float) / 100
    mass = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    dissolved = kh / (1 - kh)
    hydrated = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return as_given(1800 / mass * (dissolved + hydrated))


def dry_to_wet_basis(dry_pct: ArrayLike) -> Any:
    """Return moisture on wet basis from moisture on dry basis. [g water per 100 g wet wood]

    A moisture meter and a wood table speak of dry wood; a kitchen scale speaks of wet wood. 25 % is 20 %.

    Parameters
    ----------
    dry_pct : float or array
        0 to 300. [g water per 100 g dry wood]

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> dry_to_wet_basis(25)
    20.0
    """
    check_range("dry_pct", dry_pct, at_least=0, at_most=300)
    dry = np.asarray(dry_pct, dtype=float)
    return as_given(100 * dry / (100 + dry))


def wet_to_dry_basis(wet_pct: ArrayLike) -> Any:
    """Return moisture on dry basis from moisture on wet basis. [g water per 100 g dry wood]

    Parameters
    ----------
    wet_pct : float or array
        0 to 75. [g water per 100 g wet wood]

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> wet_to_dry_basis(20)
    25.0
    """
    check_range("wet_pct", wet_pct, at_least=0, at_most=75, likely_cause="Is it on dry basis already?")
    wet = np.asarray(wet_pct, dtype=float)
    return as_given(100 * wet / (100 - wet))


def moisture_from_weights(wet_g: ArrayLike, dry_g: ArrayLike) -> Any:
    """Return moisture on dry basis from chips weighed before and after an oven. [g water per 100 g dry wood]

    Dry a handful at 103 °C until two weighings agree, with the extraction on, and watch it.

    Parameters
    ----------
    wet_g, dry_g : float or array
        Mass before and after; after is above 0 and not more than before. [g]

    Raises
    ------
    OutOfRange
        If a mass is missing, or the chips gained weight in the oven.

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> moisture_from_weights(112, 100)
    12.0
    """
    check_range("dry_g", dry_g, above=0)
    check_range("wet_g", wet_g, above=0)
    wet, dry = np.asarray(wet_g, dtype=float), np.asarray(dry_g, dtype=float)
    check_range("wet_g - dry_g", wet - dry, at_least=0, likely_cause="Were the two weights swapped?")
    return as_given(100 * (wet - dry) / dry)


def drying_heat(chips_g: ArrayLike, moisture_dry_pct: ArrayLike, start_c: float = 20.0) -> Any:
    """Return the heat that the water in chips takes before they can smoulder. [kJ]

    Wet chips make steam first. Until it has gone they stay at 100 °C, and there is no smoke.

    Parameters
    ----------
    chips_g : float or array
        Chips as they are, with their water, 0 or more. [g]
    moisture_dry_pct : float or array
        0 to 300. [g water per 100 g dry wood]
    start_c : float
        Temperature of the chips, 0 to 90. [°C]

    Notes
    -----
    Source: ``water-enthalpy``: 4.186 kJ/(kg K) to 100 °C, then 2256.5 kJ/kg. Heating the wood is not in it.

    Examples
    --------
    >>> round(drying_heat(1000, 12))
    278
    """
    check_range("chips_g", chips_g, at_least=0)
    check_range("start_c", start_c, at_least=0, at_most=90)
    water_kg = np.asarray(chips_g, dtype=float) / 1000 * np.asarray(dry_to_wet_basis(moisture_dry_pct)) / 100
    return as_given(water_kg * _steam_kj_kg(start_c))


def _steam_kj_kg(start_c: float) -> float:
    return 4.186 * (100 - start_c) + 2256.5


@dataclass(frozen=True)
class Soaking:
    """What soaking does: water taken up [g], heat to drive it off again [kJ], delay of the smoke [min]."""

    water_g: float
    heat_kj: float
    delay_min: float
    grade: str = "web: weighing trials on cooking sites; repeat them with your own chips"


def soaking(
    chips_g: float,
    gain_pct: float = 6.0,
    heater_w: float = 500.0,
    *,
    film_g: float = 0.0,
    start_c: float = 20.0,
) -> Soaking:
    """Return what soaking chips does to the smoke: it delays it, and little else.

    Chips took up 6 % in 12 hours, chunks 3 % overnight. The water sits in the outer 2 mm and boils off first.

    Parameters
    ----------
    chips_g : float
        Chips before soaking, 0 or more. [g]
    gain_pct : float
        Water taken up, 0 to 100. Weigh your own. [g per 100 g chips]
    heater_w : float
        Heat that reaches the chips, above 0. [W]
    film_g : float
        Water that clings because the chips were not drained, 0 or more. [g]
    start_c : float
        Temperature of the chips, 0 to 90. [°C]

    Notes
    -----
    Source: ``soaking-trials`` (weak), ``water-enthalpy``.

    Examples
    --------
    >>> round(soaking(1000).delay_min * 60)
    311
    """
    check_range("chips_g", chips_g, at_least=0)
    check_range("gain_pct", gain_pct, at_least=0, at_most=100)
    check_range("heater_w", heater_w, above=0)
    check_range("film_g", film_g, at_least=0)
    check_range("start_c", start_c, at_least=0, at_most=90)
    water_g = chips_g * gain_pct / 100 + film_g
    heat_kj = water_g / 1000 * _steam_kj_kg(start_c)
    return Soaking(water_g, heat_kj, heat_kj * 1000 / heater_w / 60)
