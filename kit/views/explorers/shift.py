"""Explorers of lesson 10: a pack from the store to a fridge at home, and a shift planned."""

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

import numpy as np

from kit.process.microbes.growth import BIOLOGY_FACTOR
from kit.process.microbes.shelf_log import (
    BOTULINUM_FROM_C,
    LogStage,
    growth_band,
    growth_by_stage,
    hours_above,
)
from kit.process.planning import PlannedLoad, PlannedTimes, all_cold_min, in_that_order, shortest_plan
from kit.views.pictures import ink
from kit.views.pictures.register import Drawing, Predict, Slider, explorer

_SALT_PCT, _STORE_DAYS, _VAN_C, _HOME_DAYS = 3.0, 5, 12.0, 3
"""An invented pack and its way."""


@explorer(
    "pack-on-its-way",
    title="What happens to a pack on its way?",
    intro=f"A pack with {_SALT_PCT:g} % salt in its water: {_STORE_DAYS} days in the store, some hours in a "
    f"van at {_VAN_C:g} °C, {_HOME_DAYS} days at home. The growth is a ceiling, by figures from memory.",
    controls=(
        Slider("store_c", "Store", "°C", 1, 8, 0.5, 3),
        Slider("van_h", "Hours in the van", "h", 1, 12, 1, 4),
        Slider("home_c", "Fridge at home", "°C", 2, 12, 0.5, 8),
    ),
    predict=Predict(
        "The store is perfect at 3 °C. The fridge at home is at 8 °C, not at 4 °C. What does that do?",
        ("Nothing that matters", "It more than doubles the growth at home", "It only spoils the taste"),
        "Set the home to 4 °C, then to 8 °C, and look at the last part of the line.",
        ("Most of the growth is at home", "", "Listeria changes no taste"),
    ),
)
def pack_on_its_way(settings: Mapping[str, Any]) -> Drawing:
    """Draw the growth of Listeria over store, van and home, as a band.

    Examples
    --------
    >>> pack_on_its_way({"store_c": 3, "van_h": 4, "home_c": 8}).facts[1]
    'In a pack without air botulinum can grow for 76 h of it: those above 3 °C.'
    """
    stages = [
        LogStage("store", 24 * _STORE_DAYS, float(settings["store_c"])),
        LogStage("van", float(settings["van_h"]), _VAN_C),
        LogStage("home", 24 * _HOME_DAYS, float(settings["home_c"])),
    ]
    grown = np.concatenate([[0.0], np.cumsum(growth_by_stage(stages, _SALT_PCT))])
    at = np.concatenate([[0.0], np.cumsum([each.hours for each in stages])]) / 24
    figure, axis = ink.sheet(3.5)
    axis.fill_between(at, grown / BIOLOGY_FACTOR, grown * BIOLOGY_FACTOR, color="#e4ddcf", linewidth=0)
    axis.plot(at, grown, **ink.LINES[0])
    top = 1.15 * float(grown[-1]) * BIOLOGY_FACTOR
    for place, each in enumerate(stages):
        axis.axvline(at[place + 1], color=ink.INK, linewidth=1, linestyle=(0, (2, 2)))
        middle, upright = (at[place] + at[place + 1]) / 2, 90 if each.name == "van" else 0
        told = each.name if upright else f"{each.name}, {each.temp_c:g} °C"
        axis.text(middle, top * 0.97, told, ha="center", va="top", fontsize=ink.WORDS_PT, rotation=upright)
    axis.set(xlim=(0, at[-1]), ylim=(0, top), xlabel="Days from packing", ylabel="Growth of Listeria [log]")
    band, warm = growth_band(stages, _SALT_PCT), hours_above(stages)
    share = 100 * (grown[3] - grown[2]) / grown[3]
    facts = (
        f"Listeria may grow by {band.middle:.1f} log, or {band.low:.1f} to {band.high:.1f}. {share:.0f} % "
        "of that is at home.",
        f"In a pack without air botulinum can grow for {warm:.0f} h of it: those above {BOTULINUM_FROM_C:g} "
        "°C.",
        "This sets no date. Tests of the product do, and a competent person.",
    )
    return Drawing(figure, " ".join(facts), facts)


_LOADS = (
    ("salmon sides", 110, 90),
    ("trout", 60, 50),
    ("portions", 50, 70),
    ("char", 80, 40),
    ("tails", 40, 30),
)
"""Invented batches: minutes in the kiln, and in a chiller of the usual strength, in the order they were
cured."""


