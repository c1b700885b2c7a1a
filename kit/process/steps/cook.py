"""Smoke by time, cook by temperature: one piece, or a whole load, through the cabinet and out of it."""

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import BadData, OutOfRange, UnknownName, check_range
from kit.process.microbes import death
from kit.process.physics import slab
from kit.process.physics.trace import Trace
from kit.process.steps import shed
from kit.process.steps.cabinet import TOUCH_C, CabinetPlan, Course, along, first_reached
from kit.process.steps.fillet import Fillet
from kit.process.steps.hold import same_vapour

__all__ = ["CabinetPlan", "Cooked", "Load", "Place", "cook", "cook_load", "first_reached", "go_on"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Cooked:
    """What came out of the cabinet, and how it got there.

    Parameters
    ----------
    fillet : Fillet
        After the carry-over.
    trace : Trace
        Core, surface, probe, air and mass over time, with the phases.
    plan : CabinetPlan
        What was asked for.
    reached : bool
        Whether the PROBE read the target before time ran out.
    minutes_to_target : float or None
        From the start until the probe read the target; None if it never did. [min]
    core_minutes_to_target : float or None
        From the start until the CORE was at the target; None if it never was. [min]
    held_min : float
        Longest unbroken time the core was at or above the target. [min]
    peak_core_c, coldest_c : float
        Highest core temperature; and the lowest temperature anywhere in the piece when it left the
        cabinet. [°C]
    evaporation_pct, condensed_pct, cook_out_pct : float
        Water evaporated; water that settled on the cold piece and ran off; juice squeezed out.
        [g per 100 g of piece put in]
    salt_in_juice_g : float
        Salt that left with the juice. [g]
    cook_out_range_pct : tuple of two float
        The juice of a fish that holds it well, and of one that does not. [g per 100 g of piece put in]
    hottest_c : array of shape (n,)
        Highest temperature of each depth so far: what the protein remembers. [°C]
    listeria : microbes.Lethality
        What the core's whole path is worth; says what of it is extrapolated.
    energy_error : float
        Heat that passed the faces against heat found inside, as a share: a check on the solver. [1]
    """

    fillet: Fillet
    trace: Trace
    plan: CabinetPlan
    reached: bool
    minutes_to_target: float | None
    core_minutes_to_target: float | None
    held_min: float
    peak_core_c: float
    coldest_c: float
    evaporation_pct: float
    condensed_pct: float
    cook_out_pct: float
    salt_in_juice_g: float
    cook_out_range_pct: tuple[float, float]
    hottest_c: Array
    listeria: death.Lethality
    energy_error: float

    @property
    def phase_min(self) -> dict[str, float]:
        """Minutes by phase. [min]"""
        return {phase.name: phase.minutes for phase in self.trace.phases}

    @property
    def loss_pct(self) -> float:
        """Weight lost in all. [g per 100 g of piece put in]"""
        return self.evaporation_pct + self.cook_out_pct

    @property
    def ceiling_c(self) -> float:
        """Where the flesh face stalls in this cabinet while it is as wet as at the start. [°C]"""
        plain = dataclasses.replace(self.plan, air=None)
        return slab.stall_temp(plain.faces("cook", self.fillet)[0])


def cook(fillet: Fillet, plan: CabinetPlan | None = None, **settings: Any) -> Cooked:
    """Return what a fillet becomes: smoked by time, cooked until the probe reads the target, held, taken out.

    A target that is never reached is a result, not an error: a wet piece in a dry cabinet stalls near
    the wet bulb. Reaching is not holding, and no cook is released by this sum: a competent person decides.

    Parameters
    ----------
    fillet : Fillet
        As it goes in.
    plan : CabinetPlan, optional
        How to run the batch.
    **settings
        Fields of ``CabinetPlan``; they override the plan, or make one.

    Raises
    ------
    OutOfRange
        If a number is outside its range, or the fish is frozen.
    UnknownName
        If a setting is not a field of ``CabinetPlan``.

    Notes
    -----
    Source: ``choi-okos-1986``, ``chilton-colburn-1934`` and ``incropera`` for heat; ``gluchowski-2020`` and
    ``food-biophysics-2020`` for juice (``shed.juice``). One dimension, thickest section; no shrinking, no
    melting fat.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> piece = fillet.raw("char, farmed", thickness_mm=20, mass_g=150)
    >>> done = cook(piece, core_target_c=66, cabinet_c=80, rh_pct=45, smoke_min=25, hold_min=10)
    >>> done.reached, [phase.name for phase in done.trace.phases]
    (True, ['smoke', 'cook', 'hold', 'carry-over'])
    """
    return _result(Course(fillet, _plan(plan, settings)))


def go_on(before: Cooked, plan: CabinetPlan, put_in_g: float, **settings: Any) -> Cooked:
    """Return what becomes of a piece that was in the cabinet before: what has set gives its juice once.

    Parameters
    ----------
    before : Cooked
        Its last stay in the cabinet.
    plan : CabinetPlan
        How to go on.
    put_in_g : float
        What the piece weighed when it first went in, above 0: juice is counted on that. [g]
    **settings
        Fields of ``CabinetPlan``; they override the plan.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> piece = fillet.raw("char, farmed", thickness_mm=20, mass_g=150)
    >>> plan = CabinetPlan(core_target_c=66, cabinet_c=80, rh_pct=45)
    >>> once = cook(piece, plan)
    >>> go_on(once, plan, 150).cook_out_pct < 0.2 * once.cook_out_pct
    True
    """
    check_range("put_in_g", put_in_g, above=0)
    return _result(Course(before.fillet, _plan(plan, settings)), before.hottest_c, put_in_g)


def _plan(plan: CabinetPlan | None, settings: Mapping[str, Any]) -> CabinetPlan:
    known = [field.name for field in dataclasses.fields(CabinetPlan)]
    for name in settings:
        if name not in known:
            raise UnknownName("setting of a cook", name, known)
    if plan is not None:
        return dataclasses.replace(plan, **settings)
    missing = [name for name in ("core_target_c", "cabinet_c", "rh_pct") if name not in settings]
    if missing:
        raise OutOfRange(missing[0], "not given", "given", "A cook needs a target and a cabinet setting.")
    return CabinetPlan(**settings)


def _result(course: Course, hottest_c: Array | None = None, put_in_g: float | None = None) -> Cooked:
    """Follow the course, and let water and juice leave the piece."""
    piece, plan, rows = course.fillet, course.plan, course.follow()
    core = along(rows.profile_c, course.fraction, plan.core_depth)
    face_m2 = piece.area_cm2 / 1e4
    lost_pct = rows.lost_g_m2.sum(axis=1) * face_m2 / piece.mass_g * 100
    condensed_g = float(rows.condensed_g_m2[-1].sum()) * face_m2
    before_c = piece.temp_c if hottest_c is None else hottest_c
    hottest = np.maximum(before_c, np.maximum.accumulate(rows.profile_c, axis=0))
    given = shed.juice(hottest) - (0.0 if hottest_c is None else shed.juice(hottest_c))
    scale = plan.juice_factor * (1.0 if put_in_g is None else put_in_g / piece.mass_g)
    juice_pct = scale * given @ piece.weight
    trace = Trace(
        time_min=rows.time_min,
        core_c=core,
        surface_c=rows.profile_c[:, 0],
        probe_c=along(rows.profile_c, course.fraction, course.probe_at),
        air_c=rows.air_c,
        mass_g=piece.mass_g * (1 - (lost_pct + juice_pct) / 100),
        phases=rows.phases,
    )
    dried = shed.evaporate(piece, rows.lost_g_m2[-1] * face_m2)
    after = shed.squeeze(dried, given[-1], piece.mass_g * float(juice_pct[-1]) / 100)
    low, high = (bound * float(juice_pct[-1]) for bound in shed.JUICE_SPREAD)
    return Cooked(
        fillet=after.replace(temp_c=rows.profile_c[-1]),
        trace=trace,
        plan=plan,
        reached=course.reached_min is not None,
        minutes_to_target=course.reached_min,
        core_minutes_to_target=first_reached(rows.time_min, core, plan.core_target_c),
        held_min=death.held_minutes(rows.time_min, core, plan.core_target_c - TOUCH_C),
        peak_core_c=float(core.max()),
        coldest_c=float(rows.left_cabinet_c.min()),
        evaporation_pct=float(lost_pct[-1]),
        condensed_pct=100 * condensed_g / piece.mass_g,
        cook_out_pct=float(juice_pct[-1]),
        salt_in_juice_g=dried.salt_g - after.salt_g,
        cook_out_range_pct=(low, high),
        hottest_c=hottest[-1],
        listeria=death.lethality(rows.time_min, core, "listeria"),
        energy_error=rows.energy_error,
    )


@dataclass(frozen=True)
class Place:
    """One piece of a load, and where in the cabinet it hangs or lies.

    Parameters
    ----------
    name : str
        What you call it.
    fillet : Fillet
        The piece.
    air_offset_c : float
        How much warmer (or, below 0, colder) the air is here than the cabinet's setting, -30 to 30. [°C]
    air_share : float
        Heat transfer here as a share of the cabinet's, above 0 to 3: less behind a full rack. [1]
    """

    name: str
    fillet: Fillet
    air_offset_c: float = 0.0
    air_share: float = 1.0

    def __post_init__(self) -> None:
        check_range("air_offset_c", self.air_offset_c, at_least=-30, at_most=30)
        check_range("air_share", self.air_share, above=0, at_most=3)


@dataclass(frozen=True, eq=False)
class Load:
    """A cooked load: every piece by name, and the name of the one that was probed."""

    pieces: dict[str, Cooked]
    probed: str

    @property
    def coldest(self) -> str:
        """Name of the piece whose core stayed coolest."""
        return min(self.pieces, key=lambda name: self.pieces[name].peak_core_c)

    @property
    def short(self) -> tuple[str, ...]:
        """Names of the pieces whose core never reached the target."""
        return tuple(name for name, done in self.pieces.items() if done.core_minutes_to_target is None)


def cook_load(
    places: Sequence[Place], plan: CabinetPlan | None = None, *, probed: str = "", **settings: Any
) -> Load:
    """Return what a whole load becomes when the cook goes by the probe in ONE piece.

    Probe the thickest piece in the coolest place: whatever you probe, the rest leaves when it does.

    Parameters
    ----------
    places : sequence of Place
        The pieces and where they are; names must differ.
    plan : CabinetPlan, optional
        How to run the batch.
    probed : str
        Name of the probed piece; the first one if not given.
    **settings
        Fields of ``CabinetPlan``; they override the plan, or make one.

    Raises
    ------
    BadData
        If the load is empty or two pieces have one name.
    UnknownName
        If no piece has the name ``probed``, or a setting is not a field of ``CabinetPlan``.

    Notes
    -----
    Pieces do not warm or dampen each other's air here. The vapour in the cabinet is the same everywhere,
    so a cool spot is a damper one.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> thick, thin = (fillet.raw("char, farmed", mm, 150, skin_on=False) for mm in (26, 16))
    >>> pieces = [Place("thin", thin), Place("thick", thick)]
    >>> load = cook_load(pieces, core_target_c=64, cabinet_c=80, rh_pct=60)
    >>> load.probed, load.short
    ('thin', ('thick',))
    """
    plan = _plan(plan, settings)
    names = [place.name for place in places]
    if not names or len(set(names)) < len(names):
        raise BadData("load", f"the names are {names}", "at least one piece, each with a name of its own")
    probed = probed or names[0]
    if probed not in names:
        raise UnknownName("piece", probed, names)
    lead = next(place for place in places if place.name == probed)
    first = cook(lead.fillet, _moved(plan, lead))
    same_time = dataclasses.replace(
        plan,
        cook_min=first.phase_min["cook"],
        hold_min=first.phase_min.get("hold", 0.0),
    )
    pieces = {
        place.name: first if place is lead else cook(place.fillet, _moved(same_time, place))
        for place in places
    }
    return Load(pieces, probed)


def _moved(plan: CabinetPlan, place: Place) -> CabinetPlan:
    """Return the plan as it is felt at one place."""
    smoke_c = plan.cabinet_c if plan.smoke_c is None else plan.smoke_c
    smoke_rh = plan.rh_pct if plan.smoke_rh_pct is None else plan.smoke_rh_pct
    cabinet_c, smoke_there_c = plan.cabinet_c + place.air_offset_c, smoke_c + place.air_offset_c
    hold_c, hold_rh = _hold_there(plan, place.air_offset_c)
    return dataclasses.replace(
        plan,
        cabinet_c=cabinet_c,
        rh_pct=same_vapour(plan.rh_pct, plan.cabinet_c, cabinet_c),
        smoke_c=smoke_there_c,
        smoke_rh_pct=same_vapour(smoke_rh, smoke_c, smoke_there_c),
        hold_c=hold_c,
        hold_rh_pct=hold_rh,
        h_w_m2_k=plan.h_w_m2_k * place.air_share,
    )


def _hold_there(plan: CabinetPlan, offset_c: float) -> tuple[float | None, float | None]:
    if plan.hold_c is None:
        return None, None
    rh = plan.rh_pct if plan.hold_rh_pct is None else plan.hold_rh_pct
    there_c = plan.hold_c + offset_c
    return there_c, same_vapour(rh, plan.hold_c, there_c)
