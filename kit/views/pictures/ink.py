"""How our charts look, and how a figure becomes a PNG: paper, ink, and lines that differ without colour."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PAPER, INK, FAINT, ACCENT = "#fffdf8", "#221d17", "#8b8273", "#14505c"
FONT = "var(--plain, system-ui, sans-serif)"  # the page's own type where there is a page

# Okabe and Ito's colours that reach 3:1 on white, each with its own dash and marker, so that a chart
# printed in grey, or read by someone who sees few colours, still says which line is which.
LINES: tuple[dict[str, Any], ...] = (
    {"color": "#0072B2", "linestyle": "-", "linewidth": 2.2},
    {"color": "#D55E00", "linestyle": (0, (6, 2)), "linewidth": 2.2},
    {"color": "#009E73", "linestyle": (0, (2, 1.5)), "linewidth": 2.2},
    {"color": "#000000", "linestyle": (0, (7, 2, 1.5, 2)), "linewidth": 1.8},
    {"color": "#CC79A7", "linestyle": (0, (1, 1.2)), "linewidth": 2.6},
)
WIDE_IN, NARROW_IN = 7.4, 4.3  # about the text column, and about a phone
_DPI = 130


def sheet(height_in: float = 3.4, *, rows: int = 1, columns: int = 1, **keywords: Any) -> tuple[Figure, Any]:
    """Return a figure on our paper and its axes (one, or an array of them). It uses no pyplot state.

    Draw the same kind of line with the same entry of `LINES` throughout a lesson, label it in a legend or
    at its end, and give axes their unit: "Core temperature [°C]".
    """
    from matplotlib.figure import Figure

    figure = Figure(figsize=(WIDE_IN, height_in), layout="constrained", facecolor=PAPER)
    axes = figure.subplots(rows, columns, **keywords)
    for axis in figure.axes:
        tidy(axis)
    return figure, axes


def tidy(axis: Axes) -> None:
    """Give axes the look of the workbook: no box, a faint grid, ink for text."""
    axis.set_facecolor(PAPER)
    for side in ("top", "right"):
        axis.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axis.spines[side].set_color(FAINT)
    axis.grid(True, color="#e4ddcf", linewidth=0.7)
    axis.set_axisbelow(True)
    axis.tick_params(colors=INK, labelsize=9.5)
    for part in (axis.xaxis.label, axis.yaxis.label, axis.title):
        part.set_color(INK)
        part.set_fontsize(10.5)


def png(figure: Figure, *, narrow: bool = False) -> bytes:
    """Return the figure as a PNG: for the text column, or redrawn narrow so that a phone can read it."""
    if narrow:
        width_in, height_in = figure.get_size_inches()
        if width_in > NARROW_IN:
            figure.set_size_inches(NARROW_IN, min(height_in * 1.1, NARROW_IN * 1.3))
    buffer = io.BytesIO()
    figure.savefig(buffer, format="png", dpi=_DPI, facecolor=figure.get_facecolor())
    return buffer.getvalue()
