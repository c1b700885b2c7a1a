"""What goes wrong in a day, as changes of what was done, each with the mark it leaves in the records."""

import dataclasses
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from kit.basics.errors import UnknownName
from kit.process import day
from kit.process.day import BatchCard, BatchDay
from kit.process.physics.draught import Draught
from kit.process.steps import cook


@dataclass(frozen=True)
class Fault:
    """Something that goes wrong.

    Parameters
    ----------
    name, title : str
        The key, and what happened in plain words.
    step : str
        The step in which its mark can be found.
    signature : str
        What the records show, in plain words: how somebody can find it.
    change : callable
        Card to what is really done.
    shows : callable
        Whether a day's records carry the mark. It looks at records and the card, never at what was done.
    """

    name: str
    title: str
    step: str
    signature: str
    change: Callable[[BatchCard], BatchCard]
    shows: Callable[[BatchDay], bool]


def _still_air(card: BatchCard) -> BatchCard:
    air = card.draught
    return card.replace(
        draught=Draught(air.air_c, min(97.0, air.rh_pct + 22), 0.1, air.length_m, 1.0, air.rack)
    )


def _air_in(record: BatchDay, phase: str) -> np.ndarray:
    part = record.trace.during(phase)
    return np.asarray(part.air_c if part.air_c is not None else [])


def _minutes(record: BatchDay, step: str) -> float:
    slot = next(each for each in record.schedule if each.step == step)
    return slot.end_min - slot.start_min


def _lost_g_m2(record: BatchDay) -> float:
    return record.dry.water_lost_g / (record.dry.fillet.area_cm2 / 1e4 * record.dry.faces)


def _weight_before_cook_pct(record: BatchDay) -> float:
    return 100 * record.dry.fillet.mass_g / record.rest.fillet.mass_g


def _probe_gap_c(record: BatchDay) -> float:
    """Return how far the probe ever was from the coldest part of the piece while it cooked. [°C]"""
    trace = record.cook.trace
    if trace.probe_c is None:
        return 0.0
    return float(np.nanmax(np.abs(trace.probe_c - trace.core_c)))


def _door_dip(record: BatchDay) -> bool:
    air = record.cook.trace.air_c
    cook = record.cook.trace.phase("cook")
    ends = [each.end_min for each in record.cook.trace.phases if each.name in ("cook", "hold")]
    if air is None or cook is None:
        return False
    inside = (record.cook.trace.time_min > cook.start_min) & (record.cook.trace.time_min < max(ends))
    held_c = record.cook.plan.hold_c
    lowest_c = record.card.cabinet_c if held_c is None else min(record.card.cabinet_c, held_c)
    return bool(np.any(air[inside] < lowest_c - 15))


def _heat(record: BatchDay, names: tuple[str, ...]) -> float:
    """Return the unbroken minutes of heat, of these phases, before anything else happened. [min]"""
    minutes = 0.0
    for phase in record.cook.trace.phases:
        if phase.name not in names:
            break
        minutes = phase.end_min
    return minutes


def _face_after(record: BatchDay, minutes: float, wet: float) -> float:
    """Return how hot the face of this fish would be in the air that the dials showed. [°C]"""
    smoke_min, dials = min(minutes, record.card.smoke_min), record.cook.plan
    meant = day.plan(record.card, smoke_min, wet, activity=day.face_activity(record.card, record.dry))
    found = cook.cook(
        record.dry.fillet,
        dataclasses.replace(meant, air=dials.air, rh_pct=dials.rh_pct),
        cook_min=minutes - smoke_min,
        hold_min=0.0,
        carry_over_min=0.0,
    )
    return float(found.trace.surface_c[-1]) if found.trace.surface_c is not None else math.nan


def _face_seen(record: BatchDay, minutes: float) -> float:
    surface_c = record.cook.trace.surface_c
    return math.nan if surface_c is None else float(np.interp(minutes, record.cook.trace.time_min, surface_c))


def _dry_air(record: BatchDay) -> bool:
    """Return whether the humidity dial fell far short of the card's when the cook ended."""
    minutes = _heat(record, ("smoke", "cook"))
    meant = day.plan(record.card, record.card.smoke_min, day.wetness(record.dry))
    return minutes > 0 and record.cook.plan.air_at(minutes)[1] < DRIER * meant.air_at(minutes)[1]


def _wet_start(record: BatchDay) -> bool:
    """Return whether the fish dried well, yet its face ended nearer to a wet one's than to a dry one's."""
    minutes = _heat(record, ("smoke", "cook"))
    if minutes <= 0 or _lost_g_m2(record) < 0.6 * day.PELLICLE_G_M2 or _dry_air(record):
        return False
    wet, dried = (_face_after(record, minutes, wet) for wet in (1.0, day.wetness(record.dry)))
    return dried - wet > 0.1 and _face_seen(record, minutes) < 0.5 * (wet + dried)


DRIER = 0.6
"""Humidity below this share of the card's, at the same minute, is too dry; ours, no source. [1]"""
OFF_CENTRE_C = 5.0
"""A probe that is ever so far from the core is not in it; ours, no source. [°C]"""

