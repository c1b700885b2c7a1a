"""Explorers of lesson 6: what a chiller does to the minutes in the danger, and a store to a pack."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.exercises.engine.kitchen_rules import standing
from kit.exercises.lesson_06.chilling import CHILL_C, IE_MIN, START_MIN, UK_MIN, WAYS, chilled, rows
from kit.process.steps.chill import Chilled
from kit.process.steps.keep import listeria_growth, listeria_rate
from kit.views.pictures import ink
from kit.views.pictures.chilling import chill_record
from kit.views.pictures.ink import name_line
from kit.views.pictures.register import Choice, Drawing, Predict, Slider, explorer

MOST_LOG = 6.0
"""Top of the growth chart. Above it the sum says nothing more of use."""
NIGHT_FROM_DAY, NIGHT_DAYS, NIGHT_C = 2.0, 0.5, 12.0
"""Our own warm night: a store door left open."""


@explorer(
    "chill-it-fast",
    title="From the heat to the cold",
    intro="Choose a way to chill. Then change the thickness and the wait. Watch the two limits.",
    controls=(
        Choice("chiller", "Way to chill", tuple(WAYS.items()), "blast"),
        Slider("thickness_mm", "Thickness", "mm", 16, 36, 2, 24),
        Slider("wait_min", "Wait in the room", "min", 0, 120, 10, 20),
    ),
    predict=Predict(
        "You move hot fish of 24 mm from the blast chiller to a tray in a still fridge. What happens?",
        ("It takes a little longer", "It takes about twice as long", "It misses the limits by hours"),
        "Choose the tray in a still fridge. Read the minutes.",
        (
            "Not cold in 15 h, and the blast chiller took 92 min",
            "Not cold in 15 h, and the blast chiller took 92 min",
            "",
        ),
    ),
    own=lambda settings, profile: standing(_chilled(settings).trace, profile, "chill"),
)
def chill_it_fast(settings: Mapping[str, Any]) -> Drawing:
    """Draw the core of a piece in a chiller, with the limits of Ireland and of the United Kingdom.

    Examples
    --------
    >>> chill_it_fast({"chiller": "blast", "thickness_mm": 24, "wait_min": 20}).facts[0]
    'From the heat to 3 °C: 92 min'
    """
    wait, done = float(settings["wait_min"]), _chilled(settings)
    time, core, air = rows(done)
    minutes = done.minutes_to_target
    took = f"{minutes:.0f} min" if minutes is not None else "not in 15 h"
    facts = (
        f"From the heat to {CHILL_C:g} °C: {took}",
        f"Ireland, within {IE_MIN:g} min of the heat: {_said(minutes, IE_MIN)}",
        f"United Kingdom, chilling starts within {START_MIN:g} min: {_said(wait, START_MIN)}",
        f"United Kingdom, cold {UK_MIN:g} min after that: "
        f"{_said(None if minutes is None else minutes - wait, UK_MIN)}",
        f"C. perfringens could grow {_times(done.perfringens.log10)} times: a ceiling, not a forecast",
    )
    words = f"{WAYS[str(settings['chiller'])]}, {settings['thickness_mm']:g} mm. {'. '.join(facts)}."
    limits = {f"Ireland {IE_MIN:g} min": IE_MIN, f"UK {UK_MIN:g} min": wait + UK_MIN}
    drawing = chill_record(
        {
            "time_min": time,
            "core_c": core,
            "air_c": air,
            "limit_c": CHILL_C,
            "limits_min": limits,
            "words": words,
        }
    )
    return Drawing(drawing.figure, words, facts)


def _chilled(settings: Mapping[str, Any]) -> Chilled:
    wait_min = float(settings["wait_min"])
    return chilled(str(settings["chiller"]), float(settings["thickness_mm"]), wait_min)


@explorer(
    "listeria-in-the-pack",
    title="Listeria in the pack",
    intro="Set the store, the salt, the pH and the days. 1 log is 10 times as many.",
    controls=(
        Slider("store_c", "Store", "°C", 0, 10, 0.5, 3),
        Slider("wps_pct", "Salt in the water phase", "%", 0, 6, 0.5, 3),
        Slider("ph", "pH of the fish", "", 5.4, 6.6, 0.1, 6.1),
        Slider("days", "Days in the store", "days", 1, 21, 1, 10),
        Choice(
            "night",
            "A warm night",
            (("none", "None"), ("warm", f"Night {NIGHT_FROM_DAY:g}: 12 hours at {NIGHT_C:g} °C")),
            "none",
        ),
    ),
    predict=Predict(
        "A pack lies 10 days at 3 °C. The next one lies 10 days at 6 °C. How much more does Listeria grow?",
        ("A little more", "More than twice as far", "It does not grow at 3 °C"),
        "Note the growth after 10 days at 3 °C. Then move the store to 6 °C.",
        ("3.1 log against 1.4 log: more than twice as far", "", "It does: 1.4 log in 10 days, as a ceiling"),
    ),
)
def listeria_in_the_pack(settings: Mapping[str, Any]) -> Drawing:
    """Draw how far Listeria could grow in a pack over the days, as a band, with no lag.

    Examples
    --------
    >>> told = listeria_in_the_pack({"store_c": 3, "wps_pct": 3, "ph": 6.1, "days": 10, "night": "none"})
    >>> told.facts[0]
    'After 10 days: 1.4 log, which is 24 times as many. Band: 0.9 to 2.1 log.'
    """
    store_c, days, warm = float(settings["store_c"]), float(settings["days"]), settings["night"] == "warm"
    steady = listeria_growth(store_c, float(settings["wps_pct"]), float(settings["ph"]))
    day, grown = growth_over_days(settings)
    one = steady.days_per_log10
    low, high = grown * one.low / one.middle, grown * one.high / one.middle
    figure, ax = ink.sheet(3.7)
    ax.fill_between(day, low, high, color=ink.LINES[0]["color"], alpha=0.18, linewidth=0)
    ax.plot(day, grown, **ink.LINES[0])
    if warm:
        ax.axvspan(NIGHT_FROM_DAY, NIGHT_FROM_DAY + NIGHT_DAYS, color="#ece3d2", zorder=0)
        left = days < 6  # no room on the right of it
        at = NIGHT_FROM_DAY + (-0.1 if left else NIGHT_DAYS + 0.1)
        name_line(ax, at, 5.6, f"warm night, {NIGHT_C:g} °C", ha="right" if left else "left")
    ax.set(xlim=(0, max(days, 3.0)), ylim=(0, MOST_LOG))
    ax.set_yticks(range(7), ["0", *(f"{log} (×{10**log:,})" for log in range(1, 7))])
    ax.set(xlabel="Days in the store", ylabel="Growth of Listeria [log]")
    facts = (
        f"After {days:g} days: {_logs(grown[-1])}. Band: {low[-1]:.1f} to {high[-1]:.1f} log.",
        f"At a steady {store_c:g} °C: 10 times as many in {one.middle:.1f} days "
        f"({one.low:.1f} to {one.high:.1f}).",
        "A ceiling: it has no lag, so growth starts in the first hour. Real growth is often slower.",
        "Parameters from memory: confirm. This sum sets no date. A competent person does.",
    )
    words = (
        f"Growth of Listeria at {store_c:g} °C, {settings['wps_pct']:g} % salt in the water phase, "
        f"pH {settings['ph']:g}{', with a warm night' if warm else ''}. {' '.join(facts)}"
    )
    return Drawing(figure, words, facts)


def growth_over_days(settings: Mapping[str, Any]) -> tuple[Any, Any]:
    """Return days, and the growth of Listeria up to each: a ceiling, with no lag. [days], [log10]

    Examples
    --------
    >>> day, grown = growth_over_days({"store_c": 4, "wps_pct": 3.5, "ph": 6.1, "days": 7, "night": "none"})
    >>> float(day[-1]), round(float(grown[-1]), 2)
    (7.0, 1.25)
    """
    from scipy.integrate import cumulative_trapezoid

    day = np.linspace(0.0, float(settings["days"]), 48 * int(settings["days"]) + 1)
    at_night = (day >= NIGHT_FROM_DAY) & (day < NIGHT_FROM_DAY + NIGHT_DAYS)
    store = np.where(at_night & (settings["night"] == "warm"), NIGHT_C, float(settings["store_c"]))
    rate_per_h = listeria_rate(store, float(settings["wps_pct"]), float(settings["ph"]))
    return day, cumulative_trapezoid(rate_per_h * 24 / np.log(10), day, initial=0)


def _logs(log10: float) -> str:
    """Return a growth in log and in times as many.

    Examples
    --------
    >>> _logs(2.0)
    '2.0 log, which is 100 times as many'
    """
    if log10 > MOST_LOG:
        return f"more than {MOST_LOG:g} log, off the chart"
    return f"{log10:.1f} log, which is {_times(log10)} times as many"


def _said(minutes: float | None, limit: float) -> str:
    return "met, by this sum" if minutes is not None and minutes <= limit else "missed"


def _times(log10: float) -> str:
    """Return how many times as many, to two digits: a ceiling deserves no more."""
    many = 10**log10
    return f"{many:.0f}" if many < 100 else f"{float(f'{many:.1e}'):,.0f}"
