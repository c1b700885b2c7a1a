"""The run behind lesson 8's whole-batch game: a batch is drawn, gone through, and read, stage by stage.

All physics is `kit.process.day` with `kit.process.faults`. A setting or a remedy changes the card of what is
really done, and the day is run again with it. What a stage shows is read off that day.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from kit import rules
from kit.exercises.engine.cache import simulated
from kit.exercises.engine.fish import FARMED
from kit.exercises.engine.kitchen_rules import together
from kit.exercises.lesson_08.batch_limits import LAB_ERROR_PCT, Limits, limits, lowest, salt_verdict
from kit.exercises.lesson_08.batch_story import MOST_CURE_H, STAGES
from kit.exercises.lesson_08.days import STEAM_RH_PCT, loin_salt_pct, no_more_than
from kit.marking.draw import Draw
from kit.process import day as days
from kit.process import faults
from kit.process.day import BatchCard, BatchDay
from kit.process.microbes import death
from kit.process.physics.draught import Draught
from kit.process.physics.trace import Trace
from kit.process.steps import pellicle
from kit.rules import Profile, Rule, Verdict

Readings = dict[str, Any]
Changes = dict[str, Any]

FAULT_STAGE = {"trim": "intake", "keep": "pack"}
"""The stage of the game in which a step's fault can strike, where the two have different names."""

CURE_H = {22.0: 5.0, 26.0: 7.0, 30.0: 9.0}
"""What brings a loin of so many mm to about 3 % water-phase salt in our model: as the root of time. [h]"""
CURE_C, DRY_C, STORE_C = 4.0, 3.0, 1.5  # the card, colder under a tighter limit; common practice, no source
BONES_IN_10 = 5.0  # more than half a bone a fillet: the mark of `faults`; ours, no source
WET = 0.6  # a face wetter than this has no pellicle; as in `run-the-batch`
WARM_MIN = 120.0  # above the cold limit; common practice, no source [min]
LOOK_MIN = 40.0  # after the heat, and after each remedy, you look at the chilling; ours, no source [min]
USUAL_RULES = rules.load()  # where no kitchen was joined
HOUSE_LIFE_DAYS = 5.0  # where the profile sets none; common practice, no source


@dataclass(frozen=True)
class DrawnBatch:
    """A batch as drawn: its card, what the shop ordered, and the faults that will strike.

    ``pack`` is a key of ``PACKS``. ``wrong`` is for the kernel alone: it never reaches a page before the end.
    """

    seed: int
    profile: Profile
    meant: BatchCard
    shop_kg: float
    pack: str
    wrong: tuple[str, ...]

    @property
    def limits(self) -> Limits:
        """The rules the batch is judged by."""
        return limits(self.profile)

    @property
    def life_days(self) -> float:
        """Days of life that the card allows."""
        life = self.limits.life[self.pack]
        return lowest(life) if life else HOUSE_LIFE_DAYS

    def at(self, stage: str) -> str:
        """Return the fault that strikes in a stage, or an empty string."""
        return next((name for name in self.wrong if stage_of(name) == stage), "")


def stage_of(fault: str) -> str:
    """Return the stage of the game in which a fault can be seen first.

    Examples
    --------
    >>> stage_of("missed bones"), stage_of("wet rack"), stage_of("door open")
    ('intake', 'smoke', 'cook')
    """
    if fault in ("wet rack", "dry cabinet"):  # the dial and the face tell it as soon as the smoke is on
        return "smoke"
    step = faults.fault(fault).step
    return FAULT_STAGE.get(step, step)


