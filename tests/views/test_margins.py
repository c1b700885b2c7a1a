"""Every word of a chart stands on the paper, wide and narrow, large enough to read; and it is drawn once."""

from __future__ import annotations

from typing import Any

import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text

from kit.views.pictures import ink, margins
from kit.views.pictures.register import Slider, explorer_named, explorer_names

NAMES = [name for name in explorer_names() if not name.startswith("stage-")]
PHONE_PX = 318  # the width of a picture on a page of 390 px


def cut(figure: Figure) -> list[str]:
    """Return the words that reach over the edge of the paper by more than a pixel."""
    pen: Any = margins._renderer(figure.dpi)
    found = []
    for each in figure.findobj(Text):
        box = each.get_window_extent(pen)
        inside = (
            box.x0 >= -1 and box.y0 >= -1 and box.x1 <= figure.bbox.x1 + 1 and box.y1 <= figure.bbox.y1 + 1
        )
        shown = each.get_visible() and each.get_text().strip() and box.width > 0
        ticks = [(axes, axis) for axes in figure.axes for axis in (axes.xaxis, axes.yaxis)]
        hidden = any(
            each in axis.get_ticklabels() and not (axes.axison and _drawn(axis, each)) for axes, axis in ticks
        )
        if shown and not inside and not hidden:
            found.append(each.get_text())
    return found


def _drawn(axis: Any, label: Text) -> bool:
    """Return whether a tick label lies between the ends of its axis, so that it is drawn."""
    low, high = sorted(axis.get_view_interval())
    place = label.get_position()[0 if axis.axis_name == "x" else 1]
    return bool(low <= place <= high)


@pytest.mark.parametrize("narrow", [False, True], ids=["wide", "narrow"])
@pytest.mark.parametrize("name", NAMES)
def test_no_word_of_an_explorer_is_cut(name: str, narrow: bool):
    spec = explorer_named(name)
    turns = [{}]
    for control in spec.controls:
        ends = (
            [control.low, control.high]
            if isinstance(control, Slider)
            else [key for key, _ in control.options]
        )
        turns += [{control.key: end} for end in ends]
    for turn in turns:
        figure = spec.draw(spec.settle(turn)).figure
        if isinstance(figure, str):
            return
        ink.svg(figure, narrow=narrow)
        assert (turn, cut(figure)) == (turn, [])


def test_a_word_that_is_cut_is_found():
    figure, axes = ink.sheet(2.0)
    axes.set_ylabel("A name far too long for the height of so low a picture [°C]")
    ink.svg(figure)
    assert cut(figure) == ["A name far too long for the height of so low a picture [°C]"]


@pytest.mark.parametrize("name", NAMES)
def test_the_words_are_large_enough_on_a_phone(name: str):
    spec = explorer_named(name)
    figure = spec.draw(spec.start()).figure
    if isinstance(figure, str):
        return
    ink.svg(figure, narrow=True)
    pixels = PHONE_PX / (figure.get_size_inches()[0] * 72)
    small = {
        each.get_text()
        for each in figure.findobj(Text)
        if each.get_text() and each.get_fontsize() * pixels < 12
    }
    assert small == set()


def test_a_chart_is_drawn_once_for_a_reply(monkeypatch: pytest.MonkeyPatch):
    spec, drawn = explorer_named("core-and-surface"), []
    once = Figure.draw
    monkeypatch.setattr(Figure, "draw", lambda self, pen: (drawn.append(1), once(self, pen))[1])
    ink.svg(spec.draw(spec.start()).figure)  # type: ignore[arg-type]  # a chart
    assert len(drawn) == 1


def test_no_chart_has_a_legend():
    for name in NAMES:
        figure = explorer_named(name).draw(explorer_named(name).start()).figure
        if not isinstance(figure, str):
            assert [axes.get_legend() for axes in figure.axes if axes.get_legend()] == []
