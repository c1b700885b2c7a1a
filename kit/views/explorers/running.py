"""Explorers of lesson 10: a probe that drifted, chlorine that meets an acid, and a triangle test by
chance."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.process.cleaning import chlorine_in_air_ppm
from kit.process.physics.probe_check import ProbedBatch, ProbeError, batches_in_doubt, surely_reached
from kit.process.sampling.tasting import chance_of, least_right, taste_it_pct
from kit.views.pictures import ink
from kit.views.pictures.register import Drawing, Predict, Slider, explorer

_CARD_C, _FOUND_DAY = 68, 28
"""An invented card, and the day on which the check finds the error."""
_CORES = {2: 68.6, 4: 70.2, 7: 68.3, 10: 69.4, 13: 71.1, 17: 68.9, 20: 69.9, 23: 70.6, 26: 69.0}
_BATCHES = tuple(ProbedBatch(f"day {day}", day, core) for day, core in _CORES.items())


@explorer(
    "probe-drift",
    title="The probe is off. Which batches are in doubt?",
    intro=f"On day {_FOUND_DAY} a check finds that the probe shows too much. A made-up card asks for "
    f"{_CARD_C} °C in the core. Set what the check finds, how sure it is, and the day of the last good "
    "check.",
    controls=(
        Slider("high_c", "The probe shows too much by", "°C", 0, 2.5, 0.1, 0.8),
        Slider("unsure_c", "Sure to ±", "°C", 0.1, 0.8, 0.1, 0.3),
        Slider("good_day", "Last good check on day", "", 1, 27, 1, 14),
    ),
    predict=Predict(
        "The last good check was a week ago, not three. What happens to the batches in doubt?",
        ("There are fewer", "There are as many", "There are more"),
        "Move “last good check” from day 7 to day 21, and count the crosses.",
        ("", "Each batch before the good check is cleared", "A check that is nearer clears more batches"),
    ),
)
def probe_drift(settings: Mapping[str, Any]) -> Drawing:
    """Draw the cores read over four weeks, and those that are in doubt.

    Examples
    --------
    >>> probe_drift({"high_c": 0.8, "unsure_c": 0.3, "good_day": 14}).facts[0]
    'In doubt: day 17, day 26.'
    """
    error = ProbeError(float(settings["high_c"]), float(settings["unsure_c"]))
    good = int(settings["good_day"])
    doubted = batches_in_doubt(_BATCHES, good, _CARD_C, error)
    needed = _CARD_C + (_CARD_C - surely_reached(_CARD_C, error))
    figure, axis = ink.sheet(3.5)
    axis.axvspan(good, _FOUND_DAY, color="#e4ddcf", linewidth=0)
    axis.axhline(_CARD_C, color=ink.INK, linewidth=1.2, linestyle=(0, (4, 3)))
    axis.plot([good, _FOUND_DAY], [needed, needed], **ink.LINES[0])
    ink.name_line(axis, 0.4, _CARD_C, "the card", va="bottom", fontweight="normal", bbox=None)
    ink.name_line(axis, _FOUND_DAY, needed, "a reading needs", ha="right", va="bottom", bbox=None,
                  color=ink.LINES[0]["color"])  # fmt: skip
    for each in _BATCHES:
        bad = each.code in doubted
        axis.plot(each.day, each.shown_c, "X" if bad else "o", markersize=11 if bad else 9,
                  color="#D55E00" if bad else "#ffffff", markeredgecolor=ink.INK)  # fmt: skip
    axis.text(good, 72.4, " last good check", va="top", fontsize=ink.WORDS_PT, color=ink.INK)
    axis.set(xlim=(0, _FOUND_DAY), ylim=(67, 72.5), xlabel="Day", ylabel="Core as read [°C]")
    facts = (
        f"In doubt: {', '.join(doubted)}." if doubted else "No batch is in doubt.",
        f"After day {good} a reading needs {needed:.1f} °C: {_CARD_C} + {error.error_c:.1f} + "
        f"{error.expanded_c:.1f}.",
        "Check more often: then fewer batches hang on one check.",
    )
    return Drawing(figure, " ".join(facts), facts)


_DANGER_PPM = 10.0
"""Chlorine that is a danger to life at once. Source: ``niosh-idlh-chlorine``. [ppm]"""


@explorer(
    "chlorine-meets-acid",
    title="What if chlorine meets an acid?",
    intro="Somebody puts descaler onto bleach. The acid drives the chlorine out as a gas. Never try it: "
    "here it is only a sum.",
    controls=(
        Slider("bleach_ml", "Bleach that is met", "mL", 10, 500, 10, 100),
        Slider("available_pct", "Active chlorine in it", "%", 1, 10, 0.5, 5),
        Slider("room_m3", "Air in the room", "m³", 10, 100, 5, 30),
    ),
    predict=Predict(
        "One cup of bleach, 100 mL at 5 %, meets acid in a wash-up room of 30 m³. 10 ppm are a danger to "
        "life. How many ppm may there be?",
        ("About 1", "About 6", "About 60"),
        "Set 100 mL, 5 % and 30 m³.",
        ("A little bleach holds a lot of gas", "It is ten times that", ""),
    ),
)
def chlorine_meets_acid(settings: Mapping[str, Any]) -> Drawing:
    """Draw the chlorine in a room's air over the bleach that met an acid.

    Examples
    --------
    >>> chlorine_meets_acid({"bleach_ml": 100, "available_pct": 5, "room_m3": 30}).facts[0]
    'Up to 57 ppm in the whole room: 6 times what is a danger to life.'
    """
    bleach, pct, room = (float(settings[name]) for name in ("bleach_ml", "available_pct", "room_m3"))
    gas = chlorine_in_air_ppm(bleach, pct, room)
    figure, axis = ink.sheet(3.5)
    over = np.arange(0, 501, 10)
    axis.plot(over, [chlorine_in_air_ppm(float(each), pct, room) for each in over], **ink.LINES[0])
    axis.plot([bleach], [gas], "o", markersize=10, color="#D55E00", markeredgecolor=ink.INK)
    axis.axhline(_DANGER_PPM, color=ink.INK, linewidth=1.4, linestyle=(0, (4, 3)))
    top = max(60.0, 1.1 * chlorine_in_air_ppm(500, pct, room))
    axis.text(
        500,
        _DANGER_PPM + 0.015 * top,
        "danger to life: 10 ppm ",
        ha="right",
        va="bottom",
        fontsize=ink.WORDS_PT,
    )
    axis.set(
        xlim=(0, 500), ylim=(0, top), xlabel="Bleach that meets acid [mL]", ylabel="Chlorine in the air [ppm]"
    )
    less = bleach * _DANGER_PPM / gas
    facts = (
        f"Up to {gas:.0f} ppm in the whole room: {gas / _DANGER_PPM:.0f} times what is a danger to life."
        if gas >= 1.5 * _DANGER_PPM
        else f"Up to {gas:.0f} ppm in the whole room. Above the bucket it is far more: nobody stays.",
        f"In this room {less:.0f} mL would do for 10 ppm.",
        "If you smell it: out, shut the door, tell Chef, keep all away. Nobody goes in to rinse it.",
    )
    return Drawing(figure, " ".join(facts), facts)


@explorer(
    "triangle-by-chance",
    title="Could guessing do that?",
    intro="Each taster gets three bits of salmon, two alike, and picks the odd one. The bars show how "
    "often so many are right if nobody tastes a thing.",
    controls=(
        Slider("tasters", "Tasters", "", 6, 48, 1, 24),
        Slider("right_pct", "Of them right", "%", 0, 100, 1, 50),
    ),
    predict=Predict(
        "24 tasters, and nobody tastes a difference. How many will be right all the same?",
        ("None", "About 8", "About 12"),
        "Set 24 tasters, and look for the tallest bar.",
        ("They guess, and one guess in three is right", "", "That is half; by chance it is a third"),
    ),
)
def triangle_by_chance(settings: Mapping[str, Any]) -> Drawing:
    """Draw how many are right by chance alone, and where the count of this test lies.

    Examples
    --------
    >>> triangle_by_chance({"tasters": 24, "right_pct": 50}).facts[0]
    '12 of 24 are right. Guessing alone does that, or better, in 6.8 % of tests.'
    """
    tasters = int(settings["tasters"])
    correct = round(tasters * float(settings["right_pct"]) / 100)
    need, chance = least_right(tasters), chance_of(correct, tasters)
    counts = np.arange(tasters + 1)
    figure, axis = ink.sheet(3.5)
    colors = ["#D55E00" if each >= correct else "#e4ddcf" for each in counts]
    or_better = [chance_of(each, tasters) for each in range(tasters + 1)] + [0.0]
    axis.bar(counts, -100 * np.diff(or_better), color=colors, edgecolor=ink.INK, linewidth=0.7)
    axis.axvline(need - 0.5, color=ink.INK, linewidth=1.4, linestyle=(0, (4, 3)))
    axis.text(
        need - 0.3, axis.get_ylim()[1], f"{need} or more", va="top", fontsize=ink.WORDS_PT, color=ink.INK
    )
    axis.grid(False, axis="x")
    axis.set(xlim=(-0.7, tasters + 0.7), xlabel="Tasters who are right", ylabel="Tests, by chance alone [%]")
    shown = (
        f"That shows a difference: about {taste_it_pct(correct, tasters):.0f} % really taste it."
        if correct >= need
        else "That shows no difference. It does not prove that the two are alike."
    )
    often = "less than 0.1" if chance < 0.001 else f"{100 * chance:.1f}"
    facts = (
        f"{correct} of {tasters} are right. Guessing alone does that, or better, in {often} % of tests.",
        f"From {need} on, chance does it in 1 test of 20 or fewer. {shown}",
        "More tasters find smaller differences.",
    )
    return Drawing(figure, " ".join(facts), facts)
