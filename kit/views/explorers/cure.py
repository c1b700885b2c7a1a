"""Explorers of lesson 2: how far salt gets, with the band of what is not known, and water-phase salt."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.process.physics import brine
from kit.process.physics.salt import water_phase_salt
from kit.process.steps import cure, fillet
from kit.rules import load
from kit.views.pictures import ink
from kit.views.pictures.ink import name_line
from kit.views.pictures.register import Choice, Drawing, Predict, Slider, explorer


@explorer(
    "salt-over-depth",
    title="How far does the salt get?",
    intro="A char fillet lies in dry salt, then rests cold. The band shows what is not known.",
    controls=(
        Slider("thickness_mm", "Thickness", "mm", 10, 36, 1, 24),
        Slider("cure_h", "In salt", "h", 1, 12, 1, 3),
        Slider("rest_h", "Cold rest", "h", 1, 48, 1, 12),
        Choice("sides", "Salt comes in", (("one", "from one side"), ("two", "from two sides")), "one"),
    ),
    predict=Predict(
        "A 24 mm piece had 3 h in salt and 12 h of rest. Is its salt even?",
        ("Yes, the same everywhere", "Nearly", "No, the far side has little"),
        "Look at the line on the right. Then make the piece half as thick.",
        ("The middle has less than half of the mean", "The middle has less than half of the mean", ""),
    ),
)
def salt_over_depth(settings: Mapping[str, Any]) -> Drawing:
    """Draw water-phase salt over depth after cure and rest, as a band.

    Examples
    --------
    >>> start = {"thickness_mm": 24, "cure_h": 3, "rest_h": 12, "sides": "one"}
    >>> len(salt_over_depth(start).facts)
    3
    """
    mm, cure_h, rest_h = (float(settings[key]) for key in ("thickness_mm", "cure_h", "rest_h"))
    raw = fillet.raw("char, farmed", mm, 180, skin_on=settings["sides"] == "one")
    cured = cure.cure(raw, cure_h)
    slow = cure.equalise(cured.slow, rest_h).slow
    middle = cure.equalise(cured.fillet, rest_h).fillet
    fast = cure.equalise(cured.fast, rest_h).fast
    profiles = np.array([each.wps_pct for each in (slow, middle, fast)])
    figure, ax = ink.sheet(3.8)
    ax.fill_between(
        middle.depth_mm, profiles.min(0), profiles.max(0), color=ink.LINES[0]["color"], alpha=0.18, lw=0
    )
    ax.plot(middle.depth_mm, middle.wps_pct, **ink.LINES[0])
    ax.set(xlim=(0, mm), ylim=(0, None), xlabel="Depth from the flesh face [mm]")
    ax.set(ylabel="Water-phase salt [%]")
    at = len(middle.depth_mm) // 2
    facts = (
        f"Mean: {middle.mean_wps_pct:.1f} %, but it may be {slow.mean_wps_pct:.1f} to "
        f"{fast.mean_wps_pct:.1f} %.",
        f"Half depth: {middle.wps_pct[at]:.1f} %, but it may be {profiles[:, at].min():.1f} to "
        f"{profiles[:, at].max():.1f} %.",
        "This is a model. Only a measured loin counts.",
    )
    return Drawing(
        figure,
        f"Salt over depth of a {mm:g} mm fillet after {cure_h:g} h in salt and {rest_h:g} h of "
        f"rest. {' '.join(facts)}",
        facts,
    )


MOST_SHOWN_PCT = 9.5
"""Top of the chart: the driest, saltiest fish of the sliders. The US limit for unchilled fish lies above."""


@explorer(
    "salt-in-the-water",
    title="How strong is the salt that germs meet?",
    intro="Choose salt and moisture of the fish. Dashed lines: the limits of the US rules in this kit.",
    controls=(
        Slider("salt_pct", "Salt in the fish", "%", 0.5, 5, 0.1, 2),
        Slider("moisture_pct", "Moisture", "%", 50, 76, 1, 66),
    ),
    predict=Predict(
        "Two fish hold 2 % salt. One has more moisture. In which do germs meet stronger salt?",
        ("In the one with more moisture", "In the one with less moisture", "It is the same"),
        "Keep the salt. Move the moisture down, and read the water-phase salt.",
        (
            "The other way round: more water makes a weaker brine",
            "",
            "It differs: the same salt in less water is stronger",
        ),
    ),
)
def salt_in_the_water(settings: Mapping[str, Any]) -> Drawing:
    """Draw water-phase salt against moisture for a salt, with its brine of the same strength in degrees.

    Examples
    --------
    >>> salt_in_the_water({"salt_pct": 2.5, "moisture_pct": 65}).facts[0]
    'Water-phase salt: 3.70 %.'
    """
    salt_pct, moisture = float(settings["salt_pct"]), float(settings["moisture_pct"])
    axis = np.linspace(50, 76, 53)
    here = float(water_phase_salt(salt_pct, moisture))
    figure, ax = ink.sheet(3.9)
    ax.plot(axis, water_phase_salt(salt_pct, axis), **ink.LINES[0])
    ax.plot([moisture], [here], marker="o", markersize=10, color=ink.LINES[0]["color"], mec=ink.INK)
    limits = _limits(MOST_SHOWN_PCT)
    for limit in limits:
        ax.axhline(limit, color=ink.INK, linewidth=1.1, linestyle=(0, (2, 2)))
        name_line(ax, 76.3, limit, f"{limit:g} %", fontweight="normal")
    ax.set(xlim=(50, 76), ylim=(0, MOST_SHOWN_PCT), yticks=range(10), xlabel="Moisture of the fish [%]")
    ax.set(ylabel="Water-phase salt [%]")
    facts = (
        f"Water-phase salt: {here:.2f} %.",
        f"A brine of that strength is at {float(brine.pct_to_salometer(here)):.0f} degrees on the salometer.",
        *(f"{limit:g} %: {names}." for limit, names in limits.items()),
    )
    return Drawing(
        figure, f"Fish with {salt_pct:g} % salt and {moisture:g} % moisture. {' '.join(facts)}", facts
    )


def _limits(below_pct: float) -> dict[float, str]:
    """Return the limits of the US rules below a strength, each with the packs it is for.

    Examples
    --------
    >>> _limits(9.5)[3.5]
    'vacuum packs (from memory: confirm)'
    """
    found: dict[float, list[str]] = {}
    for rule in load("us-processor").rules:
        if rule.quantity == "water_phase_salt_pct" and rule.minimum is not None and rule.minimum < below_pct:
            name = rule.title.removeprefix("Water-phase salt in ")
            found.setdefault(rule.minimum, []).append(name if rule.seen else f"{name} (from memory: confirm)")
    return {limit: "; ".join(found[limit]) for limit in sorted(found)}


_PCT_MARKS, _LITRE_MARKS, _DEGREE_MARKS = np.arange(0, 26, 5), np.arange(0, 301, 50), np.arange(0, 101, 20)


@explorer(
    "three-scales",
    title="One brine, three scales",
    intro="Three rulers lie side by side. The line cuts each at the same brine.",
    controls=(Slider("pct", "Salt in the whole brine", "%", 0, 26, 0.5, 8),),
    predict=Predict(
        "A salometer shows 40 degrees. What is that in percent?",
        ("40 %", "About 11 %", "About 4 %"),
        "Move the line until it stands at 40 degrees. Then read the percent.",
        ("About 29 points too high", "", "About 7 points too low"),
    ),
)
def three_scales(settings: Mapping[str, Any]) -> Drawing:
    """Draw the strength of one brine on rulers in percent, grams per litre and salometer degrees.

    Examples
    --------
    >>> three_scales({"pct": 10}).facts[0]
    '10 % salt in the whole brine.'
    """
    pct = float(settings["pct"])
    litre, degrees = float(brine.salt_per_litre_brine(pct)), float(brine.pct_to_salometer(pct))
    fine = np.linspace(0, brine.SATURATED_PCT, 300)
    rulers = (
        ("Percent of the brine", _PCT_MARKS, _PCT_MARKS, f"{pct:g} %"),
        (
            "Grams in a litre of brine",
            _LITRE_MARKS,
            np.interp(_LITRE_MARKS, brine.salt_per_litre_brine(fine), fine),
            f"{litre:.0f} g",
        ),
        ("Salometer degrees", _DEGREE_MARKS, brine.salometer_to_pct(_DEGREE_MARKS), f"{degrees:.0f}°"),
    )
    figure, ax = ink.sheet(3.5)
    for row, (name, marks, places, here) in enumerate(rulers):
        ax.plot([0, brine.SATURATED_PCT], [-row, -row], color=ink.INK, linewidth=1.6)
        ax.plot(places, np.full(len(places), -row), "|", color=ink.INK, markersize=12)
        for mark, place in zip(marks, places, strict=True):
            ax.text(
                place, -row - 0.2, f"{mark:g}", ha="center", va="top", fontsize=ink.WORDS_PT, color=ink.INK
            )
        ax.text(0, -row + 0.2, name, ha="left", va="bottom", fontsize=ink.WORDS_PT, color=ink.INK)
        name_line(ax, 27.2, -row, here, ha="left")
    ax.axvline(pct, ymin=0.04, ymax=0.9, color=ink.LINES[0]["color"], linewidth=2.4)
    ax.set(xlim=(-0.8, 30), ylim=(-2.7, 0.8))
    ax.set_axis_off()
    facts = (
        f"{pct:g} % salt in the whole brine.",
        f"{litre:.0f} g of salt in a litre of brine, at 20 °C.",
        f"{degrees:.0f} degrees on the salometer, at the temperature on its stem.",
    )
    return Drawing(figure, f"One brine on three rulers. {' '.join(facts)}", facts)