def draw_batch(seed: int, profile: Profile = USUAL_RULES) -> DrawnBatch:
    """Return the batch of a seed: fish, card, order, and 0 to 3 faults, at most one a stage.

    Raises
    ------
    OutOfRange
        If the seed is not a whole number of 0 or more.
    BadData
        If the profile has no number for a point that the card needs.

    Examples
    --------
    >>> draw_batch(7) == draw_batch(7), len(draw_batch(7).wrong) <= 3
    (True, True)
    """
    draw, told = Draw(seed).fork("whole batch"), limits(profile)
    pack = draw.fork("pack").pick(told.packs)
    thickness_mm = draw.pick(sorted(CURE_H))
    to_reach_pct = (told.salt[pack].minimum or 0.0) + 2.5 * LAB_ERROR_PCT  # so that any figure proves it
    meant = BatchCard(
        core_target_c=round(told.row.temp_c + 1.5, 1),
        chill_target_c=round(lowest(told.chill) - 0.6, 1),
        species=draw.pick(FARMED),
        thickness_mm=thickness_mm,
        mass_g=draw.step(180.0, 240.0, 10.0),
        fish_c=draw.step(1.0, 3.0, 0.5),
        cure_h=min(MOST_CURE_H, float(round(CURE_H[thickness_mm] * (to_reach_pct / 3.0) ** 2))),
        wood_name="alder",
        cabinet_c=80.0 if told.row.temp_c < 70 else 88.0,
        rh_pct=STEAM_RH_PCT,
        hold_min=told.row.minutes + 4.0,
        cure_c=min(CURE_C, round(told.cold_c - 0.4, 1)),
        draught=Draught(min(DRY_C, round(told.cold_c - 0.4, 1)), 72.0, 2.0),
        store_c=min(STORE_C, round(told.store_c - 1.0, 1)),
        store_days=3.0,
    )
    stages = draw.sample([each.key for each in STAGES], draw.pick([0, 1, 1, 2, 2, 2, 3, 3]))
    wrong = {each: draw.pick([name for name in faults.FAULTS if stage_of(name) == each]) for each in stages}
    ordered = tuple(wrong[each.key] for each in STAGES if each.key in wrong)
    return DrawnBatch(seed, profile, meant, draw.step(6.0, 10.0, 0.5), pack, ordered)


def done_card(
    batch: DrawnBatch, settings: Mapping[str, Any], remedies: tuple[tuple[str, Any], ...] = ()
) -> BatchCard:
    """Return what is really done: the card, the apprentice's settings, the faults, then the remedies."""
    own = {name: settings[name] for name in settings if hasattr(batch.meant, name)}
    if "speed_m_s" in settings:
        air = batch.meant.draught
        own["draught"] = Draught(air.air_c, air.rh_pct, settings["speed_m_s"])
    done = faults.with_faults(batch.meant.replace(**own), batch.wrong)
    return done.replace(**{name: value for name, value in remedies if hasattr(done, name)})


@simulated
def run(meant: BatchCard, done: BatchCard) -> BatchDay:
    """Return the day of a card as it was really done; run once, then kept."""
    return days.run(meant, done)


def coldest(record: BatchDay) -> Trace:
    """Return what probe 2 shows: the middle of the thickest piece, in the cook."""
    return record.others[0].trace if record.others else record.cook.trace


def heat_end_min(trace: Trace) -> float:
    """Return when the fish leaves the heat, in minutes of the cook's own record. [min]"""
    return max(phase.end_min for phase in trace.phases if phase.name != "carry-over")


def in_the_heat(trace: Trace) -> Trace:
    """Return a cook's record up to the opening of the door."""
    return trace.between(0.0, heat_end_min(trace))


def read(
    batch: DrawnBatch, record: BatchDay, stage: str, settings: Mapping[str, Any], looks: int = 0
) -> Readings:
    """Return the readings that a stage shows: numbers and senses, never what went wrong.

    ``looks`` counts the remedies tried at this stage: the chilling is looked at later after each.
    """
    if stage == "chill":
        return _chill(batch, record, LOOK_MIN * (looks + 1))
    if stage == "pack":
        return _pack(batch, record, settings)
    simple = {"intake": _intake, "cure": _cure, "dry": _dry, "smoke": _smoke, "cook": _cook}
    return simple[stage](batch, record, settings)


