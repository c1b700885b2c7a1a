"""What the whole-batch game says: the card of a stage, its evidence in words, its record as a picture."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

import numpy as np

from kit.exercises.lesson_08.batch_limits import LAB_ERROR_PCT, PACKS
from kit.exercises.lesson_08.batch_run import DrawnBatch, Readings, coldest, heat_end_min, in_the_heat
from kit.exercises.lesson_08.batch_story import lower
from kit.process import day as days
from kit.process.day import BatchDay
from kit.rules import Rule

KEPT_PCT = "78 to 83"
"""What earlier batches of this card kept of the raw fillet; a note of the house, from the same model. [%]"""


def order_words(batch: DrawnBatch) -> str:
    """Return the order and the fish, as the page opens with them.

    Examples
    --------
    >>> from kit.exercises.lesson_08.batch_run import draw_batch
    >>> order_words(draw_batch(7)).startswith("The shop wants")
    True
    """
    card = batch.meant
    return (
        f"The shop wants {batch.shop_kg:g} kg of hot-smoked {card.species.split(',')[0]}, cold and packed. "
        f"The fillets are farmed, skin on, {card.thickness_mm:g} mm thick and about {card.mass_g:g} g each."
    )


def card_words(batch: DrawnBatch, stage: str) -> str:
    """Return what the card of the batch says of a stage: its limits with their labels, and house figures."""
    card, told = batch.meant, batch.limits
    delay = days.smoke_delay(card)
    chill, store = _limits(told.chill), _limits(told.store)
    words = {
        "intake": f"Earlier batches kept {KEPT_PCT} % of the raw weight. Order a little more than you need. "
        "At most 5 bones in 10 fillets.",
        "cure": f"{card.cure_h:g} h in dry salt, in air of {card.cure_c:g} °C. "
        f"Cold limit: {told.cold_c:g} °C.",
        "dry": f"{card.dry_h:g} h in air of {card.draught.air_c:g} °C that moves at "
        f"{card.draught.speed_m_s:g} m/s. No more than 2 h above {told.cold_c:g} °C.",
        "smoke": f"Alder, beech or apple, {card.smoke_min:g} min. Smoke within {max(1.0, delay):.0f} min. "
        f"Cabinet: {card.rh_pct:g} % humidity, made with steam.",
        "cook": f"Limit in the core: {told.row.words}{''.join(_label(rule) for rule in told.cook)}. Cabinet "
        f"{card.cabinet_c:g} °C, probe 1 to {card.core_target_c:g} °C, hold {card.hold_min:g} min, "
        "the heat turned down. A probe may be 0.5 °C off.",
        "chill": f"Limit in the core: {chill}. Blast chiller, within {card.wait_min:g} min.",
        "pack": f"Store {store}: set it to {card.store_c:g} °C. "
        f"{batch.life_days:g} days on the label. Chilling: {chill}. {pack_words(batch)}",
    }
    return words[stage]


def pack_words(batch: DrawnBatch) -> str:
    """Return the pack that the card asks for, and how much salt it wants in the loin.

    Examples
    --------
    >>> from kit.exercises.lesson_08.batch_run import draw_batch
    >>> pack_words(draw_batch(7))
    'Pack: on a tray under film, with air. Salt in the water of the loin, by the laboratory: 2.5 % or more.'
    """
    rule = batch.limits.salt[batch.pack]
    proof = f"Salt in the water of the loin, by the laboratory: {rule.limit}{_label(rule)}."
    return f"Pack: {lower(PACKS[batch.pack])}. {proof}"


def chill_limits(batch: DrawnBatch) -> str:
    """Return the chilling limits of a batch, each with its label."""
    return _limits(batch.limits.chill)


def _limits(among: Iterable[Rule]) -> str:
    return "; ".join(f"{rule.limit}{_label(rule)}" for rule in among)


def _label(rule: Rule) -> str:
    return f" ({rule.label})" if rule.label else ""


def evidence(batch: DrawnBatch, stage: str, seen: Readings) -> tuple[str, ...]:
    """Return the readings of a stage as short lines: what is read, seen, heard and smelled."""
    return tuple(_minus(line) for line in _LINES[stage](batch, seen))


def _minus(line: str) -> str:
    """Return a line with a true minus sign before a number."""
    return re.sub(r"(?<![\w-])-(?=\d)", "\N{MINUS SIGN}", line)


def _intake(batch: DrawnBatch, seen: Readings) -> tuple[str, ...]:
    return (
        f"Delivered: {seen['order_kg']:g} kg, about {seen['pieces']} fillets, at {seen['fish_c']:g} °C on "
        "melting ice.",
        "Papers: farmed fish, batch number on each box. Smell: clean, of the sea.",
        f"A second look at 10 fillets, by finger: {seen['bones_in_10']} bones.",
    )


def _cure(batch: DrawnBatch, seen: Readings) -> tuple[str, ...]:
    touch = "cool" if seen["air_c"] > batch.limits.cold_c else "ice cold"
    lines = (
        f"Hours in the salt, by the clock: {seen['hours']:g} h.",
        f"Warmest air at the trays: {seen['air_c']:g} °C. The tray feels {touch}.",
        f"Weight lost in the salt: {seen['loss_pct']:g} %.",
    )
    return (*lines, f"Then {seen['soaked_min']} min in cold water.") if seen["soaked_min"] > 10 else lines


def _dry(batch: DrawnBatch, seen: Readings) -> tuple[str, ...]:
    heard = "You hear the fans and feel the air." if seen["moving"] else "The room is quiet."
    felt = "A finger comes away wet." if seen["wet"] else "The face is dull, and a finger stays dry."
    return (
        f"Hours of drying: {seen['hours']:g} h. {heard}",
        f"Weight lost in the drying: {seen['loss_pct']:g} %. {felt}",
        f"Air: {seen['air_c']:g} °C. Time of the fish above {batch.limits.cold_c:g} °C: "
        f"{seen['warm_min']} min.",
    )


def _smoke(batch: DrawnBatch, seen: Readings) -> tuple[str, ...]:
    smell = "sweet and clean" if seen["usable"] else "sharp, like a paint shop, and it leaves soot"
    drops = "The flesh shines and drops fall." if seen["wet"] else "The flesh is dull, and no drop falls."
    return (
        f"Label of what lies in the tray: {seen['label']}. The smoke is {smell}.",
        f"First smoke after {seen['delay_min']:g} min. The card's chips take {seen['card_delay_min']:g} min.",
        f"Humidity dial: {seen['rh_pct']} %. {drops}",
    )


def _cook(batch: DrawnBatch, seen: Readings) -> tuple[str, ...]:
    reached = "It read its target." if seen["reached"] else "It never read its target in 3 h."
    return (
        f"In the cabinet for {seen['minutes']} min so far.",
        f"Probe 1, hottest reading: {seen['probe_1_c']:g} °C. {reached}",
        f"Probe 2, hottest reading: {seen['probe_2_c']:g} °C. It read {seen['sure_c']:g} °C or more for "
        f"{seen['held_min']:g} min without a break.",
    )


def _chill(batch: DrawnBatch, seen: Readings) -> tuple[str, ...]:
    place = "still on the rack at the pass, waiting" if seen["waiting"] else "in its cold place"
    pace = _times(batch, seen, "At this pace: ")
    return (
        f"{seen['at_min']} min after the heat, the fish is {place}.",
        f"Core {seen['core_c']:g} °C. Air around it {seen['air_c']:g} °C.",
        *pace,
    )


def _pack(batch: DrawnBatch, seen: Readings) -> tuple[str, ...]:
    return (
        *_times(batch, seen, "The whole record: "),
        f"Warmest air in the store: {seen['store_c']:g} °C.",
        f"The label says {seen['life_days']:g} days. It names fish and the batch.",
        f"Pack: {lower(PACKS[seen['pack']])}. {_laboratory(seen)}",
    )


def _laboratory(seen: Readings) -> str:
    if seen["lab_pct"] is None:
        return "The sheet holds the hours in the salt, and no figure of a laboratory."
    thick = seen["lab_others_pct"] is not None
    return (
        f"Laboratory: {seen['lab_pct']:g} % salt in the water of the {'thickest ' if thick else ''}loin"
        + (f", and {seen['lab_others_pct']:g} % in the others. " if thick else ". ")
        + f"It may be up to {LAB_ERROR_PCT:g} % off, either way."
    )


def _times(batch: DrawnBatch, seen: Readings, lead: str) -> tuple[str, ...]:
    lines = []
    for rule, took, verdict in zip(batch.limits.chill, seen["took_min"], seen["verdicts"], strict=True):
        what = "in the chiller" if rule.maximum is None else f"{rule.maximum:g} °C in the core"
        told = f"{what} is not reached." if took is None else f"{what} {took} min {_clock(rule)}."
        doubt = " That is too close to the limit to be sure." if verdict == "cannot tell" else ""
        lines.append(f"{lead}{told}{doubt}")
    return tuple(lines)


def _clock(rule: Rule) -> str:
    starts = {"temperature": f"{rule.from_c or 0.0:g} °C", "chiller": "it went into the chiller"}
    return f"after {starts.get(rule.clock, 'the heat')}"


_LINES = {
    "intake": _intake,
    "cure": _cure,
    "dry": _dry,
    "smoke": _smoke,
    "cook": _cook,
    "chill": _chill,
    "pack": _pack,
}


def record(batch: DrawnBatch, day: BatchDay, stage: str, seen: Readings) -> dict[str, Any] | None:
    """Return the record so far as data for the picture ``batch-record``; None before there is one.

    ``series`` holds (name, times, values); ``words`` says the same in words, from the same numbers.
    """
    if stage == "intake":
        return None
    if stage in ("cure", "dry"):
        return _cold_record(day, stage)
    return _hot_record(batch, day, stage, seen)


def _cold_record(day: BatchDay, stage: str) -> dict[str, Any]:
    """Return the weight and the air from the salt up to now, over hours."""
    steps = ["cure", "rinse", "rest", "dry"]
    end = next(slot.end_min for slot in day.schedule if slot.step == stage)
    part = day.trace.between(0.0, end)
    names = ", ".join(steps[: 1 if stage == "cure" else 4])
    hours = np.linspace(0.0, end / 60, 61)
    weight = np.interp(hours * 60, part.time_min, 100 * _there(part.mass_g) / day.masses.raw_g)
    air = np.interp(hours * 60, part.time_min, _there(part.air_c))
    data = {
        "across": "Hours since the salt",
        "unit": "h",
        "series": [
            {"name": "weight", "unit": "% of raw", "time": _numbers(hours), "value": _numbers(weight, 2)},
            {"name": "air", "unit": "°C", "time": _numbers(hours), "value": _numbers(air)},
        ],
        "split": True,
        "limits": [],
        "marks": [
            {"at": round(slot.start_min / 60, 2), "name": _STEP_WORDS[slot.step]}
            for slot in day.schedule
            if slot.step in _STEP_WORDS and slot.start_min < end
        ],
    }
    return {**data, "words": f"Weight and air: {names}. {_told(data)}"}


def _hot_record(batch: DrawnBatch, day: BatchDay, stage: str, seen: Readings) -> dict[str, Any]:
    """Return the probes and the air from the cabinet up to now, over minutes."""
    first, second = in_the_heat(day.cook.trace), in_the_heat(coldest(day))
    until = seen["end_min"] if stage == "smoke" else heat_end_min(day.cook.trace)
    probe_1 = first.probe_c if first.probe_c is not None else first.core_c
    if stage in ("smoke", "cook"):
        lines = [
            ("probe 1", first.time_min, probe_1),
            ("probe 2", second.time_min, second.core_c),
            ("air", first.time_min, _there(first.air_c)),
        ]
    else:
        after = day.chill.trace.time_min + heat_end_min(day.cook.trace) + days.CARRY_MIN
        until = (until + seen["at_min"]) if stage == "chill" else float(after[-1])
        core = np.concatenate([first.core_c, day.chill.trace.core_c])
        air = np.concatenate([_there(first.air_c), _there(day.chill.trace.air_c)])
        time = np.concatenate([first.time_min, after])
        lines = [("core", time, core), ("air", time, air)]
    time = np.append(np.arange(0.0, until - 0.5, max(1.0, until / 90)), until)
    limit_c = [batch.limits.row.temp_c] if stage == "cook" else []
    if stage in ("chill", "pack"):
        limit_c = [rule.maximum for rule in batch.limits.chill if rule.maximum is not None]
    data = {
        "across": "Minutes since the fish went into the cabinet",
        "unit": "min",
        "series": [
            {"name": name, "unit": "°C", "time": _numbers(time), "value": _numbers(np.interp(time, x, y))}
            for name, x, y in lines
        ],
        "split": False,
        "limits": limit_c,
        "marks": [each for each in _hot_marks(day) if each["at"] < until - 1],
    }
    return {**data, "words": f"{', '.join(each[0] for each in lines).capitalize()} over time. {_told(data)}"}


_STEP_WORDS = {"cure": "salt", "rest": "rest", "dry": "drying"}
_PHASE_WORDS = {"smoke": "smoke", "cook": "cook", "hold": "hold", "carry-over": "room", "chill": "chill"}


def _hot_marks(day: BatchDay) -> list[dict[str, Any]]:
    """Return when each phase began, in minutes since the fish went into the cabinet."""
    begun: dict[str, float] = {}
    for trace, offset in ((day.cook.trace, 0.0), (day.chill.trace, float(day.cook.trace.time_min[-1]))):
        for phase in trace.phases:
            if phase.name in _PHASE_WORDS:
                begun.setdefault(_PHASE_WORDS[phase.name], round(phase.start_min + offset, 1))
    return [{"at": at, "name": name} for name, at in begun.items()]


def _told(data: dict[str, Any]) -> str:
    """Return about a dozen rows of a record in words."""
    series = data["series"]
    rows = range(0, len(series[0]["time"]), max(1, len(series[0]["time"]) // 12))
    last = len(series[0]["time"]) - 1
    kept = [*(row for row in rows if row != last), last]
    unit = data["unit"]
    begun = " ".join(f"{each['name'].capitalize()} from {each['at']:g} {unit}." for each in data["marks"])
    rows_told = " ".join(
        f"{series[0]['time'][row]:g} {unit}: "
        + ", ".join(f"{each['name']} {each['value'][row]:g} {each['unit']}" for each in series)
        + "."
        for row in kept
    )
    return _minus(f"{begun} {rows_told}")


def _numbers(values: Any, decimals: int = 1) -> list[float]:
    return [round(float(value), decimals) for value in values]


def _there(column: Any) -> Any:
    return np.zeros(1) if column is None else column
