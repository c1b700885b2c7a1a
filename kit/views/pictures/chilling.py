"""The record of a chilling: core and air after the heat, with the limits of a rule where they are given."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.views.pictures import ink
from kit.views.pictures.ink import AIR, CORE, limit_line, name_line
from kit.views.pictures.register import Drawing, picture


@picture("chill-record")
def chill_record(data: Mapping[str, Any]) -> Drawing:
    """Draw core and air over time after the fish has left the heat.

    Parameters
    ----------
    data : mapping
        ``time_min``, ``core_c`` and ``air_c``; where there are any, ``limit_c``, ``limits_min`` (a name and
        its minutes) and ``words``. A ``None`` in a column is a gap, and is drawn as one.

    Examples
    --------
    >>> data = {"time_min": [0, 60], "core_c": [66, 20], "air_c": [20, 3], "words": "A record."}
    >>> chill_record(data).text
    'A record.'
    """
    figure, ax = ink.sheet(3.7)
    time, core, air = (np.asarray(data[name], dtype=float) for name in ("time_min", "core_c", "air_c"))
    ax.plot(time, air, **AIR)
    ax.plot(time, core, **CORE)
    limits = {str(name): float(at) for name, at in data.get("limits_min", {}).items()}
    end = max([float(time[-1]), *(1.1 * at for at in limits.values())])
    ax.set(xlim=(0, 1.14 * end), ylim=(-5, 74), yticks=range(0, 71, 10))
    ax.set(xlabel="Minutes since the fish left the heat", ylabel="Temperature [°C]")
    name_line(ax, time[0] + 0.02 * end, air[0] + 3, "air")
    name_line(ax, time[1] + 0.04 * end, core[1] + 1, "core")
    if data.get("limit_c") is not None:
        limit_line(ax, float(data["limit_c"]))
    for name, minutes in limits.items():
        ink.window(ax, 0, minutes, name)
    return Drawing(figure, str(data.get("words", "Core and air after the heat.")))
