"""What one face of a slab meets: air, moisture, walls; and the one formula for what passes through it."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import OutOfRange, check_range
from kit.process.physics import air

STEFAN_BOLTZMANN = 5.670374e-8
"""[W/(m²·K⁴)]"""
BRINE_GAINS_C = 12.0
"""Damp air settles on a strong brine until it is warmer than the air: by 6 °C where it is saturated. [°C]"""
EMISSIVITY = 0.95
"""Of wet flesh, skin and painted or smoked steel; common practice, no source."""


@dataclass(frozen=True, eq=False)
class AirPath:
    """Air that changes: its temperature [°C] and humidity [%] over time [min]."""

    time_min: NDArray[np.float64]
    air_c: NDArray[np.float64]
    rh_pct: NDArray[np.float64]


@dataclass(frozen=True)
class Face:
    """What one face of the slab meets: air, its moisture, warm walls, and how wet the face is.

    Parameters
    ----------
    air_c : float
        Air temperature, -45 to 150. [°C]
    rh_pct : float
        Relative humidity at the fish, 0 to 100. [%]
    h_w_m2_k : float
        Heat transfer by convection alone, 0 to 500; 0 with ``emissivity`` 0 is a face that lets nothing
        through. [W/(m²·K)]
    wetness : float
        Share of a free water surface's evaporation: 1 wet, about 0.1 to 0.3 with a set pellicle, 0 dry
        skin. Condensation is not scaled: a cold piece fogs whatever its skin. [1]
    dries_after_g_m2 : float, optional
        Water lost after which wetness has fallen to 37 %, above 0. Without it the wetness stays. [g/m²]
    walls_c : float, optional
        Temperature of the walls the face looks at; that of the air if not given. [°C]
    emissivity : float
        How well the face takes up radiation, 0 to 1. [1]
    water_activity : float
        Of the face, 0 to 1; 0.98 suits a light cure (3.5 % water-phase salt). [1]
    path : AirPath, optional
        Air that changes, in place of ``air_c``, ``rh_pct`` and ``walls_c``.
    path_from_min : float
        Where on the path this stay begins. [min]

    Notes
    -----
    Source: ``surface-transfer`` for h: 10 to 16 in still cabinets with radiation, 18 to 30 with a fan.

    Examples
    --------
    >>> Face(air_c=70, rh_pct=30, h_w_m2_k=20, wetness=1).wetness
    1
    """

    air_c: float
    rh_pct: float = 50.0
    h_w_m2_k: float = 20.0
    wetness: float = 0.0
    dries_after_g_m2: float | None = None
    walls_c: float | None = None
    emissivity: float = EMISSIVITY
    water_activity: float = 0.98
    path: AirPath | None = None
    path_from_min: float = 0.0

    def __post_init__(self) -> None:
        check_range("air_c", self.air_c, at_least=-45, at_most=150, likely_cause="Was it given in °F?")
        check_range("rh_pct", self.rh_pct, at_least=0, at_most=100, likely_cause="Give percent: 60, not 0.6.")
        check_range("h_w_m2_k", self.h_w_m2_k, at_least=0, at_most=500)
        check_range("wetness", self.wetness, at_least=0, at_most=1, likely_cause="Give a fraction.")
        check_range("emissivity", self.emissivity, at_least=0, at_most=1)
        check_range("water_activity", self.water_activity, at_least=0, at_most=1)
        if self.dries_after_g_m2 is not None:
            check_range("dries_after_g_m2", self.dries_after_g_m2, above=0)
        if self.walls_c is not None:
            check_range("walls_c", self.walls_c, at_least=-60, at_most=400)


SEALED = Face(air_c=20.0, h_w_m2_k=0.0, emissivity=0.0)
"""A face that lets neither heat nor water through: the middle of a stack, or a tray that insulates."""


Flows = Callable[[Any, Any, Any, Any, Any], tuple[Any, Any, Any]]
"""Takes a surface temperature, the water lost so far, the saturation pressure there, an exponential
(``math.exp`` for a number, ``numpy.exp`` for an array) and the time since the stay began [s]. Returns heat
into the face [W/m²], water evaporated and water condensed [kg/(m²·s)]."""


@lru_cache(maxsize=256)
def kept_flows(face: Face) -> Flows:
    """Return the formula of a face, worked out once and kept."""
    return flows_of(face, face.h_w_m2_k)


def flows_of(face: Face, h_w_m2_k: Any, wetness: Any = None) -> Flows:
    """Boil a face down to one formula with its constants in place: a solver asks it hundreds of times.

    Parameters
    ----------
    face : Face
        What the face meets.
    h_w_m2_k : float or array
        Heat transfer in place of the face's own: an array for many batches at once. [W/(m²·K)]
    wetness : array, optional
        Wetness in place of the face's own: an array for both faces at once. [1]

    Examples
    --------
    >>> import numpy as np
    >>> formula = flows_of(Face(air_c=70, rh_pct=30), np.array([10.0, 20.0]))
    >>> heat, _, _ = formula(np.array([20.0, 20.0]), 0.0, air.saturation_pressure(20.0), np.exp, 0.0)
    >>> bool(heat[1] > heat[0])
    True
    """
    if face.path is not None:
        return _flows_along(face, face.path, h_w_m2_k, wetness)
    state = air.moist_air(face.air_c, face.rh_pct)
    walls = face.air_c if face.walls_c is None else face.walls_c
    radiation, walls_k4 = face.emissivity * STEFAN_BOLTZMANN, (walls + air.ZERO_C_K) ** 4
    transfer = 0.5 * h_w_m2_k * air.mass_transfer(1.0, 0.5 * (face.air_c + state.wet_bulb_c))
    there, here = state.vapour_kg_m3, face.water_activity / air.WATER_VAPOUR_J_KG_K
    air_c, share = face.air_c, face.wetness if wetness is None else wetness
    dry = wetness is None and not face.wetness
    dries_after = math.inf if face.dries_after_g_m2 is None else face.dries_after_g_m2 / 1000

    def flows(
        surface_c: Any, lost_kg_m2: Any, saturation_pa: Any, exp: Any, _time_s: Any
    ) -> tuple[Any, Any, Any]:
        wet = 0.0 if dry else share * exp(-lost_kg_m2 / dries_after)
        face_is = (h_w_m2_k, transfer, wet, radiation, here)
        return passing(surface_c, saturation_pa, air_c, there, walls_k4, face_is)

    return flows


@lru_cache(maxsize=128)
def _rows_of(path: AirPath) -> NDArray[np.float64]:
    """Return air [°C], its vapour [kg/m³] and mass transfer over convection, along a path: kept for each."""
    state = air.moist_air(path.air_c, path.rh_pct)
    films = 0.5 * (path.air_c + state.wet_bulb_c)
    return np.array([path.air_c, state.vapour_kg_m3, [air.mass_transfer(1.0, film) for film in films]])


def _flows_along(face: Face, path: AirPath, h_w_m2_k: Any, wetness: Any) -> Flows:
    """Return the formula of a face in air that changes."""
    rows = _rows_of(path)
    seconds, begin = 60 * path.time_min, 60 * face.path_from_min
    radiation, here = face.emissivity * STEFAN_BOLTZMANN, face.water_activity / air.WATER_VAPOUR_J_KG_K
    dries_after = math.inf if face.dries_after_g_m2 is None else face.dries_after_g_m2 / 1000
    share, dry = face.wetness if wetness is None else wetness, wetness is None and not face.wetness

    def flows(
        surface_c: Any, lost_kg_m2: Any, saturation_pa: Any, exp: Any, time_s: Any
    ) -> tuple[Any, Any, Any]:
        air_c, there, transfer = (np.interp(time_s + begin, seconds, row) for row in rows)
        wet = 0.0 if dry else share * exp(-lost_kg_m2 / dries_after)
        face_is = (h_w_m2_k, 0.5 * h_w_m2_k * transfer, wet, radiation, here)
        return passing(surface_c, saturation_pa, air_c, there, (air_c + air.ZERO_C_K) ** 4, face_is)

    return flows


def passing(
    surface_c: Any, saturation_pa: Any, air_c: Any, vapour_kg_m3: Any, walls_k4: Any, face: tuple[Any, ...]
) -> tuple[Any, Any, Any]:
    """Return heat into a face [W/m²], water evaporated and condensed [kg/(m²·s)]: the one formula.

    Parameters
    ----------
    surface_c, saturation_pa : float or array
        Of the face. [°C], [Pa]
    air_c, vapour_kg_m3, walls_k4 : float or array
        Of the air [°C], [kg/m³]; the walls' temperature to the fourth power [K⁴].
    face : tuple
        Convection [W/(m²·K)], half of mass transfer [m/s], wetness, emissivity times Stefan and Boltzmann's
        constant, water activity over the gas constant of vapour.

    Notes
    -----
    Source: ``chilton-colburn-1934``. Unchecked and quick: for solvers.

    Examples
    --------
    >>> heat, gone, settled = passing(5.0, 872.0, 70.0, 0.06, 343.0**4, (20.0, 0.01, 0.0, 5e-8, 0.98 / 461.5))
    >>> heat > 20 * 65, gone, settled > 0
    (True, 0.0, True)
    """
    convection, half_transfer, wet, radiation, here = face
    kelvin = surface_c + air.ZERO_C_K
    drive = here * saturation_pa / kelvin - vapour_kg_m3
    size = abs(drive)
    evaporated = wet * half_transfer * (size + drive)
    condensed = half_transfer * (size - drive)
    heat = (
        convection * (air_c - surface_c)
        + radiation * (walls_k4 - kelvin**4)
        + air.latent_heat(surface_c) * (condensed - evaporated)
    )
    return heat, evaporated, condensed


def stall_temp(face: Face) -> float:
    """Return the temperature at which a face takes in no more heat: as far as it can get, for now.

    A wet face stalls a degree or two above the wet bulb. Only drier skin or damper air moves it on.

    Parameters
    ----------
    face : Face
        What the face meets, at its present wetness.

    Returns
    -------
    float
        The temperature where heat in and heat out are equal. [°C]

    Raises
    ------
    OutOfRange
        If the face lets no heat through.

    Notes
    -----
    Source: ``chilton-colburn-1934``, with radiation from the walls.

    Examples
    --------
    >>> round(stall_temp(Face(air_c=70, rh_pct=30, wetness=1)), 1)
    47.4
    >>> round(stall_temp(Face(air_c=70, rh_pct=30, wetness=0)), 1)
    70.0
    """
    if face.h_w_m2_k == 0 and face.emissivity == 0:
        raise OutOfRange("h_w_m2_k", 0.0, "above 0", "A sealed face takes the temperature of the fish.")
    from scipy.optimize import brentq

    flows = kept_flows(face)
    low = min(face.air_c, face.walls_c if face.walls_c is not None else face.air_c) - 90
    high = max(face.air_c, face.walls_c if face.walls_c is not None else face.air_c) + BRINE_GAINS_C
    return float(
        brentq(
            lambda temp: flows(temp, 0.0, air.saturation_pressure_at(temp), math.exp, 0.0)[0],
            max(low, -99.0),
            high,
            xtol=1e-6,
        )
    )


@dataclass(frozen=True)
class FaceFlows:
    """What passes a face at one moment. [W/m²], [kg/(m²·s)]"""

    heat_w_m2: float
    evaporated_kg_m2_s: float
    condensed_kg_m2_s: float


def face_flows(face: Face, surface_c: float) -> FaceFlows:
    """Return what passes a face whose surface has this temperature, at its present wetness.

    Notes
    -----
    Source: ``chilton-colburn-1934``, as in the solver.

    Examples
    --------
    >>> wet = face_flows(Face(air_c=70, rh_pct=30, wetness=1), 47.4)
    >>> wet.evaporated_kg_m2_s > 0 and abs(wet.heat_w_m2) < 5
    True
    """
    check_range("surface_c", surface_c, at_least=-60, at_most=150)
    found = kept_flows(face)(surface_c, 0.0, air.saturation_pressure_at(surface_c), math.exp, 0.0)
    return FaceFlows(*(float(each) for each in found))
