"""How our charts look, and how a figure becomes a PNG: paper, ink, and lines that differ without colour."""

from __future__ import annotations

import io
import re
from threading import Thread
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
CORE, SURFACE, THIRD, AIR = LINES[:4]
WINDOW = "#ece3d2"  # a stretch of time that counts
WIDE_IN, NARROW_IN = 7.4, 3.6  # the text column; a phone, where the words are to stay about 13 px
WORDS_PT = 10.5  # every word of a chart
_DPI = 130
_SIZED = re.compile(r'(<svg[^>]*?) width="[^"]*" height="[^"]*"')
_FAMILY = re.compile(r"font-family: [^;\"]*")
_SHORT = re.compile(r"font: ((?:bold |italic |\d+ )*)([\d.]+px) [^;\"]*")
_GROUP_NAME = re.compile(r'<g id="[^"]*"')


def load_ahead() -> None:
    """Load what draws a chart beside other work: the first chart that somebody asks for need not wait."""

    def load() -> None:
        from matplotlib.backends import backend_svg  # noqa: F401  # loaded for later, not used here
        from matplotlib.figure import Figure  # noqa: F401  # the same

    Thread(target=load, name="charts", daemon=True).start()


def sheet(height_in: float = 3.4, *, rows: int = 1, columns: int = 1, **keywords: Any) -> tuple[Figure, Any]:
    """Return a figure on our paper and its axes (one, or an array of them). It uses no pyplot state.

    Draw the same kind of line with the same entry of `LINES` throughout a lesson, label it in a legend or
    at its end, and give axes their unit: "Core temperature [°C]".
    """
    from matplotlib.figure import Figure

    from kit.views.pictures.margins import Margins
    from kit.views.pictures.quick_axes import QuickAxes

    figure = Figure(figsize=(WIDE_IN, height_in), layout=Margins(), facecolor=PAPER)
    axes = figure.subplots(rows, columns, subplot_kw={"axes_class": QuickAxes}, **keywords)
    for axis in figure.axes:
        tidy(axis)
        axis.locator_params(nbins=7)  # each number on an axis costs a slider its time
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
    axis.tick_params(colors=INK, labelsize=WORDS_PT, left=False, bottom=False)  # the grid says where
    for part in (axis.xaxis.label, axis.yaxis.label, axis.title):
        part.set_color(INK)
        part.set_fontsize(WORDS_PT)


def svg(figure: Figure, *, narrow: bool = False) -> str:
    """Return the figure as SVG whose words are words, in the page's own type; ``narrow`` as for `png`.

    Examples
    --------
    >>> figure, axis = sheet()
    >>> _ = axis.set_xlabel("Minutes")
    >>> ">Minutes</text>" in svg(figure), "DejaVu" in svg(figure)
    (True, False)
    """
    from matplotlib import rc_context
    from matplotlib.backends.backend_svg import FigureCanvasSVG

    _narrowed(figure, narrow=narrow)
    buffer = io.StringIO()
    with rc_context({"svg.fonttype": "none", "svg.hashsalt": "kit"}):
        FigureCanvasSVG(figure).print_svg(buffer, metadata={"Date": None})  # savefig would draw it twice
    drawn = buffer.getvalue().replace("<svg ", '<svg style="white-space:pre" ')
    drawn = _FAMILY.sub(f"font-family:{FONT}", _SIZED.sub(r"\1", drawn[drawn.index("<svg") :]))
    return _SHORT.sub(rf"font:\1\2 {FONT}", _GROUP_NAME.sub("<g", drawn))


def png(figure: Figure, *, narrow: bool = False) -> bytes:
    """Return the figure as a PNG: for the text column, or redrawn narrow so that a phone can read it."""
    _narrowed(figure, narrow=narrow)
    buffer = io.BytesIO()
    figure.savefig(buffer, format="png", dpi=_DPI, facecolor=figure.get_facecolor())
    return buffer.getvalue()


