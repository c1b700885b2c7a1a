"""How a batch is run, and one piece's way through the phases of it."""

import dataclasses
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import check_range
from kit.process.physics import food, slab
from kit.process.physics.faces import AirPath
from kit.process.physics.slab import Face
from kit.process.physics.trace import Phase
from kit.process.steps.fillet import Fillet
from kit.process.steps.hold import hold_air, same_vapour

Array = NDArray[np.float64]

SOME_TIME_MIN = 0.01
"""The least that a run is followed for. [min]"""
TOUCH_C = 1e-6
"""A probe this far below the target has reached it: rounding, not temperature. [°C]"""


@dataclass(frozen=True)
class CabinetPlan:
    """How a batch is to be run. There is no default target: it comes from the limit you work to.

    Parameters
    ----------
    core_target_c : float
        The probe reading at which the cook ends and the hold begins, 30 to 100. [°C]
    cabinet_c, rh_pct : float
        Cabinet while cooking: air temperature, 20 to 150 [°C]; humidity at the fish, 0 to 100 [%].
    smoke_min : float
        Smoke by time: minutes at one setting before the cook, 0 to 1,440. [min]
    smoke_c, smoke_rh_pct : float, optional
        Cabinet while smoking; that of the cook if not given. [°C, %]
    hold_min : float
        Minutes in the cabinet after the probe has reached the target, 0 to 1,440. [min]
    hold_c, hold_rh_pct : float, optional
        Cabinet while holding, with the heat turned down; that of the cook if not given. [°C, %]
    max_cook_min : float
        When to give up waiting for the target, above 0 to 1,440. [min]
    cook_min : float, optional
        Cook for exactly this long, whatever the probe says, 0 to 1,440. [min]
    carry_over_min : float
        Minutes in the room after the door opens, 0 to 240. [min]
    room_c, room_rh_pct : float
        The room. [°C, %]
    h_w_m2_k, room_h_w_m2_k : float
        Heat transfer by convection alone in the cabinet and in the room, above 0 to 500. [W/(m²·K)]
    wetness : float
        Of the flesh: 1 wet, about 0.1 to 0.3 with a set pellicle. [1]
    skin_wetness : float, optional
        Of the second face. If not given: 0 with the skin on, that of the flesh with it off. [1]
    dries_after_g_m2 : float, optional
        Water lost after which wetness has fallen to 37 %. If not given the surface stays as it is. [g/m²]
    water_activity : float
        Of the faces, 0 to 1: 0.98 suits a light cure, a strong one is lower. [1]
    tray : bool
        The second face lies on a tray that lets no heat through: half the speed, or less.
    probe_depth : float, optional
        Where the tip of the probe sits: 0 the flesh face, 0.5 the middle, 1 the skin. If not given: the core.
    air : AirPath, optional
        Air that a kiln and its load have made (``kiln.run``), in place of settings; counted from the start.
    air_from_min : float
        Where on that path the fish goes in, 0 to 2,880. [min]
    turn_down : bool
        Hold with the vapour that is in ``air`` when the hold begins: at ``hold_c``, or if not given where
        this fish just holds.
    juice_factor : float
        Juice of this fish against the middle of what is published, 0 to 3: thawed fish gives more. [1]

    Notes
    -----
    Source: ``surface-transfer`` for the coefficients. How a surface dries (``dries_after_g_m2``) is a
    setting to explore with: common practice, no source.

    Examples
    --------
    >>> CabinetPlan(core_target_c=66, cabinet_c=78, rh_pct=45, smoke_min=25).probe_depth is None
    True
    """

    core_target_c: float
    cabinet_c: float
    rh_pct: float
    smoke_min: float = 0.0
    smoke_c: float | None = None
    smoke_rh_pct: float | None = None
    hold_min: float = 0.0
    hold_c: float | None = None
    hold_rh_pct: float | None = None
    max_cook_min: float = 240.0
    cook_min: float | None = None
    carry_over_min: float = 5.0
    room_c: float = 20.0
    room_rh_pct: float = 60.0
    h_w_m2_k: float = 20.0
    room_h_w_m2_k: float = 6.0
    wetness: float = 0.3
    skin_wetness: float | None = None
    dries_after_g_m2: float | None = None
    water_activity: float = 0.98
    tray: bool = False
    probe_depth: float | None = None
    juice_factor: float = 1.0
    air: AirPath | None = None
    air_from_min: float = 0.0
    turn_down: bool = False

    def __post_init__(self) -> None:
        check_range(
            "core_target_c", self.core_target_c, at_least=30, at_most=100, likely_cause="Was it given in °F?"
        )
        for name in ("cabinet_c", "smoke_c", "hold_c", "room_c"):
            if getattr(self, name) is not None:
                check_range(name, getattr(self, name), at_least=-30, at_most=150)
        check_range("max_cook_min", self.max_cook_min, above=0, at_most=1440)
        for name, most in (("smoke_min", 1440), ("hold_min", 1440), ("carry_over_min", 240)):
            check_range(name, getattr(self, name), at_least=0, at_most=most)
        for name, most in (("cook_min", 1440), ("probe_depth", 1)):
            if getattr(self, name) is not None:
                check_range(name, getattr(self, name), at_least=0, at_most=most)
        for name in ("h_w_m2_k", "room_h_w_m2_k"):
            check_range(name, getattr(self, name), above=0, at_most=500)
        check_range("juice_factor", self.juice_factor, at_least=0, at_most=3)
        check_range("air_from_min", self.air_from_min, at_least=0, at_most=2880)

    @property
    def core_depth(self) -> float:
        """Where the core is: the middle, or on a tray the face that lies on it. [1]"""
        return 1.0 if self.tray else 0.5

    def faces(self, phase: str, fillet: Fillet, from_min: float = 0.0) -> tuple[Face, Face]:
        """Return what the two faces of a fillet meet in a phase: smoke, cook, hold or carry-over.

        ``from_min`` says how long the fish was in before: it counts where the air changes. [min]
        """
        if self.air is None or phase == "carry-over":
            return _faces(self, phase, fillet.skin_on)
        flesh, skin = _faces(self, "cook", fillet.skin_on)
        if phase == "hold" and self.turn_down:
            air_c, rh_pct = self.held_air(from_min, fillet.skin_on)
            flesh = dataclasses.replace(flesh, air_c=air_c, rh_pct=rh_pct)
            return flesh, dataclasses.replace(skin, air_c=air_c, rh_pct=rh_pct)
        at = self.air_from_min + from_min
        return (
            dataclasses.replace(flesh, path=self.air, path_from_min=at),
            dataclasses.replace(skin, path=self.air, path_from_min=at),
        )

    def air_at(self, minute: float) -> tuple[float, float]:
        """Return the air and its humidity at a minute of the smoke or the cook, as dials show. [°C, %]"""
        if self.air is None:
            return self.cabinet_c, self.rh_pct
        at = self.air_from_min + minute
        return (
            float(np.interp(at, self.air.time_min, self.air.air_c)),
            float(np.interp(at, self.air.time_min, self.air.rh_pct)),
        )

    def held_air(self, from_min: float, skin_on: bool) -> tuple[float, float]:
        """Return what the heat is turned down to at a minute, and the humidity then. [°C, %]"""
        air_c, rh_pct = self.air_at(from_min)
        face = Face(
            round(air_c, 1), round(rh_pct, 1), self.h_w_m2_k, self.wetness, water_activity=self.water_activity
        )
        held_c = self.hold_c
        if held_c is None:
            held_c = hold_air(face, self.core_target_c, dry_skin=skin_on)
        return held_c, same_vapour(face.rh_pct, face.air_c, held_c)

    def _faces(self, phase: str, skin_on: bool) -> tuple[Face, Face]:
        if phase == "smoke":
            air_c = self.cabinet_c if self.smoke_c is None else self.smoke_c
            rh, h = self.rh_pct if self.smoke_rh_pct is None else self.smoke_rh_pct, self.h_w_m2_k
        elif phase == "carry-over":
            air_c, rh, h = self.room_c, self.room_rh_pct, self.room_h_w_m2_k
        elif phase == "hold":
            air_c = self.cabinet_c if self.hold_c is None else self.hold_c
            rh, h = self.rh_pct if self.hold_rh_pct is None else self.hold_rh_pct, self.h_w_m2_k
        else:
            air_c, rh, h = self.cabinet_c, self.rh_pct, self.h_w_m2_k
        flesh = Face(air_c, rh, h, self.wetness, self.dries_after_g_m2, water_activity=self.water_activity)
        if self.tray:
            return flesh, slab.SEALED
        skin = self.skin_wetness
        if skin is None:
            skin = 0.0 if skin_on else self.wetness
        return flesh, dataclasses.replace(flesh, wetness=skin)