_ALL = (
    Fault(
        "missed bones",
        "The pin-bone machine missed many bones",
        "trim",
        "More than half a bone is left in a fillet, on average: a second look finds them.",
        lambda card: card.replace(pull=0.7, looks=0),
        lambda record: record.bones.mean > 0.5,
    ),
    Fault(
        "short cure",
        "The fish came out of the salt too early",
        "cure",
        "The cure took less than two thirds of the card's time, and the fillet took up less salt.",
        lambda card: card.replace(cure_h=card.cure_h * 0.4),
        lambda record: _minutes(record, "cure") < 0.67 * 60 * record.card.cure_h,
    ),
    Fault(
        "warm cure",
        "The cure stood on the bench, not in the cold",
        "cure",
        "The air at the cure is more than 3 °C above the card.",
        lambda card: card.replace(cure_c=min(24.0, card.cure_c + 12)),
        lambda record: float(np.nanmax(_air_in(record, "cure"))) > record.card.cure_c + 3,
    ),
    Fault(
        "fans off",
        "The fans stood still during the drying",
        "dry",
        "The fish hardly lost weight: less than 60 g of water from each square metre, and no pellicle.",
        _still_air,
        lambda record: _lost_g_m2(record) < 60,
    ),
    Fault(
        "wet rack",
        "The dry fish went onto a dripping rack",
        "cook",
        "It dried well, yet its face leaves the heat hardly hotter than a wet one would.",
        lambda card: card.replace(wet_rack=True),
        _wet_start,
    ),
    Fault(
        "resinous wood",
        "Somebody put spruce in the tray",
        "smoke",
        "The wood on the label is on the list of woods to refuse.",
        lambda card: card.replace(wood_name="spruce"),
        lambda record: not record.wood.usable,
    ),
    Fault(
        "damp wood",
        "The chips were damp",
        "smoke",
        "The smoke came three times as late as with the card's chips: the heater first boiled water off.",
        lambda card: card.replace(chips_moisture_pct=120.0),
        lambda record: record.smoke_delay_min > 0.2 + 3 * day.smoke_delay(record.card),
    ),
    Fault(
        "probe off-centre",
        "The tip of the probe sat near the surface",
        "cook",
        "At some time in the heat the probe read more than 5 °C away from the core: it warmed like a face.",
        lambda card: card.replace(probe_depth=0.06),
        lambda record: _probe_gap_c(record) > OFF_CENTRE_C,
    ),
    Fault(
        "mixed thickness",
        "A thicker piece hung in the same load",
        "cook",
        "Another piece of the load left without its core ever reaching the target for the hold.",
        lambda card: card.replace(others_mm=(card.thickness_mm + 14,), hold_min=min(card.hold_min, 2.0)),
        lambda record: any(
            other.held_min < 0.5 * record.card.hold_min or other.core_minutes_to_target is None
            for other in record.others
        ),
    ),
    Fault(
        "door open",
        "The door stood open in the middle of the cook",
        "cook",
        "The air in the cabinet falls by more than 15 °C in the middle of the cook.",
        lambda card: card.replace(doors=((8.0, 12.0),)),
        _door_dip,
    ),
    Fault(
        "dry cabinet",
        "The vents were wide open: the cabinet was too dry",
        "cook",
        "When the cook ended, the humidity dial showed less than 60 % of what it should.",
        lambda card: card.replace(rh_pct=None if card.rh_pct is None else 2.0, vents=1.0),
        _dry_air,
    ),
    Fault(
        "full chiller",
        "The chiller was overloaded",
        "chill",
        "The air in the chiller became more than 5 °C warmer than it should be.",
        lambda card: card.replace(chill_load_kg=60.0, chill_power_w=5000.0),
        lambda record: record.chill.warmest_air_c > _chiller_air(record.card) + 5,
    ),
    Fault(
        "late chilling",
        "The fish stood at the pass before it was chilled",
        "chill",
        "More than 30 min longer than the card lie between the cabinet and the chiller.",
        lambda card: card.replace(wait_min=card.wait_min + 120),
        lambda record: _wait(record) > record.card.wait_min + 30,
    ),
    Fault(
        "warm store",
        "The cold store was warm",
        "keep",
        "The fish was more than 2 °C above the card in the store.",
        lambda card: card.replace(store_c=card.store_c + 6),
        lambda record: float(np.nanmax(_air_in(record, "store"))) > record.card.store_c + 2,
    ),
)

FAULTS: dict[str, Fault] = {fault.name: fault for fault in _ALL}
"""Every fault by name."""


def _chiller_air(card: BatchCard) -> float:
    from kit.process.steps.chill import CHILLERS

    return CHILLERS[card.chiller].air_c


def _wait(record: BatchDay) -> float:
    return sum(phase.minutes for phase in record.trace.phases if phase.name == "carry-over")


def with_faults(card: BatchCard, names: Iterable[str]) -> BatchCard:
    """Return what is really done when these things go wrong with a card.

    Raises
    ------
    UnknownName
        If there is no such fault.

    Examples
    --------
    >>> with_faults(BatchCard(core_target_c=64, chill_target_c=3), ["warm store"]).store_c
    8.5
    """
    done = card
    for name in names:
        done = fault(name).change(done)
    return done


def fault(name: str) -> Fault:
    """Return the fault of that name.

    Raises
    ------
    UnknownName
        If there is none.

    Examples
    --------
    >>> fault("fans off").step
    'dry'
    """
    if name not in FAULTS:
        raise UnknownName("fault", name, FAULTS)
    return FAULTS[name]


def run_with(card: BatchCard, names: Iterable[str] = ()) -> BatchDay:
    """Return the day of a card on which these things go wrong.

    Examples
    --------
    >>> record = run_with(BatchCard(core_target_c=64, chill_target_c=3), ["late chilling"])
    >>> found(record)
    ('late chilling',)
    """
    return day.run(card, with_faults(card, names))


def found(record: BatchDay) -> tuple[str, ...]:
    """Return the faults whose mark the records of a day carry.

    Parameters
    ----------
    record : BatchDay
        From ``run_with`` or ``day.run``.
    """
    return tuple(name for name, each in FAULTS.items() if each.shows(record))
