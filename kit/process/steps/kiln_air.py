"""Inside a kiln: air, metal and one piece a rack, solved together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import BadData, check_range
from kit.process.physics import air, food
from kit.process.physics.faces import EMISSIVITY, STEFAN_BOLTZMANN, AirPath, Face, passing
from kit.process.physics.trace import Phase
from kit.process.steps.cabinet import first_reached
from kit.process.steps.fillet import Fillet, grid

Array = NDArray[np.float64]

NODES = 15
"""Depths of one piece; see the tests for what that costs."""
STEAM_C = 100.0
ROW_MIN, CHUNK_MIN = 1.0, 40.0
"""Between two rows of the result; how far a stage that ends by its probe is followed at a time. [min]"""
RADIATION_W_M2_K = 7.0
"""What radiation adds where the air cools: 4·ε·σ·T³ gives 6.6 at 40 °C and 8.0 at 60 °C, and the middle of a
cook lies between; ours. The flow at a face itself is exact. [W/(m²·K)]"""
WATER_ACTIVITY = 0.98
"""Of the load's faces: 3.5 % salt in the water has 0.979 by ``salt.water_activity``. [1]"""
_HERE = WATER_ACTIVITY / air.WATER_VAPOUR_J_KG_K
_RUNGS_C = np.linspace(-20.0, 130.0, 601)
_SATURATION_PA = air.saturation_pressure(_RUNGS_C)
_FILM_C = np.linspace(-20.0, 120.0, 29)
_TRANSFER = np.array([air.mass_transfer(1.0, float(film)) for film in _FILM_C])


@dataclass(frozen=True)
class Kiln:
    """A smoking cabinet with a fan: what its maker's plate and a tape measure say.

    Parameters
    ----------
    racks : int
        The air passes them one after the other, 1 to 12.
    volume_m3 : float
        Air inside, above 0 to 50. [m³]
    heater_w : float
        The most the heater gives, above 0 to 200,000. [W]
    circulation_m3_h : float
        Air that the fan drives over the racks, above 0 to 50,000. [m³/h]
    vents_m3_h : float
        Fresh air with the vents full open, 0 to 10,000. [m³/h]
    leak_m3_h : float
        Fresh air with the vents shut, above 0 to 1,000. [m³/h]
    steam_g_h : float
        The most the steam maker gives, 0 to 50,000; 0 where there is none. [g/h]
    walls_w_k : float
        Heat lost through walls and door, 0 to 500. [W/K]
    metal_kj_k : float
        Heat stored in racks and inner walls, above 0 to 1,000. [kJ/K]
    room_c, room_rh_pct : float
        The air it draws in: -20 to 45 [°C], 0 to 100 [%].

    Notes
    -----
    The usual figures are of a small cabinet for about 20 kg: common practice, no source. Measure your own.
    """

    racks: int = 4
    volume_m3: float = 1.0
    heater_w: float = 6000.0
    circulation_m3_h: float = 1800.0
    vents_m3_h: float = 100.0
    leak_m3_h: float = 3.0
    steam_g_h: float = 0.0
    walls_w_k: float = 6.0
    metal_kj_k: float = 15.0
    room_c: float = 18.0
    room_rh_pct: float = 60.0

    def __post_init__(self) -> None:
        check_range("racks", self.racks, at_least=1, at_most=12)
        for name, most in (
            ("volume_m3", 50),
            ("heater_w", 200_000),
            ("circulation_m3_h", 50_000),
            ("leak_m3_h", 1000),
            ("metal_kj_k", 1000),
        ):
            check_range(name, getattr(self, name), above=0, at_most=most)
        for name, most in (("vents_m3_h", 10_000), ("steam_g_h", 50_000), ("walls_w_k", 500)):
            check_range(name, getattr(self, name), at_least=0, at_most=most)
        check_range("room_c", self.room_c, at_least=-20, at_most=45)
        check_range("room_rh_pct", self.room_rh_pct, at_least=0, at_most=100)


