"""The record of a whole batch: core and air from the cabinet to the cold."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.views.pictures import ink
from kit.views.pictures.ink import AIR, CORE
from kit.views.pictures.register import Drawing, picture

LEFT, RIGHT = 0.075, 0.985
"""Where the time axis begins and ends, as fractions of the picture's width: places are marked by them."""


@picture("day-record")
def day_record(data: Mapping[str, Any]) -> Drawing:
    """Draw core and air over time.

    Parameters
    ----------
    data : mapping
        ``time_min``, ``core_c`` and ``air_c``; ``words`` for the text.

    Examples
    --------
    >>> data = {"time_min": [0, 60], "core_c": [3, 64], "air_c": [80, 80], "words": "A record."}
    >>> day_record(data).text
    'A record.'
    """
    from matplotlib.figure import Figure

    from kit.views.pictures.quick_axes import QuickAxes

    figure = Figure(figsize=(ink.WIDE_IN, 3.6), facecolor=ink.PAPER)
    ax = figure.subplots(subplot_kw={"axes_class": QuickAxes})
    figure.subplots_adjust(left=LEFT, right=RIGHT, top=0.9, bottom=0.15)
    time, core, air = (np.asarray(data[name], dtype=float) for name in ("time_min", "core_c", "air_c"))
    ax.plot(time, air, **AIR)
    ax.plot(time, core, **CORE)
    ax.set(xlim=(time[0], time[-1]), ylim=(min(-5.0, float(air.min()) - 3), max(94.0, float(air.max()) + 12)))
    ax.set(xlabel="Minutes since the fish went into the cabinet")
    ax.set_title("Temperature [°C]", loc="left", fontsize=ink.WORDS_PT)
    early, half = int(np.searchsorted(time, 0.12 * time[-1])), int(np.searchsorted(time, 0.2 * time[-1]))
    ink.name_line(ax, time[early], air[early] + 5, "air")
    ink.name_line(ax, time[half] + 0.01 * time[-1], core[half] - 6, "core")
    ink.tidy(ax)
    ax.locator_params(axis="x", prune="upper")
    ax.tick_params(axis="y", length=0, pad=3)  # the frame stands still, so the numbers come near it
    return Drawing(figure, str(data.get("words", "Core and air over time.")))
