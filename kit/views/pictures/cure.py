"""Pictures of lesson 2: salt over the depth of a fillet."""

from collections.abc import Mapping
from typing import Any

from kit.views.pictures import ink
from kit.views.pictures.register import Drawing, picture


@picture("salt-profile")
def salt_profile(data: Mapping[str, Any]) -> Drawing:
    """Draw water-phase salt over depth, from the flesh face to the skin.

    Examples
    --------
    >>> salt_profile({"depth_mm": [0, 8, 16], "wps_pct": [6, 3, 1], "words": "Salt falls."}).text
    'Salt falls.'
    """
    figure, ax = ink.sheet(3.5)
    ax.plot(data["depth_mm"], data["wps_pct"], **ink.LINES[0])
    ax.set(xlim=(0, max(data["depth_mm"])), ylim=(0, None), xlabel="Depth from flesh face to skin [mm]")
    ax.set(ylabel="Water-phase salt [%]")
    return Drawing(figure, str(data["words"]))
