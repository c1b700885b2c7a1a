"""The record of a whole batch as far as it has come: weight and air in the cold, the probes in the heat."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.views.pictures import ink
from kit.views.pictures.charts import AIR, CORE, THIRD
from kit.views.pictures.register import Drawing, picture

SOFT = "#5d5446"  # the soft ink of the style sheet
_STYLE = {"probe 1": CORE, "core": CORE, "probe 2": THIRD, "air": AIR, "weight": CORE}


@picture("batch-record")
def batch_record(data: Mapping[str, Any]) -> Drawing:
    """Draw the record so far: one line each for the probes and the air, or weight above air.

    Parameters
    ----------
    data : mapping
        ``across`` (the name of the time axis), ``series`` (each with ``name``, ``unit``, ``time``,
        ``value``), ``split`` (one panel for each line), ``limits`` (dashed lines), ``marks`` (when each phase
        began: ``at``, ``name``) and ``words``.

    Examples
    --------
    >>> air = {"name": "air", "unit": "°C", "time": [0, 9], "value": [80, 80]}
    >>> data = {"across": "Minutes", "series": [air], "split": False, "limits": [75.0], "words": "Air 80 °C."}
    >>> batch_record(data).text
    'Air 80 °C.'
    """
    split, series = bool(data["split"]), data["series"]
    figure, axes = ink.sheet(3.9 if split else 3.5, rows=len(series) if split else 1, sharex=True)
    panels = list(axes) if split else [axes]
    for place, each in enumerate(series):
        axis = panels[place] if split else panels[0]
        axis.plot(each["time"], each["value"], label=each["name"], **_STYLE[each["name"]])
        if split:
            axis.set_title(f"{each['name'].capitalize()} [{each['unit']}]", loc="left", fontsize=10)
            _room(axis, each["value"])
    panels[-1].set_xlabel(data["across"])
    if not split:
        panels[0].set_title(f"Temperature [{series[0]['unit']}]", loc="left", fontsize=10)
        panels[0].legend(
            loc="lower right", bbox_to_anchor=(1.0, 1.0), frameon=False, ncols=3, fontsize=9.5, handlelength=3
        )
        top = max(float(np.max(each["value"])) for each in series)
        panels[0].set_ylim(min(-4.0, *(float(np.min(each["value"])) - 3 for each in series)), 1.14 * top)
    for limit in data["limits"]:
        _limit(panels[-1], float(limit))
    end = float(series[0]["time"][-1])
    for axis in panels:
        axis.set_xlim(0, end)
    _phases(panels, data.get("marks", ()), end)
    return Drawing(figure, str(data["words"]))


def _phases(panels: list[Any], marks: Any, end: float) -> None:
    """Draw a thin line where a phase began, with its name at the top; a name without room is left out."""
    starts = [*(float(each["at"]) for each in marks), end]
    for place, each in enumerate(marks):
        for axis in panels:
            if each["at"] > 0:
                axis.axvline(each["at"], color=ink.FAINT, linewidth=0.9)
        if starts[place + 1] - starts[place] < 0.012 * end * (len(each["name"]) + 1):
            continue
        panels[0].annotate(
            each["name"],
            (each["at"], 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(3, -3),
            textcoords="offset points",
            va="top",
            fontsize=9,
            color=SOFT,
        )


def _limit(axis: Any, limit_c: float) -> None:
    """Draw a limit as a thin line across, with its number at the right, outside the chart."""
    axis.axhline(limit_c, color=ink.INK, linewidth=1.1, linestyle=(0, (1, 2)))
    axis.annotate(
        f"limit\n{limit_c:g} °C",
        (1.0, limit_c),
        xycoords=("axes fraction", "data"),
        xytext=(5, 0),
        textcoords="offset points",
        va="center",
        fontsize=9,
        color=ink.INK,
        annotation_clip=False,
    )


def _room(axis: Any, values: Any) -> None:
    """Leave room above and below a line, so that a flat one does not sit on the frame."""
    low, high = float(np.min(values)), float(np.max(values))
    room = max(0.15 * (high - low), 0.5)
    axis.set_ylim(low - room, high + 1.8 * room)
