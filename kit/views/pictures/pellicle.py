"""Pictures of lesson 3: something against the humidity of the air, a line for each air."""

from collections.abc import Mapping
from typing import Any

from kit.views.pictures import ink
from kit.views.pictures.ink import name_line
from kit.views.pictures.register import Drawing, picture


@picture("over-humidity")
def over_humidity(data: Mapping[str, Any]) -> Drawing:
    """Draw one or two lines against relative humidity, each with its name at its dry end.

    Parameters
    ----------
    data : mapping
        ``rh_pct`` (the axis); ``curves``, a list of ``{"name", "values"}``; ``y_label``; ``words`` for the
        text; and perhaps ``from_zero``.

    Examples
    --------
    >>> line = {"name": "1 m/s", "values": [2.0, 1.0]}
    >>> over_humidity({"rh_pct": [60, 80], "curves": [line], "y_label": "Loss", "words": "It falls."}).text
    'It falls.'
    """
    figure, ax = ink.sheet(3.9)
    rh = [float(each) for each in data["rh_pct"]]
    wide = rh[-1] - rh[0]
    for curve, line in zip(data["curves"], ink.LINES, strict=False):
        ax.plot(rh, curve["values"], **line)
        falls = curve["values"][-1] < curve["values"][0]
        end = "bottom" if falls else "top"
        name_line(ax, rh[0] + 0.03 * wide, curve["values"][0], curve["name"], va=end)
    ax.set(xlim=(rh[0], rh[-1]), xticks=[each for each in rh if each % 10 == 0])
    ax.set_xticks(rh, minor=True)
    if data.get("from_zero"):
        ax.set_ylim(0, None)
    ax.grid(True, which="both", linewidth=0.5, color=ink.FAINT, alpha=0.45)
    ax.set(xlabel="Relative humidity at the fish [%]", ylabel=data["y_label"])
    return Drawing(figure, str(data["words"]))
