"""Axes whose numbers and grid are drawn at once. The library makes five objects for each number on an axis; a
slider that is moved waits for all of them, so these axes make none.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.axis import XAxis, YAxis
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.font_manager import FontProperties
from matplotlib.path import Path
from matplotlib.text import Text
from matplotlib.ticker import FixedFormatter, FixedLocator
from matplotlib.transforms import Affine2D, Bbox, IdentityTransform

_PAD_PT = 7.0
"""Between the frame and its numbers, as the library has it."""


class AxisWord(NamedTuple):
    """One line of words at an axis: its anchor, and the box that it covers. [pixels]"""

    words: str
    x: float
    baseline: float
    box: Bbox


class _QuickAxis:
    """What the upright and the level axis share."""

    axes: Any
    label: Any
    axis_name: str
    _quick_across: bool

    def set_ticks(
        self: Any, ticks: Any, labels: Iterable[str] | None = None, *, minor: bool = False, **more: Any
    ) -> list[Any]:
        """Put numbers, or ``labels``, at some places; the view grows until it holds them all."""
        places = np.asarray([] if ticks is None else list(ticks), dtype=float)
        (self.set_minor_locator if minor else self.set_major_locator)(FixedLocator(places.tolist()))
        if places.size:
            shared = getattr(self.axes, f"get_shared_{self.axis_name}_axes")()
            for each in shared.get_siblings(self.axes):
                beside = getattr(each, f"{self.axis_name}axis")
                beside.set_view_interval(float(places.min()), float(places.max()))
        if labels is not None:
            self.set_ticklabels(labels, minor=minor, **more)
        self.stale = True
        return []

    def set_ticklabels(
        self: Any, labels: Iterable[Any], *, minor: bool = False, fontdict: Any = None, **_: Any
    ) -> list[Text]:
        """Put these words where the numbers would stand."""
        told = FixedFormatter([str(each) for each in labels])
        (self.set_minor_formatter if minor else self.set_major_formatter)(told)
        self.stale = True
        return []

    def words(self: Any) -> list[AxisWord]:
        """Return the numbers of the axis and where each stands; none where they are switched off."""
        told = self.get_tick_params()
        if not told.get("labelbottom" if self._quick_across else "labelleft", True):
            return []
        size, dpi = float(told.get("labelsize", 10)), float(self.axes.figure.dpi)
        pad = _PAD_PT if "pad" not in told else float(told["pad"]) + float(told.get("length", 3.5))
        places = np.asarray(self.get_majorticklocs(), dtype=float)
        said = self.get_major_formatter().format_ticks(places)
        shown = self.inside(places)
        at = self.pixels(places)
        frame = self.axes.bbox
        found: list[AxisWord] = []
        for here, words, seen in zip(at, said, shown, strict=True):
            if seen and words:
                spot = (float(here), frame.y0) if self._quick_across else (frame.x0, float(here))
                found += _lines(
                    words, spot, across=self._quick_across, gap=pad * dpi / 72, size=size, dpi=dpi
                )
        return found

    def inside(self: Any, places: Any) -> Any:
        """Return which places lie within the view."""
        low, high = sorted(self.get_view_interval())
        spare = 1e-9 * max(abs(low), abs(high), high - low)
        return (places >= low - spare) & (places <= high + spare)

    def pixels(self: Any, places: Any) -> Any:
        """Return where places of the axis lie on the paper. [pixels]"""
        spots = np.zeros((len(places), 2))
        spots[:, 0 if self._quick_across else 1] = places
        low = self.axes.viewLim.min  # on a scale of logs nothing lies at 0
        spots[:, 1 if self._quick_across else 0] = low[1 if self._quick_across else 0]
        found: Any = self.axes.transData.transform(spots)[:, 0 if self._quick_across else 1]
        return found

    def draw(self: Any, renderer: Any) -> None:
        """Draw the grid in one stroke, then the words, then the name of the axis."""
        if not self.get_visible():
            return
        renderer.open_group("axis", gid=self.get_gid())
        for which in ("minor", "major"):
            self._grid(renderer, which)
        told = self.get_tick_params()
        pen = _pen_of(renderer, told.get("labelcolor", "#000000"))
        font = FontProperties(size=float(told.get("labelsize", 10)))
        anchor = Text(ha="center" if self._quick_across else "right", transform=IdentityTransform())
        height = getattr(renderer, "height", 0) if getattr(renderer, "flipy", bool)() else 0
        found = self.words()
        for each in found:
            anchor.set_position((each.x, each.baseline))
            left = each.box.x0
            renderer.draw_text(pen, left, height - each.baseline, each.words, font, 0, mtext=anchor)
        pen.restore()
        self._place_name(found)
        self.label.draw(renderer)
        renderer.close_group("axis")
        self.stale = False

    def _grid(self: Any, renderer: Any, which: str) -> None:
        told = self.get_tick_params(which)
        places = np.asarray(
            self.get_majorticklocs() if which == "major" else self.get_minorticklocs(), dtype=float
        )
        if not told.get("gridOn") or not places.size:
            return
        at, frame = self.pixels(places[self.inside(places)]), self.axes.bbox
        ends = (frame.y0, frame.y1) if self._quick_across else (frame.x0, frame.x1)
        corners = [(here, end) if self._quick_across else (end, here) for here in at for end in ends]
        pen = _pen_of(renderer, told.get("grid_color", "#b0b0b0"))
        pen.set_linewidth(renderer.points_to_pixels(float(told.get("grid_linewidth", 0.8))))
        renderer.draw_path(pen, Path(corners, [Path.MOVETO, Path.LINETO] * len(at)), Affine2D())
        pen.restore()

    def _place_name(self: Any, found: Sequence[AxisWord]) -> None:
        frame, away = self.axes.bbox, float(self.labelpad) * float(self.axes.figure.dpi) / 72
        x, y = self.label.get_position()
        if self._quick_across:
            self.label.set_position((x, min([frame.y0, *(each.box.y0 for each in found)]) - away))
        else:
            self.label.set_position((min([frame.x0, *(each.box.x0 for each in found)]) - away, y))

    def get_tightbbox(self: Any, renderer: Any = None, *, for_layout_only: bool = False) -> Any:
        """Return the box round the words and the name of the axis, or None if there are none. [pixels]"""
        if not self.get_visible():
            return None
        found = self.words()
        boxes = [each.box for each in found]
        self._place_name(found)
        if self.label.get_text():
            boxes.append(self.label.get_window_extent(renderer))
        return Bbox.union(boxes) if boxes else None


class QuickXAxis(_QuickAxis, XAxis):
    """The level axis."""

    _quick_across = True


class QuickYAxis(_QuickAxis, YAxis):
    """The upright axis."""

    _quick_across = False


class QuickAxes(Axes):
    """Axes as the library has them, but for how their numbers are drawn."""

    def _init_axis(self) -> None:
        self.xaxis = QuickXAxis(self, clear=False)
        self.yaxis = QuickYAxis(self, clear=False)
        for name in ("bottom", "top"):
            self.spines[name].register_axis(self.xaxis)
        for name in ("left", "right"):
            self.spines[name].register_axis(self.yaxis)


def _pen_of(renderer: Any, color: Any) -> Any:
    pen = renderer.new_gc()
    pen.set_foreground(color)
    return pen


def _lines(
    words: str, spot: tuple[float, float], *, across: bool, gap: float, size: float, dpi: float
) -> list[AxisWord]:
    """Return the lines of some words, centred under a place or ending left of it."""
    lines = words.split("\n")
    _, height, drop = measured("lp", size, dpi)
    above, leading = height - drop, 1.2 * height
    first = spot[1] - gap - above if across else spot[1] - above / 2 + leading * (len(lines) - 1) / 2
    found = []
    for place, line in enumerate(lines):
        wide, x = measured(line, size, dpi)[0], spot[0] if across else spot[0] - gap
        left, baseline = (x - wide / 2 if across else x - wide), first - leading * place
        found.append(
            AxisWord(
                line, x, baseline, Bbox.from_extents(left, baseline - drop, left + wide, baseline + above)
            )
        )
    return found


@lru_cache(maxsize=4096)
def measured(words: str, size: float, dpi: float) -> tuple[float, float, float]:
    """Return how wide and high a line of words is, and how far it drops below its line. [pixels]"""
    wide, high, drop = measuring_pen(dpi).get_text_width_height_descent(
        words, FontProperties(size=size), False
    )
    return float(wide), float(high), float(drop)


@lru_cache(maxsize=8)
def measuring_pen(dpi: float) -> Any:
    """Return something that measures words; it draws nothing."""
    return RendererAgg(8, 8, dpi)
