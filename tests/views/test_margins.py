"""Every word of a chart stands on the paper, wide and narrow, large enough to read; and it is drawn once."""

from __future__ import annotations

from typing import Any

import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text

from kit.views.pictures import ink, quick_axes
from kit.views.pictures.register import Slider, explorer_named, explorer_names

NAMES = [name for name in explorer_names() if not name.startswith("stage-")]
PHONE_PX = 318  # the width of a picture on a page of 390 px


def cut(figure: Figure) -> list[str]:
    """Return the words that reach over the edge of the paper by more than a pixel."""
    pen: Any = quick_axes.measuring_pen(figure.dpi)
    ticks = {id(each) for axes in figure.axes for axis in (axes.xaxis, axes.yaxis) for each in parts_of(axis)}
    words = [each for each in figure.findobj(Text) if id(each) not in ticks]
    boxes = [(each.get_text(), each.get_window_extent(pen)) for each in words if each.get_visible()]
    for axes in figure.axes:
        assert isinstance(axes, quick_axes.QuickAxes)
        for axis in (axes.xaxis, axes.yaxis):
            if axes.axison:
                boxes += [(each.words, each.box) for each in axis.words()]
    inside = [
        box.x0 >= -1 and box.y0 >= -1 and box.x1 <= figure.bbox.x1 + 1 and box.y1 <= figure.bbox.y1 + 1
        for _, box in boxes
    ]
    return [words for (words, box), fits in zip(boxes, inside, strict=True) if words.strip() and not fits]


def parts_of(axis: Any) -> list[Text]:
    """Return the words of the library's own ticks, which are never drawn."""
    return [each for tick in axis.get_major_ticks() + axis.get_minor_ticks() for each in tick.findobj(Text)]


@pytest.mark.slow
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


@pytest.mark.slow
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


@pytest.mark.slow
def test_no_chart_has_a_legend():
    for name in NAMES:
        figure = explorer_named(name).draw(explorer_named(name).start()).figure
        if not isinstance(figure, str):
            assert [axes.get_legend() for axes in figure.axes if axes.get_legend()] == []
