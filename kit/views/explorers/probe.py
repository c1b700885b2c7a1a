"""Explorer of lesson 5: the piece you probe, the spot where the tip sits, and what the coldest core does."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kit.exercises.lesson_05.shapes import FilletShape
from kit.process.steps import fillet
from kit.process.steps.cabinet import CabinetPlan, Course, first_reached
from kit.views.pictures import ink
from kit.views.pictures.ink import CORE, SURFACE, limit_line, name_line
from kit.views.pictures.register import Choice, Drawing, Predict, Slider, explorer
from kit.views.pictures.simulated import WETNESS

Array = NDArray[np.float64]

MINUTES, RH_PCT, LIMIT_C = 100.0, 45.0, 63.0
SHAPE = FilletShape(peak=0.34, height=1.0)
SCALE_C = np.arange(0.0, 91.0, 5.0)
"""One scale of the map for every minute, so that two moments can be compared. [°C]"""
PIECES = {  # name: thickness [mm], the air around it [°C], in words
    "cool": (30.0, 79.0, "the thick piece in the coolest place"),
    "warm": (30.0, 87.0, "the thick piece in the warmest place"),
    "thin": (18.0, 79.0, "the thin piece in the coolest place"),
}


@explorer(
    "where-to-probe",
    title="Which piece, and where in it?",
    intro="One load, three pieces. Choose a piece, then move the tip. The map shows its heat at one moment.",
    controls=(
        Choice(
            "piece",
            "Probe in the piece that is",
            (
                ("thin", "thin, cool place"),
                ("warm", "thick, warm place"),
                ("cool", "thick, cool place"),
            ),
            "warm",
        ),
        Slider("along", "Tip, from head end to tail", "%", 0, 100, 2, 70),
        Slider("deep", "Tip, from flesh side to skin", "%", 0, 100, 5, 20),
        Slider("minute", "Map at", "min", 0, 100, 2, 20, plays=True),
    ),
    predict=Predict(
        "The tip sits near the tail, just under the surface. What does it show?",
        ("Less than the coldest core", "The coldest core", "More than the coldest core"),
        "Compare the two lines: the blue one is the coldest core of the load.",
        ("The other way: near the surface it is hotter", "It shows more: near the surface it is hotter", ""),
    ),
)
def where_to_probe(settings: Mapping[str, Any]) -> Drawing:
    """Draw the heat in the probed piece, and what the tip reads beside the coldest core of the load.

    Examples
    --------
    >>> best = {"piece": "cool", "along": 34.0, "deep": 50.0, "minute": 40.0}
    >>> where_to_probe(best).facts[1]
    'The tip is in the coldest core of the load. This is the right place.'
    """
    thickness_mm, air_c, words = PIECES[settings["piece"]]
    along, deep, minute = (float(settings[key]) for key in ("along", "deep", "minute"))
    time, coldest = _at_depth(30.0, 79.0, 50.0)
    share = SHAPE.thickness(along / 100)
    _, tip = _at_depth(_grid_mm(thickness_mm * share), air_c, deep)
    figure, (above, below) = ink.sheet(4.9, rows=2, height_ratios=(1.0, 1.35))
    _heat_map(above, thickness_mm, air_c, minute, along, deep)
    below.plot(time, tip, **SURFACE)
    below.plot(time, coldest, **CORE)
    below.set(xlim=(0, MINUTES * 1.02), ylim=(0, 90), yticks=range(0, 91, 15))
    limit_line(below, LIMIT_C)
    for name, line, curve, up in (
        ("what the tip reads", SURFACE, tip, 7),
        ("coldest core", CORE, coldest, -9),
    ):
        name_line(below, 99, float(curve[-1]) + up, name, ha="right", color=_dark(line))
    below.set(xlabel="Minutes in the cabinet", ylabel="Temperature [°C]")
    facts = _facts(time, tip, coldest, minute)
    place = f"The tip is in {words}, {along:g} % from the head end and {deep:g} % of the way to the skin."
    return Drawing(figure, " ".join([place, *facts]), facts)


def _facts(time: Array, tip: Array, coldest: Array, minute: float) -> tuple[str, ...]:
    tip_min, core_min = first_reached(time, tip, LIMIT_C), first_reached(time, coldest, LIMIT_C)
    shown = f"At {minute:g} min the tip reads {np.interp(minute, time, tip):.1f} °C. "
    shown += f"The coldest core is at {np.interp(minute, time, coldest):.1f} °C."
    if float(np.max(np.abs(tip - coldest))) < 0.6:
        return shown, "The tip is in the coldest core of the load. This is the right place."
    if tip_min is None or core_min is None:
        return shown, f"Within {MINUTES:g} min one of the two does not reach {LIMIT_C:g} °C."
    return shown, f"By this probe you would say {LIMIT_C:g} °C about {core_min - tip_min:.0f} min too early."


def _heat_map(ax: Any, thickness_mm: float, air_c: float, minute: float, along: float, deep: float) -> None:
    """Draw the heat in one piece at one moment, with the tip of the probe."""
    from matplotlib.patheffects import withStroke

    alongs = np.linspace(0, 1, 60)
    depths = np.linspace(0, 100, _POINTS)
    field = np.empty((depths.size, alongs.size))
    for column, place in enumerate(alongs):
        field[:, column] = _heat_over_depth(thickness_mm * SHAPE.thickness(float(place)), air_c, minute)
    height = thickness_mm * np.array([SHAPE.thickness(float(place)) for place in alongs])
    x = np.broadcast_to(alongs * 100, field.shape)
    y = height * (1 - depths[:, np.newaxis] / 100)
    filled = ax.contourf(x, y, field, levels=SCALE_C, cmap="cividis")
    lines = ax.contour(x, y, field, levels=SCALE_C[1:-1:2], colors=[ink.INK], linewidths=0.7)
    halo = [withStroke(linewidth=2.6, foreground=ink.PAPER)]
    for label in ax.clabel(lines, fmt="%g °C", fontsize=ink.WORDS_PT, colors=ink.INK):
        label.set_path_effects(halo)
    ax.plot(alongs * 100, height, color=ink.INK, linewidth=1.4)
    tip_y = float(np.interp(along, alongs * 100, height)) * (1 - deep / 100)
    ax.plot([along, min(along + 26, 104)], [tip_y, tip_y + 15], color=ink.INK, linewidth=2.4, clip_on=False)
    ax.plot([along], [tip_y], marker="o", markersize=9, color="#ffffff", mec=ink.INK, mew=2)
    ax.set(xlim=(0, 100), ylim=(0, 46), yticks=[0, 10, 20, 30])
    ax.set_xticks([0, 100], ["head end", "tail"])
    ax.set_ylabel("Height [mm]")
    ax.grid(visible=False)
    _scale(ax, filled.cmap)


def _scale(ax: Any, colors: Any) -> None:
    """Draw the one scale of every map in the free corner above the head end."""
    from matplotlib.colors import BoundaryNorm

    middles = (SCALE_C[1:] + SCALE_C[:-1]) / 2
    across = 2 + 0.4 * SCALE_C
    norm = BoundaryNorm(SCALE_C, colors.N)
    ax.pcolormesh(across, [42.5, 45.5], middles[np.newaxis], cmap=colors, norm=norm, edgecolors="none")
    for mark_c in (0, 30, 60, 90):
        words, side = (f"{mark_c} °C", "left") if mark_c == 90 else (f"{mark_c}", "center")
        ax.text(1 + 0.4 * mark_c, 41.5, words, ha=side, va="top", fontsize=ink.WORDS_PT, color=ink.INK)


def _dark(line: Mapping[str, Any]) -> str:
    return ink.INK if line is SURFACE else str(line["color"])


def _grid_mm(thickness_mm: float) -> float:
    """Round a thickness to the nearest of those that are simulated. [mm]"""
    return max(4.0, float(round(thickness_mm / 2) * 2))


_POINTS = 41
"""Points over the depth of the map."""


def _heat_over_depth(thickness_mm: float, air_c: float, minute: float) -> Array:
    """Return the temperature from the flesh side to the skin, between the two nearest simulated cooks."""
    low_mm = max(4.0, 2.0 * float(np.floor(thickness_mm / 2)))
    share = min(1.0, max(0.0, (thickness_mm - low_mm) / 2))
    low, high = (_map(mm, air_c)[:, int(minute)] for mm in (low_mm, low_mm + 2))
    found: Array = (1 - share) * low + share * high
    return found


def _at_depth(thickness_mm: float, air_c: float, deep_pct: float) -> tuple[Array, Array]:
    """Return minutes and the temperature at one depth, every 1 min."""
    whole = _map(thickness_mm, air_c)
    place = deep_pct / 100 * (_POINTS - 1)
    below = min(int(place), _POINTS - 2)
    share = place - below
    return np.arange(0.0, MINUTES + 1), (1 - share) * whole[below] + share * whole[below + 1]


@lru_cache(maxsize=128)
def _map(thickness_mm: float, air_c: float) -> Array:
    """Return the temperature at evenly spaced depths, one a row, for every minute. [°C]"""
    piece = fillet.raw("char, farmed", thickness_mm, 180, 4.0, skin_on=False)
    plan = CabinetPlan(
        core_target_c=LIMIT_C,
        cabinet_c=air_c,
        rh_pct=RH_PCT,
        cook_min=MINUTES,
        carry_over_min=0,
        wetness=WETNESS["pellicle"],
        skin_wetness=WETNESS["pellicle"],
    )
    course = Course(piece, plan)
    went = course.follow()
    minutes = np.arange(0.0, MINUTES + 1)
    by_minute = [np.interp(minutes, went.time_min, each) for each in went.profile_c.T]
    even = np.linspace(0, 1, _POINTS)
    return np.array([np.interp(even, course.fraction, each) for each in np.array(by_minute).T]).T
