"""Explorer of lesson 6: what chiller, thickness and a wait do to the minutes in the danger."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kit.exercises.lesson_06 import CHILL_C, IE_MIN, START_MIN, UK_MIN, WAYS, chilled, rows
from kit.views.pictures.chilling import chill_record
from kit.views.spec import Choice, Drawing, Predict, Slider, explorer


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
    ),
)
def chill_it_fast(settings: Mapping[str, Any]) -> Drawing:
    """Draw the core of a piece in a chiller, with the limits of Ireland and of the United Kingdom.

    Examples
    --------
    >>> chill_it_fast({"chiller": "blast", "thickness_mm": 24, "wait_min": 20}).facts[0]
    'From the heat to 3 °C: 92 min'
    """
    wait = float(settings["wait_min"])
    done = chilled(str(settings["chiller"]), float(settings["thickness_mm"]), wait)
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


def _said(minutes: float | None, limit: float) -> str:
    return "met, by this sum" if minutes is not None and minutes <= limit else "missed"


def _times(log10: float) -> str:
    """Return how many times as many, to two digits: a ceiling deserves no more."""
    many = 10**log10
    return f"{many:.0f}" if many < 100 else f"{float(f'{many:.1e}'):,.0f}"
