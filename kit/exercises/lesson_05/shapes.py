"""Shapes of lesson 5: a fillet seen from the side, and the places in a cabinet. Fractions of the picture.

The exercises mark places by these shapes and the pictures draw them, so that what is seen is what is marked.
"""

from dataclasses import dataclass
from math import cos, pi
from typing import Any

BASE_Y = 0.74
"""Where the skin lies, on the rack."""
HEAD_X, TAIL_X = 0.07, 0.93


@dataclass(frozen=True)
class FilletShape:
    """A fillet from the side, lying on its skin: how high it is along its length.

    Parameters
    ----------
    peak : float
        Where the thickest part is, from the head end (0) to the tail (1).
    height : float
        Height at the thickest part, as a fraction of the picture.
    head_left : bool
        Whether the head end is on the left.

    Examples
    --------
    >>> shape = FilletShape(peak=0.3, height=0.5)
    >>> [round(value, 3) for value in shape.core]
    [0.328, 0.49]
    """

    peak: float
    height: float
    head_left: bool = True

    def thickness(self, along: float) -> float:
        """Return the thickness at ``along`` (0 head end, 1 tail), as a share of the thickest part."""
        if along <= self.peak:
            low, share = 0.66, along / self.peak
            return low + (1 - low) * (1 - cos(pi * share)) / 2
        low, share = 0.13, (along - self.peak) / (1 - self.peak)
        return float(low + (1 - low) * ((1 + cos(pi * share)) / 2) ** 0.85)

    def x_at(self, along: float) -> float:
        """Return where on the picture the place ``along`` the fillet is."""
        x = HEAD_X + along * (TAIL_X - HEAD_X)
        return x if self.head_left else 1 - x

    @property
    def core(self) -> tuple[float, float]:
        """The middle of the thickest part: where the tip of the probe belongs."""
        return self.x_at(self.peak), BASE_Y - self.height / 2

    def outline(self, steps: int = 40) -> list[list[float]]:
        """Return the flesh side as points from the head end to the tail."""
        alongs = [step / steps for step in range(steps + 1)]
        return [
            [round(self.x_at(along), 4), round(BASE_Y - self.height * self.thickness(along), 4)]
            for along in alongs
        ]

    def data(self) -> dict[str, Any]:
        """Return what the picture needs to draw it."""
        return {"outline": self.outline(), "base_y": BASE_Y, "head_left": self.head_left}


CABINET_X = (0.27, 0.53, 0.79)
CABINET_Y = (0.27, 0.51, 0.75)
PLACE_NAMES = {
    (column, row): f"{shelf} shelf, {side}"
    for row, shelf in enumerate(("top", "middle", "bottom"))
    for column, side in enumerate(("left", "middle", "right"))
}
"""The nine places of a cabinet, by column and row."""


def place_at(column: int, row: int) -> tuple[float, float]:
    """Return the middle of a place in the cabinet, as fractions of the picture.

    Examples
    --------
    >>> place_at(0, 2)
    (0.27, 0.75)
    """
    return CABINET_X[column], CABINET_Y[row]
