"""A slab between two faces: convection, radiation, evaporation and condensation, properties that follow
the temperature. It warms in the cabinet and cools in the chiller by the same few lines."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import BadData, check_range
from kit.process.physics import air, food
from kit.process.physics.faces import (
    EMISSIVITY,
    SEALED,
    STEFAN_BOLTZMANN,
    Face,
    FaceFlows,
    Flows,
    face_flows,
    flows_of,
    kept_flows,
    stall_temp,
)

__all__ = [
    "EMISSIVITY",
    "SEALED",
    "STEFAN_BOLTZMANN",
    "Face",
    "FaceFlows",
    "Run",
    "face_flows",
    "flows_of",
    "output_times",
    "stall_temp",
    "warm",
]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Run:
    """What a slab did under unchanging faces. Index 0 is the flesh face, 1 the other.

    Parameters
    ----------
    time_min : array of shape (m,)
        [min]
    temp_c : array of shape (m, n)
        Temperature at each time and depth. [°C]
    evaporated_g_m2, condensed_g_m2 : arrays of shape (m, 2)
        Water gone from each face, ``lost_g_m2`` included, and settled on it since the start. [g/m²]
    heat_in_j_m2 : array of shape (m, 2)
        Heat through each face since the start, from the flows at the faces. [J/m²]
    heat_gain_j_m2 : array of shape (m,)
        The same heat, from the temperatures inside. The two must agree. [J/m²]
    """

    time_min: Array
    temp_c: Array
    evaporated_g_m2: Array
    condensed_g_m2: Array
    heat_in_j_m2: Array
    heat_gain_j_m2: Array


RELATIVE_TOLERANCE, ABSOLUTE_TOLERANCE = 6e-5, 6e-4
"""Of the time steps. Tightened a hundredfold, a 2 h cook changes by under 0.003 °C (see the tests);
a good probe reads to 0.5 °C."""


def output_times(minutes: float) -> Array:
    """Return times from 0 to ``minutes``: close together at first, from 15 min every half minute. [min]

    Examples
    --------
    >>> times = output_times(10)
    >>> float(times[0]), float(times[-1])
    (0.0, 10.0)
    """
    check_range("minutes", minutes, above=0, at_most=20_000)
    early = np.concatenate([[0.0, 0.02, 0.05, 0.1, 0.17, 0.25, 0.35], np.arange(0.5, 15, 0.25)])
    late = np.linspace(15, max(minutes, 15), max(2, min(2000, math.ceil(2 * (minutes - 15)))))
    both = np.concatenate([early, late])
    return np.append(both[both < minutes - 1e-9], minutes)


def warm(
    temp_c: Array,
    fraction: Array,
    weight: Array,
    thickness_mm: float,
    table: food.PropertyTable,
    faces: tuple[Face, Face],
    time_min: Array,
    *,
    lost_g_m2: tuple[float, float] = (0.0, 0.0),
    tolerance: float = 1.0,
) -> Run:
    """Return what a slab does between two faces that stay as they are; it may warm or cool.

    The slab is cut into shells around the points of the grid; heat passes between neighbours with the
    conductivity of the two, so none is lost on the way. Properties follow the temperature.

    Parameters
    ----------
    temp_c : array of shape (n,)
        Temperatures at the start, above freezing. [°C]
    fraction, weight : arrays of shape (n,)
        Depths as fractions, and the share of the slab each stands for (``fillet.grid``). [1]
    thickness_mm : float
        FULL thickness. [mm]
    table : food.PropertyTable
        How the flesh carries and stores heat.
    faces : tuple of two Face
        Flesh face first.
    time_min : array of shape (m,)
        Times at which to report, rising from 0. [min]
    lost_g_m2 : tuple of two float
        Water each face lost in the steps before, for a face that dries. [g/m²]
    tolerance : float
        Multiplies the tolerances of the time steps; 1 is ours.

    Raises
    ------
    BadData
        If times do not rise from 0, or the solver gives up.
    OutOfRange
        If the slab is frozen, or would freeze.

    Notes
    -----
    Source: ``incropera`` for the balance; ``lsoda`` for the time steps. On the kit's grid of 81 points
    it is within 0.01 °C of the exact series at every point from the first minute on.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> piece = fillet.raw("trout, farmed", 20, 150)
    >>> fraction, weight = fillet.grid()
    >>> cabinet = Face(air_c=75, rh_pct=50)
    >>> times = output_times(30)
    >>> flesh = food.table(piece.composition)
    >>> run = warm(piece.temp_c, fraction, weight, 20, flesh, (cabinet, cabinet), times)
    >>> bool(run.temp_c[-1, 40] > 40)
    True
    """
    if time_min[0] != 0 or np.any(np.diff(time_min) <= 0):
        raise BadData("slab.warm", "the times do not rise from 0", "minutes from 0, strictly rising")
    _check_unfrozen(temp_c, table)
    alike = faces[0] == faces[1] and lost_g_m2[0] == lost_g_m2[1] and np.array_equal(temp_c, temp_c[::-1])
    depth_m = fraction * thickness_mm / 1000
    share_m = weight * thickness_mm / 1000
    both = (kept_flows(faces[0]), kept_flows(faces[1]))
    lost = np.array(lost_g_m2) / 1000
    if alike:
        keep = slice(0, len(temp_c) // 2 + 1)
        half_share = share_m[keep].copy()
        half_share[-1] /= 2
        start = np.concatenate([lost[:1], temp_c[keep], [0.0]])
        half = _integrate(start, depth_m[keep], half_share, table, (both[0], None), time_min, tolerance)
        profile, lost_rows = np.hstack([half[:, 1:-1], half[:, -3:0:-1]]), half[:, [0, 0]]
    else:
        start = np.concatenate([lost[:1], temp_c, lost[1:]])
        whole = _integrate(start, depth_m, share_m, table, both, time_min, tolerance)
        profile, lost_rows = whole[:, 1:-1], whole[:, [0, -1]]
    return _account(time_min, profile, lost_rows, share_m, table, both)


def _integrate(
    start: Array,
    depth_m: Array,
    share_m: Array,
    table: food.PropertyTable,
    faces: tuple[Flows, Flows | None],
    time_min: Array,
    tolerance: float,
) -> Array:
    """Return rows of [water lost at the first face, temperatures, water lost at the last face]."""
    from scipy.integrate import odeint

    absolute = np.full(start.size, ABSOLUTE_TOLERANCE * tolerance)
    absolute[[0, -1]] = 1e-6 * tolerance
    rows, report = odeint(
        _slopes(depth_m, share_m, table, faces),
        start,
        time_min * 60,
        ml=1,
        mu=1,
        rtol=RELATIVE_TOLERANCE * tolerance,
        atol=absolute,
        tfirst=True,
        full_output=True,
        mxstep=5000,
        mxordn=2,  # the start is stiff: higher orders only put off the switch
    )
    if report["message"] != "Integration successful." or not np.all(np.isfinite(rows)):
        raise BadData("slab.warm", f"the solver stopped: {report['message']}", "milder settings")
    found: Array = rows
    return found


def _slopes(
    depth_m: Array, share_m: Array, table: food.PropertyTable, faces: tuple[Flows, Flows | None]
) -> Callable[[float, Array], Array]:
    """Return the rates of change. Called hundreds of times a cook, so it makes no new arrays but one."""
    rungs, looked_up = table.temp_c, table.paired
    per_step, per_share = 1 / np.diff(depth_m), 1 / share_m
    first, last = faces
    exp, saturation = math.exp, air.saturation_pressure_at
    slope = np.zeros(depth_m.size + 2)
    flow = np.zeros(depth_m.size + 1)  # towards greater depth, through each wall
    inner, before, after, between = slope[1:-1], flow[:-1], flow[1:], flow[1:-1]

    def slopes(time_s: float, state: Array) -> Array:
        temp = state[1:-1]
        both = np.interp(temp, rungs, looked_up)
        pull, per_heat = both.real, both.imag
        np.subtract(pull[:-1], pull[1:], between)
        np.multiply(between, per_step, between)
        surface_c = float(temp[0])
        flow[0], slope[0], _ = first(surface_c, float(state[0]), saturation(surface_c), exp, time_s)
        if last is not None:
            surface_c = float(temp[-1])
            into, slope[-1], _ = last(surface_c, float(state[-1]), saturation(surface_c), exp, time_s)
            flow[-1] = -into
        np.subtract(before, after, inner)
        np.multiply(inner, per_share, inner)
        np.multiply(inner, per_heat, inner)
        return slope

    return slopes


def _account(
    time_min: Array,
    profile: Array,
    lost: Array,
    share_m: Array,
    table: food.PropertyTable,
    faces: tuple[Flows, Flows],
) -> Run:
    """Add up what passed the faces, from the temperatures the solver found there."""
    _check_unfrozen(profile, table)
    surface = profile[:, [0, -1]]
    saturation = air.saturation_pressure(surface)
    rates = np.empty((time_min.size, 4))  # heat, heat, condensed, condensed
    for side, flows in enumerate(faces):
        rates[:, side], _, rates[:, 2 + side] = flows(
            surface[:, side], lost[:, side], saturation[:, side], np.exp, 60 * time_min
        )
    passed = _summed(time_min * 60, rates)
    content = table.heat_content(profile) @ share_m
    return Run(
        time_min=time_min,
        temp_c=profile,
        evaporated_g_m2=1000 * lost,
        condensed_g_m2=1000 * passed[:, 2:],
        heat_in_j_m2=passed[:, :2],
        heat_gain_j_m2=content - content[0],
    )


def _check_unfrozen(temp_c: Array, table: food.PropertyTable) -> None:
    check_range(
        "temp_c",
        temp_c,
        at_least=float(table.temp_c[0]),
        at_most=float(table.temp_c[-1]),
        likely_cause="The slab does not know ice: is the fish frozen, or would it freeze in this air?",
    )


def _summed(seconds: Array, rates: Array) -> Array:
    """Sum up rates over time by straight lines between the rows; heat, the smooth one, with its bend."""
    step = np.diff(seconds)[:, np.newaxis]
    bend = np.zeros((step.size, rates.shape[1]))
    if seconds.size > 2:
        bend[:, :2] = np.diff(np.gradient(rates[:, :2], seconds, axis=0), axis=0)
    total = np.zeros(rates.shape)
    np.cumsum(0.5 * (rates[1:] + rates[:-1]) * step - bend * step**2 / 12, axis=0, out=total[1:])
    return total