def _intake(batch: DrawnBatch, record: BatchDay, settings: Mapping[str, Any]) -> Readings:
    order_kg = float(settings["order_kg"])
    return {
        "bones_in_10": round(10 * record.bones.mean),
        "fish_c": record.done.fish_c,
        "order_kg": order_kg,
        "pieces": round(1000 * order_kg / batch.meant.mass_g),
    }


def _cure(batch: DrawnBatch, record: BatchDay, settings: Mapping[str, Any]) -> Readings:
    hours = float(record.cure.trace.time_min[-1]) / 60
    return {
        "hours": round(hours, 1),
        "air_c": round(_hottest_air(record.cure.trace), 1),
        "loss_pct": round(record.cure.loss_pct.middle, 1),
        "soaked_min": round(record.done.rinse_min),
    }


def _dry(batch: DrawnBatch, record: BatchDay, settings: Mapping[str, Any]) -> Readings:
    return {
        "hours": round(float(record.dry.trace.time_min[-1]) / 60, 1),
        "air_c": round(_hottest_air(record.dry.trace), 1),
        "loss_pct": round(max(record.dry.loss_pct, 0.0), 1),
        "warm_min": round(pellicle.minutes_above(record.dry.trace, batch.limits.cold_c)),
        "wet": days.wetness(record.dry) > WET,
        "moving": record.done.draught.speed_m_s > 0.2,
    }


def _smoke(batch: DrawnBatch, record: BatchDay, settings: Mapping[str, Any]) -> Readings:
    trace = record.cook.trace
    smoke = trace.phase("smoke")
    return {
        "label": record.done.wood_name,
        "usable": record.wood.usable,
        "delay_min": round(record.smoke_delay_min, 1),
        "card_delay_min": round(days.smoke_delay(batch.meant.replace(smoke_min=record.done.smoke_min)), 1),
        "rh_pct": round(record.cook.plan.rh_pct),
        "wet": record.cook.plan.wetness > WET,
        "end_min": round(smoke.end_min if smoke else 0.0, 1),
    }


def _cook(batch: DrawnBatch, record: BatchDay, settings: Mapping[str, Any]) -> Readings:
    first, second = in_the_heat(record.cook.trace), in_the_heat(coldest(record))
    probe_1 = first.probe_c if first.probe_c is not None else first.core_c
    sure_c = batch.limits.row.temp_c + rules.PROBE_ERROR_C
    return {
        "minutes": round(heat_end_min(record.cook.trace)),
        "reached": record.cook.reached,
        "probe_1_c": round(float(probe_1.max()), 1),
        "probe_2_c": no_more_than(float(second.core_c.max())),
        "sure_c": sure_c,
        "held_min": no_more_than(float(death.held_minutes(second.time_min, second.core_c, sure_c))),
        "verdict": together([rules.judge_rule(second, rule) for rule in batch.limits.cook]),
    }


def _chill(batch: DrawnBatch, record: BatchDay, at_min: float) -> Readings:
    since = record.chill.trace.time_min + days.CARRY_MIN
    over = float(since[-1]) < at_min
    at = min(at_min, float(since[-1]))
    wait = record.chill.trace.phase("carry-over")
    air = record.chill.trace.air_c
    return {
        "at_min": round(at),
        "cold_already": over,
        "core_c": round(float(np.interp(at, since, record.chill.trace.core_c)), 1),
        "air_c": round(float(np.interp(at - 0.5, since, air)), 1) if air is not None else 0.0,
        "waiting": wait is not None and at < wait.end_min + days.CARRY_MIN,
        **_cooling(batch, record),
    }


def _cooling(batch: DrawnBatch, record: BatchDay) -> Readings:
    """Return what each window took and the verdict on it, in the order of the limits."""
    verdicts = [(rules.judge_rule(record.trace, rule), rule) for rule in batch.limits.chill]
    return {
        "took_min": [_took(verdict, rule, record) for verdict, rule in verdicts],
        "verdicts": [verdict.outcome for verdict, _ in verdicts],
    }


