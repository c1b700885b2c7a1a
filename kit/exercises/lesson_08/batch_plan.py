"""The plan before a whole batch of lesson 8: four forecasts, and at the end how far off each one was.

The card gives aims. What a forecast is held against is read off the day as it went, never worked out again.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from kit.basics.errors import BadData
from kit.exercises.lesson_08.batch_limits import LAB_ERROR_PCT, SALT_TO_SPARE_PCT, lowest
from kit.exercises.lesson_08.batch_progress import Play
from kit.exercises.lesson_08.batch_run import CURE_H, WET, DrawnBatch
from kit.exercises.lesson_08.batch_story import STAGES, Dial
from kit.exercises.lesson_08.batch_text import KEPT_PCT, chill_limits
from kit.exercises.lesson_08.days import loin_salt_pct
from kit.process import day as days
from kit.process.day import BatchDay

FORECASTS = (
    Dial("salt_pct", "Salt in the water of the finished loin", "%", 0.5, 8, 0.1, 5),
    Dial("yield_pct", "Yield, of the raw fillets", "%", 50, 100, 1, 95),
    Dial("pellicle_h", "Drying until the face is dull and dry", "h", 0.5, 12, 0.5, 8),
    Dial("chill_min", "From the heat until the core is cold enough", "min", 10, 400, 5, 240),
)
"""What is forecast before the batch begins. The controls start far off, so that they say nothing."""
CLOSE = {"salt_pct": 0.3, "yield_pct": 2.0, "pellicle_h": 1.0, "chill_min": 15.0}
"""So near is called close; ours, no source."""
_LAST_STAGE = {"salt_pct": "pack", "yield_pct": "chill", "pellicle_h": "dry", "chill_min": "chill"}


@dataclass(frozen=True)
class ForecastEnd:
    """One forecast beside its outcome, in words. ``far`` is the error over what is called close."""

    key: str
    label: str
    said: str
    happened: str
    off: str
    far: float = 0.0


def plan(play: Play, values: Mapping[str, Any]) -> Play:
    """Return the batch with its four forecasts written down. They earn nothing and cost nothing.

    Raises
    ------
    BadData, OutOfRange
        If the batch has begun or is planned already, or a forecast is missing or not allowed.

    Examples
    --------
    >>> from kit.exercises.lesson_08.batch import start
    >>> said = {"salt_pct": 3, "yield_pct": 80, "pellicle_h": 2, "chill_min": 90}
    >>> plan(start(7), said).plan[0]
    ('salt_pct', 3.0)
    """
    if play.plan or play.settings or play.phase != "set":
        raise BadData("turn", "the plan is written before the batch begins", "the step on the page")
    if not isinstance(values, Mapping):
        raise BadData("forecasts", "they are not a list of numbers", "one number for each forecast")
    own = tuple((dial.key, dial.settle(values.get(dial.key))) for dial in FORECASTS)
    return dataclasses.replace(play, plan=own)


def aims(batch: DrawnBatch) -> tuple[str, ...]:
    """Return the aims of a batch with what the house knows, for whoever makes the plan.

    Examples
    --------
    >>> from kit.exercises.lesson_08.batch_run import draw_batch
    >>> aims(draw_batch(7))[1]
    'Earlier batches kept 78 to 83 % of the raw fillets.'
    """
    return (
        aim_words(batch, "cure"),
        f"Earlier batches kept {KEPT_PCT} % of the raw fillets.",
        aim_words(batch, "dry"),
        aim_words(batch, "chill"),
    )


def salt_aim_pct(batch: DrawnBatch) -> tuple[float, float]:
    """Return the least salt that any figure of the laboratory proves, and the most that sells. [%]"""
    least = batch.limits.salt[batch.pack].minimum or 0.0
    return round(least + 2.5 * LAB_ERROR_PCT, 1), round(least + SALT_TO_SPARE_PCT, 1)


def aim_words(batch: DrawnBatch, stage: str) -> str:
    """Return the aim of a stage and a note of the house: the settings follow from them, and are not given.

    An empty string where the card of the stage gives no setting away.
    """
    card, told = batch.meant, batch.limits
    low, high = salt_aim_pct(batch)
    cold = chill_limits(batch)
    words = {
        "cure": f"{low:g} to {high:g} % salt in the water of the loin at the end. Air {card.cure_c:g} °C. "
        f"A note of the house: a loin 26 mm thick comes to 3 % in {CURE_H[26.0]:g} h, with {card.dry_h:g} h "
        "of drying after it. Twice the thickness takes 4 times as long, and so does twice the salt. "
        f"Cold limit: {told.cold_c:g} °C.",
        "dry": f"A dull, dry face before the smoke, and no more than 2 h above {told.cold_c:g} °C. "
        f"The air is {card.draught.air_c:g} °C and should move at {card.draught.speed_m_s:g} m/s. "
        f"The rack is yours for {card.dry_h:g} h. The salt and the yield count on all of them.",
        "smoke": f"Alder, beech or apple, light gold: earlier batches had {card.smoke_min - 10:g} to "
        f"{card.smoke_min + 10:g} min. Smoke comes within {max(1.0, days.smoke_delay(card)):.0f} min. "
        f"Cabinet: {card.rh_pct:g} % humidity.",
        "cook": f"{told.row.words} in the core of the thickest piece, and juicy. A probe may be 0.5 °C off, "
        "and probe 1 may not sit in the thickest piece. A longer hold is proof; it costs little juice. "
        f"Earlier batches had the cabinet at {card.cabinet_c - 4:g} to {card.cabinet_c + 4:g} °C.",
        "chill": f"Core: {cold}. The blast chiller is free, and waiting in the room costs time.",
    }
    return words.get(stage, "")


def forecast_ends(play: Play) -> tuple[ForecastEnd, ...]:
    """Return each forecast beside what happened, where the batch came so far; empty without a plan."""
    reached = {each.key for each in STAGES[: play.number + 1]}
    ends = []
    for dial, (key, said) in zip(FORECASTS, play.plan, strict=False):
        value = happened(play.batch, play.day, key) if _LAST_STAGE[key] in reached else None
        ends.append(_end(dial, float(said), value, _LAST_STAGE[key] in reached))
    return tuple(ends)


def _end(dial: Dial, said: float, value: float | None, reached: bool) -> ForecastEnd:
    mine = f"{said:g} {dial.unit}"
    if value is None:
        told = "It never came to that." if reached else "The batch never came so far."
        return ForecastEnd(dial.key, dial.label, mine, told, "")
    true = round(value, 0 if dial.step >= 1 else 1)
    away = round(said - true, 1)
    close = abs(away) <= CLOSE[dial.key]
    way = "high" if dial.unit == "%" else "long"
    short = "low" if dial.unit == "%" else "short"
    off = f"{abs(away):g} {dial.unit} too {way if away > 0 else short}" if away else ""
    told = f"{off}: close" if off and close else off or "Right on it"
    return ForecastEnd(dial.key, dial.label, mine, f"{true:g} {dial.unit}", told, abs(away) / CLOSE[dial.key])


def happened(batch: DrawnBatch, record: BatchDay, key: str) -> float | None:
    """Return what a forecast is held against, read off the day; None if the day never came to it.

    Notes
    -----
    The face is dry where the day's own ``wetness`` says so, with the water lost up to then.
    """
    if key == "salt_pct":
        return loin_salt_pct(record)
    if key == "yield_pct":
        return record.yield_pct
    if key == "pellicle_h":
        return _pellicle_h(record)
    limit_c, trace = lowest(batch.limits.chill), record.chill.trace
    cold = np.flatnonzero(trace.core_c <= limit_c)
    return float(trace.time_min[cold[0]]) + days.CARRY_MIN if cold.size else None


def _pellicle_h(record: BatchDay) -> float | None:
    mass_g, time_min = record.dry.trace.mass_g, record.dry.trace.time_min
    if mass_g is None:
        return None
    lost_g = float(mass_g[0]) - mass_g
    wet = [days.wetness(dataclasses.replace(record.dry, water_lost_g=float(each))) for each in lost_g]
    if min(wet) > WET:
        return None
    return float(np.interp(-WET, -np.maximum.accumulate(np.asarray(wet)[::-1])[::-1], time_min)) / 60