def _narrowed(figure: Figure, *, narrow: bool) -> None:
    """Make the figure as narrow as a phone; what stood side by side then stands one below the other."""
    width_in, height_in = figure.get_size_inches()
    if not narrow or width_in <= NARROW_IN:
        return
    spots = [axis.get_subplotspec() for axis in figure.axes]
    grids = [spot.get_gridspec() for spot in spots if spot is not None]
    if len(figure.axes) == 2 and all((grid.nrows, grid.ncols) == (1, 2) for grid in grids):
        below = figure.add_gridspec(2, 1)
        for place, axis in enumerate(figure.axes):
            axis.set_subplotspec(below[place])
        height_in *= 1.5
    figure.set_size_inches(NARROW_IN, min(height_in * 1.1, NARROW_IN * 1.5))


def limit_line(ax: Axes, limit_c: float) -> None:
    """Draw the limit across in the band that a probe may be off, and write it at the left, above its line."""
    from kit.rules import PROBE_ERROR_C

    low, high = ax.get_ylim()
    ax.set_ylim(low, max(high, limit_c + 0.12 * (high - low)))
    ax.axhspan(limit_c - PROBE_ERROR_C, limit_c + PROBE_ERROR_C, color=INK, alpha=0.14, linewidth=0)
    ax.axhline(limit_c, color=INK, linewidth=1.2, linestyle=(0, (2, 2)))
    words = f" limit {limit_c:g} °C ±{PROBE_ERROR_C:g}"
    name_line(ax, ax.get_xlim()[0], limit_c + PROBE_ERROR_C, words, va="bottom", fontweight="normal")


def near_limit(ax: Axes, limit_c: float) -> None:
    """Show only what lies within 2 °C of a limit, where 0.3 °C decides, and the band that a probe may be off.

    The lines are drawn already.
    """
    from kit.rules import PROBE_ERROR_C

    ax.axhspan(limit_c - PROBE_ERROR_C, limit_c + PROBE_ERROR_C, color=INK, alpha=0.14, linewidth=0)
    ax.axhline(limit_c, color=INK, linewidth=1.2, linestyle=(0, (2, 2)))
    ax.set(ylim=(limit_c - 2, limit_c + 2), ylabel="Near [°C]")
    ax.set_yticks([limit_c - 1, limit_c, limit_c + 1], [f"{limit_c + step:g}" for step in (-1, 0, 1)])
    ax.set_yticks([limit_c + step / 2 for step in range(-3, 4)], minor=True)
    ax.grid(True, which="minor", axis="y", color="#e4ddcf", linewidth=0.7)


def comes_near(values: Any, limit_c: float) -> bool:
    """Return whether some reading lies within 1 °C of a limit, so that a closer look is worth its room.

    Examples
    --------
    >>> comes_near([4.0, None, 74.2], 75), comes_near([4.0, 60.0], 75)
    (True, False)
    """
    import numpy as np

    return bool(np.any(np.abs(np.asarray(values, dtype=float) - limit_c) <= 1.0))


def window(ax: Axes, start: float, end: float, words: str) -> None:
    """Shade a stretch of time from the foot to the top, and name it at the end, along its edge."""
    ax.axvspan(start, end, color=WINDOW, alpha=0.55, linewidth=0, zorder=0)
    ax.axvline(end, color=INK, linewidth=1.2, linestyle=(0, (2, 2)))
    at: dict[str, Any] = {
        "xycoords": ("data", "axes fraction"),
        "textcoords": "offset points",
        "rotation": 90,
    }
    ax.annotate(words, (end, 0.98), xytext=(-3, 0), ha="right", va="top", fontsize=WORDS_PT, color=INK, **at)


def name_line(ax: Axes, x: float, y: float, words: str, **more: Any) -> None:
    """Write a line's name beside it, on the paper's colour, so that no legend is needed."""
    settings: dict[str, Any] = {
        "ha": "left",
        "va": "center",
        "fontweight": "bold",
        "fontsize": WORDS_PT,
        "color": INK,
        "bbox": {"facecolor": PAPER, "edgecolor": "none", "pad": 1.2, "alpha": 0.85},
    }
    ax.text(x, y, words, **(settings | more))