@dataclass(frozen=True)
class KilnStage:
    """One stage of a staged cook.

    Parameters
    ----------
    name : str
        Of the phase: smoke, cook, hold, door or your own.
    air_c : float
        What the thermostat is set to, 10 to 120. [°C]
    minutes : float
        How long it lasts, or at most, above 0 to 1,440. [min]
    vents : float
        How far the vents are open, 0 to 1. [1]
    steam_rh_pct : float
        Steam comes in below this humidity, 0 to 100; 0 for none. [%]
    until_core_c : float, optional
        It ends when the probed core is there. [°C]
    door_m3_h : float
        Air that comes in through an open door, 0 to 20,000. [m³/h]
    """

    name: str
    air_c: float
    minutes: float
    vents: float = 0.0
    steam_rh_pct: float = 0.0
    until_core_c: float | None = None
    door_m3_h: float = 0.0

    def __post_init__(self) -> None:
        check_range("air_c", self.air_c, at_least=10, at_most=120)
        check_range("minutes", self.minutes, above=0, at_most=1440)
        check_range("vents", self.vents, at_least=0, at_most=1, likely_cause="Give a fraction.")
        check_range("steam_rh_pct", self.steam_rh_pct, at_least=0, at_most=100)
        check_range("door_m3_h", self.door_m3_h, at_least=0, at_most=20_000)


@dataclass(frozen=True, eq=False)
class KilnRun:
    """How a cook went in its kiln. Arrays run over time, and over the racks in the order of the air.

    Parameters
    ----------
    time_min : array of shape (m,)
        [min]
    air_c, rh_pct, core_c : arrays of shape (m, k)
        At the fish of each rack, and the middle of one piece there. [°C], [%], [°C]
    heater_w, steam_g_h : arrays of shape (m,)
        What heater and steam maker give. [W], [g/h]
    evaporated_g_m2, condensed_g_m2 : arrays of shape (k,)
        Water gone from both faces of a piece in all, and settled on it. [g/m²]
    phases : tuple of Phase
        The stages as they came.
    water_error, heat_error : float
        What does not add up, as a share of all that passed: a check on the solver. [1]
    """

    time_min: Array
    air_c: Array
    rh_pct: Array
    core_c: Array
    heater_w: Array
    steam_g_h: Array
    evaporated_g_m2: Array
    condensed_g_m2: Array
    phases: tuple[Phase, ...]
    water_error: float
    heat_error: float

    def path(self, rack: int) -> AirPath:
        """Return the air at the fish of one rack, counted from 0, for ``CabinetPlan.air``."""
        if not 0 <= rack < self.air_c.shape[1]:
            raise BadData("rack", f"there is no rack {rack}", f"0 to {self.air_c.shape[1] - 1}")
        return AirPath(self.time_min, self.air_c[:, rack], np.minimum(self.rh_pct[:, rack], 100.0))

    def at(self, minute: float) -> tuple[Array, Array]:
        """Return air [°C] and humidity [%] over the racks at one minute: the map of the cabinet."""
        both = (
            np.array([np.interp(minute, self.time_min, rack) for rack in each.T])
            for each in (self.air_c, self.rh_pct)
        )
        air_c, rh_pct = both
        return air_c, rh_pct


@dataclass(frozen=True, eq=False)
class KilnMoment:
    """What passes in a kiln at one moment; arrays run over the racks."""

    stage: KilnStage
    here_c: Array
    ratio: Array
    heat: Array
    evaporated: Array
    condensed: Array
    to_fish_w: float
    back_c: float
    back_ratio: float
    warming_w: float
    heater_w: float
    steam_kg_s: float
    settles_kg_s: float


