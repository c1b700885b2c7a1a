"""Charts of a group say their figures in words, name their unit, and show in a notebook."""

from __future__ import annotations

import base64

import pandas as pd

from kit.views.pictures.crew_charts import bars, ranges, shown_lines


def test_bars_stand_in_the_order_given_with_their_figures():
    chart = bars(pd.Series({"cook": 48.4, "cure": 62.0}), "Right first time [%]", title="First tries")
    (axes,) = chart.figure.axes
    assert [label.get_text() for label in axes.get_yticklabels()] == ["cook", "cure"]
    assert axes.get_xlabel() == "Right first time [%]"
    assert axes.yaxis_inverted()
    assert [round(bar.get_width(), 1) for bar in axes.patches] == [48.4, 62.0]
    assert chart.text == "First tries. Right first time [%]: cook 48; cure 62."


def test_lines_say_when_half_have_shown_it():
    shown = pd.DataFrame(
        {"safety_critical": [False, False], "days": [4, 9], "trying": [9, 5], "shown_pct": [30.0, 55.0]}
    )
    chart = shown_lines(shown)
    (axes,) = chart.figure.axes
    assert len(axes.lines) == 1 and axes.get_ylabel() == "Shown in practice [%]"
    assert list(axes.lines[0].get_ydata()) == [0, 30, 55]
    assert "Other criteria: half after 9 days; 55 % after 9 days." in chart.text


def test_ranges_show_the_ends_and_leave_out_what_is_hidden():
    table = pd.DataFrame({"r": [0.4, None, -0.1], "low": [0.3, None, -0.2], "high": [0.5, None, 0.0]})
    chart = ranges(table.set_axis(["a-task", "few", "b-task"]), "Discrimination", mark=0)
    (axes,) = chart.figure.axes
    assert [label.get_text() for label in axes.get_yticklabels()] == ["a-task", "b-task"]
    bottom, top = axes.get_ylim()
    assert bottom > top, "the first stands on top"
    assert chart.text == "Discrimination: a-task 0.40 (0.30 to 0.50); b-task −0.10 (−0.20 to 0.00)."


def test_nothing_to_draw_is_still_a_chart():
    assert (
        ranges(pd.DataFrame({"r": [], "low": [], "high": []}), "Discrimination").text == "Discrimination: ."
    )
    assert shown_lines(pd.DataFrame(columns=["safety_critical", "days", "trying", "shown_pct"])).text
    assert bars(pd.Series(dtype=float), "Days").text == "Days: ."


def test_a_drawing_shows_in_a_notebook_with_its_words():
    data, metadata = bars(pd.Series({"cook": 1.0}), "Days")._repr_mimebundle_()
    assert base64.b64decode(data["image/png"])[:4] == b"\x89PNG"
    assert data["text/plain"] == metadata["image/png"]["alt"] == "Days: cook 1."
