"""Chilling: how fast the core falls in moving air, on a tray or on ice, and what can grow meanwhile."""

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import UnknownName, check_range
from kit.process.microbes.growth import FROM_MEMORY, listeria_log10
from kit.process.microbes.spores import CEILING, Ceiling, perfringens_ceiling
from kit.process.physics import food, slab
from kit.process.physics.slab import Face
from kit.process.physics.trace import Phase, Trace
from kit.process.steps import shed
from kit.process.steps.cabinet import along
from kit.process.steps.fillet import Fillet

Array = NDArray[np.float64]

COLDEST_AIR_C = -2.0
"""Colder air freezes the face, and this model does not freeze fish. [°C]"""
NO_TIME_MIN = 1e-6
"""Shorter than this is no time at all: what is left over from rounding. [min]"""
CHUNK_MIN = 60.0
"""The solver is asked for so much at a time while it looks for the target. [min]"""
PULL_DOWN_MIN = 4.0
"""An overloaded chiller is followed in steps of this length: its air warms with the load. [min]"""


@dataclass(frozen=True)
class Chiller:
    """A way to cool: what the two faces of a piece meet.

    Parameters
    ----------
    air_c : float
        Air, or melting ice, -2 to 15. [°C]
    rh_pct : float
        Humidity at the fish, 0 to 100. [%]
    h_w_m2_k, under_h_w_m2_k : float
        Heat transfer by convection alone, above and under the piece, 0 to 500. [W/(m²·K)]
    wetness : float
        Of the flesh face, 0 to 1; the second face is taken as dry. [1]
    radiates : bool
        False in ice, and in the middle of a stack.
    title, note : str
        In plain words.

    Notes
    -----
    Source: ``surface-transfer`` for the order of h. The figures of ``CHILLERS`` are common practice, no
    source: heat transfer in a chiller is known to about 30 %.
    """

    air_c: float
    rh_pct: float = 85.0
    h_w_m2_k: float = 20.0
    under_h_w_m2_k: float = 20.0
    wetness: float = 0.2
    radiates: bool = True
    title: str = "Chiller"
    note: str = "common practice, no source"

    def __post_init__(self) -> None:
        check_range(
            "air_c",
            self.air_c,
            at_least=COLDEST_AIR_C,
            at_most=15,
            likely_cause="Colder air would freeze the face; this model chills and does not freeze.",
        )
        check_range("rh_pct", self.rh_pct, at_least=0, at_most=100)
        check_range("h_w_m2_k", self.h_w_m2_k, at_least=0, at_most=500)
        check_range("under_h_w_m2_k", self.under_h_w_m2_k, at_least=0, at_most=500)
        check_range("wetness", self.wetness, at_least=0, at_most=1)

    def faces(self, air_c: float | None = None) -> tuple[Face, Face]:
        """Return what the flesh face and the second face meet."""
        emissivity = slab.EMISSIVITY if self.radiates else 0.0
        there = self.air_c if air_c is None else air_c
        above = Face(there, self.rh_pct, self.h_w_m2_k, self.wetness, emissivity=emissivity)
        if self.under_h_w_m2_k == 0:
            return above, slab.SEALED
        return above, dataclasses.replace(above, h_w_m2_k=self.under_h_w_m2_k, wetness=0.0)


CHILLERS: Mapping[str, Chiller] = MappingProxyType(
    {
        "blast": Chiller(-2.0, 85, 25, 25, title="Blast chiller, open racks"),
        "walk-in": Chiller(3.0, 85, 8, 8, title="Walk-in fridge, open racks, by the fans"),
        "still tray": Chiller(3.0, 85, 3, 0, title="Fridge, on a tray, still air"),
        "stacked trays": Chiller(3.0, 90, 4, 0, 0.0, radiates=False, title="Fridge, trays stacked"),
        "ice": Chiller(0.0, 100, 120, 120, 0.0, radiates=False, title="In a bag, packed in melting ice"),
    }
)
"""Ways to cool by name."""


@dataclass(frozen=True, eq=False)
class Chilled:
    """What chilling did.

    Parameters
    ----------
    fillet : Fillet
        After the chilling.
    trace : Trace
        Core, surface, air and mass over time; phases ``carry-over`` (the wait) and ``chill``.
    reached : bool
        Whether the core fell to the target in time.
    minutes_to_target : float or None
        From the start, waiting included, until the core was at the target. [min]
    evaporation_pct, condensed_pct : float
        [g per 100 g of piece put in]
    warmest_air_c : float
        How warm the chiller's air became under the load. [°C]
    perfringens : Ceiling
        Growth of C. perfringens without lag: a ceiling, not a forecast.
    listeria_log10 : float
        Growth of Listeria below 25 °C, without lag; from memory. [log10]
    """

    fillet: Fillet
    trace: Trace
    reached: bool
    minutes_to_target: float | None
    evaporation_pct: float
    condensed_pct: float
    warmest_air_c: float
    perfringens: Ceiling
    listeria_log10: float
    notes: tuple[str, ...] = field(default=(CEILING, FROM_MEMORY))