@cache
def _plans(
    count: int, chiller_pct: int, wait: int
) -> tuple[tuple[PlannedTimes, ...], tuple[PlannedTimes, ...]]:
    loads = [PlannedLoad(name, kiln, chill * 100 / chiller_pct) for name, kiln, chill in _LOADS[:count]]
    return in_that_order(loads, wait), shortest_plan(loads, wait)


@explorer(
    "plan-of-the-shift",
    title="In which order is the shift done soonest?",
    intro="One kiln, one chiller, one batch at a time in each. Above: the order in which they were cured. "
    "Below: the shortest plan.",
    controls=(
        Slider("count", "Batches", "", 2, 5, 1, 4),
        Slider("chiller_pct", "Strength of the chiller", "%", 50, 200, 25, 100),
        Slider("wait_min", "Longest wait before the cold", "min", 0, 30, 10, 0),
    ),
    predict=Predict(
        "The chiller is twice as strong. Is the shift done in half the time?",
        ("Yes", "No: then the kiln holds it up", "No: nothing changes"),
        "Set the chiller to 200 %, and see which bars stand end to end.",
        ("Only the chilling is halved", "", "Some minutes are won; see when the last bar ends"),
    ),
)
def plan_of_the_shift(settings: Mapping[str, Any]) -> Drawing:
    """Draw two plans of a shift: as the batches came, and the shortest.

    Examples
    --------
    >>> plan_of_the_shift({"count": 2, "chiller_pct": 100, "wait_min": 0}).facts[0]
    'As they came, all is cold at 11:10. The shortest plan: 11:10, 0 min sooner.'
    """
    came, best = _plans(int(settings["count"]), int(settings["chiller_pct"]), int(settings["wait_min"]))
    figure, axes = ink.sheet(5.0, rows=2, sharex=True)
    longest = max(all_cold_min(came), all_cold_min(best))
    for axis, plan, title in zip(
        axes, (came, best), ("As they were cured", "The shortest plan"), strict=True
    ):
        _bars(axis, plan)
        axis.set_title(
            f"{title}:\nall cold at {_clock(all_cold_min(plan))}", loc="left", fontsize=ink.WORDS_PT
        )
        axis.set_xlim(0, longest * 1.02)
    hours = np.arange(0, longest + 1, 120)
    axes[1].set_xticks(hours, [_clock(each) for each in hours])
    axes[1].set_xticks(np.arange(0, longest + 1, 60), minor=True)
    _name_bars(axes[0], came)
    sooner = all_cold_min(came) - all_cold_min(best)
    facts = (
        f"As they came, all is cold at {_clock(all_cold_min(came))}. The shortest plan: "
        f"{_clock(all_cold_min(best))}, {sooner:.0f} min sooner.",
        f"Its order: {', '.join(each.name for each in best)}.",
        "A plan that lets hot fish stand about is no plan. Your own limits for cooling come first.",
    )
    return Drawing(figure, " ".join(facts), facts)


def _name_bars(axis: Any, plan: Sequence[PlannedTimes]) -> None:
    """Write kiln and chiller into the longest bar of each."""
    for ends, words, color in (
        ([(each.kiln_from, each.kiln_to) for each in plan], "kiln", ink.INK),
        ([(each.chill_from, each.chill_to) for each in plan], "chiller", "#ffffff"),
    ):
        row = max(range(len(ends)), key=lambda place: ends[place][1] - ends[place][0])
        axis.text(
            sum(ends[row]) / 2, row, words, ha="center", va="center", fontsize=ink.WORDS_PT, color=color
        )


def _bars(axis: Any, plan: Sequence[PlannedTimes]) -> None:
    for row, each in enumerate(plan):
        kiln, cold = each.kiln_to - each.kiln_from, each.chill_to - each.chill_from
        axis.barh(row, kiln, left=each.kiln_from, color="#E69F00", edgecolor=ink.INK, linewidth=0.8)
        axis.barh(row, cold, left=each.chill_from, color="#0072B2", edgecolor=ink.INK, linewidth=0.8)
    axis.set_yticks(range(len(plan)), [each.name for each in plan])
    axis.invert_yaxis()
    axis.grid(False, axis="y")


def _clock(minutes: float) -> str:
    return f"{7 + round(minutes) // 60:02d}:{round(minutes) % 60:02d}"
