"""The air that dries: its humidity at the fish, and where a wet face settles in it."""

import math
from dataclasses import dataclass

from kit.basics.errors import OutOfRange, check_range
from kit.process.physics import air
from kit.process.physics.slab import EMISSIVITY, STEFAN_BOLTZMANN


def rh_at_fish(
    sensor_c: float,
    sensor_rh_pct: float,
    fish_air_c: float,
    *,
    evaporation_g_h: float = 0.0,
    air_kg_h: float = math.inf,
) -> float:
    """Return the humidity of the air AT the fish, from a sensor somewhere else. [%]

    Same water, other temperature, other humidity. And a full rack moistens its own air. The number on the
    door is not the number at the fish.

    Parameters
    ----------
    sensor_c, sensor_rh_pct : float
        Where the sensor hangs: -30 to 60 [°C] and 0 to 100 [%].
    fish_air_c : float
        Air temperature at the fish, -30 to 60. [°C]
    evaporation_g_h : float
        Water that the load gives off, 0 or more. [g/h]
    air_kg_h : float
        Air that sweeps the load, above 0; without it the load does not matter. [kg/h]

    Raises
    ------
    OutOfRange
        If a number is missing or outside its range, or the air at the fish would be foggy.

    Notes
    -----
    Source: ``ashrae-psychrometrics``: the humidity ratio is carried over.

    Examples
    --------
    >>> round(rh_at_fish(1.0, 90, 4.0), 1)
    72.7
    """
    for name, temp in (("sensor_c", sensor_c), ("fish_air_c", fish_air_c)):
        check_range(name, temp, at_least=-30, at_most=60)
    check_range("evaporation_g_h", evaporation_g_h, at_least=0)
    if not air_kg_h > 0:
        raise OutOfRange("air_kg_h", air_kg_h, "above 0")
    ratio = air.moist_air(sensor_c, sensor_rh_pct).humidity_ratio + evaporation_g_h / 1000 / air_kg_h
    most = air.moist_air(fish_air_c, 100).humidity_ratio
    cause = "This air would be foggy at the fish: water would settle on it, not leave it."
    check_range(
        "humidity at the fish over what the air can hold", ratio / most, at_most=1, likely_cause=cause
    )
    pressure = air.STANDARD_PRESSURE_PA * ratio / (air.MOLE_RATIO + ratio)
    return float(100 * pressure / air.saturation_pressure(fish_air_c))


@dataclass(frozen=True)
class Draught:
    """The air that dries: temperature [°C], humidity at the fish [%], speed [m/s], and how it meets the fish.

    Parameters
    ----------
    air_c, rh_pct, speed_m_s : float
        -1 to 40, 0 to 100, and 0.05 to 10.
    length_m : float
        Length of the fillet along the stream, 0.02 to 1. [m]
    turbulence : float
        Fans stir: 1 (smooth stream) to 1.5 times the smooth plate. [-]
    rack : bool
        True if both sides meet the air; False if the fillet lies on a tray.
    """

    air_c: float
    rh_pct: float
    speed_m_s: float
    length_m: float = 0.25
    turbulence: float = 1.25
    rack: bool = True

    def __post_init__(self) -> None:
        check_range(
            "air_c", self.air_c, at_least=-1, at_most=40, likely_cause="Warmer is a cook, not drying."
        )
        check_range("rh_pct", self.rh_pct, at_least=0, at_most=100, likely_cause="Give percent: 60, not 0.6.")
        check_range("speed_m_s", self.speed_m_s, at_least=0.05, at_most=10)
        check_range("length_m", self.length_m, at_least=0.02, at_most=1, likely_cause="Give metres.")
        check_range("turbulence", self.turbulence, at_least=1, at_most=1.5)

    @property
    def heat_transfer_w_m2_k(self) -> float:
        """By convection alone. [W/(m²·K)]"""
        return self.turbulence * air.plate_heat_transfer(self.speed_m_s, self.length_m, self.air_c)

    @property
    def radiation_w_m2_k(self) -> float:
        """From walls as warm as the air. [W/(m²·K)]"""
        return 4 * EMISSIVITY * STEFAN_BOLTZMANN * (self.air_c + air.ZERO_C_K) ** 3


@dataclass(frozen=True)
class WetSurface:
    """A wet face in a draught: where it settles, and what it loses at first."""

    temp_c: float
    wet_bulb_c: float
    loss_g_m2_h: float
    heat_transfer_w_m2_k: float


def wet_surface(draught: Draught, water_activity: float = 0.98, *, radiation: bool = True) -> WetSurface:
    """Return where a thin wet face settles in a draught, and how much water it gives off there.

    It settles a little above the wet bulb, because walls shine on it; far below the air. Below 100 % humidity
    a wet fish is always colder than its room.

    Parameters
    ----------
    draught : Draught
        The air.
    water_activity : float
        Of the face, above 0 to 1; 0.98 suits a light cure. [-]
    radiation : bool
        Whether walls as warm as the air shine on the face.

    Notes
    -----
    Source: ``chilton-colburn-1934``, ``incropera``.

    Examples
    --------
    >>> face = wet_surface(Draught(3.0, 80, 1.0))
    >>> round(face.temp_c, 1), round(face.loss_g_m2_h)
    (2.0, 21)
    """
    check_range("water_activity", water_activity, above=0, at_most=1)
    state = air.moist_air(draught.air_c, draught.rh_pct)
    convection = draught.heat_transfer_w_m2_k
    heat = convection + (draught.radiation_w_m2_k if radiation else 0.0)
    speed = air.mass_transfer(convection, 0.5 * (draught.air_c + state.wet_bulb_c))

    def leaving(temp_c: float) -> float:
        wet = air.saturation_pressure_at(temp_c) / (air.WATER_VAPOUR_J_KG_K * (temp_c + air.ZERO_C_K))
        return speed * (water_activity * wet - float(state.vapour_kg_m3))

    from scipy.optimize import brentq

    def gain(temp_c: float) -> float:
        return heat * (draught.air_c - temp_c) - leaving(temp_c) * float(air.latent_heat(temp_c))

    settled = float(brentq(gain, draught.air_c - 60, draught.air_c + 30, xtol=1e-9))
    return WetSurface(settled, float(state.wet_bulb_c), leaving(settled) * 3.6e6, convection)