def chill(
    fillet: Fillet,
    chiller: str | Chiller = "blast",
    *,
    core_target_c: float,
    max_min: float = 600.0,
    wait_min: float = 0.0,
    room_c: float = 20.0,
    room_rh_pct: float = 60.0,
    load_kg: float = 0.0,
    power_w: float = 0.0,
    until_min: float | None = None,
) -> Chilled:
    """Return what a hot fillet becomes in a chiller. Slow cooling is where spores that survived come back.

    Parameters
    ----------
    fillet : Fillet
        As it leaves the cabinet.
    chiller : str or Chiller
        A name of ``CHILLERS``, or settings of your own.
    core_target_c : float
        Core temperature to reach, 0 to 20: from the limit you work to. There is no default. [°C]
    max_min : float
        When to stop looking, above 0 to 3,000. [min]
    wait_min : float
        Minutes in the room before the chiller, 0 to 600. [min]
    room_c, room_rh_pct : float
        The room, 0 to 45 [°C], 0 to 100 [%].
    load_kg, power_w : float
        Fish in the chiller, 0 to 2,000 [kg], and what it can take away, 0 to 100,000 [W]. With both above 0
        the air warms with the load; otherwise the chiller holds its air.
    until_min : float, optional
        Stay exactly so long, waiting not counted, above 0 to 3,000; otherwise until the target. [min]

    Raises
    ------
    UnknownName
        If there is no chiller of that name.

    Notes
    -----
    Source: ``incropera`` and ``choi-okos-1986`` for heat, as in the cook; ``perfringens-one-step`` and
    ``memory-listeria`` for growth. No model releases a batch.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> hot = fillet.raw("char, farmed", 24, 180, temp_c=64)
    >>> fast, slow = chill(hot, core_target_c=5), chill(hot, "still tray", core_target_c=5, max_min=900)
    >>> fast.minutes_to_target < 90 < 300 < slow.minutes_to_target
    True
    """
    chosen = _chosen(chiller)
    _check(core_target_c, max_min, wait_min, room_c, load_kg, power_w, until_min)
    rows = _Rows(fillet)
    if wait_min > NO_TIME_MIN:
        room = Face(room_c, room_rh_pct, 6.0, chosen.wetness)
        rows.stay("carry-over", (room, dataclasses.replace(room, wetness=0.0)), wait_min)
    goal = core_target_c if until_min is None else None
    minutes = max_min if until_min is None else until_min
    if load_kg > 0 and power_w > 0:
        rows.pull_down(chosen, minutes, load_kg, power_w, goal)
    else:
        rows.cool(chosen.faces(), minutes, goal)
    return rows.result(core_target_c, cut=goal is not None)


def _chosen(chiller: str | Chiller) -> Chiller:
    if isinstance(chiller, Chiller):
        return chiller
    if chiller not in CHILLERS:
        raise UnknownName("chiller", chiller, CHILLERS)
    return CHILLERS[chiller]


def _check(
    target: float,
    max_min: float,
    wait_min: float,
    room_c: float,
    load_kg: float,
    power_w: float,
    until_min: float | None,
) -> None:
    check_range("core_target_c", target, at_least=0, at_most=20, likely_cause="Was it given in °F?")
    check_range("max_min", max_min, above=0, at_most=3000)
    check_range("wait_min", wait_min, at_least=0, at_most=600)
    check_range("room_c", room_c, at_least=0, at_most=45)
    check_range("load_kg", load_kg, at_least=0, at_most=2000)
    check_range("power_w", power_w, at_least=0, at_most=100_000, likely_cause="Give watts, not kilowatts.")
    if until_min is not None:
        check_range("until_min", until_min, above=0, at_most=3000)