@lru_cache(maxsize=512)
def _faces(plan: CabinetPlan, phase: str, skin_on: bool) -> tuple[Face, Face]:
    return plan._faces(phase, skin_on)


@dataclass(frozen=True, eq=False)
class History:
    """Rows of a whole course: time, temperatures over depth, water gone and settled on each face."""

    time_min: Array
    profile_c: Array
    air_c: Array
    lost_g_m2: Array
    condensed_g_m2: Array
    phases: tuple[Phase, ...]
    left_cabinet_c: Array
    energy_error: float


class Course:
    """One piece on its way through the phases: collects rows, phase by phase."""

    def __init__(self, fillet: Fillet, plan: CabinetPlan) -> None:
        self.fillet, self.plan = fillet, plan
        self.fraction = fillet.depth_mm / fillet.thickness_mm
        self.probe_at = plan.core_depth if plan.probe_depth is None else plan.probe_depth
        self.reached_min: float | None = None
        self._table = food.table(fillet.present_composition)
        self._now = 0.0
        self._rows = [(np.zeros(1), fillet.temp_c[np.newaxis], np.zeros((1, 2)), np.zeros((1, 2)))]
        self._air: list[Array] = []
        self._phases: list[Phase] = []
        self._left_cabinet = fillet.temp_c
        self._heat_in = self._heat_gain = self._heat_moved = 0.0

    def follow(self) -> History:
        """Go through all phases of the plan."""
        self._stay("smoke", self.plan.smoke_min)
        self._cook_and_hold()
        self._left_cabinet = self._rows[-1][1][-1]
        self._stay("carry-over", self.plan.carry_over_min)
        time, profile, lost, condensed = (np.concatenate(column) for column in zip(*self._rows, strict=True))
        first_air = self._air[0][:1] if self._air else np.array([self.plan.cabinet_c])
        return History(
            time_min=time,
            profile_c=profile,
            air_c=np.concatenate([first_air, *self._air]),
            lost_g_m2=lost,
            condensed_g_m2=condensed,
            phases=tuple(self._phases),
            left_cabinet_c=self._left_cabinet,
            energy_error=abs(self._heat_in - self._heat_gain) / max(self._heat_moved, 1e-9),
        )

    def _run(self, phase: str, minutes: float) -> slab.Run:
        _, profile, lost, _ = self._rows[-1]
        return slab.warm(
            profile[-1],
            self.fraction,
            self.fillet.weight,
            self.fillet.thickness_mm,
            self._table,
            self.plan.faces(phase, self.fillet, self._now),
            slab.output_times(minutes),
            lost_g_m2=(float(lost[-1, 0]), float(lost[-1, 1])),
        )

    def _stay(self, phase: str, minutes: float) -> None:
        if minutes > 0:
            self._take(phase, self._run(phase, minutes), 0.0, minutes)

    def _cook_and_hold(self) -> None:
        """Cook until the probe reads the target (or for the minutes given), then hold in the same air."""
        plan = self.plan
        longest = plan.max_cook_min if plan.cook_min is None else plan.cook_min
        if along(self._rows[-1][1][-1:], self.fraction, self.probe_at)[0] >= plan.core_target_c - TOUCH_C:
            self.reached_min, longest = self._now, plan.cook_min or 0.0
        if longest + plan.hold_min <= 0:
            self._mark("cook", 0.0)
            return
        same_air = plan.faces("hold", self.fillet) == plan.faces("cook", self.fillet)
        run = self._run("cook", longest + plan.hold_min if same_air else max(longest, SOME_TIME_MIN))
        minutes = longest
        if self.reached_min is None:
            probe = along(run.temp_c, self.fraction, self.probe_at)
            reached = first_reached(run.time_min, probe, plan.core_target_c)
            if reached is not None and (plan.cook_min is not None or reached <= longest):
                self.reached_min = self._now + reached
                minutes = reached if plan.cook_min is None else longest
        held = plan.hold_min if self.reached_min is not None or plan.cook_min is not None else 0.0
        self._take("cook", run, 0.0, minutes)
        if same_air:
            self._take("hold", run, minutes, minutes + held)
        else:
            self._stay("hold", held)

    def _mark(self, phase: str, minutes: float) -> None:
        self._phases.append(Phase(phase, self._now, self._now + minutes))
        self._now += minutes

    def _take(self, phase: str, run: slab.Run, start: float, end: float) -> None:
        """Keep the rows of a run from ``start`` to ``end`` minutes after it began."""
        if end - start <= 1e-9:
            if phase == "cook":
                self._mark(phase, 0.0)
            return
        inside = (run.time_min > start + 1e-9) & (run.time_min < end - 1e-9)
        times = np.append(run.time_min[inside], end)
        settled = self._rows[-1][3][-1] - _row(run.time_min, run.condensed_g_m2, start)
        self._rows.append(
            (
                times - start + self._now,
                _upto(run.time_min, run.temp_c, inside, end),
                _upto(run.time_min, run.evaporated_g_m2, inside, end),
                _upto(run.time_min, run.condensed_g_m2, inside, end) + settled,
            )
        )
        gained = _between(run.time_min, run.heat_gain_j_m2, start, end)
        self._heat_in += _between(run.time_min, run.heat_in_j_m2.sum(axis=1), start, end)
        self._heat_gain += gained
        self._heat_moved += abs(gained)
        face = self.plan.faces(phase, self.fillet, self._now)[0]
        if face.path is None:
            self._air.append(np.full(times.size, face.air_c))
        else:
            on_path = times - start + face.path_from_min
            self._air.append(np.interp(on_path, face.path.time_min, face.path.air_c))
        self._mark(phase, end - start)