def _pack(batch: DrawnBatch, record: BatchDay, settings: Mapping[str, Any]) -> Readings:
    store_c, told = round(_hottest_air(record.keep.trace), 1), batch.limits
    days_on_label, pack = float(settings["life_days"]), str(settings["pack"])
    figure_pct = laboratory_pct(batch, record) if settings["lab"] == "sent" else None
    return {
        "pack": pack,
        "lab_pct": figure_pct,
        "lab_others_pct": _off_by(batch, no_more_than(record.chill.fillet.mean_wps_pct))
        if record.others
        else None,
        "salt_verdict": salt_verdict(told.salt[pack], figure_pct).outcome,
        **_cooling(batch, record),
        "store_c": store_c,
        "store_verdict": together([rules.judge_rule({"store_temp_c": store_c}, each) for each in told.store]),
        "life_days": days_on_label,
        "life_ok": days_on_label <= batch.life_days,
    }


def laboratory_pct(batch: DrawnBatch, record: BatchDay) -> float:
    """Return the laboratory's figure for the loin: off by what few samples leave open, never by more. [%]

    So a figure that proves a limit by its error is never wrong; one that is nearer may be. How far it is off
    is drawn with the batch: asking again gives the same figure.
    """
    return _off_by(batch, loin_salt_pct(record))


def _off_by(batch: DrawnBatch, true_pct: float) -> float:
    off_pct = Draw(batch.seed).fork("laboratory").step(-LAB_ERROR_PCT, LAB_ERROR_PCT, 0.1)
    return max(0.0, round(true_pct + off_pct, 1))


def _took(verdict: Verdict, rule: Rule, record: BatchDay) -> float | None:
    """Return the minutes that a window took, or None if the record ends before it closes. [min]

    Full minutes, rounded up: 150.4 min is over a limit of 150 min, and the page must show it.
    """
    if verdict.measured is None or not (record.chill.reached or rule.until == "chiller"):
        return None
    return math.ceil(round(verdict.measured, 6))


def _hottest_air(trace: Trace) -> float:
    return float(np.nanmax(trace.air_c)) if trace.air_c is not None else float("nan")


def findings(batch: DrawnBatch, stage: str, seen: Readings) -> tuple[str, ...]:
    """Return what the readings of a stage show, the worst first: keys of `batch_08_story.FINDINGS`.

    It looks at the readings and the card alone, so whoever sees the page can see the same.
    """
    card = batch.meant
    checks: dict[str, list[tuple[str, Any]]] = {
        "intake": [("bones", lambda: seen["bones_in_10"] > BONES_IN_10)],
        "cure": [
            ("warm salt", lambda: seen["air_c"] > batch.limits.cold_c),
            ("little salt", lambda: seen["hours"] < 0.75 * card.cure_h),
            ("much salt", lambda: seen["hours"] > 1.4 * card.cure_h and seen["soaked_min"] < 30),
        ],
        "dry": [
            ("warm drying", lambda: seen["warm_min"] > WARM_MIN),
            ("no skin", lambda: seen["wet"]),
        ],
        "smoke": [
            ("refused wood", lambda: not seen["usable"]),
            ("wet face", lambda: seen["wet"]),
            ("dry air", lambda: seen["rh_pct"] < STEAM_RH_PCT - 20),
            ("late smoke", lambda: seen["delay_min"] > 0.2 + 3 * seen["card_delay_min"]),
        ],
        "cook": [("core", lambda: seen["verdict"] != "met")],
        "chill": [("slow cold", lambda: any(each != "met" for each in seen["verdicts"]))],
        "pack": [
            ("missed cold", lambda: any(each != "met" for each in seen["verdicts"])),
            ("store", lambda: seen["store_verdict"] != "met"),
            ("life", lambda: not seen["life_ok"]),
            ("salt", lambda: seen["salt_verdict"] != "met"),
            ("other pack", lambda: seen["pack"] != batch.pack),
        ],
    }
    return tuple(key for key, there in checks[stage] if there())
