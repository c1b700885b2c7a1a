"""Lesson 8: days that are drawn and run once, and how their records look on a page."""

import math
from typing import Any

import numpy as np

from kit.exercises.engine.cache import simulated
from kit.exercises.engine.fish import FARMED
from kit.marking.model import Picture
from kit.process import faults
from kit.process.day import BatchCard, BatchDay

FISH = FARMED
MM = (22.0, 26.0, 30.0)

LIMIT_C, HOLD_MIN, CHILL_C, CHILL_MIN = 66.0, 30.0, 3.0, 110.0
"""The card of Harbour Lane is made up: no law says so, and none of the kit's profiles asks for more."""
STEAM_RH_PCT = 45.0
"""Harbour Lane has a steam maker, and its card asks for so much humidity; ours, no source. [%]"""
CARD_WORDS = (
    f"The card is made up: {LIMIT_C:g} °C or more for {HOLD_MIN:g} min, then {CHILL_C:g} °C within "
    f"{CHILL_MIN:g} min of leaving the heat"
)


def card(species: str = "char, farmed", thickness_mm: float = 26.0) -> BatchCard:
    """Return the card of Harbour Lane: a target that leaves room for the probe's error."""
    return BatchCard(
        core_target_c=LIMIT_C + 1.2,
        chill_target_c=CHILL_C,
        species=species,
        thickness_mm=thickness_mm,
        hold_min=HOLD_MIN + 3,
        rh_pct=STEAM_RH_PCT,
    )


@simulated
def record(species: str, thickness_mm: float, wrong: tuple[str, ...] = ()) -> BatchDay:
    """Return the day of a card on which these things went wrong; run once, then kept."""
    return faults.run_with(card(species, thickness_mm), wrong)


def in_the_heat(day: BatchDay) -> tuple[list[float], list[float], list[float]]:
    """Return minutes, core and air from the cabinet to the cold, about every 3 min."""
    start = next(slot.start_min for slot in day.schedule if slot.step == "cook")
    end = next(slot.end_min for slot in day.schedule if slot.step == "chill")
    part = day.trace.between(start, end)
    time = np.append(np.arange(0.0, end - start - 0.5, 3.0), end - start)
    core, air = (
        np.interp(time + start, part.time_min, _there(column)) for column in (part.core_c, part.air_c)
    )
    return (
        [round(float(t), 1) for t in time],
        [round(float(c), 1) for c in core],
        [round(float(a), 1) for a in air],
    )


def _there(column: Any) -> Any:
    return np.zeros(1) if column is None else column


def picture(day: BatchDay) -> Picture:
    """Return the record of cabinet and chiller as a picture, with its numbers in words."""
    time, core, air = in_the_heat(day)
    told = "; ".join(
        f"{t:g} min: core {c:g}, air {a:g} °C"
        for t, c, a in list(zip(time, core, air, strict=True))[:: max(1, len(time) // 14)]
    )
    words = f"Core and air from the cabinet to the cold. {told}."
    return Picture("day-record", {"time_min": time, "core_c": core, "air_c": air, "words": words}, words)


def notes(day: BatchDay) -> str:
    """Return what the batch sheet says beside the curves."""
    rows = {
        "Cure": f"{_hours(day, 'cure')}, air {np.nanmax(day.cure.trace.air_c):.0f} °C"
        if day.cure.trace.air_c is not None
        else _hours(day, "cure"),
        "Drying": f"{_hours(day, 'dry')}, weight loss {day.dry.loss_pct:.1f} %",
        "Wood": day.wood.name,
        "Hold": _turned_down(day),
        "Store": f"{float(np.nanmax(day.keep.trace.air_c)):.1f} °C"
        if day.keep.trace.air_c is not None
        else "",
    }
    return " ".join(f"{name}: {text}." for name, text in rows.items() if text)


def _hours(day: BatchDay, step: str) -> str:
    slot = next(each for each in day.schedule if each.step == step)
    return f"{(slot.end_min - slot.start_min) / 60:.1f} h"


def _turned_down(day: BatchDay) -> str:
    hold_c = day.cook.plan.hold_c
    turned_down = hold_c is not None and hold_c < day.done.cabinet_c - 1
    return f"cabinet turned down to {hold_c:.0f} °C" if turned_down else ""


def loin_salt_pct(record: BatchDay) -> float:
    """Return the salt that a laboratory finds in the water of the finished loin, rounded down. [%]

    The loin is the thickest place, so salt is weakest there. The sample is a slice through its whole depth,
    from the weakest piece of the load.
    """
    fillets = (record.chill.fillet, *(each.fillet for each in record.others))
    return no_more_than(min(each.mean_wps_pct for each in fillets))


def no_more_than(value: float) -> float:
    """Return a reading to 1 decimal, rounded down: what the page shows never proves more than the record.

    Examples
    --------
    >>> no_more_than(75.46), no_more_than(75.5)
    (75.4, 75.5)
    """
    return math.floor(round(10 * value, 6)) / 10
