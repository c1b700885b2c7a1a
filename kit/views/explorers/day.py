"""Explorer of lesson 8: a whole batch, what the settings do to it, and how a fault shows."""

from collections.abc import Mapping
from typing import Any

from kit.exercises.lesson_08.days import HOLD_MIN, card, in_the_heat
from kit.process import faults
from kit.process.day import BatchDay, wetness
from kit.views.pictures.day import day_record
from kit.views.pictures.register import Choice, Drawing, Predict, Slider, explorer

_NAMES = {
    "none": "nothing",
    "door open": "the door stood open",
    "late chilling": "late chilling",
    "full chiller": "a full chiller",
    "fans off": "fans off",
    "short cure": "a short cure",
    "warm store": "a warm store",
}


@explorer(
    "whole-batch",
    title="One batch, from the salt to the cold",
    intro="Run a batch. Then let one thing go wrong, and find it in the record.",
    controls=(
        Slider("thickness_mm", "Thickness", "mm", 16, 36, 1, 26),
        Slider("cure_h", "Hours in dry salt", "h", 1, 14, 1, 6),
        Slider("dry_h", "Hours in moving air", "h", 1, 16, 1, 10),
        Choice("wrong", "What goes wrong", tuple(_NAMES.items()), "none"),
    ),
    predict=Predict(
        "The chiller is too full. Where will you see it?",
        ("In the core during the cook", "In the air of the chiller", "Nowhere: it is cold in the end"),
        "Choose “a full chiller”. Look at the air just after the cook.",
        (
            "It cannot: the cook was over before the chiller came",
            "",
            "It shows: the air warms as soon as hot fish goes in",
        ),
    ),
)
def whole_batch(settings: Mapping[str, Any]) -> Drawing:
    """Draw the record of a batch.

    Examples
    --------
    >>> start = {"thickness_mm": 26, "cure_h": 6, "dry_h": 10, "wrong": "none"}
    >>> whole_batch(start).facts[1]
    'Core held for 37 min; the card asks for 30 min'
    """
    meant = card(thickness_mm=float(settings["thickness_mm"])).replace(
        cure_h=float(settings["cure_h"]), dry_h=float(settings["dry_h"])
    )
    wrong = () if settings["wrong"] == "none" else (str(settings["wrong"]),)
    day = faults.run_with(meant, wrong)
    time, core, air = in_the_heat(day)
    facts = _facts(day)
    words = f"A batch of {meant.thickness_mm:g} mm char. {'. '.join(facts)}."
    drawing = day_record({"time_min": time, "core_c": core, "air_c": air, "words": words})
    return Drawing(drawing.figure, words, facts)


def _facts(day: BatchDay) -> tuple[str, ...]:
    wps = day.cure.mean_wps_pct
    cold = next(slot for slot in day.schedule if slot.step == "chill")
    pellicle = "set" if wetness(day.dry) <= 0.6 else "not set"
    return (
        f"Salt in the water phase after the cure: {wps.low:.1f} to {wps.high:.1f} %; from its middle "
        f"comes {day.chill.fillet.mean_wps_pct:.1f} % in the finished loin",
        f"Core held for {day.cook.held_min:.0f} min; the card asks for {HOLD_MIN:g} min",
        f"Cold at {cold.end_clock}; begun at {day.schedule[0].start_clock}",
        f"Pellicle: {pellicle}; weight loss in the drying {max(day.dry.loss_pct, 0):.1f} %",
        f"Left to sell: {day.yield_pct:.0f} % of the fillet",
    )