def along(profile: Array, fraction: Array, depth: float) -> Array:
    """Return one depth of every row."""
    right = int(np.clip(np.searchsorted(fraction, depth), 1, fraction.size - 1))
    share = (depth - fraction[right - 1]) / (fraction[right] - fraction[right - 1])
    found: Array = (1 - share) * profile[:, right - 1] + share * profile[:, right]
    return found


def _row(time: Array, rows: Array, at: float) -> Array:
    right = int(np.clip(np.searchsorted(time, at), 1, time.size - 1))
    share = (at - time[right - 1]) / (time[right] - time[right - 1])
    found: Array = (1 - share) * rows[right - 1] + share * rows[right]
    return found


def _upto(time: Array, rows: Array, inside: NDArray[np.bool_], end: float) -> Array:
    return np.vstack([rows[inside], _row(time, rows, end)])


def first_reached(time_min: Array, temp_c: Array, target_c: float) -> float | None:
    """Return when a rising trace first reads the target, or None if it never does. [min]

    Examples
    --------
    >>> first_reached(np.array([0.0, 10.0]), np.array([40.0, 60.0]), 55.0)
    7.5
    """
    hot = np.flatnonzero(temp_c >= target_c - TOUCH_C)
    if hot.size == 0:
        return None
    index = int(hot[0])
    if index == 0:
        return float(time_min[0])
    share = (target_c - temp_c[index - 1]) / (temp_c[index] - temp_c[index - 1])
    return float(time_min[index - 1] + min(1.0, share) * (time_min[index] - time_min[index - 1]))


def _between(time: Array, column: Array, start: float, end: float) -> float:
    return float(np.interp(end, time, column) - np.interp(start, time, column))
