"""Room for the words round a chart, measured once and quickly: a slider waits for each picture.

The usual engine of the library draws a figure four times to find its margins; this one asks each word once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from matplotlib.layout_engine import LayoutEngine

from kit.views.pictures.quick_axes import measuring_pen

if TYPE_CHECKING:
    from matplotlib.axes import Axes


_EDGE_PT, _TITLE_PT = 4.0, 7.0  # between the words and the edge of the paper; below a title


class Overhang(NamedTuple):
    """How far the words of some axes reach beyond its frame. [pixels]"""

    left: float
    bottom: float
    right: float
    top: float


class Margins(LayoutEngine):
    """Sets the frame of every chart so that no word is cut and none lies over a neighbour."""

    _adjust_compatible = True
    _colorbar_gridspec = True

    def execute(self, fig: Any) -> None:
        """Measure the words and move the frames, and again where words moved with a frame."""
        placed = [each for each in fig.axes if each.get_subplotspec() is not None and each.get_visible()]
        if not placed:
            return
        fig.subplots_adjust(left=0.1, right=0.97, bottom=0.15, top=0.95, hspace=0.3, wspace=0.3)
        spots = [each.get_subplotspec().get_topmost_subplotspec() for each in placed]
        hangs = [overhang(each) for each in placed]
        for _ in range(3):
            _place(fig, spots, hangs)
            moved = [_words(each) for each in placed]
            if all(
                a - b < 1
                for now, then in zip(moved, hangs, strict=True)
                for a, b in zip(now, then, strict=True)
            ):
                return
            hangs = [Overhang(*map(max, now, then)) for now, then in zip(moved, hangs, strict=True)]


def _place(figure: Any, spots: list[Any], hangs: list[Overhang]) -> None:
    rows, columns = spots[0].get_gridspec().get_geometry()
    edge, (width, height) = _EDGE_PT * figure.dpi / 72, figure.bbox.size
    across = [(each.colspan.start, each.colspan.stop - 1) for each in spots]
    down = [(each.rowspan.start, each.rowspan.stop - 1) for each in spots]
    left, right, beside = _room(across, [(each.left, each.right) for each in hangs], columns)
    top, bottom, between = _room(down, [(each.top, each.bottom) for each in hangs], rows)
    figure.subplots_adjust(
        left=(left + edge) / width,
        right=1 - (right + edge) / width,
        top=1 - (top + edge) / height,
        bottom=(bottom + edge) / height,
        wspace=_share(beside + edge, width - left - right - 2 * edge, columns),
        hspace=_share(between + edge, height - top - bottom - 2 * edge, rows),
    )


def overhang(axes: Axes) -> Overhang:
    """Return how far ticks, labels, title and words reach beyond the frame of some axes."""
    pen = measuring_pen(axes.figure.dpi)
    frame = axes.get_window_extent()
    parts = [axes.xaxis.get_tightbbox(pen), axes.yaxis.get_tightbbox(pen)] if axes.axison else []
    known = [each for each in parts if each is not None and each.width > 0]
    beyond = [
        max([hang, *(each(one, frame) for one in known)])
        for hang, each in zip(_words(axes), _BEYOND, strict=True)
    ]
    titles = [axes.get_title(loc=place) for place in _TITLES]  # type: ignore[arg-type]  # a word of the list above
    lines = max(each.count("\n") + 1 if each else 0 for each in titles)
    above_pt = lines * float(axes.title.get_fontsize()) * 1.25 + _TITLE_PT if lines else 0.0
    head = above_pt * axes.figure.dpi / 72
    return Overhang(beyond[0], beyond[1], beyond[2], max(beyond[3], head))


def _words(axes: Axes) -> Overhang:
    """Return how far the words written into some axes reach beyond their frame."""
    pen = measuring_pen(axes.figure.dpi)
    frame = axes.get_window_extent()
    found = [each.get_window_extent(pen) for each in axes.texts if each.get_in_layout() and each.get_text()]
    return Overhang(*(max([0.0, *(each(one, frame) for one in found)]) for each in _BEYOND))


_BEYOND = (
    lambda box, frame: frame.x0 - box.x0,
    lambda box, frame: frame.y0 - box.y0,
    lambda box, frame: box.x1 - frame.x1,
    lambda box, frame: box.y1 - frame.y1,
)
_TITLES = ("left", "center", "right")


def _room(
    places: list[tuple[int, int]], sides: list[tuple[float, float]], count: int
) -> tuple[float, float, float]:
    """Return the room before the first, after the last, and between neighbours, along one direction."""
    before = [
        max([0.0, *(s[0] for p, s in zip(places, sides, strict=True) if p[0] == n)]) for n in range(count)
    ]
    after = [
        max([0.0, *(s[1] for p, s in zip(places, sides, strict=True) if p[1] == n)]) for n in range(count)
    ]
    between = [after[n] + before[n + 1] for n in range(count - 1)]
    return before[0], after[-1], max(between, default=0.0)


def _share(gap: float, whole: float, count: int) -> float:
    """Return a gap as a share of one frame, as the library wants it."""
    one = (whole - (count - 1) * gap) / count
    return gap / one if one > 0 else 0.2
