"""Explorer of lesson 0: what a probe shows in boiling water at some height, and what that proves."""

from collections.abc import Mapping
from typing import Any

from kit import rules
from kit.process.physics.thermometer import boiling_point
from kit.views.pictures import ink
from kit.views.pictures.ink import SURFACE, name_line
from kit.views.pictures.register import Drawing, Predict, Slider, explorer
from kit.views.pictures.start import draw_boiling_line


@explorer(
    "boiling-and-height",
    title="What should a probe show in boiling water?",
    intro="Set the height of the kitchen, and what its probe shows in boiling water.",
    controls=(
        Slider("altitude_m", "Height above the sea", "m", 0, 2500, 50, 900),
        Slider("shown_c", "The probe shows", "°C", 91, 102, 0.1, 97.1),
    ),
    predict=Predict(
        "A kitchen lies 900 m above the sea. Its probe shows 97.1 °C in boiling water. Is it 2.9 °C off?",
        ("Yes, water boils at 100 °C", "No, it is nearly right", "No, it shows too much"),
        "Read where the line stands at 900 m. Then move the height to 0 m.",
        (
            "Water boils near 97.0 °C there: the probe is only 0.1 °C off",
            "",
            "By only 0.1 °C: that is nearly right",
        ),
    ),
)
def boiling_and_height(settings: Mapping[str, Any]) -> Drawing:
    """Draw the line of boiling points, with the probe's reading at this height.

    Examples
    --------
    >>> boiling_and_height({"altitude_m": 900.0, "shown_c": 97.1}).facts[0]
    'At 900 m water boils near 97.0 °C. Your probe shows 97.1 °C: 0.1 °C too much.'
    """
    altitude_m, shown_c = float(settings["altitude_m"]), float(settings["shown_c"])
    boils = round(boiling_point(altitude_m), 1)
    off = round(shown_c - boils, 1)
    rule = rules.load().answering("probe-boil")[0]
    assert rule.minimum is not None and rule.maximum is not None  # the rule has both
    allowed = (rule.maximum - rule.minimum) / 2
    figure, ax = ink.sheet(3.7)
    draw_boiling_line(ax)
    ax.plot([altitude_m, altitude_m], [boils, shown_c], color=ink.INK, linewidth=1.6)
    ax.plot([altitude_m], [shown_c], marker="D", markersize=10, color=SURFACE["color"], mec=ink.INK)
    right = altitude_m < 1900
    name_line(
        ax,
        altitude_m + (60 if right else -60),
        shown_c,
        f"probe {shown_c:.1f} °C",
        ha="left" if right else "right",
    )
    size = f"{abs(off):.1f} °C too {'much' if off > 0 else 'little'}" if off else "just right"
    facts = (
        f"At {altitude_m:g} m water boils near {boils:.1f} °C. Your probe shows {shown_c:.1f} °C: {size}.",
        f"More than {allowed:g} °C off: out of use, and tell Chef."
        if abs(off) > allowed
        else f"Within {allowed:g} °C. Write it down, and check in ice too.",
        "Weather moves this line by about 1 °C. Ice does not care about weather or height.",
    )
    return Drawing(figure, " ".join(facts), facts)
