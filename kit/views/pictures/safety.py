"""Pictures of lesson 7: the plan of a smokehouse with its two sides, and a log of carbon monoxide."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.exercises.lesson_07.clean import ROOMS
from kit.views.pictures import ink
from kit.views.pictures.drawings import STEEL, svg_drawing, svg_line, svg_text
from kit.views.pictures.ink import CORE, name_line
from kit.views.pictures.register import Drawing, picture

WIDE, TALL = 760, 400
RAW, READY, BETWEEN = "#f6dccf", "#d8e8e4", "#ece3d2"
PLAN_WORDS = (
    "A plan of a smokehouse. Raw fish comes in at one end. The kiln stands in the middle, with one door to "
    "the raw side and one to the ready side. Below it people change and wash. Packs leave at the other end."
)


@picture("smokehouse-plan")
def smokehouse_plan(data: Mapping[str, Any]) -> Drawing:
    """Draw the plan: raw side, kiln and changing room, ready side; round spots are doors.

    Parameters
    ----------
    data : mapping
        ``flipped`` puts the raw side on the right; ``words`` says it in words; ``way`` draws the way of the
        fish (not in a question).

    Examples
    --------
    >>> smokehouse_plan({}).text.startswith("A plan of a smokehouse")
    True
    """
    flipped = bool(data.get("flipped"))

    def at(x: float) -> float:
        return WIDE * (1 - x if flipped else x)

    body = [
        _room(at(0.075), at(0.41), 20, 368, RAW),
        _room(at(0.59), at(0.925), 20, 368, READY),
        _room(at(0.41), at(0.59), 20, 216, BETWEEN),
        _room(at(0.41), at(0.59), 216, 368, "#ffffff"),
    ]
    for x, y, name, weight in (
        (0.2425, 168, "RAW SIDE", "700"),
        (0.2425, 192, "trim, cure, dry", "400"),
        (0.7575, 168, "READY SIDE", "700"),
        (0.7575, 192, "chill, slice, pack", "400"),
        (0.50, 66, "KILN", "700"),
        (0.50, 246, "CHANGE", "700"),
        (0.50, 342, "coat and hands", "400"),
    ):
        body.append(svg_text(at(x), y, name, anchor="middle", size=15, weight=weight))
    if data.get("way"):
        body += [
            svg_line(at(0.11), 80, at(0.385), 118, ink.ACCENT, 4, "9 5"),
            svg_line(at(0.43), 120, at(0.57), 120, ink.ACCENT, 4, "9 5"),
            svg_line(at(0.615), 118, at(0.89), 80, ink.ACCENT, 4, "9 5"),
        ]
    for door, (x, down) in ROOMS.items():
        body.append(
            f'<circle cx="{at(x):.0f}" cy="{down * TALL:.0f}" r="14" fill="#ffffff" stroke="{ink.INK}" '
            'stroke-width="3"/>'
        )
        if leads_to := {"delivery": "van", "packs out": "customer", "bins": "bins"}.get(door):
            body.append(_label(at(x), down * TALL, leads_to))
    words = str(data.get("words") or PLAN_WORDS)
    return Drawing(svg_drawing(WIDE, TALL, body, words), words)


def _label(x: float, y: float, words: str) -> str:
    if words == "bins":
        return svg_text(x + 24, y + 22, words, size=15)
    left = x < WIDE / 2  # inside the wall, above the way of the fish
    return svg_text(x + (24 if left else -24), y - 14, words, anchor="start" if left else "end", size=15)


def _room(x1: float, x2: float, top: float, low: float, colour: str) -> str:
    left, right = sorted((x1, x2))
    return (
        f'<rect x="{left:.0f}" y="{top:.0f}" width="{right - left:.0f}" height="{low - top:.0f}" '
        f'fill="{colour}" stroke="{STEEL}" stroke-width="3"/>'
    )


@picture("gas-log")
def gas_log(data: Mapping[str, Any]) -> Drawing:
    """Draw a log of carbon monoxide where a person breathes.

    Parameters
    ----------
    data : mapping
        ``time_min`` and ``ppm``; perhaps ``limit_ppm`` with ``limit_says``, and ``words``.

    Examples
    --------
    >>> gas_log({"time_min": [0, 5], "ppm": [0, 60]}).text
    'Carbon monoxide: 0 ppm at 0 min; 60 ppm at 5 min.'
    """
    figure, ax = ink.sheet(3.5)
    time, level = np.asarray(data["time_min"], dtype=float), np.asarray(data["ppm"], dtype=float)
    ax.plot(time, level, **CORE)
    top = max(float(level.max()), float(data.get("limit_ppm", 0.0)), 20.0)
    ax.set(ylim=(0, top * 1.18), xlim=(time[0], time[-1]))
    if data.get("limit_ppm") is not None:
        ax.axhline(float(data["limit_ppm"]), color=ink.INK, linewidth=1.2, linestyle=(0, (2, 2)))
        said = str(data.get("limit_says", "limit")).replace(" (", "\n(")
        name_line(ax, time[-1], float(data["limit_ppm"]), said, ha="right", va="bottom", fontweight="normal")
    ax.set(xlabel="Minutes", ylabel="Carbon monoxide [ppm]")
    told = "; ".join(f"{p:g} ppm at {t:g} min" for t, p in zip(time, level, strict=True))
    return Drawing(figure, str(data.get("words") or f"Carbon monoxide: {told}."))
