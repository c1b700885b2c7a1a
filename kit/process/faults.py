"""What goes wrong in a day, as changes of what was done, each with the mark it leaves in the records."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from kit.errors import UnknownName
from kit.process import day
from kit.process.day import Card, Day
from kit.process.draught import Draught
from kit.process.slab import Face, stall_temp


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
    change: Callable[[Card], Card]
    shows: Callable[[Day], bool]


def _still_air(card: Card) -> Card:
    air = card.draught
    return card.replace(
        draught=Draught(air.air_c, min(97.0, air.rh_pct + 22), 0.1, air.length_m, 1.0, air.rack)
    )


def _air_in(record: Day, phase: str) -> np.ndarray:
    part = record.trace.during(phase)
    return np.asarray(part.air_c if part.air_c is not None else [])


def _minutes(record: Day, step: str) -> float:
    slot = next(each for each in record.schedule if each.step == step)
    return slot.end_min - slot.start_min


def _lost_g_m2(record: Day) -> float:
    return record.dry.water_lost_g / (record.dry.fillet.area_cm2 / 1e4 * record.dry.faces)


def _weight_before_cook_pct(record: Day) -> float:
    return 100 * record.dry.fillet.mass_g / record.rest.fillet.mass_g


def _probe_gap_c(record: Day) -> float:
    """Return how far the reading that ended the cook was from the coldest part of the piece. [°C]"""
    trace = record.cook.trace
    ended = trace.phase("hold") or trace.phase("carry-over")
    if ended is None or trace.probe_c is None:
        return 0.0
    at = int(np.searchsorted(trace.time_min, ended.start_min))
    return float(trace.probe_c[at] - trace.core_c[at])


def _door_dip(record: Day) -> bool:
    air = record.cook.trace.air_c
    cook = record.cook.trace.phase("cook")
    ends = [each.end_min for each in record.cook.trace.phases if each.name in ("cook", "hold")]
    if air is None or cook is None:
        return False
    inside = (record.cook.trace.time_min > cook.start_min) & (record.cook.trace.time_min < max(ends))
    return bool(np.any(air[inside] < record.card.cabinet_c - 15))


def _face_below_wet(record: Day) -> tuple[float, float]:
    """Return how far the flesh face, as it left the heat, was below a wet one and a dry one. [°C]

    Both by the air that the card asks for: where a wet face stalls, and half way from there to a pellicle.
    """
    trace = record.cook.trace
    ends = [phase.end_min for phase in trace.phases if phase.name in ("cook", "hold")]
    if not ends or trace.surface_c is None:
        return -99.0, -99.0
    last = float(np.interp(max(ends), trace.time_min, trace.surface_c))
    card = record.card
    wet, dry = (
        stall_temp(Face(card.cabinet_c, card.rh_pct, card.cabinet_h_w_m2_k, wetness))
        for wetness in (1.0, day.WETNESS_WITH_PELLICLE)
    )
    return wet - last, 0.5 * (wet + dry) - last


def _wet_start(record: Day) -> bool:
    """Return whether the face sits where a wet one stalls, although the fish had dried well."""
    below_wet, below_middle = _face_below_wet(record)
    return _lost_g_m2(record) >= 0.6 * day.PELLICLE_G_M2 and below_middle > 0 and below_wet < 2


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
        "It dried well, yet its face leaves the heat no hotter than a wet one would.",
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
        "The smoke came more than 1.5 min late: the heater first had to boil the water off.",
        lambda card: card.replace(chips_moisture_pct=120.0),
        lambda record: record.smoke_delay_min > 1.5,
    ),
    Fault(
        "probe off-centre",
        "The tip of the probe sat near the surface",
        "cook",
        "When the probe read the target, the core was more than 1.2 °C colder.",
        lambda card: card.replace(probe_depth=0.06),
        lambda record: _probe_gap_c(record) > 1.2,
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
        "The face is more than 2 °C colder than even a wet one would be in the air the card asks for.",
        lambda card: card.replace(rh_pct=2.0),
        lambda record: _face_below_wet(record)[0] >= 2,
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


def _chiller_air(card: Card) -> float:
    from kit.process.chill import CHILLERS

    return CHILLERS[card.chiller].air_c


def _wait(record: Day) -> float:
    return sum(phase.minutes for phase in record.trace.phases if phase.name == "carry-over")


def with_faults(card: Card, names: Iterable[str]) -> Card:
    """Return what is really done when these things go wrong with a card.

    Raises
    ------
    UnknownName
        If there is no such fault.

    Examples
    --------
    >>> with_faults(Card(core_target_c=64, chill_target_c=3), ["warm store"]).store_c
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


def run_with(card: Card, names: Iterable[str] = ()) -> Day:
    """Return the day of a card on which these things go wrong.

    Examples
    --------
    >>> record = run_with(Card(core_target_c=64, chill_target_c=3), ["late chilling"])
    >>> found(record)
    ('late chilling',)
    """
    return day.run(card, with_faults(card, names))


def found(record: Day) -> tuple[str, ...]:
    """Return the faults whose mark the records of a day carry.

    Parameters
    ----------
    record : Day
        From ``run_with`` or ``day.run``.
    """
    return tuple(name for name, each in FAULTS.items() if each.shows(record))
