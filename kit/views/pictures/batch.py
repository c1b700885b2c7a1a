"""The record of a whole batch as far as it has come: weight and air in the cold, the probes in the heat."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.rules import PROBE_ERROR_C
from kit.views.pictures import ink
from kit.views.pictures.ink import AIR, CORE, THIRD
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
        began: ``at``, ``name``), ``words``, and ``narrow`` where it is drawn for a phone.

    Examples
    --------
    >>> air = {"name": "air", "unit": "°C", "time": [0, 9], "value": [80, 80]}
    >>> data = {"across": "Minutes", "series": [air], "split": False, "limits": [75.0], "words": "Air 80 °C."}
    >>> batch_record(data).text
    'Air 80 °C.'
    """
    split, series = bool(data["split"]), data["series"]
    cores = [each for each in series if each["name"] in ("core", "probe 1", "probe 2")]
    near = next((c for c in data["limits"] for one in cores if ink.comes_near(one["value"], c)), None)
    rows = len(series) if split else 1 if near is None else 2
    ratios: dict[str, Any] = {} if split or near is None else {"height_ratios": (2, 1)}
    figure, axes = ink.sheet(3.9 if split else 3.5 if near is None else 5.0, rows=rows, sharex=True, **ratios)
    panels = list(axes) if rows > 1 else [axes]
    for place, each in enumerate(series):
        axis = panels[place] if split else panels[0]
        axis.plot(each["time"], each["value"], **_STYLE[each["name"]])
        if split:
            axis.set_title(f"{each['name'].capitalize()} [{each['unit']}]", loc="left", fontsize=ink.WORDS_PT)
            _room(axis, each["value"])
    if not split and near is not None:
        for one in cores:
            panels[1].plot(one["time"], one["value"], **_STYLE[one["name"]])
        ink.near_limit(panels[1], float(near))
    panels[-1].set_xlabel(data["across"])
    if not split:
        panels[0].set_title(f"Temperature [{series[0]['unit']}]", loc="left", fontsize=ink.WORDS_PT)
        top = max(float(np.max(each["value"])) for each in series)
        panels[0].set_ylim(min(-4.0, *(float(np.min(each["value"])) - 3 for each in series)), 1.14 * top)
        names = [(float(each["value"][-1]), each["name"], _STYLE[each["name"]]["color"]) for each in series]
        limits = [_limit(panels[0], float(limit)) for limit in data["limits"]]
        _beside(panels[0], [*names, *limits])
    end = float(series[0]["time"][-1])
    for axis in panels:
        axis.set_xlim(0, end)
    _phases(panels, data.get("marks", ()), end, 0.026 if data.get("narrow") else 0.012)
    return Drawing(figure, str(data["words"]))


def _phases(panels: list[Any], marks: Any, end: float, letter: float) -> None:
    """Draw a thin line where a phase began, with its name at the top; a name without room is left out."""
    starts = [*(float(each["at"]) for each in marks), end]
    for place, each in enumerate(marks):
        for axis in panels:
            if each["at"] > 0:
                axis.axvline(each["at"], color=ink.FAINT, linewidth=0.9)
        if starts[place + 1] - starts[place] < letter * end * (len(each["name"]) + 1):
            continue
        panels[0].annotate(
            each["name"],
            (each["at"], 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(3, -3),
            textcoords="offset points",
            va="top",
            fontsize=ink.WORDS_PT,
            color=SOFT,
        )


def _limit(axis: Any, limit_c: float) -> tuple[float, str, str]:
    """Draw a limit as a thin line across, in the band that a probe may be off; return its label."""
    axis.axhspan(limit_c - PROBE_ERROR_C, limit_c + PROBE_ERROR_C, color=ink.INK, alpha=0.14, linewidth=0)
    axis.axhline(limit_c, color=ink.INK, linewidth=1.1, linestyle=(0, (1, 2)))
    return limit_c, f"limit {limit_c:g} °C,\nprobe ±{PROBE_ERROR_C:g}", ink.INK


def _beside(axis: Any, labels: list[tuple[float, str, str]]) -> None:
    """Write each name beside the end of its line, in its colour, moved apart where two would touch."""
    low, high = axis.get_ylim()
    places: list[float] = []
    ordered = sorted(labels)
    for place, (value, words, _) in enumerate(ordered):
        room = 0.075 * (1 + max(words.count("\n"), ordered[place - 1][1].count("\n") if place else 0) / 2)
        at = (value - low) / (high - low)
        places.append(max(at, places[-1] + room) if places else at)
    for at, (value, words, color) in zip(places, ordered, strict=True):
        axis.annotate(
            words,
            (1.0, (value - low) / (high - low)),
            xycoords="axes fraction",
            xytext=(1.02, at),
            textcoords="axes fraction",
            va="center",
            fontsize=ink.WORDS_PT,
            color=color,
            annotation_clip=False,
        )


def _room(axis: Any, values: Any) -> None:
    """Leave room above and below a line, so that a flat one does not sit on the frame."""
    low, high = float(np.min(values)), float(np.max(values))
    room = max(0.15 * (high - low), 0.5)
    axis.set_ylim(low - room, high + 1.8 * room)
