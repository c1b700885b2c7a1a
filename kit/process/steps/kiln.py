"""The cabinet's air as an outcome: heater, vents, steam, room and load make it, rack by rack."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import BadData, check_range
from kit.process.physics.faces import AirPath
from kit.process.steps import fillet as fillets
from kit.process.steps.cabinet import CabinetPlan
from kit.process.steps.fillet import Fillet
from kit.process.steps.hold import hold_air
from kit.process.steps.kiln_air import Inside, Kiln, KilnRun, KilnStage

__all__ = ["Kiln", "KilnRun", "KilnStage", "in_its_air", "run", "usual_air"]

Array = NDArray[np.float64]


def run(
    kiln: Kiln,
    piece: Fillet,
    load_kg: float | Sequence[float],
    stages: Sequence[KilnStage],
    *,
    h_w_m2_k: float = 20.0,
    wetness: float = 0.2,
    probed: int = 0,
) -> KilnRun:
    """Return the air that a kiln and its load make for each other, stage by stage.

    Nobody sets the humidity of a plain kiln: the load gives water off, the vents take it away.

    Parameters
    ----------
    kiln : Kiln
        The cabinet.
    piece : Fillet
        One piece; the others are like it.
    load_kg : float or sequence of float
        Fish in all, or on each rack, above 0 to 2,000 in all. [kg]
    stages : sequence of KilnStage
        One after the other.
    h_w_m2_k, wetness : float
        As in ``CabinetPlan``. [W/(m²·K)], [1]
    probed : int
        The rack whose core ends a stage, counted from 0.

    Raises
    ------
    BadData
        If there is no stage, no such rack, or the solver gives up.

    Notes
    -----
    Source: ``incropera``, ``chilton-colburn-1934``, ``ashrae-psychrometrics``. Air and inner metal have one
    temperature where the air leaves the heater; the air cools from rack to rack.
    The thermostat is within 1 °C.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> piece = fillet.raw("salmon, farmed", 26, 200)
    >>> done = run(Kiln(), piece, 10, [KilnStage("cook", 75, 60)])
    >>> bool(done.air_c[10, 0] > done.air_c[10, -1]), done.water_error < 0.01
    (True, True)
    """
    if not stages:
        raise BadData("kiln.run", "there is no stage", "at least one")
    if not 0 <= probed < kiln.racks:
        raise BadData("probed", f"there is no rack {probed}", f"0 to {kiln.racks - 1}")
    check_range("h_w_m2_k", h_w_m2_k, above=0, at_most=500)
    check_range("wetness", wetness, at_least=0, at_most=1)
    inside = Inside(kiln, piece, _by_rack(kiln, load_kg), h_w_m2_k, wetness)
    for stage in stages:
        inside.follow(stage, probed)
    return inside.result()


DOOR_M3_H = 600.0
"""Room air that comes in through an open door; ours, no source. [m³/h]"""
AFTER_MIN = 30.0
"""The air is followed so much longer than the hold asks, for a piece that is later. [min]"""


def in_its_air(
    kiln: Kiln,
    piece: Fillet,
    load_kg: float,
    plan: CabinetPlan,
    doors: Sequence[tuple[float, float]] = (),
    *,
    turn_down: bool = False,
) -> CabinetPlan:
    """Return the plan in the air that the kiln and its load make; the probed piece hangs on the last rack.

    Parameters
    ----------
    kiln, piece, load_kg
        As in ``run``. [kg]
    plan : CabinetPlan
        Its temperatures set the thermostat, its humidities the steam maker, if there is one.
    doors : sequence of (start, length)
        Minutes after the cook began, and how long the door stays open. [min]
    turn_down : bool
        Hold in the air in which this fish holds, by the humidity there is; otherwise as the plan says.

    Notes
    -----
    Source: as ``run``. The last rack has the coolest air.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> piece = fillet.raw("salmon, farmed", 26, 200)
    >>> plan = CabinetPlan(core_target_c=64, cabinet_c=80, rh_pct=45, smoke_min=25, hold_c=70, hold_min=10)
    >>> air_path = in_its_air(Kiln(), piece, 12, plan).air
    >>> bool(air_path.rh_pct[10:60].max() < 30)
    True
    """
    smoke_c = plan.cabinet_c if plan.smoke_c is None else plan.smoke_c
    stages = [KilnStage("smoke", smoke_c, plan.smoke_min, SMOKE_VENTS)] if plan.smoke_min > 0 else []
    at = 0.0
    for start, length in doors:
        stages += [KilnStage("cook", plan.cabinet_c, max(start - at, 0.1), steam_rh_pct=plan.rh_pct)]
        stages += [KilnStage("door", plan.cabinet_c, length, door_m3_h=DOOR_M3_H)]
        at = start + length
    longest = plan.max_cook_min if plan.cook_min is None else max(plan.cook_min, 0.1)
    until = plan.core_target_c if plan.cook_min is None else None
    stages += [KilnStage("cook", plan.cabinet_c, max(1.0, longest - at), 0.0, plan.rh_pct, until)]
    inside = Inside(kiln, piece, _by_rack(kiln, load_kg), plan.h_w_m2_k, plan.wetness)
    last = kiln.racks - 1
    for stage in stages:
        inside.follow(stage, last)
    hold_c = plan.cabinet_c if plan.hold_c is None else plan.hold_c
    if turn_down:
        hold_c = hold_air(inside.face(last), plan.core_target_c, dry_skin=piece.skin_on)
    hold_rh = plan.rh_pct if plan.hold_rh_pct is None else plan.hold_rh_pct
    inside.follow(KilnStage("hold", hold_c, plan.hold_min + AFTER_MIN, steam_rh_pct=hold_rh), last)
    return dataclasses.replace(plan, hold_c=hold_c, air=inside.result().path(last))


SMOKE_VENTS = 0.3
"""How far the vents are open while it smokes; ours, no source. [1]"""
COOK_MIN = 150.0
"""The air of a usual cook is followed so long; by then it hardly changes. [min]"""
_USUAL_FISH, _USUAL_G = "salmon, farmed", 200.0


def usual_air(
    thickness_mm: float,
    load_kg: float,
    cabinet_c: float,
    smoke_min: float,
    *,
    wetness: float = 0.2,
    skin_on: bool = True,
    vents: float = 0.0,
    h_w_m2_k: float = 20.0,
) -> AirPath:
    """Return the air that a plain small kiln and its load make, with no steam: on the last rack, by time.

    Worked out once for pieces that are alike (to 1 mm, 1 min, a tenth of wetness), then kept: a day in this
    air costs hardly more than one in air that is set.

    Parameters
    ----------
    thickness_mm : float
        FULL thickness of the pieces, 2 to 150. [mm]
    load_kg : float
        Fish in all, above 0 to 2,000. [kg]
    cabinet_c : float
        What the thermostat is set to, 20 to 120. [°C]
    smoke_min : float
        Minutes of smoke before the cook, with the vents a third open, 0 to 1,440. [min]
    wetness, h_w_m2_k
        As in ``CabinetPlan``. [1], [W/(m²·K)]
    skin_on : bool
        The skin gives no water off.
    vents : float
        How far the vents are open after the smoke, 0 to 1. [1]

    Notes
    -----
    Source: as ``run``, with a ``Kiln`` as it comes and salmon in it. Another kiln has another air.

    Examples
    --------
    >>> path = usual_air(26, 12, 80, 25)
    >>> bool(path.air_c.max() < 80.5), path is usual_air(26.2, 12, 80, 25.3)
    (True, True)
    """
    check_range("thickness_mm", thickness_mm, at_least=2, at_most=150)
    check_range("cabinet_c", cabinet_c, at_least=20, at_most=120)
    check_range("smoke_min", smoke_min, at_least=0, at_most=1440)
    check_range("wetness", wetness, at_least=0, at_most=1)
    like = (round(thickness_mm), float(load_kg), float(cabinet_c), round(smoke_min), round(10 * wetness))
    return _kept_air(like, skin_on, float(vents), float(h_w_m2_k))


@lru_cache(maxsize=512)
def _kept_air(
    like: tuple[int, float, float, int, int], skin_on: bool, vents: float, h_w_m2_k: float
) -> AirPath:
    thickness_mm, load_kg, cabinet_c, smoke_min, tenths = like
    piece = fillets.raw(_USUAL_FISH, thickness_mm, _USUAL_G, skin_on=skin_on)
    stages = [KilnStage("smoke", cabinet_c, smoke_min, max(SMOKE_VENTS, vents))] if smoke_min else []
    stages.append(KilnStage("cook", cabinet_c, COOK_MIN, vents))
    found = run(Kiln(), piece, load_kg, stages, h_w_m2_k=h_w_m2_k, wetness=tenths / 10)
    return found.path(found.air_c.shape[1] - 1)


def _by_rack(kiln: Kiln, load_kg: float | Sequence[float]) -> Array:
    loads = np.atleast_1d(np.asarray(load_kg, dtype=float))
    if loads.size == 1:
        loads = np.full(kiln.racks, loads[0] / kiln.racks)
    if loads.size != kiln.racks:
        raise BadData("load_kg", f"{loads.size} loads for {kiln.racks} racks", "one figure, or one a rack")
    check_range("load_kg", loads, at_least=0, at_most=2000)
    check_range("load_kg in all", float(loads.sum()), above=0, at_most=2000)
    return loads