class Inside:
    """Air, metal and one piece a rack, from stage to stage.

    The state: for each rack water lost at the flesh, temperatures, water lost at the skin; then the
    temperature after the heater, the water in the air, and sums for the balances.
    """

    def __init__(self, kiln: Kiln, piece: Fillet, loads_kg: Array, h_w_m2_k: float, wetness: float) -> None:
        self.kiln, self.h, self.wet = kiln, h_w_m2_k, np.array([wetness, 0.0 if piece.skin_on else wetness])
        self.table = food.table(piece.present_composition)
        self.area = loads_kg * 1000 / piece.mass_g * piece.area_cm2 / 1e4
        fraction, weight = grid(NODES)
        thick_m = piece.thickness_mm / 1000
        self.step_m, self.share_m = thick_m * np.diff(fraction), thick_m * weight
        temps = np.interp(fraction, piece.depth_mm / piece.thickness_mm, piece.temp_c)
        outside = air.moist_air(kiln.room_c, kiln.room_rh_pct)
        self.room_ratio = float(outside.humidity_ratio)
        self.per_m3 = 1.2 / 3600 / (1 + self.room_ratio)  # dry air in a cubic metre an hour [kg/s]
        self.loop = kiln.circulation_m3_h / 3600 * 1.0
        self.dry_air_kg = kiln.volume_m3 * 1.0
        one = np.concatenate([[0.0], temps, [0.0]])
        self.state = np.concatenate([np.tile(one, kiln.racks), [kiln.room_c, self.room_ratio], np.zeros(4)])
        self.time: list[Array] = []
        self.rows: list[Array] = []
        self.stages: list[KilnStage] = []
        self.phases: list[Phase] = []

    def follow(self, stage: KilnStage, probed: int) -> None:
        """Go through a stage: all its minutes, or until the probed core is there."""
        begin = float(self.time[-1][-1]) if self.time else 0.0
        left, there = stage.minutes, False
        while left > 1e-6 and not there:
            step = left if stage.until_core_c is None else min(left, CHUNK_MIN)
            there = self._go_on(stage, step, probed)
            left -= step
        self.phases.append(Phase(stage.name, begin, float(self.time[-1][-1])))

    def _go_on(self, stage: KilnStage, minutes: float, probed: int) -> bool:
        """Go on for some minutes; return whether the probed core got where the stage ends."""
        from scipy.integrate import odeint

        now = float(self.time[-1][-1]) if self.time else 0.0
        rows_min = np.append(np.arange(0.0, minutes - 0.2 * ROW_MIN, ROW_MIN), minutes)
        rows, report = odeint(
            lambda _t, state: self.slopes(state, stage), self.state, rows_min * 60, ml=1, mu=1,
            rtol=3e-4, atol=3e-3, tfirst=True, full_output=True, mxstep=20_000, mxordn=2,
        )  # fmt: skip
        if report["message"] != "Integration successful.":
            raise BadData("kiln.run", f"the solver stopped: {report['message']}", "milder settings")
        there = None
        if stage.until_core_c is not None:
            core = rows[:, probed * (NODES + 2) + 1 + NODES // 2]
            there = first_reached(rows_min, core, stage.until_core_c)
        if there is not None:
            end = np.array([np.interp(there, rows_min, column) for column in rows.T])
            keep = rows_min < there - 1e-9
            rows_min, rows = np.append(rows_min[keep], there), np.vstack([rows[keep], end])
        self.state = rows[-1]
        begin = 1 if self.time else 0
        self.time.append(now + rows_min[begin:])
        self.rows.append(rows[begin:])
        self.stages.append(stage)
        return there is not None

    def face(self, rack: int) -> Face:
        """Return what the flesh face of a rack meets now, in air that stays as it is."""
        now = self.moment(self.state, self.stages[-1])
        air_c = float(now.here_c[rack])
        rh = 100 * float(_vapour_pa(now.ratio[rack])) / air.saturation_pressure(air_c)
        return Face(air_c, min(100.0, rh), self.h, float(self.wet[0]))

    def slopes(self, state: Array, stage: KilnStage) -> Array:
        """Return the rates of change."""
        moment = self.moment(state, stage)
        k = self.kiln.racks
        temp = state[: k * (NODES + 2)].reshape(k, NODES + 2)[:, 1:-1]
        both = np.interp(temp, self.table.temp_c, self.table.paired)
        flow = np.zeros((k, NODES + 1))
        flow[:, 1:-1] = (both.real[:, :-1] - both.real[:, 1:]) / self.step_m
        flow[:, 0], flow[:, -1] = moment.heat[:, 0], -moment.heat[:, 1]
        slope = np.empty_like(state)
        shaped = slope[: k * (NODES + 2)].reshape(k, NODES + 2)
        shaped[:, 1:-1] = (flow[:, :-1] - flow[:, 1:]) / self.share_m * both.imag
        shaped[:, [0, -1]] = moment.evaporated
        slope[k * (NODES + 2) :] = self._rest(moment, float(state[k * (NODES + 2)]))
        return slope

    def moment(self, state: Array, stage: KilnStage) -> KilnMoment:
        """Follow the air from the heater over one rack after the other: it cools, and takes up water."""
        kiln, k = self.kiln, self.kiln.racks
        each = state[: k * (NODES + 2)].reshape(k, NODES + 2)
        supply_c, supply_ratio = (float(one) for one in state[k * (NODES + 2) : k * (NODES + 2) + 2])
        surface = each[:, [1, -2]]
        carried = self.loop * (air.DRY_AIR_HEAT_J_KG_K + air.VAPOUR_HEAT_J_KG_K * supply_ratio)
        units = 2 * self.area * (self.h + RADIATION_W_M2_K) / carried
        part = np.where(units > 1e-9, -np.expm1(-units) / np.maximum(units, 1e-9), 1.0)
        face_c = surface.mean(axis=1)
        here = np.empty(k)
        air_c = supply_c
        for rack in range(k):
            here[rack] = face_c[rack] + (air_c - face_c[rack]) * part[rack]
            air_c = face_c[rack] + (air_c - face_c[rack]) * (1 - units[rack] * part[rack])
        kelvin = here[:, None] + air.ZERO_C_K
        wet_pa = np.interp(surface, _RUNGS_C, _SATURATION_PA)
        transfer = 0.5 * self.h * np.interp(0.5 * (here + face_c), _FILM_C, _TRANSFER)[:, None]
        ratio = np.full(k, supply_ratio)
        for _ in range(2):
            there = _vapour_pa(ratio)[:, None] / (air.WATER_VAPOUR_J_KG_K * kelvin)
            heat, evaporated, condensed = passing(
                surface, wet_pa, here[:, None], there, kelvin**4,
                (self.h, transfer, self.wet, EMISSIVITY * STEFAN_BOLTZMANN, _HERE),
            )  # fmt: skip
            given = self.area * (evaporated - condensed).sum(axis=1) / self.loop
            ratio = supply_ratio + np.cumsum(given) - given
        latent = air.latent_heat(surface) * (evaporated - condensed)
        to_fish = float((self.area[:, None] * (heat + latent)).sum())
        rh = 100 * _vapour_pa(supply_ratio) / float(np.interp(supply_c, _RUNGS_C, _SATURATION_PA))
        return KilnMoment(
            stage, here, ratio, heat, evaporated, condensed, to_fish,
            back_c=supply_c - to_fish / carried,
            back_ratio=supply_ratio + float(given.sum()),
            warming_w=air.VAPOUR_HEAT_J_KG_K
            * float((self.area[:, None] * (evaporated - condensed) * (here[:, None] - surface)).sum()),
            heater_w=kiln.heater_w * min(1.0, max(0.0, stage.air_c - supply_c)),
            steam_kg_s=kiln.steam_g_h / 3.6e6 * min(1.0, max(0.0, (stage.steam_rh_pct - rh) / 2)),
            settles_kg_s=self.dry_air_kg / 10 * max(0.0, (rh - 100) / 100) * supply_ratio,
        )  # fmt: skip

    def _rest(self, moment: KilnMoment, supply_c: float) -> list[float]:
        """Return the rates of the air after the heater, of its water, and of the sums for the balances."""
        kiln, stage = self.kiln, moment.stage
        fresh = self.per_m3 * (kiln.leak_m3_h + stage.vents * kiln.vents_m3_h + stage.door_m3_h)
        vented_w = (
            fresh
            * (air.DRY_AIR_HEAT_J_KG_K + air.VAPOUR_HEAT_J_KG_K * moment.back_ratio)
            * (moment.back_c - kiln.room_c)
        )
        steam_w = moment.steam_kg_s * air.VAPOUR_HEAT_J_KG_K * (STEAM_C - supply_c)
        put_in_w = moment.heater_w + steam_w
        lost_w = vented_w + kiln.walls_w_k * (supply_c - kiln.room_c) + moment.warming_w
        out_kg_s = fresh * (moment.back_ratio - self.room_ratio) + moment.settles_kg_s
        gone_kg_s = (moment.back_ratio - float(moment.ratio[0])) * self.loop
        return [
            (put_in_w - lost_w - moment.to_fish_w) / (1000 * kiln.metal_kj_k),
            (moment.steam_kg_s + gone_kg_s - out_kg_s) / self.dry_air_kg,
            put_in_w,
            lost_w,
            moment.steam_kg_s,
            out_kg_s,
        ]

    def result(self) -> KilnRun:
        """Return the rows of all stages, and what does not add up."""
        k, at = self.kiln.racks, self.kiln.racks * (NODES + 2)
        rows = np.vstack(self.rows)
        stages = [each for each, part in zip(self.stages, self.rows, strict=True) for _ in part]
        moments = [self.moment(row, stage) for row, stage in zip(rows, stages, strict=True)]
        time_s = 60 * np.concatenate(self.time)
        air_c, ratio = (np.array([getattr(each, name) for each in moments]) for name in ("here_c", "ratio"))
        settled = np.array([each.condensed.sum(axis=1) for each in moments])
        each = rows[:, :at].reshape(-1, k, NODES + 2)
        evaporated = 1000 * each[-1][:, [0, -1]].sum(axis=1)
        condensed = 1000 * np.trapezoid(settled, time_s, axis=0)
        put_in, lost, steam, out = rows[-1, at + 2 :]
        content = np.array(
            [self.table.heat_content(one[:, 1:-1]) @ self.share_m for one in (each[0], each[-1])]
        )
        latent = np.array([self._latent_w(row, one) for row, one in zip(each, moments, strict=True)])
        kept = float(self.area @ (content[1] - content[0])) + float(np.trapezoid(latent, time_s))
        metal = 1000 * self.kiln.metal_kj_k * (rows[-1, at] - rows[0, at])
        given = float(self.area @ (evaporated - condensed)) / 1000
        stored = self.dry_air_kg * (rows[-1, at + 1] - rows[0, at + 1])
        return KilnRun(
            time_s / 60, air_c, 100 * _vapour_pa(ratio) / air.saturation_pressure(air_c),
            each[:, :, 1 + NODES // 2],
            np.array([one.heater_w for one in moments]),
            3.6e6 * np.array([one.steam_kg_s for one in moments]),
            evaporated, condensed, tuple(self.phases),
            water_error=float(abs(given + steam - out - stored) / max(abs(given) + steam + abs(out), 1e-9)),
            heat_error=float(abs(put_in - lost - kept - metal) / max(put_in, 1e-9)),
        )  # fmt: skip

    def _latent_w(self, row: Array, moment: KilnMoment) -> float:
        given = air.latent_heat(row[:, [1, -2]]) * (moment.evaporated - moment.condensed)
        return float(self.area @ given.sum(axis=1))


def _vapour_pa(ratio: Any) -> Any:
    return air.STANDARD_PRESSURE_PA * ratio / (air.MOLE_RATIO + ratio)
