"""Moist air: how much water it holds, how wet it feels, and how it passes heat and water to a surface."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.basics.errors import OutOfRange, check_range

Array = NDArray[np.float64]

ZERO_C_K = 273.15
TRIPLE_POINT_C = 0.01
STANDARD_PRESSURE_PA = 101325.0
WATER_VAPOUR_J_KG_K = 461.52
"""Gas constant of water vapour. [J/(kg·K)]"""
DRY_AIR_J_KG_K = 287.042
"""Gas constant of dry air. [J/(kg·K)]"""
DRY_AIR_HEAT_J_KG_K = 1006.0
VAPOUR_HEAT_J_KG_K = 1860.0
"""Specific heats of dry air and of water vapour; from memory, the handbook figures. [J/(kg·K)]"""
MOLE_RATIO = 0.621945
"""Molar mass of water over that of dry air."""

# Hyland and Wexler, as in the ASHRAE handbook: ln(Pa) over T in kelvin.
_ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
_WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 6.5459673)


def _log_pressure_ice(kelvin: Any, log: Any) -> Any:
    c = _ICE
    series = c[1] + kelvin * (c[2] + kelvin * (c[3] + kelvin * (c[4] + kelvin * c[5])))
    return c[0] / kelvin + series + c[6] * log


def _log_pressure_water(kelvin: Any, log: Any) -> Any:
    c = _WATER
    return c[0] / kelvin + c[1] + kelvin * (c[2] + kelvin * (c[3] + kelvin * c[4])) + c[5] * log


def saturation_pressure_at(temp_c: float) -> float:
    """Return the saturation pressure at one temperature, unchecked and quick. [Pa]

    For the inside of a solver; everyone else calls ``saturation_pressure``.

    Notes
    -----
    Source: ``ashrae-psychrometrics``, -100 to 200 °C.

    Examples
    --------
    >>> round(saturation_pressure_at(20.0), 1)
    2338.8
    """
    kelvin = temp_c + ZERO_C_K
    branch = _log_pressure_water if temp_c > TRIPLE_POINT_C else _log_pressure_ice
    return math.exp(branch(kelvin, math.log(kelvin)))


def saturation_pressure(temp_c: ArrayLike) -> Any:
    """Return the pressure of water vapour when air can hold no more, over ice below 0.01 °C.

    It doubles about every 11 °C near room temperature: warm air is a far bigger sponge.

    Parameters
    ----------
    temp_c : float or array
        Temperature, -100 to 200. [°C]

    Returns
    -------
    float or array
        Saturation pressure. [Pa]

    Notes
    -----
    Source: ``ashrae-psychrometrics``, Hyland and Wexler's equations, -100 to 200 °C.

    Examples
    --------
    >>> round(saturation_pressure(40), 1)
    7383.5
    """
    check_range("temp_c", temp_c, at_least=-100, at_most=200)
    if np.ndim(temp_c) == 0:
        return saturation_pressure_at(float(temp_c))  # type: ignore[arg-type]  # a scalar of any kind
    return _saturation(np.asarray(temp_c, dtype=float))


def _saturation(temp_c: Array) -> Array:
    kelvin = temp_c + ZERO_C_K
    log = np.log(kelvin)
    pressure: Array = np.exp(_log_pressure_water(kelvin, log))
    cold = temp_c <= TRIPLE_POINT_C
    if np.any(cold):
        pressure = np.where(cold, np.exp(_log_pressure_ice(kelvin, log)), pressure)
    return pressure


@dataclass(frozen=True)
class MoistAir:
    """Air in one state or in many: what the dry bulb and the hygrometer say, and what follows."""

    temp_c: Any
    rh_pct: Any
    pressure_pa: Any
    humidity_ratio: Any

    @property
    def wet_bulb_c(self) -> Any:
        """Temperature a wet surface settles at in fast air. [°C]"""
        return _as_given(_wet_bulb(self.temp_c, self.humidity_ratio, self.pressure_pa))

    @property
    def dew_point_c(self) -> Any:
        """Temperature below which water condenses out of this air; -100 stands for -100 or less. [°C]"""
        vapour = (
            np.asarray(self.rh_pct, dtype=float) / 100 * _saturation(np.asarray(self.temp_c, dtype=float))
        )
        return _as_given(_dew_point(vapour, np.asarray(self.temp_c, dtype=float)))

    @property
    def enthalpy_j_kg(self) -> Any:
        """Heat content above dry air at 0 °C. [J per kg of DRY air]"""
        dry, vapour = DRY_AIR_HEAT_J_KG_K * self.temp_c, VAPOUR_HEAT_J_KG_K * self.temp_c
        return dry + self.humidity_ratio * (2_501_000 + vapour)

    @property
    def vapour_kg_m3(self) -> Any:
        """Water vapour in a cubic metre. [kg/m³]"""
        vapour = np.asarray(self.rh_pct) / 100 * _saturation(np.asarray(self.temp_c, dtype=float))
        return _as_given(vapour / (WATER_VAPOUR_J_KG_K * (np.asarray(self.temp_c) + ZERO_C_K)))


def moist_air(
    temp_c: ArrayLike, rh_pct: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> MoistAir:
    """Return what follows from a dry-bulb temperature and a relative humidity.

    The wet bulb, not the dial on the cabinet, is the ceiling of a fillet whose surface is wet.

    Parameters
    ----------
    temp_c : float or array
        Dry bulb, -100 to 200. [°C]
    rh_pct : float or array
        Relative humidity, 0 to 100. [%]
    pressure_pa : float or array
        Air pressure, 50,000 to 120,000. [Pa]

    Returns
    -------
    MoistAir
        ``humidity_ratio`` [kg/kg dry air], ``wet_bulb_c``, ``dew_point_c`` [°C],
        ``enthalpy_j_kg`` [J/kg dry air]; floats if everything given was a number, else arrays.

    Raises
    ------
    OutOfRange
        If a number is outside its range, or there would be more vapour than air.

    Notes
    -----
    Source: ``ashrae-psychrometrics``. Ideal gases: up to 0.5 % below the handbook's tables.

    Examples
    --------
    >>> cabinet = moist_air(70, 30)
    >>> round(cabinet.humidity_ratio, 4), round(cabinet.wet_bulb_c, 1)
    (0.0633, 47.3)
    """
    check_range("temp_c", temp_c, at_least=-100, at_most=200)
    check_range(
        "rh_pct",
        rh_pct,
        at_least=0,
        at_most=100,
        likely_cause="Relative humidity is in percent: 60, not 0.6.",
    )
    check_range("pressure_pa", pressure_pa, at_least=50_000, at_most=120_000, likely_cause="Give pascals.")
    temp, rh, pressure = (_float_or_array(value) for value in (temp_c, rh_pct, pressure_pa))
    vapour = rh / 100 * saturation_pressure(temp)
    share = np.max(vapour / pressure)
    if share >= 0.95:
        raise OutOfRange(
            "the share of vapour in the air",
            round(float(share), 3),
            "below 0.95",
            "Air this hot and this humid is steam: is the humidity right?",
        )
    return MoistAir(temp, rh, pressure, MOLE_RATIO * vapour / (pressure - vapour))


def _float_or_array(value: ArrayLike) -> Any:
    return float(value) if np.ndim(value) == 0 else np.asarray(value, dtype=float)  # type: ignore[arg-type]  # scalar


def _as_given(value: Any) -> Any:
    return float(value) if np.ndim(value) == 0 else value


def _saturated_ratio(temp_c: Array, pressure_pa: Any) -> Array:
    saturated = _saturation(temp_c)
    ratio: Array = MOLE_RATIO * saturated / np.maximum(pressure_pa - saturated, 1e-3 * saturated)
    return ratio


def _ratio_at_wet_bulb(temp_c: Any, wet_c: Array, pressure_pa: Any) -> Array:
    saturated = _saturated_ratio(wet_c, pressure_pa)
    over_water = ((2501 - 2.326 * wet_c) * saturated - 1.006 * (temp_c - wet_c)) / (
        2501 + 1.86 * temp_c - 4.186 * wet_c
    )
    over_ice = ((2830 - 0.24 * wet_c) * saturated - 1.006 * (temp_c - wet_c)) / (
        2830 + 1.86 * temp_c - 2.1 * wet_c
    )
    ratio: Array = np.where(wet_c >= 0, over_water, over_ice)
    return ratio


def _wet_bulb(temp_c: Any, humidity_ratio: Any, pressure_pa: Any) -> Array:
    """Halve the gap between dew point and dry bulb 34 times: below 1e-7 °C whatever the start."""
    temp, ratio = np.broadcast_arrays(
        np.asarray(temp_c, dtype=float), np.asarray(humidity_ratio, dtype=float)
    )
    low, high = np.minimum(temp, temp - 150.0).clip(-100), temp.copy()
    for _ in range(34):
        middle = 0.5 * (low + high)
        too_wet = _ratio_at_wet_bulb(temp, middle, pressure_pa) > ratio
        high = np.where(too_wet, middle, high)
        low = np.where(too_wet, low, middle)
    found: Array = 0.5 * (low + high)
    return found


def _dew_point(vapour_pa: Array, temp_c: Array) -> Array:
    low, high = np.full(np.shape(vapour_pa), -100.0), np.array(np.broadcast_to(temp_c, np.shape(vapour_pa)))
    for _ in range(36):
        middle = 0.5 * (low + high)
        too_wet = _saturation(middle) > vapour_pa
        high = np.where(too_wet, middle, high)
        low = np.where(too_wet, low, middle)
    found: Array = np.where(low <= -100 + 1e-6, -100.0, 0.5 * (low + high))
    return found


def latent_heat(temp_c: Any) -> Any:
    """Return the heat it takes to turn a kilogram of water at this temperature into vapour. [J/kg]

    Notes
    -----
    Source: ``steam-tables``: a straight line, within 0.3 % from 0 to 100 °C.

    Examples
    --------
    >>> round(latent_heat(60.0) / 1e6, 3)
    2.358
    """
    return 2_500_900.0 - 2386.5 * temp_c


@dataclass(frozen=True)
class AirProperties:
    """How air flows, carries heat and lets vapour through."""

    density_kg_m3: float
    specific_heat_j_kg_k: float
    conductivity_w_m_k: float
    viscosity_m2_s: float
    vapour_diffusivity_m2_s: float

    @property
    def prandtl(self) -> float:
        """Spread of momentum over spread of heat."""
        return self.viscosity_m2_s * self.density_kg_m3 * self.specific_heat_j_kg_k / self.conductivity_w_m_k

    @property
    def lewis(self) -> float:
        """Spread of heat over spread of vapour."""
        return self.conductivity_w_m_k / (
            self.density_kg_m3 * self.specific_heat_j_kg_k * self.vapour_diffusivity_m2_s
        )


def air_properties(temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> AirProperties:
    """Return the transport properties of air near a surface.

    Parameters
    ----------
    temp_c : float
        Temperature of the film of air, -40 to 150. [°C]
    pressure_pa : float
        Air pressure, 50,000 to 120,000. [Pa]

    Notes
    -----
    Source: ``sutherland-air`` for viscosity and conductivity (within 1 % of a reference library);
    ``marrero-mason-1972`` for vapour in air.

    Examples
    --------
    >>> round(air_properties(25).lewis, 2)
    0.87
    """
    check_range("temp_c", temp_c, at_least=-40, at_most=150)
    check_range("pressure_pa", pressure_pa, at_least=50_000, at_most=120_000, likely_cause="Give pascals.")
    kelvin = float(temp_c) + ZERO_C_K
    density = pressure_pa / (DRY_AIR_J_KG_K * kelvin)
    viscosity = 1.716e-5 * (kelvin / ZERO_C_K) ** 1.5 * (ZERO_C_K + 110.4) / (kelvin + 110.4) / density
    conductivity = 0.0241 * (kelvin / ZERO_C_K) ** 1.5 * (ZERO_C_K + 194.0) / (kelvin + 194.0)
    diffusivity = 1.87e-10 * kelvin**2.072 * STANDARD_PRESSURE_PA / pressure_pa
    return AirProperties(density, DRY_AIR_HEAT_J_KG_K, conductivity, viscosity, diffusivity)


def plate_heat_transfer(speed_m_s: float, length_m: float, temp_c: float) -> float:
    """Return the mean heat transfer of air that sweeps a flat fillet without turbulence.

    The fan's stream is turbulent: in a real cabinet multiply by 1.0 to 1.5. It is known to about 30 %.

    Parameters
    ----------
    speed_m_s : float
        Air speed, above 0 and up to 20. [m/s]
    length_m : float
        Length of the fillet along the stream, above 0 and up to 2. [m]
    temp_c : float
        Temperature of the film of air, -40 to 150. [°C]

    Returns
    -------
    float
        Heat transfer coefficient. [W/(m²·K)]

    Raises
    ------
    OutOfRange
        If a number is outside its range, or the flow would be turbulent (Reynolds number above 500,000).

    Notes
    -----
    Source: ``incropera``, laminar flow along a plate: Nu = 0.664 Re^(1/2) Pr^(1/3).

    Examples
    --------
    >>> round(plate_heat_transfer(1.0, 0.25, 3.0), 1)
    7.9
    """
    check_range("speed_m_s", speed_m_s, above=0, at_most=20)
    check_range("length_m", length_m, above=0, at_most=2, likely_cause="Give metres, not centimetres.")
    film = air_properties(temp_c)
    reynolds = speed_m_s * length_m / film.viscosity_m2_s
    if reynolds > 5e5:
        raise OutOfRange("the Reynolds number", round(reynolds), "500,000 or less", "The flow is turbulent.")
    return float(0.664 * reynolds**0.5 * film.prandtl ** (1 / 3) * film.conductivity_w_m_k / length_m)


def mass_transfer(heat_transfer_w_m2_k: float, film_c: float) -> float:
    """Return how fast vapour leaves a wet surface, from how fast heat arrives: one boundary layer rules both.

    Parameters
    ----------
    heat_transfer_w_m2_k : float
        By convection alone, without radiation; 0 or more. [W/(m²·K)]
    film_c : float
        Temperature of the film of air, -40 to 150. [°C]

    Returns
    -------
    float
        Mass transfer coefficient on the vapour's density. [m/s]

    Notes
    -----
    Source: ``chilton-colburn-1934``: h_m = h / (ρ c Le^(2/3)).

    Examples
    --------
    >>> round(mass_transfer(20, 60), 4)
    0.0208
    """
    check_range("heat_transfer_w_m2_k", heat_transfer_w_m2_k, at_least=0, at_most=500)
    film = air_properties(film_c)
    return float(
        heat_transfer_w_m2_k / (film.density_kg_m3 * film.specific_heat_j_kg_k * film.lewis ** (2 / 3))
    )
