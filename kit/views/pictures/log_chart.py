"""The picture of a checked log: the trace above, and below it what each rule rests on."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import shorten
from typing import TYPE_CHECKING

import numpy as np

from kit.process.physics.trace import Trace
from kit.rules import Verdict
from kit.views.pictures import ink

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

MARKS = {"met": "✓", "not met": "✗", "cannot tell": "?"}
_ROOM = 105  # letters on one line of the picture
_FILLS = {"met": "#cfe3d8", "not met": "#f0c9b2", "cannot tell": "#e8e0d0"}
_HATCHES = {"met": "", "not met": "////", "cannot tell": "...."}


def log_chart(trace: Trace, verdicts: Sequence[Verdict], title: str) -> Figure:
    """Return a figure of a record with its phases, and a strip for each rule that has a number.

    Outcomes are told by a sign and in words, never by colour alone. Gaps stay gaps.

    Parameters
    ----------
    trace : Trace
        The record. [min], [°C]
    verdicts : sequence of Verdict
        From ``kit.rules.judge``.
    title : str
        Above the picture: the file and its rules.

    Examples
    --------
    >>> figure = log_chart(Trace(np.array([0.0, 1.0]), np.array([4.0, 5.0])), (), "a.csv")
    >>> len(figure.axes)
    1
    """
    from matplotlib.figure import Figure

    shown = [each for each in verdicts if not each.for_person]
    strip_in = 0.46 * len(shown) + (0.5 if shown else 0)
    figure = Figure(figsize=(9.2, 4.1 + strip_in), layout="constrained", facecolor=ink.PAPER)
    if shown:
        upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=[3.6, strip_in])
        _strips(lower, shown, trace)
    else:
        upper, lower = figure.subplots(), None
    _lines(upper, trace)
    _phases(upper, trace)
    upper.set_title(title, loc="left", fontsize=11, color=ink.INK, pad=22)
    bottom = upper if lower is None else lower
    bottom.set_xlabel("Minutes since the record began")
    for axis in figure.axes:
        ink.tidy(axis)
    if lower is not None:
        lower.grid(False, axis="y")
        lower.spines["left"].set_visible(False)
    return figure


def _lines(axis: Axes, trace: Trace) -> None:
    columns = (("core_c", "core"), ("surface_c", "surface"), ("air_c", "air"))
    for (name, label), line in zip(columns, (ink.LINES[0], ink.LINES[1], ink.LINES[3]), strict=True):
        column = getattr(trace, name)
        if column is not None:
            axis.plot(trace.time_min, column, **line)
            last = int(np.flatnonzero(np.isfinite(column))[-1])
            ink.name_line(axis, trace.time_min[last], column[last], f" {label}")
    axis.set_ylabel("Temperature [°C]")
    first, end = float(trace.time_min[0]), float(trace.time_min[-1])
    axis.set_xlim(first, end + 0.1 * max(end - first, 1.0))
    low, high = axis.get_ylim()
    axis.set_ylim(min(low, 0), high + 0.12 * (high - low))


def _phases(axis: Axes, trace: Trace) -> None:
    for phase in trace.phases:
        axis.axvspan(phase.start_min, phase.end_min, color="#efe8da", zorder=0)
        middle = 0.5 * (phase.start_min + phase.end_min)
        where = axis.get_xaxis_transform()
        axis.text(
            middle, 1.015, phase.name, transform=where, ha="center", fontsize=ink.WORDS_PT, color=ink.INK
        )


def _strips(axis: Axes, verdicts: Sequence[Verdict], trace: Trace) -> None:
    first, last = float(trace.time_min[0]), float(trace.time_min[-1])
    for row, each in enumerate(verdicts):
        known = each.from_min is not None and each.to_min is not None
        start = first if each.from_min is None else max(each.from_min, first)
        end = last if each.to_min is None else min(each.to_min, last)
        if known and np.isfinite([start, end]).all():
            axis.barh(
                row + 0.26,
                max(end - start, 0.004 * (last - first)),
                left=start,
                height=0.34,
                color=_FILLS[each.outcome],
                hatch=_HATCHES[each.outcome],
                edgecolor=ink.FAINT,
                linewidth=0.8,
            )
        text = axis.text(first, row - 0.2, _words(each), va="center", fontsize=ink.WORDS_PT, color=ink.INK)
        text.set_in_layout(False)  # a long line never squeezes the picture
    axis.set(ylim=(len(verdicts) - 0.5, -0.5), yticks=[])


def _words(verdict: Verdict) -> str:
    """Return one line for a strip: outcome and rule, and the warning if the limit is from memory."""
    label = f" [{verdict.label}]" if verdict.label else ""
    return shorten(
        f"{MARKS[verdict.outcome]} {verdict.outcome}: {verdict.title}{label}", _ROOM, placeholder=" …"
    )
