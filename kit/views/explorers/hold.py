"""Explorer of lesson 5: what a hold at one core temperature does to Listeria, and which limits it meets."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.exercises.engine.kitchen_rules import standing
from kit.process.microbes import death
from kit.process.steps.shed import JUICE_SPREAD, juice
from kit.views.pictures import ink
from kit.views.pictures.ink import name_line
from kit.views.pictures.register import Drawing, Predict, Slider, explorer

TABLE_FROM_C = 60.0
"""The coldest row of a published list that we have read (`uk-cooking-advice`). Below it: extrapolated."""

LIMITS = (  # what the rule asks of the core [°C], for how long [min], in words
    (60.0, 1.0, "EU and UK, parasites: 60 °C for 1 min"),
    (62.8, 30.0, "US, smoked fish (Michigan): 62.8 °C for 30 min"),
    (63.0, 0.25, "US, restaurant fish: 63 °C for 15 s"),
    (70.0, 2.0, "UK, cooking advice: 70 °C for 2 min"),
)


@explorer(
    "hold-and-kill",
    title="How long must the core stay there?",
    intro="Choose a core temperature and a hold. The bold point is your hold.",
    controls=(
        Slider("core_c", "Core temperature", "°C", 57, 72, 0.5, 63),
        Slider("hold_min", "Hold", "min", 0, 60, 1, 1),
    ),
    predict=Predict(
        "The core is at 63 °C. How long must it stay there to be as good as 2 min at 70 °C?",
        ("About 3 min", "About 17 min", "About 60 min"),
        "Set the core to 63 °C. Move the hold until the point touches the dashed line.",
        ("About 14 min too short", "", "About 43 min too long"),
    ),
    own=lambda settings, profile: standing(
        {"core_temp_c": float(settings["core_c"]), "hold_min": float(settings["hold_min"])}, profile, "cook"
    ),
)
def hold_and_kill(settings: Mapping[str, Any]) -> Drawing:
    """Draw the cut in Listeria over the hold, for the core chosen and for 3 °C more and less.

    Examples
    --------
    >>> hold_and_kill({"core_c": 63.0, "hold_min": 1.0}).facts[0]
    'Your hold: 1 min at 63 °C cuts Listeria by 0.3 log.'
    """
    core_c, hold_min = float(settings["core_c"]), float(settings["hold_min"])
    figure, ax = ink.sheet(3.7)
    minutes = np.linspace(0, 60, 121)
    for at_c, line, words in ((core_c, 0, "yours: "), (core_c + 3, 1, ""), (core_c - 3, 2, "")):
        ax.plot(minutes, log_cut(minutes, at_c), **ink.LINES[line])
        cut = (7.3, 8.4, 4.2)[line]
        end = min(50.0, cut * needed_min(at_c) / 6)
        name_line(ax, end + 1, float(log_cut(end, at_c)), f"{words}{at_c:g} °C")
    cut_here = float(log_cut(hold_min, core_c))
    ax.plot(
        [hold_min], [min(cut_here, 9)], marker="o", markersize=10, color=ink.LINES[0]["color"], mec=ink.INK
    )
    ax.axhline(6, color=ink.INK, linewidth=1.2, linestyle=(0, (2, 2)))
    name_line(ax, 60, 6, "as good as\n2 min at 70 °C ", ha="right", va="top", fontweight="normal")
    ax.set(xlim=(0, 60), ylim=(0, 9), xticks=range(0, 61, 10), xlabel="Time held at that core [min]")
    ax.set(ylabel="Cut in Listeria [log]")
    need = needed_min(core_c)
    facts = (
        f"Your hold: {hold_min:g} min at {core_c:g} °C cuts Listeria by {_log_words(cut_here)}.",
        f"As good as 2 min at 70 °C from {need:.1f} min.{_below_table(core_c)}",
        _limits_met(core_c, hold_min),
        _softness(core_c, need),
    )
    words = (
        f"Cut in Listeria against time held. At {core_c:g} °C: {_log_words(log_cut(10, core_c))} "
        f"after 10 min; {_log_words(log_cut(30, core_c))} after 30 min. "
        f"The dashed line at 6 log is reached after {need:.1f} min."
    )
    return Drawing(figure, words, facts)


def needed_min(core_c: float) -> float:
    """Return the hold at this core that is as good as 2 min at 70 °C against Listeria. [min]"""
    return float(death.six_d_minutes("listeria", core_c, extrapolate=True))


def log_cut(hold_min: Any, core_c: float) -> Any:
    """Return the cut in Listeria after a steady hold. [log10]"""
    return 6 * hold_min / needed_min(core_c)


def _log_words(cut: float) -> str:
    return f"{cut:.1f} log" if cut <= 9 else "more than 9 log"


def _below_table(core_c: float) -> str:
    return (
        " This is extrapolated: no published table that we saw goes so low." if core_c < TABLE_FROM_C else ""
    )


def _softness(core_c: float, need_min: float) -> str:
    here, low, high = (factor * float(juice(core_c)) for factor in (1.0, *JUICE_SPREAD))
    return (
        f"Flesh at {core_c:g} °C gives up about {here:.0f} % of its weight as juice ({low:.0f} to "
        f"{high:.0f} %); at 72 °C {float(juice(72.0)):.0f} %. That is why cooks want it soft. The price: "
        f"{need_min:.0f} min of hold for what 2 min do at 70 °C. It is no setting to choose on the day."
    )


def _limits_met(core_c: float, hold_min: float) -> str:
    met = [words for at_c, asked_min, words in LIMITS if core_c >= at_c and hold_min >= asked_min]
    if not met:
        return "By its own words, this hold meets none of the four limits of this lesson."
    return f"By their own words, this hold meets: {'; '.join(met)}. Each has its own purpose."
