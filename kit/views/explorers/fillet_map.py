"""Explorer of lesson 10: a whole fillet from above after its day, with the place where the probe belongs."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import numpy as np

from kit.process.day import BatchCard, run
from kit.process.whole import WholeFillet, whole_fillet
from kit.views.pictures import ink
from kit.views.pictures.register import Choice, Drawing, Predict, explorer

TARGET_C = 64.0
"""Of an invented card: no law says so. [°C]"""
THICKEST = "thickest place"
_FISH = {
    "salmon": ("side of salmon, 1.4 kg", "salmon, farmed", 30.0, 1400.0),
    "trout": ("trout fillet, 250 g", "trout, farmed", 19.0, 250.0),
}
_SHOWN = {
    "hottest": ("Hottest the middle became", "°C", 1),
    "salt": ("Salt in the water", "%", 1),
    "lost": ("Weight lost since raw", "%", 0),
}


@explorer(
    "fillet-from-above",
    title="One fillet, from loin to tail",
    intro=f"A fillet after its whole day; the made-up card asks for {TARGET_C:g} °C in the core. Choose a "
    "fish and what the map shows. The round mark is where the probe sits.",
    controls=(
        Choice("fish", "Fish", tuple((key, each[0]) for key, each in _FISH.items()), "salmon"),
        Choice("shown", "The map shows", tuple((key, each[0]) for key, each in _SHOWN.items()), "hottest"),
    ),
    predict=Predict(
        "The probe sits in the thickest place. What is true of the tail?",
        ("It is less hot", "It is as hot", "It is hotter"),
        "Read the three figures on the map.",
        (
            "The tail is thin, so the heat is through it long before",
            "Thin flesh warms sooner, and stays in until the loin is done",
            "",
        ),
    ),
)
def fillet_from_above(settings: Mapping[str, Any]) -> Drawing:
    """Draw the map of a fillet, its figures by part, and the place of the probe.

    Examples
    --------
    >>> fillet_from_above({"fish": "salmon", "shown": "hottest"}).facts[1]
    'The thickest place stays coolest: the probe belongs there.'
    """
    name, (words, unit, decimals) = str(settings["fish"]), _SHOWN[str(settings["shown"])]
    whole = _day(name)
    by_strip = {
        "hottest": whole.peak_core_c,
        "salt": whole.wps_pct,
        "lost": 100 - whole.left_pct,
    }[str(settings["shown"])]
    field = whole.outline.over_the_map(by_strip)
    by_part = {
        THICKEST: float(field.flat[int(np.argmax(whole.outline.thickness_mm))]),
        "belly": whole.outline.mean_of(field, "belly"),
        "tail": whole.outline.mean_of(field, "tail"),
    }
    told = ", ".join(f"{part} {value:.{decimals}f} {unit}" for part, value in by_part.items())
    figure = _map(whole, field, by_part, unit, decimals, words)
    says = {
        "hottest": "The thickest place stays coolest: the probe belongs there.",
        "salt": "Salt is weakest where it is thickest. Thin flesh takes up far more: sprinkle less on it.",
        "lost": "Thin places dry and cook out first: they cost the most weight.",
    }
    facts = (
        f"{words}: {told}.",
        says[str(settings["shown"])],
        f"In all, {100 - whole.yield_pct:.0f} % of the raw weight is gone. This is a model, and its outline "
        "is drawn from memory. Measure your own fish.",
    )
    return Drawing(figure, f"Map of a {_FISH[name][0]}. {facts[0]} {facts[1]}", facts)


@lru_cache(maxsize=4)
def _day(name: str) -> WholeFillet:
    _, species, thick_mm, mass_g = _FISH[name]
    return whole_fillet(run(BatchCard(TARGET_C, 3, species=species, thickness_mm=thick_mm, mass_g=mass_g)))


def _map(
    whole: WholeFillet, field: Any, by_part: Mapping[str, float], unit: str, decimals: int, words: str
) -> Any:
    figure, axis = ink.sheet(3.4)
    places, above = whole.outline.thickness_mm.shape, whole.outline
    wide_cm = above.place_cm2.sum(axis=1) / (above.length_mm / 10 / places[0])
    along = np.repeat(
        ((np.arange(places[0]) + 0.5) / places[0] * above.length_mm / 10)[:, None], places[1], 1
    )
    across = np.linspace(0.5, -0.5, places[1])[None, :] * wide_cm[:, None] + above.width_mm / 20
    axis.contourf(along, across, field, levels=7, cmap="cividis")
    thickest = np.unravel_index(int(np.argmax(above.thickness_mm)), places)
    mark = (float(along[thickest]), float(across[thickest]))
    for part, value in by_part.items():
        here = above.part == part
        x, y = (
            each[here].mean() if here.any() else at for each, at in zip((along, across), mark, strict=True)
        )
        axis.text(
            float(x) + (0.0 if here.any() else 0.04 * above.length_mm / 10), float(y),
            f"{part}\n{value:.{decimals}f} {unit}",
            ha="center" if here.any() else "left", va="center", fontsize=ink.WORDS_PT, color=ink.INK,
            bbox={"facecolor": "#ffffff", "edgecolor": "none", "boxstyle": "round,pad=0.25"},
        )  # fmt: skip
    axis.plot(*mark, "o", markersize=12, color="#ffffff", markeredgecolor=ink.INK, markeredgewidth=2)
    axis.set(xlabel="From head to tail [cm]", ylabel="From belly to back [cm]", title=f"{words} [{unit}]")
    axis.set_aspect("equal")
    return figure
