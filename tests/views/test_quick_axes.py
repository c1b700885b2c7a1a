"""Axes that make no object for each number: the words stand where they belong, and nothing is lost."""

from __future__ import annotations

import re
from typing import Any

import pytest
from matplotlib.axis import Tick

from kit.views.pictures import ink, quick_axes


def told(svg: str) -> list[str]:
    return re.findall(r">([^<>\n]+)</text>", svg)


def test_the_numbers_the_words_and_the_grid_are_drawn():
    figure, axis = ink.sheet(3.0)
    axis.plot([0, 10], [0, 2])
    axis.set(xlim=(0, 10), ylim=(0, 2), xlabel="Minutes", xticks=[0, 5, 10, 15])
    axis.set_xlim(0, 10)
    axis.set_yticks([0, 2], ["none", "two\nof them"])
    words = told(ink.svg(figure))
    assert words == ["0", "5", "10", "Minutes", "none", "two", "of them"]  # 15 lies outside


def test_no_object_is_made_for_a_number(monkeypatch: pytest.MonkeyPatch):
    figure, axis = ink.sheet(3.0)
    axis.plot(range(30), range(30))
    made: list[Any] = []
    first = Tick.__init__
    monkeypatch.setattr(Tick, "__init__", lambda self, *a, **k: (made.append(1), first(self, *a, **k))[1])
    axis.set(xticks=range(0, 30, 5))
    ink.svg(figure)
    assert made == []


def test_words_end_at_the_frame_and_the_name_lies_outside_of_them():
    figure, axis = ink.sheet(3.0)
    axis.set(xlim=(0, 1), ylim=(0, 1), ylabel="Share [%]")
    axis.set_yticks([0.5], ["a long word here"])
    ink.svg(figure)
    (word,) = axis.yaxis.words()
    name = axis.yaxis.label.get_window_extent(quick_axes.measuring_pen(figure.dpi))
    assert name.x1 <= word.box.x0 < word.box.x1 < axis.bbox.x0
    assert abs((word.box.y0 + word.box.y1) / 2 - (axis.bbox.y0 + axis.bbox.y1) / 2) < 5


def test_a_hidden_axis_and_a_shared_one_show_no_words():
    figure, axes = ink.sheet(4.0, rows=2, sharex=True)
    axes[1].set_xticks([0, 50])
    assert axes[0].get_xlim()[1] >= 50
    axes[1].set_yticks([])
    axes[1].xaxis.set_visible(False)
    ink.svg(figure)
    assert axes[0].xaxis.words() == [] and axes[1].yaxis.words() == []
    assert axes[1].xaxis.get_tightbbox() is None


def test_a_picture_on_paper_is_drawn_too():
    figure, axis = ink.sheet(3.0)
    axis.set(xlim=(0, 1), ylim=(0, 1), xlabel="Minutes")
    assert ink.png(figure).startswith(b"\x89PNG")
