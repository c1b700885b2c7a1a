"""Explorer of lesson 4: how hot the glow is, and what that does to the smoke."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.process.physics.smoke import (
    USUAL_FRESH_M3_H,
    colour_minutes,
    smoke_density,
    smoke_minutes,
    smoke_quality,
)
from kit.views.pictures import ink
from kit.views.pictures.register import Drawing, Predict, Slider, explorer


@explorer(
    "chips-and-time",
    title="How long do the chips smoke?",
    intro="Chips glow on a tray. The band shows what is not known.",
    controls=(
        Slider("chips_g", "Chips", "g", 100, 800, 20, 300),
        Slider("tray_cm2", "Area that glows", "cm²", 50, 300, 10, 150),
        Slider("moisture_pct", "Water per 100 g dry wood", "%", 0, 60, 2, 12),
    ),
    predict=Predict(
        "You use a tray twice as big, with the same chips. How long do they smoke?",
        ("Twice as long", "As long as before", "Half as long"),
        "Double the area that glows, and read the minutes.",
        ("The other way: half as long", "It is half as long", ""),
    ),
)
def chips_and_time(settings: Mapping[str, Any]) -> Drawing:
    """Draw minutes of smoke against the weight of chips, as a band.

    Examples
    --------
    >>> len(chips_and_time({"chips_g": 300, "tray_cm2": 150, "moisture_pct": 12}).facts)
    4
    """
    chips_g, tray, wet = (float(settings[key]) for key in ("chips_g", "tray_cm2", "moisture_pct"))
    axis = np.linspace(100, 800, 15)
    bands = [smoke_minutes(float(each), tray, wet) for each in axis]
    here = smoke_minutes(chips_g, tray, wet)
    figure, ax = ink.sheet(3.5)
    color = ink.LINES[0]["color"]
    ax.fill_between(axis, [b.low for b in bands], [b.high for b in bands], color=color, alpha=0.18, lw=0)
    ax.plot(axis, [b.middle for b in bands], **ink.LINES[0])
    ax.plot([chips_g], [here.middle], marker="o", markersize=10, color=color, mec=ink.INK)
    ax.set(xlim=(100, 800), ylim=(0, None), xlabel="Chips [g]", ylabel="Smoke [min]")
    hot, dense, gold = (
        smoke_quality(500),
        smoke_density(tray, USUAL_FRESH_M3_H),
        colour_minutes(tray, USUAL_FRESH_M3_H),
    )
    facts = (
        f"Smoke: {here.low:.0f} to {here.high:.0f} min.",
        f"With the vents a third open, {dense.low:.1f} to {dense.high:.1f} g of smoke hang in each m³ (from "
        f"memory). A dry face is light gold after about {gold.low:.0f} to {gold.high:.0f} min.",
        f"A glow at 500 °C, not 400 °C: about {hot.pah_relative:.1f} times the tarry PAH (from memory).",
        "This is a model. Weigh your own tray before and after.",
    )
    return Drawing(
        figure,
        f"Minutes of smoke against grams of chips, on {tray:g} cm² at {wet:g} %. {' '.join(facts)}",
        facts,
    )