class _Rows:
    """Rows of a chilling as it goes on."""

    def __init__(self, fillet: Fillet) -> None:
        check_range(
            "fillet.temp_c",
            fillet.temp_c,
            at_least=COLDEST_AIR_C,
            at_most=110,
            likely_cause="Frozen fish is thawed, not chilled.",
        )
        self.fillet = fillet
        self.fraction = fillet.depth_mm / fillet.thickness_mm
        self._table = food.table(fillet.present_composition)
        self._time = [np.zeros(1)]
        self._profile = [fillet.temp_c[np.newaxis]]
        self._air: list[Array] = []
        self._lost, self._settled = [np.zeros((1, 2))], [np.zeros((1, 2))]
        self._phases: list[Phase] = []

    def stay(self, phase: str, faces: tuple[Face, Face], minutes: float) -> None:
        """Go on for some minutes between faces that stay as they are."""
        now = float(self._time[-1][-1])
        lost, settled = self._lost[-1][-1], self._settled[-1][-1]
        run = slab.warm(
            self._profile[-1][-1],
            self.fraction,
            self.fillet.weight,
            self.fillet.thickness_mm,
            self._table,
            faces,
            slab.output_times(minutes),
            lost_g_m2=(float(lost[0]), float(lost[1])),
        )
        self._time.append(now + run.time_min[1:])
        self._profile.append(run.temp_c[1:])
        self._lost.append(run.evaporated_g_m2[1:])
        self._settled.append(settled + run.condensed_g_m2[1:])
        self._air.append(np.full(run.time_min.size - 1, faces[0].air_c))
        last = self._phases[-1] if self._phases else None
        if last is not None and last.name == phase:
            self._phases[-1] = Phase(phase, last.start_min, now + minutes)
        else:
            self._phases.append(Phase(phase, now, now + minutes))

    def cool(self, faces: tuple[Face, Face], minutes: float, goal_c: float | None) -> None:
        """Go on in air that stays as it is: all the minutes, or until the core is at the goal."""
        left = minutes
        while left > NO_TIME_MIN and not self._there(goal_c):
            step = left if goal_c is None else min(CHUNK_MIN, left)
            self.stay("chill", faces, step)
            left -= step

    def _there(self, goal_c: float | None) -> bool:
        if goal_c is None or not self._phases or self._phases[-1].name != "chill":
            return False
        return bool(along(self._profile[-1][-1:], self.fraction, 0.5)[0] <= goal_c)

    def pull_down(
        self, chiller: Chiller, minutes: float, load_kg: float, power_w: float, goal_c: float | None
    ) -> None:
        """Go on in a chiller that can only take so much heat away: the load warms its air."""
        pieces = load_kg * 1000 / self.fillet.mass_g
        area_m2 = pieces * self.fillet.area_cm2 / 1e4
        sides = np.array([face.h_w_m2_k + (5.0 if face.emissivity else 0.0) for face in chiller.faces()])
        left = minutes
        while left > NO_TIME_MIN and not self._there(goal_c):
            step = min(PULL_DOWN_MIN, left)
            surface = self._profile[-1][-1][[0, -1]]
            wanted = area_m2 * float(sides @ surface) - power_w
            air_c = max(chiller.air_c, wanted / (area_m2 * float(sides.sum())))
            if air_c <= chiller.air_c + 0.05:
                self.cool(chiller.faces(), left, goal_c)
                return
            self.stay("chill", chiller.faces(min(air_c, float(surface.max()))), step)
            left -= step

    def result(self, target_c: float, *, cut: bool) -> Chilled:
        """Return the result; with ``cut`` it ends when the core is at the target."""
        time, profile = np.concatenate(self._time), np.vstack(self._profile)
        air = np.concatenate([self._air[0][:1], *self._air])
        lost, settled = np.vstack(self._lost), np.vstack(self._settled)
        core = along(profile, self.fraction, 0.5)
        chilling = next(phase for phase in self._phases if phase.name == "chill")
        cold = np.flatnonzero((core <= target_c + 1e-6) & (time >= chilling.start_min))
        reached = cold.size > 0
        end = int(cold[0]) if reached and cut else time.size - 1
        keep = slice(0, end + 1)
        face_m2 = self.fillet.area_cm2 / 1e4
        after = shed.evaporate(self.fillet, lost[end] * face_m2).replace(temp_c=profile[end])
        gone_g = lost[keep].sum(axis=1) * face_m2
        trace = Trace(
            time[keep],
            core[keep],
            surface_c=profile[keep, 0],
            air_c=air[keep],
            mass_g=self.fillet.mass_g - gone_g,
            phases=_until(self._phases, float(time[end])),
        )
        mild = Trace(trace.time_min, np.clip(trace.core_c, -2, 25))
        wps = min(after.mean_wps_pct, 26.0)
        return Chilled(
            fillet=after,
            trace=trace,
            reached=reached,
            minutes_to_target=float(time[cold[0]]) if reached else None,
            evaporation_pct=100 * float(gone_g[-1]) / self.fillet.mass_g,
            condensed_pct=100 * float(settled[end].sum()) * face_m2 / self.fillet.mass_g,
            warmest_air_c=float(air[keep][trace.time_min > chilling.start_min].max(initial=-99.0)),
            perfringens=perfringens_ceiling(trace.time_min, trace.core_c),
            listeria_log10=listeria_log10(mild, wps, extrapolate=True) if end else 0.0,
        )


def _until(phases: list[Phase], end: float) -> tuple[Phase, ...]:
    cut = [dataclasses.replace(phase, end_min=min(phase.end_min, end)) for phase in phases]
    return tuple(phase for phase in cut if phase.end_min > phase.start_min or phase.name == "chill")


def chillers() -> tuple[str, ...]:
    """Return the names of the ways to cool.

    Examples
    --------
    >>> chillers()[0]
    'blast'
    """
    return tuple(CHILLERS)
