"""Pictures of lesson 0: a glass of ice, where water boils, and the day in a line."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.process.physics.thermometer import boiling_point
from kit.views.pictures import ink
from kit.views.pictures.drawings import STEEL, svg_drawing, svg_line, svg_probe, svg_text
from kit.views.pictures.ink import CORE, SURFACE
from kit.views.pictures.register import Drawing, picture

WIDE, TALL = 760, 380
_FLAKES = (  # middle of each piece of ice: (across, down)
    *((0.40, 0.40), (0.47, 0.36), (0.55, 0.39), (0.61, 0.44), (0.42, 0.52), (0.50, 0.49), (0.58, 0.54)),
    *((0.40, 0.64), (0.47, 0.62), (0.54, 0.66), (0.61, 0.65), (0.43, 0.76), (0.50, 0.77), (0.58, 0.77)),
)
_STAGES = ("fish in", "trim", "cure", "rinse", "dry", "smoke", "cook", "chill", "pack")


@picture("ice-glass")
def ice_glass(data: Mapping[str, Any]) -> Drawing:
    """Draw a glass of ice water from the side; with ``probe``, a probe whose tip is in the right place.

    Examples
    --------
    >>> ice_glass({"probe": True}).text
    'A glass full of crushed ice and water. The tip of a probe is in the middle, off the wall and the bottom.'
    """
    left, right = (WIDE * (x + float(data.get("shift", 0.0))) for x in (0.31, 0.69))
    body = [
        svg_line(40, 348, WIDE - 40, 348, STEEL, 4),
        f'<path d="M{left:.0f} 112 L{left + 14:.0f} 344 L{right - 14:.0f} 344 L{right:.0f} 112 Z" '
        'fill="#dcebf2"/>',
    ]
    for x, y in _FLAKES:
        at_x, at_y = WIDE * (x + float(data.get("shift", 0.0))), y * TALL
        turn = f"rotate({(at_x * 7) % 50 - 25:.0f} {at_x:.0f} {at_y:.0f})"
        body.append(
            f'<rect x="{at_x - 17:.0f}" y="{at_y - 13:.0f}" width="34" height="26" rx="6" fill="#ffffff" '
            f'stroke="#8fb3c4" stroke-width="2" transform="{turn}"/>'
        )
    body.append(
        f'<path d="M{left - 4:.0f} 84 L{left + 14:.0f} 344 L{right - 14:.0f} 344 L{right + 4:.0f} 84" '
        f'fill="none" stroke="{ink.INK}" stroke-width="3.5"/>'
    )
    said = "A glass full of crushed ice and water."
    if data.get("probe"):
        middle = (left + right) / 2
        body += [svg_probe(middle, 0.60 * TALL, middle + 130, 40), svg_text(middle + 150, 46, "probe")]
        body += [
            svg_text(left - 24, 232, "ice and water", anchor="end"),
            svg_text(right + 24, 232, "stir, wait, read"),
        ]
        said += " The tip of a probe is in the middle, off the wall and the bottom."
    words = str(data.get("words") or said)
    return Drawing(svg_drawing(WIDE, TALL, body, words), words)


@picture("boiling-chart")
def boiling_chart(data: Mapping[str, Any]) -> Drawing:
    """Draw the boiling point of water against height above the sea.

    Examples
    --------
    >>> boiling_chart({}).text
    'Where water boils, by height: 100.0 °C at 0 m; 96.6 °C at 1000 m; 93.3 °C at 2000 m.'
    """
    figure, ax = ink.sheet(3.6)
    draw_boiling_line(ax)
    told = "; ".join(f"{boiling_point(m):.1f} °C at {m} m" for m in (0, 1000, 2000))
    return Drawing(figure, str(data.get("words") or f"Where water boils, by height: {told}."))


def draw_boiling_line(ax: Any) -> None:
    """Draw the line, with ticks that can be read to half a degree."""
    height = np.arange(0, 2701, 50)
    ax.plot(height, [boiling_point(float(m)) for m in height], **CORE)
    ax.set(xlim=(0, 2700), xticks=range(0, 2701, 600), ylim=(90, 102), yticks=range(90, 103))
    ax.set_xticks(range(0, 2701, 300), minor=True)
    ax.grid(True, which="minor", axis="x", color="#e4ddcf", linewidth=0.7)
    ax.set(xlabel="Height above the sea [m]", ylabel="Water boils at [°C]")


@picture("the-day")
def the_day(data: Mapping[str, Any]) -> Drawing:
    """Draw the day as a line of nine steps, with the lesson of each.

    Examples
    --------
    >>> the_day({}).text.startswith("The day in nine steps: fish in, trim")
    True
    """
    lessons = (1, 1, 2, 2, 3, 4, 5, 6, 6)
    body = [svg_line(50, 62, WIDE - 50, 62, STEEL, 5)]
    for place, (stage, lesson) in enumerate(zip(_STAGES, lessons, strict=True)):
        x = 50 + place * (WIDE - 100) / (len(_STAGES) - 1)
        hot = stage in ("smoke", "cook")
        body.append(
            f'<circle cx="{x:.0f}" cy="62" r="15" fill="{SURFACE["color"] if hot else ink.ACCENT}" '
            f'stroke="{ink.INK}" stroke-width="2"/>'
        )
        body.append(svg_text(x, 30, stage, anchor="middle", weight="700"))
        body.append(svg_text(x, 104, f"lesson {lesson}", anchor="middle", size=15))
    words = f"The day in nine steps: {', '.join(_STAGES)}. Lesson 7 goes with all of them, and lesson 8 "
    words += "is the whole day. Lesson 9 is what follows: to sell it, and to answer for it. "
    words += "Lesson 10 runs the house."
    return Drawing(svg_drawing(WIDE, 124, body, words), words)
