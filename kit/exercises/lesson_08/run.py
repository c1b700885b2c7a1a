"""Lesson 8, the batch itself: set the day, run it, and be marked on what comes out."""

from collections.abc import Mapping
from typing import Any

from kit.exercises.engine import exercise
from kit.exercises.engine.cache import simulated
from kit.exercises.engine.fish import FARMED
from kit.exercises.lesson_08.batch_limits import CARD_SALT, LAB_ERROR_PCT, SALT_TO_SPARE_PCT, salt_verdict
from kit.exercises.lesson_08.days import (
    CARD_WORDS,
    CHILL_MIN,
    HOLD_MIN,
    LIMIT_C,
    card,
    loin_salt_pct,
    picture,
)
from kit.marking.batch_runs import batch_run
from kit.marking.build import controls
from kit.marking.draw import Draw
from kit.marking.model import BatchRun, Control, Question, Slip
from kit.process import day as days
from kit.process.day import BatchDay

OF = 4.0
MOST_WPS_PCT = (CARD_SALT.minimum or 0.0) + SALT_TO_SPARE_PCT
_SAYS = {
    "not held": "The core was not held for the time of the rule. Nothing else counts then: 0 points.",
    "chilled late": "The core was not at 3 °C in time. Nothing else counts then: 0 points.",
    "too little salt": "The laboratory does not prove the salt of the pack. A longer cure brings more. "
    "Nothing else counts then: 0 points.",
    "too much salt": "The flesh is too salty to sell. Shorten the cure.",
    "no pellicle": "The fish went in wet: no pellicle, poor colour. Dry it for longer.",
    "dried out": "The fish stayed in the heat too long after its hold, and dried.",
}


@exercise(
    "Run the whole batch",
    criteria=["WDS-K04", "CUR-K03"],
    prepares_for=["CUR-P04", "PEL-P03", "COK-P01", "CHL-P01"],
    version=6,
    model=True,
)
def run_the_batch(draw: Draw) -> Question:
    """Set five controls for a fillet, run the day, and meet the rules with a good fish."""
    thickness_mm = draw.step(20.0, 30.0, 2.0)
    species = draw.pick(FARMED)
    best = {
        "cure_h": {20.0: 5, 22.0: 5, 24.0: 6, 26.0: 7, 28.0: 8, 30.0: 9}[thickness_mm],
        "dry_h": 10,
        "cabinet_c": 80,
        "hold_min": 34,
    }
    best["wait_min"] = 10
    return controls(
        f"{species.split(',')[0].capitalize()}, {thickness_mm:g} mm thick, skin on, for the shop. "
        f"{CARD_WORDS}. It is packed with air: the laboratory must prove {CARD_SALT.minimum:g} % "
        f"water-phase salt in the loin, and its figure may be {LAB_ERROR_PCT:g} % off. No more than "
        f"{MOST_WPS_PCT:g} %, a set pellicle, and at most 15 min past the hold. Set the day and run it.",
        [
            Control("cure_h", "Hours in dry salt at 4 °C", "h", 1, 16, 1, 2),
            Control("dry_h", "Hours in moving air", "h", 0, 16, 1, 1),
            Control("cabinet_c", "Cabinet in the cook", "°C", 64, 90, 2, 66),
            Control("hold_min", "Minutes after the core reaches the limit", "min", 0, 80, 1, 5),
            Control("wait_min", "Minutes from the cabinet to the chiller", "min", 0, 180, 5, 90),
        ],
        "whole-batch",
        best,
        [
            Slip("not held", {**best, "hold_min": 4}, _SAYS["not held"]),
            Slip("chilled late", {**best, "wait_min": 180}, _SAYS["chilled late"]),
            Slip("too little salt", {**best, "cure_h": 1}, _SAYS["too little salt"]),
            Slip("too much salt", {**best, "cure_h": 16}, _SAYS["too much salt"]),
            Slip("no pellicle", {**best, "dry_h": 0}, _SAYS["no pellicle"]),
            Slip("dried out", {**best, "hold_min": 70}, _SAYS["dried out"]),
        ],
        of=OF,
        facts={"thickness_mm": thickness_mm, "species": species},
        hints=[
            "Time in the salt goes with the thickness times itself.",
            "The hold needs a few minutes to spare, and the chiller cannot wait.",
        ],
        worked="A cure that fits the thickness, a night in moving air, 80 °C, a hold with a few minutes to "
        "spare, and straight into the chiller. You recommend. A competent person decides.",
    )


@batch_run("whole-batch")
def whole_batch(settings: Mapping[str, float], facts: Mapping[str, Any]) -> BatchRun:
    """Run the day at these settings: 0 unless all limits are met, then a point for each quality band."""
    chosen = tuple(float(settings[key]) for key in ("cure_h", "dry_h", "cabinet_c", "hold_min", "wait_min"))
    record = _run(str(facts["species"]), float(facts["thickness_mm"]), *chosen)
    told = _account(record)
    held = record.cook.held_min >= HOLD_MIN
    chilled = record.chill.minutes_to_target is not None and _to_cold_min(record) <= CHILL_MIN
    figure_pct = loin_salt_pct(record)
    salted = salt_verdict(CARD_SALT, figure_pct).outcome == "met"
    for met, slip in ((held, "not held"), (chilled, "chilled late"), (salted, "too little salt")):
        if not met:
            return BatchRun(0.0, OF, told, slip, picture(record))
    missed = [
        slip
        for slip, wrong in (
            ("too much salt", figure_pct > MOST_WPS_PCT),
            ("no pellicle", days.wetness(record.dry) > 0.6),
            ("dried out", chosen[3] > HOLD_MIN + 15),
        )
        if wrong
    ]
    closing = [_SAYS[slip] for slip in missed[1:]]  # marking says the first one itself
    if not missed:
        closing = ["Every limit met and proven, and a good fish. You recommend to go on."]
    return BatchRun(OF - len(missed), OF, (*told, *closing), missed[0] if missed else "", picture(record))


def _to_cold_min(record: BatchDay) -> float:
    """Return the minutes from the heat to the cold: carry-over, wait and chilling. [min]"""
    return days.CARRY_MIN + float(record.chill.minutes_to_target or 0.0)


def _account(record: BatchDay) -> tuple[str, ...]:
    cold = f"{_to_cold_min(record):.0f} min" if record.chill.reached else "never"
    return (
        f"Laboratory: {loin_salt_pct(record):g} % water-phase salt in the loin.",
        f"Core held for {record.cook.held_min:.0f} min. From the heat to 3 °C: {cold}.",
        f"You get {record.yield_pct:.0f} % of the fillet's weight.",
    )


@simulated
def _run(
    species: str,
    thickness_mm: float,
    cure_h: float,
    dry_h: float,
    cabinet_c: float,
    hold_min: float,
    wait_min: float,
) -> BatchDay:
    meant = card(species, thickness_mm)
    done = meant.replace(
        core_target_c=LIMIT_C,
        cure_h=cure_h,
        dry_h=max(dry_h, 0.05),
        cabinet_c=cabinet_c,
        hold_min=hold_min,
        wait_min=wait_min,
    )
    return days.run(meant, done)
