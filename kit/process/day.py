"""A whole batch: one fillet from the cure to the cold store, on one grid, by one clock, masses closed."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from kit.basics.errors import check_range
from kit.process.batch_card import BatchCard
from kit.process.mass_ledger import Masses, masses_of
from kit.process.physics import smoke, wood
from kit.process.physics import species as fish
from kit.process.physics.faces import AirPath, Face
from kit.process.physics.outline import outline, shapes
from kit.process.physics.trace import Trace
from kit.process.physics.wood import Wood
from kit.process.sampling import bones
from kit.process.steps import chill, cook, cure, hold, keep, kiln, load, pellicle
from kit.process.steps import fillet as fillets
from kit.process.steps.chill import Chilled
from kit.process.steps.cook import CabinetPlan, Cooked
from kit.process.steps.fillet import Fillet
from kit.process.steps.keep import Kept
from kit.process.steps.pellicle import Dried
from kit.process.steps.salted import Salted

__all__ = [
    "CARRY_MIN",
    "PELLICLE_G_M2",
    "STEPS",
    "BatchCard",
    "BatchDay",
    "Slot",
    "clock",
    "face_activity",
    "plan",
    "run",
    "smoke_delay",
    "wetness",
]

STEPS = ("cure", "rinse", "rest", "dry", "cook", "chill", "keep")
"""The steps that take time; the smoke is the first phase of the cook."""

NEAREST_SHAPE = "trout"
"""Whose outline stands for a fish whose own the kit does not know; ours, no source."""
PELLICLE_G_M2 = 120.0
"""Water lost from the flesh face by which a pellicle has set; ours, no source. [g/m²]"""
WETNESS_WITH_PELLICLE = 0.2
"""Of a flesh face with a set pellicle; within the published 0.1 to 0.3. [1]"""


@dataclass(frozen=True)
class Slot:
    """When a step began and ended: minutes since the cure began, and by the clock on the wall."""

    step: str
    start_min: float
    end_min: float
    start_clock: str
    end_clock: str


@dataclass(frozen=True, eq=False)
class BatchDay:
    """A batch as it went: the card, what was done, each step's own result, one trace, one clock.

    ``done`` is the card as it was really followed; without a fault it is the card. ``others`` are the other
    pieces of the load after the cook. ``smoke_delay_min`` is how long damp chips kept the smoke waiting.
    """

    card: BatchCard
    done: BatchCard
    bones: bones.BonesLeft
    wood: Wood
    smoke_quality: smoke.SmokeQuality
    smoke_delay_min: float
    cure: Salted
    rinse: Salted
    rest: Salted
    dry: Dried
    cook: Cooked
    others: tuple[Cooked, ...]
    chill: Chilled
    keep: Kept
    trace: Trace
    schedule: tuple[Slot, ...]
    masses: Masses

    @property
    def fillet(self) -> Fillet:
        """The fillet at the end of its days in the store."""
        return self.keep.fillet

    @property
    def yield_pct(self) -> float:
        """Weight after chilling as a share of the raw fillet. [%]"""
        return 100 * self.chill.fillet.mass_g / self.masses.raw_g

    @property
    def hours(self) -> float:
        """From the start of the cure until the fish is cold. [h]"""
        return next(slot.end_min for slot in self.schedule if slot.step == "chill") / 60


def run(card: BatchCard, done: BatchCard | None = None) -> BatchDay:
    """Return how a batch goes, step by step, for one fillet that stands for it.

    Parameters
    ----------
    card : BatchCard
        What was meant.
    done : BatchCard, optional
        What was really done, if something went wrong: see ``kit.process.faults``.

    Raises
    ------
    OutOfRange, UnknownName, BadData
        From the step that cannot be done so.

    Notes
    -----
    Every step is its own module's function. No day releases a batch: it shows what the records would show,
    and a competent person decides.

    Examples
    --------
    >>> day = run(BatchCard(core_target_c=64, chill_target_c=3))
    >>> day.cook.reached, day.chill.reached, abs(day.masses.error_g) < 1e-6
    (True, True, True)
    """
    really = card if done is None else done
    raw, cured, rinsed, rested, dried = _before_the_cabinet(really, really.thickness_mm)
    delay = smoke_delay(really)
    cooked, others = _cook(dried, really, delay)
    chilled = chill.chill(
        cooked.fillet,
        really.chiller,
        core_target_c=really.chill_target_c,
        wait_min=max(0.0, really.wait_min - CARRY_MIN),
        load_kg=really.chill_load_kg,
        power_w=really.chill_power_w,
        max_min=1500.0,
    )
    cold = chilled.fillet.replace(temp_c=np.clip(chilled.fillet.temp_c, -2, 25))
    kept = keep.keep(cold, really.store_days, really.store_c, ph=really.ph)
    steps = (cured, rinsed, rested, dried, cooked, chilled, kept)
    return BatchDay(
        card=card,
        done=really,
        bones=bones.bones_left(
            really.pin_bones, float(bones.still_there(really.pull, really.find, really.looks))
        ),
        wood=wood.look_up(really.wood_name),
        smoke_quality=smoke.smoke_quality(really.smoulder_c),
        smoke_delay_min=delay,
        cure=cured,
        rinse=rinsed,
        rest=rested,
        dry=dried,
        cook=cooked,
        others=others,
        chill=chilled,
        keep=kept,
        trace=load.join([step.trace for step in steps]),
        schedule=_schedule([step.trace for step in steps], really.starts_h),
        masses=masses_of(raw, [cured, rinsed, rested], dried, cooked, chilled, kept.fillet),
    )


def _before_the_cabinet(done: BatchCard, mm: float) -> tuple[Fillet, Salted, Salted, Salted, Dried]:
    """Return a piece of that thickness raw, cured, rinsed, rested and dried: a thick one takes less salt."""
    flesh = fish.flesh(done.species, season=done.season, state_name=done.state)
    raw = fillets.raw(flesh, mm, done.mass_g, done.fish_c, skin_on=done.skin_on)
    cured = cure.cure(raw, done.cure_h, temp_c=done.cure_c, salt_g=done.salt_g)
    rinsed = cure.rinse(cured.fillet, done.rinse_min)
    rested = cure.equalise(rinsed.fillet, done.rest_h, temp_c=done.rest_c)
    return raw, cured, rinsed, rested, pellicle.dry(rested.fillet, done.dry_h, done.draught)


CARRY_MIN = 5.0
"""Minutes of carry-over that the cook itself follows; any longer wait is part of the chilling. [min]"""


def wetness(dried: Dried) -> float:
    """Return how wet the flesh face is when it goes into the cabinet: dry once its pellicle has set.

    Notes
    -----
    Ours, no source: a straight line down to 0.2 at 120 g/m² of water lost from the flesh face.

    Examples
    --------
    >>> from kit.process.steps import fillet, pellicle
    >>> piece = fillet.raw("char, farmed", 24, 180)
    >>> short, long = (pellicle.dry(piece, hours, pellicle.Draught(3, 72, 2.0)) for hours in (0.5, 10))
    >>> wetness(short) > wetness(long)
    True
    """
    area_m2 = dried.fillet.area_cm2 / 1e4 * dried.faces
    lost_g_m2 = max(0.0, dried.water_lost_g) / area_m2
    share = min(1.0, lost_g_m2 / PELLICLE_G_M2)
    return 1.0 - (1.0 - WETNESS_WITH_PELLICLE) * share


def smoke_delay(done: BatchCard) -> float:
    """Return how long the water in the chips keeps the smoke waiting. [min]

    Examples
    --------
    >>> dry, damp = (BatchCard(64, 3, chips_moisture_pct=percent) for percent in (0, 100))
    >>> smoke_delay(dry), smoke_delay(damp) > 1.5
    (0.0, True)
    """
    chips_g = smoke.chips_for(done.smoke_min, done.tray_area_cm2).middle if done.smoke_min > 0 else 0.0
    return float(wood.drying_heat(chips_g, done.chips_moisture_pct)) * 1000 / done.heater_w / 60


def plan(
    done: BatchCard, smoke_min: float, wet: float, load_wet: float | None = None, activity: float = 0.98
) -> CabinetPlan:
    """Return the plan of the cook in a day: smoke for so long, with the flesh face so wet.

    ``load_wet`` is how wet the rest of the load is that makes the air of a kiln; as this piece if not given.
    ``activity`` is the water activity of the faces.

    Examples
    --------
    >>> plan(BatchCard(core_target_c=64, chill_target_c=3), 26.0, 0.2).smoke_min
    26.0
    """
    check_range("wet", wet, at_least=0, at_most=1)
    made = _air(done, smoke_min, wet if load_wet is None else load_wet)
    rh_pct = float(made.rh_pct[-1]) if made is not None else done.rh_pct or 0.0
    hold_c = done.hold_c
    if hold_c is None and made is None:
        face = Face(done.cabinet_c, rh_pct, done.cabinet_h_w_m2_k, wet, water_activity=activity)
        hold_c = hold.hold_air(face, done.core_target_c, dry_skin=done.skin_on)
    return CabinetPlan(
        core_target_c=done.core_target_c,
        cabinet_c=done.cabinet_c,
        rh_pct=rh_pct,
        smoke_min=smoke_min,
        hold_min=done.hold_min,
        hold_c=hold_c,
        hold_rh_pct=None if hold_c is None else hold.same_vapour(rh_pct, done.cabinet_c, hold_c),
        max_cook_min=done.max_cook_min,
        carry_over_min=CARRY_MIN,
        h_w_m2_k=done.cabinet_h_w_m2_k,
        wetness=wet,
        water_activity=activity,
        probe_depth=done.probe_depth,
        juice_factor=fish.state(done.state).juice_factor,
        air=made,
        turn_down=made is not None,
    )


def _air(done: BatchCard, smoke_min: float, wet: float) -> AirPath | None:
    """Return the air of the usual kiln, or None where it is set, or where a kiln of its own is followed."""
    if done.rh_pct is not None or done.kiln is not None:
        return None
    return kiln.usual_air(
        _mean_mm(done),
        done.load_kg,
        done.cabinet_c,
        smoke_min,
        wetness=wet,
        skin_on=done.skin_on,
        vents=done.vents,
        h_w_m2_k=done.cabinet_h_w_m2_k,
    )


@lru_cache(maxsize=256)
def _mean_thickness(species: str, thickness_mm: float) -> float:
    name = species.split(",")[0]
    shape = name if name in (each.name for each in shapes()) else NEAREST_SHAPE
    return outline(shape, thickness_mm, 1000.0, fish.flesh(species)).mean_mm


def _mean_mm(done: BatchCard) -> float:
    """Return the mean thickness of a whole fillet: thin tails give off far more water than the loin. [mm]"""
    return _mean_thickness(done.species, done.thickness_mm)


def _cook(dried: Dried, done: BatchCard, delay_min: float) -> tuple[Cooked, tuple[Cooked, ...]]:
    wet = 1.0 if done.wet_rack else wetness(dried)
    heat = plan(done, done.smoke_min + delay_min, wet, activity=face_activity(done, dried))
    if done.kiln is not None:
        by_itself = done.hold_c is None
        heat = kiln.in_its_air(done.kiln, dried.fillet, done.load_kg, heat, done.doors, turn_down=by_itself)
    if done.others_mm:
        places = [cook.Place("probed", dried.fillet)]
        places += [
            cook.Place(f"piece {index}", _before_the_cabinet(done, mm)[-1].fillet)
            for index, mm in enumerate(done.others_mm, start=2)
        ]
        found = cook.cook_load(places, heat)
        return _held(found.pieces["probed"]), tuple(found.pieces[place.name] for place in places[1:])
    doors = done.doors if done.kiln is None else ()
    return _held(load.cook_with_doors(dried.fillet, heat, doors)), ()


def face_activity(done: BatchCard, dried: Dried) -> float:
    """Return the water activity of the face in the cabinet; in air that is set, that of a light cure. [1]

    Examples
    --------
    >>> card = BatchCard(core_target_c=64, chill_target_c=3)
    >>> face_activity(card.replace(rh_pct=45.0), run(card).dry)
    0.98
    """
    set_air = done.rh_pct is not None and done.kiln is None
    return 0.98 if set_air else pellicle.face_activity(dried.fillet)


def _held(cooked: Cooked) -> Cooked:
    """Return it with the air of its hold in its plan, where that came out of the cook."""
    phase = cooked.trace.phase("hold")
    if not cooked.plan.turn_down or phase is None:
        return cooked
    hold_c, hold_rh_pct = cooked.plan.held_air(phase.start_min, cooked.fillet.skin_on)
    return dataclasses.replace(
        cooked, plan=dataclasses.replace(cooked.plan, hold_c=hold_c, hold_rh_pct=hold_rh_pct)
    )


def clock(starts_h: float, minutes: float) -> str:
    """Return the time on the wall, with the day if it is not the first.

    Examples
    --------
    >>> clock(14, 90), clock(14, 15 * 60)
    ('15:30', '05:00 on day 2')
    """
    check_range("starts_h", starts_h, at_least=0, at_most=24)
    check_range("minutes", minutes, at_least=0, at_most=1e6)
    total = round(starts_h * 60 + minutes)
    day, rest = divmod(total, 1440)
    return f"{rest // 60:02d}:{rest % 60:02d}" + (f" on day {day + 1}" if day else "")


def _schedule(traces: Sequence[Trace], starts_h: float) -> tuple[Slot, ...]:
    slots, now = [], 0.0
    for name, trace in zip(STEPS, traces, strict=True):
        end = now + float(trace.time_min[-1])
        slots.append(Slot(name, now, end, clock(starts_h, now), clock(starts_h, end)))
        now = end
    return tuple(slots)
